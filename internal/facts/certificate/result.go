package certificate

import (
	"strings"

	"fettle/internal/base/fault"
	"fettle/internal/base/unit"
)

// role is what a quantity of a result stands for.
type role int

const (
	other role = iota
	nominal
	reference
	indication
	deviation
)

// roleOf reads the reference types of a quantity; the word before the
// underscore names who defined it and does not matter here.
func roleOf(refType string) role {
	for _, t := range strings.Fields(refType) {
		_, what, ok := strings.Cut(t, "_")
		if !ok {
			what = t
		}
		switch what {
		case "nominalValue":
			return nominal
		case "referenceValue":
			return reference
		case "measuredValue":
			return indication
		case "measurementError":
			return deviation
		}
	}
	return other
}

// column is one quantity of a table: one value a row, or one for all.
type column struct {
	at       *node
	values   []unit.Quantity
	expanded []unit.Quantity // one for all, one a row, or none
	coverage []unit.Quantity
	likely   []unit.Quantity
}

// results reads every table of the certificate.
func (r *reader) results(root *node) []Result {
	var out []Result
	in := r.need(root, "measurementResults")
	for _, m := range in.all(dcc, "measurementResult") {
		for _, n := range m.kid(dcc, "results").all(dcc, "result") {
			res := Result{Name: words(n.kid(dcc, "name"))}
			for _, d := range n.all(dcc, "data") {
				r.table(d, &res)
			}
			if len(res.Points) > 0 {
				out = append(out, res)
			}
		}
	}
	if in != nil && len(out) == 0 && len(r.faults) == 0 {
		r.bad(in, fault.New(fault.Missing, "certificate.no-points"))
	}
	return out
}

// table reads the quantities that stand together in a list, and the lists
// inside it.
func (r *reader) table(n *node, res *Result) {
	cols, found := map[role]*column{}, len(r.faults)
	for _, q := range n.all(dcc, "quantity") {
		what := roleOf(q.attr("refType"))
		if what == other {
			name := words(q.kid(dcc, "name"))
			if name == "" {
				name = q.attr("refType")
			}
			r.remark("certificate.left-out", "name", clip(name))
			continue
		}
		if cols[what] != nil {
			r.bad(q, fault.New(fault.Invalid, "certificate.twice", "found", clip(q.attr("refType"))))
			continue
		}
		if c := r.column(q, what); c != nil {
			cols[what] = c
		}
	}
	if len(cols) > 0 && len(r.faults) == found {
		r.rows(n, cols, res)
	}
	for _, l := range n.all(dcc, "list") {
		r.table(l, res)
	}
}

// mostPoints bounds one result.
const mostPoints = 1000

// rows puts columns together into points.
func (r *reader) rows(at *node, cols map[role]*column, res *Result) {
	n, found := 0, len(r.faults)
	var doubt *column
	for _, what := range []role{deviation, indication, reference, nominal} {
		c := cols[what]
		if c == nil {
			continue
		}
		n = max(n, len(c.values))
		if doubt == nil && len(c.expanded) > 0 {
			doubt = c
		}
	}
	for _, what := range []role{nominal, reference, indication, deviation} {
		if c := cols[what]; c != nil && len(c.values) != n && len(c.values) != 1 {
			r.bad(c.at, fault.New(fault.Invalid, "certificate.lengths", "found", whole(len(c.values)), "expected", whole(n)))
		}
	}
	switch {
	case cols[deviation] == nil && (cols[indication] == nil || cols[reference] == nil && cols[nominal] == nil):
		r.bad(at, fault.New(fault.Missing, "certificate.no-deviation"))
	case cols[deviation] != nil && cols[indication] == nil && cols[reference] == nil && cols[nominal] == nil:
		r.bad(at, fault.New(fault.Missing, "certificate.no-place"))
	case doubt == nil:
		r.bad(at, fault.New(fault.Missing, "certificate.no-uncertainty"))
	case len(res.Points)+n > mostPoints:
		r.bad(at, fault.New(fault.TooLarge, "certificate.too-many-points", "most", whole(mostPoints)))
	}
	for _, list := range [][]unit.Quantity{doubt.each(0), doubt.each(1), doubt.each(2)} {
		if doubt != nil && len(list) > 1 && len(list) != n {
			r.bad(doubt.at, fault.New(fault.Invalid, "certificate.lengths", "found", whole(len(list)), "expected", whole(n)))
		}
	}
	if len(r.faults) > found {
		return
	}
	first := len(res.Points)
	for i := range n {
		p := Point{Expanded: pick(doubt.expanded, i), Coverage: pick(doubt.coverage, i), Probability: pick(doubt.likely, i)}
		for what, to := range map[role]*unit.Quantity{nominal: &p.Nominal, reference: &p.Reference, indication: &p.Indication, deviation: &p.Deviation} {
			if c := cols[what]; c != nil {
				*to = pick(c.values, i)
			}
		}
		if r.sound(doubt.at, &p) {
			res.Points = append(res.Points, p)
		}
	}
	r.agree(res.Points[min(first, len(res.Points)):])
}

// each is the expanded uncertainties, factors or probabilities of a column.
func (c *column) each(i int) []unit.Quantity {
	if c == nil {
		return nil
	}
	return [][]unit.Quantity{c.expanded, c.coverage, c.likely}[i]
}

func pick(list []unit.Quantity, i int) unit.Quantity {
	switch {
	case len(list) == 0:
		return unit.Quantity{}
	case len(list) == 1:
		return list[0]
	}
	return list[i]
}
