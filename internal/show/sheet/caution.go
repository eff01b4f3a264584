package sheet

import "fettle/internal/show/plot"

// cautions sets what can hurt somebody who does the work of this record.
func (b *book) cautions() {
	if b.cols < 2 {
		b.columns(2)
	}
	b.part = ""
	b.section(b.r.T("sheet.cautions.title"), 90)
	b.doc.Bookmark(clean(b.r.T("sheet.cautions.title")), 0, 0)
	b.para(b.x, b.w, plot.Text{S: b.r.T("sheet.cautions.under"), Weight: plot.Bold}, 13.5)
	b.y += 5
	for _, k := range b.Case.Library.Cautions {
		b.room(16 + 11*float64(min(6, lines(k.Text.In(b.r.Lang), 9.6, plot.Regular, b.w))))
		b.para(b.x, b.w, plot.Text{S: k.Name.In(b.r.Lang), Size: 9.6, Weight: plot.Bold}, 11.2)
		b.para(b.x, b.w, plot.Text{S: k.Text.In(b.r.Lang), Size: 9.6}, 10.8)
		b.y += 3
	}
}
