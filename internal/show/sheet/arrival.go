package sheet

import "fettle/internal/show/plot"

// arrival sets what stands before the measuring, where anything was noted: what
// came in and who signed for it, what was said and what was seen, the tests,
// the gates that were passed open.
func (b *book) arrival() {
	p, ok := b.Case.Arrival(b.r)
	if !ok {
		return
	}
	b.part = ""
	if b.cols < 2 {
		b.columns(2)
	}
	b.chapter(b.r.T("sheet.arrival.title"), 80)
	for _, k := range []struct {
		key   string
		lines []string
	}{{"page.intake.contents", append(p.Contents, p.Signed...)}, {"page.intake.said", p.Said}, {"page.intake.saw", p.Saw}, {"page.intake.history", p.History},
		{"page.intake.numbers", p.Numbers}, {"page.intake.oil", p.Kept}, {"page.panel.title", p.Panel}, {"page.intake.hold", p.Held},
		{"page.clean.cleaned", p.Cleans}, {"page.clean.tests", p.Tests}, {"sheet.arrival.gates", p.Gates}} {
		if len(k.lines) == 0 {
			continue
		}
		b.section(b.r.T(k.key), 14)
		for _, s := range k.lines {
			b.para(b.x, b.w, plot.Text{S: s, Size: sizeFine}, 11)
			b.y += 1.5
		}
	}
	b.across()
}
