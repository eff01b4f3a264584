package compute

import (
	"strconv"

	"fettle/internal/base/cite"
	"fettle/internal/base/unit"
	"fettle/internal/maths/gum"
)

// model is what a budget can be put to: a relation of the register, or one of
// the general ones.
type model struct {
	relation *gum.Relation // nil for a general one
	name     string
	equation string
	source   cite.Key
	// members that it reads besides those of every budget.
	members []string
	apply   func(b *budget, t *tree, path string) (node, bool)
}

// modelOf finds a model by name.
func modelOf(name string) (model, bool) {
	switch name {
	case "linear":
		return model{name: name, equation: "y = c₀ + Σ cᵢ·xᵢ", source: "gum-2008", members: []string{"terms", "constant"}, apply: applyLinear}, true
	case "product":
		return model{name: name, equation: "y = c·Π xᵢ^pᵢ", source: "gum-2008", members: []string{"terms", "constant"}, apply: applyProduct}, true
	case "chain":
		return model{name: name, equation: "y = f(g(…), h(…), …)", source: "gum-2008", members: []string{"values", "steps"}, apply: applyChain}, true
	}
	r, ok := Find(name)
	if !ok {
		return model{}, false
	}
	return model{relation: r, name: name, equation: r.Equation, source: r.Source, members: symbolNames(r),
		apply: func(b *budget, t *tree, path string) (node, bool) { return applyRelation(b, r, t, path) }}, true
}

func applyRelation(b *budget, r *gum.Relation, t *tree, path string) (node, bool) {
	var list []given
	count := make([]int, len(r.In))
	for i, s := range r.In {
		v := t.get(s.Name)
		if v == nil {
			b.on(t.at, join(path, s.Name)).say("compute.missing", "symbol", s.Name, "kind", kindOf(s.Dim))
			continue
		}
		all := b.elements(v, path)
		count[i] = len(all)
		lone := ""
		if s.Dim == unit.Number {
			lone = "1"
		}
		for j, e := range all {
			symbol := s.Name
			if len(all) > 1 {
				symbol += "/" + strconv.Itoa(j+1)
			}
			at := join(path, s.Name)
			if v.kind == 'a' {
				at += "[" + strconv.Itoa(j) + "]"
			}
			list = append(list, b.given(e, symbol, at, s.Dim, lone))
		}
		if least := max(1, s.Least); len(all) < least || !s.Many && len(all) != 1 {
			b.on(t.where(s.Name), join(path, s.Name)).say("compute.count", "symbol", s.Name, "found", strconv.Itoa(len(all)), "expected", strconv.Itoa(least))
		}
	}
	if len(b.faults) > 0 {
		return node{}, false
	}
	nodes := b.nodes(list, t.get("correlation"))
	args := make([][]gum.ID, len(r.In))
	n, out := 0, r.Out.Dim
	for i, s := range r.In {
		for range count[i] {
			want := s.Dim
			if want == unit.None {
				if out == unit.None {
					out = nodes[n].kind
				}
				want = out
			}
			if k := nodes[n].kind; list[n].of != "" && k != want && !(k == unit.None && nodes[n].powers.same(powersOf(want))) {
				b.wrongUnit(list[n].at, list[n].path, nodes[n].name, kindScale(want))
			}
			args[i] = append(args[i], nodes[n].id)
			n++
		}
	}
	if len(b.faults) > 0 {
		return node{}, false
	}
	return b.finish(r, args, kindScale(out), t, path)
}

// kindScale is some unit of a kind.
func kindScale(d unit.Dim) scale {
	if d == unit.None {
		d = unit.Number
	}
	s, _ := scaleOf(unit.Names(d)[0])
	return s
}

// finish applies a relation; the unit asked for, else the usual one, goes with
// its value.
func (b *budget) finish(r *gum.Relation, args [][]gum.ID, out scale, t *tree, path string) (node, bool) {
	wanted, ok := b.unit(t, path, out)
	if !ok {
		return node{}, false
	}
	id, err := b.g.Apply(r, args)
	if err != nil {
		b.on(t.at, path).say("compute.no-value", "error", err.Error())
		return node{}, false
	}
	return node{id, wanted}, true
}

// unit reads the unit asked for, which must be of the kind of the result.
func (b *budget) unit(t *tree, path string, out scale) (scale, bool) {
	asked := t.get("unit")
	if asked == nil {
		if out.kind == unit.None {
			return out, true
		}
		s, _ := scaleOf(usual(out.kind, b.first[out.kind]))
		return s, true
	}
	s, ok := scaleOf(asked.text)
	if !ok || asked.kind != 's' {
		b.on(asked.at, join(path, "unit")).say("unit.unknown", "text", asked.text, "unit", asked.text)
		return scale{}, false
	}
	if !s.powers.same(out.powers) || out.kind != unit.None && s.kind != unit.None && s.kind != out.kind {
		b.wrongUnit(asked.at, join(path, "unit"), s.name, out)
		return scale{}, false
	}
	return s, true
}
