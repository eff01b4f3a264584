package view

import (
	"strings"

	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
)

// arrived says in words what an entry before the measuring noted; it leaves the
// lines of other kinds, and of what is not understood, as they are.
func (c *Case) arrived(r Reader, l *job.Line, line *LogLine) {
	if !l.Known {
		return
	}
	a := &c.Job.Arrival
	switch l.Kind {
	case entry.Intake:
		line.About, line.Href = r.T("page.topic."+l.About), JobHref(c.id(), "intake")
		for i := range a.Intake {
			n := &a.Intake[i]
			if n.Key != l.Key {
				continue
			}
			line.Text, line.Void = c.notedWords(r, n), n.Voided
		}
	case entry.Signed:
		line.About, line.Href = r.T("page.topic.contents"), JobHref(c.id(), "intake")
	case entry.Tagged:
		line.About, line.Href, line.Text = c.Part(r, l.About), JobHref(c.id(), "strip"), LabelText(l.Text)
	case entry.Cleaned:
		line.About, line.Href, line.Text = c.Part(r, l.About), JobHref(c.id(), "clean", componentOf(l.About)), c.process(r, l.Text)
	case entry.Tested:
		line.About, line.Href = c.Part(r, l.About), JobHref(c.id(), "clean", componentOf(l.About))
		for i := range a.Tests {
			if t := &a.Tests[i]; t.Key == l.Key {
				line.Text = c.testWords(r, t)
			}
		}
	case entry.Overridden:
		line.Text, line.About = r.GateName(c.Library, l.Text), c.partOr(r, l.About)
	}
}

// notedWords is one intake entry in a sentence.
func (c *Case) notedWords(r Reader, n *job.Noted) string {
	switch {
	case n.History != nil:
		var out []string
		for _, t := range c.history(r, n) {
			out = append(out, t.Small+": "+t.Text)
		}
		return strings.Join(out, "; ")
	case n.Item != nil:
		return n.Item.Name + " " + c.itemWords(r, n.Item)
	case n.Said != nil:
		return n.Said.Text
	case n.Saw != nil:
		return joined(n.Saw.Text, c.partOr(r, n.Saw.Part))
	case n.Number != nil:
		return n.Number.Where + ": " + n.Number.Text
	case n.Kept != nil:
		return joined(r.T("page.intake.kept."+n.Kept.What), n.Kept.Note)
	case n.Drained != nil:
		return joined(n.Drained.Amount, n.Drained.Note)
	case n.Panel != nil:
		return c.panelWords(r, n.Panel)
	case n.Hold != nil:
		var parts []string
		for _, p := range n.Hold.Parts {
			parts = append(parts, c.Part(r, p))
		}
		key := "page.intake.hold.free"
		if n.Hold.Held {
			key = "page.intake.hold.held"
		}
		return joined(r.T(key, "what", orLast(strings.Join(parts, ", "), r.T("page.block.whole"))), n.Hold.Why)
	}
	return ""
}

func (c *Case) panelWords(r Reader, p *job.PanelV1) string {
	name := p.Test
	for _, t := range c.Library.Strip.Panel {
		if t.ID == p.Test {
			name = t.Name.In(r.Lang)
		}
	}
	s := name + ", " + r.or("page.panel.at."+p.At, c.index(r, "cyl", p.At)) + ": " + r.With(p.Value, p.Unit)
	if p.Rpm != "" {
		s += " (" + r.With(p.Rpm, "rpm") + ")"
	}
	return s
}

// testWords is one test in a sentence.
func (c *Case) testWords(r Reader, t *job.Tested) string {
	out := []string{c.method(r, t.Method) + ": " + r.T("page.test."+t.Result)}
	for i := range t.Indications {
		out = append(out, c.mark(r, t, i))
	}
	return strings.Join(out, "; ")
}

func joined(a, b string) string {
	return strings.Trim(a+" · "+b, " ·")
}
