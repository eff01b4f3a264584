// Package rule decides: what may be said of a value with its doubt against
// limits, by decision rules that carry their names and editions.
package rule

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Verdict is what may be said of a value. There are four.
type Verdict string

// The verdicts.
const (
	Accept     Verdict = "accept"
	Reject     Verdict = "reject"
	Undecided  Verdict = "undecided"
	Unmeasured Verdict = "unmeasured"
)

// Decide gives the verdict on a value y with standard uncertainty u against
// limits, either of which may be open.
//
//	accept     lo + g ≤ y ≤ hi − g
//	reject     y ≤ lo − g  or  y ≥ hi + g
//	undecided  otherwise,  g = k·u
//
// Shapes: scalars; lo, hi nil where open.
// Units:  y, u, lo, hi in one unit; k dimensionless ≥ 0.
// Errors: none; u ≥ 0 is the caller's.
// Source: ISO 14253-1:2017; JCGM 106:2012, clause 8.
func Decide(y, u, k float64, lo, hi *float64) Verdict {
	g := k * u
	low := lo == nil || y >= *lo+g
	high := hi == nil || y <= *hi-g
	switch {
	case low && high:
		return Accept
	case lo != nil && y < *lo && y <= *lo-g, hi != nil && y > *hi && y >= *hi+g:
		return Reject
	}
	return Undecided
}

// Conformance is the probability that the true value lies within the limits.
//
//	p = F((hi − y)/u) − F((lo − y)/u)
//
// Shapes, Units: as Decide; dof > 0, +Inf for a normal law.
// Errors: none.
// Source: JCGM 106:2012, 7.2 to 7.4, with the standard normal or t distribution
// of dof degrees of freedom for F.
func Conformance(y, u, dof float64, lo, hi *float64) float64 {
	if u == 0 {
		if (lo == nil || y >= *lo) && (hi == nil || y <= *hi) {
			return 1
		}
		return 0
	}
	cdf := distuv.UnitNormal.CDF
	if !math.IsInf(dof, 1) {
		cdf = distuv.StudentsT{Mu: 0, Sigma: 1, Nu: dof}.CDF
	}
	p := 1.0
	if hi != nil {
		p = cdf((*hi - y) / u)
	}
	if lo != nil {
		p -= cdf((*lo - y) / u)
	}
	return math.Max(0, p)
}

// Coverage is the factor of the expanded uncertainty: 2 where the degrees of
// freedom are many, else that of the t distribution for the same 95.45 %.
//
// Source: JCGM 100:2008, G.3.4 and table G.2.
func Coverage(dof float64) float64 {
	if math.IsInf(dof, 1) || dof > 1000 {
		return 2
	}
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: math.Max(1, dof)}.Quantile(0.5 + 0.9545/2)
}

// Past is how far y lies outside the limits, signed; 0 inside.
func Past(y float64, lo, hi *float64) float64 {
	switch {
	case lo != nil && y < *lo:
		return y - *lo
	case hi != nil && y > *hi:
		return y - *hi
	}
	return 0
}
