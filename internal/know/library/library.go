// Package library puts the knowledge of a shop together from the bytes of its
// files and gives it a digest.
package library

import (
	"crypto/sha256"
	"sort"
	"strings"
	"sync"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"fettle/internal/base/fault"
	"fettle/internal/know/cleaning"
	"fettle/internal/know/family"
	"fettle/internal/know/file"
	"fettle/internal/know/finding"
	"fettle/internal/know/instrument"
	"fettle/internal/know/material"
	"fettle/internal/know/source"
	"fettle/internal/know/strip"
	"fettle/internal/know/words"
)

// Files are the texts of a knowledge folder by their path in it: sources.yaml,
// materials.yaml, instruments.yaml, findings.yaml, plan.csv, words/LANG.yaml,
// family/ID.yaml; observations.yaml, failures.yaml, operations.yaml, routes.yaml,
// strip.yaml, cleaning.yaml and running/ID.yaml, which a folder may lack.
type Files map[string][]byte

// Library is the knowledge of a shop.
type Library struct {
	Sources     map[string]source.Source
	Materials   map[string]material.Material
	Instruments map[string]instrument.Instrument
	Conditions  map[string]instrument.Condition
	Findings    map[string]finding.Finding
	Cautions    []finding.Caution
	Strip       strip.File
	Cleaning    cleaning.File
	Plan        []PlanRow
	Words       map[string]*words.Book
	Families    map[string]*family.Layout
	Digests     map[string]string  // of each family: its file and all it leans on
	versions    map[string]version // by digest: every family this library was given
	seen        func() guides      // what no verdict leans on, read when asked for
	failed      func() guides
	oiled       func() guides
	worked      func() works
	run         func() runs
	routed      func() routed
	known       family.Known
	validator   *jsonschema.Schema
	shared      []byte
}

// Read parses everything but the families, which are read when asked for: see
// Family. All problems are reported at once.
func Read(files Files, relations family.Relations) (*Library, fault.List) {
	return Begin(files).Library(relations)
}

// Reading is a library whose files are being read.
type Reading struct {
	files       Files
	english     bookFaults
	books       func() (map[string]*words.Book, fault.List)
	sources     func() (source.File, *file.Doc, fault.List)
	materials   func() (material.File, *file.Doc, fault.List)
	instruments func() (instrument.File, *file.Doc, fault.List)
	findings    func() (finding.File, *file.Doc, fault.List)
	strip       func() (strip.File, *file.Doc, fault.List)
	cleaning    func() (cleaning.File, *file.Doc, fault.List)
}

// Begin reads the English sentences, for which everybody waits, and begins to
// read every other file but the families, side by side.
func Begin(files Files) *Reading {
	r := &Reading{files: files, english: english(files)}
	books := soon(func() booksFaults { return others(files, r.english) })
	r.books = func() (map[string]*words.Book, fault.List) { b := books(); return b.books, b.faults }
	r.findings, r.instruments = later[finding.File](files, "findings.yaml"), later[instrument.File](files, "instruments.yaml")
	r.sources, r.materials = later[source.File](files, "sources.yaml"), later[material.File](files, "materials.yaml")
	r.strip, r.cleaning = maybe[strip.File](files, "strip.yaml"), maybe[cleaning.File](files, "cleaning.yaml")
	return r
}

// English are the English sentences.
func (r *Reading) English() (*words.Book, fault.List) { return r.english.book, r.english.faults }

// Library waits until everything is read and puts it together. All problems
// are reported at once.
func (r *Reading) Library(relations family.Relations) (*Library, fault.List) {
	l := &Library{Sources: map[string]source.Source{}, Materials: map[string]material.Material{},
		Instruments: map[string]instrument.Instrument{}, Conditions: map[string]instrument.Condition{},
		Findings: map[string]finding.Finding{}, Families: map[string]*family.Layout{}, Digests: map[string]string{},
		versions: map[string]version{}}
	var faults fault.List
	l.Words, faults = r.books()
	l.seen = sync.OnceValue(func() guides { return readSeen(r.files, l) })
	l.failed = sync.OnceValue(func() guides { return readFailed(r.files, l) })
	l.worked = sync.OnceValue(func() works { return readWorked(r.files, l) })
	l.oiled = sync.OnceValue(func() guides { return readOiled(r.files, l) })
	l.run = readRuns(r.files, l)
	l.routed = sync.OnceValue(func() routed { return readRoutes(r.files, l) })
	src, doc, fl := r.sources()
	faults = append(faults, fl...)
	for i, s := range src.Sources {
		faults = append(faults, once(l.Sources, string(s.ID), s, doc, "sources", i)...)
	}
	mat, doc, fl := r.materials()
	faults = append(faults, fl...)
	for i, m := range mat.Materials {
		faults = append(faults, once(l.Materials, m.ID, m, doc, "materials", i)...)
	}
	ins, doc, fl := r.instruments()
	faults = append(faults, fl...)
	for i, m := range ins.Instruments {
		faults = append(faults, once(l.Instruments, m.ID, m, doc, "instruments", i)...)
		if _, _, ok := m.Rest(); !ok {
			faults = append(faults, doc.Fault("instruments["+itoa(i)+"]", "instrument.parts", "found", m.ID))
		}
	}
	for i, m := range ins.Conditions {
		faults = append(faults, once(l.Conditions, m.ID, m, doc, "conditions", i)...)
	}
	fin, doc, fl := r.findings()
	faults = append(faults, fl...)
	for i, m := range fin.Findings {
		faults = append(faults, once(l.Findings, m.ID, m, doc, "findings", i)...)
	}
	l.Cautions = fin.Cautions
	faults = append(faults, l.workshop(r)...)
	plan, fl := readPlan("plan.csv", r.files["plan.csv"])
	faults = append(faults, fl...)
	l.Plan = plan
	for _, name := range []string{"sources.yaml", "materials.yaml", "instruments.yaml", "findings.yaml"} {
		sum := sha256.Sum256(r.files[name])
		l.shared = append(l.shared, sum[:]...)
	}
	l.known = family.Known{Relations: relations, Materials: keys(l.Materials), Instruments: keys(l.Instruments),
		Findings: keys(l.Findings), Conditions: keys(l.Conditions), Sources: keys(l.Sources), PlanRows: planKeys(plan)}
	faults.Sort()
	return l, faults
}

// Family parses a family file against this library and keeps it under its id.
func (l *Library) Family(name string, text []byte) (*family.Layout, fault.List) {
	if l.validator == nil {
		l.validator = family.Validator()
	}
	return l.Keep(family.Open(name, text, l.validator))
}

// Keep lays out a family file that was opened before and keeps it under its id.
func (l *Library) Keep(d *family.Draft) (*family.Layout, fault.List) {
	lay, faults := l.layout(d)
	if len(faults) == 0 {
		l.hold(lay, d.Text)
	}
	return lay, faults
}

// AllFamilies parses every file of the folder family.
func (l *Library) AllFamilies(files Files) fault.List {
	var names []string
	for n := range files {
		if strings.HasPrefix(n, "family/") {
			names = append(names, n)
		}
	}
	sort.Strings(names)
	var faults fault.List
	for _, n := range names {
		_, fl := l.Family(n, files[n])
		faults = append(faults, fl...)
	}
	return faults
}

// Book returns the sentences of a language, English where it is not known.
func (l *Library) Book(lang string) *words.Book {
	if b := l.Words[lang]; b != nil {
		return b
	}
	return l.Words["en"]
}

type bookFaults struct {
	book   *words.Book
	faults fault.List
}

type booksFaults struct {
	books  map[string]*words.Book
	faults fault.List
}

func english(files Files) bookFaults {
	en, err := words.Parse("en", files["words/en.yaml"], nil)
	return bookFaults{en, fault.All(err)}
}

// others reads every language over English.
func others(files Files, en bookFaults) booksFaults {
	if len(en.faults) > 0 {
		return booksFaults{nil, en.faults}
	}
	out := booksFaults{books: map[string]*words.Book{"en": en.book}}
	for n, text := range files {
		lang := strings.TrimSuffix(strings.TrimPrefix(n, "words/"), ".yaml")
		if !strings.HasPrefix(n, "words/") || lang == "en" {
			continue
		}
		b, err := words.Parse(lang, text, en.book)
		out.faults = append(out.faults, fault.All(err)...)
		out.books[lang] = b
	}
	return out
}

// soon begins to work at once and hands the result over when asked, as often
// as asked.
func soon[T any](work func() T) func() T {
	var v T
	done := make(chan struct{})
	go func() {
		defer close(done)
		v = work()
	}()
	return func() T {
		<-done
		return v
	}
}

// later begins to read a file at once and hands it over when asked.
func later[T any](files Files, name string) func() (T, *file.Doc, fault.List) {
	var v T
	var doc *file.Doc
	var faults fault.List
	wait := soon(func() struct{} {
		v, doc, faults = file.Read[T](name, files[name], file.Compile(file.Schema(&v, name, name)))
		return struct{}{}
	})
	return func() (T, *file.Doc, fault.List) {
		wait()
		return v, doc, faults
	}
}

// maybe is later for a file that a folder may go without.
func maybe[T any](files Files, name string) func() (T, *file.Doc, fault.List) {
	if files[name] == nil {
		return func() (v T, doc *file.Doc, faults fault.List) { return }
	}
	return later[T](files, name)
}

func once[T any](m map[string]T, id string, v T, doc *file.Doc, list string, i int) fault.List {
	if _, ok := m[id]; ok {
		return fault.List{doc.Fault(list+"["+itoa(i)+"].id", "family.duplicate", "found", id)}
	}
	m[id] = v
	return nil
}

func keys[T any](m map[string]T) map[string]bool {
	out := make(map[string]bool, len(m))
	for k := range m {
		out[k] = true
	}
	return out
}
