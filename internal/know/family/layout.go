package family

import (
	"strings"

	"fettle/internal/base/unit"
)

// Signature is what a family needs to know of a relation in order to bind it.
type Signature struct {
	Symbols []SymbolSig
	Out     unit.Dim // None: the kind of its first symbol
}

// SymbolSig is one symbol of a relation.
type SymbolSig struct {
	Name  string
	Dim   unit.Dim // None: any kind
	Many  bool
	Least int
}

// Relations looks a signature up by name.
type Relations func(name string) (Signature, bool)

// Place is one position: a characteristic at one place of its pattern.
type Place struct {
	ID   string // component/characteristic/indices
	Char *Characteristic
	At   []string // one value a dimension of Char.Per
	Part string   // the part it is on: component/indices of the component
	New  *Limit   // nil where none applies
	Used *Limit   // limits for reuse; nil where none applies
	In   []Input  // one a symbol of the relation, for a derived place
}

// Input is what one symbol of a relation is bound to at one place.
type Input struct {
	Symbol string
	Places []int   // into Layout.Places
	Given  []Given // figures of the engine and coordinates, where Places is empty
}

// Given is a figure that nobody measures.
type Given struct {
	Ref   string  // engine/bore-spacing, face/L1/x, or the text of a quantity
	Value float64 // formula units
}

// Layout is a family with every position written out, derived positions after
// everything they lean on.
type Layout struct {
	Family *Family
	Digest string // of its file and all it leans on; "" until a library keeps it
	Dims   map[string]*Dim
	Places []Place
	Order  []int // indices of Places, inputs before what leans on them
	Named  []int // indices of Places by their ids
	byID   map[string]int
	byChar map[string][]int
	parts  map[string]*Component
}

// Find returns the index of a position.
func (l *Layout) Find(id string) (int, bool) { i, ok := l.byID[id]; return i, ok }

// Of returns the indices of a characteristic's places, in pattern order.
func (l *Layout) Of(char string) []int { return l.byChar[char] }

// Component returns a component by its id, nil if there is none.
func (l *Layout) Component(id string) *Component { return l.parts[id] }

// Material is the material a place is made of.
func (l *Layout) Material(p *Place) string {
	if p.Char.Material != "" {
		return p.Char.Material
	}
	if c := l.parts[p.Char.Component()]; c != nil {
		return c.Material
	}
	return ""
}

// Parts lists every part once, in the order of the places: the component where
// there is one of it, component/indices where there are more.
func (l *Layout) Parts() []string {
	var out []string
	seen := map[string]bool{}
	for i := range l.Places {
		if p := l.Places[i].Part; !seen[p] {
			seen[p] = true
			out = append(out, p)
		}
	}
	return out
}

// expand lists the places of a characteristic in order of its pattern.
func (l *Layout) expand(c *Characteristic) []Place {
	tuples := [][]string{nil}
	for _, name := range c.Per {
		d := l.Dims[name]
		var next [][]string
		for _, t := range tuples {
			for _, v := range d.Values {
				if only, ok := c.Only[name]; ok && !d.covers(only, v) {
					continue
				}
				if !l.together(c.Per, t, name, v) {
					continue
				}
				next = append(next, append(append([]string(nil), t...), v))
			}
			if len(next) > 2*mostPlaces { // far too many already; the compiler says so
				break
			}
		}
		tuples = next
	}
	comp := l.parts[c.Component()]
	out := make([]Place, 0, len(tuples))
	for _, t := range tuples {
		p := Place{ID: strings.Join(append([]string{c.ID}, t...), "/"), Char: c, At: t, Part: c.Component()}
		if comp != nil {
			for i, name := range c.Per {
				if contains(comp.Per, name) {
					p.Part += "/" + t[i]
				}
			}
		}
		p.New, p.Used = l.limit(c, t, "new"), l.limit(c, t, "reuse")
		out = append(out, p)
	}
	return out
}

// together keeps a bank from being paired with a cylinder of the other bank.
func (l *Layout) together(per, t []string, name, v string) bool {
	for i, other := range t {
		for _, pair := range [][2]string{{per[i], name}, {name, per[i]}} {
			touch, ok := l.Dims[pair[0]].Touch[pair[1]]
			if !ok || pair[1] != "bank" {
				continue
			}
			a, b := other, v
			if pair[0] == name {
				a, b = v, other
			}
			if !contains(touch[a], b) {
				return false
			}
		}
	}
	return true
}

func (l *Layout) limit(c *Characteristic, t []string, use string) *Limit {
	for i := range c.Limits {
		lim := &c.Limits[i]
		if lim.For == use && l.matches(c.Per, t, lim.Where) {
			return lim
		}
	}
	return nil
}

func (l *Layout) matches(per, t []string, where map[string][]string) bool {
	for name, names := range where {
		ok := false
		for i, p := range per {
			if p == name && l.Dims[name].covers(names, t[i]) {
				ok = true
			}
		}
		if !ok {
			return false
		}
	}
	return true
}

func contains(list []string, s string) bool {
	for _, v := range list {
		if v == s {
			return true
		}
	}
	return false
}

// resolve finds the places that a binding means, seen from place p: dimensions
// in common must agree, linked ones follow the link, free ones take all.
func (l *Layout) resolve(p *Place, from string, where map[string][]string) []int {
	var out []int
	for _, i := range l.byChar[from] {
		q := &l.Places[i]
		if l.joins(p, q) && l.matches(q.Char.Per, q.At, where) {
			out = append(out, i)
		}
	}
	return out
}

func (l *Layout) joins(p, q *Place) bool { return l.Joins(p.Char.Per, p.At, q.Char.Per, q.At) }

// Joins reports whether two places belong together: dimensions in common agree,
// linked ones follow the link, what only the second has is free. per names the
// dimensions of each, at its values.
func (l *Layout) Joins(per, at, otherPer, otherAt []string) bool {
	for k, name := range otherPer {
		linked, free := false, true
		for j, mine := range per {
			if mine == name {
				linked, free = otherAt[k] == at[j], false
				break
			}
			if touch, ok := l.Dims[mine].Touch[name]; ok {
				linked, free = contains(touch[at[j]], otherAt[k]), false
			}
		}
		if !free && !linked {
			return false
		}
	}
	return true
}
