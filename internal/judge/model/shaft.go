package model

import (
	"math"
	"slices"

	"fettle/internal/base/fault"
	"fettle/internal/physics/crank"
)

// points of a cycle of 720°: every half degree.
const points = 1440

// layout says how throws, cylinders and mains stand. Cylinders fire at equal
// angles in the firing order; from that follows where each throw stands:
//
//	φ = ψ − θ (mod 2π)
//
// ψ is the bank of the cylinder, θ where it fires. Mains and throws are spread
// evenly over the length of the crank.
//
// Errors: a firing order that is missing or asks one throw to stand at two
// angles.
// Source: geometry.
func (e *Engine) layout() (crank.Layout, error) {
	f := &e.Layout.Family.Engine
	n := len(e.Cylinders)
	order := f.FiringOrder
	if len(order) == 0 && n == 1 {
		order = []int{1}
	}
	if len(order) != n {
		return crank.Layout{}, fault.New(fault.Refused, "model.firing", "family", f.Layout)
	}
	for _, side := range []float64{1, -1} {
		if l, ok := e.place(order, side); ok {
			return l, nil
		}
	}
	return crank.Layout{}, fault.New(fault.Refused, "model.firing", "family", e.Layout.Family.ID)
}

// place tries one sense in which the banks lie; ok is false where a throw would
// have to stand at two angles.
func (e *Engine) place(order []int, side float64) (l crank.Layout, ok bool) {
	f := &e.Layout.Family.Engine
	dims, pins := e.Layout.Dims, e.Layout.Dims["pin"].Values
	span := f.BoreSpacing.SI() * float64(len(pins))
	if f.Layout != "inline" && !f.SharedPins {
		span /= 2 // two throws a bay
	}
	l.Throws = make([]crank.Throw, len(pins))
	for i := range l.Throws {
		l.Throws[i] = crank.Throw{Phase: math.NaN(), At: span * (float64(i) + 0.5) / float64(len(pins)),
			Unbalance: crank.Vec{X: e.Running.Crank.Unbalance.SI() * f.Stroke.SI() / 2}}
	}
	for i := range e.Mains {
		l.Mains = append(l.Mains, span*float64(i)/float64(len(e.Mains)-1))
	}
	l.Cylinders = make([]crank.Place, len(e.Cylinders))
	for k, c := range order {
		name := e.Cylinders[c-1].Name
		throw := c - 1
		if touch := dims["cyl"].Touch["pin"][name]; len(touch) > 0 {
			throw = slices.Index(pins, touch[0])
		}
		fires, bank := 4*math.Pi*float64(k)/float64(len(order)), side*e.bank(c)
		phase := turn(bank - fires)
		if was := l.Throws[throw].Phase; !math.IsNaN(was) && math.Abs(math.Remainder(was-phase, 2*math.Pi)) > 1e-9 {
			return l, false
		}
		l.Throws[throw].Phase = phase
		l.Cylinders[c-1] = crank.Place{Throw: throw, Bank: bank, Fires: fires}
	}
	return l, true
}

// bank is the angle of a cylinder's axis from that of the block.
func (e *Engine) bank(cylinder int) float64 {
	f := &e.Layout.Family.Engine
	if f.Layout == "inline" {
		return 0
	}
	angle := f.BankAngle.SI()
	if f.Layout == "flat" {
		angle = math.Pi
	}
	first := len(f.Banks) > 0 && slices.Contains(f.Banks[0], cylinder) || len(f.Banks) == 0 && cylinder <= len(e.Cylinders)/2
	if first {
		return -angle / 2
	}
	return angle / 2
}

func turn(a float64) float64 {
	if a = math.Mod(a, 2*math.Pi); a < 0 {
		a += 2 * math.Pi
	}
	return a
}

// mechanisms are the moving parts of each cylinder. The room counts an offset
// towards the side that the throw moves to at its top; the thrust side is the
// other. A rod's centre of mass lies
// where its masses at both ends put it:
//
//	a = l·m_s/(m_b + m_s),  I = (m_b + m_s)·k²
func (e *Engine) mechanisms() ([]crank.Mechanism, error) {
	f := &e.Layout.Family.Engine
	s, err := crank.NewSlider(f.Stroke.SI()/2, f.Rod.SI(), -e.Running.Piston.Offset.SI())
	if err != nil {
		return nil, err
	}
	var out []crank.Mechanism
	for i := range e.Cylinders {
		c := &e.Cylinders[i]
		mass, k := c.RodBig.Value+c.RodSmall.Value, e.Running.Rod.Gyration.SI()
		m, err := crank.NewMechanism(s, crank.Parts{Piston: c.Piston.Value, Bore: f.Bore.SI(),
			Rod: crank.Rod{Mass: mass, Gravity: f.Rod.SI() * c.RodSmall.Value / mass, Inertia: mass * k * k}})
		if err != nil {
			return nil, err
		}
		out = append(out, m)
	}
	return out, nil
}
