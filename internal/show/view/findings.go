package view

import (
	"slices"
	"strings"

	"fettle/internal/judge/assess"
	"fettle/internal/know/finding"
	"fettle/internal/show/plot"
)

// Findings is the page of all findings of a job.
type Findings struct {
	Frame
	Step
	Groups []FindingGroup
	Causes string // address of the guide to causes
	Empty  bool
}

// FindingGroup is the findings of one severity.
type FindingGroup struct {
	Name, Meaning string
	Findings      []Finding
}

// Finding is one finding in words: what was measured, against what, so what,
// what next.
type Finding struct {
	Anchor   string
	Title    string
	Part     Link
	Plate    Plate
	Measured string // the worst value against its limit
	Leaving  string
	Remarks  []string // what its values lean on that is not as it should be
	Causes   string
	Options  []Option
	Evidence []Evidence
	Hidden   string // how many pieces of evidence stand on the part's page only
	Source   string
	Status   string
	Decided  []Decided
	Photos   []Thumb
	Picture  string // address of the form of a photo
	Ref      string // its name in a decision
	Act      string // of the form of a decision
	Outcomes []Choice
}

// Option is one way out.
type Option struct {
	Outcome, Text string
	Value         string // outcome as a form sends it
	Knocks        []string
	Caution       Link
}

// Evidence is one value a finding rests on.
type Evidence struct {
	Link   Link
	Plate  Plate
	Value  Number
	Limit  string
	Bar    Drawing
	Amount string
}

// Decided is what a person decided.
type Decided struct{ Outcome, Reason, Who, When string }

// anchor names a finding within its page.
func anchor(f *assess.Finding) string { return f.ID + "-" + strings.ReplaceAll(f.Part, "/", "-") }

// FindingRef is the finding's name in a decision entry.
func FindingRef(f *assess.Finding) string { return f.ID + "@" + f.Part }

// FindingsPage makes the page of all findings.
func (c *Case) FindingsPage(r Reader, step Step) Findings {
	v := Findings{Frame: c.frame(r, r.T("page.findings.title"), "findings", "", c.lastState("")), Step: step}
	v.Causes = JobHref(c.id(), "causes")
	all := c.orderedFindings()
	v.Empty = len(all) == 0
	v.Under = r.N("page.findings.under", len(all))
	for _, s := range []finding.Severity{finding.Act, finding.Watch, finding.Note} {
		g := FindingGroup{Name: r.T("page.severity." + string(s)), Meaning: r.T("page.severity." + string(s) + ".meaning")}
		for _, f := range all {
			if f.Severity == s {
				n := c.finding(r, f)
				n.deciding(step)
				g.Findings = append(g.Findings, n)
			}
		}
		if len(g.Findings) > 0 {
			v.Groups = append(v.Groups, g)
		}
	}
	return v
}

// deciding fills the form of a decision: each outcome once, what was sent back
// chosen.
func (f *Finding) deciding(s Step) {
	f.Act = "decide-" + f.Anchor
	for _, o := range f.Options {
		if !slices.ContainsFunc(f.Outcomes, func(c Choice) bool { return c.Value == o.Value }) {
			f.Outcomes = append(f.Outcomes, Choice{Value: o.Value, Text: o.Outcome, Chosen: s.Was(f.Act, "outcome") == o.Value})
		}
	}
}

func (c *Case) finding(r Reader, f *assess.Finding) Finding {
	e := &f.Entry
	v := Finding{Anchor: anchor(f), Ref: FindingRef(f), Title: c.findingTitle(r, f), Plate: c.worstPlate(r, f),
		Part:     Link{Href: JobHref(c.id(), "part", componentOf(f.Part)), Text: c.Part(r, f.Part)},
		Measured: c.evidenceLine(r, f), Leaving: c.fill(r, e.Leaving.In(r.Lang), f), Causes: c.fill(r, e.Causes.In(r.Lang), f),
		Source: c.source(string(e.Source)), Status: c.status(r, string(e.Status))}
	for i := range f.Remarks {
		v.Remarks = append(v.Remarks, c.Say(r, &f.Remarks[i]))
	}
	for _, o := range e.Options {
		opt := Option{Outcome: r.or("page.outcome."+o.Outcome, o.Outcome), Value: o.Outcome, Text: c.fill(r, o.Text.In(r.Lang), f)}
		for _, k := range o.Knocks {
			opt.Knocks = append(opt.Knocks, c.knock(r, k))
		}
		if o.Caution != "" {
			opt.Caution = Link{Href: "/cautions#" + o.Caution, Text: c.caution(r, o.Caution)}
		}
		v.Options = append(v.Options, opt)
	}
	for i, ev := range f.Evidence {
		if i == shownEvidence {
			v.Hidden = r.N("page.findings.hidden", len(f.Evidence)-shownEvidence)
			break
		}
		v.Evidence = append(v.Evidence, c.evidence(r, ev))
	}
	v.Photos, v.Picture = c.thumbs(r, ofFinding(f)), JobHref(c.id(), "photo")+"?finding="+query(FindingRef(f))
	for _, d := range c.Job.Decisions {
		if d.Finding == FindingRef(f) {
			v.Decided = append(v.Decided, Decided{r.or("page.outcome."+d.Outcome, d.Outcome), d.Reason, c.person(d.Person), r.Day(d.Time)})
		}
	}
	return v
}

// shownEvidence is how many values stand under a finding; its part has them all.
const shownEvidence = 12

// knock names what an option re-opens: a component, a characteristic, or words.
func (c *Case) knock(r Reader, k string) string {
	if c.has(k) {
		return c.Part(r, k)
	}
	for i := range c.Layout.Family.Characteristics {
		if ch := &c.Layout.Family.Characteristics[i]; ch.ID == k {
			return ch.Name.In(r.Lang)
		}
	}
	return r.or("page.knock."+k, strings.ReplaceAll(k, "-", " "))
}

func (c *Case) caution(r Reader, id string) string {
	for _, k := range c.Library.Cautions {
		if k.ID == id {
			return k.Name.In(r.Lang)
		}
	}
	return id
}

func (c *Case) evidence(r Reader, e assess.Evidence) Evidence {
	out := Evidence{Link: Link{Href: AtHref(c.id(), e.Position, e.State), Text: c.Place(r, e.Position)},
		Plate: r.plate(plot.Verdict(e.Verdict)), Value: r.number(c.check(r, e.Value), e.Unit)}
	if e.Limit != "" {
		out.Limit = r.With(e.Limit, e.Unit)
	}
	if v, ok := c.Assessment.Find(e.Position, e.State); ok {
		if !v.Check {
			out.Bar = Drawing(c.bar(r, v).RowSVG())
		}
		out.Plate = c.plate(r, v)
	}
	return out
}

// check says pass and fail in words.
func (c *Case) check(r Reader, y string) string {
	if y == "pass" || y == "fail" {
		return r.T("page.check." + y)
	}
	return y
}

// worstPlate is the plate of the value that a finding's sentence speaks of.
func (c *Case) worstPlate(r Reader, f *assess.Finding) Plate {
	if e := worst(f); e != nil {
		if v, ok := c.Assessment.Find(e.Position, e.State); ok && v.Verdict == f.Verdict {
			return c.plate(r, v)
		}
	}
	return r.plate(plot.Verdict(f.Verdict))
}

// ways names the ways out of a finding in one line.
func (c *Case) ways(r Reader, f *assess.Finding) string {
	var out []string
	for _, o := range f.Entry.Options {
		if w := r.or("page.outcome."+o.Outcome, o.Outcome); len(out) == 0 || out[len(out)-1] != w {
			out = append(out, w)
		}
	}
	return strings.Join(out, " · ")
}

// worst is the evidence that a finding's sentence speaks of.
func worst(f *assess.Finding) *assess.Evidence {
	if f.Worst >= 0 && f.Worst < len(f.Evidence) {
		return &f.Evidence[f.Worst]
	}
	return nil
}

func (c *Case) findingTitle(r Reader, f *assess.Finding) string {
	if t := f.Entry.Title.In(r.Lang); t != "" {
		return c.fill(r, t, f)
	}
	return f.ID
}

// fill puts the worst evidence into a text of the catalogue.
func (c *Case) fill(r Reader, text string, f *assess.Finding) string {
	e := worst(f)
	if e == nil || !strings.Contains(text, "{") {
		return text
	}
	return strings.NewReplacer("{place}", c.Place(r, e.Position), "{value}", r.With(e.Value, e.Unit), "{limit}", r.With(e.Limit, e.Unit),
		"{amount}", r.With(strings.TrimLeft(e.Amount, "+-"), e.Unit)).Replace(text)
}

// evidenceLine says what was measured against what.
func (c *Case) evidenceLine(r Reader, f *assess.Finding) string {
	e := worst(f)
	if e == nil {
		return ""
	}
	place := c.Place(r, e.Position)
	switch {
	case e.Value == "pass" || e.Value == "fail":
		return r.T("page.evidence.check", "place", place, "value", c.check(r, e.Value))
	case e.Limit == "":
		return r.T("page.evidence.plain", "place", place, "value", r.With(e.Value, e.Unit))
	case e.Verdict == assess.Undecided:
		return r.T("page.evidence.undecided", "place", place, "value", r.With(e.Value, e.Unit), "limit", r.With(e.Limit, e.Unit))
	}
	return r.T("page.evidence", "place", place, "value", r.With(e.Value, e.Unit), "limit", r.With(e.Limit, e.Unit),
		"amount", r.With(strings.TrimLeft(e.Amount, "+-"), e.Unit))
}
