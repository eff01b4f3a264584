package view

import (
	"strings"

	"fettle/internal/facts/job"
	"fettle/internal/judge/cause"
	"fettle/internal/know/failure"
	"fettle/internal/show/plot"
)

// Causes is the page of the guide to causes.
type Causes struct {
	Frame
	Areas []CauseArea // those with a mark first
	Rough string      // whose the numbers are
	JSON  string
}

// CauseArea is one question with its answers.
type CauseArea struct {
	ID, Name string
	Open     bool // a mark was found here
	Said     string
	Found    []SignLine
	Missed   []SignLine // looked for, not there
	Causes   []CauseLine
	Rest     []CauseLine // less likely ones
	Next     []CheckLine
}

// SignLine is one mark that was found or looked for.
type SignLine struct {
	Name  string
	How   string // how it lies over the engine
	Where []Link
}

// CauseLine is one possible cause.
type CauseLine struct {
	Name, Percent, Before         string
	Bar                           Drawing
	Mechanism, Correct, Prevent   string
	For, Against                  []string
	Source, Status, Share, Anchor string
}

// CheckLine is something to look at next.
type CheckLine struct{ Text, Name, Word, Bits string }

// How many causes and checks of an area stand open.
const (
	shownCauses = 4
	shownNext   = 4
	shownWhere  = 4
)

// Guide is what the judgement says of causes.
func (c *Case) Guide() cause.Guide {
	return cause.Of(cause.Facts{Layout: c.Layout, Kinds: c.Library.Observations(), Failures: c.Library.Failures(), Job: c.Job, Assessment: c.Assessment})
}

// CausesPage makes the page of the guide to causes.
func (c *Case) CausesPage(r Reader) Causes {
	v := Causes{Frame: c.frame(r, r.T("page.causes.title"), "causes", "", "found"), JSON: "/api/v1/jobs/" + query(c.id()) + "/causes"}
	cat := c.Library.Failures()
	shares, likely := cat.Owners()
	sum := func(m map[failure.Tag]int) (n int) {
		for _, k := range m {
			n += k
		}
		return n
	}
	v.Under = c.Assessment.Title
	v.Rough = r.T("page.causes.rough", "shares", r.Int(shares[failure.Source]), "modes", r.Int(sum(shares)),
		"invented", r.Int(likely[failure.Invented]), "likelihoods", r.Int(sum(likely)))
	var closed []CauseArea
	for _, a := range c.Guide().Areas {
		area := c.causeArea(r, cat, &a)
		if area.Open {
			v.Areas = append(v.Areas, area)
		} else {
			closed = append(closed, area)
		}
	}
	v.Areas = append(v.Areas, closed...)
	return v
}

func (c *Case) causeArea(r Reader, cat *failure.Catalogue, a *cause.Answer) CauseArea {
	v := CauseArea{ID: a.Area}
	for i := range cat.Areas {
		if cat.Areas[i].ID == a.Area {
			v.Name = cat.Areas[i].Name.In(r.Lang)
		}
	}
	for i := range a.Found {
		f := &a.Found[i]
		line := c.signLine(r, cat, f)
		if f.There {
			v.Found = append(v.Found, line)
		} else {
			v.Missed = append(v.Missed, line)
		}
	}
	v.Open = len(v.Found) > 0
	switch {
	case v.Open:
		v.Said = r.T("page.causes.open")
	case len(v.Missed) > 0:
		v.Said = r.T("page.causes.missed")
	default:
		v.Said = r.T("page.causes.none")
	}
	for i := range a.Causes {
		line := c.causeLine(r, cat, a, &a.Causes[i])
		if i < shownCauses {
			v.Causes = append(v.Causes, line)
		} else {
			v.Rest = append(v.Rest, line)
		}
	}
	for i, k := range a.Next {
		if i == shownNext {
			break
		}
		s, ok := cat.Sign(k.Sign)
		if !ok {
			continue
		}
		text := s.Look.In(r.Lang)
		if k.Others {
			text = r.T("page.causes.others", "sign", s.Name.In(r.Lang), "look", text)
		}
		v.Next = append(v.Next, CheckLine{Text: text, Name: s.Name.In(r.Lang), Word: r.T("page.causes.gain." + k.Word), Bits: r.Num(k.Bits)})
	}
	return v
}

func (c *Case) signLine(r Reader, cat *failure.Catalogue, f *cause.Found) SignLine {
	out := SignLine{Name: f.Sign}
	if s, ok := cat.Sign(f.Sign); ok {
		out.Name = s.Name.In(r.Lang)
	}
	var how []string
	switch {
	case len(f.Patterns) == 1:
		how = append(how, r.T("page.pattern."+f.Patterns[0]))
	case len(f.Patterns) > 1:
		how = append(how, r.T("page.pattern.open"))
	}
	if len(f.Halves) == 1 {
		how = append(how, r.T("page.half."+f.Halves[0]))
	}
	out.How = strings.Join(how, "; ")
	for i, p := range f.Parts {
		if i == shownWhere {
			out.Where = append(out.Where, Link{Text: r.N("page.part.more", len(f.Parts)-shownWhere)})
			break
		}
		if c.place(p) != nil {
			out.Where = append(out.Where, Link{Href: AtHref(c.id(), p, ""), Text: c.Place(r, p)})
			continue
		}
		part, at, _ := strings.Cut(p, "@")
		o := job.Observed{ObservationV2: job.ObservationV2{Part: part, At: at}}
		out.Where = append(out.Where, Link{Href: JobHref(c.id(), "part", componentOf(part)) + "#seen", Text: c.seenWhere(r, &o)})
	}
	return out
}

func (c *Case) causeLine(r Reader, cat *failure.Catalogue, a *cause.Answer, k *cause.Cause) CauseLine {
	v := CauseLine{Name: r.T("page.causes.nothing"), Mechanism: r.T("page.causes.nothing.text"), Percent: r.With(k.Percent, "%"),
		Before: r.T("page.causes.before", "p", r.With(k.Before, "%")), Anchor: a.Area + "-" + k.Mode,
		Bar: Drawing(plot.Inline(plot.ShareWidth, plot.ShareHeight, "", func(d plot.Canvas) { plot.Share(d, plot.Pt(0, 0), k.Prior, k.Posterior) }))}
	say := func(list []cause.Weight, side string) (out []string) {
		for _, w := range list {
			s, ok := cat.Sign(w.Sign)
			if !ok {
				continue
			}
			name := s.Name.In(r.Lang)
			if !w.There {
				name = r.T("page.causes.not", "sign", name)
			}
			out = append(out, r.T("page.causes."+side+"."+w.Word, "sign", name))
		}
		return out
	}
	v.For, v.Against = say(k.For, "for"), say(k.Against, "against")
	m, ok := cat.Mode(k.Mode)
	if !ok {
		v.Share = r.T("page.causes.share.invented")
		return v
	}
	v.Name, v.Mechanism = m.Name.In(r.Lang), m.Mechanism.In(r.Lang)
	v.Correct, v.Prevent = m.Correct.In(r.Lang), m.Prevent.In(r.Lang)
	v.Source, v.Status = c.source(string(m.Source)), c.status(r, string(m.Status))
	v.Share = r.T("page.causes.share." + strings.ReplaceAll(string(m.ShareTag), " ", "-"))
	return v
}
