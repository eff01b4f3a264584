package compute

import (
	"fmt"
	"math"
	"strconv"

	"fettle/internal/base/cite"
	"fettle/internal/base/unit"
	"fettle/internal/maths/gum"
)

// budget turns given values into nodes of a graph: what shares a cause leans on
// one leaf, what is correlated on common ones.
type budget struct {
	*reader
	g      *gum.Graph
	causes map[string]doubt
	named  map[string]node  // values and steps of a chain
	leaves map[string]label // what a budget says of a leaf, by its key
}

// node is a value of the graph with the unit it is to be written in.
type node struct {
	id gum.ID
	scale
}

type label struct {
	symbol, cause, distribution string
	scale                       scale
	joint                       bool
}

func newBudget() *budget {
	return &budget{reader: newReader(), g: gum.New(), causes: map[string]doubt{}, named: map[string]node{}, leaves: map[string]label{}}
}

// nodes makes the nodes of values, those that are correlated together first.
func (b *budget) nodes(list []given, correlation *tree) []node {
	out, done := make([]node, len(list)), make([]bool, len(list))
	if correlation != nil {
		b.correlated(list, correlation, out, done)
	}
	if len(b.faults) > 0 {
		return out
	}
	for i, g := range list {
		if !done[i] {
			out[i] = b.node(g)
		}
	}
	return out
}

func (b *budget) node(g given) node {
	if g.of != "" {
		n, ok := b.named[g.of]
		if !ok {
			b.on(g.at, g.path).say("compute.no-such-value", "found", g.of)
		}
		return n
	}
	var parts []gum.ID
	weights := []float64{}
	leaf := func(s gum.Shape, d doubt, i int) gum.ID {
		key := "given:" + g.symbol + "#" + strconv.Itoa(i)
		l := s.Leaf(key, gum.Given)
		if l.Ref = g.symbol; d.dof > 0 {
			l.Dof = d.dof
		}
		b.leaves[key] = label{symbol: g.symbol, distribution: d.named(), scale: g.scale}
		return b.g.Leaf(l)
	}
	if !g.own.IsZero() {
		d := doubt{distribution: "exponential"}
		if g.own.Dist() == gum.Gamma {
			d.distribution = "gamma"
		}
		parts, weights = append(parts, leaf(g.own, d, 0)), append(weights, 1)
	} else if len(g.doubts) == 1 && g.doubts[0].cause == "" {
		s, err := g.doubts[0].shape(g.si, g.doubts[0].u)
		if !b.shaped(g, err) {
			return node{}
		}
		return node{leaf(s, g.doubts[0], 0), g.scale}
	}
	if len(g.doubts) == 0 && len(parts) == 0 {
		return node{b.g.Leaf(gum.Leaf{Key: "exact:" + g.symbol, Kind: gum.Given, Ref: g.symbol, Value: g.si}), g.scale}
	}
	base := g.si
	if len(parts) > 0 {
		base = 0
	}
	for i, d := range g.doubts {
		if d.cause != "" {
			parts, weights = append(parts, b.cause(g, d)), append(weights, d.u)
			continue
		}
		s, err := d.shape(0, d.u)
		if !b.shaped(g, err) {
			return node{}
		}
		parts, weights = append(parts, leaf(s, d, i+1)), append(weights, 1)
	}
	if len(b.faults) > 0 {
		return node{}
	}
	id, err := b.g.Apply(weighted("given", base, weights), [][]gum.ID{parts})
	if err != nil {
		b.on(g.at, g.path).say("compute.no-value", "error", err.Error())
	}
	return node{id, g.scale}
}

func (b *budget) shaped(g given, err error) bool {
	if err != nil {
		b.on(g.at, g.path).say("compute.parameter", "symbol", g.symbol, "name", "distribution", "error", err.Error())
	}
	return err == nil
}

// named is the distribution that a doubt stands for.
func (d doubt) named() string {
	switch {
	case d.distribution != "":
		return d.distribution
	case d.dof > 0:
		return "t"
	}
	return "normal"
}

// cause is the leaf that all values naming it share, with a deviation of one;
// each takes its own standard uncertainty of it.
func (b *budget) cause(g given, d doubt) gum.ID {
	old, seen := b.causes[d.cause]
	if seen && (old.named() != d.named() || old.dof != d.dof || math.Abs(old.form-d.form) > 1e-9) {
		b.on(d.at, g.path).say("compute.cause-twice", "cause", d.cause)
		return gum.None
	}
	if seen {
		d.form = old.form
	}
	s, err := d.shape(0, 1)
	if !b.shaped(g, err) {
		return gum.None
	}
	b.causes[d.cause] = d
	l := s.Leaf("cause:"+d.cause, gum.Gauge)
	if l.Ref = d.cause; d.dof > 0 {
		l.Dof = d.dof
	}
	b.leaves[l.Key] = label{symbol: d.cause, cause: d.cause, distribution: d.named()}
	return b.g.Leaf(l)
}

// correlated reads {"of": [names], "r": [[…]]} and makes the nodes of the values
// it names.
func (b *budget) correlated(list []given, t *tree, out []node, done []bool) {
	const path = "correlation"
	spot := b.on(t.at, path)
	of, rows := t.get("of"), t.get("r")
	if t.kind != 'o' || !b.only(t, path, []string{"of", "r"}) || of == nil || rows == nil || of.kind != 'a' || rows.kind != 'a' ||
		len(of.list) != len(rows.list) || len(of.list) < 2 {
		spot.say("compute.correlation")
		return
	}
	var at []int
	for _, n := range of.list {
		i := find(list, n.text)
		if i < 0 || done[i] {
			b.on(n.at, path).say("compute.no-such-value", "found", n.text)
			return
		}
		g := list[i]
		if len(g.doubts) != 1 || g.doubts[0].cause != "" || g.doubts[0].distribution != "" && g.doubts[0].distribution != "normal" ||
			g.doubts[0].dof != list[max(0, find(list, of.list[0].text))].doubts[0].dof {
			b.on(n.at, path).say("compute.correlation-of", "found", n.text)
			return
		}
		at, done[i] = append(at, i), true
	}
	names, mean, cov := make([]string, len(at)), make([]float64, len(at)), make([][]float64, len(at))
	for i, row := range rows.list {
		if row.kind != 'a' || len(row.list) != len(at) {
			b.on(row.at, path).say("compute.correlation")
			return
		}
		names[i], mean[i], cov[i] = list[at[i]].symbol, list[at[i]].si, make([]float64, len(at))
		for j, c := range row.list {
			r, ok := b.amount(c, path, unit.Number, "1")
			if !ok {
				return
			}
			if i == j && r.si != 1 || !(math.Abs(r.si) <= 1) {
				b.on(c.at, path).say("compute.correlation")
				return
			}
			cov[i][j] = r.si * list[at[i]].doubts[0].u * list[at[j]].doubts[0].u
		}
	}
	ids, err := b.g.Correlated(names, gum.Given, mean, cov, list[at[0]].doubts[0].dof)
	if err != nil {
		spot.say("compute.no-value", "error", err.Error())
		return
	}
	for k, i := range at {
		out[i] = node{ids[k], list[i].scale}
		b.leaves["joint:"+names[k]] = label{symbol: names[k], distribution: list[i].doubts[0].named(), joint: true}
	}
}

func find(list []given, symbol string) int {
	for i := range list {
		if list[i].symbol == symbol {
			return i
		}
	}
	return -1
}

// weighted is y = c₀ + Σ cᵢ·xᵢ.
func weighted(name string, constant float64, c []float64) *gum.Relation {
	return &gum.Relation{Name: name, Equation: "y = c₀ + Σ cᵢ·xᵢ", Source: cite.Key("gum-2008"), Linear: true,
		In: []gum.Symbol{{Letter: "x", Name: "x", Many: true, Least: 1}}, Out: gum.Symbol{Letter: "y", Name: name},
		Value: func(x [][]float64) (float64, error) {
			y := constant
			for i, v := range x[0] {
				y += c[i] * v
			}
			return y, nil
		},
		Partials: func(_, g [][]float64) { copy(g[0], c) }}
}

// power is y = c·Π xᵢ^pᵢ.
func power(name string, constant float64, p []float64) *gum.Relation {
	part := func(x []float64, skip int) float64 {
		y := constant
		for i, v := range x {
			if i != skip {
				y *= math.Pow(v, p[i])
			}
		}
		return y
	}
	return &gum.Relation{Name: name, Equation: "y = c·Π xᵢ^pᵢ", Source: cite.Key("gum-2008"),
		In: []gum.Symbol{{Letter: "x", Name: "x", Many: true, Least: 1}}, Out: gum.Symbol{Letter: "y", Name: name},
		Value: func(x [][]float64) (float64, error) {
			for i, v := range x[0] {
				if v == 0 && p[i] < 1 && p[i] != 0 || v < 0 && p[i] != math.Trunc(p[i]) {
					return 0, fmt.Errorf("factor %d has no value to the power %v, or no slope there", i+1, p[i])
				}
			}
			return part(x[0], -1), nil
		},
		Partials: func(x, g [][]float64) {
			for i, v := range x[0] {
				if p[i] == 0 {
					g[0][i] = 0
					continue
				}
				g[0][i] = part(x[0], i) * p[i] * math.Pow(v, p[i]-1)
			}
		}}
}
