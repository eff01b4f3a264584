package sheet

import (
	"strings"

	"fettle/internal/judge/assess"
	"fettle/internal/show/plot"
	"fettle/internal/show/view"
)

// targets sets the machining sizes, one table a group: what each bore or
// journal measures at its extreme, what is left to take off, what remains.
func (b *book) targets() {
	all := b.Case.TargetsSet(b.r)
	if len(all) == 0 {
		return
	}
	b.chapter(b.r.T("sheet.targets.title"), 260)
	b.para(left, wide, plot.Text{S: b.r.T("sheet.targets.under")}, 14.5)
	b.y += 4
	var calm []int
	for i := range all {
		if b.Case.Assessment.Targets[i].Needed {
			b.target(&all[i], &b.Case.Assessment.Targets[i])
		} else {
			calm = append(calm, i)
		}
	}
	if len(calm) == 0 {
		return
	}
	b.columns(2)
	for _, i := range calm {
		b.calm(&all[i], &b.Case.Assessment.Targets[i])
	}
	b.across()
}

// calm sets a group that needs no cut: what each place measures at its extreme.
func (b *book) calm(t *view.Target, of *assess.Target) {
	b.section(t.Group, 60+13*float64(len(t.Places)/2))
	m := plot.Mark{Verdict: plot.Verdict(t.Plate.Verdict), Word: clean(t.Plate.Word)}
	m.Draw(b.c, plot.Pt(b.x, b.y-4))
	b.y += 20
	b.para(b.x, b.w, plot.Text{S: t.Why}, 13.5)
	b.para(b.x, b.w, plot.Text{S: b.r.T("sheet.target.calm", "what", t.SizeHead), Size: sizeFine, Ink: plot.InkThin}, 12)
	var items []item
	for i, p := range t.Places {
		k := one(p.Part.Text, p.Extreme)
		k.tail = b.r.T("sheet.target.at", "place", b.indices(of.Places[i].Position))
		items = append(items, k)
	}
	b.grid(items, 0)
	b.y += 4
}

func (b *book) target(t *view.Target, of *assess.Target) {
	r := b.r
	b.section(t.Group, 110)
	from := b.y
	m := plot.Mark{Verdict: plot.Verdict(t.Plate.Verdict), Word: clean(t.Plate.Word)}
	m.Draw(b.c, plot.Pt(left, b.y-4))
	b.y += 21
	b.para(left, wide*0.52, plot.Text{S: t.Why}, 13.5)
	foot := b.y
	b.y = from
	for _, p := range [][2]string{{"step", t.Step}, {"size", t.Size}, {"allowance", t.Allow}, {"governs", t.Governs.Text}} {
		b.pair(left+wide*0.56, wide*0.44, 104, r.T("sheet.target."+p[0]), p[1])
	}
	b.y = max(b.y, foot) + 6
	cols := []column{{r.T("sheet.col.part"), 20, false}, {t.SizeHead, 15, true}, {r.T("sheet.col.worst"), 12, false}, {r.T("sheet.col.cleans"), 13, true}, {r.T("sheet.col.stock"), 13, true}}
	if t.Walls {
		cols = append(cols, column{r.T("sheet.col.wall"), 14, true})
	}
	if t.Bridges {
		cols = append(cols, column{r.T("sheet.col.bridge"), 14, true})
	}
	var rows [][]cell
	for i, p := range t.Places {
		row := texts(p.Part.Text, p.Extreme, b.indices(of.Places[i].Position), p.CleansUp, p.Stock)
		row[0].weight = plot.Bold
		if t.Walls {
			row = append(row, cell{text: p.Wall, verdict: plot.Verdict(p.WallPlate.Verdict)})
		}
		if t.Bridges {
			row = append(row, cell{text: p.Bridge, verdict: plot.Verdict(p.BridgePlate.Verdict)})
		}
		rows = append(rows, row)
	}
	b.table(cols, rows)
}

// indices is the end of a position behind its characteristic.
func (b *book) indices(position string) string {
	if i, ok := b.Case.Layout.Find(position); ok {
		return strings.Join(b.Case.Layout.Places[i].At, "/")
	}
	return position
}
