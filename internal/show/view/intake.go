package view

import (
	"strings"

	"fettle/internal/base/unit"
	"fettle/internal/facts/job"
	"fettle/internal/judge/gate"
	"fettle/internal/judge/panel"
	"fettle/internal/show/plot"
)

// Intake is the page of an engine as it came in.
type Intake struct {
	Frame
	Step
	History  []Noted
	Opened   bool // a history stands
	Contents []Noted
	Signed   string // who signed the list, and when
	Stale    string // the list is no longer as it was signed
	Digest   string // what a signature would cover
	Said     []Noted
	Saw      []Noted
	Numbers  []Noted
	Photo    string // address at which a photo of the numbers is added
	Kept     []Noted
	Drained  []Noted
	Wanting  string // what must be kept before the oil is let off
	Panels   []TestSheet
	Held     []Noted
	Parts    []Choice
	Roles    []Choice
	Lines    string // how many lines a signature would cover
}

// Step is what every form of these pages needs.
type Step struct {
	Post   string
	Key    string
	Mark   string // name of the decimal mark that numbers are read with
	People []Choice
	Act    string // the form that was sent back
	Typed  map[string]string
	Faults map[string][]string
	Ask    bool // a gate asks this form for a reason
	Stages []Link
}

// Was is what was typed into a field of a form that came back.
func (s Step) Was(act, field string) string {
	if s.Act == act {
		return s.Typed[field]
	}
	return ""
}

// Wrong is what is wrong with a field of a form.
func (s Step) Wrong(act, field string) []string {
	if s.Act == act {
		return s.Faults[field]
	}
	return nil
}

// Asks reports whether a form was sent back for a reason.
func (s Step) Asks(act string) bool { return s.Act == act && s.Ask }

// Noted is one thing that was noted, with its author.
type Noted struct {
	Text, Small string
	Who, When   string
	Key         string // of its entry, to be struck out
	Topic       string
	Href        string
}

// TestSheet is one test of the engine as it came in.
type TestSheet struct {
	ID, Name, Why string
	Caution       Link
	Status        string
	Rule          string
	Cells         []TestCell
	Units         []Choice
	Rpm           bool
	Act           string
}

// TestCell is one cylinder or condition.
type TestCell struct {
	At, Name string
	Value    Number
	Bar      Drawing
	Word     string // low, high, "" among the others
	Bad      bool
	Small    string
}

// StepOf is what the forms of a page begin with.
func (c *Case) StepOf(r Reader, key, person string, below ...string) Step {
	s := Step{Post: JobHref(c.id(), below...), Key: key, Mark: markName(r.Mark), People: c.people(r, person)}
	for _, stage := range []string{"intake", "strip", "clean"} { // of these three pages; others have no such links
		s.Stages = append(s.Stages, Link{JobHref(c.id(), stage), r.T("page.stage." + stage), stage == below[0]})
	}
	return s
}

// Back fills a step with a form that was sent back.
func (s Step) Back(act string, typed map[string]string, faults map[string][]string) Step {
	s.Act, s.Typed, s.Faults = act, typed, faults
	s.Ask = len(faults["reason"]) > 0
	return s
}

func (c *Case) told(r Reader, n *job.Noted, text, small string) Noted {
	topic, _ := n.Topic()
	return Noted{Text: text, Small: small, Who: c.person(n.Person), When: r.Day(n.Time), Key: n.Key, Topic: topic}
}

// IntakePage makes the page.
func (c *Case) IntakePage(r Reader, s Step) Intake {
	v := Intake{Frame: c.frame(r, r.T("page.intake.title"), "intake", "", job.Found), Step: s}
	v.Under = c.Assessment.Title
	v.Photo = c.photoHref("block")
	a := &c.Job.Arrival
	if h := a.History(); h != nil {
		v.Opened = true
		v.History = c.history(r, h)
	}
	for _, n := range a.Of(job.TopicItem) {
		v.Contents = append(v.Contents, c.told(r, n, n.Item.Name, c.itemWords(r, n.Item)))
	}
	v.Digest, v.Lines = a.ContentsDigest(), r.N("page.intake.lines", len(v.Contents))
	v.Signed, v.Stale = c.signature(r)
	for _, n := range a.Of(job.TopicSaid) {
		v.Said = append(v.Said, c.told(r, n, n.Said.Text, ""))
	}
	for _, n := range a.Of(job.TopicSaw) {
		v.Saw = append(v.Saw, c.told(r, n, n.Saw.Text, c.partOr(r, n.Saw.Part)))
	}
	for _, n := range a.Of(job.TopicNumber) {
		v.Numbers = append(v.Numbers, c.told(r, n, n.Number.Text, n.Number.Where))
	}
	for _, n := range a.Of(job.TopicKept) {
		v.Kept = append(v.Kept, c.told(r, n, r.T("page.intake.kept."+n.Kept.What), n.Kept.Note))
	}
	for _, n := range a.Of(job.TopicDrained) {
		t := c.told(r, n, strings.TrimSpace(r.T("page.intake.drained")+" "+n.Drained.Amount), n.Drained.Note)
		if o := a.Overridden(gate.Drain, ""); o != nil {
			t.Small = strings.TrimSpace(t.Small + " " + r.T("page.gate.passed", "reason", o.Reason))
		}
		v.Drained = append(v.Drained, t)
	}
	var wanting []string
	for _, w := range gate.Drains(a) {
		wanting = append(wanting, r.T("page.intake.kept."+w))
	}
	v.Wanting = strings.Join(wanting, ", ")
	v.Panels = c.panels(r)
	v.Held = c.holds(r)
	for i := range c.Layout.Family.Components {
		k := &c.Layout.Family.Components[i]
		v.Parts = append(v.Parts, Choice{k.ID, k.Name.In(r.Lang), false})
	}
	for _, role := range []string{"customer", "shop"} {
		v.Roles = append(v.Roles, Choice{role, r.T("page.intake.role." + role), false})
	}
	return v
}

func (c *Case) partOr(r Reader, part string) string {
	if part == "" {
		return ""
	}
	return c.Part(r, part)
}

// history is the condition history, one thing a line.
func (c *Case) history(r Reader, n *job.Noted) (out []Noted) {
	h := n.History
	for _, f := range []struct{ key, text, unit string }{{"km", h.Km, "km"}, {"hours", h.Hours, "h"}, {"opened", h.Opened, ""}, {"by", h.By, ""},
		{"use", h.Use, ""}, {"symptoms", h.Symptoms, ""}} {
		if f.text == "" {
			continue
		}
		text := f.text
		if f.unit != "" {
			text = r.Num(f.text) + narrow + f.unit
		}
		out = append(out, c.told(r, n, text, r.T("page.intake."+f.key)))
	}
	return out
}

func (c *Case) itemWords(r Reader, i *job.ItemV1) string {
	s := "× " + r.Int(i.Count)
	if i.Missing != "" {
		s += " · " + r.T("page.intake.missing.is", "what", i.Missing)
	}
	return s
}

// signature says who signed the list of contents, and whether it still holds.
func (c *Case) signature(r Reader) (signed, stale string) {
	s, holds := c.Job.Signature()
	if s == nil {
		return "", ""
	}
	signed = r.T("page.intake.signed", "name", s.Name, "role", r.T("page.intake.role."+s.Role), "when", r.Day(s.Time), "lines", r.N("page.intake.lines", s.Lines),
		"digest", short12(s.Digest))
	if !holds {
		stale = r.T("page.intake.stale")
	}
	return signed, stale
}

// holds lists what is kept as evidence now.
func (c *Case) holds(r Reader) (out []Noted) {
	for _, n := range c.Job.Of(job.TopicHold) {
		var parts []string
		for _, p := range n.Hold.Parts {
			parts = append(parts, c.Part(r, p))
		}
		what := strings.Join(parts, ", ")
		if what == "" {
			what = r.T("page.block.whole")
		}
		key := "page.intake.hold.free"
		if n.Hold.Held {
			key = "page.intake.hold.held"
		}
		out = append(out, c.told(r, n, r.T(key, "what", what), n.Hold.Why))
	}
	return out
}

// panels makes the tests before the strip, outliers marked.
func (c *Case) panels(r Reader) (out []TestSheet) {
	for _, s := range panel.Of(c.Library.Strip.Panel, c.Layout.Family.Engine.Cylinders, &c.Job.Arrival) {
		t := TestSheet{ID: s.Test.ID, Name: s.Test.Name.In(r.Lang), Why: s.Test.Why.In(r.Lang), Rpm: len(s.Test.At) > 0, Act: "panel-" + s.Test.ID,
			Status: c.status(r, string(s.Test.Status)), Caution: c.cautionLink(r, s.Test.Caution)}
		dim, _ := unit.DimOf(s.Test.Quantity)
		for _, u := range panelUnits(dim) {
			t.Units = append(t.Units, Choice{u, u, u == s.Test.Unit})
		}
		switch {
		case len(s.Test.At) > 0:
			t.Rule = r.T("page.panel.rule.hot", "least", r.Text(s.Test.PerRpm.String()))
		case !s.Test.ApartPart.IsZero():
			t.Rule = r.T("page.panel.rule", "n", r.Int(panel.Spreads), "apart", r.T("page.panel.part", "part", r.Text(s.Test.ApartPart.String())))
		default:
			t.Rule = r.T("page.panel.rule", "n", r.Int(panel.Spreads), "apart", r.T("page.panel.points", "points", r.Text(s.Test.Apart.String())))
		}
		for _, k := range s.Cells {
			t.Cells = append(t.Cells, c.testCell(r, &s, k))
		}
		out = append(out, t)
	}
	return out
}

func panelUnits(d unit.Dim) []string {
	if d == unit.Pressure {
		return []string{"bar", "kPa", "psi"}
	}
	return []string{"%"}
}

func (c *Case) testCell(r Reader, s *panel.Sheet, k panel.Cell) TestCell {
	t := TestCell{At: k.At, Name: r.or("page.panel.at."+k.At, c.index(r, "cyl", k.At)), Bad: k.Bad}
	if k.Read == nil {
		return t
	}
	p := k.Read.Panel
	t.Value = r.number(p.Value, p.Unit)
	t.Small = c.person(k.Read.Person)
	if p.Rpm != "" {
		t.Small = r.With(p.Rpm, "rpm") + " · " + t.Small
	}
	switch {
	case k.Odd < 0 || k.Low:
		t.Word = r.T("page.panel.low")
	case k.Odd > 0:
		t.Word = r.T("page.panel.high")
	}
	if s.Limit > 0 {
		lo, hi, mid, x := s.Median-s.Limit, s.Median+s.Limit, s.Median, k.Read.Quantity.SI()
		b := plot.LimitBar{Min: &lo, Max: &hi, Nominal: &mid, Value: &x}
		if k.Odd != 0 {
			b.Verdict = plot.Undecided
		}
		b.Labels.Title = t.Name + ": " + r.With(p.Value, p.Unit) + " " + t.Word
		t.Bar = Drawing(b.RowSVG())
	}
	return t
}

// cautionLink leads to a caution, nowhere where there is none.
func (c *Case) cautionLink(r Reader, id string) Link {
	if id == "" {
		return Link{}
	}
	return Link{Href: "/cautions#" + id, Text: c.caution(r, id)}
}

// StepForm is one form of such a page.
type StepForm struct {
	Step
	Of string // its act
}

// For is the form of an act.
func (s Step) For(act string) StepForm { return StepForm{s, act} }

// Is is what was typed into a field of this form, if it came back.
func (f StepForm) Is(field string) string { return f.Was(f.Of, field) }

// Bad is what is wrong with a field of this form.
func (f StepForm) Bad(field string) []string { return f.Wrong(f.Of, field) }

// Why reports whether this form is asked for a reason.
func (f StepForm) Why() bool { return f.Asks(f.Of) }

// Strike is the form that strikes one thing out.
func (s Step) Strike(key string) StepForm { return StepForm{s, "strike-" + key} }

// Struck is the key of the entry that a form of Strike strikes out.
func (f StepForm) Struck() string { return strings.TrimPrefix(f.Of, "strike-") }

// StepList is a list of things that may be struck out.
type StepList struct {
	Step
	Noted []Noted
}

// List joins a list with the forms of its lines.
func (s Step) List(told []Noted) StepList { return StepList{s, told} }
