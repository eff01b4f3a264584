package draw

import (
	"math"
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

// tally draws the places of one dimension in a row, each with its index and
// the cells of its pattern.
func (s *sheet) tally(dim string) view {
	pat, values := s.grid(dim), s.l.Dims[dim].Values
	if dim == "cyl" && s.e.Layout != "inline" {
		values = nil
		for _, row := range s.g.inRows() {
			for _, c := range row {
				values = append(values, s.l.Dims["cyl"].Values[c-1])
			}
		}
	}
	most := 0.0
	for _, v := range values {
		most = max(most, plot.Width(v, plot.SizeText, plot.Bold))
	}
	step := max(pat.w()+18, most+16, 44)
	per := max(1, min(len(values), int((full-60)/step)))
	step = max(step, min(120, (full-60)/float64(max(per, 1))))
	rows := (len(values) + per - 1) / per
	high := 30 + max(pat.h(), touch) + 16
	return view{step*float64(per) + 40, high * float64(rows), func(at plot.Point) {
		for i, v := range values {
			p := at.Add(20+step*(float64(i%per)+0.5), high*float64(i/per))
			number(s.c, p.Add(0, 10), v)
			frame := p.Add(-pat.w()/2, 30)
			s.c.Rect(frame.X-5, frame.Y-3, pat.w()+10, max(pat.h(), touch)+6, fine())
			ln := pat.even()
			for k, name := range pat.cols {
				small(s.c, frame.Add(ln.x[k], max(pat.h(), touch)+11), name)
			}
			if i%per == 0 {
				for k, name := range pat.rows {
					s.c.Text(frame.Add(-8, ln.y[k]), plot.Text{S: name, Anchor: plot.End, Base: plot.CapMiddle, Ink: plot.InkThin})
				}
			}
			pat.seats(frame, ln, v)
		}
	}}
}

// gerotor draws an oil pump of two rotors, six lobes in seven. Their outlines
// are the cycloids of one rolling circle of half the eccentricity e, on pitch
// circles of 6e and 7e: so the rotors touch at every lobe and cross nowhere.
func (s *sheet) gerotor() view {
	const r, inner, ecc = 92.0, 6, 9.0
	return view{2*r + 60, 2*r + 30, func(at plot.Point) {
		o := at.Add(r+30, r+15)
		cut(s.c, ring(o, r+12, r), -45)
		s.c.Circle(o, r-1.5, edge())
		s.c.Path(cycloids(o, ecc, inner+1), solid())
		c := o.Add(0, ecc)
		s.c.Path(cycloids(c, ecc, inner), plot.Style{Fill: plot.InkTint, Stroke: plot.InkPen, Line: plot.Wide})
		s.c.Circle(c, 16, solid())
		plot.CentreMark(s.c, o, r+12)
		plot.CentreMark(s.c, c, 16)
	}}
}

// cycloids is the outline of a rotor of n lobes about a point, one of them
// straight down: arcs of the epicycloid and of the hypocycloid of a circle of
// radius ρ = e/2 on a pitch circle of radius P = n·e, in turn.
//
//	r = (P ± ρ)(cos t, sin t) ∓ ρ(cos (P ± ρ)t/ρ, ±sin (P ± ρ)t/ρ)
func cycloids(o plot.Point, e float64, n int) *plot.Path {
	p := &plot.Path{}
	pitch, roll := float64(n)*e, e/2
	const steps = 14
	for arch := range 2 * n {
		from := math.Pi/float64(n)*float64(arch) + math.Pi/2 - math.Pi/2/float64(n)
		sign := 1.0 // outward first
		if arch%2 == 1 {
			sign = -1
		}
		for i := range steps {
			t := math.Pi / float64(n) * float64(i) / steps
			k := (pitch + sign*roll) / roll * t
			x := (pitch+sign*roll)*math.Cos(t) - sign*roll*math.Cos(k)
			y := (pitch+sign*roll)*math.Sin(t) - roll*math.Sin(k)
			sin, cos := math.Sincos(from)
			q := o.Add(x*cos-y*sin, x*sin+y*cos)
			if arch == 0 && i == 0 {
				p.Move(q)
			} else {
				p.Line(q)
			}
		}
	}
	return p.Close()
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
