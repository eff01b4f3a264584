// Package allocate chooses parts for places from measured values and a shelf:
// shells for bearings, shims for valves, pistons for bores, parts for sets. Each
// choice is taken over the whole engine at once and is proved, or says by how
// much it may be short of the best; each says what the runner-up would cost and
// which rule binds.
//
// It proposes. What is fitted is decided by a person, after the engine maker's
// manual. Equations, rules and where they come from stand in doc/model/fits.md.
package allocate

import (
	"math"
	"slices"

	"fettle/internal/judge/rule"
)

// Size is a measured value with its doubt, in whole nanometres or, for a mass, in
// whole milligrams. U is the standard uncertainty of its own, Shared what it has
// in common with other values: two sizes that name one cause move together.
type Size struct {
	N      int64
	U      float64
	Shared []Share
}

// Share is the part of a doubt that comes from a cause others have too.
type Share struct {
	Cause string
	U     float64 // with its sign
}

// Graded is the size of a part known by its class alone: anywhere between the
// limits of the class, none likelier than the other.
//
//	x = (a + b)/2,   u = (b − a)/√12
//
// Shapes: two limits -> size.
// Units:  those of the limits.
// Errors: none; limits are taken in either order.
// Source: JCGM 100:2008, 4.3.7.
func Graded(low, high int64) Size {
	return Size{N: low + (high-low)/2, U: math.Abs(float64(high-low)) / math.Sqrt(12)}
}

// term is a size with the factor by which a result moves with it.
type term struct {
	c float64
	x Size
}

// doubt is the standard uncertainty of a sum of terms, first order.
//
//	u² = Σ (cᵢ·uᵢ)² + Σ_causes (Σ cᵢ·uᵢₖ)²
//
// Source: JCGM 100:2008, 5.1.2 and F.1.2.3.
func doubt(terms ...term) float64 {
	var own float64
	var joint []Share
	for _, t := range terms {
		own += t.c * t.c * t.x.U * t.x.U
		for _, s := range t.x.Shared {
			k := slices.IndexFunc(joint, func(j Share) bool { return j.Cause == s.Cause })
			if k < 0 {
				k, joint = len(joint), append(joint, Share{Cause: s.Cause})
			}
			joint[k].U += t.c * s.U
		}
	}
	for _, j := range joint {
		own += j.U * j.U
	}
	return math.Sqrt(own)
}

// Limits are where a result has to lie. An open side is nil.
type Limits struct{ Low, High *int64 }

// inside reports whether a value lies within by a guard band.
func (l Limits) inside(y int64, band float64) bool {
	return (l.Low == nil || float64(y-*l.Low) >= band) && (l.High == nil || float64(*l.High-y) >= band)
}

// Standing is how a result stands to its limits: the chance that it lies within,
// and the verdict of the default rule.
type Standing struct {
	Value   int64
	U       float64
	Chance  float64
	Verdict rule.Verdict
}

func (l Limits) standing(y int64, u float64) Standing {
	side := func(v *int64) *float64 {
		if v == nil {
			return nil
		}
		f := float64(*v)
		return &f
	}
	lo, hi := side(l.Low), side(l.High)
	s := Standing{Value: y, U: u, Chance: 1, Verdict: rule.Accept}
	if lo != nil || hi != nil {
		r, err := rule.Named(rule.Guarded, 0)
		if err != nil {
			panic("allocate: " + err.Error())
		}
		s.Chance = inside(float64(y), u, lo, hi)
		s.Verdict = r.Verdict(float64(y), u, math.Inf(1), lo, hi)
	}
	return s
}

// inside is the chance that a result lies within its limits, by the normal law.
func inside(y, u float64, lo, hi *float64) float64 {
	return rule.Conformance(y, u, math.Inf(1), lo, hi)
}

// together is the least that the chance of all lying within can be, whatever
// they have in common.
//
//	P(all) ≥ 1 − Σ (1 − pᵢ)
//
// Source: C. E. Bonferroni's inequality.
func together(chances []float64) float64 {
	p := 1.0
	for _, c := range chances {
		p -= 1 - c
	}
	return math.Max(0, p)
}

// Aim is what makes one selection better than another.
type Aim string

// The aims. Whatever the aim, what is to be bought comes before it, and the sum
// of squared deviations from the target decides between equals.
const (
	Target Aim = "target" // least sum of squared deviations from the target
	Worst  Aim = "worst"  // least deviation of the worst place
	Spread Aim = "spread" // least difference between the places
)

// Aims lists them, the default first.
func Aims() []string { return []string{string(Target), string(Worst), string(Spread)} }

// Proof says why nothing better exists: how the last question was settled, and
// how far the answer may be from the best.
type Proof struct {
	Method string // "dual": dual values alone; "search": every branch ended; "sweep": every band was tried; "open": it was not settled
	Nodes  int
	// Gap is the most by which the worst place, or the root mean square, may be
	// too large; nought where proved. Units as the sizes.
	Gap float64
}
