package plan

import (
	"errors"

	"fettle/internal/base/fault"
	"fettle/internal/judge/allocate"
	"fettle/internal/judge/assess"
	"fettle/internal/know/family"
	"fettle/internal/know/operation"
	"fettle/internal/know/route"
)

// Make plans a job by one route: same inputs, same bytes.
//
// Errors: a fault where the route is not known, the wish is none, or a part on
// the shelf is none. That something cannot be done is no error but a conflict of
// the plan.
func Make(in Input) (*Plan, error) {
	cat := in.Knowledge.Library.Routes()
	if in.Route == "" && len(cat.Routes) > 0 {
		in.Route = cat.Routes[0].ID
	}
	r, ok := cat.Route(in.Route)
	if !ok {
		return nil, fault.New(fault.Missing, "plan.no-route", "found", in.Route, "expected", list(cat.Names()))
	}
	if in.Wish.Use == "" {
		in.Wish.Use = r.Use
	}
	if err := in.Wish.check(cat); err != nil {
		return nil, err
	}
	a := in.Assessment
	m := &maker{Input: in, a: a, lay: in.Knowledge.Layout, cat: cat, route: r, steps: map[string]int64{}, set: map[int]allocate.Size{},
		opens: map[string]bool{}, gone: map[string]bool{}, taken: map[string]int{},
		plan: &Plan{Format: "plan/1", Job: a.Job, Title: a.Title, Invented: a.Invented, Family: a.Family, Digest: a.Digest, Route: r.ID, Wish: in.Wish,
			Findings: []Disposition{}, Cuts: []Cut{}, Work: []Work{}, Aims: []Aim{}, Fits: []Fit{}, Conflicts: []Conflict{}, Open: []Open{}, Assessment: a}}
	m.dispose()
	m.cut()
	if err := m.work(); err != nil {
		return nil, err
	}
	for _, f := range cat.Fits {
		if err := m.fit(f); err != nil && !m.broken(f, err) {
			return nil, err
		}
	}
	m.goods()
	m.aims()
	if err := m.buy(); err != nil {
		return nil, err
	}
	m.finish()
	m.plan.Changes = m.changes()
	return m.plan, nil
}

// check refuses a wish that is none.
func (w Wish) check(cat *route.Catalogue) error {
	if _, ok := cat.Use(w.Use); !ok {
		var names []string
		for _, u := range cat.Uses {
			names = append(names, u.ID)
		}
		return fault.New(fault.Missing, "plan.no-use", "found", w.Use, "expected", list(names))
	}
	if w.Ratio != 0 && !(w.Ratio >= 4 && w.Ratio <= 20) {
		return fault.New(fault.Invalid, "plan.ratio", "found", number(w.Ratio, 2))
	}
	if w.Days < 0 || w.Days > 1000 || w.Budget < 0 || w.Budget > 1e12 {
		return fault.New(fault.Invalid, "plan.wish")
	}
	return nil
}

// maker makes one plan.
type maker struct {
	Input
	a       *assess.Assessment
	lay     *family.Layout
	cat     *route.Catalogue
	route   route.Route
	plan    *Plan
	steps   map[string]int64      // group -> step it is cut to, nm; none where it is not cut
	set     map[int]allocate.Size // place -> its size after the cut
	opens   map[string]bool       // characteristics that work of this plan opens again
	gone    map[string]bool       // parts that are replaced
	needs   []need
	todo    operation.Route
	taken   map[string]int  // part of the shelf -> pieces that an earlier fit took
	pistons map[string]Part // cylinder -> its new piston
}

// fit makes one choice, where the family has it and it is in the job's scope.
func (m *maker) fit(f route.Fit) error {
	places := m.places(f.Fit)
	if len(places) == 0 {
		return nil
	}
	switch f.Kind {
	case route.Shells:
		return m.shells(f, places)
	case route.Shims:
		return m.shims(f, places)
	case route.Pairs:
		return m.pairs(f, places)
	case route.Rings:
		return m.rings(f, places)
	case route.Sets:
		return m.masses(f, places)
	case route.Springs:
		return m.springs(f, places)
	}
	return m.gasket(f, places)
}

// broken notes a choice that cannot be made of what was read, such as a lash of a
// metre; what is wrong with it is said, and the rest of the plan stands.
func (m *maker) broken(f route.Fit, err error) bool {
	var x *fault.Fault
	if !errors.As(err, &x) || x.Code != fault.Invalid {
		return false
	}
	m.plan.Open = append(m.plan.Open, Open{Fit: f.ID, Broken: true, Say: Say{Key: x.Key, Args: x.Args}})
	return true
}

// places lists those of a characteristic that are in the job's scope.
func (m *maker) places(char string) []int {
	var out []int
	for _, i := range m.lay.Of(char) {
		if c := m.lay.Component(m.lay.Places[i].Char.Component()); c == nil || m.Facts.Job.InScope(c.System) {
			out = append(out, i)
		}
	}
	return out
}

// finish says whether the plan is whole.
func (m *maker) finish() {
	p := m.plan
	p.Complete = len(p.Conflicts) == 0 && len(p.Purchase.Missing) == 0
	for _, o := range p.Open {
		p.Complete = p.Complete && !o.Broken
	}
}
