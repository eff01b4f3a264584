package sheet

import (
	"bytes"

	"fettle/internal/base/fault"
	"fettle/internal/show/plot"
	"fettle/internal/show/view"
)

// Quote sets a quote as a PDF that a customer can read and sign: the options
// beside one another, what each leaves and what follows, every line, and how
// price and date are meant. The same input gives the same bytes.
//
// Errors: a fault where the document could not be made.
func Quote(in Input, q view.Quote) ([]byte, error) {
	b := newBook(in)
	name := b.r.T("sheet.quote.draft")
	if q.Number != "" {
		name = b.r.T("sheet.quote", "n", q.Number)
	}
	b.doc.SetTitle(clean(name+" "+in.Case.Assessment.Job+": "+in.Case.Assessment.Title), true)
	b.quoteFront(name, &q)
	b.quoteUndone(&q)
	b.quoteLines(&q)
	b.quoteNotes(&q)
	b.title()
	var out bytes.Buffer
	if err := b.doc.Output(&out); err != nil {
		return nil, fault.New(fault.Broken, "sheet.not-made").Because(err)
	}
	return out.Bytes(), nil
}

// quoteFront sets which quote this is and what can be chosen.
func (b *book) quoteFront(name string, q *view.Quote) {
	a, r := b.Case.Assessment, b.r
	b.again = name
	b.turn("")
	b.y += 4
	ink := plot.InkThin
	if q.Number == "" {
		ink = plot.InkOut
	}
	b.c.Text(plot.Pt(left, b.y), plot.Text{S: name, Size: plot.SizeText, Base: plot.CapTop, Ink: ink})
	if q.Code != "" {
		b.c.Text(plot.Pt(right, b.y), plot.Text{S: q.Code, Size: plot.SizeHead, Weight: plot.Bold, Base: plot.CapTop, Anchor: plot.End})
	}
	b.y += 26
	for _, line := range plot.Wrap(clean(a.Title), sizeHuge, plot.Bold, wide, 2) {
		b.c.Text(plot.Pt(left, b.y), plot.Text{S: line, Size: sizeHuge, Weight: plot.Bold, Base: plot.CapTop})
		b.y += 36
	}
	b.invented()
	b.rule(plot.Wide)
	b.y += 12
	put := func(key, text string) { b.pair(left, wide, 130, r.T(key), text) }
	put("sheet.fact.job", a.Job)
	put("sheet.fact.family", b.Case.Layout.Family.Name.In(r.Lang))
	put("sheet.quote.issued", q.On)
	put("sheet.quote.until", q.Until)
	put("sheet.quote.from", q.From)
	b.y += 6
	b.section(r.T("sheet.quote.choose"), 120)
	b.quoteTable(q)
}

// quoteTable sets the options beside one another.
func (b *book) quoteTable(q *view.Quote) {
	n := len(q.Names)
	if n == 0 {
		return
	}
	const head = 104.0
	w := (wide-head)/float64(n) - 12
	at := func(i int) float64 { return left + head + float64(i)*(w+12) + 12 }
	high := 0.0
	for i, name := range q.Names {
		y := b.y
		b.c.Text(plot.Pt(at(i), y), plot.Text{S: plot.Fit(clean(name.Name), plot.SizeText, plot.Bold, w), Size: plot.SizeText, Weight: plot.Bold, Base: plot.CapTop})
		y = b.at(at(i), y+19, w, name.What, sizeFine, plot.Regular, plot.InkThin)
		high = max(high, y-b.y)
	}
	b.y += high + 6
	b.rule(plot.Narrow)
	b.y += 6
	for _, row := range q.Rows {
		size := 10.4
		if row.Main {
			size = 13
		}
		need := 0.0
		for _, c := range row.Cells {
			need = max(need, (size+3)*float64(lines(c.Text, size, weight(row.Main), w))+11.6*float64(lines(c.Small, sizeFine, plot.Regular, w)))
		}
		b.room(need + 8)
		b.at(left, b.y, head-4, row.Head, sizeFine, plot.Regular, plot.InkThin)
		for i, c := range row.Cells {
			y := b.at(at(i), b.y, w, c.Text, size, weight(row.Main), plot.InkPen)
			b.at(at(i), y, w, c.Small, sizeFine, plot.Regular, plot.InkThin)
		}
		b.y += need + 5
		b.faint()
		b.y += 6
	}
}

// at sets a text in lines from a place and says where it ended; the column does
// not move.
func (b *book) at(x, y, w float64, s string, size float64, weight plot.Weight, ink plot.Ink) float64 {
	if s == "" {
		return y
	}
	lead := size + 3
	if size == sizeFine {
		lead = 11.6
	}
	for _, line := range plot.Wrap(clean(s), size, weight, w, 12) {
		b.c.Text(plot.Pt(x, y), plot.Text{S: line, Size: size, Weight: weight, Base: plot.CapTop, Ink: ink})
		y += lead
	}
	return y
}

// quoteUndone sets what each option leaves.
func (b *book) quoteUndone(q *view.Quote) {
	b.open(b.r.T("page.options.undone"))
	b.columns(2)
	for _, u := range q.Undone {
		b.section(b.r.T("sheet.quote.leaves", "name", u.Name), 60)
		if len(u.Items) == 0 {
			b.para(b.x, b.w, plot.Text{S: b.r.T("page.options.undone.none"), Size: 10.4}, 13)
		}
		for _, k := range u.Items {
			b.room(13*float64(lines(k.Title, 10.4, plot.Bold, b.w)+min(lines(k.Says, 10.4, plot.Regular, b.w), 4)) + 12)
			b.para(b.x, b.w, plot.Text{S: k.Title, Size: 10.4, Weight: plot.Bold}, 13)
			if k.Act {
				b.para(b.x, b.w, plot.Text{S: b.r.T("page.options.act"), Size: sizeFine, Weight: plot.Bold, Ink: plot.InkOut}, 12)
			}
			b.para(b.x, b.w, plot.Text{S: k.Says, Size: 10.4}, 12.6)
			b.para(b.x, b.w, plot.Text{S: k.Taken, Size: sizeFine, Ink: plot.InkThin}, 12)
			b.y += 6
		}
		for _, s := range u.Open {
			b.para(b.x, b.w, plot.Text{S: s, Size: sizeFine}, 12)
		}
	}
	b.across()
}

// quoteLines sets every line with its price in each option.
func (b *book) quoteLines(q *view.Quote) {
	b.open(b.r.T("page.options.lines"))
	b.para(b.x, b.w, plot.Text{S: b.r.T("page.options.lines.under"), Size: 10.4}, 13)
	b.y += 4
	cols := []column{{width: 16}, {width: 240}}
	for _, n := range q.Names {
		cols = append(cols, column{head: n.Name, width: 150, end: true})
	}
	for _, g := range q.Groups {
		cols[1].head = g.Name
		var rows [][]cell
		for i, l := range g.Rows {
			bold := weight(g.Sum && i == len(g.Rows)-1)
			mark := ""
			if l.Differs {
				mark = "≠"
			}
			name := l.Name
			if l.Small != "" {
				name += " (" + l.Small + ")"
			}
			row := []cell{{text: mark, weight: plot.Bold}, {text: name, weight: bold}}
			for _, c := range l.Cells {
				row = append(row, cell{text: c, weight: bold})
			}
			rows = append(rows, row)
		}
		b.table(cols, rows)
	}
}

// quoteNotes says how all this is meant, and leaves room for two hands.
func (b *book) quoteNotes(q *view.Quote) {
	b.room(190)
	b.section(b.r.T("page.options.meant"), 120)
	for _, s := range q.Notes {
		b.room(26)
		b.c.Line(plot.Pt(left, b.y+4), plot.Pt(left+7, b.y+4), plot.Style{Stroke: plot.InkPen, Line: plot.Narrow})
		b.para(left+14, wide-14, plot.Text{S: s, Size: 10.2}, 12.6)
		b.y += 3
	}
	if q.Digest != "" {
		b.y += 6
		b.pair(left, wide, 130, b.r.T("sheet.quote.code"), q.Code)
		b.pair(left, wide, 130, b.r.T("sheet.quote.digest"), q.Digest)
		b.para(left, wide, plot.Text{S: b.r.T("sheet.quote.code.how"), Size: sizeFine, Ink: plot.InkThin}, 12)
		b.room(60)
		y, w := bottom-22, (wide-32)/2
		for i, k := range []string{"sheet.quote.sign.shop", "sheet.quote.sign"} {
			x := left + float64(i)*(w+32)
			b.c.Line(plot.Pt(x, y), plot.Pt(x+w, y), plot.Style{Stroke: plot.InkPen, Line: plot.Narrow})
			b.c.Text(plot.Pt(x, y+5), plot.Text{S: b.r.T(k), Size: sizeFine, Base: plot.CapTop, Ink: plot.InkThin})
		}
	}
}
