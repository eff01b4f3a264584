package view

import (
	"fettle/internal/judge/assess"
	"fettle/internal/show/plot"
)

// Because is one node of the reasons of a value.
type Because struct {
	Letter   string
	Text     string // what it is, in words
	Href     string
	Value    string
	Plate    Plate
	Relation string // name of the relation in words
	Equation string
	Source   string
	From     []Because
	Open     bool // unfolded at first
}

// deepest is how many steps of reasons stand on one page; further ones are a
// link away.
const deepest = 4

// because makes the tree of reasons under a value.
func (c *Case) because(r Reader, v *assess.Value, depth int) []Because {
	why, _ := c.Assessment.Explain(v)
	if why == nil {
		return nil
	}
	var out []Because
	for _, in := range why.Inputs {
		n := Because{Letter: in.Letter, Value: r.With(in.Value, in.Unit), Open: depth < 1}
		switch {
		case in.Position != "":
			n.Text, n.Href = c.Place(r, in.Position), AtHref(c.id(), in.Position, in.State)
			if below, ok := c.Assessment.Find(in.Position, in.State); ok {
				n.Plate = c.plate(r, below)
				if reason, _ := c.Assessment.Explain(below); reason != nil && depth < deepest {
					n.Relation, n.Equation = r.relation(reason.Relation), reason.Equation
					n.Source = c.source(string(reason.Source))
					n.From = c.because(r, below, depth+1)
				}
			}
		default:
			n.Text = c.cause(r, in.Cause, in.Ref)
			n.under(c, r, in.Because)
		}
		out = append(out, n)
	}
	return out
}

// under hangs the steps below one that is no position, such as a reading that
// was brought to 20 °C.
func (n *Because) under(c *Case, r Reader, b *assess.Because) {
	if b == nil {
		return
	}
	n.Relation, n.Equation, n.Source = r.relation(b.Relation), b.Equation, c.source(string(b.Source))
	for _, in := range b.Inputs {
		m := Because{Letter: in.Letter, Value: r.With(in.Value, in.Unit), Text: c.cause(r, in.Cause, in.Ref)}
		m.under(c, r, in.Because)
		n.From = append(n.From, m)
	}
}

func (r Reader) relation(name string) string { return r.or("page.relation."+name, name) }

// cause names a cause of a value or of its doubt.
func (c *Case) cause(r Reader, cause, ref string) string {
	name := r.or("page.cause."+cause, r.relation(cause))
	if ref == "" {
		return name
	}
	return name + " · " + c.reference(r, cause, ref)
}

func (c *Case) reference(r Reader, cause, ref string) string {
	if c.place(ref) != nil {
		return c.Place(r, ref)
	}
	if fig, ok := cutPrefix(ref, "engine/"); ok {
		return r.or("page.figure."+fig, fig)
	}
	switch cause {
	case "gauge", "linearity", "master", "setting", "resolution", "repeat", "meniscus", "drop":
		return ref // its type stands with the reading
	case "part-temp", "gauge-temp", "room":
		if decimal(ref) {
			return r.With(ref, "°C")
		}
		if c.has(componentOf(ref)) {
			return c.Part(r, ref)
		}
	}
	if m, ok := c.Library.Materials[ref]; ok {
		return m.Name.In(r.Lang)
	}
	return r.Text(ref)
}

func cutPrefix(s, p string) (string, bool) {
	if len(s) > len(p) && s[:len(p)] == p {
		return s[len(p):], true
	}
	return s, false
}

// Share is one cause of doubt as text, beside its bar.
type Share struct{ Cause, U, Part string }

// least is the part of a variance below which a cause is only counted.
const least = 0.001

// budget is the parts of a doubt, drawn and as text. Causes that make up less
// than a thousandth stand in one line at the end.
func (c *Case) budget(r Reader, v *assess.Value) (svg Drawing, rows []Share, rest string) {
	var b plot.Budget
	_, parts := c.Assessment.Explain(v)
	small := 0
	for i, s := range parts {
		if i > 0 && s.Frac < least {
			small++
			continue
		}
		row := Share{c.cause(r, s.Cause, s.Ref), r.With(s.U, v.UUnit), r.With(s.Part, "%")}
		rows = append(rows, row)
		b.Bars = append(b.Bars, plot.BudgetBar{Label: plain(row.Cause), Figure: plain(row.Part), Note: plain(row.U), Share: s.Frac})
	}
	if len(rows) == 0 {
		return "", nil, ""
	}
	if small > 0 {
		rest = r.N("page.at.budget.rest", small)
	}
	return Drawing(plot.Inline(plot.LargeWidth, b.Height(), r.T("page.at.budget"), func(cv plot.Canvas) { b.Draw(cv, plot.Point{}, plot.LargeWidth) })), rows, rest
}
