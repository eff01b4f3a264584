// Package risk says how often a decision rule is wrong: for one value that was
// measured (specific risk), and over all that a process makes (global risk).
//
// Consumer's risk is that of accepting what does not conform, producer's risk
// that of rejecting what does. The rules themselves are not made here.
//
// Notation, sources and the accuracy reached stand in doc/model/studies.md.
package risk

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Range is a closed range of values. An open side is an infinity.
type Range struct{ Low, High float64 }

// Below is everything up to a limit, Above everything from one.
func Below(high float64) Range { return Range{math.Inf(-1), high} }

// Above is everything from a limit.
func Above(low float64) Range { return Range{low, math.Inf(1)} }

// Guarded is the range with a guard band taken off each closed side; a negative
// width adds one.
func (r Range) Guarded(w float64) Range { return Range{r.Low + w, r.High - w} }

// check refuses a range that is none.
func (r Range) check(what string) error {
	if !(r.Low < r.High) || math.IsInf(r.Low, -1) && math.IsInf(r.High, 1) {
		return fmt.Errorf("risk: %s from %v to %v: the lower must be below the upper, and at least one finite", what, r.Low, r.High)
	}
	return nil
}

func uncertain(u float64) error {
	if !(u > 0) || math.IsInf(u, 1) {
		return fmt.Errorf("risk: standard uncertainty %v: a positive number is needed", u)
	}
	return nil
}

func chance(what string, p float64) error {
	if !(p > 0 && p < 1) {
		return fmt.Errorf("risk: %s of %v: between 0 and 1", what, p)
	}
	return nil
}

// phi is the standard normal law, with its digits kept in the lower tail.
func phi(x float64) float64 { return math.Erfc(-x/math.Sqrt2) / 2 }

// within is the chance that a normal draw about m falls into the range.
func (r Range) within(m, u float64) float64 {
	lo, hi := (r.Low-m)/u, (r.High-m)/u
	if lo > 0 {
		return phi(-lo) - phi(-hi)
	}
	return phi(hi) - phi(lo)
}

// beyond is the chance that it does not.
func (r Range) beyond(m, u float64) float64 {
	return phi((r.Low-m)/u) + phi((m-r.High)/u)
}

// Specific returns the probability that a value measured as y does not conform,
// nothing being known of it but the measurement: the specific consumer's risk
// if it is accepted. One less that is the conformance probability.
//
//	1 − p_c = 1 − Φ((T_U − y)/u) + Φ((T_L − y)/u)
//
// Shapes: scalars -> scalar.
// Units:  one for limits, y and u -> probability.
// Errors: limits not in order or both open; y not finite; u not positive.
// Valid:  a normal law about y.
// Source: JCGM 106:2012, 7.2 to 7.4 and 9.3.
func Specific(tolerance Range, y, u float64) (float64, error) {
	if err := tolerance.check("tolerance"); err != nil {
		return 0, err
	}
	if err := uncertain(u); err != nil {
		return 0, err
	}
	if math.IsNaN(y) || math.IsInf(y, 0) {
		return 0, fmt.Errorf("risk: measured value %v: a finite number is needed", y)
	}
	return tolerance.beyond(y, u), nil
}

// SpecificGuard returns the width of the guard band at whose edge the specific
// consumer's risk is as chosen, the most that it then is for any value accepted.
//
//	Φ(−w/u) + Φ(−(T_U − T_L − w)/u) = r
//
// With one limit, or two far apart, this is w = z₁₋ᵣ u. The width is never less
// than nought.
//
// Shapes: scalars -> scalar.
// Units:  one for limits, u and width.
// Errors: limits not in order or both open; u not positive; a risk that is not
// between 0 and 1; two limits so close together that no value between them is
// as safe as that.
// Source: JCGM 106:2012, 8.3; ISO 14253-1:2017 for r = 5 %.
func SpecificGuard(tolerance Range, u, r float64) (float64, error) {
	if err := tolerance.check("tolerance"); err != nil {
		return 0, err
	}
	if err := uncertain(u); err != nil {
		return 0, err
	}
	if err := chance("consumer's risk", r); err != nil {
		return 0, err
	}
	half := (tolerance.High - tolerance.Low) / 2
	if math.IsInf(half, 1) {
		return math.Max(0, u*distuv.UnitNormal.Quantile(1-r)), nil
	}
	at := func(w float64) float64 { return phi(-w/u) + phi(-(2*half-w)/u) }
	if at(half) > r {
		return 0, fmt.Errorf("risk: limits %g apart with u = %g: even in the middle the risk is %.2g, more than %g", 2*half, u, at(half), r)
	}
	if at(0) <= r {
		return 0, nil
	}
	return falling(at, 0, half, r), nil
}

// falling finds where a falling function passes a level.
func falling(f func(float64) float64, lo, hi, level float64) float64 {
	for range 200 {
		mid := lo + (hi-lo)/2
		if mid == lo || mid == hi {
			break
		}
		if f(mid) > level {
			lo = mid
		} else {
			hi = mid
		}
	}
	return hi
}
