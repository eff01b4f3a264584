package crank

import (
	"fmt"
	"math"
)

// Engine is a layout with its mechanisms at n equal angles of the crank, ready
// for any speed and pressures. It is never changed and may be shared.
type Engine struct {
	layout  Layout
	tables  []*Table // of each cylinder, first point at the crank's mark
	shift   []shift  // of each cylinder's own cycle against the crank's mark
	turns   []Vec    // cosine and sine of each bank
	wheel   []Vec    // cosine and sine of the crank's angles over a turn
	weight  []Vec    // unbalance of each throw with its mark up
	share   []lever  // of each throw on the mains beside it
	n, half int
}

// shift is how a cylinder's own history is read at the crank's angles: k points
// later and a part of the next.
type shift struct {
	k    int
	part float64
}

// lever is the main before a throw and what it carries of its load; the main
// behind it carries the rest.
type lever struct {
	main   int
	before float64
}

// NewEngine joins a layout with a mechanism for each cylinder.
//
// A throw's load is split between the two mains beside it by the lever rule, a
// half each where the throw stands midway: the crank is taken as cut in the
// middle of each main ("determinate throw model"). A real crank of more than two
// mains is statically indeterminate; its bending, the block, alignment and
// clearances move load between mains, which this model cannot say.
//
// Shapes: as many mechanisms as cylinders, or one for all; n points over 720°.
// Units:  see Layout.
// Errors: a layout that cannot be, a number of mechanisms that does not fit, n
// as in NewTable.
func NewEngine(l Layout, m []Mechanism, n int) (*Engine, error) {
	if err := l.check(); err != nil {
		return nil, err
	}
	if len(m) != len(l.Cylinders) && len(m) != 1 {
		return nil, fmt.Errorf("crank: %d mechanisms for %d cylinders; as many are needed, or one for all", len(m), len(l.Cylinders))
	}
	e := &Engine{layout: Layout{append([]Throw(nil), l.Throws...), append([]Place(nil), l.Cylinders...), append([]float64(nil), l.Mains...)}, n: n, half: n / 2}
	step := 4 * math.Pi / float64(n)
	for i, c := range l.Cylinders {
		mech := m[0]
		if len(m) > 1 {
			mech = m[i]
		}
		s := shiftOf(c.Fires/step, n)
		t, err := e.table(mech, s.part, step)
		if err != nil {
			return nil, err
		}
		e.tables, e.shift = append(e.tables, t), append(e.shift, s)
		e.turns = append(e.turns, Vec{math.Cos(c.Bank), math.Sin(c.Bank)})
	}
	for _, t := range l.Throws {
		e.weight = append(e.weight, t.Unbalance.Turned(t.Phase))
		e.share = append(e.share, leverOf(t.At, l.Mains))
	}
	e.wheel = make([]Vec, n/2)
	for i := range e.wheel {
		e.wheel[i] = Vec{1, 0}.Turned(step * float64(i))
	}
	return e, nil
}

// shiftOf parts a firing angle in steps into whole steps and a rest. A rest of a
// rounding is none.
func shiftOf(steps float64, n int) shift {
	k := math.Round(steps)
	if math.Abs(steps-k) > 1e-4 {
		k = math.Floor(steps)
		return shift{int(k) % n, steps - k}
	}
	return shift{int(k) % n, 0}
}

// table finds a table that another cylinder has made already.
func (e *Engine) table(m Mechanism, part, step float64) (*Table, error) {
	for i, t := range e.tables {
		if t.m == m && e.shift[i].part == part {
			return t, nil
		}
	}
	return NewTable(m, e.n, -part*step)
}

func leverOf(at float64, mains []float64) lever {
	i := 0
	for i < len(mains)-2 && at >= mains[i+1] {
		i++
	}
	return lever{i, (mains[i+1] - at) / (mains[i+1] - mains[i])}
}

// Points is the number of angles over 720°.
func (e *Engine) Points() int { return e.n }

// Layout is a copy of what the engine was made from.
func (e *Engine) Layout() Layout {
	return Layout{append([]Throw(nil), e.layout.Throws...), append([]Place(nil), e.layout.Cylinders...), append([]float64(nil), e.layout.Mains...)}
}

// Histories are the loads of the crank over 720°, in the frame of the block.
type Histories struct {
	// Throws are what rods and rotating unbalance put on each throw, N: the load
	// of a beam model.
	Throws [][]Vec
	// Mains are the loads of each main journal on its shell by the determinate
	// throw model, N.
	Mains [][]Vec
	// Torque is that of all cylinders on the crank, N·m.
	Torque []float64

	gauge []float64 // of one cylinder at the crank's angles
	work  Loads
}

// NewHistories makes room for the histories of the engine.
func (e *Engine) NewHistories() *Histories {
	h := &Histories{Torque: make([]float64, e.n), gauge: make([]float64, e.n),
		work: Loads{BigEnd: make([]Vec, e.n), Torque: make([]float64, e.n)}}
	for range e.layout.Throws {
		h.Throws = append(h.Throws, make([]Vec, e.n))
	}
	for range e.layout.Mains {
		h.Mains = append(h.Mains, make([]Vec, e.n))
	}
	return h
}

// Loads fills the histories. It makes no garbage.
//
// Throw: F = −ΣB + ω² U, B of each rod on it in the frame of the block, U the
// rotating unbalance. Main m: Σ share · F over the throws beside it.
//
// A cylinder's pressures are those of its own cycle, the first at its firing
// top. Where a firing angle falls between two points, pressures are read there
// by a cubic through four of them; the mechanism stays exact.
//
// Shapes: n pressures of each cylinder, or one history for all.
// Units:  rad/s, Pa above the crankcase -> N, N·m.
// Errors: as Table.Loads, with the cylinder. Histories of another engine are a
// fault of the caller and panic.
func (e *Engine) Loads(omega float64, gauge [][]float64, h *Histories) error {
	if len(gauge) != len(e.tables) && len(gauge) != 1 {
		return fmt.Errorf("crank: pressures of %d cylinders for an engine of %d; as many are needed, or one for all", len(gauge), len(e.tables))
	}
	if len(h.Throws) != len(e.weight) || len(h.Mains) != len(e.layout.Mains) || len(h.gauge) != e.n {
		panic("crank: histories of another engine")
	}
	ww := omega * omega
	for t, f := range h.Throws {
		u := e.weight[t].Times(ww)
		for i, w := range e.wheel {
			f[i] = Vec{w.X*u.X - w.Y*u.Y, w.Y*u.X + w.X*u.Y}
		}
		copy(f[e.half:], f[:e.half])
	}
	clear(h.Torque)
	for c, t := range e.tables {
		if len(gauge) > 1 || c == 0 || t != e.tables[c-1] {
			if err := e.cylinder(c, omega, gauge, h); err != nil {
				return err
			}
		}
		k, turn, f := e.shift[c].k, e.turns[c], h.Throws[e.layout.Cylinders[c].Throw]
		e.add(f[k:], h.Torque[k:], turn, h.work.BigEnd[:e.n-k], h.work.Torque[:e.n-k])
		e.add(f[:k], h.Torque[:k], turn, h.work.BigEnd[e.n-k:], h.work.Torque[e.n-k:])
	}
	for _, m := range h.Mains {
		clear(m)
	}
	for t, f := range h.Throws {
		s := e.share[t]
		before, behind := h.Mains[s.main], h.Mains[s.main+1]
		for i, v := range f {
			x, y := s.before*v.X, s.before*v.Y
			before[i].X += x
			before[i].Y += y
			behind[i].X += v.X - x
			behind[i].Y += v.Y - y
		}
	}
	return nil
}

// cylinder fills the work histories of one cylinder on its own cycle.
func (e *Engine) cylinder(c int, omega float64, gauge [][]float64, h *Histories) error {
	own := gauge[min(c, len(gauge)-1)]
	t, part := e.tables[c], e.shift[c].part
	if err := t.check(omega, own); err != nil {
		return fmt.Errorf("cylinder %d: %w", c+1, err)
	}
	if part > 0 {
		between(own, h.gauge, part)
		own = h.gauge
	}
	return t.Loads(omega, own, &h.work)
}

// add lays a cylinder's loads on its throw and its torque on the crank.
func (e *Engine) add(throw []Vec, torque []float64, turn Vec, big []Vec, own []float64) {
	for i, b := range big {
		throw[i].X -= turn.X*b.X - turn.Y*b.Y
		throw[i].Y -= turn.Y*b.X + turn.X*b.Y
		torque[i] += own[i]
	}
}

// between reads a periodic history a part of a step before each point, by the
// cubic through the two points on either side.
func between(in, out []float64, part float64) {
	n, q := len(in), 1-part
	// Lagrange weights at q of the way from the second to the third of four.
	w0, w1 := -q*(q-1)*(q-2)/6, (q+1)*(q-1)*(q-2)/2
	w2, w3 := -(q+1)*q*(q-2)/2, (q+1)*q*(q-1)/6
	for i := range out {
		a, b, d := i-2, i-1, i+1
		if a < 0 {
			a += n
		}
		if b < 0 {
			b += n
		}
		if d >= n {
			d -= n
		}
		out[i] = w0*in[a] + w1*in[b] + w2*in[i] + w3*in[d]
	}
}
