package view

import (
	"fettle/internal/judge/assess"
	"fettle/internal/know/family"
	"fettle/internal/show/plot"
)

// This file is what the record and the text table take from a case: the same
// words and bars as the pages, without their links.

// Bar is the limit bar of a value, without words.
func Bar(v *assess.Value) plot.LimitBar { return scale(v) }

// Limits says the bounds that were applied to a value, nil where there are none.
func (c *Case) Limits(r Reader, v *assess.Value) *Limits { return c.limits(r, v) }

// Doubt says the expanded uncertainty of a value, "" where it has none.
func (c *Case) Doubt(r Reader, v *assess.Value) string {
	if v.Expanded == "" {
		return ""
	}
	return "± " + r.With(v.Expanded, v.UUnit)
}

// Value writes a value with its unit, or the word of a check.
func (c *Case) Value(r Reader, v *assess.Value) string { return r.With(c.check(r, v.Y), v.Unit) }

// Outside says on which side of its limits a rejected value lies and by how
// much; an empty amount where no finding carries it.
func (c *Case) Outside(r Reader, v *assess.Value) (toward plot.Direction, amount string) {
	p := c.plate(r, v)
	switch p.Toward {
	case "over":
		toward = plot.Over
	case "under":
		toward = plot.Under
	}
	return toward, p.Amount
}

// Where names the indices of a place in words, "" for a place without any.
func (c *Case) Where(r Reader, p *family.Place) string { return c.where(r, p.Char.Per, p.At) }

// Index names one place of a dimension.
func (c *Case) Index(r Reader, dim, value string) string { return c.index(r, dim, value) }

// Person is the initials of a person, else the opaque id.
func (c *Case) Person(id string) string { return c.person(id) }

// Gauge names a gauge by its id and type.
func (c *Case) Gauge(r Reader, id string) string { return c.gauge(r, id) }

// Rule says the decision rule and names its source.
func (c *Case) Rule(r Reader) (said, source string) {
	rule := c.Assessment.Rule
	return r.T(rule.Name, "risk", r.Text(rule.Text), "k", r.Num(rule.KText)), c.source(string(rule.Source))
}

// Circumstances says who measured a part, at which temperatures and when; ""
// takes the whole engine.
func (c *Case) Circumstances(r Reader, part string) (who, temps, when string) {
	return c.circumstances(r, part)
}

// LastState is the latest state that a component has values in.
func (c *Case) LastState(component string) string { return c.lastState(component) }

// Values lists the values of one component in pattern order, each position in
// its states from found to built; "" takes every component.
func (c *Case) Values(component string) []*assess.Value {
	var out []*assess.Value
	for _, s := range c.spots(component) {
		out = append(out, s.values...)
	}
	return out
}

// Status names a review status.
func (c *Case) Status(r Reader, status string) string { return c.status(r, status) }

// Plain puts a space that the drawings' type has in place of the narrow one.
func Plain(s string) string { return plain(s) }

// SystemOrder is the order in which an engine is gone through.
func SystemOrder() []string { return systemOrder() }

// Less compares two canonical decimals by their text.
func Less(a, b string) bool { return less(a, b) }

// Told is a finding with its words.
type Told struct {
	Finding *assess.Finding
	Words   Finding
}

// FindingsTold lists the findings in reading order, each with its words.
func (c *Case) FindingsTold(r Reader) []Told {
	all := c.orderedFindings()
	out := make([]Told, len(all))
	for i, f := range all {
		out[i] = Told{f, c.finding(r, f)}
	}
	return out
}

// Evidence says in one line what the worst value of a finding was, against what.
func (c *Case) Evidence(r Reader, f *assess.Finding) string { return c.evidenceLine(r, f) }

// FindingTitle is the title of a finding with its place.
func (c *Case) FindingTitle(r Reader, f *assess.Finding) string { return c.findingTitle(r, f) }

// QuestionsAsked lists the questions in words, open ones first.
func (c *Case) QuestionsAsked(r Reader) []Question {
	var open, answered []Question
	for i := range c.Assessment.Questions {
		q := c.question(r, &c.Assessment.Questions[i])
		if q.IsOpen {
			open = append(open, q)
		} else {
			answered = append(answered, q)
		}
	}
	return append(open, answered...)
}

// TargetsSet lists the machining sizes in words.
func (c *Case) TargetsSet(r Reader) []Target { return c.targets(r) }
