package film

import (
	"fmt"
	"math"
)

// LoadTable is the load of a bearing through one cycle, in the frame of its
// sleeve: for a big end that of the rod, for a main that of the block. Angles
// are counted counter-clockwise from x to y.
type LoadTable struct {
	X, Y []float64 // force on the journal, N, equally spaced, the first at the start of the cycle
	// Turn is the journal's angular speed seen from the sleeve, rad/s, counter-
	// clockwise above nought: one for all points, or one for each.
	Turn   []float64
	Period float64 // of the cycle, s
	// Steps through the cycle; 0 for 360, which is 2° of a four-stroke cycle.
	Steps int
}

// Load is a table made ready for orbits. It is not changed by them.
type Load struct {
	Period float64
	Steps  int
	Most   float64 // greatest force, N
	at     []moment
	heavy  int // step of the greatest force, a multiple of 8 just before it
}

// moment is the load at one half of a step.
type moment struct {
	fx, fy float64 // direction of the force
	f      float64 // its size, N
	w      float64 // mean speed of journal and sleeve, rad/s
}

// NewLoad makes a load from its table. Points between those of the table lie on
// the cubic through four neighbours.
//
// Shapes: 4 to 100 000 points -> steps.
// Units:  N, rad/s, s.
// Errors: too few points, columns of unequal length, numbers that are not
// finite or beyond 1e9, a period that is not above 0, steps below 36, above
// 20 000 or odd.
func NewLoad(t LoadTable) (*Load, error) {
	n := len(t.X)
	steps := t.Steps
	if steps == 0 {
		steps = 360
	}
	switch {
	case n < 4 || n > 100_000:
		return nil, fmt.Errorf("film: a load of %d points, expected 4 to 100000", n)
	case len(t.Y) != n || len(t.Turn) != n && len(t.Turn) != 1:
		return nil, fmt.Errorf("film: a load of %d, %d and %d numbers, expected as many in each, or one speed", n, len(t.Y), len(t.Turn))
	case !(t.Period > 1e-6 && t.Period < 1e6):
		return nil, fmt.Errorf("film: a cycle of %g s, expected 1e-6 to 1e6", t.Period)
	case steps < 36 || steps > 20_000 || steps%2 != 0:
		return nil, fmt.Errorf("film: %d steps through a cycle, expected an even 36 to 20000", steps)
	}
	for _, col := range [][]float64{t.X, t.Y, t.Turn} {
		for i, x := range col {
			if !(math.Abs(x) <= 1e9) {
				return nil, fmt.Errorf("film: point %d of the load holds %g, expected a number up to 1e9", i+1, x)
			}
		}
	}
	l := &Load{Period: t.Period, Steps: steps, at: make([]moment, 2*steps+1)}
	for i := range 2 * steps {
		x := float64(i) * float64(n) / float64(2*steps)
		fx, fy := ring(t.X, x), ring(t.Y, x)
		m := moment{fx: 1, f: math.Hypot(fx, fy), w: t.Turn[0] / 2}
		if m.f > 0 {
			m.fx, m.fy = fx/m.f, fy/m.f
		}
		if len(t.Turn) > 1 {
			m.w = ring(t.Turn, x) / 2
		}
		l.at[i] = m
		if m.f > l.Most {
			l.Most, l.heavy = m.f, i/16*8
		}
	}
	l.at[2*steps] = l.at[0]
	return l, nil
}

// step is the time between two steps, s.
func (l *Load) step() float64 { return l.Period / float64(l.Steps) }

// ring is the value of a closed table at x steps from its first point.
func ring(t []float64, x float64) float64 {
	n := len(t)
	i := int(x)
	f := x - float64(i)
	if f < 1e-9 {
		return t[i%n]
	}
	w := lagrange([4]float64{-1, 0, 1, 2}, f)
	s := 0.0
	for k, wk := range w {
		s += wk * t[(i+k-1+n)%n]
	}
	return s
}
