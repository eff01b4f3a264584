package sheet

import (
	"fettle/internal/judge/assess"
	"fettle/internal/show/plot"
	"fettle/internal/show/view"
)

// alike groups values that stand against the same limits.
func alike(vs []*assess.Value) [][]*assess.Value {
	var out [][]*assess.Value
	at := map[string]int{}
	for _, v := range vs {
		key := ""
		if v.Limit != nil {
			key = v.Limit.Min + "|" + v.Limit.Max + "|" + v.Limit.Must
		}
		i, ok := at[key]
		if !ok {
			i = len(out)
			at[key] = i
			out = append(out, nil)
		}
		out[i] = append(out[i], v)
	}
	return out
}

// strip sets values with common limits: the name on the left, the bar, on the
// right the stretch they cover. What follows from readings, and what is not in,
// has its limits under the name; limits of plain readings stand with them in
// the appendix. A later group of the same characteristic is named by its first
// place.
func (b *book) strip(vs []*assess.Value, first bool) {
	least, lo, hi := ends(vs)
	name := vs[0].Place.Char.Name.In(b.r.Lang)
	if !first {
		name = b.r.T("sheet.strip.from", "place", b.place(vs[0]))
	}
	const lead = 10.2
	room := b.w - barW - valueW - 6
	under := ""
	if l := b.Case.Limits(b.r, vs[0]); l != nil && (vs[0].Derived || !allIn(vs)) {
		under = l.Range
	}
	h := plot.RowHeight - 2
	var mid float64
	if under == "" {
		if named := plot.Wrap(clean(name), sizeFine, plot.Regular, room, 2); len(named) == 1 {
			b.room(h)
			mid = b.y + h/2
			b.c.Text(plot.Pt(b.x, mid), plot.Text{S: named[0], Size: sizeFine, Base: plot.CapMiddle})
		} else {
			h = 2*lead + 4
			b.room(h)
			mid = b.y + h/2
			for i, s := range named {
				b.c.Text(plot.Pt(b.x, b.y+2+lead*float64(i)), plot.Text{S: s, Size: sizeFine, Base: plot.CapTop})
			}
		}
	} else {
		named := plot.Wrap(clean(name), sizeFine, plot.Regular, b.w-8, 2)
		h = lead*float64(len(named)) + 16
		b.room(h)
		for i, s := range named {
			b.c.Text(plot.Pt(b.x, b.y+3+lead*float64(i)), plot.Text{S: s, Size: sizeFine, Base: plot.CapTop})
		}
		mid = b.y + h - 8
		b.c.Text(plot.Pt(b.x, mid), plot.Text{S: plot.Fit(clean(under), sizeNote, plot.Regular, room), Size: sizeNote, Base: plot.CapMiddle, Ink: plot.InkThin})
	}
	b.stripBar(vs, least, plot.Pt(b.x+room+6, mid-plot.RowHeight/2))
	b.c.Text(plot.Pt(b.x+b.w, mid), plot.Text{S: plot.Fit(clean(b.stretch(lo, hi)), sizeNote, plot.Regular, valueW), Size: sizeNote, Anchor: plot.End, Base: plot.CapMiddle})
	b.y += h
}

// stretch says from where to where values reach.
func (b *book) stretch(lo, hi *assess.Value) string {
	if lo.Y == hi.Y {
		return b.Case.Value(b.r, hi)
	}
	return b.r.T("sheet.strip.range", "low", b.r.Num(lo.Y), "high", b.Case.Value(b.r, hi))
}

// stripBar draws the bar with a tick for each value.
func (b *book) stripBar(vs []*assess.Value, least *assess.Value, at plot.Point) {
	if least.Check {
		b.mark(least, at)
		return
	}
	if least.Limit == nil {
		return
	}
	bar := view.Bar(least)
	if len(vs) > 1 {
		for _, v := range vs {
			bar.Repeats = append(bar.Repeats, v.SI)
		}
	}
	bar.Row(b.c, at, barW)
}

// ends picks of several values the one that is least sure to be in, the least
// and the greatest.
func ends(vs []*assess.Value) (least, lo, hi *assess.Value) {
	least, lo, hi = vs[0], vs[0], vs[0]
	for _, v := range vs {
		if v.Check && !v.Pass || v.Conform != "" && view.Less(v.Conform, least.Conform) {
			least = v
		}
		if v.SI < lo.SI {
			lo = v
		}
		if v.SI > hi.SI {
			hi = v
		}
	}
	return least, lo, hi
}
