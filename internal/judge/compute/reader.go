package compute

import (
	"slices"
	"strconv"
	"strings"

	"fettle/internal/base/fault"
	"fettle/internal/base/unit"
)

// reader takes values out of a tree and notes every mistake with its place.
type reader struct {
	faults fault.List
	first  map[unit.Dim]string // unit in which a kind was given first
	shared unit.Dim            // the kind of all values of which any kind will do
	free   bool                // values of any kind need not be of one
}

func newReader() *reader { return &reader{first: map[unit.Dim]string{}} }

// spot is a place in the input where something is wrong.
type spot struct {
	r    *reader
	at   place
	path string
}

func (r *reader) on(at place, path string) spot { return spot{r, at, path} }

func (s spot) say(key string, pairs ...string) {
	f := fault.New(fault.Invalid, key, pairs...).In(s.path)
	f.Line, f.Col = s.at.line, s.at.col
	s.r.faults = append(s.r.faults, f)
}

// only says which members of an object are not known.
func (r *reader) only(t *tree, path string, known []string) bool {
	ok := true
	for _, m := range t.members {
		if !slices.Contains(known, m.name) {
			r.on(m.at, join(path, m.name)).say("compute.unknown", "found", m.name, "expected", strings.Join(known, ", "))
			ok = false
		}
	}
	return ok
}

func join(path, name string) string {
	if path == "" {
		return name
	}
	return path + "." + name
}

func (r *reader) text(t *tree, path string) string {
	if t.kind != 's' || t.text == "" || len(t.text) > 200 {
		r.on(t.at, path).say("compute.not-text", "found", t.text)
		return ""
	}
	return t.text
}

// elements are those of a list; one value is a list of one.
func (r *reader) elements(t *tree, path string) []*tree {
	if t.kind != 'a' {
		return []*tree{t}
	}
	return t.list
}

// amount reads a value with its unit.
func (r *reader) amount(t *tree, path string, want unit.Dim, lone string) (amount, bool) {
	if t.kind != 's' && !(t.kind == 'n' && lone == "1" && want == unit.Number) {
		r.on(t.at, path).say("compute.not-a-value", "symbol", path)
		return amount{}, false
	}
	a, err := amountOf(t.text, lone)
	if err != nil {
		for _, f := range fault.All(err) {
			r.on(t.at, path).say(f.Key, flat(f.Args)...)
		}
		return amount{}, false
	}
	if want == unit.None && !r.free {
		if r.shared == unit.None {
			r.shared = a.kind
		}
		want = r.shared
	}
	if !(r.free && want == unit.None) && a.kind != want {
		r.on(t.at, path).say("file.wrong-unit", "found", t.text, "expected", strings.Join(unit.Names(want), ", "))
		return amount{}, false
	}
	if r.first[a.kind] == "" {
		r.first[a.kind] = a.name
	}
	return a, true
}

func flat(args fault.Args) []string {
	var out []string
	for k, v := range args {
		out = append(out, k, v)
	}
	return out
}

// pure reads a pure number of an object, such as a risk; without it, other.
func (r *reader) pure(t *tree, path, name string, other float64) (float64, bool) {
	v := t.get(name)
	if v == nil {
		return other, true
	}
	a, ok := r.amount(v, join(path, name), unit.Number, "1")
	return a.si, ok
}

// whole reads a whole number of an object between two bounds.
func (r *reader) whole(t *tree, path, name string, other, least, most int) int {
	v := t.get(name)
	if v == nil {
		return other
	}
	n, err := strconv.Atoi(strings.TrimSuffix(v.text, " 1"))
	if v.kind != 's' && v.kind != 'n' || err != nil || n < least || n > most {
		r.on(v.at, join(path, name)).say("compute.whole", "name", name, "found", v.text, "least", strconv.Itoa(least), "most", strconv.Itoa(most))
		return other
	}
	return n
}

// choice reads one word of a few; without it, the first.
func (r *reader) choice(t *tree, path, name string, words ...string) string {
	v := t.get(name)
	if v == nil {
		return words[0]
	}
	if v.kind != 's' || !slices.Contains(words, v.text) {
		r.on(v.at, join(path, name)).say("compute.choice", "name", name, "found", v.text, "expected", strings.Join(words, ", "))
		return words[0]
	}
	return v.text
}
