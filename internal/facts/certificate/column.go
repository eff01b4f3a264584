package certificate

import (
	"strings"

	"fettle/internal/base/fault"
	"fettle/internal/base/unit"
)

// column reads one quantity. Of a quantity given in several units the first
// whose unit is known is taken.
func (r *reader) column(q *node, what role) *column {
	from := q
	if h := q.kid(dsi, "hybrid"); h != nil {
		from = h
		for _, k := range h.kids {
			name := k.kid(dsi, "unit").value() + k.kid(dsi, "unitXMLList").value()
			if _, ok := unitOf(name, what == deviation); ok && k.space == dsi {
				from = &node{kids: []*node{k}, line: k.line, col: k.col}
				break
			}
		}
	}
	for _, k := range from.kids {
		if k.space != dsi {
			continue
		}
		c, found := &column{at: k}, len(r.faults)
		switch k.name {
		case "real":
			r.real(c, k, what)
		case "realList":
			for _, one := range k.all(dsi, "real") {
				r.real(c, one, what)
			}
			if n := len(c.expanded); n != 0 && n != len(c.values) {
				r.bad(k, fault.New(fault.Invalid, "certificate.lengths", "found", whole(n), "expected", whole(len(c.values))))
			}
		case "realListXMLList":
			r.list(c, k, what)
		default:
			continue
		}
		switch {
		case len(r.faults) > found:
			return nil
		case len(c.values) == 0:
			r.bad(k, fault.New(fault.Missing, "certificate.lacks", "element", "value"))
			return nil
		}
		return c
	}
	r.bad(q, fault.New(fault.Invalid, "certificate.no-quantity"))
	return nil
}

// real reads si:real.
func (r *reader) real(c *column, n *node, what role) {
	u, ok := r.unit(n, n.kid(dsi, "unit"), what == deviation)
	v := n.kid(dsi, "value")
	if !ok || v == nil {
		return
	}
	c.values = append(c.values, r.number(v, v.text, u))
	r.doubt(c, n, u, "")
}

// list reads si:realListXMLList, where values stand in one text with spaces
// between.
func (r *reader) list(c *column, n *node, what role) {
	u, ok := r.unit(n, n.kid(dsi, "unitXMLList"), what == deviation)
	if !ok {
		return
	}
	v := n.kid(dsi, "valueXMLList")
	for _, t := range strings.Fields(v.value()) {
		c.values = append(c.values, r.number(v, t, u))
	}
	r.doubt(c, n, u, "XMLList")
}

// doubt reads an uncertainty in either form: expandedUnc of D-SI 2.1, and the
// univariate uncertainty of D-SI 2.2, expanded or standard. Names in a list
// carry an ending.
func (r *reader) doubt(c *column, n *node, u, ending string) {
	mu := n.kid(dsi, "measurementUncertaintyUnivariate"+ending)
	for _, form := range []struct {
		at    *node
		value string
	}{
		{n.kid(dsi, "expandedUnc"+ending), "uncertainty"},
		{mu.kid(dsi, "expandedMU"+ending), "valueExpandedMU"},
	} {
		if form.at == nil {
			continue
		}
		c.expanded = append(c.expanded, r.part(form.at, form.value+ending, u)...)
		c.coverage = append(c.coverage, r.part(form.at, "coverageFactor"+ending, "1")...)
		if p := "coverageProbability" + ending; form.at.kid(dsi, p) != nil {
			c.likely = append(c.likely, r.part(form.at, p, "1")...)
		}
		return
	}
	if s := mu.kid(dsi, "standardMU"+ending); s != nil {
		c.expanded = append(c.expanded, r.part(s, "valueStandardMU"+ending, u)...)
		c.coverage = append(c.coverage, r.number(s, "1", "1"))
	}
}

// unit reads the unit of a quantity; of a list of units all must be one.
func (r *reader) unit(of, n *node, difference bool) (string, bool) {
	names := strings.Fields(n.value())
	if len(names) == 0 {
		r.bad(of, fault.New(fault.Missing, "certificate.no-unit"))
		return "", false
	}
	for _, name := range names[1:] {
		if name != names[0] {
			r.bad(n, fault.New(fault.Invalid, "certificate.mixed-units", "found", clip(name), "first", clip(names[0])))
			return "", false
		}
	}
	u, ok := unitOf(names[0], difference)
	if !ok {
		r.bad(n, fault.New(fault.Invalid, "certificate.unit", "found", clip(names[0])))
	}
	return u, ok
}

// part reads the numbers of one part of an uncertainty.
func (r *reader) part(in *node, name, u string) []unit.Quantity {
	n := in.kid(dsi, name)
	if n.value() == "" {
		r.bad(in, fault.New(fault.Missing, "certificate.lacks", "element", name))
		return nil
	}
	var out []unit.Quantity
	for _, t := range strings.Fields(n.text) {
		out = append(out, r.number(n, t, u))
	}
	return out
}
