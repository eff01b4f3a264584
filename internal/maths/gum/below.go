package gum

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Below is the part of a distribution that lies below x, the inverse of
// Quantile.
//
// Shapes: scalar -> scalar.
// Units:  that of the limits -> probability.
// Errors: none; the zero Shape gives 0.
// Source: JCGM 101:2008, 6.4.2 to 6.4.11, densities integrated.
func (s Shape) Below(x float64) float64 {
	if !s.set {
		return 0
	}
	z := (x - s.at) / s.width
	switch s.dist {
	case Normal:
		return distuv.UnitNormal.CDF(z)
	case Student:
		return distuv.StudentsT{Sigma: 1, Nu: s.form}.CDF(z)
	case Arcsine:
		return 0.5 + math.Asin(math.Max(-1, math.Min(1, z)))/math.Pi
	case Exponential:
		return -math.Expm1(-math.Max(0, x) / s.width)
	case Gamma:
		if x <= 0 {
			return 0
		}
		return distuv.Gamma{Alpha: s.width, Beta: 1}.CDF(x)
	}
	half := s.within(math.Abs(x - s.at)) // of the values, no farther from the centre
	if z < 0 {
		return (1 - half) / 2
	}
	return (1 + half) / 2
}

// within is the part of a symmetric distribution with limits that lies no
// farther from its centre than y.
func (s Shape) within(y float64) float64 {
	w, d := s.width, s.form
	switch s.dist {
	case Trapezoidal, Triangular:
		t := y / w
		switch {
		case t >= 1:
			return 1
		case t <= d:
			return 2 * t / (1 + d)
		}
		return 1 - (1-t)*(1-t)/(1-d*d)
	case Curvilinear:
		switch {
		case y >= w+d:
			return 1
		case d < 1e-6*w:
			return math.Min(1, y/w)
		}
		return farther(w, d, y)
	}
	return math.Min(1, y/w)
}

// farther is the mean of min(y/W, 1) over W between w − d and w + d.
func farther(w, d, y float64) float64 {
	if y <= w-d {
		return y * math.Log((w+d)/(w-d)) / (2 * d)
	}
	return (y - (w - d) + y*math.Log((w+d)/y)) / (2 * d)
}
