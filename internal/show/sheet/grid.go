package sheet

import "fettle/internal/show/plot"

// item is what stands at one place: its name, one or more figures, and a tail
// behind them.
type item struct {
	label string
	parts []part
	tail  string
}

// part is one figure of an item. One that is void is struck through.
type part struct {
	text       string
	bold, void bool
}

const partGap = 5.0

func one(label, text string) item { return item{label: label, parts: []part{{text: text}}} }

// lead of the lines of a grid.
const gridLead = 8.8

// width is how wide the pieces of an item are at the size of notes.
func (k item) width() (label, text, tail float64) {
	if k.tail != "" {
		tail = 4 + plot.Width(k.tail, sizeNote, plot.Regular)
	}
	for i, p := range k.parts {
		if i > 0 {
			text += partGap
		}
		text += plot.Width(p.text, sizeNote, weight(p.bold))
	}
	return plot.Width(k.label, sizeNote, plot.Regular), text, tail
}

// cleaned is the item with letters that can be measured and drawn.
func (k item) cleaned() item {
	k.label, k.tail = clean(k.label), clean(k.tail)
	k.parts = append([]part(nil), k.parts...)
	for i := range k.parts {
		k.parts[i].text = clean(k.parts[i].text)
	}
	return k
}

// grid sets items in as many columns as fit, figures under figures.
func (b *book) grid(items []item, in float64) {
	if len(items) == 0 {
		return
	}
	var labelW, textW, tailW float64
	for i := range items {
		items[i] = items[i].cleaned()
		l, t, e := items[i].width()
		labelW, textW, tailW = max(labelW, l), max(textW, t), max(tailW, e)
	}
	room := b.w - in
	labelW = min(labelW, room*0.5)
	each := labelW + 5 + textW + tailW + 10
	per := max(1, int((room+10)/each))
	if per >= 3 {
		each = (room + 10) / float64(per)
	}
	for i, k := range items {
		if i%per == 0 {
			if i > 0 {
				b.y += gridLead
			}
			b.room(gridLead)
		}
		x := b.x + in + each*float64(i%per)
		k.label = plot.Fit(k.label, sizeNote, plot.Regular, labelW)
		_, w, _ := k.width()
		b.item(k, x, x+labelW+5+textW-w)
	}
	b.y += gridLead
}

// item draws one item: label at x, text at y.
func (b *book) item(k item, x, at float64) {
	b.c.Text(plot.Pt(x, b.y), plot.Text{S: k.label, Size: sizeNote, Base: plot.CapTop, Ink: plot.InkThin})
	end := at
	for i, p := range k.parts {
		if i > 0 {
			end += partGap
		}
		b.c.Text(plot.Pt(end, b.y), plot.Text{S: p.text, Size: sizeNote, Weight: weight(p.bold), Base: plot.CapTop})
		w := plot.Width(p.text, sizeNote, weight(p.bold))
		if p.void {
			y := b.y + sizeNote*0.36
			b.c.Line(plot.Pt(end-1, y), plot.Pt(end+w+1, y), plot.Style{Stroke: plot.InkOut, Line: plot.Narrow})
		}
		end += w
	}
	if k.tail != "" {
		b.c.Text(plot.Pt(end+4, b.y), plot.Text{S: k.tail, Size: sizeNote, Base: plot.CapTop, Ink: plot.InkThin})
	}
}

// piece is a stretch of words in a running line.
type piece struct {
	text string
	ink  plot.Ink
	bold bool
}

// run sets words and then items in running lines, an item never broken.
func (b *book) run(head []piece, items []item) {
	x := 0.0
	down := func() {
		b.y += gridLead
		b.room(gridLead)
		x = 0
	}
	b.room(2 * gridLead)
	space := plot.Width(" ", sizeNote, plot.Regular)
	for _, p := range head {
		for _, word := range words(clean(p.text)) {
			word = plot.Fit(word, sizeNote, weight(p.bold), b.w)
			w := plot.Width(word, sizeNote, weight(p.bold))
			if x > 0 && x+w > b.w {
				down()
			}
			b.c.Text(plot.Pt(b.x+x, b.y), plot.Text{S: word, Size: sizeNote, Weight: weight(p.bold), Ink: p.ink, Base: plot.CapTop})
			x += w + space
		}
		x += 3
	}
	for _, k := range items {
		k = k.cleaned()
		l, t, e := k.width()
		gap := 4.0
		if k.label == "" || len(k.parts) == 0 {
			gap = 0
		}
		if x > 0 && x+l+gap+t+e > b.w {
			down()
		}
		k.label = plot.Fit(k.label, sizeNote, plot.Regular, b.w-t-e-gap)
		l, _, _ = k.width()
		b.item(k, b.x+x, b.x+x+l+gap)
		x += l + gap + t + e + 9
	}
	b.y += gridLead
}
