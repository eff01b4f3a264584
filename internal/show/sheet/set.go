package sheet

import (
	"fettle/internal/show/plot"
)

// para sets a text in lines of a width from x, and moves down past it. Where
// the column ends it goes on at the same place of the next.
func (b *book) para(x, w float64, t plot.Text, lead float64) {
	if t.S == "" {
		return
	}
	size := t.Size
	if size == 0 {
		size = plot.SizeSmall
	}
	t.Base = plot.CapTop
	for _, line := range plot.Wrap(clean(t.S), size, t.Weight, w, 60) {
		was := b.x
		b.room(lead)
		x += b.x - was
		t.S = line
		b.c.Text(plot.Pt(x, b.y), t)
		b.y += lead
	}
}

// lines is how many lines para would set.
func lines(s string, size float64, weight plot.Weight, w float64) int {
	if s == "" {
		return 0
	}
	return len(plot.Wrap(clean(s), size, weight, w, 60))
}

// section sets a heading within a sheet, kept with at least keep below it.
func (b *book) section(s string, keep float64) {
	b.room(26 + keep)
	if b.y > b.head {
		b.y += 8
	}
	b.rule(plot.Narrow)
	b.y += 7
	b.para(b.x, b.w, plot.Text{S: s, Size: plot.SizeText, Weight: plot.Bold}, 17)
	b.y += 4
}

// rule draws a line across the column.
func (b *book) rule(l plot.Line) {
	b.c.Line(plot.Pt(b.x, b.y), plot.Pt(b.x+b.w, b.y), plot.Style{Stroke: plot.InkPen, Line: l})
}

// faint draws a hairline across the column, never meaning alone.
func (b *book) faint() {
	b.c.Line(plot.Pt(b.x, b.y), plot.Pt(b.x+b.w, b.y), plot.Style{Stroke: plot.InkFaint, Line: plot.Hair})
}

// pair sets a caption with its text beside it, in at most four lines.
func (b *book) pair(x, w, indent float64, caption, text string) {
	if text == "" {
		return
	}
	b.room(15)
	b.c.Text(plot.Pt(x, b.y), plot.Text{S: plot.Fit(clean(caption), sizeFine, plot.Regular, indent-8), Size: sizeFine, Base: plot.CapTop, Ink: plot.InkThin})
	for _, line := range plot.Wrap(clean(text), plot.SizeSmall, plot.Regular, w-indent, 4) {
		b.c.Text(plot.Pt(x+indent, b.y), plot.Text{S: line, Base: plot.CapTop})
		b.y += 14.5
	}
}

// column is one column of a table. End is true for figures.
type column struct {
	head  string
	width float64
	end   bool
}

// cell is one cell: text, and a mark before it where a verdict is given.
type cell struct {
	text    string
	verdict plot.Verdict
	weight  plot.Weight
}

func texts(s ...string) []cell {
	out := make([]cell, len(s))
	for i := range s {
		out[i].text = s[i]
	}
	return out
}

// fit scales the widths of columns to the sheet.
func fit(cols []column) []column {
	sum := 0.0
	for _, c := range cols {
		sum += c.width
	}
	out := append([]column(nil), cols...)
	for i := range out {
		out[i].width *= wide / sum
	}
	return out
}

// table sets rows under a head that stands again on every sheet. Cells wrap to
// at most three lines.
func (b *book) table(cols []column, rows [][]cell) {
	cols = fit(cols)
	b.room(44)
	b.tableHead(cols)
	for _, row := range rows {
		b.tableRow(cols, row)
	}
	b.y += 8
}

func (b *book) tableHead(cols []column) {
	n := 1
	for _, c := range cols {
		n = max(n, len(plot.Wrap(c.head, sizeFine, plot.Regular, c.width-8, 2)))
	}
	x := left
	for _, c := range cols {
		for i, line := range plot.Wrap(c.head, sizeFine, plot.Regular, c.width-8, 2) {
			b.put(x, b.y+11*float64(i), c, line, plot.Text{Size: sizeFine, Ink: plot.InkThin})
		}
		x += c.width
	}
	b.y += 11*float64(n) + 1
	b.rule(plot.Narrow)
	b.y += 5
}

func (b *book) tableRow(cols []column, row []cell) {
	n := 1
	wrapped := make([][]string, len(row))
	for i, k := range row {
		w := cols[i].width - 8
		if k.verdict != "" {
			w -= 16
		}
		wrapped[i] = plot.Wrap(clean(k.text), plot.SizeSmall, k.weight, w, 3)
		n = max(n, len(wrapped[i]))
	}
	h := 13*float64(n) + 3
	if b.room(h) {
		b.tableHead(cols)
	}
	x := left
	for i, k := range row {
		at := x
		if k.verdict != "" {
			plot.Sign(b.c, plot.Pt(x+6, b.y+4), 5.4, k.verdict)
			at += 16
		}
		c := cols[i]
		c.width -= at - x
		for j, line := range wrapped[i] {
			b.put(at, b.y+13*float64(j), c, line, plot.Text{Weight: k.weight})
		}
		x += cols[i].width
	}
	b.y += h
	b.c.Line(plot.Pt(left, b.y-4), plot.Pt(right, b.y-4), plot.Style{Stroke: plot.InkFaint, Line: plot.Hair})
}

// put sets one line in a column.
func (b *book) put(x, y float64, c column, s string, t plot.Text) {
	t.S, t.Base = s, plot.CapTop
	if c.end {
		x, t.Anchor = x+c.width-8, plot.End
	}
	b.c.Text(plot.Pt(x, y), t)
}
