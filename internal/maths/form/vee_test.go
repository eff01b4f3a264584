package form

import (
	"math"
	"testing"
)

// reach is how far the lobed profile extends in direction a, by brute force
// over its outline: a flank or an anvil touches there, wherever the touch is.
func reach(order int, radius, c, turned, a float64) float64 {
	best := 0.0
	for k := -4000; k <= 4000; k++ {
		f := a + 0.05*float64(k)/4000
		r := radius + c*math.Cos(float64(order)*(f+turned))
		best = math.Max(best, r*math.Cos(f-a))
	}
	return best
}

// rested turns a lobed part in a vee and returns the indicator's movement over
// the height of the lobes. The part sinks along each flank until it touches;
// the indicator has a flat foot across the bisector.
func rested(order int, alpha, radius, c float64) float64 {
	hi, lo := math.Inf(-1), math.Inf(1)
	for k := range 48 {
		turned := 2 * math.Pi * float64(k) / (48 * float64(order))
		up := math.Pi / 2
		left, right := reach(order, radius, c, turned, up+math.Pi/2+alpha), reach(order, radius, c, turned, up-math.Pi/2-alpha)
		// Flanks through the origin: the centre stands left and right away
		// from them, x cos α + y sin α = left, −x cos α + y sin α = right.
		y := (left + right) / (2 * math.Sin(alpha))
		s := y + reach(order, radius, c, turned, up)
		hi, lo = math.Max(hi, s), math.Min(lo, s)
	}
	return (hi - lo) / (2 * c)
}

// Law: the formula is what a lobed part turned in a vee does. c/R = 10⁻⁶, so
// the first-order terms left out are below n²·10⁻⁶ ≈ 10⁻⁴; with the outline
// stepped at 1.25·10⁻⁵ rad and 48 turns a lobe the rest stays below 10⁻³.
func TestLawVeeFactorOfRotatedProfile(t *testing.T) {
	for _, included := range []float64{60, 72, 90, 108, 120} {
		alpha := included / 2 * math.Pi / 180
		for order := 2; order <= 9; order++ {
			k := must[float64](t)(VeeFactor(order, alpha))
			near(t, "vee", rested(order, alpha, 25, 25e-6), math.Abs(k), 2e-3)
		}
	}
}

// ISO 4292:1985, symmetrical three-point method, factors from memory as printed
// to two decimals; tolerance half a unit of the second.
func TestISO4292ThreePointFactors(t *testing.T) {
	for _, c := range []struct {
		included float64
		order    int
		want     float64
	}{
		{90, 2, 1.00}, {90, 3, 2.00}, {90, 4, 0.41}, {90, 5, 2.00}, {90, 7, 0},
		{60, 2, 0}, {60, 3, 3.00}, {60, 5, 0}, {60, 9, 3.00},
		{120, 2, 1.58}, {120, 3, 1.00}, {120, 5, 2.00},
	} {
		k := must[float64](t)(VeeFactor(c.order, c.included/2*math.Pi/180))
		near(t, "factor", math.Abs(k), c.want, 0.005)
	}
	near(t, "eccentricity", must[float64](t)(VeeFactor(1, 0.6)), 0, 1e-15)
}

// Law: two-point diameters follow TwoPointFactor. Synthetic profile.
func TestLawTwoPointFactor(t *testing.T) {
	for order := 1; order < 10; order++ {
		radii := make([]float64, 720)
		for i := range radii {
			radii[i] = 30 + 0.004*math.Cos(float64(order)*2*math.Pi*float64(i)/720)
		}
		d := must[[]float64](t)(Diameters(radii))
		hi, lo := d[0], d[0]
		for _, v := range d {
			hi, lo = math.Max(hi, v), math.Min(lo, v)
		}
		// Radii half a degree apart catch crests and troughs of every even order
		// below 10 exactly.
		near(t, "range of diameters", hi-lo, TwoPointFactor(order)*0.008, 1e-12)
	}
}
