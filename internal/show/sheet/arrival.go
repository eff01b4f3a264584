package sheet

import (
	"strings"

	"fettle/internal/show/plot"
)

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
		list  bool // set in one run
	}{{"page.intake.contents", append(p.Contents, p.Signed...), true}, {"page.intake.said", p.Said, false}, {"page.intake.saw", p.Saw, false},
		{"page.intake.history", p.History, true}, {"page.intake.numbers", p.Numbers, true}, {"page.intake.oil", p.Kept, true}, {"page.panel.title", p.Panel, true},
		{"page.intake.hold", p.Held, false}, {"page.clean.cleaned", p.Cleans, true}, {"page.clean.tests", p.Tests, false}, {"sheet.arrival.gates", p.Gates, false}} {
		if len(k.lines) == 0 {
			continue
		}
		b.room(30)
		b.y += 3
		b.para(b.x, b.w, plot.Text{S: b.r.T(k.key), Size: sizeFine, Weight: plot.Bold}, 12)
		if k.list {
			k.lines = []string{strings.Join(k.lines, " · ")}
		}
		for _, s := range k.lines {
			b.para(b.x, b.w, plot.Text{S: s, Size: sizeFine}, 10.6)
			b.y += 1
		}
	}
}
