package view

import (
	"strings"

	"fettle/internal/facts/job"
	"fettle/internal/know/family"
)

// Seen is what a person saw on a part.
type Seen struct{ What, Note, Who, When, Take string }

// SeenForm is the form of an observation: its choices and what was chosen.
type SeenForm struct {
	Key      string
	Post     string
	Where    []Choice // a part, or a place on it, as "part" or "part@dimension/value"
	Kinds    []Choice
	Bad      []Choice // severities
	Within   []Choice
	People   []Choice
	Absent   bool
	Others   bool
	Saw      string
	Note     string
	Faults   map[string]string
	Problems []string
	Open     bool // shown unfolded: something was refused, or asked for
}

// Noticed is what a person put into the form of an observation.
type Noticed struct {
	Where, Kind, Severity, Within, Saw, Note, Person string
	Absent, Others                                   bool
	Open                                             bool
}

// SeenWords says an observation in words: where, what, how bad, in the person's
// own words.
func (c *Case) SeenWords(r Reader, o *job.Observed) string {
	where, what := c.seenWhere(r, o), c.SeenWhat(r, o)
	return r.T("page.seen.line", "where", where, "what", what)
}

func (c *Case) seenWhere(r Reader, o *job.Observed) string {
	where := c.Part(r, o.Part)
	if dim, v, ok := strings.Cut(o.At, "/"); ok {
		where += ", " + c.index(r, dim, v)
	}
	return where
}

// SeenWhat is an observation without its place.
func (c *Case) SeenWhat(r Reader, o *job.Observed) string {
	if o.Kind == "" {
		return o.Saw
	}
	kinds, name := c.Library.Observations(), c.SeenName(r, o)
	if o.Absent {
		return joinSaid(r.T("page.seen.absent", "kind", name), o.Saw)
	}
	words := []string{name}
	for _, s := range kinds.Severities {
		if s.ID == o.Severity {
			words = append(words, s.Name.In(r.Lang))
		}
	}
	if w, ok := kinds.Place(o.Within); ok {
		words = append(words, w.Name.In(r.Lang))
	}
	what := strings.Join(words, ", ")
	if o.Others {
		what = r.T("page.seen.others", "what", what)
	}
	return joinSaid(what, o.Saw)
}

// SeenName is the name of an observation's kind.
func (c *Case) SeenName(r Reader, o *job.Observed) string {
	if k, ok := c.Library.Observations().Kind(o.Kind); ok {
		return k.Name.In(r.Lang)
	}
	return o.Kind
}

func joinSaid(a, b string) string {
	if b == "" {
		return a
	}
	return a + ". " + b
}

// seen lists what was seen on one component, the newest last.
func (c *Case) seen(r Reader, component string) []Seen {
	var out []Seen
	for i := range c.Job.Observations {
		o := &c.Job.Observations[i]
		if componentOf(o.Part) == component {
			out = append(out, Seen{What: c.SeenWords(r, o), Note: o.Note, Who: c.person(o.Person), When: r.Day(o.Time)})
		}
	}
	return out
}

// SeenFormFor makes the form of an observation on a component.
func (c *Case) SeenFormFor(r Reader, component, key string, n Noticed, faults map[string][]string) SeenForm {
	f := SeenForm{Key: key, Post: JobHref(c.id(), "part", component), Absent: n.Absent, Others: n.Others, Saw: n.Saw, Note: n.Note,
		Faults: map[string]string{}, Open: n.Open || len(faults) > 0}
	for field, list := range faults {
		if field == "" {
			f.Problems = list
			continue
		}
		f.Faults[field] = strings.Join(list, " ")
	}
	comp := c.Layout.Component(component)
	if comp == nil {
		return f
	}
	f.Where = c.whereChoices(r, comp, n.Where)
	kinds := c.Library.Observations()
	f.Kinds = []Choice{{Text: r.T("page.seen.words"), Chosen: n.Kind == ""}}
	for _, k := range kinds.On(component) {
		f.Kinds = append(f.Kinds, Choice{k.ID, k.Name.In(r.Lang), k.ID == n.Kind})
	}
	f.Bad = []Choice{{Text: r.T("page.form.choose"), Chosen: n.Severity == ""}}
	for _, s := range kinds.Severities {
		f.Bad = append(f.Bad, Choice{s.ID, r.T("page.seen.severity", "name", s.Name.In(r.Lang), "meaning", s.Meaning.In(r.Lang)), s.ID == n.Severity})
	}
	if places := kinds.Places(component); len(places) > 0 {
		f.Within = []Choice{{Text: r.T("page.seen.anywhere"), Chosen: n.Within == ""}}
		for _, w := range places {
			f.Within = append(f.Within, Choice{w.ID, w.Name.In(r.Lang), w.ID == n.Within})
		}
	}
	f.People = c.people(r, n.Person)
	return f
}

// whereChoices are a component as a whole, then each of its parts, or each
// place along it.
func (c *Case) whereChoices(r Reader, comp *family.Component, chosen string) []Choice {
	out := []Choice{{comp.ID, r.T("page.seen.whole"), chosen == comp.ID || chosen == ""}}
	for _, dim := range c.Layout.Spread(comp.ID) {
		for _, v := range c.Layout.Dims[dim].Values {
			w := comp.ID + "@" + dim + "/" + v
			out = append(out, Choice{w, c.index(r, dim, v), w == chosen})
		}
	}
	tuples := [][]string{nil}
	for _, dim := range comp.Per {
		var next [][]string
		for _, t := range tuples {
			for _, v := range c.Layout.Dims[dim].Values {
				next = append(next, append(append([]string(nil), t...), v))
			}
		}
		tuples = next
	}
	for _, t := range tuples {
		if len(t) == 0 {
			continue
		}
		w := comp.ID + "/" + strings.Join(t, "/")
		if !c.exists(w) {
			continue
		}
		out = append(out, Choice{w, c.where(r, comp.Per, t), w == chosen})
	}
	return out
}

// exists says whether a part has a position: an inlet guide of a cylinder with
// one inlet valve only has none for the second.
func (c *Case) exists(part string) bool {
	id := componentOf(part)
	has := false
	for i := range c.Layout.Places {
		p := &c.Layout.Places[i]
		if componentOf(p.ID) != id {
			continue
		}
		has = true
		if strings.HasPrefix(p.Part+"/", part+"/") {
			return true
		}
	}
	return !has
}

// Take says which evidence to take of the kind of an observation.
func (c *Case) take(r Reader, kind string) string {
	if k, ok := c.Library.Observations().Kind(kind); ok {
		return k.Take.In(r.Lang)
	}
	return ""
}
