package draw

import "fettle/internal/show/plot"

// throttles draws one throttle a cylinder, or the one for all.
func (s *sheet) throttles() view {
	pat := s.grid("cyl")
	if s.e.Throttles != "per-cylinder" && !s.uses("cyl") {
		return view{170, 170, func(at plot.Point) { s.throttle(at.Add(85, 85), 62) }}
	}
	high := 92 + max(pat.h(), touch)
	return s.items(max(92, pat.w()+10), high, func(at plot.Point, _ float64, cyl int) {
		s.throttle(at.Add(0, 40), 32)
		name := s.l.Dims["cyl"].Values[cyl-1]
		number(s.c, at.Add(-40, 8), name)
		pat.seats(at.Add(-pat.w()/2, 86), pat.even(), name)
	})
}

// throttle draws a body from the engine's side with its plate and shaft.
func (s *sheet) throttle(o plot.Point, r float64) {
	cut(s.c, ring(o, r+5, r), -45)
	plate := (&plot.Path{}).Arc(o, r-1, -178, -2).Arc(o, r-1, 2, 178).Close()
	s.c.Path(plate, fine())
	s.c.Path(round(o.X-r-10, o.Y-3, 2*r+20, 6, 2), solid())
	for _, d := range []float64{-0.4, 0.4} {
		s.c.Circle(o.Add(d*r, 0), 1.8, fine())
	}
	plot.CentreLine(s.c, o.Add(-r-12, 0), o.Add(r+12, 0), 4)
	plot.CentreLine(s.c, o.Add(0, -r-6), o.Add(0, r+6), 3)
}
