package draw

import (
	"strconv"

	"fettle/internal/show/plot"
)

// pistons draws every piston from the side with its ring grooves, skirt and
// pin.
func (s *sheet) pistons() view {
	g := s.g
	rows, most := g.inRows(), 0
	for _, r := range rows {
		most = max(most, len(r))
	}
	col := max(100, min(170, (full-10)/float64(most)))
	k := min(1.15, (col-52)/g.bore)
	tall := max((g.crown+g.bore*0.27)*k+16, 96)
	return s.items(100, tall+52, func(at plot.Point, col float64, cyl int) {
		name := strconv.Itoa(cyl)
		pin := at.Add(0, 30+g.crown*k)
		if s.uses("ring") {
			pin.X -= 8
		}
		s.pistonFigure(pin, g.bore/2*k, k)
		plot.CentreLine(s.c, pin.Add(0, -g.crown*k), pin.Add(0, g.bore*0.27*k), 6)
		number(s.c, pin.Add(-g.bore/2*k+4, -g.crown*k-11), name)
		s.pistonSeats(pin, k, name)
		if cyl == g.banks[0][0] && col >= 120 {
			low := pin.Y + g.bore*0.27*k
			plot.Dimension(s.c, plot.Pt(pin.X-g.bore/2*k, low), plot.Pt(pin.X+g.bore/2*k, low), -16, diameter(s.figure(s.e.Bore)))
		}
	})
}

func (s *sheet) pistonSeats(pin plot.Point, k float64, name string) {
	g := s.g
	r, top := g.bore/2*k, pin.Y-g.crown*k
	grooves := g.grooves()
	for i, v := range s.values("ring") {
		y := top + 6 + touch*float64(i)
		tip := plot.Pt(pin.X+r, top+grooves[min(i, 2)]*k+2)
		s.c.Line(tip, plot.Pt(pin.X+r+14, y), plot.Style{Stroke: plot.InkThin, Line: plot.Narrow})
		s.seat(plot.Pt(pin.X+r+14, y), "cyl", name, "ring", v)
	}
	high, low := top+g.ringLand()*k, pin.Y+g.bore*0.27*k
	levels := s.values("level")
	for i, v := range levels {
		t := (float64(i) + 0.5) / float64(len(levels))
		level := high + (low-high)*t
		y := (high+low)/2 + touch*(float64(i)-float64(len(levels)-1)/2)
		s.c.Line(plot.Pt(pin.X-r, level), plot.Pt(pin.X-r+9, level), fine())
		s.c.Line(plot.Pt(pin.X-r, level), plot.Pt(pin.X-r-14, y), plot.Style{Stroke: plot.InkThin, Line: plot.Narrow})
		s.seat(plot.Pt(pin.X-r-14, y), "cyl", name, "level", v)
	}
	for i, v := range s.values("axis") {
		s.seat(pin.Add([]float64{-13, 13}[i%2], touch*float64(i/2)), "cyl", name, "axis", v)
	}
	for i, v := range s.values("plane") {
		s.seat(pin.Add([]float64{-13, 13}[i%2], touch*(1+float64(i/2))), "cyl", name, "plane", v)
	}
	s.seat(plot.Pt(pin.X, top-12), "cyl", name)
}
