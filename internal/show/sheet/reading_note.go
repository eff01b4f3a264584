package sheet

import (
	"strings"

	"fettle/internal/facts/job"
	"fettle/internal/show/plot"
	"fettle/internal/show/view"
)

// note is a remark on one reading, numbered in the order of the appendix.
type note struct{ mark, text string }

// allowed names the limits of a spell's first place, "" where none apply.
func (b *book) allowed(s *spell) string {
	v, ok := b.Case.Assessment.Find(s.all[0].Position, s.state)
	if !ok {
		return ""
	}
	if l := b.Case.Limits(b.r, v); l != nil && !v.Check {
		return b.r.T("sheet.reading.limit", "range", l.Range)
	}
	return ""
}

// temps is the least and the greatest temperature of the parts.
func temps(all []*job.Reading) (lo, hi string) {
	for i, r := range all {
		if i == 0 || view.Less(r.PartTemp, lo) {
			lo = r.PartTemp
		}
		if i == 0 || view.Less(hi, r.PartTemp) {
			hi = r.PartTemp
		}
	}
	return lo, hi
}

// circumstance says how the readings of a spell were taken.
func (b *book) circumstance(s *spell, lo, hi string, codes map[string]string) string {
	r := b.r
	first := s.all[0]
	var out []string
	if s.unit != "" && s.unit != "1" {
		out = append(out, s.unit)
	}
	if s.state != job.Found {
		out = append(out, r.State(s.state))
	}
	if first.Gauge != "" {
		g := first.Gauge
		if first.Master != "" {
			g = r.T("sheet.reading.set-on", "gauge", g, "master", first.Master)
		}
		out = append(out, g)
	}
	out = append(out, b.Case.Person(first.Person)+" "+b.day(s.day))
	switch {
	case lo == hi && lo != "":
		out = append(out, r.With(lo, "°C"))
	case lo != hi:
		out = append(out, r.T("sheet.reading.temperatures", "from", r.Num(lo), "to", r.With(hi, "°C")))
	}
	var when []string
	for _, k := range first.Condition {
		when = append(when, codes[k])
	}
	if len(when) > 0 {
		out = append(out, strings.Join(when, " "))
	}
	return strings.Join(out, " · ")
}

// day leaves the year out where the title block says it for all.
func (b *book) day(date string) string {
	first, last := b.r.Date(b.Case.Job.First), b.r.Date(b.Case.Job.Last)
	if len(first) > 5 && len(last) > 5 && len(date) > 5 && first[:5] == last[:5] && date[:5] == first[:5] {
		return date[5:]
	}
	return date
}

// remark says why a reading no longer counts, what it replaced, or what the
// person noted; "" where there is nothing to say.
func (b *book) remark(rd *job.Reading) string {
	var out []string
	if !rd.Counts() {
		out = append(out, b.r.T("sheet.reading.void", "how", b.word("sheet.void."+rd.Voided, rd.Voided), "reason", rd.Reason))
	}
	if rd.Instead != "" {
		if old, ok := b.Case.Job.Find(rd.Instead); ok {
			out = append(out, b.r.T("sheet.reading.instead", "old", b.r.With(b.reading(old), old.Unit)))
		}
	}
	if rd.Was != "" && rd.Was != rd.Position {
		out = append(out, b.r.T("sheet.reading.was", "position", rd.Was))
	}
	if rd.Transcript {
		out = append(out, b.r.T("sheet.reading.transcribed"))
	}
	if rd.Note != "" {
		out = append(out, rd.Note)
	}
	if len(out) == 0 {
		return ""
	}
	return rd.Position + ": " + strings.Join(out, "; ")
}

func (b *book) readingNotes(notes []note) {
	if len(notes) == 0 {
		return
	}
	b.section(b.r.T("sheet.readings.notes"), 30)
	for _, n := range notes {
		b.room(10.5)
		b.c.Text(plot.Pt(b.x, b.y), plot.Text{S: "[" + n.mark + "]", Size: sizeNote, Base: plot.CapTop, Ink: plot.InkThin})
		b.para(b.x+26, b.w-26, plot.Text{S: n.text, Size: sizeNote}, 10.5)
	}
}
