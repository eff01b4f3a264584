package sheet

import (
	"strings"

	"fettle/internal/judge/assess"
	"fettle/internal/know/finding"
	"fettle/internal/show/plot"
	"fettle/internal/show/view"
)

// shownEvidence is how many values a finding shows before it counts the rest.
const shownEvidence = 3

// findings sets every finding: what was measured, against what, so what, what
// next.
func (b *book) findings() {
	b.open(b.r.T("sheet.findings.title"))
	told := b.Case.FindingsTold(b.r)
	if len(told) == 0 {
		b.para(b.x, b.w, plot.Text{S: b.r.T("sheet.findings.none")}, 15)
	}
	b.columns(2)
	last := finding.Severity("")
	for i := range told {
		f := told[i].Finding
		if f.Severity != last {
			last = f.Severity
			b.section(b.r.T("sheet.severity."+string(last)), 90)
		}
		b.finding(&told[i].Words, f)
	}
}

// finding sets one finding: title, its worst values as limit bars, the words.
func (b *book) finding(v *view.Finding, f *assess.Finding) {
	const in, lead, size = 20.0, 12.2, 10.4
	w := b.w - in
	high := 16*float64(lines(v.Title, 12, plot.Bold, w)) + plot.RowHeight*float64(min(len(f.Evidence), shownEvidence)+1) + 12
	for _, s := range append([]string{b.measured(f, v), v.Leaving}, v.Remarks...) {
		high += lead * float64(lines(s, size, plot.Regular, w))
	}
	for i := range v.Options {
		high += lead * float64(lines(option(b, &v.Options[i]), size, plot.Regular, w-10))
	}
	b.room(min(high, 190))
	plot.Sign(b.c, plot.Pt(b.x+8, b.y+5), 7.6, plot.Verdict(v.Plate.Verdict))
	b.para(b.x+in, w, plot.Text{S: v.Title, Size: 12, Weight: plot.Bold}, 15)
	b.evidence(f, in)
	b.para(b.x+in, w, plot.Text{S: b.measured(f, v), Size: size}, lead)
	for _, s := range v.Remarks {
		b.para(b.x+in, w, plot.Text{S: s, Size: size}, lead)
	}
	b.para(b.x+in, w, plot.Text{S: v.Leaving, Size: size}, lead)
	for i := range v.Options {
		b.room(lead)
		b.c.Circle(plot.Pt(b.x+in+2.5, b.y+4), 1.5, plot.Style{Fill: plot.InkPen})
		b.para(b.x+in+10, w-10, plot.Text{S: option(b, &v.Options[i]), Size: size}, lead)
	}
	for _, d := range v.Decided {
		b.para(b.x+in, w, plot.Text{S: b.r.T("sheet.decided", "outcome", d.Outcome, "reason", d.Reason, "who", d.Who, "when", d.When), Size: size, Weight: plot.Bold}, lead)
	}
	b.y += 2
	if b.y < bottom {
		b.faint()
	}
	b.y += 9
}

// measured says what the worst value is with its doubt, against which limit.
func (b *book) measured(f *assess.Finding, said *view.Finding) string {
	if f.Worst < 0 || f.Worst >= len(f.Evidence) {
		return said.Measured
	}
	e := &f.Evidence[f.Worst]
	v, ok := b.Case.Assessment.Find(e.Position, e.State)
	if !ok || v.Check {
		return said.Measured
	}
	l := b.Case.Limits(b.r, v)
	if l == nil {
		return said.Measured
	}
	return b.r.T("sheet.measured", "place", b.Case.Place(b.r, v.Position), "value", b.Case.Value(b.r, v), "doubt", b.Case.Doubt(b.r, v), "k", b.r.Num(v.K),
		"limit", l.Range, "for", l.For, "status", l.Status)
}

// option is one way out in a line.
func option(b *book, o *view.Option) string {
	s := b.r.T("sheet.option", "outcome", o.Outcome, "text", o.Text)
	if len(o.Knocks) > 0 {
		s += " " + b.r.T("sheet.option.knocks", "list", strings.Join(o.Knocks, ", "))
	}
	if o.Caution.Text != "" {
		s += " " + b.r.T("sheet.option.caution", "caution", o.Caution.Text)
	}
	return s
}

// evidence sets the values of a finding as limit bars under one another, the
// worst first.
func (b *book) evidence(f *assess.Finding, in float64) {
	shown := 0
	show := func(i int) {
		e := &f.Evidence[i]
		if v, ok := b.Case.Assessment.Find(e.Position, e.State); ok {
			b.bar(v, in, b.place(v))
			shown++
		}
	}
	if f.Worst >= 0 && f.Worst < len(f.Evidence) {
		show(f.Worst)
	}
	for i := range f.Evidence {
		if i != f.Worst && shown < shownEvidence {
			show(i)
		}
	}
	if n := len(f.Evidence) - shown; n > 0 {
		b.para(b.x+in, b.w-in, plot.Text{S: b.r.N("sheet.evidence.more", n), Size: sizeFine, Ink: plot.InkThin}, 13)
	}
	b.y += 2
}

// place is the short name of a value's position: its indices, else its name.
func (b *book) place(v *assess.Value) string {
	if v.Place != nil && len(v.Place.At) > 0 {
		return strings.Join(v.Place.At, "/")
	}
	return ""
}

// The columns of a row with a limit bar, from the right edge of its column.
const (
	valueW = 108.0
	barW   = 88.0
)

// bar sets one value in a row: place, limit bar, value.
func (b *book) bar(v *assess.Value, in float64, label string) {
	b.room(plot.RowHeight)
	mid := b.y + plot.RowHeight/2
	room := b.w - in - barW - valueW
	bold := weight(v.Verdict == assess.Reject)
	b.c.Text(plot.Pt(b.x+in, mid), plot.Text{S: plot.Fit(clean(label), sizeFine, plot.Regular, room-4), Size: sizeFine, Base: plot.CapMiddle})
	b.mark(v, plot.Pt(b.x+in+room, b.y))
	b.c.Text(plot.Pt(b.x+b.w, mid), plot.Text{S: plot.Fit(clean(b.Case.Value(b.r, v)), sizeFine, bold, valueW-2), Size: sizeFine, Weight: bold, Anchor: plot.End, Base: plot.CapMiddle})
	b.y += plot.RowHeight
}

// mark draws the limit bar of a value, or the sign of a check.
func (b *book) mark(v *assess.Value, at plot.Point) {
	switch {
	case v.Check:
		plot.Sign(b.c, at.Add(barW/2, plot.RowHeight/2), 5.4, plot.Verdict(v.Verdict))
	case v.Limit != nil:
		view.Bar(v).Row(b.c, at, barW)
	}
}
