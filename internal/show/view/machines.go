package view

import (
	"sort"
	"strings"

	"fettle/internal/facts/shop"
	"fettle/internal/know/library"
)

// Machines is the page of what the shop has to work on and with.
type Machines struct {
	Frame
	Step
	Machines []MachineRow
	Fixtures []MachineRow
	Kinds    []Choice // of machines
	Jigs     []Choice // kinds of fixtures
	Families []Choice
}

// MachineRow is one machine or fixture.
type MachineRow struct {
	ID, Kind, For, Note string
	Gone                bool
	Act                 string // of the form that sets it out of order or back
}

// MachinesPage makes the page.
func (r Reader) MachinesPage(lib *library.Library, sh *shop.State, s Step) Machines {
	v := Machines{Frame: r.frame(r.T("page.machines.title"), "/machines"), Step: s}
	c := lib.Operations()
	for _, m := range c.Machines {
		v.Kinds = append(v.Kinds, Choice{m.ID, m.Name.In(r.Lang), s.Was("machine", "type") == m.ID})
	}
	for _, f := range c.Fixtures {
		name := f.Name.In(r.Lang)
		if f.Family {
			name += " (" + r.T("page.machines.of-family") + ")"
		}
		v.Jigs = append(v.Jigs, Choice{f.ID, name, s.Was("fixture", "type") == f.ID})
	}
	v.Families = []Choice{{"", r.T("page.machines.any"), s.Was("fixture", "family") == ""}}
	for _, id := range sortedIDs(lib.Families) {
		v.Families = append(v.Families, Choice{id, lib.Families[id].Family.Name.In(r.Lang), s.Was("fixture", "family") == id})
	}
	for _, id := range sortedIDs(sh.Machines) {
		m := sh.Machines[id]
		row := MachineRow{ID: id, Kind: m.Type, Note: m.Note, Gone: m.Gone, Act: "turn-machine-" + id}
		if k, ok := c.Machine(m.Type); ok {
			row.Kind = k.Name.In(r.Lang)
		}
		v.Machines = append(v.Machines, row)
	}
	for _, id := range sortedIDs(sh.Fixtures) {
		f := sh.Fixtures[id]
		row := MachineRow{ID: id, Kind: f.Type, Note: f.Note, Gone: f.Gone, Act: "turn-fixture-" + id}
		if k, ok := c.Fixture(f.Type); ok {
			row.Kind = k.Name.In(r.Lang)
		}
		var of []string
		for _, x := range f.Families {
			if l := lib.Families[x]; l != nil {
				x = l.Family.Name.In(r.Lang)
			}
			of = append(of, x)
		}
		row.For = strings.Join(of, ", ")
		v.Fixtures = append(v.Fixtures, row)
	}
	return v
}

// ShopStep is what the forms of a page of the shop begin with.
func (r Reader) ShopStep(sh *shop.State, post, key, person string) Step {
	s := Step{Post: post, Key: key, Mark: markName(r.Mark)}
	if r.Person == "" {
		s.People = append(s.People, Choice{"", r.T("page.form.choose"), person == ""})
		for _, id := range sortedIDs(sh.People) {
			s.People = append(s.People, Choice{id, orLast(sh.People[id].Initials, id), id == person})
		}
	}
	return s
}

func sortedIDs[T any](m map[string]T) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	sort.Strings(out)
	return out
}
