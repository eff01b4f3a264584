package operation

import (
	"slices"

	"fettle/internal/base/fault"
	"fettle/internal/know/family"
	"fettle/internal/know/file"
)

// Catalogue is the file in the form in which it is asked.
type Catalogue struct {
	Machines   []Machine
	Fixtures   []Fixture
	Goods      []Goods
	Operations []Operation // in the order in which they are done
	byID       map[string]int
}

// Known is what the catalogue leans on: each says whether a name is one.
type Known struct {
	Source  func(id string) bool
	Caution func(id string) bool
	Answer  func(finding, outcome string) bool // a way out that the finding names
}

// Schema is the JSON Schema of data/operations.yaml.
func Schema() []byte { return file.Schema(&File{}, "operations-1.schema.json", "fettle operations/1") }

// Read reads the file strictly and makes the catalogue of it.
func Read(name string, text []byte, known Known) (*Catalogue, fault.List) {
	f, doc, faults := file.Read[File](name, text, file.Compile(Schema()))
	if len(faults) > 0 {
		return None(), faults
	}
	faults = lint(&f, doc, known)
	if len(faults) > 0 {
		faults.Sort()
		return None(), faults
	}
	return open(&f), nil
}

// None is a catalogue without operations.
func None() *Catalogue { return &Catalogue{byID: map[string]int{}} }

func open(f *File) *Catalogue {
	c := &Catalogue{Machines: f.Machines, Fixtures: f.Fixtures, Goods: f.Goods, byID: map[string]int{}}
	order, _ := sorted(f.Operations)
	for _, i := range order {
		c.byID[f.Operations[i].ID] = len(c.Operations)
		c.Operations = append(c.Operations, f.Operations[i])
	}
	return c
}

// Operation finds one by its id, nil for none. It is not to be changed.
func (c *Catalogue) Operation(id string) *Operation {
	if i, ok := c.byID[id]; ok {
		return &c.Operations[i]
	}
	return nil
}

// Machine finds a kind of machine.
func (c *Catalogue) Machine(id string) (Machine, bool) {
	i := slices.IndexFunc(c.Machines, func(m Machine) bool { return m.ID == id })
	if i < 0 {
		return Machine{}, false
	}
	return c.Machines[i], true
}

// Fixture finds a kind of fixture.
func (c *Catalogue) Fixture(id string) (Fixture, bool) {
	i := slices.IndexFunc(c.Fixtures, func(m Fixture) bool { return m.ID == id })
	if i < 0 {
		return Fixture{}, false
	}
	return c.Fixtures[i], true
}

// Part finds a kind of part that is fitted new.
func (c *Catalogue) Part(id string) (Goods, bool) {
	i := slices.IndexFunc(c.Goods, func(m Goods) bool { return m.ID == id })
	if i < 0 {
		return Goods{}, false
	}
	return c.Goods[i], true
}

// Answering lists the operations that carry out an outcome of a finding.
func (c *Catalogue) Answering(finding, outcome string) []*Operation {
	var out []*Operation
	for i := range c.Operations {
		for _, a := range c.Operations[i].Answers {
			if a.Finding == finding && slices.Contains(a.Outcomes, outcome) {
				out = append(out, &c.Operations[i])
				break
			}
		}
	}
	return out
}

// For picks the operation that carries out an outcome of a finding on an engine,
// nil for none. char is the characteristic that the finding rests on, "" where
// nobody knows: of several ways one that works on it comes first, of those one
// that brings a whole group to size, of those the first in the order of the work.
func (c *Catalogue) For(l *family.Layout, finding, outcome, char string) *Operation {
	var best *Operation
	score := -1
	for _, o := range c.Answering(finding, outcome) {
		if !o.On(l) {
			continue
		}
		n := 0
		if char != "" && (slices.Contains(o.Reopens, char) || leans(l, char, o)) {
			n = 2
		}
		if len(o.Targets) > 0 {
			n++
		}
		if n > score {
			best, score = o, n
		}
	}
	return best
}

// leans reports whether a derived characteristic rests on one that the operation
// opens again.
func leans(l *family.Layout, char string, o *Operation) bool {
	for _, i := range l.Of(char) {
		for _, in := range l.Places[i].In {
			for _, p := range in.Places {
				if slices.Contains(o.Reopens, l.Places[p].Char.ID) {
					return true
				}
			}
		}
	}
	return false
}

// Sizing lists the operations that bring a target group to size.
func (c *Catalogue) Sizing(group string) []*Operation {
	var out []*Operation
	for i := range c.Operations {
		if slices.Contains(c.Operations[i].Targets, group) {
			out = append(out, &c.Operations[i])
		}
	}
	return out
}

// sorted puts operations in an order in which each comes behind all it needs and
// all it stands after, and otherwise as in the file. Where that cannot be, ring
// is the first operation that waits for itself.
func sorted(list []Operation) (order []int, ring string) {
	at := map[string]int{}
	for i := range list {
		at[list[i].ID] = i
	}
	const fresh, open, done = 0, 1, 2
	mark := make([]int, len(list))
	var visit func(i int)
	visit = func(i int) {
		if mark[i] == open && ring == "" {
			ring = list[i].ID
		}
		if mark[i] != fresh {
			return
		}
		mark[i] = open
		for _, id := range append(slices.Clone(list[i].Needs), list[i].After...) {
			if j, ok := at[id]; ok {
				visit(j)
			}
		}
		mark[i] = done
		order = append(order, i)
	}
	for i := range list {
		visit(i)
	}
	return order, ring
}
