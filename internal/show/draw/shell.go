package draw

import "fettle/internal/show/plot"

// shells draws the two half shells of every bearing from the end, with what
// is measured on them under each.
func (s *sheet) shells() view {
	dim := "cyl"
	if s.uses("main") {
		dim = "main"
	}
	pat, values := s.grid(dim), s.l.Dims[dim].Values
	const r = 30.0
	step := max(pat.w()+16, 2*r+26)
	per := max(1, min(len(values), int(full/step)))
	step = max(step, min(130, full/float64(per)))
	rows := (len(values) + per - 1) / per
	high := 2*r + 44 + pat.h() + 18
	return view{step * float64(per), high * float64(rows), func(at plot.Point) {
		for i, v := range values {
			o := at.Add(step*(float64(i%per)+0.5), high*float64(i/per)+r+18)
			if s.e.BigEnd == "roller" && dim == "cyl" {
				s.cage(o, r)
			} else {
				s.halves(o, r)
			}
			number(s.c, o.Add(-r-8, -r-4), v)
			frame, ln := o.Add(-pat.w()/2, r+20), pat.even()
			if len(pat.cols) > 0 || len(pat.rows) > 0 {
				s.c.Rect(frame.X, frame.Y, pat.w(), pat.h(), plot.Style{Stroke: plot.InkThin, Line: plot.Hair})
			}
			for k, name := range pat.cols {
				small(s.c, frame.Add(ln.x[k], pat.h()+8), short(name))
			}
			if i%per == 0 {
				for k, name := range pat.rows {
					s.c.Text(frame.Add(-3, ln.y[k]), plot.Text{S: short(name), Anchor: plot.End, Base: plot.CapMiddle, Ink: plot.InkThin})
				}
			}
			pat.seats(frame, ln, v)
		}
	}}
}

// halves draws two half shells with their nibs, a little apart.
func (s *sheet) halves(o plot.Point, r float64) {
	for _, half := range []float64{180, 0} {
		c := o.Add(0, map[float64]float64{180: -1.5, 0: 1.5}[half])
		p := (&plot.Path{}).Arc(c, r, half, half+180).Arc(c, r-5, half+180, half).Close()
		cut(s.c, p, -45)
		s.c.Path((&plot.Path{}).Arc(c, r-1.4, half, half+180), faint())
		nib := away(c, r, half+4)
		s.c.Path(plot.Polygon(nib, away(c, r+4, half+4), away(c, r+4, half+14), away(c, r, half+14)), fine())
	}
	plot.CentreMark(s.c, o, r)
}

// cage draws a roller bearing from the end.
func (s *sheet) cage(o plot.Point, r float64) {
	s.c.Circle(o, r, edge())
	s.c.Circle(o, r-9, edge())
	for i := range 14 {
		s.c.Circle(away(o, r-4.5, 360*float64(i)/14), 4, fine())
	}
	plot.CentreMark(s.c, o, r)
}

// short is the beginning of an index that has room for one letter or two.
func short(index string) string {
	if r := []rune(index); len(r) > 3 {
		return string(r[:1])
	}
	return index
}
