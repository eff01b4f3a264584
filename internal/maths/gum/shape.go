package gum

import (
	"fmt"
	"math"
)

// Shape is a distribution with its parameters. Each constructor checks its
// parameters; the zero Shape is none at all. Shapes can be compared.
type Shape struct {
	dist Dist
	set  bool
	// Location and scale as the sampler uses them: centre and half width where
	// there are limits, mean and deviation of a normal, location and scale of a
	// t, mean of an exponential, count of a gamma.
	at, width float64
	form      float64 // dof of a t; β of a trapezoid; d of inexact limits
}

// IsZero reports that no distribution is given.
func (s Shape) IsZero() bool { return !s.set }

// Dist is the kind of distribution.
func (s Shape) Dist() Dist { return s.dist }

// Gaussian is the normal distribution N(mean, sd²).
//
// Errors: a mean that is not finite, sd not above zero.
// Source: JCGM 101:2008, 6.4.7.
func Gaussian(mean, sd float64) (Shape, error) {
	return shape(Normal, mean, sd, 0, "a normal distribution takes a finite mean and a deviation above zero, got %v and %v", mean, sd)
}

// StudentT is the scaled and shifted t distribution t_ν(x, s²): s is its scale,
// and its standard deviation is s·√(ν/(ν−2)), which is larger.
//
// Errors: parameters that are not finite, scale or dof not above zero.
// Source: JCGM 101:2008, 6.4.9.
func StudentT(x, scale, dof float64) (Shape, error) {
	if !(dof > 0) || math.IsInf(dof, 1) {
		return Shape{}, fmt.Errorf("a t distribution takes degrees of freedom above zero, got %v", dof)
	}
	return shape(Student, x, scale, dof, "a t distribution takes a finite centre and a scale above zero, got %v and %v", x, scale)
}

// Uniform is the rectangular distribution R(a, b).
//
// Errors: limits that are not finite, b not above a.
// Source: JCGM 101:2008, 6.4.2.
func Uniform(a, b float64) (Shape, error) { return between(Rectangular, a, b, 0) }

// Inexact is the curvilinear trapezoid CTrap(a, b, d): rectangular between
// limits that are themselves only known to ±d.
//
// Errors: limits that are not finite, b not above a, d outside 0 ≤ d < (b−a)/2.
// Source: JCGM 101:2008, 6.4.3.
func Inexact(a, b, d float64) (Shape, error) {
	if !(d >= 0) || !(d < (b-a)/2) {
		return Shape{}, fmt.Errorf("limits %v and %v may be inexact by 0 to less than half their distance, got %v", a, b, d)
	}
	return between(Curvilinear, a, b, d)
}

// Trapezium is the symmetric trapezoid Trap(a, b, β); β is its top over its
// base: 1 is a rectangle, 0 a triangle.
//
// Errors: limits that are not finite, b not above a, β outside 0 to 1.
// Source: JCGM 101:2008, 6.4.4.
func Trapezium(a, b, beta float64) (Shape, error) {
	if !(beta >= 0 && beta <= 1) {
		return Shape{}, fmt.Errorf("a trapezoid takes a top of 0 to 1 of its base, got %v", beta)
	}
	return between(Trapezoidal, a, b, beta)
}

// Triangle is the symmetric triangular distribution T(a, b).
//
// Errors: limits that are not finite, b not above a.
// Source: JCGM 101:2008, 6.4.5.
func Triangle(a, b float64) (Shape, error) { return between(Triangular, a, b, 0) }

// Cycle is the arcsine distribution U(a, b) of a value that swings as a sine
// between a and b.
//
// Errors: limits that are not finite, b not above a.
// Source: JCGM 101:2008, 6.4.6.
func Cycle(a, b float64) (Shape, error) { return between(Arcsine, a, b, 0) }

// Decay is the exponential distribution Ex(1/x) of a value that is not below
// zero and of which no more than its best estimate x is known.
//
// Errors: x not above zero or not finite.
// Source: JCGM 101:2008, 6.4.10.
func Decay(x float64) (Shape, error) {
	return shape(Exponential, x, x, 0, "an exponential distribution takes a mean above zero, got %v and %v", x, x)
}

// Count is the gamma distribution G(q+1, 1) of the mean number of objects of
// which q were counted once, with nothing known before.
//
// Errors: q below zero or not finite.
// Source: JCGM 101:2008, 6.4.11.
func Count(q float64) (Shape, error) {
	return shape(Gamma, q, q+1, 0, "a count is zero or more, got %v and %v", q, q+1)
}

func between(k Dist, a, b, form float64) (Shape, error) {
	return shape(k, (a+b)/2, (b-a)/2, form, "limits must be finite and rise, got %v and %v", a, b)
}

func shape(k Dist, at, width, form float64, text string, a, b float64) (Shape, error) {
	if math.IsNaN(at) || math.IsInf(at, 0) || !(width > 0) || math.IsInf(width, 1) || (k == Gamma && at < 0) {
		return Shape{}, fmt.Errorf(text, a, b)
	}
	return Shape{dist: k, set: true, at: at, width: width, form: form}, nil
}

// Mean of the distribution; of a t with no more than one degree of freedom,
// which has none, the centre.
func (s Shape) Mean() float64 {
	if s.dist == Gamma {
		return s.width
	}
	return s.at
}

// Deviation is the standard deviation; ok is false for a t with no more than
// two degrees of freedom, which has none.
//
//	CTrap(a, b, d)    s² = (b−a)²/12 + d²/9
//	Trap(a, b, β)     s² = (b−a)²(1+β²)/24
//	t_ν(x, s²)        s² · ν/(ν−2)
//
// Shapes: scalar.
// Units:  those of the limits.
// Errors: none.
// Source: JCGM 101:2008, 6.4.2 to 6.4.11.
func (s Shape) Deviation() (sd float64, ok bool) {
	w := s.width
	switch s.dist {
	case Student:
		if s.form <= 2 {
			return 0, false
		}
		return w * math.Sqrt(s.form/(s.form-2)), true
	case Rectangular:
		return w / math.Sqrt(3), true
	case Curvilinear:
		return math.Sqrt(w*w/3 + s.form*s.form/9), true
	case Trapezoidal:
		return w * math.Sqrt((1+s.form*s.form)/6), true
	case Triangular:
		return w / math.Sqrt(6), true
	case Arcsine:
		return w / math.Sqrt2, true
	case Gamma:
		return math.Sqrt(w), true
	}
	return w, true
}

// Leaf is a cause with this distribution: its value is the mean, its standard
// uncertainty the deviation; a t gives its scale and its degrees of freedom, as
// first order wants them.
func (s Shape) Leaf(key string, kind Kind) Leaf {
	l := Leaf{Key: key, Kind: kind, Value: s.Mean(), Dist: s.dist, Shape: s}
	if s.dist == Student {
		l.U, l.Dof = s.width, s.form
		return l
	}
	l.U, _ = s.Deviation()
	return l
}

// shaped is the distribution that a leaf has in Monte Carlo: the one it holds,
// or the one its Dist, value and standard uncertainty stand for. A normal leaf
// with finite degrees of freedom is a t (JCGM 101:2008, 6.4.9). U is above zero.
func shaped(l *Leaf) Shape {
	if !l.Shape.IsZero() {
		return l.Shape
	}
	s := Shape{dist: l.Dist, set: true, at: l.Value, width: l.U}
	switch l.Dist {
	case Normal:
		if l.Dof > 0 && !math.IsInf(l.Dof, 1) {
			s.dist, s.form = Student, l.Dof
		}
	case Student:
		s.form = l.Dof
		if !(l.Dof > 0) || math.IsInf(l.Dof, 1) {
			s.dist = Normal
		}
	case Rectangular:
		s.width *= math.Sqrt(3)
	case Triangular:
		s.width *= math.Sqrt(6)
	case Arcsine:
		s.width *= math.Sqrt2
	default:
		panic(fmt.Sprintf("gum: leaf %s needs a Shape for its distribution", l.Key))
	}
	return s
}
