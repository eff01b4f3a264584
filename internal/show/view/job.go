package view

import (
	"sort"

	"fettle/internal/judge/assess"
	"fettle/internal/show/plot"
)

// Job is the page of one engine.
type Job struct {
	Frame
	Drawing   Drawing
	Systems   []System
	Heads     []Plate
	Findings  []Line // first lines, worst first
	More      string // how many findings are not shown
	Questions []Line
	MoreAsked string
	Targets   []Target
	Rule      string // decision rule in words
	RuleSmall string
	Customer  string
	Use, Note string
	Empty     bool // nothing measured yet
	Tally     string
	JSON      string
	Causes    string

	FindingsHref, QuestionsHref string
	Pinned                      string // that another version of the family holds, "" where it does not
	Repin                       Link
}

// System is one row of the summary, with its parts.
type System struct {
	Name   string
	Counts [4]string
	Some   [4]bool
	Parts  []PartLink
}

// PartLink is one component with the verdict that asks for most attention.
type PartLink struct {
	Link
	Plate Plate
	Count string // how many of that verdict
}

// Line is one sentence with a place to go to and a plate.
type Line struct {
	Link
	Plate  Plate
	Weight string // severity in words
	Small  string
}

// How many first lines the page of an engine carries.
const (
	shownFindings  = 8
	shownQuestions = 5
)

// JobPage makes the page of one engine.
func (c *Case) JobPage(r Reader) Job {
	a := c.Assessment
	v := Job{Frame: c.frame(r, a.Title, "", "", c.lastState("")), Drawing: c.engine(r), Targets: c.targets(r),
		Use: c.Job.Use, Note: c.Job.Note, Empty: a.Tally.Readings == 0, JSON: JobHref(a.Job, "assessment.json"),
		Causes: JobHref(a.Job, "causes"), FindingsHref: JobHref(a.Job, "findings"), QuestionsHref: JobHref(a.Job, "questions")}
	v.Under = c.Layout.Family.Name.In(r.Lang)
	if v.Pinned = c.pinned(r); v.Pinned != "" {
		v.Repin = Link{Href: JobHref(a.Job, "repin"), Text: r.T("page.repin.look")}
	}
	v.Rule = r.or(a.Rule.Name, a.Rule.Name)
	if r.Book.Has(a.Rule.Name) {
		v.Rule = r.T(a.Rule.Name, "risk", r.Text(a.Rule.Text), "k", r.Num(a.Rule.KText))
	}
	v.RuleSmall = c.source(string(a.Rule.Source))
	v.Tally = r.T("page.job.tally", "readings", r.Int(a.Tally.Readings), "derived", r.Int(a.Tally.Derived), "free", r.Int(a.Tally.NoLimit))
	for _, p := range verdicts() {
		v.Heads = append(v.Heads, r.plate(p))
	}
	v.Systems = c.systems(r)
	v.Findings, v.More = c.firstFindings(r)
	asked := c.openQuestions(r)
	if len(asked) > shownQuestions {
		v.MoreAsked = r.N("page.job.asked", len(asked)-shownQuestions)
		asked = asked[:shownQuestions]
	}
	for _, q := range asked {
		v.Questions = append(v.Questions, Line{Link: Link{Href: q.Href, Text: q.Text}, Small: q.Where})
	}
	return v
}

func (c *Case) lastState(component string) string {
	s := c.states(component)
	if len(s) == 0 {
		return "found"
	}
	return s[len(s)-1]
}

// systemOrder is the order in which an engine is gone through.
func systemOrder() []string {
	return []string{"block", "crank", "rods", "pistons", "bearings", "head", "valvetrain", "cam-drive", "lubrication", "intake", "ancillary", "fasteners"}
}

// systems counts verdicts by system and by component.
func (c *Case) systems(r Reader) []System {
	var out []System
	for _, name := range systemOrder() {
		s := System{Name: r.or("page.system."+name, name)}
		var all Counts
		for i := range c.Layout.Family.Components {
			comp := &c.Layout.Family.Components[i]
			if comp.System != name || len(c.spots(comp.ID)) == 0 {
				continue
			}
			n, worst := c.count(comp.ID)
			all.add(n)
			s.Parts = append(s.Parts, PartLink{Link: Link{Href: JobHref(c.id(), "part", comp.ID), Text: comp.Name.In(r.Lang)},
				Plate: r.plate(plot.Verdict(worst)), Count: r.Int(n.of(worst))})
		}
		for i, n := range all.list() {
			s.Counts[i], s.Some[i] = r.Int(n), n > 0
		}
		if len(s.Parts) > 0 {
			out = append(out, s)
		}
	}
	return out
}

func (n *Counts) add(m Counts) {
	n.Accept += m.Accept
	n.Undecided += m.Undecided
	n.Reject += m.Reject
	n.Unmeasured += m.Unmeasured
}

func (n Counts) of(v assess.Verdict) int {
	switch v {
	case assess.Accept:
		return n.Accept
	case assess.Undecided:
		return n.Undecided
	case assess.Reject:
		return n.Reject
	}
	return n.Unmeasured
}

// count counts the verdicts of a component in each position's last state.
func (c *Case) count(component string) (n Counts, worst assess.Verdict) {
	for _, s := range c.spots(component) {
		v := s.latest().Verdict
		switch v {
		case assess.Accept:
			n.Accept++
		case assess.Undecided:
			n.Undecided++
		case assess.Reject:
			n.Reject++
		case assess.Unmeasured:
			n.Unmeasured++
		}
		if worse(v) > worse(worst) {
			worst = v
		}
	}
	return n, worst
}

func (c *Case) firstFindings(r Reader) (out []Line, more string) {
	all := c.orderedFindings()
	for i, f := range all {
		if i == shownFindings {
			return out, r.N("page.job.more", len(all)-shownFindings)
		}
		out = append(out, Line{Link: Link{Href: JobHref(c.id(), "findings") + "#" + anchor(f), Text: c.findingTitle(r, f)},
			Plate: c.worstPlate(r, f), Weight: r.T("page.severity." + string(f.Severity)), Small: c.ways(r, f)})
	}
	return out, ""
}

// orderedFindings lists findings: act, then watch, then note; proved before
// undecided; else as judged.
func (c *Case) orderedFindings() []*assess.Finding {
	out := make([]*assess.Finding, len(c.Assessment.Findings))
	for i := range out {
		out[i] = &c.Assessment.Findings[i]
	}
	rank := map[string]int{"act": 0, "watch": 1, "note": 2}
	sort.SliceStable(out, func(i, j int) bool {
		a, b := out[i], out[j]
		if x, y := rank[string(a.Severity)], rank[string(b.Severity)]; x != y {
			return x < y
		}
		return worse(a.Verdict) > worse(b.Verdict)
	})
	return out
}
