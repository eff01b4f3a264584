package draw

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"fettle/internal/show/plot"
)

// cams draws each camshaft along its axis: journals where the file has them,
// and a lobe for each valve it opens.
func (s *sheet) cams() []view {
	names := s.e.CamNames()
	var out []view
	for i, name := range names {
		out = append(out, s.camshaft(i, name))
	}
	if g := s.grid("cyl"); len(names) == 0 || g.corner && !s.uses("valve") && !s.uses("lobe") {
		out = append(out, s.tally("cyl"))
	}
	return out
}

// lobe is one lobe of a camshaft.
type lobe struct {
	x     float64 // millimetres from the first cylinder
	cyl   int
	valve string
}

// lobes lists the lobes of a camshaft along it: the inlet, the exhaust or all
// valves of its bank; a pushrod cam has one lobe for like valves.
func (s *sheet) lobes(i int, name string) []lobe {
	g, v := s.g, s.e.Valves
	valves := func(kind string, n int) (out []string) {
		for k := range n {
			out = append(out, fmt.Sprintf("%s%d", kind, k+1))
		}
		return out
	}
	list := append(valves("I", v.Inlet), valves("E", v.Exhaust)...)
	banks := g.banks
	switch {
	case strings.HasSuffix(name, "IN"):
		list = valves("I", v.Inlet)
	case strings.HasSuffix(name, "EX"):
		list = valves("E", v.Exhaust)
	}
	if len(banks) == 2 && (strings.HasPrefix(name, "A") || strings.HasPrefix(name, "B")) {
		banks = banks[i*2/s.e.Valvetrain.Camshafts:][:1]
	}
	var out []lobe
	for row := range g.rows {
		var here []lobe
		for _, bank := range banks {
			if row < len(bank) {
				for _, w := range list {
					here = append(here, lobe{cyl: bank[row], valve: w})
				}
			}
		}
		for k := range here {
			here[k].x = (float64(row) + (float64(k)+0.5)/float64(len(here))*0.8 - 0.4) * g.spacing
		}
		out = append(out, here...)
	}
	return out
}

// journals are the places of the cam journals, in millimetres.
func (s *sheet) camJournals() []float64 {
	d := s.l.Dims["cam-journal"]
	out := make([]float64, len(d.Values))
	for i, v := range d.Values {
		if at, ok := d.At[v]; ok {
			out[i] = at[0] * 1000
			continue
		}
		out[i] = (float64(s.g.rows)/2 - 0.5) * s.g.spacing
		if len(d.Values) > 1 {
			out[i] = (float64(i)/float64(len(d.Values)-1)*float64(s.g.rows) - 0.5) * s.g.spacing
		}
	}
	return out
}

func (s *sheet) camshaft(index int, name string) view {
	g, lobes, journals := s.g, s.lobes(index, name), s.camJournals()
	pat := s.grid("cam", "cam-journal")
	per := 1.0
	if g.rows > 0 {
		per = math.Ceil(float64(len(lobes)) / float64(g.rows))
	}
	const left, right = 96.0, 40.0
	long := float64(g.rows) * g.spacing
	sc := max(min(1.6, (full-left-right)/long), 25*per/0.8/g.spacing, (pat.w()+8)/g.spacing)
	base, lift := 15*min(sc, 1.2), g.lift*min(sc, 1.2)*1.4
	over := touch + 8
	low := 0.0
	if pat.down() > 0 {
		low = pat.h() + 22
	}
	v := view{w: left + long*sc + right, h: over + 2*(base+lift) + low}
	v.draw = func(at plot.Point) {
		x := func(mm float64) float64 { return at.X + left + (mm+g.spacing/2)*sc }
		y := at.Y + over + base + lift
		s.c.Path(round(x(-g.spacing/2)-14, y-base*0.55, long*sc+28, base*1.1, 3), solid())
		s.c.Path(s.box(x(-g.spacing/2)-30, y, 16, base*0.95), solid())
		for k, m := range journals {
			half := 7 * min(sc, 1.3)
			s.c.Path(s.box(x(m)-half, y, 2*half, base*0.85), solid())
			s.c.Line(plot.Pt(x(m), y-base*0.85), plot.Pt(x(m), y+base*0.85), faint())
			s.camBand(pat, plot.Pt(x(m), y+base+lift), plot.Pt(x(m), y+base*0.85), name, s.l.Dims["cam-journal"].Values[k])
		}
		for k, b := range lobes {
			s.camLobe(plot.Pt(x(b.x), y), base, lift, 0.3*g.spacing/per*sc, s.lobeAngle(b))
			s.lobeSeats(plot.Pt(x(b.x), y-base-lift-touch/2-2), plot.Pt(x(b.x), y), name, b, k)
		}
		plot.CentreLine(s.c, plot.Pt(x(-g.spacing/2)-32, y), plot.Pt(x((float64(g.rows)-0.5)*g.spacing)+16, y), 6)
		number(s.c, plot.Pt(at.X+26, y), name)
		s.seat(plot.Pt(at.X+26, y+touch), "cam", name)
		s.seat(plot.Pt(at.X+26, y-touch), "phaser", name)
	}
	return v
}

func (s *sheet) camBand(pat grid, at, tip plot.Point, name, journal string) {
	if pat.down() == 0 {
		return
	}
	s.c.Line(plot.Pt(at.X, at.Y+8), tip, plot.Style{Stroke: plot.InkThin, Line: plot.Narrow})
	frame := plot.Pt(at.X-pat.w()/2, at.Y+8)
	if len(pat.cols) > 0 || len(pat.rows) > 0 {
		s.c.Rect(frame.X, frame.Y, pat.w(), pat.h(), plot.Style{Fill: plot.InkGround, Stroke: plot.InkThin, Line: plot.Hair})
	}
	ln := pat.even()
	for i, v := range pat.cols {
		small(s.c, frame.Add(ln.x[i], pat.h()+6), v)
	}
	if len(pat.item) == 1 {
		pat.seats(frame, ln, journal)
		return
	}
	pat.seats(frame, ln, name, journal)
}

// lobeAngle is how far a lobe's nose is turned from upright: the cylinder's
// place in the firing order, half a turn for the whole order of two turns.
func (s *sheet) lobeAngle(b lobe) float64 {
	k := float64(b.cyl - 1)
	for i, c := range s.e.FiringOrder {
		if c == b.cyl {
			k = float64(i)
		}
	}
	a := -360 * k / float64(s.g.n)
	if b.valve[0] == 'E' {
		a -= 110
	}
	return turn(a)
}

// camLobe draws a lobe from the side.
func (s *sheet) camLobe(at plot.Point, base, lift, w, angle float64) {
	w = max(7, min(w, 16))
	up := math.Cos(angle * math.Pi / 180)
	top, foot := base, base
	if up > 0 {
		top += lift * up
	} else {
		foot -= lift * up
	}
	s.c.Path(round(at.X-w/2, at.Y-top, w, top+foot, 2), solid())
	if math.Abs(up) > 0.15 {
		y := at.Y - math.Copysign(base*0.55, up)
		s.c.Line(plot.Pt(at.X-w/2, y), plot.Pt(at.X+w/2, y), fine())
	}
}

// lobeSeats claims the seats of a lobe: by its number on the shaft, and by
// the valve it opens.
func (s *sheet) lobeSeats(above, on plot.Point, cam string, b lobe, k int) {
	if d := s.l.Dims["lobe"]; d != nil && s.uses("lobe") && k < len(d.Values) {
		s.c.Line(above.Add(0, 10), on.Add(0, -8), faint())
		s.seat(above, "cam", cam, "lobe", d.Values[k])
		return
	}
	cyl := strconv.Itoa(b.cyl)
	if s.uses("valve") {
		s.c.Line(above.Add(0, 10), on.Add(0, -8), faint())
	}
	s.seat(above, "cyl", cyl, "valve", b.valve)
	if b.valve == "I1" || b.valve == "E1" && strings.HasSuffix(cam, "EX") {
		small(s.c, plot.Pt(on.X, on.Y), cyl)
	}
}

// uses says whether the component is measured in a dimension.
func (s *sheet) uses(dim string) bool {
	for _, i := range s.places {
		if contains(s.l.Places[i].Char.Per, dim) {
			return true
		}
	}
	return false
}
