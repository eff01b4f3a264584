package gum

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Quantile is the value below which a part p of the distribution lies.
//
// Shapes: scalar -> scalar.
// Units:  p 0..1 -> those of the limits.
// Errors: p outside 0 < p < 1 panics; that is the caller's mistake.
// Source: JCGM 101:2008, 6.4, with C.2 for the inverse of a distribution
// function.
func (s Shape) Quantile(p float64) float64 {
	if !(p > 0 && p < 1) {
		panic(fmt.Sprintf("gum: quantile of probability %v", p))
	}
	x, w := s.at, s.width
	switch s.dist {
	case Normal:
		return x + w*distuv.UnitNormal.Quantile(p)
	case Student:
		return x + w*distuv.StudentsT{Sigma: 1, Nu: s.form}.Quantile(p)
	case Rectangular:
		return x + w*(2*p-1)
	case Arcsine:
		return x + w*math.Sin(math.Pi*(p-0.5))
	case Exponential:
		return -w * math.Log1p(-p)
	case Gamma:
		return distuv.Gamma{Alpha: w, Beta: 1}.Quantile(p)
	}
	// The three symmetric ones that are left: by halves, outward from the centre.
	if p < 0.5 {
		return 2*x - s.Quantile(1-p)
	}
	switch s.dist {
	case Trapezoidal:
		return x + w*trapezoid(s.form, p)
	case Triangular:
		return x + w*trapezoid(0, p)
	}
	return x + inexact(w, s.form, p)
}

// trapezoid is the upper half of the quantile of a trapezoid on −1..1 with top β.
func trapezoid(beta, p float64) float64 {
	if t := (2*p - 1) * (1 + beta) / 2; t <= beta {
		return t
	}
	return 1 - math.Sqrt(2*(1-p)*(1-beta*beta))
}

// inexact is the upper half of the quantile of a value that is rectangular on
// ±W, with W rectangular on w ± d: its distribution function is the mean of
// ½(1 + min(y/W, 1)) over W.
func inexact(w, d, p float64) float64 {
	if d < 1e-6*w { // less than logarithms can tell, and no matter
		return w * (2*p - 1)
	}
	lo, hi := 0.0, w+d
	for range 60 {
		mid := (lo + hi) / 2
		if farther(w, d, mid) < 2*p-1 {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}
