package view

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"fettle/internal/base/unit"
	"fettle/internal/judge/assess"
	"fettle/internal/judge/foresee"
	"fettle/internal/show/plot"
)

// Consequences is the page of what a cut will do.
type Consequences struct {
	Frame
	Fields   []Slide
	Gaskets  []Choice
	Sizes    []Choice
	Cautions string
	ConsequencesPart
}

// ConsequencesPart is what changes with every move of a slider.
type ConsequencesPart struct {
	Says   []string
	Groups []CutGroup
	Ways   []CutWay
	Outs   []string // other ways out
}

// Slide is one quantity that can be moved.
type Slide struct {
	Name, Label, Unit string
	Least, Most, Step string
	Value, Text       string
	Clear             bool // a clearance
}

// CutGroup is the rows of one thing.
type CutGroup struct {
	Name string
	Rows []CutRow
}

// CutRow is one thing before and after.
type CutRow struct {
	Name          Link
	Before, After string
	Doubt, Range  string
	Bar           Drawing
	Plate         Plate
	Drawn         bool
	Worse         bool // accepted before, no longer
}

// CutWay is one gasket with the same cut.
type CutWay struct {
	Name, Href    string
	Thick         string
	Ratio, Timing string
	Breaks        string
	First         bool
	Chosen        bool
}

// Foresee is what a preview of this job leans on.
func (c *Case) Foresee() *foresee.Engine {
	run, _ := c.Library.Running(c.Layout.Family.ID)
	return &foresee.Engine{Knowledge: assess.Knowledge{Library: c.Library, Layout: c.Layout}, Facts: assess.Facts{Job: c.Job, Shop: c.Shop}, Now: c.Assessment, Running: run}
}

// ConsequencesPage makes the page.
func (c *Case) ConsequencesPage(r Reader, p *foresee.Preview, ways []foresee.Way) Consequences {
	v := Consequences{Frame: c.frame(r, r.T("page.consequences.title"), "consequences", "", c.lastState("")), ConsequencesPart: c.ConsequencesPart(r, p, ways)}
	f := &c.Layout.Family.Engine
	for _, s := range []struct {
		name string
		x    float64
	}{{"head", p.Cut.Head}, {"block", p.Cut.Block}, {"tunnel", p.Cut.Tunnel}} {
		n := unit.Format(s.x, "mm", 2)
		v.Fields = append(v.Fields, Slide{Name: s.name, Label: r.T("page.consequences." + s.name), Unit: "mm", Least: "0", Most: "0.60", Step: "0.01", Value: n, Text: r.With(n, "mm")})
	}
	for _, g := range f.Gaskets {
		v.Gaskets = append(v.Gaskets, Choice{Value: g.ID, Text: c.gasketName(r, g.ID), Chosen: g.ID == p.Cut.Gasket})
	}
	v.Sizes = append(v.Sizes, Choice{Value: "", Text: r.T("page.consequences.asbored"), Chosen: p.Cut.Oversize == ""})
	for _, q := range f.Oversizes {
		v.Sizes = append(v.Sizes, Choice{Value: q.String(), Text: r.With(q.Text, q.Unit), Chosen: q.String() == p.Cut.Oversize})
	}
	return v
}

// gasketName is a gasket of the menu with its thickness.
func (c *Case) gasketName(r Reader, id string) string {
	for _, g := range c.Layout.Family.Engine.Gaskets {
		if g.ID == id {
			return r.or("page.gasket."+id, id) + ", " + r.With(g.Thickness.Text, g.Thickness.Unit)
		}
	}
	return id
}

// ConsequencesPart is what changes with every move.
func (c *Case) ConsequencesPart(r Reader, p *foresee.Preview, ways []foresee.Way) ConsequencesPart {
	v := ConsequencesPart{Says: c.foreseen(r, p)}
	at := map[string]int{}
	for i := range p.Rows {
		row := &p.Rows[i]
		name := r.or("page.consequences.what."+row.What, row.What)
		if row.Position != "" {
			name = c.place(row.Position).Char.Name.In(r.Lang)
		}
		k, ok := at[name]
		if !ok {
			k = len(v.Groups)
			at[name] = k
			v.Groups = append(v.Groups, CutGroup{Name: name})
		}
		v.Groups[k].Rows = append(v.Groups[k].Rows, c.cutRow(r, row, name))
	}
	slices.SortStableFunc(v.Groups, func(a, b CutGroup) int { return cmp.Compare(b.worst(), a.worst()) })
	for i := range ways {
		v.Ways = append(v.Ways, c.cutWay(r, p, &ways[i], i == 0))
	}
	v.Outs = c.outs(r, p)
	return v
}

// worst orders groups: what is out first, then what is not decided.
func (g *CutGroup) worst() int {
	n := 0
	for i := range g.Rows {
		switch g.Rows[i].Plate.Verdict {
		case string(assess.Reject):
			n = 2
		case string(assess.Undecided):
			n = max(n, 1)
		}
	}
	return n
}

// foreseen are the sentences at the head.
func (c *Case) foreseen(r Reader, p *foresee.Preview) []string {
	if p.Cut.Head+p.Cut.Block+p.Cut.Tunnel == 0 && p.Cut.Oversize == "" && p.Drop.Value == 0 {
		return []string{r.T("page.consequences.nothing")}
	}
	var out []string
	mm := func(x float64) string { return r.With(unit.Format(math.Abs(x), "mm", 2), "mm") }
	switch {
	case p.Drop.Value > 1e-9:
		out = append(out, r.T("page.consequences.drop", "drop", mm(p.Drop.Value)))
	case p.Drop.Value < -1e-9:
		out = append(out, r.T("page.consequences.rise", "drop", mm(p.Drop.Value)))
	default:
		out = append(out, r.T("page.consequences.level"))
	}
	if p.Retard.Has && math.Abs(p.Drop.Value) > 1e-9 {
		key := "page.consequences.retard"
		if p.Retard.Value < 0 {
			key = "page.consequences.advance"
		}
		out = append(out, r.T(key, "crank", r.With(unit.Format(math.Abs(p.Retard.Value), "°crank", 2), "°crank"), "doubt", r.With(unit.Format(p.Retard.Expanded(), "°crank", 2), "°crank")))
	} else if p.Moves == "pushrod" || p.Moves == "gear" {
		out = append(out, r.T("page.consequences.moves."+p.Moves))
	}
	if n := len(p.Broken); n > 0 {
		out = append(out, r.N("page.consequences.broken", n))
	}
	return out
}

func (c *Case) cutRow(r Reader, row *foresee.Row, name string) CutRow {
	v := CutRow{Name: Link{Text: name}, Drawn: row.Drawn, Worse: row.Was == assess.Accept && row.Verdict != assess.Accept && row.Verdict != ""}
	if row.Position != "" {
		v.Name = Link{Href: AtHref(c.id(), row.Position, ""), Text: name}
		if q := c.place(row.Position); len(q.At) > 0 {
			v.Name.Text = c.where(r, q.Char.Per, q.At)
		}
	}
	dec := max(row.Decimals, 2)
	text := func(x float64) string { return r.With(unit.Format(x, row.Unit, dec), row.Unit) }
	if row.Before.Has {
		v.Before = text(row.Before.Value)
	}
	v.After = text(row.After.Value)
	if row.After.U > 0 {
		v.Doubt = "± " + r.With(unit.Format(row.After.Expanded(), row.Unit, dec), row.Unit)
	}
	var lo, hi string
	if row.Least != nil {
		lo = unit.Format(*row.Least, row.Unit, dec) + " " + row.Unit
	}
	if row.Most != nil {
		hi = unit.Format(*row.Most, row.Unit, dec) + " " + row.Unit
	}
	v.Range = r.between(lo, hi, row.Unit, "")
	if row.Verdict != "" {
		v.Plate = r.plate(plot.Verdict(row.Verdict))
		b := plot.LimitBar{Min: row.Least, Max: row.Most, Value: &row.After.Value, U: 2 * row.After.U, Verdict: plot.Verdict(row.Verdict)}
		if row.Before.Has {
			b.Repeats = []float64{row.Before.Value}
		}
		v.Bar = Drawing(plot.Inline(plot.RowWidth, plot.RowHeight, "", func(cv plot.Canvas) { b.Row(cv, plot.Point{}, plot.RowWidth) }))
	}
	return v
}

func (c *Case) cutWay(r Reader, p *foresee.Preview, w *foresee.Way, first bool) CutWay {
	cut := p.Cut
	v := CutWay{Name: c.gasketName(r, w.Gasket), First: first, Chosen: w.Gasket == cut.Gasket, Timing: "–", Ratio: "–",
		Href: "?head=" + unit.Format(cut.Head, "mm", 2) + "&block=" + unit.Format(cut.Block, "mm", 2) + "&tunnel=" + unit.Format(cut.Tunnel, "mm", 2) + "&gasket=" + w.Gasket + "&oversize=" + query(cut.Oversize)}
	if w.Ratio > 0 {
		sign := "+"
		if w.Off < 0 {
			sign = ""
		}
		v.Ratio = r.T("page.consequences.ratio", "ratio", r.Num(strconv.FormatFloat(w.Ratio, 'f', 2, 64)), "off", r.Num(sign+strconv.FormatFloat(w.Off, 'f', 2, 64)))
	}
	if w.Retard.Has {
		v.Timing = r.With(unit.Format(w.Retard.Value, "°crank", 2), "°crank")
	}
	seen := map[string]bool{}
	for i := range w.Rows {
		row := &w.Rows[i]
		if row.Verdict != assess.Reject {
			continue
		}
		name := r.or("page.consequences.what."+row.What, row.What)
		if row.Position != "" {
			name = c.place(row.Position).Char.Name.In(r.Lang)
		}
		if !seen[name] {
			seen[name] = true
			if v.Breaks != "" {
				v.Breaks += ", "
			}
			v.Breaks += name
		}
	}
	if v.Breaks == "" {
		v.Breaks = r.T("page.consequences.breaksnone")
	}
	return v
}

// outs are the ways out beside a gasket, where something is broken.
func (c *Case) outs(r Reader, p *foresee.Preview) []string {
	var out []string
	say := func(key string) { out = append(out, r.T("page.consequences.out."+key)) }
	for i := range p.Rows {
		row := &p.Rows[i]
		bad := row.Verdict == assess.Reject || row.Verdict == assess.Undecided
		switch {
		case row.What == "timing" && math.Abs(row.After.Value) > 0.5*math.Pi/180:
			say("timing")
		case row.What == "valve-inlet" && bad, row.What == "valve-exhaust" && bad:
			say(row.What)
		case row.Position == "tensioner/left" && bad:
			say("tensioner")
		case row.Position == "head/height-left" && bad:
			say("height")
		}
	}
	return out
}
