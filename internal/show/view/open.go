package view

import (
	"fettle/internal/facts/shop"
	"fettle/internal/know/library"
)

// Opening is what a person typed to open a job.
type Opening struct{ Key, Job, Title, Family, Use, Person string }

// Open is the page on which a job is opened.
type Open struct {
	Frame
	Typed    Opening
	Families []Choice
	People   []Choice
	Faults   map[string]string
}

// OpenPage makes the page; families are ids in the order they are offered.
func (r Reader) OpenPage(lib *library.Library, families []string, s *shop.State, o Opening, faults map[string]string) Open {
	v := Open{Frame: r.frame(r.T("page.open.title"), "/open"), Typed: o, Faults: faults}
	v.Under = r.T("page.open.under")
	for _, id := range families {
		v.Families = append(v.Families, Choice{id, lib.Families[id].Family.Name.In(r.Lang), id == o.Family})
	}
	v.People = (&Case{Shop: s}).people(r, o.Person)
	return v
}
