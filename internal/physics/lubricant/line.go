// Package lubricant is an engine oil: how thick it is when cold and hot, at rest
// and under shear, how heavy, what its viscosity index is, which grade it meets,
// and what petrol in it does.
//
// Temperatures are °C, kinematic viscosities m²/s, dynamic ones Pa·s, densities
// kg/m³, shear rates 1/s. Sources, ranges and what is left out stand in
// doc/model/lubricant.md.
package lubricant

import (
	"fmt"
	"math"
)

// Form is the form of the viscosity-temperature line.
type Form uint8

// The two forms of ASTM D341.
const (
	Full    Form = iota // with the exponential term, from 0.21 mm²/s
	Walther             // ν + 0.7 alone, above 2 mm²/s
)

// Range in which a line is asked; beyond it the value at its end is given.
const (
	Coldest = -60.0 // °C
	Hottest = 300.0
)

const (
	zero      = 273.15
	perSquare = 1e6 // mm²/s in one m²/s
	thinnest  = 0.21
	thickest  = 2e7
	bare      = 2.0 // from where the exponential term counts for nothing
)

// Point is a measured kinematic viscosity.
type Point struct{ T, V float64 }

// Line is a straight line of viscosity over temperature on the chart of ASTM
// D341.
type Line struct {
	A, B float64
	Form Form
}

// NewLine draws the line through two points.
//
//	log₁₀ log₁₀ Z = A − B log₁₀ T
//	Z = ν + 0.7 + exp(−1.47 − 1.84 ν − 0.51 ν²)    Full
//	Z = ν + 0.7                                    Walther
//
// with ν in mm²/s and T in K.
//
// Shapes: two points -> one line.
// Units:  °C, m²/s.
// Errors: a point outside 0.21 to 2·10⁷ mm²/s or outside −60 to 300 °C; Walther's
// form with a point under 2 mm²/s; points less than 5 °C apart; an oil that does
// not get thinner when hot, or a line steeper than B = 10.
// Valid:  0.21 to 2·10⁷ mm²/s; far outside the two points it is a guess.
// Source: ASTM D341, formula from memory.
func NewLine(p, q Point, form Form) (Line, error) {
	for _, x := range []Point{p, q} {
		v := x.V * perSquare
		switch {
		case !(v >= thinnest*(1-1e-9) && v <= thickest):
			return Line{}, fmt.Errorf("lubricant: %g mm²/s at %g °C: a viscosity from 0.21 to 2·10⁷ mm²/s is expected", v, x.T)
		case form == Walther && v < bare:
			return Line{}, fmt.Errorf("lubricant: %g mm²/s at %g °C: the short form takes 2 mm²/s or more; the full one takes it", v, x.T)
		case !(x.T >= Coldest && x.T <= Hottest):
			return Line{}, fmt.Errorf("lubricant: %g °C: a temperature from −60 to 300 °C is expected", x.T)
		}
	}
	if math.Abs(p.T-q.T) < 5 {
		return Line{}, fmt.Errorf("lubricant: %g and %g °C: two temperatures at least 5 °C apart are expected", p.T, q.T)
	}
	x, y := math.Log10(p.T+zero), math.Log10(q.T+zero)
	w, v := form.height(p.V), form.height(q.V)
	l := Line{B: (w - v) / (y - x), Form: form}
	l.A = w + l.B*x
	if !(l.B > 0 && l.B <= 10) {
		return Line{}, fmt.Errorf("lubricant: %g mm²/s at %g °C and %g at %g °C: an oil that gets thinner when hot is expected, with a slope of 10 at most (found %.3g)",
			p.V*perSquare, p.T, q.V*perSquare, q.T, l.B)
	}
	return l, nil
}

// height is log₁₀ log₁₀ Z.
func (f Form) height(v float64) float64 {
	v *= perSquare
	z := v + 0.7
	if f == Full {
		z += extra(v)
	}
	return math.Log10(math.Log10(z))
}

func extra(v float64) float64 { return math.Exp(-1.47 - 1.84*v - 0.51*v*v) }

// Kinematic is the viscosity at a temperature.
//
// The full form is turned round by Newton's method to the last digit, not by the
// printed approximation ν = (Z − 0.7) − exp(−0.7487 − 3.295 (Z − 0.7) + 0.6119
// (Z − 0.7)² − 0.3193 (Z − 0.7)³), which is off by up to 3·10⁻⁴.
//
// Shapes: scalar -> scalar.
// Units:  °C -> m²/s.
// Errors: none; a temperature outside −60 to 300 °C counts as the nearer end.
// Valid:  0.21 to 2·10⁷ mm²/s; see NewLine.
// Source: ASTM D341, formula from memory.
func (l Line) Kinematic(t float64) float64 {
	v := l.at(t)
	return v / perSquare
}

// at is the viscosity in mm²/s.
func (l Line) at(t float64) float64 {
	t = math.Min(math.Max(t, Coldest), Hottest)
	if math.IsNaN(t) {
		t = Hottest // a film that asks for nothing gets the thin end, never NaN
	}
	// Z is held where a float can hold it: 10^300 mm²/s is no fluid.
	z := math.Pow(10, math.Min(math.Pow(10, l.A-l.B*math.Log10(t+zero)), 300))
	if l.Form == Walther {
		return z - 0.7
	}
	v := math.Max(z-0.7, 0) // from above; Z(ν) rises and bends upward where the term counts
	for range 60 {
		e := extra(v)
		step := (v + 0.7 + e - z) / (1 - (1.84+1.02*v)*e)
		if v -= step; math.Abs(step) <= 1e-14*v {
			break
		}
		v = math.Max(v, 0)
	}
	return math.Max(v, least)
}

// least is where Z comes down to 1 and its logarithm ends, in mm²/s.
const least = 0.1
