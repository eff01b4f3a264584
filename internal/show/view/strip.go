package view

import (
	"net/url"
	"strconv"
	"strings"

	"fettle/internal/facts/job"
	"fettle/internal/judge/gate"
	"fettle/internal/know/family"
)

// Strip is the page of taking an engine down.
type Strip struct {
	Frame
	Step
	Find       string // where a scanned label goes
	FindBad    string // what was wrong with the last one
	Gates      []Gate
	Components []Taken

	Prints []Link
}

// Gate is what must be measured before parts come out.
type Gate struct {
	ID, Name, Why string
	Caution       Link
	Status        string
	Before        string
	Open          []Link // places still to be measured, the first few
	More          string
	Count         string
	Shut, Done    bool
	Passed        string
	Act           string
}

// Taken is a component with the parts that were taken out of it.
type Taken struct {
	ID, Name string
	Keeps    string
	Blocked  string // names of the gates that are shut before it
	Count    string
	Parts    []TagLine
	Choices  []Choice
	Act      string
	Print    Link
	Open     bool
}

// TagLine is one part with its label.
type TagLine struct {
	Part, Name string
	Href       string
	Label      string // as it is printed
	Tagged     string // who and when, "" while it has none
	Elsewhere  string // the label it carries was printed for another part
}

// shownOpen is how many open places a gate names.
const shownOpen = 6

// LabelText writes a label as it is printed: five letters, a hyphen, the check.
func LabelText(l string) string {
	if len(l) < 2 {
		return l
	}
	return l[:len(l)-1] + "-" + l[len(l)-1:]
}

// StripPage makes the page.
func (c *Case) StripPage(r Reader, s Step) Strip {
	v := Strip{Frame: c.frame(r, r.T("page.strip.title"), "intake", "", job.Found), Step: s, Find: JobHref(c.id(), "find")}
	v.Under = c.Assessment.Title
	gates := gate.Strips(c.Library.Strip.Gates, c.Layout, c.Job)
	for i := range gates {
		v.Gates = append(v.Gates, c.gateLine(r, &gates[i]))
	}
	labels := job.Labels(c.id(), c.Layout.Parts())
	for i := range c.Layout.Family.Components {
		k := &c.Layout.Family.Components[i]
		if c.Job.InScope(k.System) {
			if t := c.taken(r, k, labels, gates); len(t.Parts) > 0 {
				t.Open = s.Act == t.Act
				v.Components = append(v.Components, t)
			}
		}
	}
	for _, p := range []string{"a4", "roll", "small"} {
		v.Prints = append(v.Prints, Link{Href: JobHref(c.id(), "labels.pdf") + "?paper=" + p, Text: r.T("page.strip.paper." + p)})
	}
	v.Prints = append(v.Prints, Link{Href: JobHref(c.id(), "labels.pdf") + "?of=" + OfCommands, Text: r.T("page.strip.commands")})
	return v
}

func (c *Case) gateLine(r Reader, s *gate.Strip) Gate {
	g := Gate{ID: s.Gate.ID, Name: s.Gate.Name.In(r.Lang), Why: s.Gate.Why.In(r.Lang), Caution: c.cautionLink(r, s.Gate.Caution),
		Status: c.status(r, string(s.Gate.Status)), Shut: s.Shut(), Done: len(s.Open) == 0, Act: "override-" + s.Gate.ID}
	var before []string
	for _, id := range s.Before {
		before = append(before, c.Part(r, id))
	}
	g.Before = strings.Join(before, ", ")
	g.Count = r.T("page.strip.count", "n", r.Int(s.Of-len(s.Open)), "m", r.Int(s.Of))
	for i, p := range s.Open {
		if i == shownOpen {
			g.More = r.N("page.strip.more", len(s.Open)-shownOpen)
			break
		}
		g.Open = append(g.Open, Link{Href: AtHref(c.id(), p, ""), Text: c.Place(r, p)})
	}
	if s.Passed != nil {
		g.Passed = r.T("page.strip.passed", "who", c.person(s.Passed.Person), "when", r.Day(s.Passed.Time), "reason", s.Passed.Reason)
	}
	return g
}

func (c *Case) taken(r Reader, k *family.Component, labels map[string]string, gates []gate.Strip) Taken {
	t := Taken{ID: k.ID, Name: k.Name.In(r.Lang), Act: "tag-" + k.ID, Print: Link{Href: JobHref(c.id(), "labels.pdf") + "?of=" + k.ID, Text: r.T("page.strip.print")}}
	if k.Keeps != "" {
		t.Keeps = r.T("page.keeps." + k.Keeps)
	}
	var shut []string
	for _, g := range gate.Blocking(gates, k.ID) {
		shut = append(shut, g.Gate.Name.In(r.Lang))
	}
	t.Blocked = strings.Join(shut, ", ")
	n := 0
	for _, part := range c.Layout.Parts() {
		if componentOf(part) != k.ID {
			continue
		}
		line := TagLine{Part: part, Name: c.Part(r, part), Label: LabelText(labels[part]), Href: JobHref(c.id(), "find") + "?label=" + labels[part]}
		if tag := c.Job.Tag(part); tag != nil {
			n++
			line.Tagged = c.person(tag.Person) + ", " + r.Day(tag.Time)
			if tag.Made != "" {
				line.Elsewhere = r.T("page.strip.elsewhere", "tag", LabelText(tag.Tag), "part", c.Part(r, tag.Made), "reason", tag.Reason)
			}
		}
		t.Parts = append(t.Parts, line)
		t.Choices = append(t.Choices, Choice{part, line.Name, false})
	}
	t.Count = r.T("page.strip.tagged", "n", r.Int(n), "m", r.Int(len(t.Parts)))
	return t
}

// Find is where a label leads: the first place of its part that is still to be
// measured, else the first one, else the page of its component. ok is false
// where no part of this job has it.
func (c *Case) Find(text string) (href string, ok bool) {
	label, good := job.ReadLabel(text)
	if !good {
		return "", false
	}
	part := c.Job.Wearer(label)
	if part == "" {
		for p, l := range job.Labels(c.id(), c.Layout.Parts()) {
			if l == label {
				part = p
			}
		}
	}
	if part == "" {
		return "", false
	}
	first := ""
	for i := range c.Layout.Places {
		p := &c.Layout.Places[i]
		if p.Part != part || p.Char.Relation != "" {
			continue
		}
		if first == "" {
			first = p.ID
		}
		if !c.read(p.ID) {
			return AtHref(c.id(), p.ID, ""), true
		}
	}
	if first == "" || part == componentOf(part) {
		return JobHref(c.id(), "part", componentOf(part)), true
	}
	return AtHref(c.id(), first, ""), true
}

// read reports whether a position has a reading that counts.
func (c *Case) read(position string) bool {
	for i := range c.Job.Readings {
		if rd := &c.Job.Readings[i]; rd.Counts() && rd.Position == position {
			return true
		}
	}
	return false
}

// Label is one label as it is printed.
type Label struct {
	Text  string // large
	Name  string // the component
	Where string // cylinder 3, exhaust rear
	Part  string // position id
	Job   string
	Keeps string
	Code  string // what the QR code holds
}

// Labels makes the labels of a job: of one component or part, of all that keep
// their place where of is empty, of every part for "all". base is the address
// of the site, "" where there is none: then the code holds the label alone.
func (c *Case) Labels(r Reader, of, base string) []Label {
	if of == OfCommands {
		return c.commandLabels(r)
	}
	all := job.Labels(c.id(), c.Layout.Parts())
	var out []Label
	for _, part := range c.Layout.Parts() {
		k := c.Layout.Component(componentOf(part))
		if k == nil || !c.Job.InScope(k.System) {
			continue
		}
		switch of {
		case "all", part, k.ID:
		case "":
			if k.Keeps == "" {
				continue
			}
		default:
			continue
		}
		l := Label{Text: LabelText(all[part]), Name: k.Name.In(r.Lang), Part: part, Job: c.id(), Code: all[part]}
		if _, rest, ok := strings.Cut(part, "/"); ok {
			l.Where = c.where(r, k.Per, strings.Split(rest, "/"))
		}
		if k.Keeps != "" {
			l.Keeps = r.T("page.keeps." + k.Keeps)
		}
		if base != "" {
			l.Code = base + LabelHref(c.id(), all[part])
		}
		out = append(out, l)
	}
	return out
}

// OfCommands asks for labels that hold what the keys of the bench do, for a
// scanner beside it.
const OfCommands = "commands"

func (c *Case) commandLabels(r Reader) []Label {
	var out []Label
	for _, k := range benchKeys() {
		if code := strings.ReplaceAll(k.Key, "∗", "*"); code != "⏎" {
			out = append(out, Label{Text: k.Key, Name: r.T("page.bench.do." + k.Word), Job: c.id(), Code: code})
		}
	}
	for i, word := range []string{"keep", "correct", "again"} {
		code := "/" + strconv.Itoa(7+i)
		out = append(out, Label{Text: code, Name: r.T("page.bench.do." + word), Job: c.id(), Code: code})
	}
	return out
}

// LabelHref is the address in a label's code.
func LabelHref(job, label string) string { return "/l/" + url.PathEscape(job) + "/" + label }
