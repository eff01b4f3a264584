package film

import (
	"errors"
	"fmt"
)

// Case is one bearing to follow at a given viscosity.
type Case struct {
	Shell     *Shell
	Load      *Load
	Clearance float64 // radial, m
	Viscosity float64 // Pa s
	Supply    float64 // pressure at the inlet, Pa
	Path      bool    // the orbit is wanted too
}

func (c *Case) check() error {
	switch {
	case c.Shell == nil || c.Load == nil:
		return errors.New("film: a bearing and its load are needed")
	case !(c.Clearance >= 1e-7 && c.Clearance <= 0.02*c.Shell.spec.Diameter):
		return fmt.Errorf("film: a radial clearance of %g m, expected 0.1 µm to 2 %% of the diameter", c.Clearance)
	case !(c.Viscosity >= 1e-5 && c.Viscosity <= 100):
		return fmt.Errorf("film: a viscosity of %g Pa s, expected 1e-5 to 100", c.Viscosity)
	case !(c.Supply >= 0 && c.Supply <= 1e8):
		return fmt.Errorf("film: a supply of %g Pa, expected 0 to 1e8", c.Supply)
	}
	return nil
}

// closing is the tolerance within which an orbit has closed, of its gap, where
// it is seen to; by the end of the cycle little is left of it, 1e-6 of the loss.
const closing = 1e-4

// Run follows a journal until its orbit closes.
//
//	dε/dt = F (c/R)²/(μ L D) M(ε) + ω̄ × ε
//	loss = F · c (dε/dt - ω̄ × ε) + 2π μ R³ L ω²/(c √(1 - ε²))
//
// Shapes: one case -> one orbit.
// Units:  SI.
// Errors: clearance, viscosity or supply outside 0.1 µm to 2 % of the diameter,
// 1e-5 to 100 Pa s, 0 to 1e8 Pa. What can be followed but not believed has a
// Doubt and no error.
// Valid:  rigid, isoviscous, aligned; least film within 1e-4 of that at steps
// without end.
// Source: J. F. Booker (1965, 1971).
func Run(c Case) (Orbit, error) {
	if err := c.check(); err != nil {
		return Orbit{}, err
	}
	o := run([]Case{c})
	return o[0].Orbit, o[0].Err
}

// Ran is an orbit of a batch, or why there is none.
type Ran struct {
	Orbit
	Err error
}

// run follows up to lanes cases side by side.
func run(cases []Case) []Ran {
	out := make([]Ran, len(cases))
	all := make([]lane, len(cases))
	open := make([]*lane, 0, lanes)
	for i := range cases {
		c := &cases[i]
		if out[i].Err = c.check(); out[i].Err == nil {
			all[i].set(c.Shell, c.Load, c.Clearance, c.Viscosity)
			open = append(open, &all[i])
		}
	}
	follow(open, 1, closing)
	for i := range cases {
		if out[i].Err != nil {
			continue
		}
		c, l := &cases[i], &all[i]
		m := l.measure(c.Clearance, c.Viscosity, c.Supply, 1)
		l.doubts(&m)
		if c.Path {
			for k := 0; k < len(l.path); k += 2 {
				m.X, m.Y = append(m.X, l.path[k]), append(m.Y, l.path[k+1])
			}
		}
		out[i] = Ran{m, m.check()}
	}
	return out
}

// check is the last door: no figure that is none goes out.
func (m *Orbit) check() error {
	if !finite(m.Gap, m.Step, m.Angle, m.Eps, m.Peak, m.Loss, m.Side, m.Feed, m.Lambda) {
		return errors.New("film: the orbit has no figures")
	}
	return nil
}
