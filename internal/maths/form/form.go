// Package form judges the shape of measured features: straightness,
// flatness, roundness, cylindricity, run-out, taper and out-of-round.
//
// Lengths are unit-agnostic: what goes in in metres comes out in metres.
// Angles are radians. Every result that a limit is set against also carries
// the partial derivatives of the width with respect to each input height, so
// that a caller can propagate uncertainty without differencing.
//
// The methods, their sources and the accuracy reached on each reference case
// stand in doc/model/form.md.
package form

import (
	"fmt"
	"math"
)

// Point is a place in a plane section.
type Point struct{ X, Y float64 }

// Point3 is a place in space.
type Point3 struct{ X, Y, Z float64 }

// Zone is the distance between the highest and the lowest point of a feature
// about a reference element, with what decided it.
//
// A height is the deviation of a point from the reference element: vertical
// for a straightness profile, along z for a plane, radial for a circle or a
// cylinder, the reading itself for a spread of readings.
type Zone struct {
	// Width is highest minus lowest; never negative.
	Width float64
	// Partials holds ∂Width/∂height of each point, in input order. Most are
	// zero: only the points that hold the zone have weight.
	Partials []float64
	// High and Low list the points that touch the upper and the lower side.
	High, Low []int
	// Tied says that the width has a kink here: more points touch than are
	// needed, Partials is one of several equally good sets, and a small change
	// of the readings may pass the weight to another point.
	Tied bool
}

// touch is the share of the width within which a point counts as touching.
const touch = 1e-9

// ulp is the relative spacing of float64.
const ulp = 0x1p-52

// contacts finds the points that touch either side of a zone; floor is the
// rounding error of the residuals.
func contacts(e []float64, floor float64) (high, low []int, width float64) {
	hi, lo := math.Inf(-1), math.Inf(1)
	for _, v := range e {
		hi, lo = math.Max(hi, v), math.Min(lo, v)
	}
	width = hi - lo
	tol := touch*width + floor
	for i, v := range e {
		if v >= hi-tol {
			high = append(high, i)
		}
		if v <= lo+tol {
			low = append(low, i)
		}
	}
	return high, low, width
}

// Spread returns the largest reading minus the smallest.
//
//	w = max dᵢ − min dᵢ
//
// Where several readings are the largest or the smallest, the weight goes to the
// first of them and the zone is marked Tied. Where all are equal, one reading is
// still the largest and another the smallest: the weight goes to the first and to
// the last, for the doubt of a width of nought is that of two readings, not none.
//
// Shapes: n ≥ 2 readings -> zone with n partials.
// Units:  any, kept.
// Errors: fewer than two readings; a reading that is not finite.
// Source: common practice, no source.
func Spread(readings []float64) (Zone, error) {
	if len(readings) < 2 {
		return Zone{}, fmt.Errorf("form: spread of %d readings: at least 2 are needed", len(readings))
	}
	if err := finite("reading", readings); err != nil {
		return Zone{}, err
	}
	z := Zone{Partials: make([]float64, len(readings))}
	z.High, z.Low, z.Width = contacts(readings, 0)
	z.Tied = len(z.High) > 1 || len(z.Low) > 1
	low := z.Low[0]
	if low == z.High[0] {
		low = z.Low[len(z.Low)-1]
	}
	z.Partials[z.High[0]]++
	z.Partials[low]--
	return z, nil
}

// Range is the width of Spread alone, without its contacts: for whoever asks many
// times.
//
//	w = max dᵢ − min dᵢ
//
// Shapes: n ≥ 2 readings -> scalar.
// Units:  any, kept.
// Errors: as of Spread.
// Source: common practice, no source.
func Range(readings []float64) (float64, error) {
	if len(readings) < 2 {
		return 0, fmt.Errorf("form: spread of %d readings: at least 2 are needed", len(readings))
	}
	if err := finite("reading", readings); err != nil {
		return 0, err
	}
	lo, hi := readings[0], readings[0]
	for _, x := range readings {
		lo, hi = min(lo, x), max(hi, x)
	}
	return hi - lo, nil
}

// finite refuses NaN and infinities.
func finite(what string, v []float64) error {
	for i, x := range v {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return fmt.Errorf("form: %s %d is %v: a finite number is needed", what, i, x)
		}
	}
	return nil
}

func sameLength(what string, a, b int) {
	if a != b {
		panic(fmt.Sprintf("form: %s: lengths %d and %d differ", what, a, b))
	}
}
