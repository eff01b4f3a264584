package plan

import (
	"slices"
	"strings"

	"fettle/internal/judge/assess"
	"fettle/internal/judge/rule"
	"fettle/internal/know/finding"
)

// By whom a finding was settled.
const (
	ByRoute  = "route"
	ByPerson = "person"
)

// Ref is a finding's name in a decision.
func Ref(f *assess.Finding) string { return f.ID + "@" + f.Part }

// stays are the outcomes that leave a part as it is.
var stays = []string{"reuse", "reuse-with-note", "hold"}

// dispose settles every finding: by the last decision that a person recorded on
// it, else by the route.
func (m *maker) dispose() {
	for i := range m.a.Findings {
		f := &m.a.Findings[i]
		d := Disposition{Finding: f.ID, Part: f.Part, Severity: f.Severity, Verdict: f.Verdict, Option: -1}
		for _, word := range m.Facts.Job.Decisions {
			if word.Finding == Ref(f) {
				d.Outcome, d.By, d.Reason = word.Outcome, ByPerson, word.Reason
				d.Why = say("plan.why.person")
			}
		}
		if d.By == "" {
			order := m.route.Order(f.ID, f.Severity, f.Verdict == rule.Undecided)
			d.By, d.Outcome = ByRoute, first(order, f.Options)
			d.Why = say("plan.why.route", "route", m.route.ID, "severity", string(f.Severity))
			if f.Verdict == rule.Undecided {
				d.Why = say("plan.why.doubt", "route", m.route.ID)
			}
		}
		for k, o := range f.Options {
			if o == d.Outcome && d.Option < 0 {
				d.Option = k
			} else if o != d.Outcome && !slices.Contains(d.Declined, o) {
				d.Declined = append(d.Declined, o)
			}
		}
		d.Leaves = slices.Contains(stays, d.Outcome)
		m.plan.Findings = append(m.plan.Findings, d)
	}
	m.whole()
	for i := range m.plan.Findings {
		m.follow(&m.a.Findings[i], &m.plan.Findings[i])
	}
}

// first is the outcome of an order that a finding offers; hold if it offers none
// of them.
func first(order, options []string) string {
	for _, o := range order {
		if slices.Contains(options, o) {
			return o
		}
	}
	return "hold"
}

// whole settles a finding on a group of parts, such as the spread of four
// springs, with what is done to one of them: it goes away with its cause.
func (m *maker) whole() {
	for i := range m.plan.Findings {
		d := &m.plan.Findings[i]
		for _, o := range m.plan.Findings {
			if d.By == ByRoute && o.Finding == d.Finding && strings.HasPrefix(o.Part, d.Part+"/") && !o.Leaves {
				d.Outcome, d.Leaves, d.Why = o.Outcome, false, say("plan.why.with", "part", o.Part)
				d.Option = slices.Index(m.a.Findings[i].Options, d.Outcome)
				d.Declined = nil
			}
		}
	}
}

// follow notes what a disposition opens again and which parts it replaces.
func (m *maker) follow(f *assess.Finding, d *Disposition) {
	if d.Leaves || d.Option < 0 {
		return
	}
	for _, k := range f.Entry.Options[d.Option].Knocks {
		m.opens[k] = true
	}
	if d.Outcome == "replace" || d.Outcome == "upgrade" {
		m.gone[f.Part] = true
	}
}

// cutting reports whether a finding asks for a machine at a group of places: it
// is about one of them, or about something of the same part that leans on them,
// such as their taper.
func (m *maker) cutting(f *assess.Finding, d *Disposition, group string) bool {
	if d.Outcome != "rework" || f.Severity == finding.Note {
		return false
	}
	for _, e := range f.Evidence {
		i, ok := m.lay.Find(e.Position)
		if !ok {
			continue
		}
		p := &m.lay.Places[i]
		if p.Char.Target == group {
			return true
		}
		for _, in := range p.In {
			for _, k := range in.Places {
				if q := m.lay.Places[k].Char; q.Target == group && q.Component() == p.Char.Component() {
					return true
				}
			}
		}
	}
	return false
}
