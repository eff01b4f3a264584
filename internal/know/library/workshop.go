package library

import (
	"fmt"
	"slices"

	"fettle/internal/base/cite"
	"fettle/internal/base/fault"
	"fettle/internal/know/cleaning"
	"fettle/internal/know/file"
	"fettle/internal/know/material"
	"fettle/internal/know/strip"
)

// workshop takes up the files on stripping and cleaning. No verdict leans on
// them, so they are no part of a family's digest.
func (l *Library) workshop(r *Reading) fault.List {
	cl, doc, faults := r.cleaning()
	l.Cleaning = cl
	l.Cautions = append(slices.Clip(l.Cautions), cl.Cautions...)
	if doc != nil && len(faults) == 0 {
		faults = append(faults, l.lintCleaning(&cl, doc)...)
	}
	st, sdoc, fl := r.strip()
	l.Strip = st
	if faults = append(faults, fl...); sdoc != nil && len(fl) == 0 {
		faults = append(faults, l.lintStrip(&st, sdoc)...)
	}
	return faults
}

// linter gathers what is wrong with one file.
type linter struct {
	l      *Library
	doc    *file.Doc
	faults fault.List
	seen   map[string]bool
}

func (k *linter) say(path, key string, pairs ...string) {
	k.faults = append(k.faults, k.doc.Fault(path, key, pairs...))
}

// unique wants every id of a list once.
func (k *linter) unique(list string, i int, id string) {
	if k.seen[list+" "+id] {
		k.say(fmt.Sprintf("%s[%d].id", list, i), "family.duplicate", "found", id)
	}
	k.seen[list+" "+id] = true
}

func (k *linter) source(path string, key cite.Key) {
	if _, ok := k.l.Sources[string(key)]; !ok {
		k.say(path+".source", "family.unknown-source", "found", string(key))
	}
}

func (k *linter) caution(path, id string) {
	if id == "" {
		return
	}
	for _, c := range k.l.Cautions {
		if c.ID == id {
			return
		}
	}
	k.say(path+".caution", "workshop.unknown-caution", "found", id)
}

// lintCleaning holds the recipes against the materials: each material once
// under each process, and hot caustic as the materials say.
func (l *Library) lintCleaning(f *cleaning.File, doc *file.Doc) fault.List {
	k := &linter{l: l, doc: doc, seen: map[string]bool{}}
	for i, c := range l.Cautions {
		k.unique("cautions", i, c.ID)
	}
	processes := map[string]bool{}
	for i, p := range f.Processes {
		k.unique("processes", i, p.ID)
		k.caution(fmt.Sprintf("processes[%d]", i), p.Caution)
		processes[p.ID] = true
	}
	where := map[string]bool{}
	for i, r := range f.Recipes {
		at := fmt.Sprintf("recipes[%d]", i)
		k.source(at, r.Source)
		if !processes[r.Process] {
			k.say(at+".process", "workshop.unknown-process", "found", r.Process)
		}
		for n, m := range r.Materials {
			here := fmt.Sprintf("%s.materials[%d]", at, n)
			mat, ok := l.Materials[m]
			switch {
			case !ok:
				k.say(here, "workshop.unknown-material", "found", m)
			case where[r.Process+" "+m]:
				k.say(here, "workshop.recipe-twice", "process", r.Process, "material", m)
			case r.Process == "hot-caustic" && (r.Fit == cleaning.Stop) != destroyed(mat):
				k.say(here, "workshop.caustic", "material", m)
			}
			where[r.Process+" "+m] = true
		}
	}
	for i, p := range f.Processes {
		for _, m := range sortedKeys(l.Materials) {
			if !where[p.ID+" "+m] {
				k.say(fmt.Sprintf("processes[%d]", i), "workshop.no-recipe", "process", p.ID, "material", m)
			}
		}
	}
	for i, c := range f.Checks {
		k.unique("checks", i, c.ID)
		k.caution(fmt.Sprintf("checks[%d]", i), c.Caution)
	}
	return k.faults
}

func destroyed(m material.Material) bool { return m.HotCaustic == "destroys" }

// lintStrip checks names, sources and cautions of the strip file. That its
// characteristics exist is a matter of families, see TestStripNamesWhatThereIs.
func (l *Library) lintStrip(f *strip.File, doc *file.Doc) fault.List {
	k := &linter{l: l, doc: doc, seen: map[string]bool{}}
	for i, p := range f.Panel {
		at := fmt.Sprintf("panel[%d]", i)
		k.unique("panel", i, p.ID)
		k.source(at, p.Source)
		k.caution(at, p.Caution)
		if len(p.At) == 0 && p.Apart.IsZero() == p.ApartPart.IsZero() {
			k.say(at, "workshop.panel-apart", "found", p.ID)
		}
	}
	for i, g := range f.Gates {
		at := fmt.Sprintf("gates[%d]", i)
		k.unique("gates", i, g.ID)
		k.source(at, g.Source)
		k.caution(at, g.Caution)
	}
	methods := map[string]bool{}
	for i, m := range f.Method {
		k.unique("methods", i, m.ID)
		k.caution(fmt.Sprintf("methods[%d]", i), m.Caution)
		methods[m.ID] = true
	}
	for i, c := range f.Clear {
		at := fmt.Sprintf("clear[%d]", i)
		k.source(at, c.Source)
		for _, m := range c.Methods {
			if !methods[m] {
				k.say(at+".methods", "workshop.unknown-method", "found", m)
			}
		}
	}
	return k.faults
}

// Recipe says how a material takes a process; ok is false where no file says.
func (l *Library) Recipe(process, material string) (cleaning.Recipe, bool) {
	for _, r := range l.Cleaning.Recipes {
		if r.Process == process && slices.Contains(r.Materials, material) {
			return r, true
		}
	}
	return cleaning.Recipe{}, false
}

func sortedKeys[T any](m map[string]T) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}
