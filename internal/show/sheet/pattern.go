package sheet

import (
	"strings"

	"fettle/internal/judge/assess"
	"fettle/internal/show/plot"
	"fettle/internal/show/view"
)

// shownOdd is how many values that are not in stand one by one.
const shownOdd = 12

// byCharacteristic lists the latest values of a component by characteristic,
// in pattern order.
func (b *book) byCharacteristic(component string) [][]*assess.Value {
	if b.chars == nil {
		b.sortOut()
	}
	return b.chars[component]
}

// sortOut puts the values of the whole engine by component and characteristic.
func (b *book) sortOut() {
	b.chars = map[string][][]*assess.Value{}
	var vs []*assess.Value
	flush := func() {
		if len(vs) > 0 {
			id := vs[0].Place.Char.Component()
			b.chars[id] = append(b.chars[id], vs)
		}
		vs = nil
	}
	for _, v := range b.Case.Values("") {
		switch n := len(vs); {
		case v.Place == nil:
			continue
		case n > 0 && vs[n-1].Position == v.Position: // a later state of the same place
			vs[n-1] = v
			continue
		case n > 0 && vs[n-1].Place.Char != v.Place.Char:
			flush()
		}
		vs = append(vs, v)
	}
	flush()
}

// measured says whether any of the values is there.
func measured(vs []*assess.Value) bool {
	for _, v := range vs {
		if v.Has {
			return true
		}
	}
	return false
}

// pattern sets the values of one characteristic: one bar that carries all of
// them as ticks, with the mark at the one that is least sure, then a bar for
// each value that is not in.
func (b *book) pattern(vs []*assess.Value) {
	var has, odd []*assess.Value
	for _, v := range vs {
		if !v.Has {
			continue
		}
		has = append(has, v)
		if v.Verdict != assess.Accept && v.Verdict != "" && len(vs) > 1 {
			odd = append(odd, v)
		}
	}
	more := max(0, len(odd)-shownOdd)
	odd = odd[:len(odd)-more]
	groups := alike(has)
	if len(odd) > 0 {
		b.room(26 + plot.RowHeight*float64(min(len(odd), 4)+len(groups)-1))
	}
	for i, g := range groups {
		b.strip(g, i == 0)
	}
	for _, v := range odd {
		b.bar(v, 14, b.place(v))
	}
	if more > 0 {
		b.para(b.x+14, b.w-14, plot.Text{S: b.r.N("sheet.pattern.more", more), Size: sizeFine, Ink: plot.InkThin}, 12)
	}
}

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
	mid := b.y + h/2
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

// each sets the value of every place of a characteristic, place by place.
func (b *book) each(vs []*assess.Value) {
	if len(vs) < 2 {
		return
	}
	var items []item
	for _, v := range vs {
		if v.Has {
			items = append(items, item{label: b.place(v), parts: []part{{text: b.r.Num(b.checked(v)), bold: v.Verdict == assess.Reject}}})
		}
	}
	b.grid(items, 14)
	b.y += 4
}

func (b *book) checked(v *assess.Value) string {
	if v.Check {
		return b.word("page.check."+v.Y, v.Y)
	}
	return v.Y
}

// counts sets the number of each verdict, ending at x, and returns where it
// begins.
func (b *book) counts(x, y float64, vs []*assess.Value) float64 {
	n := map[assess.Verdict]int{}
	for _, v := range vs {
		n[v.Verdict]++
	}
	for _, v := range []assess.Verdict{assess.Unmeasured, assess.Reject, assess.Undecided, assess.Accept} {
		if n[v] == 0 {
			continue
		}
		s := b.r.Int(n[v])
		b.c.Text(plot.Pt(x, y), plot.Text{S: s, Size: sizeFine, Anchor: plot.End, Base: plot.CapMiddle})
		x -= plot.Width(clean(s), sizeFine, plot.Regular) + 9
		plot.Sign(b.c, plot.Pt(x, y), 5, plot.Verdict(v))
		x -= 12
	}
	return x
}

func contains(list []string, s string) bool {
	for _, v := range list {
		if v == s {
			return true
		}
	}
	return false
}

// few is up to how many places a characteristic that is in stands in a list.
const few = 6

// quiet says that a characteristic needs no row of its own: a check that all
// places passed, or a plain reading at few places that are all in.
func quiet(vs []*assess.Value) bool {
	return allIn(vs) && (vs[0].Check || !vs[0].Derived && len(vs) <= few)
}

// quietOnes names what is in and has no row, in two texts: checks that passed,
// and readings with the stretch they cover.
func (b *book) quietOnes(chars [][]*assess.Value) {
	var passed, in []string
	for _, vs := range chars {
		name := vs[0].Place.Char.Name.In(b.r.Lang)
		switch {
		case !quiet(vs):
		case vs[0].Check:
			passed = append(passed, b.r.T("sheet.passed.one", "name", name, "n", b.r.Int(len(vs))))
		default:
			_, lo, hi := ends(vs)
			in = append(in, b.r.T("sheet.in.one", "name", name, "value", b.stretch(lo, hi)))
		}
	}
	if len(in)+len(passed) > 0 {
		b.y += 3
	}
	if len(in) > 0 {
		b.para(b.x, b.w, plot.Text{S: b.r.T("sheet.in", "list", strings.Join(in, "; ")), Size: sizeNote}, 10.2)
		b.y += 3
	}
	if len(passed) > 0 {
		b.para(b.x, b.w, plot.Text{S: b.r.T("sheet.passed", "list", strings.Join(passed, "; ")), Size: sizeNote, Ink: plot.InkThin}, 10.2)
		b.y += 3
	}
}

// allIn says that every place has a value and none is out or undecided.
func allIn(vs []*assess.Value) bool {
	for _, v := range vs {
		if v.Verdict != assess.Accept {
			return false
		}
	}
	return true
}
