// Package lubricant is what a shop knows of the oils it fills, and of the fuels
// that find their way into them: figures from a data sheet or a laboratory.
package lubricant

import (
	"strconv"

	"fettle/internal/base/cite"
	"fettle/internal/base/fault"
	"fettle/internal/base/unit"
	"fettle/internal/know/file"
	"fettle/internal/know/words"
)

// File is data/lubricants.yaml.
type File struct {
	Format string `json:"fettle" jsonschema:"enum=lubricants/1"`
	Oils   []Oil  `json:"oils" jsonschema:"minItems=1"`
	Fuels  []Fuel `json:"fuels,omitempty"`
}

// Oil is one oil.
type Oil struct {
	ID        string        `json:"id" jsonschema:"pattern=^[a-z0-9]+(-[a-z0-9]+)*$"`
	Name      words.Text    `json:"name"`
	Grade     string        `json:"grade" jsonschema:"pattern=^((0|5|10|15|20|25)W)?-?(8|12|16|20|30|40|50|60)?$,description=of SAE J300"`
	At40      unit.Quantity `json:"at_40" dim:"kinematic-viscosity"`
	At100     unit.Quantity `json:"at_100" dim:"kinematic-viscosity"`
	Density   unit.Quantity `json:"density" dim:"density" jsonschema:"description=at 15 °C"`
	HighShear unit.Quantity `json:"high_shear,omitzero" dim:"viscosity" jsonschema:"description=at 150 °C and a million a second; left out where the oil does not thin under shear"`
	Source    cite.Key      `json:"source"`
	Status    cite.Status   `json:"status" jsonschema:"enum=manual in hand,enum=copied table,enum=common practice,enum=from memory,enum=invented for the demo"`
}

// Fuel is what is left of a fuel in warm oil.
type Fuel struct {
	ID      string        `json:"id" jsonschema:"pattern=^[a-z0-9]+(-[a-z0-9]+)*$"`
	Name    words.Text    `json:"name"`
	At20    unit.Quantity `json:"at_20" dim:"kinematic-viscosity"`
	At100   unit.Quantity `json:"at_100" dim:"kinematic-viscosity"`
	Density unit.Quantity `json:"density" dim:"density" jsonschema:"description=at 15 °C"`
	Source  cite.Key      `json:"source"`
	Status  cite.Status   `json:"status" jsonschema:"enum=manual in hand,enum=copied table,enum=common practice,enum=from memory,enum=invented for the demo"`
}

// Schema is the JSON Schema of a file of lubricants.
func Schema() []byte {
	return file.Schema(&File{}, "lubricants-1.json", "fettle lubricants, version 1")
}

// Shelf is the file in the form in which it is asked. It is never changed.
type Shelf struct {
	Oils  []Oil
	Fuels []Fuel
}

// Read reads the file strictly; sources says which keys are declared.
func Read(name string, text []byte, sources func(string) bool) (*Shelf, fault.List) {
	f, doc, faults := file.Read[File](name, text, file.Compile(Schema()))
	if len(faults) > 0 {
		return &Shelf{}, faults
	}
	l := linter{doc: doc, sources: sources, seen: map[string]bool{}}
	for i, o := range f.Oils {
		at := "oils[" + strconv.Itoa(i) + "]"
		l.entry(at, o.ID, o.Name, o.Source, o.Density)
		l.thins(at, o.At40, o.At100)
		if o.Grade == "" || o.Grade[0] == '-' || o.Grade[len(o.Grade)-1] == '-' {
			l.say(at+".grade", "lubricant.no-grade", "found", o.Grade)
		}
		if !o.HighShear.IsZero() && o.HighShear.SI() <= 0 {
			l.say(at+".high_shear", "lubricant.not-positive", "found", o.HighShear.String())
		}
	}
	for i, x := range f.Fuels {
		at := "fuels[" + strconv.Itoa(i) + "]"
		l.entry(at, x.ID, x.Name, x.Source, x.Density)
		l.thins(at, x.At20, x.At100)
	}
	l.faults.Sort()
	return &Shelf{Oils: f.Oils, Fuels: f.Fuels}, l.faults
}

// Oil finds an oil by its id.
func (s *Shelf) Oil(id string) (*Oil, bool) {
	for i := range s.Oils {
		if s.Oils[i].ID == id {
			return &s.Oils[i], true
		}
	}
	return nil, false
}

// Fuel finds a fuel by its id.
func (s *Shelf) Fuel(id string) (*Fuel, bool) {
	for i := range s.Fuels {
		if s.Fuels[i].ID == id {
			return &s.Fuels[i], true
		}
	}
	return nil, false
}

// linter checks what the schema cannot say.
type linter struct {
	doc     *file.Doc
	sources func(string) bool
	seen    map[string]bool
	faults  fault.List
}

func (l *linter) say(path, key string, pairs ...string) {
	l.faults = append(l.faults, l.doc.Fault(path, key, pairs...))
}

// entry wants an id once, a name in English and German, a declared source, and
// the density of something that pours.
func (l *linter) entry(at, id string, name words.Text, source cite.Key, density unit.Quantity) {
	if l.seen[id] {
		l.say(at+".id", "lubricant.twice", "found", id)
	}
	l.seen[id] = true
	for _, lang := range []string{"en", "de"} {
		if name[lang] == "" {
			l.say(at+".name", "lubricant.no-words", "lang", lang)
		}
	}
	if !l.sources(string(source)) {
		l.say(at+".source", "lubricant.no-source", "found", string(source))
	}
	if d := density.SI(); d < 600 || d > 1200 {
		l.say(at+".density", "lubricant.density", "found", density.String())
	}
}

// thins wants a fluid that gets thinner when hot.
func (l *linter) thins(at string, cold, hot unit.Quantity) {
	if c, h := cold.SI(), hot.SI(); !(h > 0 && c > h) {
		l.say(at+".at_100", "lubricant.not-thinner", "found", hot.String(), "cold", cold.String())
	}
}
