package view

import (
	"sort"

	"fettle/internal/judge/assess"
	"fettle/internal/judge/gauge"
	"fettle/internal/know/family"
	"fettle/internal/know/library"
	"fettle/internal/know/revise"
	"fettle/internal/show/plot"
)

// Starting is what a person typed to begin a draft.
type Starting struct {
	Base, ID, Name, Note string
	Revision             bool
}

// Revise is the page on which a draft of a family begins.
type Revise struct {
	Frame
	Typed    Starting
	Families []Choice
	BaseNote string
	Revises  string // what a revision of the chosen family means
	Drafts   []DraftLine
	Faults   map[string]string
	Problems []string
}

// DraftLine is a draft that lies about.
type DraftLine struct {
	Link
	Small string
}

// RevisePage makes the page; drafts are those that lie about.
func (r Reader) RevisePage(lib *library.Library, t Starting, drafts []Making, faults map[string]string) Revise {
	v := Revise{Frame: r.frame(r.T("page.revise.title"), ""), Typed: t, Faults: faults}
	v.Under = r.T("page.revise.under")
	var ids []string
	for id := range lib.Families {
		ids = append(ids, id)
	}
	sort.Strings(ids)
	for _, id := range ids {
		v.Families = append(v.Families, Choice{id, lib.Families[id].Family.Name.In(r.Lang) + " · " + id, id == t.Base})
	}
	if l := lib.Families[t.Base]; l != nil {
		v.BaseNote = l.Family.Note.In(r.Lang)
	}
	v.Revises = r.T("page.revise.revision")
	for i := range drafts {
		m := &drafts[i]
		if m.Base == nil {
			continue
		}
		v.Drafts = append(v.Drafts, DraftLine{Link{Href: DraftHref(m.ID), Text: m.name(r)}, m.origin(r) + " · " + r.N("page.draft.changed", len(m.Patch.Changes))})
	}
	for _, k := range sortedNames(asLists(faults)) {
		switch k {
		case "base", "id", "name", "note":
		default:
			v.Problems = append(v.Problems, faults[k])
		}
	}
	return v
}

// Repin is the page on which a job moves to another version of its family.
type Repin struct {
	Frame
	Sentence    string
	Verdicts    []RepinRow
	Count       string
	Gone        []string
	GoneText    string
	Differences Differences
	Same        bool // nothing to move to
	Post        string
	To, Key     string
	Do          string
	People      []Choice
	Reason      string
	Faults      map[string]string
}

// RepinRow is a verdict that would be another.
type RepinRow struct {
	Link
	State         string
	Value         Number
	Before, After Plate
	Was, Now      string // limits
}

// Moving is what a move to another version would do.
type Moving struct {
	From, To    *family.Layout
	Exact       bool
	Differences []revise.Difference
	Changes     []gauge.Change
	Moved       int
	Gone        []string
	After       *assess.Assessment
}

// RepinPage makes the page of a job's move; typed reason and person are shown
// again.
func (c *Case) RepinPage(r Reader, m Moving, key, person, reason string, faults map[string]string) Repin {
	v := Repin{Frame: c.frame(r, r.T("page.repin.title"), "repin", "", c.lastState("")), Post: JobHref(c.id(), "repin"), To: m.To.Digest, Key: key,
		Reason: reason, Faults: faults, People: c.people(r, person)}
	v.Under = c.Layout.Family.Name.In(r.Lang)
	if m.To.Digest == c.Job.Pinned {
		v.Same, v.Sentence = true, r.T("page.repin.same", "version", short12(m.To.Digest))
		return v
	}
	v.Sentence = c.pinned(r)
	v.Do = r.T("page.repin.do", "version", short12(m.To.Digest))
	after := &Case{Assessment: m.After, Layout: m.To, Library: c.Library, Job: c.Job, Shop: c.Shop}
	for _, ch := range m.Changes {
		row := RepinRow{Link: Link{Href: AtHref(c.id(), ch.Position, ch.State), Text: c.Place(r, ch.Position)}, State: r.State(ch.State),
			Before: r.plate(verdictOr(ch.Before)), After: r.plate(verdictOr(ch.After))}
		if b, ok := c.Assessment.Find(ch.Position, ch.State); ok {
			if b.Has && !b.Check {
				row.Value = r.number(b.Y, b.Unit)
			}
			if l := c.limits(r, b); l != nil {
				row.Was = l.Range
			}
		}
		if a, ok := m.After.Find(ch.Position, ch.State); ok {
			if l := after.limits(r, a); l != nil {
				row.Now = l.Range
			}
		}
		v.Verdicts = append(v.Verdicts, row)
	}
	v.Count = r.N("page.repin.verdicts", len(m.Changes)) + " " + r.N("page.repin.moved", m.Moved)
	if !m.Exact {
		v.Count = r.T("page.repin.lost")
	}
	for _, p := range m.Gone {
		v.Gone = append(v.Gone, c.Place(r, p))
	}
	if len(v.Gone) > 0 {
		v.GoneText = r.N("page.repin.gone", len(v.Gone))
	}
	v.Differences = after.differences(r, m.From, m.Differences)
	return v
}

func verdictOr(v assess.Verdict) plot.Verdict {
	if v == "" {
		return plot.NoLimit
	}
	return plot.Verdict(v)
}

// pinned says on which version of its family a job stands, where another one
// holds; "" where there is nothing to say.
func (c *Case) pinned(r Reader) string {
	now := c.Library.Digests[c.Layout.Family.ID]
	if c.Job.Pinned == "" || now == "" || now == c.Job.Pinned {
		return ""
	}
	key := "page.repin.stands"
	if c.Layout.Digest != c.Job.Pinned {
		key = "page.repin.unheld"
	}
	return r.T(key, "old", short12(c.Job.Pinned), "new", short12(now))
}

// AdoptedNotice says that a family was taken up.
func (r Reader) AdoptedNotice(l *family.Layout) string {
	key := "page.draft.adopted.own"
	if l.Family.Revises != "" {
		key = "page.draft.adopted.revision"
	}
	return r.T(key, "version", short12(l.Digest))
}
