package summary

import (
	"fmt"
	"math"
	"slices"
)

// normalMAD makes the median absolute deviation of a normal sample estimate its
// standard deviation: 1/Φ⁻¹(3/4).
const normalMAD = 1.482602218505602

// Middle is the median and the spread that a few odd values cannot move.
type Middle struct {
	Median float64
	// Spread is 1.4826 times the median of the distances from the median.
	Spread float64
}

// Robust returns the median and the scaled median absolute deviation.
//
//	M = median(xᵢ),   S = median(|xᵢ − M|)/Φ⁻¹(3/4)
//
// The median of an even number is the mean of the two in the middle. Both stay
// where they are until half of the values are wrong.
//
// Shapes: n ≥ 3 values -> middle.
// Units:  any, kept.
// Errors: fewer than three values; a value that is not finite.
// Source: F. R. Hampel, J. Amer. Statist. Assoc. 69 (1974) 383-393, from memory.
func Robust(v []float64) (Middle, error) {
	if len(v) < 3 {
		return Middle{}, fmt.Errorf("summary: %d values: at least 3 are needed to tell which is odd", len(v))
	}
	if err := finite(v); err != nil {
		return Middle{}, err
	}
	m := Median(v)
	dev := make([]float64, len(v))
	for i, x := range v {
		dev[i] = math.Abs(x - m)
	}
	return Middle{m, normalMAD * Median(dev)}, nil
}

// Median returns the middle value, of an even number the mean of the two.
//
// Shapes: n ≥ 1 values -> scalar.
// Units:  any, kept.
// Errors: none; no values are a mistake of the caller.
// Source: definition.
func Median(v []float64) float64 {
	s := slices.Clone(v)
	slices.Sort(s)
	n := len(s)
	if n%2 == 1 {
		return s[n/2]
	}
	return s[n/2-1] + (s[n/2]-s[n/2-1])/2
}

// Odd says how each value lies to the middle of all: -1 below, 1 above, 0
// among the others. A value is odd where it lies further from the median than
// both k spreads and apart:
//
//	|xᵢ − M| > max(k·S, apart)
//
// apart is what the test itself cannot tell apart; without it, values that agree
// by chance would make S nought and every other one odd. Of an even number of
// values M is the one of the two in the middle on the good side, up for 1 and
// down for -1, and S comes from the lower of the two distances in the middle:
// where half of the values are worn the better half says what is right.
//
// Shapes: n values -> n signs.
// Units:  apart as the values; k has none.
// Errors: as Robust; apart ≤ 0 or k ≤ 0. Good is 1 or -1.
// Source: as Robust; k = 3 is a usual limit, from memory; the side is ours.
func Odd(v []float64, k, apart float64, good int) ([]int, Middle, error) {
	if !(k > 0) || !(apart > 0) {
		return nil, Middle{}, fmt.Errorf("summary: limits %g and %g: both must be more than 0", k, apart)
	}
	if _, err := Robust(v); err != nil {
		return nil, Middle{}, err
	}
	m := Middle{Median: inner(v, good)}
	dev := make([]float64, len(v))
	for i, x := range v {
		dev[i] = math.Abs(x - m.Median)
	}
	m.Spread = normalMAD * inner(dev, -1)
	limit := math.Max(k*m.Spread, apart)
	out := make([]int, len(v))
	for i, x := range v {
		switch {
		case x-m.Median > limit:
			out[i] = 1
		case m.Median-x > limit:
			out[i] = -1
		}
	}
	return out, m, nil
}

// inner is the value in the middle, of two the one on a side.
func inner(v []float64, side int) float64 {
	s := slices.Clone(v)
	slices.Sort(s)
	if side > 0 {
		return s[len(s)/2]
	}
	return s[(len(s)-1)/2]
}
