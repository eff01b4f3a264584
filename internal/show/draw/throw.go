package draw

import (
	"math"
	"strconv"

	"fettle/internal/show/plot"
)

// throw draws one crankpin with its webs, as it stands at its angle.
func (s *sheet) throw(a axis, i int, p, angle float64) {
	g := s.g
	up := -g.stroke / 2 * a.scale * math.Cos(angle*math.Pi/180)
	r, half, web := g.pin/2*a.scale, g.pitch*0.17*a.scale, g.pitch*0.165*a.scale
	y := a.y + up
	lean := 1.0 // of the counterweight: opposite the pin
	if up > 0 {
		lean = -1
	}
	reach := (g.main*0.52 + g.stroke*0.36*math.Abs(math.Cos(angle*math.Pi/180))) * a.scale
	top, foot := min(y-r*1.12, a.y-g.main*0.56*a.scale), max(y+r*1.12, a.y+g.main*0.56*a.scale)
	if lean > 0 {
		foot = max(foot, a.y+reach)
	} else {
		top = min(top, a.y-reach)
	}
	for _, side := range []float64{-1, 1} {
		x := a.x(p) + side*(half+web/2) - web/2
		s.c.Path(round(x, top, web, foot-top, 5), solid())
	}
	s.c.Path(s.box(a.x(p)-half, y, 2*half, r), solid())
	s.planes(a.x(p), y, half, r)
	if s.e.BigEnd == "roller" {
		s.rollers(plot.Pt(a.x(p), y), half, r)
	}
	number(s.c, plot.Pt(a.x(p), y), strconv.Itoa(i+1))
}

// rollers draws the cage of a roller big end on its pin.
func (s *sheet) rollers(at plot.Point, half, r float64) {
	for _, side := range []float64{-1, 1} {
		s.c.Path(round(at.X-half*0.62, at.Y+side*r-3, half*1.24, 6, 2), plot.Style{Fill: plot.InkGround, Stroke: plot.InkPen, Line: plot.Narrow})
		s.c.Line(at.Add(-half*0.62, side*r), at.Add(half*0.62, side*r), faint())
	}
}

// planes draws the two measuring planes of a journal.
func (s *sheet) planes(x, y, half, r float64) {
	for _, side := range []float64{-0.5, 0.5} {
		s.c.Line(plot.Pt(x+side*half, y-r), plot.Pt(x+side*half, y+r), faint())
	}
}

// star draws the throws as seen from the free end.
func (s *sheet) star(o plot.Point, r float64) {
	g := s.g
	k := r / (g.stroke/2 + g.pin/2 + 6)
	throw := g.stroke / 2 * k
	plot.CentreMark(s.c, o, r)
	s.c.Circle(o, throw, plot.Style{Stroke: plot.InkThin, Line: plot.Chain})
	s.c.Circle(o, g.main/2*k, edge())
	names := map[int][]int{}
	for i, a := range g.throws(s.e) {
		key := int(math.Round(turn(a)*10)) % 3600
		names[key] = append(names[key], i+1)
	}
	for key := range 3600 {
		pins := names[key]
		if pins == nil {
			continue
		}
		p := away(o, throw, float64(key)/10-90)
		s.c.Circle(p, g.pin*0.34*k, solid())
		text := ""
		for i, n := range pins {
			if i > 0 {
				text += "·"
			}
			text += strconv.Itoa(n)
		}
		out := away(o, r+7, float64(key)/10-90)
		small(s.c, out, text)
	}
	plot.Dimension(s.c, o.Add(-throw, 0), o.Add(throw, 0), -r-12, s.figure(s.e.Stroke))
}
