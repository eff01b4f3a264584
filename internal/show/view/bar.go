package view

import (
	"fettle/internal/base/cite"
	"strconv"
	"strings"

	"fettle/internal/judge/assess"
	"fettle/internal/show/plot"
)

// Number is a value as it stands in a cell.
type Number struct {
	Text, Unit string
	Ratio      bool // a pure number, which has no unit
}

// number is a value with its unit apart, so that a page can set it small.
func (r Reader) number(y, unit string) Number {
	if unit == "1" {
		return Number{Text: r.Num(y), Ratio: true}
	}
	return Number{Text: r.Num(y), Unit: unit}
}

// bar places a value between its limits and says it in words.
func (c *Case) bar(r Reader, v *assess.Value) plot.LimitBar {
	b := scale(v)
	b.Labels.Title = c.words(r, v)
	return b
}

// scale places a value between its limits. All floats are in the formula unit.
func scale(v *assess.Value) plot.LimitBar {
	b := plot.LimitBar{Verdict: plot.Verdict(v.Verdict), Guard: v.Guard}
	if v.Limit != nil {
		b.Min, b.Max, b.Nominal = v.Limit.Lo, v.Limit.Hi, v.Limit.Nom
	}
	if v.Has {
		y := v.SI
		b.Value = &y
		if k, err := strconv.ParseFloat(v.K, 64); err == nil {
			b.U = k * v.SU
		}
	}
	return b
}

// words says a value in one line for readers that do not see the bar.
func (c *Case) words(r Reader, v *assess.Value) string {
	parts := []string{c.Place(r, v.Position) + ":"}
	if v.Y != "" {
		parts = append(parts, r.With(v.Y, v.Unit))
	}
	if v.Verdict != "" {
		parts = append(parts, r.T("page.verdict."+string(v.Verdict)))
	}
	if a := c.amountOf(r, v); a != "" && v.Verdict == assess.Reject {
		parts = append(parts, r.T("page.outside."+toward(v), "amount", a))
	}
	return strings.Join(parts, " ")
}

// large is the bar of a value's own page, with all its labels.
func (c *Case) large(r Reader, v *assess.Value) Drawing {
	b := c.bar(r, v)
	b.Labels.Value = plain(r.With(v.Y, v.Unit))
	if v.Expanded != "" {
		b.Labels.Doubt = plain("± " + r.With(v.Expanded, v.UUnit))
	}
	if a := c.amountOf(r, v); a != "" && v.Verdict == assess.Reject {
		b.Labels.Amount = plain(r.T("page.outside."+toward(v), "amount", a))
	}
	if v.Limit != nil {
		b.Labels.Min, b.Labels.Max = plain(r.bound(v.Limit.Min, "")), plain(r.bound(v.Limit.Max, ""))
		b.Labels.Nominal = plain(r.bound(v.Limit.Nominal, ""))
	}
	if v.Guard > 0 {
		b.Labels.Guard = r.T("page.at.guarded")
	}
	for _, x := range v.Readings {
		if len(v.Readings) > 1 && !v.Derived {
			b.Repeats = append(b.Repeats, x.At20)
		}
	}
	return Drawing(b.LargeSVG())
}

// plain puts a space that the drawing's type has in place of the narrow one.
func plain(s string) string { return strings.ReplaceAll(s, narrow, "\u00a0") }

// doubt says the doubt of a value: machinist's words, then the standard's.
func (r Reader) doubt(v *assess.Value) (said, standard string) {
	if v.Expanded == "" {
		return "", ""
	}
	return r.T("page.doubt", "amount", r.With(v.Expanded, v.UUnit)), r.T("page.doubt.standard", "k", r.Num(v.K))
}

// Limits is a pair of bounds as text, with its origin.
type Limits struct {
	Range  string // 83.000 … 83.020 mm, at most 0.010 mm, must pass
	For    string // for a new part, for reuse
	Source string
	Status string
	Weak   bool // not from a manual in hand or a copied table
}

// limits says the bounds that were applied to a value.
func (c *Case) limits(r Reader, v *assess.Value) *Limits {
	l := v.Limit
	if l == nil {
		return nil
	}
	out := &Limits{For: r.or("page.limit."+l.For, l.For), Source: c.source(string(l.Source)),
		Status: c.status(r, string(l.Status)), Weak: l.Status != "manual in hand" && l.Status != "copied table"}
	out.Range = r.between(l.Min, l.Max, v.Unit, l.Must)
	return out
}

// between says a pair of bounds of which either may be open. A bound carries
// its own unit; where both have the same, it is said once.
func (r Reader) between(lo, hi, unit, must string) string {
	switch {
	case must != "":
		return r.T("page.limit.must")
	case lo != "" && hi != "":
		low, u, _ := strings.Cut(lo, " ")
		if _, v, _ := strings.Cut(hi, " "); u != v {
			low = r.bound(lo, unit)
		}
		return r.T("page.limit.between", "min", r.Num(low), "max", r.bound(hi, unit))
	case hi != "":
		return r.T("page.limit.most", "max", r.bound(hi, unit))
	case lo != "":
		return r.T("page.limit.least", "min", r.bound(lo, unit))
	}
	return ""
}

// bound writes one bound: with its own unit, else with that of the value.
func (r Reader) bound(s, unit string) string {
	if n, u, ok := strings.Cut(s, " "); ok {
		return r.With(n, u)
	}
	return r.With(s, unit)
}

// source names a source key as the source list has it.
func (c *Case) source(key string) string {
	s, ok := c.Library.Sources[key]
	if !ok && c.Layout != nil {
		s, ok = c.Layout.Family.Source(cite.Key(key)) // one that the family brings
	}
	if !ok {
		return key
	}
	return titled(s.Title, s.Place)
}
