package crank

import (
	"fmt"
	"math"
)

// Table is a mechanism at equal angles over 720°, ready for any speed and any
// pressure: what depends on geometry and masses alone is worked out once. It is
// never changed and may be shared between goroutines.
type Table struct {
	m    Mechanism
	n    int // points over 720°
	rows []row
}

// row is one angle of one turn; the second turn is the same.
type row struct {
	tan, over      float64 // tan β, 1/cos β
	px, py, bx, by float64 // inertia at ω = 1
	rx, ry         float64 // inertia at the big end, frame of the rod
	arm, turn      float64 // torque of a unit gas force; of inertia
	spin           float64 // (1 − dβ/dθ)/2
}

// Points of a table: even, from fewest to most.
const (
	FewestPoints = 8
	MostPoints   = 1 << 20
)

// NewTable works a mechanism out at n equal angles, the first at start.
//
// Shapes: n points over 720°, n/2 over a turn.
// Units:  rad.
// Errors: n that is odd or not from FewestPoints to MostPoints; a start that is
// not finite.
func NewTable(m Mechanism, n int, start float64) (*Table, error) {
	if err := m.asked(0); err != nil {
		return nil, err
	}
	if n < FewestPoints || n > MostPoints || n%2 != 0 {
		return nil, fmt.Errorf("crank: %d points over 720°; an even number from %d to %d is needed", n, FewestPoints, MostPoints)
	}
	if err := within("the first angle in rad", start, -1e6, 1e6); err != nil {
		return nil, err
	}
	t := &Table{m: m, n: n, rows: make([]row, n/2)}
	for i := range t.rows {
		u := m.share(start + 4*math.Pi*float64(i)/float64(n))
		t.rows[i] = row{tan: u.tan, over: 1 / u.c, px: u.px, py: u.py, bx: u.bx, by: u.by,
			rx: u.c*u.bx + u.s*u.by, ry: u.c*u.by - u.s*u.bx,
			arm: m.r * (u.sin - u.cos*u.tan), turn: m.r * (u.sin*u.bx - u.cos*u.by), spin: (1 - u.b1) / 2}
	}
	return t, nil
}

// Points is the number of angles over 720°.
func (t *Table) Points() int { return t.n }

// Mechanism is what the table was made from.
func (t *Table) Mechanism() Mechanism { return t.m }

// Loads are histories over 720°, point by point. A slice that is nil is passed
// over; any other has as many elements as the table has points.
type Loads struct {
	Pin    []Vec     // gudgeon pin on the small-end bush, cylinder frame, N
	BigEnd []Vec     // crankpin on the big-end shell, cylinder frame, N
	Rod    []Vec     // the same in the frame of the rod, N
	Thrust []float64 // piston on the bore wall, positive towards y, N
	Torque []float64 // on the crank, N·m
	Spin   []float64 // mean angular speed of pin and rod in the rod's frame, rad/s
}

// NewLoads makes room for every history of n points.
func NewLoads(n int) Loads {
	return Loads{make([]Vec, n), make([]Vec, n), make([]Vec, n), make([]float64, n), make([]float64, n), make([]float64, n)}
}

// Loads fills histories at a speed under a pressure; see At for the equations.
// It makes no garbage.
//
// Shapes: n pressures -> n of each history asked for. Point i of each is the
// table's start plus i of n parts of 720°.
// Units:  rad/s, Pa above the crankcase -> see Loads.
// Errors: a speed or a pressure that At would refuse, with its place. A slice
// of another length is a fault of the caller and panics.
func (t *Table) Loads(omega float64, gauge []float64, out *Loads) error {
	if err := t.check(omega, gauge); err != nil {
		return err
	}
	ww, area := omega*omega, t.m.area
	half := len(t.rows)
	for lap := 0; lap < t.n; lap += half {
		gas := gauge[lap : lap+half]
		if v := lapOf(out.Pin, t.n, lap, half); v != nil {
			for i := range t.rows {
				r, g := &t.rows[i], gas[i]*area
				v[i] = Vec{-g - ww*r.px, -g*r.tan - ww*r.py}
			}
		}
		if v := lapOf(out.BigEnd, t.n, lap, half); v != nil {
			for i := range t.rows {
				r, g := &t.rows[i], gas[i]*area
				v[i] = Vec{g + ww*r.bx, g*r.tan + ww*r.by}
			}
		}
		if v := lapOf(out.Rod, t.n, lap, half); v != nil {
			for i := range t.rows {
				r, g := &t.rows[i], gas[i]*area
				v[i] = Vec{g*r.over + ww*r.rx, ww * r.ry}
			}
		}
		if v := lapOf(out.Thrust, t.n, lap, half); v != nil {
			for i := range t.rows {
				r, g := &t.rows[i], gas[i]*area
				v[i] = g*r.tan + ww*r.py
			}
		}
		if v := lapOf(out.Torque, t.n, lap, half); v != nil {
			for i := range t.rows {
				r, g := &t.rows[i], gas[i]*area
				v[i] = g*r.arm + ww*r.turn
			}
		}
		if v := lapOf(out.Spin, t.n, lap, half); v != nil {
			for i := range t.rows {
				v[i] = omega * t.rows[i].spin
			}
		}
	}
	return nil
}

func (t *Table) check(omega float64, gauge []float64) error {
	if err := within("the speed in rad/s", omega, -MostSpeed, MostSpeed); err != nil {
		return err
	}
	if len(gauge) != t.n {
		panic(fmt.Sprintf("crank: %d pressures for a table of %d points", len(gauge), t.n))
	}
	for i, p := range gauge {
		if !(p >= -MostPressure && p <= MostPressure) {
			return fmt.Errorf("crank: pressure %d of %d is %g Pa; it must be from %g to %g", i, t.n, p, -MostPressure, MostPressure)
		}
	}
	return nil
}

// lapOf is one turn of a history, nil where it was not asked for.
func lapOf[T any](s []T, n, lap, half int) []T {
	if s == nil {
		return nil
	}
	if len(s) != n {
		panic(fmt.Sprintf("crank: room for %d points in a history of %d", len(s), n))
	}
	return s[lap : lap+half]
}
