package assess

import (
	"fettle/internal/base/fault"
	"fettle/internal/maths/gum"
)

// Drawn is the joint distribution of some values, each under its position.
type Drawn struct {
	*gum.Cloud
	Values []*Value // Cloud.Of in this order
}

// Cloud draws the values at some positions together in one state: what two of
// them lean on moves both. It only reads, so any number may ask at once.
//
// Errors: a fault where a position has no value in that state, or is a check; or
// the sampling is out of its range.
// Source: JCGM 101:2008, clause 7.
func (a *Assessment) Cloud(positions []string, state string, s gum.Sampling) (*Drawn, error) {
	d := &Drawn{}
	ids := make([]gum.ID, 0, len(positions))
	for _, p := range positions {
		v, ok := a.Find(p, state)
		if !ok || !v.Has || v.Check || a.e == nil {
			return nil, fault.New(fault.Missing, "assess.no-value", "position", p, "state", state)
		}
		d.Values = append(d.Values, v)
		ids = append(ids, v.node)
	}
	c, err := a.e.g.Draw(ids, s)
	if err != nil {
		return nil, fault.New(fault.Invalid, "assess.draws", "error", err.Error())
	}
	d.Cloud = c
	return d, nil
}

// SecondOrder is what the first order leaves out of a value's doubt, and whether
// that is too much to rely on it; ok is false for a value without a doubt of its
// own. A curved value wants draws.
func (a *Assessment) SecondOrder(v *Value) (s gum.Second, ok bool) {
	if !v.Has || v.Check || a.e == nil {
		return s, false
	}
	return a.e.g.SecondOrder(v.node), true
}
