package view

import (
	"fettle/internal/facts/job"
)

// ArrivalPrint is what a record says of the job before it was measured: one
// list a heading, in words.
type ArrivalPrint struct {
	Contents, Signed     []string
	Said, Saw            []string
	History, Numbers     []string
	Kept, Panel          []string
	Held                 []string
	Tests, Gates, Cleans []string
}

// Arrival makes it; ok is false where nothing was noted.
func (c *Case) Arrival(r Reader) (p ArrivalPrint, ok bool) {
	a := &c.Job.Arrival
	words := func(topic string) (out []string) {
		for _, n := range a.Of(topic) {
			out = append(out, c.notedWords(r, n))
		}
		return out
	}
	if h := a.History(); h != nil {
		for _, t := range c.history(r, h) {
			p.History = append(p.History, t.Small+": "+t.Text)
		}
	}
	p.Contents, p.Said, p.Saw, p.Numbers, p.Held = words(job.TopicItem), words(job.TopicSaid), words(job.TopicSaw), words(job.TopicNumber), words(job.TopicHold)
	p.Kept = words(job.TopicKept)
	for _, s := range words(job.TopicDrained) {
		p.Kept = append(p.Kept, joined(r.T("page.intake.drained"), s))
	}
	for _, t := range c.panels(r) {
		for _, k := range t.Cells {
			if k.Value.Text == "" {
				continue
			}
			s := t.Name + ", " + k.Name + ": " + k.Value.Text + narrow + k.Value.Unit
			if k.Word != "" {
				s += " · " + k.Word
			}
			p.Panel = append(p.Panel, s)
		}
	}
	if signed, stale := c.signature(r); signed != "" {
		p.Signed = append(p.Signed, joined(signed, stale))
	}
	for i := range a.Tests {
		t := &a.Tests[i]
		line := c.testLine(r, t)
		p.Tests = append(p.Tests, joined(line.Part+", "+c.testWords(r, t)+" · "+line.By+", "+r.Date(t.Time), t.Note))
	}
	for _, d := range a.Cleanings {
		p.Cleans = append(p.Cleans, joined(c.Part(r, d.Part)+": "+c.process(r, d.Process)+" · "+r.Date(d.Time), d.Note))
	}
	for _, o := range a.Overrides {
		p.Gates = append(p.Gates, joined(r.GateName(c.Library, o.Gate), c.partOr(r, o.Part))+": "+o.Reason+" · "+c.person(o.Person)+", "+r.Date(o.Time))
	}
	n := len(a.Intake) + len(a.Tests) + len(a.Cleanings) + len(a.Overrides)
	return p, n > 0
}
