package draw

import (
	"math"

	"fettle/internal/show/plot"
)

// valve draws one inlet valve in section in its head: seat insert, port,
// guide, spring and what opens it.
func (s *sheet) valve() view {
	g := s.g
	over := map[string]float64{"bucket": 42 + g.lift, "finger": 50 + g.lift}[s.e.Valvetrain.Kind]
	over = max(over, 32)
	k := min(1.9, 320/(g.valve+over))
	const w = 460.0
	h := (g.valve+over)*k + 34
	return view{w, h, func(at plot.Point) {
		o := plot.Pt(at.X+w/2-30, at.Y+(g.valve+over)*k)
		p := func(x, y float64) plot.Point { return o.Add(x*k, -y*k) }
		s.headMetal(p)
		s.spring(p, k)
		s.poppet(p, k)
		switch s.e.Valvetrain.Kind {
		case "bucket":
			s.bucket(p, k)
		case "finger":
			s.finger(p, k)
		default:
			s.rocker(p, k)
		}
		plot.CentreLine(s.c, p(0, 0), p(0, g.valve), 12)
		plot.Dimension(s.c, p(-g.inlet/2, 0), p(g.inlet/2, 0), -18, diameter(s.figure(s.e.Valves.InletHead)))
		x := g.inlet/2 + 22
		plot.Dimension(s.c, p(x, g.valve), p(x, 0), 44, s.figure(s.e.Valves.Length))
		s.c.Line(p(g.stem/2, g.valve), p(x, g.valve), faint())
		plot.Leader(s.c, p(-g.stem/2, 26), p(-g.inlet/2-12, 34), false, diameter(s.figure(s.e.Valves.Stem)))
	}}
}

// to is a point of the valve's drawing: x from the stem, y up from the face,
// in millimetres.
type to func(x, y float64) plot.Point

const springSeat = 58.0 // height of the spring's seat over the face, as drawn

func (s *sheet) deckOfSpring() float64 { return min(springSeat, s.g.valve*0.56) }

// headMetal cuts the head about the port, with the seat insert and the guide.
func (s *sheet) headMetal(p to) {
	g := s.g
	r, outer, top := g.inlet/2, g.inlet/2+22, s.deckOfSpring()
	bush := g.stem/2 + 3.2
	right := plot.Polyline(p(r+3.5, 0), p(outer, 0), p(outer, top), p(bush, top), p(bush, top*0.58))
	right.Curve(p(r*0.55, top*0.56), p(r-3, top*0.42), p(r-3, 6.5)).Line(p(r+3.5, 6.5)).Close()
	cut(s.c, right, -45)
	low := plot.Polyline(p(-r-3.5, 0), p(-outer, 0), p(-outer, top*0.26)).Curve(p(-outer+8, top*0.22), p(-r+3, top*0.24), p(-r+3, 6.5))
	cut(s.c, low.Line(p(-r-3.5, 6.5)).Close(), -45)
	high := plot.Polyline(p(-bush, top), p(-outer, top), p(-outer, top*0.82)).Curve(p(-outer+10, top*0.8), p(-r*0.6, top*0.62), p(-bush, top*0.58))
	cut(s.c, high.Close(), -45)
	for _, d := range []float64{-1, 1} {
		seat := plot.Polygon(p(d*(r+0.3), 0), p(d*(r+3.5), 0), p(d*(r+3.5), 6.5), p(d*(r-3), 6.5), p(d*(r-3), 4.2), p(d*(r+0.3), 1.4))
		cut(s.c, seat, 45)
		guide := plot.Polygon(p(d*(g.stem/2+0.5), top*0.52), p(d*bush, top*0.52), p(d*bush, top+10), p(d*(g.stem/2+0.5), top+10))
		cut(s.c, guide, 45)
	}
}

// poppet draws the valve itself, not cut.
func (s *sheet) poppet(p to, k float64) {
	g := s.g
	r, st := g.inlet/2, g.stem/2
	v := plot.Polyline(p(-r, 0), p(r, 0), p(r, 1.4), p(r-2.8, 4.2)).Curve(p(r*0.45, 7), p(st, 10), p(st, 24)).Line(p(st, g.valve-1)).Line(p(st-1, g.valve)).
		Line(p(-st+1, g.valve)).Line(p(-st, g.valve-1)).Line(p(-st, 24)).Curve(p(-st, 10), p(-r*0.45, 7), p(-r+2.8, 4.2)).Line(p(-r, 1.4)).Close()
	s.c.Path(v, solid())
	s.c.Line(p(-r, 1.4), p(r, 1.4), fine())
	s.c.Line(p(-st, g.valve-7), p(st, g.valve-7), fine())
}

// spring draws the coils in section under their retainer.
func (s *sheet) spring(p to, k float64) {
	g := s.g
	foot, top := s.deckOfSpring()+2, g.valve-9
	const r, wire, turns = 10.5, 1.7, 6
	for i := range turns {
		y0 := foot + (top-foot)*(float64(i)+0.3)/turns
		y1 := foot + (top-foot)*(float64(i)+0.75)/turns
		s.c.Path(plot.Polyline(p(-r, y0-wire), p(r, y1-wire)).Append(plot.Polyline(p(-r, y0+wire), p(r, y1+wire))), plot.Style{Stroke: plot.InkThin, Line: plot.Narrow})
		s.c.Circle(p(-r, y0), wire*k, solid())
		s.c.Circle(p(r, y1), wire*k, solid())
	}
	st := g.stem / 2
	for _, d := range []float64{-1, 1} {
		cut(s.c, plot.Polygon(p(d*st, top-4), p(d*(st+2.4), top-4), p(d*(st+4), top+4), p(d*st, top+4)), -45)
		cut(s.c, plot.Polygon(p(d*(st+2.6), top-2), p(d*7.4, top-2), p(d*7.4, top), p(d*13.5, top), p(d*13.5, top+3), p(d*(st+4.2), top+3)), 45)
	}
}

// lobe draws a cam above a point that it touches, its nose turned away.
func (s *sheet) lobe(p to, k, x, y, nose float64) {
	const base = 15.0
	o := p(x, y+base)
	lift := s.g.lift
	tip := away(o, (base+lift-5)*k, nose)
	half := math.Acos((base-5)/(base+lift-5)) * 180 / math.Pi
	cam := (&plot.Path{}).Arc(o, base*k, nose+half, nose+360-half).Arc(tip, 5*k, nose-half, nose+half).Close()
	s.c.Path(cam, solid())
	s.c.Circle(o, 11*k, fine())
	plot.CentreMark(s.c, o, base*k)
}

func (s *sheet) bucket(p to, k float64) {
	top := s.g.valve
	under := 1.0
	if s.e.Valvetrain.ShimPlace == "tip" || s.e.Valvetrain.ShimPlace == "pivot" {
		under = 3.0
		s.c.Path(plot.Polygon(p(-4.5, top), p(4.5, top), p(4.5, top+2.6), p(-4.5, top+2.6)), solid())
	}
	cup := plot.Polygon(p(-15.5, top-20), p(-15.5, top+under+3.2), p(15.5, top+under+3.2), p(15.5, top-20), p(13.9, top-20), p(13.9, top+under), p(-13.9, top+under), p(-13.9, top-20))
	cut(s.c, cup, -45)
	y := top + under + 3.2
	if under == 1 {
		cut(s.c, plot.Polygon(p(-12.5, y-0.4), p(12.5, y-0.4), p(12.5, y+2.6), p(-12.5, y+2.6)), 45)
		y += 2.6
	}
	s.lobe(p, k, 0, y+0.6, -60)
}

func (s *sheet) finger(p to, k float64) {
	top := s.g.valve
	pivot := 27.0
	s.c.Path(plot.Polygon(p(pivot-4.5, top-24), p(pivot+4.5, top-24), p(pivot+4.5, top-4), p(pivot-4.5, top-4)), solid())
	s.c.Circle(p(pivot, top-1), 4.2*k, solid())
	if s.e.Valvetrain.Adjust == "shim" {
		s.c.Path(plot.Polygon(p(-4, top-2.5), p(4, top-2.5), p(4, top+2), p(-4, top+2)), solid())
	}
	beam := plot.Polyline(p(-5, top+2.4)).Curve(p(-6, top+8), p(4, top+10), p(12, top+10)).Curve(p(20, top+10), p(30, top+9), p(pivot+6, top+4)).
		Line(p(pivot+5, top-1)).Line(p(pivot-5, top-1)).Curve(p(20, top+3), p(10, top+3), p(4, top+2.4)).Close()
	s.c.Path(beam, solid())
	s.c.Circle(p(14, top+7), 6.8*k, solid())
	s.c.Circle(p(14, top+7), 2.2*k, fine())
	s.lobe(p, k, 14, top+14.2, -70)
}

func (s *sheet) rocker(p to, k float64) {
	top := s.g.valve
	fulcrum, rod := 24.0, 40.0
	s.c.Path(plot.Polygon(p(rod-2.6, top-44), p(rod+2.6, top-44), p(rod+2.6, top+8), p(rod-2.6, top+8)), solid())
	plot.Break(s.c, p(rod-5, top-44), p(rod+5, top-44))
	arm := plot.Polyline(p(-5, top+1)).Curve(p(-6, top+8), p(6, top+16), p(fulcrum-6, top+19)).Line(p(fulcrum+6, top+19)).Line(p(rod+5, top+17)).Line(p(rod+5, top+9)).
		Line(p(fulcrum+7, top+6)).Line(p(fulcrum-7, top+6)).Curve(p(10, top+6), p(4, top+4), p(4, top+1)).Close()
	s.c.Path(arm, solid())
	s.c.Circle(p(fulcrum, top+12), 6*k, solid())
	plot.CentreMark(s.c, p(fulcrum, top+12), 7*k)
	s.c.Path(plot.Polygon(p(rod-3, top+6), p(rod+3, top+6), p(rod+3, top+26), p(rod-3, top+26)), solid())
	s.c.Path(plot.Polygon(p(rod-5, top+17), p(rod+5, top+17), p(rod+5, top+21), p(rod-5, top+21)), solid())
	for y := 22.0; y < 26; y += 1.4 {
		s.c.Line(p(rod-3, top+y), p(rod+3, top+y+0.8), faint())
	}
}
