package view

import (
	"strings"

	"fettle/internal/base/unit"
	"fettle/internal/know/family"
	"fettle/internal/know/library"
)

// Family is the page of a family's limits with their sources.
type Family struct {
	Frame
	Note     string
	Facts    []Fact
	Parts    []FamilyPart
	Statuses []Status
	Digest   string
	Drawing  Drawing
	Make     []Link // what can be made of it
}

// Fact is a figure of the engine.
type Fact struct{ Name, Value string }

// Status is a review status with how many limits have it.
type Status struct {
	Name, N string
	Weak    bool
}

// FamilyPart is one component with its characteristics.
type FamilyPart struct {
	Name string
	Rows []FamilyRow
}

// FamilyRow is one limit of a characteristic, or the characteristic alone.
type FamilyRow struct {
	Name, Unit, Gauge, Pattern string
	Range, For, Where          string
	Source, Status             string
	Weak, Same                 bool // Same: further limit of the row above
}

// FamilyPage makes the page of a family.
func (r Reader) FamilyPage(l *family.Layout, lib *library.Library, sketch Sketch) Family {
	f := l.Family
	c := &Case{Layout: l, Library: lib, Sketch: sketch}
	v := Family{Frame: r.frame(f.Name.In(r.Lang), ""), Note: f.Note.In(r.Lang), Digest: lib.Digests[f.ID]}
	v.Under = r.T("page.family.title")
	for _, q := range []struct {
		key string
		q   unit.Quantity
	}{{"bore", f.Engine.Bore}, {"stroke", f.Engine.Stroke}, {"rod", f.Engine.Rod}, {"bore-spacing", f.Engine.BoreSpacing},
		{"main-journal", f.Engine.MainJournal}, {"pin-journal", f.Engine.PinJournal}, {"deck-height", f.Engine.DeckHeight},
		{"compression-height", f.Engine.CompressionHeight}, {"limiter", f.Engine.Limiter}} {
		if !q.q.IsZero() {
			v.Facts = append(v.Facts, Fact{r.T("page.figure." + q.key), r.With(q.q.Text, q.q.Unit)})
		}
	}
	v.Facts = append([]Fact{{r.T("page.figure.cylinders"), r.Int(f.Engine.Cylinders)}}, v.Facts...)
	n := map[string]int{}
	for i := range f.Components {
		comp := &f.Components[i]
		p := FamilyPart{Name: comp.Name.In(r.Lang)}
		for k := range f.Characteristics {
			if ch := &f.Characteristics[k]; ch.Component() == comp.ID {
				p.Rows = append(p.Rows, c.familyRows(r, ch, n)...)
			}
		}
		if len(p.Rows) > 0 {
			v.Parts = append(v.Parts, p)
		}
	}
	for _, s := range []string{"manual in hand", "copied table", "common practice", "from memory", "invented for the demo"} {
		if n[s] > 0 {
			v.Statuses = append(v.Statuses, Status{c.status(r, s), r.Int(n[s]), s != "manual in hand" && s != "copied table"})
		}
	}
	v.Make = []Link{{Href: FamilyHref(f.ID) + "/revise", Text: r.T("page.revise.do")}}
	v.Block = append(v.Block, pair(r, "family", f.ID), pair(r, "digest", short12(v.Digest)))
	if f.Revises != "" {
		v.Block = append(v.Block, pair(r, "revises", short12(f.Revises)))
	}
	return v
}

func short12(s string) string {
	if len(s) > 12 {
		return s[:12]
	}
	return s
}

func (c *Case) familyRows(r Reader, ch *family.Characteristic, n map[string]int) []FamilyRow {
	base := FamilyRow{Name: ch.Name.In(r.Lang), Unit: ch.Unit}
	var dims []string
	for _, d := range ch.Per {
		dims = append(dims, c.dimension(r, d))
	}
	base.Pattern = strings.Join(dims, " × ")
	if len(ch.Gauges) > 0 {
		if g, ok := c.Library.Instruments[ch.Gauges[0]]; ok {
			base.Gauge = g.Name.In(r.Lang)
		}
	} else if ch.Relation != "" {
		base.Gauge = r.T("page.family.derived", "relation", r.relation(ch.Relation))
	}
	if len(ch.Limits) == 0 {
		return []FamilyRow{base}
	}
	var out []FamilyRow
	for i := range ch.Limits {
		l := &ch.Limits[i]
		n[string(l.Status)]++
		row := base
		row.Same = i > 0
		row.Range, row.For = r.limitRange(l), r.or("page.limit."+l.For, l.For)
		row.Source, row.Status = c.source(string(l.Source)), c.status(r, string(l.Status))
		row.Weak = l.Status != "manual in hand" && l.Status != "copied table"
		row.Where = c.whereLimit(r, l)
		out = append(out, row)
	}
	return out
}

// dimension names a dimension in words.
func (c *Case) dimension(r Reader, d string) string {
	if key := "page.per." + d; r.Book.Has(key) {
		return r.T(key)
	}
	if k := c.Layout.Dims[d]; k != nil && len(k.Words) > 0 {
		return k.Words.In(r.Lang)
	}
	return strings.ReplaceAll(d, "-", " ")
}

func (r Reader) limitRange(l *family.Limit) string {
	lo, hi, u := l.Min.Text, l.Max.Text, l.Max.Unit
	if l.Max.IsZero() {
		u = l.Min.Unit
	}
	if lo != "" && hi != "" && l.Min.Unit != l.Max.Unit {
		return r.With(lo, l.Min.Unit) + " … " + r.With(hi, l.Max.Unit)
	}
	return r.between(lo, hi, u, l.Must)
}

// whereLimit says for which places a limit holds, in the order of its names.
func (c *Case) whereLimit(r Reader, l *family.Limit) string {
	var out []string
	for _, d := range sortedNames(l.Where) {
		var vals []string
		for _, v := range l.Where[d] {
			vals = append(vals, c.index(r, d, v))
		}
		out = append(out, strings.Join(vals, ", "))
	}
	return strings.Join(out, "; ")
}

func sortedNames(m map[string][]string) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	for i := 1; i < len(out); i++ {
		for k := i; k > 0 && out[k] < out[k-1]; k-- {
			out[k], out[k-1] = out[k-1], out[k]
		}
	}
	return out
}
