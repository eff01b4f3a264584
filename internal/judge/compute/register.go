// Package compute is the register of every relation that can be computed by
// name: its schema, function and source. Family files bind these relations,
// pages print them, the command line runs them.
package compute

import (
	"fettle/internal/base/unit"
	"fettle/internal/know/family"
	"fettle/internal/maths/gum"
)

// Find returns a relation by name.
func Find(name string) (*gum.Relation, bool) {
	for _, r := range All() {
		if r.Name == name {
			return r, true
		}
	}
	return nil, false
}

// All lists every relation, by subject.
func All() []*gum.Relation {
	var out []*gum.Relation
	for _, part := range [][]*gum.Relation{plain(), angles(), diameters(), bearings(), chamber(), faces(), drive(), loads(), gauging()} {
		out = append(out, part...)
	}
	return out
}

// Register is the relations by name, made once by whoever evaluates.
type Register map[string]*gum.Relation

// NewRegister makes the register.
func NewRegister() Register {
	m := Register{}
	for _, r := range All() {
		m[r.Name] = r
	}
	return m
}

// Signature is what a family file needs to know to bind a relation.
func (m Register) Signature(name string) (family.Signature, bool) {
	r, ok := m[name]
	if !ok {
		return family.Signature{}, false
	}
	s := family.Signature{Out: r.Out.Dim}
	for _, in := range r.In {
		s.Symbols = append(s.Symbols, family.SymbolSig{Name: in.Name, Dim: in.Dim, Many: in.Many, Least: in.Least})
	}
	return s, true
}

// Signature looks a relation up in a fresh register.
func Signature(name string) (family.Signature, bool) { return NewRegister().Signature(name) }

func one(letter, name string, d unit.Dim) gum.Symbol {
	return gum.Symbol{Letter: letter, Name: name, Dim: d}
}

func many(letter, name string, d unit.Dim, least int) gum.Symbol {
	return gum.Symbol{Letter: letter, Name: name, Dim: d, Many: true, Least: least}
}

// mean is the arithmetic mean; g, if given, is raised by c/n a value.
func mean(x []float64) float64 {
	var s float64
	for _, v := range x {
		s += v
	}
	return s / float64(len(x))
}

// even sets every partial of a list to c/n, the partials of c times its mean.
func even(g []float64, c float64) {
	for i := range g {
		g[i] = c / float64(len(g))
	}
}

// linear is a relation that adds the means of its symbols with fixed weights.
func linear(name, equation string, source sourceKey, out gum.Symbol, weights []float64, in ...gum.Symbol) *gum.Relation {
	return &gum.Relation{Name: name, Equation: equation, Source: source, In: in, Out: out, Linear: true,
		Value: func(x [][]float64) (float64, error) {
			var y float64
			for i := range x {
				y += weights[i] * mean(x[i])
			}
			return y, nil
		},
		Partials: func(x, g [][]float64) {
			for i := range g {
				even(g[i], weights[i])
			}
		}}
}
