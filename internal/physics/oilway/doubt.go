package oilway

import (
	"fmt"
	"math"
	"math/rand/v2"
	"sort"
)

// Part is one cause's part of the variance of the pressure.
type Part struct {
	Cause string
	U     float64 // what it alone would do, Pa
	Share float64 // of the variance
}

// Doubted is a pressure with its doubt, to the first order.
type Doubted struct {
	Answer
	U     float64
	Parts []Part // largest first
}

// cause is a figure in doubt.
type cause struct {
	name  string
	u     float64
	move  func(f *factors, by float64) // by so many relative units, or Pa
	unit  float64                      // step for differences
	state int                          // −1 for one that all states share
}

func (s *System) causes(states []State) []cause {
	var out []cause
	add := func(name string, u, step float64, state int, move func(f *factors, by float64)) {
		if u > 0 {
			out = append(out, cause{name, u, move, step, state})
		}
	}
	for i, o := range s.Outlets {
		add(o.Name, o.U, 1e-4, -1, func(f *factors, by float64) { f.outlets[i] *= math.Exp(by) })
	}
	add("pump", s.Pump.U, 1e-4, -1, func(f *factors, by float64) { f.pump *= math.Exp(by) })
	if s.Pump.Slip > 0 {
		add("slip", s.Pump.SlipU, 1e-4, -1, func(f *factors, by float64) { f.slip *= math.Exp(by) })
	}
	if s.Way > 0 {
		add("filter and cooler", s.WayU, 1e-4, -1, func(f *factors, by float64) { f.way *= math.Exp(by) })
	}
	if s.Relief.Flow > 0 {
		add("relief", s.Relief.U, 100, -1, func(f *factors, by float64) { f.relief += by })
	}
	for k, x := range states {
		add("viscosity, "+x.Name, x.U, 1e-4, k, func(f *factors, by float64) { f.viscosity *= math.Exp(by) })
	}
	return out
}

// slopes are the changes of the pressures with each cause, for one of its u.
//
//	dp/dx = −(∂G/∂x)/(∂G/∂p),  G what the pump gives less what goes
func (s *System) slopes(states []State, causes []cause) (p []float64, j [][]float64, err error) {
	f := still(len(s.Outlets))
	for k := range states {
		at, _, err := s.find(&states[k], f)
		if err != nil {
			return nil, nil, err
		}
		row := make([]float64, len(causes))
		h := 1e-6*at + 1
		fall := (s.over(at-h, &states[k], f) - s.over(at+h, &states[k], f)) / (2 * h)
		for i, c := range causes {
			if at <= 0 || !(fall > 0) || c.state >= 0 && c.state != k {
				continue
			}
			up, down := still(len(s.Outlets)), still(len(s.Outlets))
			c.move(up, c.unit)
			c.move(down, -c.unit)
			row[i] = c.u * (s.over(at, &states[k], up) - s.over(at, &states[k], down)) / (2 * c.unit) / fall
		}
		p, j = append(p, at), append(j, row)
	}
	return p, j, nil
}

// FirstOrder is the pressure in each state with its standard uncertainty and what
// makes it up. Figures that the states have in common are one cause.
//
// Shapes: n states -> n pressures.
// Units:  Pa.
// Errors: as Solve; no states or more than 16.
// Valid:  doubts of some ten percent; not where the relief just opens, where the
// draws are right.
// Source: JCGM 100:2008, 5.1; derivative of an implicit function.
func (e *Engine) FirstOrder(states []State) ([]Doubted, error) {
	if err := e.several(states); err != nil {
		return nil, err
	}
	causes := e.s.causes(states)
	p, j, err := e.s.slopes(states, causes)
	if err != nil {
		return nil, err
	}
	out := make([]Doubted, len(states))
	for k := range states {
		d := Doubted{Answer: e.s.answer(p[k], 0, &states[k], still(len(e.s.Outlets)))}
		sum := 0.0
		for i := range causes {
			sum += j[k][i] * j[k][i]
		}
		d.U = math.Sqrt(sum)
		for i, c := range causes {
			if v := j[k][i] * j[k][i]; v > 0 && sum > 0 {
				d.Parts = append(d.Parts, Part{c.name, math.Abs(j[k][i]), v / sum})
			}
		}
		sort.SliceStable(d.Parts, func(a, b int) bool { return d.Parts[a].Share > d.Parts[b].Share })
		out[k] = d
	}
	return out, nil
}

func (e *Engine) several(states []State) error {
	if len(states) < 1 || len(states) > 16 {
		return fmt.Errorf("oilway: %d states: 1 to 16 are expected", len(states))
	}
	for _, x := range states {
		if err := x.check(len(e.s.Outlets)); err != nil {
			return err
		}
	}
	return nil
}

// Spread is a pressure by draws.
type Spread struct {
	Mean, Deviation, Low, High float64 // Low and High hold 95 %, a fortieth outside each
}

// Draws is the pressure in each state by draws: flows, slip and viscosity by a
// logarithmic normal law with the relative uncertainty for its width, the relief
// by a normal one. What the states have in common is drawn once for all.
//
// Shapes: n states, number of draws, seed -> n spreads.
// Units:  Pa.
// Errors: as Solve; fewer than 100 or more than 10⁶ draws.
// Source: JCGM 101:2008.
func (e *Engine) Draws(states []State, draws int, seed uint64) ([]Spread, error) {
	if err := e.several(states); err != nil {
		return nil, err
	}
	if draws < 100 || draws > 1_000_000 {
		return nil, fmt.Errorf("oilway: %d draws: 100 to 10⁶ are expected", draws)
	}
	causes, r := e.s.causes(states), rand.New(rand.NewPCG(seed, 0x6f696c))
	all := make([][]float64, len(states))
	for range draws {
		z := make([]float64, len(causes))
		for i := range z {
			z[i] = r.NormFloat64()
		}
		for k := range states {
			f := still(len(e.s.Outlets))
			for i, c := range causes {
				if c.state < 0 || c.state == k {
					c.move(f, c.u*z[i])
				}
			}
			p, _, err := e.s.find(&states[k], f)
			if err != nil {
				return nil, err
			}
			all[k] = append(all[k], p)
		}
	}
	out := make([]Spread, len(states))
	for k, list := range all {
		out[k] = spread(list)
	}
	return out, nil
}

func spread(list []float64) Spread {
	var s Spread
	n := float64(len(list))
	for _, v := range list {
		s.Mean += v / n
	}
	for _, v := range list {
		s.Deviation += (v - s.Mean) * (v - s.Mean) / (n - 1)
	}
	s.Deviation = math.Sqrt(s.Deviation)
	sort.Float64s(list)
	cut := len(list) / 40
	s.Low, s.High = list[cut], list[len(list)-1-cut]
	return s
}
