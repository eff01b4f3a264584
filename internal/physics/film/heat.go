package film

import (
	"errors"
	"fmt"
	"math"
)

// Oil is what a bearing is fed with. Temperatures are in °C.
type Oil struct {
	// Viscosity in Pa s at a temperature; it falls with it.
	Viscosity func(celsius float64) float64
	Inlet     float64 // temperature at which it comes
	Most      float64 // temperature up to which a balance is looked for, above Inlet, to 400
	Supply    float64 // pressure at the inlet, Pa
	Density   float64 // kg/m³
	Heat      float64 // specific, J/(kg K)
	// Share is how much of the rise from inlet to outlet the film's viscosity
	// sees: 1 takes the oil that leaves, 0.5 the mean of both (ISO 7902).
	Share float64
}

func (o *Oil) check() error {
	switch {
	case o.Viscosity == nil:
		return errors.New("film: an oil needs its viscosity")
	case !(o.Inlet >= -60 && o.Inlet < o.Most && o.Most <= 400):
		return fmt.Errorf("film: an oil that comes at %g °C and is looked at to %g °C, expected -60 and more, up to 400", o.Inlet, o.Most)
	case !(o.Supply >= 0 && o.Supply <= 1e8):
		return fmt.Errorf("film: a supply of %g Pa, expected 0 to 1e8", o.Supply)
	case !(o.Density >= 100 && o.Density <= 5000) || !(o.Heat >= 100 && o.Heat <= 20_000):
		return fmt.Errorf("film: an oil of %g kg/m³ and %g J/(kg K), expected 100 to 5000 and 100 to 20000", o.Density, o.Heat)
	case !(o.Share > 0 && o.Share <= 1):
		return fmt.Errorf("film: a share of %g of the rise, expected above 0, up to 1", o.Share)
	}
	return nil
}

// Running is a bearing whose heat goes with its oil.
type Running struct {
	Orbit
	Celsius   float64 // of the film
	Outlet    float64 // of the oil that leaves, °C
	Viscosity float64 // Pa s
	Passes    int     // orbits until it balanced
}

// ErrHot says that no temperature in the range balances.
var ErrHot = errors.New("film: no balance of heat")

// HeatCase is one bearing with its oil.
type HeatCase struct {
	Shell     *Shell
	Load      *Load
	Clearance float64 // radial, m
	Oil       Oil
	// Guess is where the search for the temperature begins, °C; 0 where unknown.
	// The balance does not depend on it beyond the tolerance.
	Guess float64
	Path  bool // the orbit is wanted too
}

// Balance finds the temperature at which the oil that leaves carries the heat
// made.
//
//	T = T_in + share · H(μ(T))/(ρ c_p Q(μ(T))),   Q = side + feed
//
// Shapes: one case -> one answer.
// Units:  SI, °C.
// Errors: values outside the ranges of Run and Oil; a viscosity that is no
// number or outside 1e-5 to 100 Pa s where it is asked for; ErrHot.
// Valid:  within 0.02 K of the balance; all heat goes with the oil.
// Source: balance as in ISO 7902-1, from memory; a bracketed secant, since
// plain repetition swings where the viscosity falls steeply.
func Balance(c HeatCase) (Running, error) {
	out := balance([]HeatCase{c})
	return out[0].Running, out[0].Err
}

// Balanced is an answer of a batch, or why there is none.
type Balanced struct {
	Running
	Err error
}

const (
	balanceWithin = 0.02 // K
	fineWithin    = 0.5  // K, from where on all steps are taken
	mostPasses    = 60
)

// seek is the search of one case.
type seek struct {
	c      *HeatCase
	out    *Balanced
	l      lane
	t      float64 // temperature of the pass under way
	mu     float64 //
	lo, hi float64 // bracket: too cold, too hot
	pt, pg float64 // pass before: temperature, and excess of the balance
	known  bool    // there was one
	fine   bool    // all steps are taken
	passes int
	rough  bool // every other step is enough
}

// balance runs up to lanes cases side by side. What each gives does not depend
// on its neighbours.
func balance(cases []HeatCase) []Balanced {
	out := make([]Balanced, len(cases))
	all := make([]seek, len(cases))
	open := make([]*seek, len(cases))
	for i := range cases {
		open[i] = &all[i]
		all[i].c, all[i].out = &cases[i], &out[i]
	}
	search(open)
	return out
}

// search balances each seek; it keeps their orbits for the next search.
func search(open []*seek) {
	next := open[:0:0]
	for _, s := range open {
		if s.next(s.begin()) {
			next = append(next, s)
		}
	}
	open = next
	var coarse, fine [lanes]*lane
	for len(open) > 0 {
		nc, nf := 0, 0
		for _, s := range open {
			s.l.set(s.c.Shell, s.c.Load, s.c.Clearance, s.mu)
			if s.fine {
				fine[nf] = &s.l
				nf++
			} else {
				coarse[nc] = &s.l
				nc++
			}
		}
		follow(coarse[:nc], 2, coarsely)
		follow(fine[:nf], 1, closing)
		next := open[:0]
		for _, s := range open {
			if s.pass() {
				next = append(next, s)
			}
		}
		open = next
	}
}

// coarsely is the tolerance of a closed orbit while the temperature is sought.
const coarsely = 1e-3

func (s *seek) begin() error {
	c := s.c
	probe := Case{Shell: c.Shell, Load: c.Load, Clearance: c.Clearance, Viscosity: 1e-2, Supply: c.Oil.Supply}
	if err := probe.check(); err != nil {
		return err
	}
	if err := c.Oil.check(); err != nil {
		return err
	}
	s.lo, s.hi = c.Oil.Inlet, c.Oil.Most
	s.known, s.fine, s.passes = false, false, 0
	t := c.Guess
	if !(t > s.lo && t < s.hi) {
		t = math.Min(s.lo+25, (s.lo+s.hi)/2)
	}
	return s.at(t)
}

// at asks for the viscosity at a temperature.
func (s *seek) at(t float64) error {
	mu := s.c.Oil.Viscosity(t)
	if !(mu >= 1e-5 && mu <= 100) {
		return fmt.Errorf("film: the oil's viscosity at %.1f °C is %g Pa s, expected 1e-5 to 100", t, mu)
	}
	s.t, s.mu = t, mu
	return nil
}

// pass looks at an orbit and sets the next temperature; false where it ends.
func (s *seek) pass() bool {
	s.passes++
	o := &s.c.Oil
	stride := 2
	if s.fine {
		stride = 1
	}
	m := s.l.measure(s.c.Clearance, s.mu, o.Supply, stride)
	rise := m.Loss / (o.Density * o.Heat * (m.Side + m.Feed))
	g := o.Inlet + o.Share*rise - s.t
	if err := m.check(); err != nil || !finite(g) {
		s.out.Err = errors.New("film: a pass of the heat balance gave no number")
		return false
	}
	if (s.fine || s.rough) && math.Abs(g) <= balanceWithin {
		s.end(m, rise)
		return false
	}
	if !s.fine && !s.rough && math.Abs(g) <= fineWithin {
		s.fine = true
		t := s.step(g)
		s.lo, s.hi = o.Inlet, o.Most // coarse steps bracket nothing for fine ones
		return s.next(s.at(t))
	}
	if s.passes >= mostPasses {
		s.out.Err = fmt.Errorf("%w after %d passes, %.1f °C to %.1f °C left", ErrHot, s.passes, s.lo, s.hi)
		return false
	}
	if g > 0 {
		s.lo = math.Max(s.lo, s.t)
	} else {
		s.hi = math.Min(s.hi, s.t)
	}
	if s.hi-s.lo < 1e-6 {
		if s.hi >= o.Most {
			s.out.Err = fmt.Errorf("%w up to %.0f °C", ErrHot, o.Most)
		} else {
			s.out.Err = fmt.Errorf("%w: it jumps at %.1f °C", ErrHot, s.t)
		}
		return false
	}
	return s.next(s.at(s.step(g)))
}

func (s *seek) next(err error) bool {
	s.out.Err = err
	return err == nil
}

// step is the next temperature: a secant through the last two passes, or a
// damped step from one; inside the bracket, else its middle.
func (s *seek) step(g float64) float64 {
	slope := -2.0 // of the excess, typical of engine oils
	if s.known && s.t != s.pt {
		if q := (g - s.pg) / (s.t - s.pt); q < -0.5 {
			slope = q
		}
	}
	s.pt, s.pg, s.known = s.t, g, true
	t := s.t - g/slope
	if !(t > s.lo && t < s.hi) || s.passes > 20 && s.passes%3 == 0 {
		t = (s.lo + s.hi) / 2
	}
	return t
}

func (s *seek) end(m Orbit, rise float64) {
	s.l.doubts(&m)
	if s.c.Path {
		for i := 0; i < len(s.l.path); i += 2 {
			m.X, m.Y = append(m.X, s.l.path[i]), append(m.Y, s.l.path[i+1])
		}
	}
	s.out.Running = Running{Orbit: m, Celsius: s.t, Outlet: s.c.Oil.Inlet + rise, Viscosity: s.mu, Passes: s.passes}
}
