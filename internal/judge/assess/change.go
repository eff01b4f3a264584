package assess

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"fettle/internal/base/fault"
	"fettle/internal/base/unit"
	"fettle/internal/facts/job"
	"fettle/internal/maths/gum"
)

// Change is what one piece of planned work does to one place.
type Change struct {
	Operation string // id of the work; says why
	Position  string
	// To is the size that it will have, Shift what is added to the size that it
	// has; one of the two, formula units.
	To, Shift *float64
	// U is the spread of the work, one standard deviation, formula units.
	U float64
	// Cause names one spread that several places share, such as one cut over a
	// whole face; "" for a spread of its own.
	Cause string
}

// changes gives the places that the plan changes a node in the state planned. It
// stands behind every other state: what is planned leans on all that was read,
// and nothing that was read leans on a plan.
//
// Errors: a change of a place that the family or the job does not have, on a
// check or a derived place; neither or both of a size and a shift; a number that
// is none; a shift of a place that nobody has read; two changes of which one
// sets a size on one place.
func (e *evaluation) changes() error {
	if len(e.plan.Changes)+len(e.plan.Figures) == 0 {
		return nil
	}
	for ref, y := range e.plan.Figures {
		if !slices.Contains(e.Layout.Family.Engine.Figures(), strings.TrimPrefix(ref, "engine/")) || math.IsNaN(y) || math.IsInf(y, 0) {
			return fault.New(fault.Invalid, "assess.change-figure", "found", ref)
		}
	}
	e.states = append(e.states, job.Planned)
	st := len(e.states) - 1
	sum := e.rel["sum"]
	for i := range e.plan.Changes {
		f := &e.plan.Changes[i]
		at, err := e.changed(f)
		if err != nil {
			return err
		}
		sp := spot{at, st}
		before, again := e.nodes[sp]
		if f.To != nil {
			if again {
				return fault.New(fault.Conflict, "assess.change-twice", "position", f.Position)
			}
			e.put(sp, e.spread(f, *f.To))
			continue
		}
		if !again {
			was, ok := e.stateOf(at, st-1)
			if !ok {
				return fault.New(fault.Refused, "assess.change-unread", "position", f.Position, "operation", f.Operation)
			}
			before = e.nodes[spot{at, was}]
		}
		id, err := e.g.Apply(sum, [][]gum.ID{{before, e.spread(f, *f.Shift)}})
		if err != nil {
			panic("assess: " + err.Error())
		}
		if again {
			e.nodes[sp] = id
		} else {
			e.put(sp, id)
		}
	}
	return nil
}

// changed checks a change and finds its place.
func (e *evaluation) changed(f *Change) (int, error) {
	at, ok := e.Layout.Find(f.Position)
	switch {
	case !ok || !e.inScope(at):
		return 0, fault.New(fault.Missing, "assess.change-nowhere", "position", f.Position, "operation", f.Operation)
	case e.Layout.Places[at].Char.Relation != "" || e.Layout.Places[at].Char.Dim() == unit.None:
		return 0, fault.New(fault.Invalid, "assess.change-derived", "position", f.Position, "operation", f.Operation)
	case (f.To == nil) == (f.Shift == nil):
		return 0, fault.New(fault.Invalid, "assess.change-kind", "position", f.Position)
	}
	for _, x := range []*float64{f.To, f.Shift, &f.U} {
		if x != nil && (math.IsNaN(*x) || math.IsInf(*x, 0)) || f.U < 0 {
			return 0, fault.New(fault.Invalid, "assess.change-number", "position", f.Position)
		}
	}
	return at, nil
}

// spread is the cause behind a change: the work with its own spread. Effects
// that name a cause share it, so that one cut over a face tilts nothing.
func (e *evaluation) spread(f *Change, value float64) gum.ID {
	key := f.Position
	if f.Cause != "" {
		key = f.Cause
	}
	return e.g.Leaf(gum.Leaf{Key: fmt.Sprintf("process:%s:%s=%v±%v", f.Operation, key, value, f.U), Kind: gum.ProcessKind, Ref: f.Operation, Value: value, U: f.U})
}

// Planned lists the values of the state planned, in order of position.
func (a *Assessment) Planned() []*Value {
	var out []*Value
	for i := range a.Values {
		if a.Values[i].State == job.Planned {
			out = append(out, &a.Values[i])
		}
	}
	return out
}

// Before finds the value that a planned one takes the place of: the latest of the
// same position that is no plan; ok is false where nobody has read one.
func (a *Assessment) Before(v *Value) (*Value, bool) {
	for _, s := range slices.Backward(a.e.states) {
		if w, ok := a.Find(v.Position, s); ok && s != job.Planned && w.Has {
			return w, true
		}
	}
	return nil, false
}

// States lists the states of this judgement, found first.
func (a *Assessment) States() []string { return a.e.states }
