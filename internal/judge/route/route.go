// Package route is the route of a job as it stands: which operations follow from
// what was decided, what may begin, what closes each, what a later cut opened
// again, and how many hours went into it.
package route

import (
	"slices"
	"strings"

	"fettle/internal/facts/job"
	"fettle/internal/judge/assess"
	"fettle/internal/know/family"
	"fettle/internal/know/operation"
)

// Choices are the operations that a job asks for: those that carry out what was
// decided on its findings, those that bring a group to the size it needs, and
// those that somebody has begun. Where several operations answer a finding, one
// that works on what was found out of its limits comes first, and of those one
// that brings a whole group to size.
func Choices(c *operation.Catalogue, l *family.Layout, a *assess.Assessment, j *job.State) []operation.Choice {
	var out []operation.Choice
	add := func(o *operation.Operation, places []string, by string) {
		if o != nil && o.On(l) {
			out = append(out, operation.Choice{Operation: o.ID, Places: places, For: by})
		}
	}
	last := map[string]string{}
	var order []string
	for _, d := range j.Decisions {
		if _, seen := last[d.Finding]; !seen {
			order = append(order, d.Finding)
		}
		last[d.Finding] = d.Outcome
	}
	for _, at := range order {
		id, part, _ := strings.Cut(at, "@")
		if o := c.For(l, id, last[at], found(a, id, part)); o != nil {
			add(o, placesOf(o, l, a, id, part), at)
		}
	}
	left := declined(l, a, last)
	for i := range a.Targets {
		t := &a.Targets[i]
		if t.Needed && t.Step != "" && !left[t.Group] {
			for _, o := range c.Sizing(t.Group) {
				add(o, nil, "target/"+t.Group)
			}
		}
	}
	for i := range j.Spans {
		if s := &j.Spans[i]; !slices.ContainsFunc(out, func(ch operation.Choice) bool { return ch.Operation == s.Operation }) {
			add(c.Operation(s.Operation), nil, "")
		}
	}
	for i := range j.Dones {
		if d := &j.Dones[i]; !slices.ContainsFunc(out, func(ch operation.Choice) bool { return ch.Operation == d.Operation }) {
			add(c.Operation(d.Operation), nil, "")
		}
	}
	return out
}

// declined are the groups of which somebody decided that they stay as they are.
func declined(l *family.Layout, a *assess.Assessment, decided map[string]string) map[string]bool {
	out := map[string]bool{}
	for at, outcome := range decided {
		if !slices.Contains([]string{"reuse", "reuse-with-note", "hold", "reject"}, outcome) {
			continue
		}
		id, part, _ := strings.Cut(at, "@")
		if places := l.Of(found(a, id, part)); len(places) > 0 && l.Places[places[0]].Char.Target != "" {
			out[l.Places[places[0]].Char.Target] = true
		}
	}
	return out
}

// found is the characteristic that a finding rests on.
func found(a *assess.Assessment, id, part string) string {
	for i := range a.Findings {
		if f := &a.Findings[i]; f.ID == id && (part == "" || f.Part == part) && len(f.Evidence) > 0 {
			return charOf(f.Evidence[f.Worst].Position)
		}
	}
	return ""
}

func charOf(position string) string {
	s := strings.SplitN(position, "/", 3)
	return strings.Join(s[:min(2, len(s))], "/")
}

// placesOf are the places of an operation that go with those a finding is at.
func placesOf(o *operation.Operation, l *family.Layout, a *assess.Assessment, id, part string) []string {
	dims := o.Dims(l)
	if len(dims) == 0 || o.Whole {
		return nil
	}
	var out []string
	for i := range a.Findings {
		f := &a.Findings[i]
		if f.ID != id || part != "" && f.Part != part {
			continue
		}
		for _, e := range f.Evidence {
			at, ok := l.Find(e.Position)
			if !ok {
				continue
			}
			q := &l.Places[at]
			for _, p := range o.Places(l) {
				if l.Joins(dims, strings.Split(p, "/"), q.Char.Per, q.At) && !slices.Contains(out, p) {
					out = append(out, p)
				}
			}
		}
	}
	return out
}

// Of closes what a job asks for.
func Of(c *operation.Catalogue, l *family.Layout, a *assess.Assessment, j *job.State) (operation.Route, error) {
	return c.Close(l, Choices(c, l, a, j))
}
