package gum

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Factor is the coverage factor of a two-sided interval under a normal law, or a
// t law where dof is finite. The Guide takes the whole degrees of freedom below
// an effective number (G.4.1, note 1): Factor(p, math.Floor(dof)).
//
// Shapes: scalars.
// Units:  p 0..1, dof > 0 -> k.
// Errors: p outside 0 < p < 1, dof not above zero.
// Source: JCGM 100:2008, G.3.2, G.3.4 and table G.2.
func Factor(p, dof float64) (float64, error) {
	if !(p > 0 && p < 1) || !(dof > 0) {
		return 0, fmt.Errorf("a coverage factor takes a probability between 0 and 1 and degrees of freedom above 0, got %v and %v", p, dof)
	}
	if math.IsInf(dof, 1) {
		return distuv.UnitNormal.Quantile((1 + p) / 2), nil
	}
	return distuv.StudentsT{Sigma: 1, Nu: dof}.Quantile((1 + p) / 2), nil
}

// TrapezoidFactor is the coverage factor of a symmetric trapezoid whose top is
// β of its base.
//
//	k = [1 − √((1 − p)(1 − β²))] / √((1 + β²)/6)     for p ≥ 2β/(1 + β)
//	k = p(1 + β)/2 / √((1 + β²)/6)                     below that
//
// Shapes: scalars.
// Units:  p 0..1, β 0..1 -> k.
// Errors: p or β outside.
// Source: EA-4/02 M:2013, supplement 2, example S10 (from memory); the second
// line is the same geometry on the flat top.
func TrapezoidFactor(p, beta float64) (float64, error) {
	if !(p > 0 && p < 1) || !(beta >= 0 && beta <= 1) {
		return 0, fmt.Errorf("a trapezoid takes a probability between 0 and 1 and a top of 0 to 1 of its base, got %v and %v", p, beta)
	}
	return trapezoid(beta, (1+p)/2) / math.Sqrt((1+beta*beta)/6), nil
}

// EffectiveDof joins components that were given with their degrees of freedom,
// +Inf where they are known.
//
//	ν_eff = u_c⁴ / Σ (u_i⁴/ν_i)
//
// Shapes: u_c, n components, n degrees of freedom -> scalar, not rounded.
// Units:  u_c and u alike.
// Errors: lists of different lengths; a ν that is not above zero.
// Source: JCGM 100:2008, G.4.1, eq. (G.2b).
func EffectiveDof(uc float64, u, dof []float64) (float64, error) {
	if len(u) != len(dof) {
		return 0, fmt.Errorf("%d components and %d degrees of freedom; each takes one", len(u), len(dof))
	}
	var s float64
	for i, v := range u {
		if !(dof[i] > 0) {
			return 0, fmt.Errorf("component %d has %v degrees of freedom; they lie above 0", i+1, dof[i])
		}
		s += v * v * v * v / dof[i]
	}
	if s == 0 {
		return math.Inf(1), nil
	}
	return uc * uc * uc * uc / s, nil
}

// Law names the shape that a coverage factor was taken from.
type Law string

// The laws of Expanded.
const (
	ByNormal    Law = "normal"
	ByStudent   Law = "student-t"
	ByTrapezoid Law = "trapezoid" // one or two rectangular causes outweigh all else
)

// Expanded is an expanded uncertainty with how it came about.
type Expanded struct {
	U, K float64
	P    float64
	Law  Law
	Dof  float64 // effective, not rounded
	Beta float64 // top over base of the trapezoid; 1 is a rectangle
}

// dominates is the most that all other causes together may have of the
// uncertainty of one or two rectangular ones, for these to say the shape.
//
// Source: EA-4/02 M:2013, supplement 2, S9.14 (from memory).
const dominates = 0.3

// Expanded is the expanded uncertainty of a node that covers p: by the trapezoid
// where one or two rectangular causes outweigh all others, else by the t law of
// the effective degrees of freedom as they are.
//
// Shapes: node -> Expanded.
// Units:  U as the node.
// Errors: p outside 0 < p < 1.
// Source: JCGM 100:2008, 6.2 and annex G; EA-4/02 M:2013, S9 and S10 (from
// memory).
func (g *Graph) Expanded(id ID, p float64) (Expanded, error) {
	e := Expanded{P: p, Law: ByNormal, Dof: g.Dof(id)}
	if !math.IsInf(e.Dof, 1) {
		e.Law = ByStudent
	}
	k, err := Factor(p, e.Dof)
	if err != nil {
		return Expanded{}, err
	}
	if beta, ok := g.corner(id); ok {
		e.Law, e.Beta = ByTrapezoid, beta
		if k, err = TrapezoidFactor(p, beta); err != nil {
			return Expanded{}, err
		}
	}
	e.K, e.U = k, k*g.U(id)
	return e, nil
}

// corner is the trapezoid of the one or two rectangular causes that outweigh the
// rest of a budget.
func (g *Graph) corner(id ID) (beta float64, ok bool) {
	b := g.Budget(id)
	for n := 1; n <= 2 && n <= len(b); n++ {
		if l := b[n-1].Leaf; shaped(&l).dist != Rectangular {
			return 0, false
		}
		var part float64
		for _, s := range b[:n] {
			part += s.Part
		}
		if math.Sqrt(math.Max(0, 1-part)) > dominates*math.Sqrt(part) {
			continue
		}
		if n == 1 {
			return 1, true
		}
		w0, w1 := math.Sqrt(b[0].Part), math.Sqrt(b[1].Part) // half widths, but for a factor
		return (w0 - w1) / (w0 + w1), true
	}
	return 0, false
}
