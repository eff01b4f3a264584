package compute

import (
	"strconv"

	"fettle/internal/base/unit"
	"fettle/internal/maths/gum"
)

// mostTerms bounds the terms of a general model and the steps of a chain.
const mostTerms = 200

// terms reads the values of a general model; factor is the member that goes
// with each: its coefficient or its power.
func (b *budget) terms(t *tree, path, factor string) (list []given, factors []amount, ok bool) {
	all := t.get("terms")
	if all == nil || all.kind != 'a' || len(all.list) == 0 || len(all.list) > mostTerms {
		b.on(t.at, join(path, "terms")).say("compute.terms", "most", strconv.Itoa(mostTerms))
		return nil, nil, false
	}
	b.free = true
	one, _ := scaleOf("1")
	for i, e := range all.list {
		at := join(path, "terms") + "[" + strconv.Itoa(i) + "]"
		symbol := "x" + strconv.Itoa(i+1)
		if n := e.get("name"); n != nil {
			symbol = b.text(n, at)
		}
		if find(list, symbol) >= 0 {
			b.on(e.at, at).say("compute.name-twice", "found", symbol)
		}
		f := amount{1, one}
		if c := e.get(factor); c != nil {
			want := unit.None
			if factor == "power" {
				want = unit.Number
			}
			f, _ = b.amount(c, join(at, factor), want, "1")
		}
		if symbol != "" && path != "" {
			symbol = path + "." + symbol
		}
		list, factors = append(list, b.given(e, symbol, at, unit.None, "1", "name", factor)), append(factors, f)
	}
	b.free = false
	return list, factors, len(b.faults) == 0
}

// ids of nodes.
func ids(nodes []node) []gum.ID {
	out := make([]gum.ID, len(nodes))
	for i, n := range nodes {
		out[i] = n.id
	}
	return out
}

// constant is the constant of a general model.
func (b *budget) constant(t *tree, path string, other amount) amount {
	c := t.get("constant")
	if c == nil {
		return other
	}
	b.free = true
	a, _ := b.amount(c, join(path, "constant"), unit.None, "1")
	b.free = false
	return a
}

// declared is the unit that a general model says its result has.
func (b *budget) declared(t *tree, path string, like scale) (scale, bool) {
	if t.get("unit") == nil {
		return like, true
	}
	s, ok := scaleOf(t.get("unit").text)
	if !ok {
		b.on(t.get("unit").at, join(path, "unit")).say("unit.unknown", "text", t.get("unit").text, "unit", t.get("unit").text)
	}
	return s, ok
}

func applyLinear(b *budget, t *tree, path string) (node, bool) {
	list, c, ok := b.terms(t, path, "coefficient")
	if !ok {
		return node{}, false
	}
	nodes := b.nodes(list, t.get("correlation"))
	if len(b.faults) > 0 {
		return node{}, false
	}
	like := nodes[0].scale
	if c[0].kind != unit.Number {
		like = scale{name: c[0].name + "·" + nodes[0].name, factor: c[0].factor * nodes[0].factor, powers: nodes[0].powers.times(c[0].powers, 1)}
	}
	out, ok := b.declared(t, path, like)
	if !ok {
		return node{}, false
	}
	weights := make([]float64, len(c))
	for i := range c {
		weights[i] = c[i].si
		if p := nodes[i].powers.times(c[i].powers, 1); !p.same(out.powers) {
			b.on(list[i].at, list[i].path).say("compute.dimension", "symbol", list[i].symbol, "found", c[i].name+" · "+nodes[i].name, "expected", out.name)
		}
	}
	constant := b.constant(t, path, amount{0, out})
	if !constant.powers.same(out.powers) {
		b.on(t.where("constant"), join(path, "constant")).say("compute.dimension", "symbol", "constant", "found", constant.name, "expected", out.name)
	}
	if len(b.faults) > 0 {
		return node{}, false
	}
	id, err := b.g.Apply(weighted("linear", constant.si, weights), [][]gum.ID{ids(nodes)})
	if err != nil {
		b.on(t.at, path).say("compute.no-value", "error", err.Error())
	}
	return node{id, out}, err == nil
}

func applyProduct(b *budget, t *tree, path string) (node, bool) {
	list, p, ok := b.terms(t, path, "power")
	if !ok {
		return node{}, false
	}
	nodes := b.nodes(list, t.get("correlation"))
	one, _ := scaleOf("1")
	constant := b.constant(t, path, amount{1, one})
	made, powers := constant.powers, make([]float64, len(p))
	for i := range p {
		powers[i] = p[i].si
		made = made.times(nodes[i].powers, powers[i])
	}
	out, ok := one, true
	if t.get("unit") == nil && !made.same(one.powers) {
		b.on(t.at, join(path, "unit")).say("compute.missing-unit")
	} else {
		out, ok = b.declared(t, path, one)
	}
	if ok && len(b.faults) == 0 && !made.same(out.powers) {
		b.on(t.where("unit"), join(path, "unit")).say("compute.dimension", "symbol", "unit", "found", out.name, "expected", made.String())
	}
	if len(b.faults) > 0 {
		return node{}, false
	}
	id, err := b.g.Apply(power("product", constant.si, powers), [][]gum.ID{ids(nodes)})
	if err != nil {
		b.on(t.at, path).say("compute.no-value", "error", err.Error())
	}
	return node{id, out}, err == nil
}

// String writes a dimension in base units.
func (p powers) String() string {
	s := ""
	for i, name := range []string{"m", "kg", "s", "K", "A", "HV"} {
		if p[i] != 0 {
			if s != "" {
				s += "·"
			}
			if s += name; p[i] != 1 {
				s += "^" + strconv.FormatFloat(p[i], 'g', 4, 64)
			}
		}
	}
	if s == "" {
		return "1"
	}
	return s
}

// applyChain works out steps in turn, each from values and from earlier steps;
// the last is the result.
func applyChain(b *budget, t *tree, _ string) (node, bool) {
	values, steps := t.get("values"), t.get("steps")
	if values == nil || values.kind != 'o' || len(values.members) > mostTerms {
		b.on(t.where("values"), "values").say("compute.chain", "most", strconv.Itoa(mostTerms))
	}
	if steps == nil || steps.kind != 'a' || len(steps.list) == 0 || len(steps.list) > mostTerms {
		b.on(t.where("steps"), "steps").say("compute.chain", "most", strconv.Itoa(mostTerms))
	}
	if len(b.faults) > 0 {
		return node{}, false
	}
	var list []given
	b.free = true
	for _, m := range values.members {
		list = append(list, b.given(m.value, m.name, join("values", m.name), unit.None, "1"))
	}
	b.free = false
	if len(b.faults) > 0 {
		return node{}, false
	}
	for i, n := range b.nodes(list, t.get("correlation")) {
		b.named[list[i].symbol] = n
	}
	var last node
	for i, s := range steps.list {
		at := "steps[" + strconv.Itoa(i) + "]"
		name, relation := s.get("name"), s.get("relation")
		if s.kind != 'o' || name == nil || relation == nil || len(b.faults) > 0 {
			b.on(s.at, at).say("compute.step")
			return node{}, false
		}
		m, ok := modelOf(relation.text)
		if _, twice := b.named[name.text]; twice || !ok || m.name == "chain" {
			b.on(s.at, at).say("compute.step")
			return node{}, false
		}
		if !b.only(s, at, append([]string{"name", "relation", "unit"}, m.members...)) {
			return node{}, false
		}
		b.shared = unit.None
		if last, ok = m.apply(b, s, at); !ok {
			return node{}, false
		}
		b.named[name.text] = last
	}
	return last, len(b.faults) == 0
}
