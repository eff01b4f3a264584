package sheet

import (
	"fettle/internal/judge/assess"
	"fettle/internal/show/plot"
	"fettle/internal/show/view"
)

// Plots draws the separate plots of a job as SVG files by name: profiles of
// bores, alignments, maps of faces, values a cylinder, and for each system the limit
// bars of what was worked out and of every reading that is not in. Names and bytes are the same for the same input.
func Plots(in Input) map[string][]byte {
	out := map[string][]byte{}
	d := drawer{in.Case, in.Reader}
	for _, f := range d.figures("") {
		w, h := 720.0, 320.0
		if f.narrow {
			w, h = 320, 380
		}
		s := plot.NewSVG(w, h+22, f.title)
		c := cleaned{s}
		c.Text(plot.Pt(12, 8), plot.Text{S: f.title, Size: plot.SizeText, Weight: plot.Bold, Base: plot.CapTop})
		f.draw(c, plot.Pt(0, 22), w, h)
		out[f.name+".svg"] = []byte(s.File())
	}
	for _, system := range view.SystemOrder() {
		if svg := d.column(system); svg != nil {
			out[fileName("limits", system)+".svg"] = svg
		}
	}
	return out
}

// column draws the limit bars of one system under one another: all that was
// worked out, and the readings that are not in; those that are in fill the table.
func (d drawer) column(system string) []byte {
	var vs []*assess.Value
	for i := range d.c.Layout.Family.Components {
		if comp := &d.c.Layout.Family.Components[i]; comp.System == system {
			for _, v := range d.c.Values(comp.ID) {
				if v.Limit != nil && !v.Check && (v.Derived || v.Verdict != assess.Accept) {
					vs = append(vs, v)
				}
			}
		}
	}
	if len(vs) == 0 {
		return nil
	}
	const w, nameW, barW = 720.0, 330.0, 200.0
	title := d.r.T("page.system." + system)
	s := plot.NewSVG(w, 40+plot.RowHeight*float64(len(vs)), title)
	c := cleaned{s}
	c.Text(plot.Pt(12, 10), plot.Text{S: title, Size: plot.SizeText, Weight: plot.Bold, Base: plot.CapTop})
	for i, v := range vs {
		y := 32 + plot.RowHeight*float64(i)
		mid := y + plot.RowHeight/2
		c.Text(plot.Pt(12, mid), plot.Text{S: plot.Fit(clean(d.c.Place(d.r, v.Position)), plot.SizeSmall, plot.Regular, nameW-20), Base: plot.CapMiddle})
		view.Bar(v).Row(c, plot.Pt(nameW, y), barW)
		c.Text(plot.Pt(nameW+barW+80, mid), plot.Text{S: d.c.Value(d.r, v), Anchor: plot.End, Base: plot.CapMiddle})
		c.Text(plot.Pt(nameW+barW+90, mid), plot.Text{S: d.c.Doubt(d.r, v), Base: plot.CapMiddle, Ink: plot.InkThin})
	}
	return []byte(s.File())
}
