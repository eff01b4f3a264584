package oilway

import "fmt"

// Pump gives what its turns displace, less what slips back.
//
//	Q = V n φ − S p/μ
type Pump struct {
	Displacement float64 // V of one turn, m³
	Fill         float64 // φ, part of it that fills
	Most         float64 // m³/s at which it stops filling; 0 where it does not
	Slip         float64 // S, m³; see Seep
	U            float64 // relative standard uncertainty of V φ
	SlipU        float64 // of S
	held         float64 // m³/(s·Pa) that a relief which does not shut lets past
}

// Relief lets off what is too much.
//
//	q = Q₁ (p − p₀)/(p₁ − p₀) above p₀
type Relief struct {
	Opens float64 // p₀
	Full  float64 // p₁
	Flow  float64 // Q₁, there
	Far   bool    // it feels the gallery, not the pump's outlet
	U     float64 // standard uncertainty of p₀ and p₁ together, Pa
}

// System is the oil system.
type System struct {
	Pump    Pump
	Relief  Relief
	Way     float64 // F of filter and cooler between pump and gallery, m³; 0 for none
	WayU    float64 // its relative standard uncertainty
	Outlets []Outlet
}

// State is what the engine does.
type State struct {
	Name      string
	Turns     float64 // of the pump
	Crank     float64 // ω, rad/s
	Viscosity float64
	Density   float64
	U         float64 // relative standard uncertainty of the viscosity
	Own       []Table // flows of outlets in this state, one an outlet, in the place of their own figures; empty where those hold
}

// Engine is an oil system that was checked.
type Engine struct{ s System }

// NewEngine checks a system.
//
// Shapes: one system -> one engine.
// Units:  SI.
// Errors: a pump that displaces nothing or more than 1 l a turn, fills outside 0
// to 1, slips outside 0 to 10⁻⁹ m³; a relief that is not full above where it
// opens, or beyond 10⁸ Pa; no outlets or more than 200; an outlet that is none; an
// uncertainty outside 0 to 1; neither slip nor relief, so that nothing bounds the
// pressure.
// Source: see doc/model/oilway.md.
func NewEngine(s System) (*Engine, error) {
	within := func(x, lo, hi float64) bool { return x >= lo && x <= hi }
	p, r := s.Pump, s.Relief
	switch {
	case !within(p.Displacement, 1e-9, 1e-3):
		return nil, fmt.Errorf("oilway: the pump displaces %g m³ a turn: 1 mm³ to 1 l is expected", p.Displacement)
	case !within(p.Fill, 1e-3, 1):
		return nil, fmt.Errorf("oilway: %g of the pump fills: 0.001 to 1 is expected", p.Fill)
	case p.Most != 0 && !within(p.Most, 1e-9, 1):
		return nil, fmt.Errorf("oilway: the pump stops filling at %g m³/s: 10⁻⁹ to 1 is expected, or 0", p.Most)
	case p.Slip != 0 && !within(p.Slip, 1e-20, 1e-9):
		return nil, fmt.Errorf("oilway: the pump slips %g m³: 10⁻²⁰ to 10⁻⁹ is expected, or 0", p.Slip)
	case !within(p.U, 0, 1) || !within(p.SlipU, 0, 1) || !within(s.WayU, 0, 1):
		return nil, fmt.Errorf("oilway: relative uncertainties %g, %g, %g of pump, slip and filter: 0 to 1 is expected", p.U, p.SlipU, s.WayU)
	case r.Flow != 0 && !(within(r.Opens, 1e3, 1e8) && r.Full >= 1.001*r.Opens && r.Full <= 1e9 && within(r.Flow, 1e-9, 1)):
		return nil, fmt.Errorf("oilway: a relief that opens at %g Pa and lets off %g m³/s at %g Pa: more than 1 kPa, and full above where it opens, is expected", r.Opens, r.Flow, r.Full)
	case !within(r.U, 0, 1e7):
		return nil, fmt.Errorf("oilway: uncertainty %g Pa of the relief: 0 to 10⁷ is expected", r.U)
	case s.Way != 0 && !within(s.Way, 1e-18, 1e-3):
		return nil, fmt.Errorf("oilway: filter and cooler of %g m³: 10⁻¹⁸ to 10⁻³ is expected, or 0", s.Way)
	case p.Slip == 0 && r.Flow == 0:
		return nil, fmt.Errorf("oilway: neither slip nor relief: one of them is expected, or nothing bounds the pressure")
	case len(s.Outlets) == 0 || len(s.Outlets) > 200:
		return nil, fmt.Errorf("oilway: %d outlets: 1 to 200 are expected", len(s.Outlets))
	}
	for i := range s.Outlets {
		if err := s.Outlets[i].check(i); err != nil {
			return nil, err
		}
	}
	s.Outlets = append([]Outlet(nil), s.Outlets...)
	for i := range s.Outlets {
		s.Outlets[i].own, s.Outlets[i].more = i+1, 1
	}
	return &Engine{s}, nil
}

func (x State) check(outlets int) error {
	for i, t := range x.Own {
		if len(x.Own) != outlets {
			return fmt.Errorf("oilway: %s has %d tables of its own: %d are expected, one an outlet, or none", x.Name, len(x.Own), outlets)
		}
		if len(t.Pressure)+len(t.Flow) > 0 {
			if err := t.check(); err != nil {
				return fmt.Errorf("oilway: %s, outlet %d: %w", x.Name, i+1, err)
			}
		}
	}
	switch {
	case !(x.Turns >= 0 && x.Turns <= 1000):
		return fmt.Errorf("oilway: %s: %g turns a second of the pump: 0 to 1000 are expected", x.Name, x.Turns)
	case !(x.Crank >= 0 && x.Crank <= 5000):
		return fmt.Errorf("oilway: %s: the crank at %g rad/s: 0 to 5000 is expected", x.Name, x.Crank)
	case !(x.Viscosity >= 1e-5 && x.Viscosity <= 1e3):
		return fmt.Errorf("oilway: %s: viscosity %g Pa·s: 10⁻⁵ to 10³ is expected", x.Name, x.Viscosity)
	case !(x.Density >= 500 && x.Density <= 1500):
		return fmt.Errorf("oilway: %s: density %g kg/m³: 500 to 1500 is expected", x.Name, x.Density)
	case !(x.U >= 0 && x.U <= 1):
		return fmt.Errorf("oilway: %s: relative uncertainty %g of the viscosity: 0 to 1 is expected", x.Name, x.U)
	}
	return nil
}
