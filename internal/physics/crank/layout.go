package crank

import (
	"fmt"
	"math"
)

// Layout says how throws, cylinders and main bearings stand to each other. Any
// number of cylinders may share a throw; forked and articulated rods are not
// known.
type Layout struct {
	Throws    []Throw
	Cylinders []Place
	Mains     []float64 // places of the main bearings along the crank, rising, m
}

// Throw is one crankpin with its webs.
type Throw struct {
	Phase float64 // how far it stands ahead of the crank's mark in the sense of rotation, rad
	At    float64 // its place along the crank, m
	// Unbalance is mass times radius of pin, webs and counterweights, kg·m, in
	// the frame of the throw: x out along it, y a quarter turn on. A
	// counterweight opposite to the pin counts negative in x. Rods are not in it.
	Unbalance Vec
}

// Place is where a cylinder stands and when it fires.
type Place struct {
	Throw int     // which of the throws its rod is on
	Bank  float64 // its axis from that of the block in the sense of rotation, rad
	Fires float64 // angle of the crank at which it stands at its firing top, 0 to 4π
}

// Most throws, cylinders and mains that are taken.
const mostPlaces = 64

// near is how far a firing angle may lie off a top dead centre, rad.
const near = 1e-6

// check refuses what no engine can be, with the place of it.
func (l Layout) check() error {
	for _, c := range []struct {
		what        string
		n, from, to int
	}{{"throws", len(l.Throws), 1, mostPlaces}, {"cylinders", len(l.Cylinders), 1, mostPlaces}, {"main bearings", len(l.Mains), 2, mostPlaces}} {
		if c.n < c.from || c.n > c.to {
			return fmt.Errorf("crank: %d %s; from %d to %d are taken", c.n, c.what, c.from, c.to)
		}
	}
	for i, at := range l.Mains {
		if err := within(fmt.Sprintf("the place of main %d in m", i+1), at, -100, 100); err != nil {
			return err
		}
		if i > 0 && at-l.Mains[i-1] < 1e-6 {
			return fmt.Errorf("crank: main %d stands at %g m and main %d at %g m; each must be beyond the one before", i, l.Mains[i-1], i+1, at)
		}
	}
	for i, t := range l.Throws {
		for _, err := range []error{
			within(fmt.Sprintf("the phase of throw %d in rad", i+1), t.Phase, -4*math.Pi, 4*math.Pi),
			within(fmt.Sprintf("the place of throw %d in m, between the outer mains,", i+1), t.At, l.Mains[0], l.Mains[len(l.Mains)-1]),
			within(fmt.Sprintf("the unbalance of throw %d in kg·m", i+1), t.Unbalance.Length(), 0, 1e3),
		} {
			if err != nil {
				return err
			}
		}
	}
	for i, c := range l.Cylinders {
		if c.Throw < 0 || c.Throw >= len(l.Throws) {
			return fmt.Errorf("crank: cylinder %d is on throw %d; there are %d", i+1, c.Throw+1, len(l.Throws))
		}
		for _, err := range []error{
			within(fmt.Sprintf("the bank angle of cylinder %d in rad", i+1), c.Bank, -2*math.Pi, 2*math.Pi),
			within(fmt.Sprintf("the firing angle of cylinder %d in rad", i+1), c.Fires, 0, 4*math.Pi),
		} {
			if err != nil {
				return err
			}
		}
		if off := math.Abs(math.Remainder(c.Fires-l.top(i), 2*math.Pi)); off > near {
			return fmt.Errorf("crank: cylinder %d is to fire at %.6g rad, but its throw stands at its top at %.6g rad, %.3g rad away", i+1, c.Fires, l.top(i), off)
		}
	}
	return nil
}

// top is the angle of the crank in 0 to 2π at which the throw of a cylinder
// stands at the cylinder's axis.
func (l Layout) top(cylinder int) float64 {
	c := l.Cylinders[cylinder]
	a := math.Mod(c.Bank-l.Throws[c.Throw].Phase, 2*math.Pi)
	if a < 0 {
		a += 2 * math.Pi
	}
	if 2*math.Pi-a < near { // a turn less a rounding is none
		a = 0
	}
	return a
}

// Firing returns the layout with the firing angles that an order gives: each
// cylinder fires at the first top after the one before it in the order. The
// first fires at its first top of the crank's mark.
//
// Shapes: order of cylinders, counted from one -> a layout of its own.
// Errors: an order that does not name each cylinder once; one that takes more
// than 720°, because throws and banks do not allow it.
// Source: common practice: firing order is counted over 720° of the crank.
func (l Layout) Firing(order []int) (Layout, error) {
	l.Cylinders = append([]Place(nil), l.Cylinders...)
	seen := make([]bool, len(l.Cylinders))
	if len(order) != len(seen) {
		return Layout{}, fmt.Errorf("crank: a firing order of %d for %d cylinders", len(order), len(seen))
	}
	last := 0.0
	for i, k := range order {
		if k < 1 || k > len(seen) || seen[k-1] {
			return Layout{}, fmt.Errorf("crank: firing order %v must name each of the %d cylinders once", order, len(seen))
		}
		seen[k-1] = true
		if t := l.Cylinders[k-1].Throw; t < 0 || t >= len(l.Throws) {
			return Layout{}, fmt.Errorf("crank: cylinder %d is on throw %d; there are %d", k, t+1, len(l.Throws))
		}
		top := l.top(k - 1)
		if math.IsNaN(top) {
			return Layout{}, fmt.Errorf("crank: the bank of cylinder %d or the phase of its throw is no number", k)
		}
		for i > 0 && top <= last+near {
			top += 2 * math.Pi
		}
		l.Cylinders[k-1].Fires, last = top, top
	}
	first := l.Cylinders[order[0]-1].Fires
	if last-first > 4*math.Pi-near {
		return Layout{}, fmt.Errorf("crank: firing order %v takes %.0f° of the crank; throws and banks allow no such order in 720°", order, (last-first)*180/math.Pi)
	}
	for i := range l.Cylinders {
		l.Cylinders[i].Fires = math.Mod(l.Cylinders[i].Fires, 4*math.Pi)
	}
	return l, nil
}

// Intervals are the angles from each firing to the next, in the order in which
// the cylinders fire, with that order counted from one.
//
// Units: rad; they add up to 4π.
// Errors: none for a layout that NewEngine takes.
func (l Layout) Intervals() (order []int, gaps []float64) {
	for i := range l.Cylinders {
		order = append(order, i+1)
		for k := i; k > 0 && l.Cylinders[order[k-1]-1].Fires > l.Cylinders[order[k]-1].Fires; k-- {
			order[k-1], order[k] = order[k], order[k-1]
		}
	}
	for i, k := range order {
		next := l.Cylinders[order[(i+1)%len(order)]-1].Fires
		if i == len(order)-1 {
			next += 4 * math.Pi
		}
		gaps = append(gaps, next-l.Cylinders[k-1].Fires)
	}
	return order, gaps
}
