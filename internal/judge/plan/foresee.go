package plan

import (
	"math"
	"slices"
	"strings"

	"fettle/internal/judge/allocate"
	"fettle/internal/judge/assess"
	"fettle/internal/know/family"
	"fettle/internal/know/route"
)

// Foresee judges the engine as it will be by a plan: sizes that are cut, and parts
// that go in, through the same relations as what was read. Nothing but the state
// planned differs from the assessment that the plan leans on.
//
// Errors: as assess.Evaluate.
func Foresee(in Input, p *Plan) (*assess.Assessment, error) {
	return assess.Evaluate(in.Knowledge, in.Facts, assess.Plan{Changes: p.Changes})
}

// changes lists what the plan does to measured places, in their order.
func (m *maker) changes() []assess.Change {
	found := map[int]assess.Change{}
	put := func(at int, by string, s allocate.Size, base float64) {
		p := &m.lay.Places[at]
		if p.Char.Relation != "" || p.Char.Quantity == family.Check {
			return
		}
		u := s.U * s.U
		for _, x := range s.Shared {
			u += x.U * x.U
		}
		to := float64(s.N) / base
		found[at] = assess.Change{Operation: by, Position: p.ID, To: &to, U: math.Sqrt(u) / base}
	}
	for at, s := range m.set {
		put(at, "cut", s, nm)
	}
	for _, f := range m.plan.Fits {
		for _, c := range f.Choices {
			at, ok := m.lay.Find(c.Position)
			if ok {
				m.fitted(f.Kind, at, c, put)
			}
		}
	}
	var order []int
	for at := range found {
		order = append(order, at)
	}
	slices.Sort(order)
	out := make([]assess.Change, 0, len(order))
	for _, at := range order {
		out = append(out, found[at])
	}
	return out
}

// fitted is what one choice puts into its places. Of parts that stay nothing is
// changed.
func (m *maker) fitted(kind string, at int, c Choice, put func(at int, by string, s allocate.Size, base float64)) {
	p := &m.lay.Places[at]
	size := func(x Chosen, name string) (allocate.Size, bool) {
		for _, q := range m.Shelf.Parts {
			if q.ID == strings.TrimRight(lotOf(x.ID), "'") && x.From != FromEngine {
				s, ok := q.Sizes[name]
				return s, ok
			}
		}
		return noSize, false
	}
	switch kind {
	case route.Shells:
		for k, symbol := range []string{"upper", "lower"} {
			if s, ok := size(c.Parts[k], Wall); ok && len(input(p, symbol)) == 1 {
				put(input(p, symbol)[0], "fitted", s, nm)
			}
		}
	case route.Pairs:
		if len(c.Parts) == 1 {
			if s, ok := size(c.Parts[0], Diameter); ok {
				for _, k := range input(p, "shaft") {
					put(k, "fitted", s, nm)
				}
			}
		}
	case route.Sets:
		if len(c.Parts) == 2 {
			if s, ok := size(c.Parts[1], Mass); ok {
				put(at, "fitted", s, 1e6)
			}
		}
	case route.Springs:
		if _, ok := size(c.Parts[0], Load); ok { // its load is that over its shim
			put(at, "fitted", allocate.Size{N: int64(math.Round(c.SI * 1e3)), U: c.SU * 1e3}, 1e3)
		}
	case route.Rings, route.Shims:
		if c.Value != "" {
			put(at, "fitted", allocate.Size{N: nano(c.SI), U: c.SU * nm}, nm)
		}
	}
}

// lotOf is the id of a lot without the number of its piece.
func lotOf(id string) string {
	lot, _, _ := strings.Cut(id, "#")
	return lot
}
