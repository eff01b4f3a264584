package draw

import (
	"math"
	"strconv"

	"fettle/internal/show/plot"
)

// axis is the lie of the crank on the sheet.
type axis struct {
	x0, y, scale float64
	mains, pins  []float64 // millimetres from the first pin
}

func (a axis) x(mm float64) float64 { return a.x0 + mm*a.scale }

// crankAxis lays the crank out so that what is measured on each main fits
// over it, and on each pin under it.
func (s *sheet) crankAxis(room float64, mains, pins grid) axis {
	a := axis{}
	a.mains, a.pins = s.g.stations()
	long := a.mains[len(a.mains)-1] - a.mains[0] + 0.75*s.g.spacing
	widest := max(mains.w(), pins.w(), touch) + 12
	a.scale = min(1.25, room/long)
	a.scale = max(a.scale, widest/s.g.pitch)
	return a
}

// long is the length of the crank on the sheet with its nose and flange.
func (a axis) long(s *sheet) float64 {
	return (a.mains[len(a.mains)-1] - a.mains[0] + 0.75*s.g.spacing) * a.scale
}

// crank draws the shaft along its axis with the throws at their angles, the
// detail of each main above it and of each pin below, and the throws as seen
// from the free end.
func (s *sheet) crank() view {
	const left, star = 46.0, 150.0
	mains, pins := s.grid("main"), s.grid("pin")
	if len(pins.cols) == 0 && len(pins.rows) == 0 && !pins.corner {
		pins = s.pinsByCylinder(pins)
	}
	a := s.crankAxis(full-left-star-30, mains, pins)
	reach := (s.g.stroke/2 + s.g.pin*0.62) * a.scale
	above, below := s.bandHeight(mains), s.bandHeight(pins)
	wide := left + a.long(s) + 20 + star
	v := view{w: wide, h: above + 2*reach + below + 56}
	v.draw = func(at plot.Point) {
		a := a
		a.x0 = at.X + left + (0.42*s.g.spacing-a.mains[0])*a.scale
		a.y = at.Y + above + reach + 18
		s.shaft(a)
		for i, m := range a.mains {
			s.band(mains, plot.Pt(a.x(m), at.Y+above), plot.Pt(a.x(m), a.y-s.g.main/2*a.scale), true, strconv.Itoa(i+1))
		}
		angle := s.g.throws(s.e)
		for i, p := range a.pins {
			low := a.y - s.g.stroke/2*a.scale*math.Cos(angle[i]*math.Pi/180) + s.g.pin/2*a.scale
			s.band(pins, plot.Pt(a.x(p), a.y+reach+18), plot.Pt(a.x(p), low), false, strconv.Itoa(i+1))
		}
		s.crankDimensions(a, reach)
		s.star(plot.Pt(at.X+wide-star/2, a.y), star/2-20)
	}
	return v
}

// pinsByCylinder takes a pattern that is written per cylinder onto the pins.
func (s *sheet) pinsByCylinder(pins grid) grid {
	byCyl := s.grid("cyl")
	if len(byCyl.cols) == 0 && len(byCyl.rows) == 0 && !byCyl.corner {
		return pins
	}
	if s.g.pins != s.g.n {
		pins.corner = true
		return pins
	}
	byCyl.item = []string{"pin"}
	return byCyl
}

// bandHeight is the room the details over or under the shaft take.
func (s *sheet) bandHeight(p grid) float64 {
	if p.down() == 0 {
		return 0
	}
	return p.h() + 20
}

// band draws the detail of one journal: the cells of its pattern in a frame,
// tied to the journal by a thin line. at is the middle of the frame's edge
// that faces the shaft.
func (s *sheet) band(p grid, at, tip plot.Point, over bool, index string) {
	if p.down() == 0 {
		return
	}
	top := at.Y + 16
	if over {
		top = at.Y - p.h() - 4
	}
	frame := plot.Pt(at.X-p.w()/2, top)
	end := plot.Pt(at.X, top)
	if over {
		end.Y = top + p.h() + 2
	}
	s.c.Line(end, tip, plot.Style{Stroke: plot.InkThin, Line: plot.Narrow})
	if len(p.cols) > 0 || len(p.rows) > 0 {
		s.c.Rect(frame.X, frame.Y, p.w(), p.h(), plot.Style{Fill: plot.InkGround, Stroke: plot.InkThin, Line: plot.Hair})
	}
	ln, names := p.even(), frame.Y-7
	if !over {
		names += p.h() + 14
	}
	for i, v := range p.cols {
		small(s.c, plot.Pt(frame.X+ln.x[i], names), v)
	}
	if index == "1" {
		for j, v := range p.rows {
			s.c.Text(plot.Pt(frame.X-3, frame.Y+ln.y[j]), plot.Text{S: v, Anchor: plot.End, Base: plot.CapMiddle, Ink: plot.InkThin, Halo: true})
		}
	}
	p.seats(frame, ln, index)
}

// shaft draws webs, journals and ends.
func (s *sheet) shaft(a axis) {
	g, angle := s.g, s.g.throws(s.e)
	first, last := a.mains[0], a.mains[len(a.mains)-1]
	r, half := g.main/2*a.scale, g.pitch*0.16*a.scale
	nose := s.box(a.x(first)-0.38*g.spacing*a.scale, a.y, 0.38*g.spacing*a.scale-half, g.main*0.32*a.scale)
	s.c.Path(nose, solid())
	flange := a.x(last) + half
	s.c.Path(s.box(flange, a.y, 0.07*g.spacing*a.scale, g.main*0.62*a.scale), solid())
	s.c.Path(s.box(flange+0.07*g.spacing*a.scale, a.y, 0.07*g.spacing*a.scale, g.main*0.8*a.scale), solid())
	for back := range 2 { // what lies behind the axis first
		for i, p := range a.pins {
			if (math.Sin(angle[i]*math.Pi/180) >= -1e-9) == (back == 1) {
				s.throw(a, i, p, angle[i])
			}
		}
	}
	for i, m := range a.mains {
		s.c.Path(s.box(a.x(m)-half, a.y, 2*half, r), solid())
		s.planes(a.x(m), a.y, half, r)
		number(s.c, plot.Pt(a.x(m), a.y), strconv.Itoa(i+1))
	}
	plot.CentreLine(s.c, plot.Pt(a.x(first)-0.42*g.spacing*a.scale, a.y), plot.Pt(a.x(last)+0.33*g.spacing*a.scale, a.y), 0)
}

// box is a turned part from x to the right, about a level, of a half height.
func (s *sheet) box(x, y, w, half float64) *plot.Path { return round(x, y-half, w, 2*half, 2) }

func (s *sheet) crankDimensions(a axis, reach float64) {
	g := s.g
	first := a.mains[0]
	x := a.x(first) - 0.36*g.spacing*a.scale
	plot.Leader(s.c, plot.Pt(a.x(first)-g.pitch*0.12*a.scale, a.y+g.main/2*a.scale), plot.Pt(x+14, a.y+reach+8), false, diameter(s.figure(s.e.MainJournal)))
	angle := g.throws(s.e)
	last := len(a.pins) - 1
	y := a.y - g.stroke/2*a.scale*math.Cos(angle[last]*math.Pi/180)
	plot.Leader(s.c, plot.Pt(a.x(a.pins[last])+g.pitch*0.1*a.scale, y-g.pin/2*a.scale), plot.Pt(a.x(a.mains[len(a.mains)-1])+6, a.y-reach-2), false, diameter(s.figure(s.e.PinJournal)))
}
