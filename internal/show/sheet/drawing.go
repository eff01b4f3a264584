package sheet

import (
	"strings"

	"fettle/internal/know/family"
	"fettle/internal/show/draw"
	"fettle/internal/show/plot"
)

// engine sets the drawing of the whole engine on the certificate: each
// component with the verdict that asks for most attention.
func (b *book) engine(room float64) {
	marks := draw.Marks{}
	for i := range b.Case.Layout.Family.Components {
		comp := &b.Case.Layout.Family.Components[i]
		if v := b.gravest(comp); v != "" {
			marks[comp.ID] = draw.Mark{Verdict: v, Title: clean(comp.Name.In(b.r.Lang))}
		}
	}
	opt := b.options()
	w, h := draw.EngineSize(b.Case.Layout, marks, opt)
	k := min(wide/w, room/h, 1)
	if k < 0.6 || len(marks) == 0 {
		return
	}
	draw.Engine(b.scaled(left+(wide-w*k)/2, b.y, k), b.Case.Layout, marks, opt)
	b.y += h * k
}

// drawings sets the drawings that a person looks things up on, one sheet of
// them: of the kinds that hold most places, with every place marked.
func (b *book) drawings() {
	type drawn struct {
		comp  *family.Component
		marks draw.Marks
		w, h  float64
	}
	var all []drawn
	opt, high := b.options(), 0.0
	for _, kind := range []string{"face", "crank"} {
		for i := range b.Case.Layout.Family.Components {
			comp := &b.Case.Layout.Family.Components[i]
			marks := b.marks(comp.ID)
			if comp.Drawing != kind || len(marks) == 0 || kind == "face" && comp.System != "head" {
				continue
			}
			w, h := draw.Size(b.Case.Layout, comp.ID, opt)
			all = append(all, drawn{comp, marks, w, h})
			high += h
			break
		}
	}
	if len(all) == 0 {
		return
	}
	b.open(b.r.T("sheet.drawings.title"))
	b.para(b.x, b.w, plot.Text{S: b.r.T("sheet.drawings.under"), Size: sizeFine, Ink: plot.InkThin}, 11.5)
	k := min(wide/760, max(0.8, (bottom-b.y-24*float64(len(all)))/high))
	for _, d := range all {
		b.part = d.comp.ID
		b.room(d.h*k + 20)
		b.on(d.comp.ID)
		b.y += 6
		b.c.Text(plot.Pt(left, b.y), plot.Text{S: clean(d.comp.Name.In(b.r.Lang)), Size: 12, Weight: plot.Bold, Base: plot.CapTop})
		b.y += 12
		draw.Part(b.scaled(left+(wide-d.w*k)/2, b.y, k), b.Case.Layout, d.comp.ID, d.marks, opt)
		b.y += d.h * k
	}
	b.part = ""
}

// marks are the verdicts of a component's positions, and plain dots where
// something was measured to which no limit applies.
func (b *book) marks(component string) draw.Marks {
	out := draw.Marks{}
	for _, v := range b.Case.Values(component) {
		if v.Verdict != "" || !v.Derived {
			out[v.Position] = draw.Mark{Verdict: plot.Verdict(v.Verdict)}
		}
	}
	return out
}

// gravest is the verdict of a component that asks for most attention, "" where
// it has no value.
func (b *book) gravest(comp *family.Component) plot.Verdict {
	out := plot.Verdict("")
	rank := map[plot.Verdict]int{plot.Accept: 1, plot.Unmeasured: 2, plot.Undecided: 3, plot.Reject: 4}
	for _, v := range b.Case.Values(comp.ID) {
		if k := plot.Verdict(v.Verdict); rank[k] > rank[out] {
			out = k
		}
	}
	return out
}

// options draws figures as the reader writes them.
func (b *book) options() draw.Options {
	return draw.Options{Figure: func(s string) string { return strings.ReplaceAll(b.r.Num(s), "\u202f", "\u00a0") }}
}

// scaled is a canvas with its origin at a place of the sheet.
func (b *book) scaled(x, y, k float64) plot.Canvas {
	return cleaned{plot.NewPDF(b.doc, x*plot.NaturalMM, y*plot.NaturalMM, k*plot.NaturalMM)}
}
