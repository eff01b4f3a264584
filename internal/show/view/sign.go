package view

import (
	"strings"

	"fettle/internal/judge/assess"
	"fettle/internal/show/plot"
)

// Drawing is a finished SVG element.
type Drawing string

// Plate is a verdict as it is shown: sign, word and, outside a limit, how far.
type Plate struct {
	Verdict string // accept, undecided, reject, unmeasured, rework; "" where no limit applies
	Word    string
	Sign    Drawing
	Toward  string // "over", "under" or ""
	Amount  string
}

// Sign draws a verdict's shape, 16 units high, for a line of text.
func Sign(v plot.Verdict) Drawing {
	return Drawing(plot.Inline(18, 18, "", func(c plot.Canvas) { plot.Sign(c, plot.Pt(9, 9), 7.5, v) }))
}

// plate is the plate of a verdict without an amount.
func (r Reader) plate(v plot.Verdict) Plate {
	if v == plot.NoLimit {
		return Plate{Word: r.T("page.verdict.none"), Sign: Sign(v)}
	}
	return Plate{Verdict: string(v), Word: r.T("page.verdict." + string(v)), Sign: Sign(v)}
}

// Plate is the plate of a value. Value amounts come as finished decimals.
func (c *Case) plate(r Reader, v *assess.Value) Plate {
	if v == nil {
		return r.plate(plot.Unmeasured)
	}
	p := r.plate(plot.Verdict(v.Verdict))
	if v.Verdict == assess.Reject && !v.Check {
		p.Toward = toward(v)
		p.Amount = c.amountOf(r, v)
	}
	return p
}

func toward(v *assess.Value) string {
	switch {
	case v.Amount > 0:
		return "over"
	case v.Amount < 0:
		return "under"
	}
	return ""
}

// amounts gathers the finished amounts that the findings carry, without their
// sign: the arrow says it.
func (c *Case) amounts() {
	c.amount = map[string]Number{}
	for i := range c.Assessment.Findings {
		for _, e := range c.Assessment.Findings[i].Evidence {
			if a := strings.TrimLeft(e.Amount, "+-"); a != "" {
				c.amount[e.Position+"\x00"+e.State] = Number{Text: a, Unit: e.Unit}
			}
		}
	}
}

// amountOf is how far a value lies outside, finished; "" where no finding says.
func (c *Case) amountOf(r Reader, v *assess.Value) string {
	a := c.amount[v.Position+"\x00"+v.State]
	return r.With(a.Text, a.Unit)
}

// worse orders verdicts by how much they ask for attention.
func worse(v assess.Verdict) int {
	switch v {
	case assess.Reject:
		return 4
	case assess.Undecided:
		return 3
	case assess.Unmeasured:
		return 2
	case assess.Accept:
		return 1
	}
	return 0
}
