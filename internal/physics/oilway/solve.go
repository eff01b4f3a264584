package oilway

import (
	"fmt"
	"math"
)

// Answer is the balance in one state.
type Answer struct {
	Pressure float64   // in the gallery
	Outlet   float64   // at the pump's outlet
	Pumped   float64   // what the pump gives, slip taken off
	Relieved float64   // over the relief valve
	Used     float64   // by all outlets
	Each     []float64 // by all alike of each outlet
	Starved  bool      // the pump gives less than is drawn at no pressure
	Steps    int
}

// factors move a system about its figures.
type factors struct {
	outlets    []float64 // one each, 1 for unmoved
	pump, slip float64
	way        float64
	viscosity  float64
	relief     float64 // Pa, added to both its pressures
}

func still(n int) *factors {
	f := &factors{make([]float64, n), 1, 1, 1, 1, 0}
	for i := range f.outlets {
		f.outlets[i] = 1
	}
	return f
}

// parts are the flows at a gallery pressure.
func (s *System) parts(p float64, x *State, f *factors) (outlet, pumped, relieved, used float64) {
	mu := x.Viscosity * f.viscosity
	for i := range s.Outlets {
		o := &s.Outlets[i]
		used += o.flow(p, mu, x) * float64(o.Count) * f.outlets[i]
	}
	outlet = p
	if s.Way > 0 {
		outlet += mu * used / (s.Way * f.way)
	}
	given := s.Pump.Displacement * s.Pump.Fill * x.Turns
	if s.Pump.Most > 0 {
		given = math.Min(given, s.Pump.Most)
	}
	pumped = given*f.pump - s.Pump.Slip*f.slip*outlet/mu
	relieved = s.Pump.held * outlet
	if r := s.Relief; r.Flow > 0 {
		feels := outlet
		if r.Far {
			feels = p
		}
		opens := math.Max(r.Opens+f.relief, 0)
		relieved += math.Max(r.Flow*(feels-opens)/(r.Full-r.Opens), 0)
	}
	return outlet, pumped, relieved, used
}

// over is what the pump gives beyond what goes: it falls with the pressure.
func (s *System) over(p float64, x *State, f *factors) float64 {
	_, pumped, relieved, used := s.parts(p, x, f)
	return pumped - relieved - used
}

// highest pressure that is looked at: beyond it nothing of an engine holds.
const highest = 1e9 // Pa

// Solve finds the pressure at which the pump gives what goes.
//
// What the pump gives falls with the pressure and what goes rises, so that there
// is one answer. It is kept between two pressures that close in on it: by the
// secant, and by halves where the secant is slow.
//
// Shapes: one state -> one answer.
// Units:  SI.
// Errors: a state beyond its ranges; more than 10⁹ Pa, where nothing lets the oil
// out.
// Source: conservation of mass.
func (e *Engine) Solve(x State) (Answer, error) {
	if err := x.check(len(e.s.Outlets)); err != nil {
		return Answer{}, err
	}
	f := still(len(e.s.Outlets))
	p, steps, err := e.s.find(&x, f)
	if err != nil {
		return Answer{}, err
	}
	return e.s.answer(p, steps, &x, f), nil
}

func (s *System) answer(p float64, steps int, x *State, f *factors) Answer {
	a := Answer{Pressure: p, Steps: steps, Each: make([]float64, len(s.Outlets))}
	a.Outlet, a.Pumped, a.Relieved, a.Used = s.parts(p, x, f)
	for i := range s.Outlets {
		o := &s.Outlets[i]
		a.Each[i] = o.flow(p, x.Viscosity*f.viscosity, x) * float64(o.Count) * f.outlets[i]
	}
	a.Starved = p == 0 && a.Used > a.Pumped
	return a
}

func (s *System) find(x *State, f *factors) (p float64, steps int, err error) {
	lo, hi := 0.0, 1e5
	atLo, atHi := s.over(lo, x, f), s.over(hi, x, f)
	if atLo <= 0 {
		return 0, 0, nil
	}
	for ; atHi > 0; steps++ {
		if lo, atLo = hi, atHi; hi >= highest {
			return 0, steps, fmt.Errorf("oilway: %s: over %g Pa: an outlet, a relief or a slip that lets the oil out is expected", x.Name, highest)
		}
		hi *= 4
		atHi = s.over(hi, x, f)
	}
	side := 0
	for ; steps < 200; steps++ {
		if hi-lo <= 1e-12*hi || atHi == 0 {
			return hi, steps, nil
		}
		// Regula falsi, the value of an end that stays halved (Illinois); every
		// fourth step by halves, so that 200 steps are enough whatever comes.
		mid := lo + (hi-lo)*atLo/(atLo-atHi)
		if steps%4 == 3 || !(mid > lo && mid < hi) {
			mid, side = lo+(hi-lo)/2, 0
			if mid == lo || mid == hi {
				return hi, steps, nil
			}
		}
		v := s.over(mid, x, f)
		switch {
		case v > 0:
			if lo, atLo = mid, v; side == 1 {
				atHi /= 2
			}
			side = 1
		case v < 0:
			if hi, atHi = mid, v; side == -1 {
				atLo /= 2
			}
			side = -1
		default:
			return mid, steps + 1, nil
		}
	}
	return hi, steps, nil
}
