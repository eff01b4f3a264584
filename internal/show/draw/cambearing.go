package draw

import "fettle/internal/show/plot"

// withCamBearings adds a row of cam bearings for each shaft to the views of a
// part that carries them.
func (s *sheet) withCamBearings(vs ...view) []view {
	if !s.uses("cam-journal") {
		return vs
	}
	if !s.uses("cam") {
		return append(vs, s.camBearings(""))
	}
	for _, name := range s.l.Dims["cam"].Values {
		vs = append(vs, s.camBearings(name))
	}
	return vs
}

// camBearings draws the bearings of one camshaft in section along it, and
// under each what is measured there. name is empty where bearings are not
// told apart by shaft.
func (s *sheet) camBearings(name string) view {
	item := []string{"cam", "cam-journal"}
	if name == "" {
		item = item[1:]
	}
	pat, journals := s.grid(item...), s.camJournals()
	long := float64(s.g.rows) * s.g.spacing
	const left, right = 96.0, 40.0
	sc := max(min(1.6, (full-left-right)/long), (pat.w()+10)/(long/float64(max(1, len(journals)-1))))
	const high, hole = 14.0, 28.0
	v := view{w: left + long*sc + right, h: 2*high + hole + pat.h() + 22}
	v.draw = func(at plot.Point) {
		y := at.Y + high + hole/2
		x := func(mm float64) float64 { return at.X + left + (mm+s.g.spacing/2)*sc }
		for i, m := range journals {
			const half = 10.0
			cut(s.c, plot.Box(x(m)-half, y-hole/2-high, 2*half, high), -45)
			cut(s.c, plot.Polygon(plot.Pt(x(m)-half, y+hole/2), plot.Pt(x(m)+half, y+hole/2), plot.Pt(x(m)+half+5, y+hole/2+high), plot.Pt(x(m)-half-5, y+hole/2+high)), 45)
			for _, d := range []float64{-half, half} {
				s.c.Line(plot.Pt(x(m)+d, y-hole/2), plot.Pt(x(m)+d, y+hole/2), fine())
			}
			s.camBand(pat, plot.Pt(x(m), y+hole/2+high), plot.Pt(x(m), y+hole/2+high), name, s.l.Dims["cam-journal"].Values[i])
		}
		plot.CentreLine(s.c, plot.Pt(at.X+left-20, y), plot.Pt(at.X+v.w-10, y), 0)
		if name == "" {
			return
		}
		number(s.c, plot.Pt(at.X+26, y), name)
		s.seat(plot.Pt(at.X+26, y+touch), "cam", name)
	}
	return v
}
