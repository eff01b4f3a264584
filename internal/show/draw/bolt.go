package draw

import (
	"strings"

	"fettle/internal/know/family"
	"fettle/internal/show/plot"
)

// bolt draws one bolt lying, head to the left.
func (s *sheet) bolt(f *family.Fastener) view {
	d, long := thread(f.Thread), mm(f.Length, 80)
	k := min(3, 380/(long+2*d))
	if strings.Contains(f.ID, "stud") {
		return s.stud(f, d, long, k)
	}
	return view{430, d*1.8*k + 40, func(at plot.Point) {
		x, y := at.X+30+d*k, at.Y+d*0.9*k+2
		s.c.Path(plot.Polygon(plot.Pt(x-d*0.66*k, y-d*0.8*k), plot.Pt(x, y-d*0.8*k), plot.Pt(x, y+d*0.8*k), plot.Pt(x-d*0.66*k, y+d*0.8*k)), solid())
		s.c.Line(plot.Pt(x-d*0.66*k, y-d*0.4*k), plot.Pt(x, y-d*0.4*k), fine())
		s.c.Line(plot.Pt(x-d*0.66*k, y+d*0.4*k), plot.Pt(x, y+d*0.4*k), fine())
		s.c.Path(plot.Box(x, y-d*0.95*k, d*0.16*k, d*1.9*k), solid())
		shank := d / 2
		if f.Method != "torque" { // drawn down where it is to stretch
			shank = d * 0.42
		}
		begin := long * 0.68
		s.c.Path(plot.Polyline(plot.Pt(x+d*0.16*k, y-d/2*k), plot.Pt(x+d*0.7*k, y-shank*k), plot.Pt(x+begin*k, y-shank*k), plot.Pt(x+begin*k, y-d/2*k), plot.Pt(x+(long-1)*k, y-d/2*k), plot.Pt(x+long*k, y-d*0.42*k),
			plot.Pt(x+long*k, y+d*0.42*k), plot.Pt(x+(long-1)*k, y+d/2*k), plot.Pt(x+begin*k, y+d/2*k), plot.Pt(x+begin*k, y+shank*k), plot.Pt(x+d*0.7*k, y+shank*k), plot.Pt(x+d*0.16*k, y+d/2*k)), solid())
		for _, side := range []float64{-1, 1} { // root of the thread
			s.c.Line(plot.Pt(x+begin*k, y+side*d*0.41*k), plot.Pt(x+long*k, y+side*d*0.41*k), fine())
		}
		plot.CentreLine(s.c, plot.Pt(x-d*0.7*k, y), plot.Pt(x+long*k, y), 6)
		plot.Dimension(s.c, plot.Pt(x, y+d*0.6*k), plot.Pt(x+long*k, y+d*0.6*k), -20, s.figure(f.Length))
		plot.Leader(s.c, plot.Pt(x+(begin+(long-begin)*0.6)*k, y-d/2*k), plot.Pt(x+(long+d*0.4)*k, y-d*0.75*k), false, s.own(f.Thread))
	}}
}

// stud draws a stud lying, its nut and washer on the left.
func (s *sheet) stud(f *family.Fastener, d, long, k float64) view {
	return view{430, d*1.8*k + 40, func(at plot.Point) {
		x, y := at.X+30, at.Y+d*0.9*k+2
		s.c.Path(round(x, y-d/2*k, long*k, d*k, 2), solid())
		for _, end := range [][2]float64{{0, 0.3}, {0.62, 1}} { // threads, with their roots
			s.c.Line(plot.Pt(x+end[0]*long*k, y-d*0.41*k), plot.Pt(x+end[1]*long*k, y-d*0.41*k), fine())
			s.c.Line(plot.Pt(x+end[0]*long*k, y+d*0.41*k), plot.Pt(x+end[1]*long*k, y+d*0.41*k), fine())
		}
		s.c.Line(plot.Pt(x+0.3*long*k, y-d/2*k), plot.Pt(x+0.3*long*k, y+d/2*k), edge())
		s.c.Line(plot.Pt(x+0.62*long*k, y-d/2*k), plot.Pt(x+0.62*long*k, y+d/2*k), edge())
		nut := x + d*0.35*k
		s.c.Path(plot.Box(nut, y-d*0.8*k, d*0.95*k, d*1.6*k), solid())
		s.c.Line(plot.Pt(nut, y-d*0.4*k), plot.Pt(nut+d*0.95*k, y-d*0.4*k), fine())
		s.c.Line(plot.Pt(nut, y+d*0.4*k), plot.Pt(nut+d*0.95*k, y+d*0.4*k), fine())
		s.c.Path(plot.Box(nut+d*0.95*k, y-d*0.95*k, d*0.22*k, d*1.9*k), solid())
		plot.CentreLine(s.c, plot.Pt(x, y), plot.Pt(x+long*k, y), 6)
		plot.Dimension(s.c, plot.Pt(x, y+d*0.6*k), plot.Pt(x+long*k, y+d*0.6*k), -20, s.figure(f.Length))
		plot.Leader(s.c, plot.Pt(x+long*0.85*k, y-d/2*k), plot.Pt(x+(long+d*0.4)*k, y-d*0.75*k), false, s.own(f.Thread))
	}}
}
