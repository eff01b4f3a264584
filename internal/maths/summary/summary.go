// Package summary holds summary statistics that keep their digits: sums are
// compensated and squares are taken about the mean.
//
// What was checked against which certified values stands in doc/model/form.md.
package summary

import (
	"fmt"
	"math"
)

// Sum adds with the rounding errors carried along.
//
// Shapes: n ≥ 0 values -> scalar.
// Units:  any, kept.
// Errors: none; NaN and infinities pass through.
// Source: A. Neumaier, ZAMM 54 (1974) 39-51, from memory.
func Sum(v []float64) float64 {
	var sum, lost float64
	for _, x := range v {
		t := sum + x
		if math.Abs(sum) >= math.Abs(x) {
			lost += (sum - t) + x
		} else {
			lost += (x - t) + sum
		}
		sum = t
	}
	return sum + lost
}

// Moments are the mean and spread of a sample.
type Moments struct {
	N    int
	Mean float64
	// StdDev is the sample standard deviation, with N − 1.
	StdDev float64
	// Lag1 is the autocorrelation of neighbours in the order given: near nought
	// for independent readings, high where readings drift. Zero where all
	// values are equal.
	Lag1 float64
}

// Describe returns mean, sample standard deviation and lag-1 autocorrelation.
//
//	s² = [Σ(xᵢ − x̄)² − (Σ(xᵢ − x̄))²/n]/(n − 1)
//	r₁ = Σᵢ₌₂ (xᵢ − x̄)(xᵢ₋₁ − x̄) / Σ(xᵢ − x̄)²
//
// Shapes: n ≥ 2 values -> moments.
// Units:  any, kept; Lag1 has none.
// Errors: fewer than two values; a value that is not finite.
// Source: definitions of the NIST Statistical Reference Datasets, univariate.
func Describe(v []float64) (Moments, error) {
	if len(v) < 2 {
		return Moments{}, fmt.Errorf("summary: %d values: at least 2 are needed for a spread", len(v))
	}
	if err := finite(v); err != nil {
		return Moments{}, err
	}
	mean, dev := centred(v)
	n := float64(len(v))
	square, lag := make([]float64, len(v)), make([]float64, len(v)-1)
	for i, d := range dev {
		square[i] = d * d
		if i > 0 {
			lag[i-1] = d * dev[i-1]
		}
	}
	ss := Sum(square)
	out := Moments{N: len(v), Mean: mean, StdDev: math.Sqrt(ss / (n - 1))}
	if ss > 0 {
		out.Lag1 = Sum(lag) / ss
	}
	return out, nil
}

// centred returns the mean and the deviations from it; what the rounding of
// the mean leaves is taken out of the deviations.
func centred(v []float64) (mean float64, dev []float64) {
	mean = Sum(v) / float64(len(v))
	dev = make([]float64, len(v))
	for i, x := range v {
		dev[i] = x - mean
	}
	rest := Sum(dev) / float64(len(v))
	for i := range dev {
		dev[i] -= rest
	}
	return mean + rest, dev
}

func finite(v []float64) error {
	for i, x := range v {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return fmt.Errorf("summary: value %d is %v: a finite number is needed", i, x)
		}
	}
	return nil
}
