package gum

import (
	"fmt"
	"math"
	"sort"

	"fettle/internal/base/cite"
)

// Kind says what sort of cause a leaf is; pages group budgets by it.
type Kind string

// The kinds of cause.
const (
	Repeat      Kind = "repeat"     // scatter of one reading or the mean of several
	Resolution  Kind = "resolution" // last digit of the display
	Meniscus    Kind = "meniscus"   // reading a scale of liquid at its two ends
	Drop        Kind = "drop"       // what hangs at a tip
	Gauge       Kind = "gauge"      // bias of one gauge
	Linearity   Kind = "linearity"  // bias of one gauge that differs from load to load
	Master      Kind = "master"     // size of one setting master
	PartTemp    Kind = "part-temp"  // temperature of one part at one time
	GaugeTemp   Kind = "gauge-temp" // temperature of one gauge or master
	Expansion   Kind = "expansion"  // coefficient of one material
	Person      Kind = "person"     // feel of one person
	Given       Kind = "given"      // a value taken as it stands
	Model       Kind = "model"      // error of an approximation
	ProcessKind Kind = "process"    // spread of a machining process
)

// Dist is the shape of a leaf's distribution, for Monte Carlo.
type Dist uint8

// The shapes used so far.
const (
	Normal Dist = iota
	Rectangular
	Triangular
	Arcsine
	Student     // scaled and shifted t
	Trapezoidal // symmetric, β top over base
	Curvilinear // rectangular between inexact limits
	Exponential
	Gamma // mean of counted objects
)

// Leaf is one cause with its best value and standard uncertainty.
type Leaf struct {
	Key   string // identity: the same key is the same cause
	Kind  Kind
	Ref   string  // what it is about: gauge, material, position
	Value float64 // formula units
	U     float64 // standard uncertainty, same unit; ≥ 0
	Dof   float64 // degrees of freedom; 0 means infinite
	Dist  Dist
	Shape Shape // the distribution with its parameters; without one, Dist, Value and U say it
	// Pool names an estimate of scatter that several leaves share, each with the
	// Dof of that estimate: in Monte Carlo they are t with one χ² between them.
	Pool string
}

// ID names a node of one graph.
type ID int32

// None is no node.
const None ID = -1

type term struct {
	leaf int32
	c    float64
}

type node struct {
	value float64
	terms []term // ∂value/∂leaf, by rising leaf index
	rel   *Relation
	args  [][]ID
	leaf  int32 // index of the leaf, or -1
}

// Graph is a set of nodes in order of making: a node only leans on earlier ones.
type Graph struct {
	leaves []Leaf
	byKey  map[string]ID
	nodes  []node
	sum    []float64 // scratch for Apply, one place a leaf
	seen   []bool
	touch  []int32
}

// New returns an empty graph.
func New() *Graph { return &Graph{byKey: map[string]ID{}} }

// Leaf returns the node of a cause; a key seen before gives the first node.
// Giving one key two different values is a mistake of ours and panics.
func (g *Graph) Leaf(l Leaf) ID {
	if id, ok := g.byKey[l.Key]; ok {
		old := g.leaves[g.nodes[id].leaf]
		if old.Value != l.Value || old.U != l.U || old.Shape != l.Shape {
			panic("gum: one cause with two values: " + l.Key)
		}
		return id
	}
	id := g.Own(l)
	g.byKey[l.Key] = id
	return id
}

// Own returns a new node of a cause that nothing else shares; it needs no key.
func (g *Graph) Own(l Leaf) ID {
	if math.IsNaN(l.Value) || math.IsInf(l.Value, 0) || !(l.U >= 0) || math.IsInf(l.U, 0) {
		panic(fmt.Sprintf("gum: leaf %s has value %v, uncertainty %v", l.Key, l.Value, l.U))
	}
	if l.U > 0 {
		shaped(&l) // panics where the distribution is not said
	}
	at := int32(len(g.leaves))
	g.leaves = append(g.leaves, l)
	g.sum = append(g.sum, 0)
	g.seen = append(g.seen, false)
	n := node{value: l.Value, leaf: at}
	if l.U > 0 {
		n.terms = []term{{at, 1}}
	}
	g.nodes = append(g.nodes, n)
	return ID(len(g.nodes) - 1)
}

// Apply makes the node of a relation over earlier nodes.
//
//	u²(y) = Σ (Σ_i ∂f/∂x_i · ∂x_i/∂q_k)² u²(q_k)
//
// Errors: what Relation.Check or its Value says.
// Source: JCGM 100:2008, 5.1.2 and 5.2.2, with every input expanded to its
// independent causes, which makes the covariances of 5.2.2 implicit.
func (g *Graph) Apply(r *Relation, args [][]ID) (ID, error) {
	x, d := make([][]float64, len(args)), make([][]float64, len(args))
	for i, ids := range args {
		x[i], d[i] = make([]float64, len(ids)), make([]float64, len(ids))
		for j, id := range ids {
			x[i][j] = g.nodes[id].value
		}
	}
	if err := r.Check(x); err != nil {
		return None, err
	}
	y, err := r.Value(x)
	if err != nil {
		return None, err
	}
	if math.IsNaN(y) || math.IsInf(y, 0) {
		return None, fmt.Errorf("%s has no finite value here", r.Name)
	}
	r.Partials(x, d)
	g.touch = g.touch[:0]
	for i, ids := range args {
		for j, id := range ids {
			if d[i][j] == 0 {
				continue
			}
			for _, t := range g.nodes[id].terms {
				if !g.seen[t.leaf] {
					g.seen[t.leaf] = true
					g.touch = append(g.touch, t.leaf)
				}
				g.sum[t.leaf] += d[i][j] * t.c
			}
		}
	}
	sort.Slice(g.touch, func(a, b int) bool { return g.touch[a] < g.touch[b] })
	terms := make([]term, 0, len(g.touch))
	for _, l := range g.touch {
		terms = append(terms, term{l, g.sum[l]})
		g.sum[l], g.seen[l] = 0, false
	}
	g.nodes = append(g.nodes, node{value: y, terms: terms, rel: r, args: args, leaf: -1})
	return ID(len(g.nodes) - 1), nil
}

// Value of a node, formula units.
func (g *Graph) Value(id ID) float64 { return g.nodes[id].value }

// U is the standard uncertainty of a node.
func (g *Graph) U(id ID) float64 {
	var s float64
	for _, t := range g.nodes[id].terms {
		v := t.c * g.leaves[t.leaf].U
		s += v * v
	}
	return math.Sqrt(s)
}

// Covariance of two nodes.
//
// Source: JCGM 100:2008, F.1.2.3, eq. (F.2): shared causes alone correlate.
func (g *Graph) Covariance(a, b ID) float64 {
	ta, tb := g.nodes[a].terms, g.nodes[b].terms
	var s float64
	for i, j := 0, 0; i < len(ta) && j < len(tb); {
		switch {
		case ta[i].leaf < tb[j].leaf:
			i++
		case ta[i].leaf > tb[j].leaf:
			j++
		default:
			u := g.leaves[ta[i].leaf].U
			s += ta[i].c * tb[j].c * u * u
			i, j = i+1, j+1
		}
	}
	return s
}

// Dof is the effective number of degrees of freedom, +Inf where every cause is
// known exactly; it is not rounded. Leaves of one pool are one component.
//
//	ν_eff = u⁴(y) / Σ (u_k⁴(y)/ν_k)
//
// Source: JCGM 100:2008, G.4.1, eq. (G.2b). One estimate of scatter keeps its
// degrees of freedom in any sum of what it serves: the variances are multiples
// of one χ².
func (g *Graph) Dof(id ID) float64 {
	type pool struct {
		key     string
		u2, dof float64
	}
	var u2, s float64
	var pools []pool
	for _, t := range g.nodes[id].terms {
		l := &g.leaves[t.leaf]
		v := t.c * l.U
		u2 += v * v
		switch {
		case !(l.Dof > 0):
		case l.Pool == "":
			s += v * v * v * v / l.Dof
		default:
			k := 0
			for k < len(pools) && pools[k].key != l.Pool {
				k++
			}
			if k == len(pools) {
				pools = append(pools, pool{key: l.Pool, dof: l.Dof})
			}
			pools[k].u2 += v * v
		}
	}
	for _, p := range pools {
		s += p.u2 * p.u2 / p.dof
	}
	if s == 0 {
		return math.Inf(1)
	}
	return u2 * u2 / s
}

// Share is one cause's part of a value's doubt.
type Share struct {
	Leaf
	Sensitivity float64 // ∂y/∂q
	Part        float64 // of the variance, 0..1
}

// Budget lists the causes of a node's doubt, largest first, ties by key.
func (g *Graph) Budget(id ID) []Share {
	u := g.U(id)
	if u == 0 {
		return nil
	}
	out := make([]Share, 0, len(g.nodes[id].terms))
	for _, t := range g.nodes[id].terms {
		l := g.leaves[t.leaf]
		v := t.c * l.U / u
		out = append(out, Share{Leaf: l, Sensitivity: t.c, Part: v * v})
	}
	sort.SliceStable(out, func(i, j int) bool {
		if out[i].Part != out[j].Part {
			return out[i].Part > out[j].Part
		}
		return out[i].Key < out[j].Key
	})
	return out
}

// Because tells how a node came about: the relation and its inputs, or nil and
// the leaf.
func (g *Graph) Because(id ID) (r *Relation, args [][]ID, leaf *Leaf) {
	n := g.nodes[id]
	if n.leaf >= 0 {
		l := g.leaves[n.leaf]
		return nil, nil, &l
	}
	return n.rel, n.args, nil
}

// Source of a node's relation, "" for a leaf.
func (g *Graph) Source(id ID) cite.Key {
	if r := g.nodes[id].rel; r != nil {
		return r.Source
	}
	return ""
}
