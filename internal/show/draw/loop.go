package draw

import (
	"math"

	"fettle/internal/show/plot"
)

// touching returns where the outer straight run from one wheel to the next
// leaves and arrives, and the angle of the radius there, for a loop that runs
// clockwise on the sheet.
func touching(a, b wheel) (p, q plot.Point, angle float64) {
	dx, dy := b.at.X-a.at.X, b.at.Y-a.at.Y
	far := math.Hypot(dx, dy)
	ratio := max(-1, min(1, (a.r-b.r)/far))
	along := math.Atan2(dy, dx)
	angle = (along - math.Acos(ratio)) * 180 / math.Pi
	return away(a.at, a.r, angle), away(b.at, b.r, angle), angle
}

// loop draws a chain or belt round the wheels, with guides outside its runs,
// and claims the seats of guides and tensioner. It returns how many guides
// have been drawn so far.
func (s *sheet) loop(ws []wheel, rails int) int {
	order := clockwise(ws)
	n := len(order)
	band := &plot.Path{}
	type run struct {
		p, q  plot.Point
		angle float64
	}
	runs := make([]run, n)
	for i := range order {
		p, q, a := touching(order[i], order[(i+1)%n])
		runs[i] = run{p, q, a}
	}
	for i := range order {
		from, to := runs[(i+n-1)%n].angle, runs[i].angle
		for to < from {
			to += 360
		}
		band.Arc(order[i].at, order[i].r, from, to)
	}
	band.Close()
	if s.e.Drive.Kind == "belt" {
		s.c.Path(band, plot.Style{Stroke: plot.InkPen, Line: plot.Heavy})
	} else {
		for range max(1, min(s.e.Drive.Rows, 1)) {
			s.c.Path(band, plot.Style{Stroke: plot.InkPen, Line: plot.Heavy})
		}
	}
	dim := "rail"
	values := s.values(dim)
	if values == nil {
		dim = "guide"
		values = s.values(dim)
	}
	for i, r := range runs {
		mid := plot.Pt((r.p.X+r.q.X)/2, (r.p.Y+r.q.Y)/2)
		if math.Hypot(r.q.X-r.p.X, r.q.Y-r.p.Y) < 50 {
			continue
		}
		name := "upper"
		switch {
		case order[i].cam == "": // the chain leaves the crank here
			name = "slack"
		case order[(i+1)%n].cam == "":
			name = "taut"
		}
		s.rail(r.p, r.q, r.angle, name == "slack")
		if !contains(values, name) && rails < len(values) {
			name = values[rails]
		}
		spot := away(mid, 26, r.angle+180)
		if contains(values, name) {
			s.c.Line(mid, spot, faint())
			s.seat(spot, dim, name)
		}
		rails++
	}
	return rails
}

// rail draws a guide outside a straight run; the slack side, which
// leaves the crank, has the bowed one with the tensioner behind it.
func (s *sheet) rail(p, q plot.Point, angle float64, slack bool) {
	at := func(t, out float64) plot.Point {
		return away(plot.Pt(p.X+(q.X-p.X)*t, p.Y+(q.Y-p.Y)*t), out, angle)
	}
	if s.e.Drive.Kind == "belt" {
		if slack {
			s.c.Circle(at(0.5, 13), 11, solid())
			s.c.Circle(at(0.5, 13), 4, fine())
		}
		return
	}
	bow := 3.0
	if slack {
		bow = 9
	}
	shoe := plot.Polyline(at(0.16, 3.5)).Curve(at(0.38, 3.5), at(0.62, 3.5), at(0.84, 3.5)).Line(at(0.84, 7)).Curve(at(0.62, 6+bow), at(0.38, 6+bow), at(0.16, 7)).Close()
	s.c.Path(shoe, plot.Style{Fill: plot.InkTint, Stroke: plot.InkPen, Line: plot.Narrow})
	if !slack {
		return
	}
	body := plot.Polygon(at(0.42, 17), at(0.58, 17), at(0.58, 38), at(0.42, 38))
	s.c.Path(plot.Polygon(at(0.47, 7+bow/2), at(0.53, 7+bow/2), at(0.53, 17), at(0.47, 17)), solid())
	s.c.Path(body, solid())
	plot.CentreLine(s.c, at(0.5, 6), at(0.5, 38), 5)
}

// clockwise orders wheels round their middle as seen on the sheet.
func clockwise(ws []wheel) []wheel {
	var mid plot.Point
	for _, w := range ws {
		mid = mid.Add(w.at.X/float64(len(ws)), w.at.Y/float64(len(ws)))
	}
	out := append([]wheel(nil), ws...)
	for i := 1; i < len(out); i++ {
		for j := i; j > 0; j-- {
			a := math.Atan2(out[j].at.Y-mid.Y, out[j].at.X-mid.X)
			b := math.Atan2(out[j-1].at.Y-mid.Y, out[j-1].at.X-mid.X)
			if a >= b {
				break
			}
			out[j], out[j-1] = out[j-1], out[j]
		}
	}
	return out
}
