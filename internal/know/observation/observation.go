// Package observation is what a person may see on a part: kinds of marks in the
// trade's words, how bad in words, where on the part, and which evidence to
// take. What was seen on a part of a job is a fact of that job.
package observation

import (
	"strconv"

	"fettle/internal/base/cite"
	"fettle/internal/base/fault"
	"fettle/internal/know/file"
	"fettle/internal/know/words"
)

// File is data/observations.yaml.
type File struct {
	Format     string     `json:"fettle" jsonschema:"enum=observations/1"`
	Severities []Severity `json:"severities" jsonschema:"minItems=2,description=from the least to the worst"`
	Within     []Within   `json:"within"`
	Parts      []Part     `json:"parts"`
	Kinds      []Kind     `json:"kinds" jsonschema:"minItems=1"`
}

// Severity is one word for how bad a mark is; their order is the file's.
type Severity struct {
	ID      string     `json:"id" jsonschema:"pattern=^[a-z0-9]+(-[a-z0-9]+)*$"`
	Name    words.Text `json:"name"`
	Meaning words.Text `json:"meaning"`
}

// Within is a place on a part beside its indices.
type Within struct {
	ID   string     `json:"id" jsonschema:"pattern=^[a-z0-9]+(-[a-z0-9]+)*$"`
	Name words.Text `json:"name"`
}

// Part says which places a component has.
type Part struct {
	Component string   `json:"component"`
	Within    []string `json:"within" jsonschema:"minItems=1"`
}

// Kind is one kind of mark.
type Kind struct {
	ID     string      `json:"id" jsonschema:"pattern=^[a-z0-9]+(-[a-z0-9]+)*$"`
	Name   words.Text  `json:"name"`
	What   words.Text  `json:"what"`
	Parts  []string    `json:"parts" jsonschema:"minItems=1,description=components on which it can be seen"`
	Take   words.Text  `json:"take" jsonschema:"description=which evidence to take"`
	Source cite.Key    `json:"source"`
	Status cite.Status `json:"status" jsonschema:"enum=manual in hand,enum=copied table,enum=common practice,enum=from memory,enum=invented for the demo"`
}

// Catalogue is the file in the form in which it is asked.
type Catalogue struct {
	Severities []Severity
	Kinds      []Kind
	kinds      map[string]int
	ranks      map[string]int
	within     map[string]Within
	parts      map[string][]string
}

// Read reads the file strictly and makes the catalogue of it.
func Read(name string, text []byte, sources func(string) bool) (*Catalogue, fault.List) {
	f, doc, faults := file.Read[File](name, text, file.Compile(file.Schema(&File{}, name, name)))
	if len(faults) > 0 {
		return None(), faults
	}
	c, faults := Open(f, doc, sources)
	faults.Sort()
	return c, faults
}

// None is a catalogue without kinds.
func None() *Catalogue {
	c, _ := Open(File{}, nil, nil)
	return c
}

// Open checks what the schema cannot say and makes the catalogue.
func Open(f File, doc *file.Doc, sources func(string) bool) (*Catalogue, fault.List) {
	c := &Catalogue{Severities: f.Severities, Kinds: f.Kinds, kinds: map[string]int{}, ranks: map[string]int{},
		within: map[string]Within{}, parts: map[string][]string{}}
	var faults fault.List
	for i, s := range f.Severities {
		at := "severities[" + strconv.Itoa(i) + "]"
		if _, twice := c.ranks[s.ID]; twice {
			faults = append(faults, doc.Fault(at+".id", "observation.twice", "found", s.ID))
		}
		c.ranks[s.ID] = i
		faults = append(faults, said(doc, at, s.Name, s.Meaning)...)
	}
	for i, w := range f.Within {
		at := "within[" + strconv.Itoa(i) + "]"
		if _, twice := c.within[w.ID]; twice {
			faults = append(faults, doc.Fault(at+".id", "observation.twice", "found", w.ID))
		}
		c.within[w.ID] = w
		faults = append(faults, said(doc, at, w.Name)...)
	}
	for i, p := range f.Parts {
		at := "parts[" + strconv.Itoa(i) + "]"
		if _, twice := c.parts[p.Component]; twice {
			faults = append(faults, doc.Fault(at+".component", "observation.twice", "found", p.Component))
		}
		c.parts[p.Component] = p.Within
		for k, w := range p.Within {
			if _, ok := c.within[w]; !ok {
				faults = append(faults, doc.Fault(at+".within["+strconv.Itoa(k)+"]", "observation.no-within", "found", w))
			}
		}
	}
	for i, k := range f.Kinds {
		at := "kinds[" + strconv.Itoa(i) + "]"
		if _, twice := c.kinds[k.ID]; twice {
			faults = append(faults, doc.Fault(at+".id", "observation.twice", "found", k.ID))
		}
		c.kinds[k.ID] = i
		if !sources(string(k.Source)) {
			faults = append(faults, doc.Fault(at+".source", "observation.no-source", "found", string(k.Source)))
		}
		faults = append(faults, said(doc, at, k.Name, k.What, k.Take)...)
	}
	return c, faults
}

// said wants every text in English and in German.
func said(doc *file.Doc, at string, texts ...words.Text) fault.List {
	for _, t := range texts {
		for _, lang := range []string{"en", "de"} {
			if t[lang] == "" {
				return fault.List{doc.Fault(at, "observation.no-words", "lang", lang)}
			}
		}
	}
	return nil
}

// Kind finds a kind by its id.
func (c *Catalogue) Kind(id string) (Kind, bool) {
	i, ok := c.kinds[id]
	if !ok {
		return Kind{}, false
	}
	return c.Kinds[i], true
}

// Rank orders severities from 1, the least; 0 is none that is known.
func (c *Catalogue) Rank(id string) int {
	if i, ok := c.ranks[id]; ok {
		return i + 1
	}
	return 0
}

// Place finds a place on parts by its id.
func (c *Catalogue) Place(id string) (Within, bool) {
	w, ok := c.within[id]
	return w, ok
}

// Places lists the places that a component has.
func (c *Catalogue) Places(component string) []Within {
	var out []Within
	for _, id := range c.parts[component] {
		out = append(out, c.within[id])
	}
	return out
}

// On lists the kinds that can be seen on a component.
func (c *Catalogue) On(component string) []Kind {
	var out []Kind
	for _, k := range c.Kinds {
		if k.On(component) {
			out = append(out, k)
		}
	}
	return out
}

// On says whether a kind can be seen on a component.
func (k *Kind) On(component string) bool {
	for _, p := range k.Parts {
		if p == component {
			return true
		}
	}
	return false
}
