package assess

import "math"

// Part is what one cause brings to the doubt of a value.
type Part struct {
	Cause string  // its name; values that name one cause move together. "" for what no other value has
	U     float64 // signed, formula units
}

// Parts takes the doubt of a value apart, by the names of its causes: what comes
// from causes that nothing else leans on is one part without a name.
//
//	u² = Σ bₖ²,   bₖ = ∂y/∂qₖ · u(qₖ)
//
// Shapes: value -> list, the part without a name first where there is one.
// Units:  formula units.
// Errors: none; nothing for a check and for what is not there.
// Source: JCGM 100:2008, 5.1.2 and F.1.2.3.
func (a *Assessment) Parts(v *Value) []Part {
	if !v.Has || v.Check || a.e == nil {
		return nil
	}
	own := 0.0
	var out []Part
	for _, s := range a.e.g.Budget(v.node) {
		b := s.Sensitivity * s.U
		if s.Key == "" {
			own += b * b
			continue
		}
		out = append(out, Part{s.Key, b})
	}
	if own > 0 {
		out = append([]Part{{U: math.Sqrt(own)}}, out...)
	}
	return out
}

// Latest is the value of a position in the last state in which it has one.
func (a *Assessment) Latest(position string) (*Value, bool) {
	if a.e == nil {
		return nil, false
	}
	for i := len(a.e.states) - 1; i >= 0; i-- {
		if v, ok := a.Find(position, a.e.states[i]); ok && v.Has {
			return v, true
		}
	}
	return nil, false
}
