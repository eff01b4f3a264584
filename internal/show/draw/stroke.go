package draw

import (
	"fettle/internal/show/plot"
)

// stroke draws a section across the crank through one bore: the piston at
// top dead centre on its rod, the crank circle, and the heights at which the
// bore is gauged.
func (s *sheet) stroke() view {
	g := s.g
	k := min(1.3, 400/(g.deck+g.stroke/2+g.pin))
	w, h := 430.0, (g.deck+g.stroke/2+g.pin*0.8)*k+44
	return view{w, h, func(at plot.Point) {
		o := plot.Pt(at.X+w/2-10, at.Y+40+g.deck*k)
		deck := o.Add(0, -g.deck*k)
		s.sectionWalls(deck, k)
		s.crankCircle(o, k)
		pin := o.Add(0, -(g.stroke/2+g.rod)*k)
		s.rodFigure(pin, o.Add(0, -g.stroke/2*k), k)
		s.pistonFigure(pin, g.bore/2*k-1, k)
		plot.CentreLine(s.c, deck.Add(0, -10), o.Add(0, g.stroke/2*k), 8)
		s.strokeDimensions(o, deck, pin, k)
	}}
}

// sectionWalls cuts the block on both sides of the bore, with its water.
func (s *sheet) sectionWalls(deck plot.Point, k float64) {
	g := s.g
	r, wall, deep := g.bore/2*k, s.wall()*k, g.depth*k
	outer := (g.bore/2 + s.wall() + 12) * k
	for _, d := range []float64{-1, 1} {
		x := func(v float64) float64 { return deck.X + d*v }
		top := deck.Y
		shell := plot.Polygon(plot.Pt(x(r+wall), top), plot.Pt(x(outer+7*k), top), plot.Pt(x(outer+7*k), top+deep+10*k), plot.Pt(x(r), top+deep+10*k),
			plot.Pt(x(r), top+deep*0.72), plot.Pt(x(outer), top+deep*0.72), plot.Pt(x(outer), top+8*k), plot.Pt(x(r+wall), top+8*k))
		if s.e.Block.Liner == "wet" {
			shell = plot.Polygon(plot.Pt(x(r+wall+4*k), top), plot.Pt(x(outer+7*k), top), plot.Pt(x(outer+7*k), top+deep+10*k), plot.Pt(x(r+wall), top+deep+10*k),
				plot.Pt(x(r+wall), top+deep*0.72), plot.Pt(x(outer), top+deep*0.72), plot.Pt(x(outer), top+10*k), plot.Pt(x(r+wall+4*k), top+10*k))
		}
		cut(s.c, shell, -45*d)
		liner := plot.Polygon(plot.Pt(x(r), top), plot.Pt(x(r+wall), top), plot.Pt(x(r+wall), top+deep*0.72), plot.Pt(x(r), top+deep*0.72))
		if s.e.Block.Liner == "wet" {
			liner = plot.Polygon(plot.Pt(x(r), top-1), plot.Pt(x(r+wall+4*k), top-1), plot.Pt(x(r+wall+4*k), top+8*k), plot.Pt(x(r+wall), top+8*k), plot.Pt(x(r+wall), top+deep), plot.Pt(x(r), top+deep))
		}
		if s.e.Block.Liner == "dry" {
			liner = plot.Polygon(plot.Pt(x(r), top), plot.Pt(x(r+wall), top), plot.Pt(x(r+wall), top+deep), plot.Pt(x(r), top+deep))
		}
		angle := -45 * d
		if s.e.Block.Liner != "none" {
			angle = 45 * d
		}
		cut(s.c, liner, angle)
		s.c.Line(plot.Pt(x(r), top-2.5), plot.Pt(x(outer+7*k), top-2.5), plot.Style{Stroke: plot.InkPen, Line: plot.Heavy}) // gasket
	}
}

func (s *sheet) crankCircle(o plot.Point, k float64) {
	g := s.g
	s.c.Circle(o, g.stroke/2*k, plot.Style{Stroke: plot.InkThin, Line: plot.Chain})
	web := (&plot.Path{}).Arc(o.Add(0, -g.stroke/2*k), g.pin*0.62*k, -180, 0).Arc(o, g.stroke*0.62*k, 20, 160).Close()
	s.c.Path(web, plot.Style{Fill: plot.InkGround, Stroke: plot.InkPen, Line: plot.Narrow})
	s.c.Circle(o, g.main/2*k, edge())
	plot.CentreMark(s.c, o, g.main/2*k)
	s.c.Circle(o.Add(0, g.stroke/2*k), g.pin/2*k, hidden())
}

// rodFigure draws a rod from its pin down to its crankpin.
func (s *sheet) rodFigure(pin, crank plot.Point, k float64) {
	g := s.g
	big, little := g.pin*0.5*k, g.bore*0.13*k
	out, eye := big+min(9*k, 12), little+5*k
	beam := plot.Polygon(pin.Add(-eye*0.62, eye*0.7), pin.Add(eye*0.62, eye*0.7), crank.Add(out*0.5, -out*0.8), crank.Add(-out*0.5, -out*0.8))
	s.c.Path(beam, solid())
	s.c.Path(plot.Polyline(pin.Add(-eye*0.25, eye*1.5), crank.Add(-out*0.2, -out*1.3)).Append(plot.Polyline(pin.Add(eye*0.25, eye*1.5), crank.Add(out*0.2, -out*1.3))), fine())
	for _, d := range []float64{-1, 1} { // bolt bosses beside the big end
		x := crank.X + d*(big+4*k) - 4.5*k
		s.c.Path(round(x, crank.Y-13*k, 9*k, 30*k, 2), solid())
		s.c.Path(plot.Box(x+1.5*k, crank.Y+17*k, 6*k, 4*k), solid())
		plot.CentreLine(s.c, plot.Pt(x+4.5*k, crank.Y-15*k), plot.Pt(x+4.5*k, crank.Y+23*k), 0)
	}
	s.c.Circle(crank, out, solid())
	s.c.Circle(pin, eye, solid())
	s.c.Circle(pin, little, edge())
	if s.e.BigEnd == "roller" {
		s.c.Circle(crank, big+3.4*k, fine())
		for i := range 16 {
			s.c.Circle(away(crank, big+1.7*k, 22.5*float64(i)), 1.6*k, fine())
		}
		s.c.Circle(crank, big, fine())
	} else {
		s.c.Circle(crank, big+1.6*k, fine())
		s.c.Circle(crank, big, edge())
		s.c.Line(crank.Add(-out-5*k, 0), crank.Add(-big, 0), fine())
		s.c.Line(crank.Add(big, 0), crank.Add(out+5*k, 0), fine())
	}
}

// pistonFigure draws a piston from the side, its pin at a point.
func (s *sheet) pistonFigure(pin plot.Point, r, k float64) {
	g := s.g
	top := pin.Y - g.crown*k
	skirt := pin.Y + g.bore*0.27*k
	crown := g.ringLand()
	body := plot.Polygon(plot.Pt(pin.X-r+1, top), plot.Pt(pin.X+r-1, top), plot.Pt(pin.X+r-0.5, top+crown*k), plot.Pt(pin.X+r, skirt), plot.Pt(pin.X+r*0.72, skirt),
		plot.Pt(pin.X+r*0.62, skirt-7*k), plot.Pt(pin.X-r*0.62, skirt-7*k), plot.Pt(pin.X-r*0.72, skirt), plot.Pt(pin.X-r, skirt), plot.Pt(pin.X-r+0.5, top+crown*k))
	s.c.Path(body, solid())
	for i, y := range g.grooves() {
		deep := []float64{1.6, 1.8, 3}[i] * k
		s.c.Rect(pin.X-r, top+y*k, 2*r, max(2, deep*0.8), plot.Style{Fill: plot.InkTint, Stroke: plot.InkPen, Line: plot.Narrow})
	}
	s.c.Circle(pin, g.bore*0.13*k, edge())
	s.c.Circle(pin, g.bore*0.075*k, fine())
	plot.CentreMark(s.c, pin, g.bore*0.15*k)
}

// grooves are the tops of the three ring grooves below the crown, in
// millimetres; ringLand is where they end.
func (g geometry) grooves() []float64 {
	h := min(g.crown-g.bore*0.15, g.bore*0.26)
	h = max(h, g.bore*0.14)
	return []float64{h * 0.24, h * 0.54, h * 0.82}
}

func (g geometry) ringLand() float64 { return g.grooves()[2] + 4 }

func (s *sheet) strokeDimensions(o, deck, pin plot.Point, k float64) {
	g, e := s.g, s.e
	r, right := g.bore/2*k, (g.bore/2+s.wall()+19)*k
	plot.Dimension(s.c, deck.Add(-r, -4), deck.Add(r, -4), 20, diameter(s.figure(e.Bore)))
	plot.Dimension(s.c, plot.Pt(deck.X+right, deck.Y), plot.Pt(o.X+right, o.Y), 66, s.figure(e.DeckHeight))
	plot.Dimension(s.c, plot.Pt(deck.X-right, pin.Y), plot.Pt(deck.X-right, o.Y-g.stroke/2*k), -22, s.figure(e.Rod))
	plot.Dimension(s.c, plot.Pt(deck.X-right, pin.Y-g.crown*k), plot.Pt(deck.X-right, pin.Y), -22, s.figure(e.CompressionHeight))
	left := g.stroke * 0.66 * k
	plot.Dimension(s.c, o.Add(-left, -g.stroke/2*k), o.Add(-left, g.stroke/2*k), -max(26, right+52-left), s.figure(e.Stroke))
	s.c.Line(o.Add(-g.pin/2*k, g.stroke/2*k), o.Add(-left, g.stroke/2*k), faint())
	d := s.l.Dims["height"]
	for i, v := range d.Values {
		at, ok := d.At[v]
		if !ok || i > 5 {
			continue
		}
		y := deck.Y + at[2]*1000*k
		s.c.Line(plot.Pt(deck.X-r, y), plot.Pt(deck.X+right+8, y), faint())
		s.c.Text(plot.Pt(deck.X+right+11, y), plot.Text{S: v, Base: plot.CapMiddle, Ink: plot.InkThin, Halo: true})
	}
}
