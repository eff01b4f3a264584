package sheet

import (
	"fettle/internal/judge/assess"
	"fettle/internal/know/family"
	"fettle/internal/show/plot"
	"fettle/internal/show/view"
)

// parts sets the engine part by part, in the order in which it is gone
// through: what follows from the readings first, then the readings that have
// limits of their own, then the plots.
func (b *book) parts() {
	begun := false
	for _, system := range view.SystemOrder() {
		named := false
		for i := range b.Case.Layout.Family.Components {
			comp := &b.Case.Layout.Family.Components[i]
			chars := b.withoutSettings(comp.ID)
			if comp.System != system || !anything(chars) {
				continue
			}
			if !begun {
				begun = true
				if b.cols < 2 {
					b.columns(2)
				}
				b.chapter(b.r.T("sheet.parts.title"), 150)
				b.para(b.x, b.w, plot.Text{S: b.r.T("sheet.parts.under"), Size: sizeFine, Ink: plot.InkThin}, 11.5)
				b.y += 4
			}
			if !named {
				named = true
				b.section(b.word("page.system."+system, system), 120)
			}
			b.component(comp, chars)
		}
	}
	b.part = ""
}

// withoutSettings lists the characteristics of a component that do not stand
// among the settings.
func (b *book) withoutSettings(component string) [][]*assess.Value {
	var out [][]*assess.Value
	for _, vs := range b.byCharacteristic(component) {
		if settingOf(vs[0].Place.Char) == "" {
			out = append(out, vs)
		}
	}
	return out
}

func anything(chars [][]*assess.Value) bool {
	for _, vs := range chars {
		if measured(vs) {
			return true
		}
	}
	return false
}

// component sets one component.
func (b *book) component(comp *family.Component, chars [][]*assess.Value) {
	name := comp.Name.In(b.r.Lang)
	b.room(70)
	b.part = comp.ID
	b.on(comp.ID)
	var all []*assess.Value
	for _, vs := range b.byCharacteristic(comp.ID) {
		all = append(all, vs...)
	}
	x := b.counts(b.x+b.w, b.y+5, all)
	b.c.Text(plot.Pt(b.x, b.y), plot.Text{S: plot.Fit(clean(name), plot.SizeSmall, plot.Bold, x-b.x-6), Weight: plot.Bold, Base: plot.CapTop})
	b.y += 13
	b.faint()
	b.y += 6
	for _, derived := range []bool{true, false} {
		for _, vs := range chars {
			if (vs[0].Place.Char.Relation != "") == derived {
				b.values(vs, derived)
			}
		}
	}
	b.quietOnes(chars)
	b.plots(drawer{b.Case, b.r}.figures(comp.ID))
	b.seen(comp.ID)
	b.y += 5
}

// values sets one characteristic. Readings without limits stand in the
// appendix only, what is quiet in one text.
func (b *book) values(vs []*assess.Value, derived bool) {
	if !measured(vs) || quiet(vs) {
		return
	}
	for _, v := range vs {
		if v.Limit != nil {
			b.pattern(vs)
			return
		}
	}
	if derived {
		b.pattern(vs)
	}
}

// small is how much smaller than natural a figure is drawn in a column.
const small = 0.8

// plots sets figures: narrow ones side by side under one title.
func (b *book) plots(all []figure) {
	for i := 0; i < len(all); {
		n, h := 1, max(116.0, all[i].high)
		if all[i].narrow {
			h = 142
			for n < 3 && i+n < len(all) && all[i+n].narrow {
				n++
			}
		}
		b.room(h + 16)
		w := b.w / float64(n)
		if all[i].narrow {
			w = b.w / 3
		}
		b.y += 4
		if s := all[i].kind; s != "" && (i == 0 || all[i-1].kind != s) {
			b.room(h + 30)
			b.para(b.x, b.w, plot.Text{S: s, Size: sizeFine, Weight: plot.Bold}, 13)
		}
		for k := range n {
			f := all[i+k]
			x, title := b.x+w*float64(k), f.short
			if title == "" {
				title = f.title
			}
			b.c.Text(plot.Pt(x, b.y), plot.Text{S: plot.Fit(clean(title), sizeFine, weight(f.kind == ""), w-6), Size: sizeFine, Weight: weight(f.kind == ""), Base: plot.CapTop})
			f.draw(b.scaled(x, b.y+6, small), plot.Pt(0, 0), w/small, h/small)
		}
		b.y += h + 8
		i += n
	}
}
