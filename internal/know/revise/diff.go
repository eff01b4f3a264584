package revise

import (
	"encoding/json"
	"fmt"
	"sort"
	"strconv"
	"strings"

	"fettle/internal/base/cite"
	"fettle/internal/base/unit"
	"fettle/internal/know/family"
)

// Difference is one thing in which two families differ.
type Difference struct {
	What Part
	Path string // engine.bore, block/bore.nominal, block/bore.limits; for anything else where it stands
	Char string // of a nominal, a limit, or something else about a characteristic
	Old  string // "" where it is not there
	New  string

	// Of a limit.
	For       string
	Where     map[string][]string
	OldSource cite.Key
	OldStatus cite.Status
	Source    cite.Key
	Status    cite.Status
}

// Part is what a difference is about.
type Part string

// The parts.
const (
	Head    Part = "head"    // id, name, note, what it revises
	FigureP Part = "figure"  // of the engine
	Nominal Part = "nominal" // of a characteristic
	Limit   Part = "limit"   // of a characteristic
	Source  Part = "source"  // that the family brings
	Rest    Part = "rest"    // anything else
)

// Diff lists everything in which two families differ, in the order in which the
// new one has it; what only the old one has comes last. Two families without a
// difference say the same, though their files may be written otherwise.
//
// Shapes: two families -> list.
// Errors: none.
func Diff(old, new *family.Family) []Difference {
	a, b := leaves(old), leaves(new)
	was, now := index(a), index(b)
	var out []Difference
	for _, x := range b {
		y, ok := was[x.id]
		if ok && x.same(y) {
			continue
		}
		d := x.Difference
		d.New = x.text
		if ok {
			d.Old, d.OldSource, d.OldStatus = y.text, y.Source, y.Status
		}
		out = append(out, d)
	}
	for _, y := range a {
		if _, ok := now[y.id]; ok {
			continue
		}
		d := y.Difference
		d.Old, d.OldSource, d.OldStatus, d.Source, d.Status = y.text, y.Source, y.Status, "", ""
		out = append(out, d)
	}
	return out
}

// leaf is one thing that a family says.
type leaf struct {
	Difference
	id, text string
}

func (l leaf) same(m leaf) bool {
	return l.text == m.text && l.Source == m.Source && l.Status == m.Status
}

func index(list []leaf) map[string]leaf {
	m := make(map[string]leaf, len(list))
	for _, l := range list {
		m[l.id] = l
	}
	return m
}

// leaves is all that a family says, one thing at a time. What has no part of
// its own is found by walking its JSON, so that no difference goes unsaid.
func leaves(f *family.Family) []leaf {
	var out []leaf
	put := func(d Difference, text string) {
		out = append(out, leaf{d, string(d.What) + " " + d.Path, text})
	}
	put(Difference{What: Head, Path: "id"}, f.ID)
	put(Difference{What: Head, Path: "name"}, f.Name.In("en"))
	put(Difference{What: Head, Path: "note"}, f.Note.In("en"))
	put(Difference{What: Head, Path: "revises"}, f.Revises)
	for _, s := range f.Sources {
		put(Difference{What: Source, Path: string(s.ID), Source: s.ID}, s.Title+"\x00"+s.Kind+"\x00"+s.Place+"\x00"+s.Seen)
	}
	shown := map[string]bool{}
	for _, g := range Figures(&f.Engine) {
		shown[g.Path] = true
		if g.Kind == Order || g.Kind == Steps { // the walk below meets their members
			for i := range strings.Split(g.Text, ", ") {
				shown[at(g.Path, i)] = true
			}
		}
		if g.Text != "" {
			put(Difference{What: FigureP, Path: g.Path}, g.Text)
		}
	}
	rest := *f
	rest.Characteristics, rest.ID, rest.Note, rest.Revises, rest.Sources = nil, "", nil, "", nil
	rest.Name = others(f.Name)
	walk("", plainOf(&rest), func(path, text string) {
		if !shown[path] {
			put(Difference{What: Rest, Path: path}, text)
		}
	})
	walk("note", plainOf(others(f.Note)), func(path, text string) { put(Difference{What: Rest, Path: path}, text) })
	for i := range f.Characteristics {
		c := f.Characteristics[i]
		if !c.Nominal.IsZero() {
			put(Difference{What: Nominal, Path: c.ID + ".nominal", Char: c.ID}, c.Nominal.String())
		}
		seen := map[string]int{}
		for k := range c.Limits {
			l := &c.Limits[k]
			d := Difference{What: Limit, Path: c.ID + ".limits", Char: c.ID, For: l.For, Where: l.Where, Source: l.Source, Status: l.Status}
			id := l.For + " " + whereText(l.Where)
			seen[id]++
			out = append(out, leaf{d, fmt.Sprintf("limit %s %s %d", c.ID, id, seen[id]), Of(l).String()})
		}
		order := whichFirst(c.Limits)
		c.Nominal, c.Limits = unit.Quantity{}, nil
		walk("", plainOf(&c), func(path, text string) {
			out = append(out, leaf{Difference{What: Rest, Path: path, Char: c.ID}, "rest " + c.ID + path, text})
		})
		if order != "" {
			out = append(out, leaf{Difference{What: Rest, Path: "limits", Char: c.ID}, "rest " + c.ID + " order", order})
		}
	}
	return out
}

// whichFirst is the order of limits for one purpose, where it says something:
// the first that fits a place holds.
func whichFirst(list []family.Limit) string {
	var out []string
	for i := range list {
		if len(list[i].Where) > 0 || i > 0 && list[i].For == list[i-1].For {
			out = append(out, strings.TrimSpace(list[i].For+" "+whereText(list[i].Where)))
		}
	}
	return strings.Join(out, ", ")
}

func whereText(m map[string][]string) string {
	var out []string
	for k, v := range m {
		out = append(out, k+"="+strings.Join(v, "+"))
	}
	sort.Strings(out)
	return strings.Join(out, ";")
}

// others are the languages besides English.
func others(t map[string]string) map[string]string {
	out := map[string]string{}
	for k, v := range t {
		if k != "en" {
			out[k] = v
		}
	}
	return out
}

// plainOf is a value as JSON has it.
func plainOf(v any) any {
	b, err := json.Marshal(v)
	if err != nil {
		panic("revise: a family is always JSON: " + err.Error())
	}
	var out any
	if err := json.Unmarshal(b, &out); err != nil {
		panic("revise: its own JSON cannot be read: " + err.Error())
	}
	return out
}

// walk visits every value in the order of names and places.
func walk(path string, v any, visit func(path, text string)) {
	switch x := v.(type) {
	case map[string]any:
		names := make([]string, 0, len(x))
		for k := range x {
			names = append(names, k)
		}
		sort.Strings(names)
		for _, k := range names {
			walk(strings.TrimPrefix(path+"."+k, "."), x[k], visit)
		}
	case []any:
		for i, k := range x {
			walk(path+"["+strconv.Itoa(i)+"]", k, visit)
		}
	case nil:
	case string:
		if x != "" {
			visit(path, x)
		}
	default:
		visit(path, fmt.Sprint(x))
	}
}
