package sheet

import (
	"fettle/internal/judge/assess"
	"fettle/internal/show/plot"
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
