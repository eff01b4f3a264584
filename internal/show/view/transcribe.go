package view

import (
	"fettle/internal/facts/job"
	"fettle/internal/know/family"
)

// Transcribe is the page on which a sheet filled in by hand is typed in.
type Transcribe struct {
	Frame
	Step
	Prints []Link
	Stale  string // the sheet was printed from another version
	State  string
	States []Choice
	Groups []TranscribeGroup
	Photo  string // address at which a photo of the sheet is added
}

// TranscribeGroup is one characteristic of the sheet.
type TranscribeGroup struct {
	ID, Name, Limits string
	Unit             string
	Check            bool
	Gauges, Masters  []Choice
	Conditions       []Choice
	Rows             []TranscribeRow
}

// TranscribeRow is one place: its field, and what it reads so far.
type TranscribeRow struct {
	ID, Where string
	Now       Number
	Word      string // of a check
	Link      Link
}

// TranscribePage makes the page, in the order of the part.
func (c *Case) TranscribePage(r Reader, component, state, version string, s Step) (v Transcribe, ok bool) {
	k := c.Layout.Component(component)
	if k == nil {
		return v, false
	}
	v = Transcribe{Frame: c.frame(r, r.T("page.paper.title", "part", k.Name.In(r.Lang)), "", component, state), Step: s, State: state,
		States: c.choicesOfState(r, state), Photo: c.photoHref(component)}
	v.Under = r.T("page.paper.under")
	if version != "" && version != PaperVersion(c.Layout) {
		v.Stale = r.T("page.paper.stale", "found", version, "now", PaperVersion(c.Layout))
	}
	for _, size := range []string{"A4", "Letter"} {
		v.Prints = append(v.Prints, Link{Href: PaperPDF(c.id(), component, size, state), Text: r.T("page.paper.print", "size", size)})
	}
	var last *TranscribeGroup
	for i := range c.Layout.Places {
		at := &c.Layout.Places[i]
		if componentOf(at.ID) != component || at.Char.Relation != "" {
			continue
		}
		if last == nil || last.ID != at.Char.ID {
			v.Groups = append(v.Groups, c.transcribed(r, at, s))
			last = &v.Groups[len(v.Groups)-1]
		}
		last.Rows = append(last.Rows, c.transcribedRow(r, at, state))
	}
	return v, len(v.Groups) > 0
}

func (c *Case) transcribed(r Reader, at *family.Place, s Step) TranscribeGroup {
	ch := at.Char
	g := TranscribeGroup{ID: ch.ID, Name: ch.Name.In(r.Lang), Limits: c.paperLimits(r, at), Unit: ch.Unit, Check: ch.Quantity == family.Check}
	if g.Unit == "1" {
		g.Unit = ""
	}
	g.Gauges, g.Masters = c.gauges(r, ch, Typed{Gauge: s.Typed["gauge-"+ch.ID], Master: s.Typed["master-"+ch.ID]})
	for _, id := range ch.Condition {
		g.Conditions = append(g.Conditions, Choice{id, c.arg(r, "condition", id), false})
	}
	return g
}

func (c *Case) transcribedRow(r Reader, at *family.Place, state string) TranscribeRow {
	row := TranscribeRow{ID: at.ID, Where: c.where(r, at.Char.Per, at.At), Link: Link{Href: AtHref(c.id(), at.ID, state), Text: c.Place(r, at.ID)}}
	if row.Where == "" {
		row.Where = at.Char.Name.In(r.Lang)
	}
	var last *job.Reading
	for i := range c.Job.Readings {
		if rd := &c.Job.Readings[i]; rd.Counts() && rd.Position == at.ID && rd.State == state {
			last = rd
		}
	}
	if last != nil {
		row.Now = r.number(last.Value, last.Unit)
		if last.Unit == "" {
			row.Now, row.Word = Number{}, c.check(r, last.Value)
		}
	}
	return row
}

// PaperPDF is the address of a sheet to be filled in by hand.
func PaperPDF(job, component, size, state string) string {
	h := JobHref(job, "paper.pdf") + "?part=" + query(component) + "&paper=" + size
	if state != "" && state != "found" {
		h += "&state=" + query(state)
	}
	return h
}
