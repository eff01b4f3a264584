package draw

import (
	"strconv"

	"fettle/internal/show/plot"
)

// items lays the cylinders out in rows of columns, each column at least
// narrow wide, and draws each at the middle of its column's top.
func (s *sheet) items(narrow, high float64, draw func(at plot.Point, col float64, cyl int)) view {
	rows, most := s.g.inRows(), 0
	for _, r := range rows {
		most = max(most, len(r))
	}
	col := max(narrow, min(170, (full-10)/float64(most)))
	v := view{w: col*float64(most) + 6, h: (high+gap)*float64(len(rows)) - gap}
	v.draw = func(at plot.Point) {
		for r, cyls := range rows {
			for i, cyl := range cyls {
				draw(at.Add(3+col*(float64(i)+0.5), float64(r)*(high+gap)), col, cyl)
			}
		}
	}
	return v
}

// rods draws every rod from the front: big end with its measuring lines, the
// joint and its bolts, the small end.
func (s *sheet) rods() view {
	g := s.g
	k := min(1.05, 230/(g.rod+g.pin+g.bore*0.3))
	eye := g.bore*0.13*k + 5*k
	high := eye + g.rod*k + g.pin*0.5*k + 50
	return s.items(92, high, func(at plot.Point, col float64, cyl int) {
		name := strconv.Itoa(cyl)
		pin := at.Add(0, eye+10)
		crank := pin.Add(0, g.rod*k)
		plot.CentreLine(s.c, pin.Add(0, -eye), crank.Add(0, g.pin*0.5*k+26), 4)
		s.rodFigure(pin, crank, k)
		number(s.c, pin.Add(-eye-12, -eye+4), name)
		s.rodSeats(pin, crank, k, name)
		if cyl == g.banks[0][0] {
			s.rodDimensions(pin, crank, k, col)
		}
	})
}

func (s *sheet) rodSeats(pin, crank plot.Point, k float64, name string) {
	ringAt := max(30, s.g.pin*0.5*k)
	angles := []float64{-90, -30, -150, 90, 30, 150}
	for i, v := range s.values("around") {
		p := away(crank, ringAt, angles[i%len(angles)])
		s.c.Line(crank, p, faint())
		s.seat(p, "cyl", name, "around", v)
	}
	for i, v := range s.values("half") {
		s.seat(crank.Add(0, []float64{-ringAt, ringAt}[i%2]), "cyl", name, "half", v)
	}
	for i, v := range s.values("bolt") {
		s.seat(crank.Add([]float64{-30, 30}[i%2], s.g.pin*0.5*k+14+touch*float64(i/2)), "cyl", name, "bolt", v)
	}
	for i, v := range s.values("axis") {
		s.seat(pin.Add([]float64{-13, 13}[i%2], touch*float64(i/2)), "cyl", name, "axis", v)
	}
	for i, v := range s.values("plane") {
		s.seat(crank.Add([]float64{-13, 13}[i%2], 4+touch*float64(i/2)), "cyl", name, "plane", v)
	}
	for i, v := range s.values("spot") {
		s.seat(crank.Add(touch*(float64(i)-1), 4), "cyl", name, "spot", v)
	}
	s.seat(pin.Add(0, (crank.Y-pin.Y)*0.48), "cyl", name)
}

// values are the places of a dimension, if the component is measured in it
// and they are few enough to be drawn apart.
func (s *sheet) values(dim string) []string {
	d := s.l.Dims[dim]
	if d == nil || len(d.Values) > 6 {
		return nil
	}
	for _, i := range s.places {
		if contains(s.l.Places[i].Char.Per, dim) {
			return d.Values
		}
	}
	return nil
}

func (s *sheet) rodDimensions(pin, crank plot.Point, k, col float64) {
	if col < 130 {
		return
	}
	x := s.g.pin*0.5*k + 16
	plot.Dimension(s.c, plot.Pt(pin.X+x, pin.Y), plot.Pt(crank.X+x, crank.Y), 8, s.figure(s.e.Rod))
}
