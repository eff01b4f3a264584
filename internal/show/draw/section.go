package draw

import (
	"strings"

	"fettle/internal/show/plot"
)

// section draws what has no drawing of its own kind: the oil pump, a flywheel
// or damper, throttles, or the pattern of the part alone, each place with its
// index.
func (s *sheet) section() view {
	id := s.comp.ID
	has := func(words ...string) bool {
		for _, w := range words {
			if strings.Contains(id, w) {
				return true
			}
		}
		return false
	}
	var vs []view
	switch {
	case has("pump"):
		vs = append(vs, s.gerotor())
	case has("flywheel", "damper", "pulley"):
		vs = append(vs, s.disc())
	case has("throttle", "bodies"):
		return s.throttles()
	case has("pan", "sump"):
		vs = append(vs, s.pan())
	case has("seal"):
		vs = append(vs, s.lip())
	case has("cylinder"):
		vs = append(vs, s.stroke())
	case has("washer"):
		vs = append(vs, s.washer())
	}
	for _, dim := range s.leading() {
		if len(s.l.Dims[dim].Values) > 1 || len(vs) == 0 {
			vs = append(vs, s.tally(dim))
		}
	}
	if len(vs) == 0 {
		vs = append(vs, s.sleeve())
	}
	return under(vs...)
}

// leading lists the dimensions the component's patterns begin with.
func (s *sheet) leading() []string {
	var out []string
	for _, i := range s.places {
		per := s.l.Places[i].Char.Per
		if len(per) > 0 && !contains(out, per[0]) {
			out = append(out, per[0])
		}
	}
	return out
}

// disc draws a flywheel or damper: half in section, half from the front.
func (s *sheet) disc() view {
	const r = 104.0
	rubber := strings.Contains(s.comp.ID, "damper")
	return view{2*r + 140, 2*r + 24, func(at plot.Point) {
		o := at.Add(120+r, r+12)
		s.c.Circle(o, r, solid())
		s.c.Circle(o, r-9, fine())
		s.c.Circle(o, r*0.62, fine())
		s.c.Circle(o, r*0.2, edge())
		if rubber {
			s.c.Circle(o, r*0.74, edge())
			s.c.Circle(o, r*0.68, edge())
		}
		for i := range 8 {
			s.c.Circle(away(o, r*0.36, 45*float64(i)), 5, fine())
		}
		plot.CentreMark(s.c, o, r)
		x := at.X + 28
		for _, d := range []float64{-1, 1} {
			y := func(v float64) float64 { return o.Y + d*v }
			web := plot.Polygon(plot.Pt(x+16, y(r*0.2)), plot.Pt(x+34, y(r*0.2)), plot.Pt(x+34, y(r*0.62)), plot.Pt(x+44, y(r*0.66)), plot.Pt(x+44, y(r-9)), plot.Pt(x+8, y(r-9)), plot.Pt(x+8, y(r*0.66)), plot.Pt(x+16, y(r*0.62)))
			cut(s.c, web, -45)
			cut(s.c, plot.Polygon(plot.Pt(x+20, y(r-9)), plot.Pt(x+44, y(r-9)), plot.Pt(x+44, y(r)), plot.Pt(x+20, y(r))), 45)
		}
		plot.CentreLine(s.c, plot.Pt(x, o.Y), plot.Pt(x+50, o.Y), 4)
	}}
}

// washer draws a pair of thrust washers from the front and from the side.
func (s *sheet) washer() view {
	return view{300, 150, func(at plot.Point) {
		o := at.Add(120, 75)
		for _, a := range []float64{0, 180} {
			p := (&plot.Path{}).Arc(o, 66, a+2, a+178).Arc(o, 44, a+178, a+2).Close()
			s.c.Path(p, solid())
			for _, g := range []float64{60, 120} {
				s.c.Line(away(o, 44, a+g), away(o, 66, a+g), fine())
			}
		}
		plot.CentreMark(s.c, o, 66)
		for _, d := range []float64{-1, 1} {
			cut(s.c, plot.Polygon(plot.Pt(at.X+236, o.Y+d*44), plot.Pt(at.X+246, o.Y+d*44), plot.Pt(at.X+246, o.Y+d*66), plot.Pt(at.X+236, o.Y+d*66)), -45)
		}
		plot.CentreLine(s.c, plot.Pt(at.X+230, o.Y), plot.Pt(at.X+252, o.Y), 4)
	}}
}

// pan draws an oil pan in section along the engine, with its baffle and the
// mouth of the pick-up.
func (s *sheet) pan() view {
	return view{420, 150, func(at plot.Point) {
		p := func(x, y float64) plot.Point { return at.Add(10+x, 20+y) }
		wall := plot.Polygon(p(0, 0), p(26, 0), p(26, 6), p(14, 6), p(14, 100), p(22, 112), p(140, 112), p(150, 100), p(158, 46), p(386, 46), p(386, 6), p(374, 6), p(374, 0), p(400, 0),
			p(400, 6), p(394, 6), p(394, 54), p(165, 54), p(157, 104), p(144, 120), p(18, 120), p(6, 104), p(6, 6), p(0, 6))
		cut(s.c, wall, -45)
		s.c.Path(plot.Polyline(p(14, 44), p(64, 50)).Append(plot.Polyline(p(104, 50), p(157, 44))), edge())
		s.c.Path(plot.Polygon(p(70, 104), p(98, 104), p(94, 96), p(88, 92), p(88, 14), p(80, 14), p(80, 92), p(74, 96)), fine())
		s.c.Line(p(14, 78), p(153, 78), plot.Style{Stroke: plot.InkThin, Line: plot.Dotted})
		s.c.Path(plot.Box(at.X+10+24, at.Y+20+112, 14, 14), solid())
	}}
}

// lip draws a shaft seal in section on its shaft.
func (s *sheet) lip() view {
	return view{260, 130, func(at plot.Point) {
		o := at.Add(130, 108)
		s.c.Path(plot.Polyline(o.Add(-100, 0), o.Add(-100, -34), o.Add(100, -34), o.Add(100, 0)), edge())
		cut(s.c, plot.Polygon(o.Add(-30, -88), o.Add(30, -88), o.Add(30, -82), o.Add(-22, -82), o.Add(-22, -52), o.Add(-30, -52)), 45)
		cut(s.c, plot.Polygon(o.Add(-30, -52), o.Add(-14, -52), o.Add(14, -50), o.Add(22, -44), o.Add(10, -34), o.Add(2, -42), o.Add(-18, -44), o.Add(-30, -46)), -45)
		s.c.Circle(o.Add(13, -55), 4, fine())
		cut(s.c, plot.Polygon(o.Add(-60, -100), o.Add(60, -100), o.Add(60, -88), o.Add(-60, -88)), -45)
		plot.CentreLine(s.c, o.Add(-100, 0), o.Add(100, 0), 10)
	}}
}

// sleeve is the plain turned part that stands for a part without pattern.
func (s *sheet) sleeve() view {
	return view{320, 130, func(at plot.Point) {
		o := at.Add(160, 65)
		for _, d := range []float64{-1, 1} {
			cut(s.c, plot.Polygon(plot.Pt(o.X-110, o.Y+d*22), plot.Pt(o.X+110, o.Y+d*22), plot.Pt(o.X+110, o.Y+d*44), plot.Pt(o.X-84, o.Y+d*44), plot.Pt(o.X-84, o.Y+d*58), plot.Pt(o.X-110, o.Y+d*58)), -45)
		}
		s.c.Line(o.Add(-110, -22), o.Add(-110, 22), fine())
		s.c.Line(o.Add(110, -22), o.Add(110, 22), fine())
		plot.CentreLine(s.c, o.Add(-110, 0), o.Add(110, 0), 10)
	}}
}
