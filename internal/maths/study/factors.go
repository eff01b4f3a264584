package study

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/integrate/quad"
)

// RangeFactors say what the range of n normal readings is, in standard
// deviations: D2 its mean, D3 its standard deviation.
type RangeFactors struct{ D2, D3 float64 }

// RangeOf works out the mean and standard deviation of the range of n draws
// from the standard normal law.
//
//	d₂ = ∫ [1 − Φⁿ − (1 − Φ)ⁿ] dx
//	F(w) = n ∫ φ(x) [Φ(x + w) − Φ(x)]ⁿ⁻¹ dx
//	d₃ = √[2 ∫ w (1 − F(w)) dw − d₂²]
//
// Shapes: n -> two factors.
// Units:  standard deviations.
// Errors: n below 2 or above 1000.
// Valid:  normal readings, independent.
// Source: L.H.C. Tippett, Biometrika 17 (1925) 364-387, from memory.
func RangeOf(n int) (RangeFactors, error) {
	if n < 2 || n > 1000 {
		return RangeFactors{}, fmt.Errorf("study: range of %d readings: from 2 to 1000", n)
	}
	k := float64(n)
	d2 := acrossNormal(func(x float64) float64 { return 1 - math.Pow(phi(x), k) - math.Pow(phi(-x), k) })
	var square float64
	const panel, order = 2.0, 12
	for w := 0.0; w < 2*reach; w += panel {
		square += quad.Fixed(func(w float64) float64 {
			return 2 * w * (1 - k*acrossNormal(func(x float64) float64 {
				return math.Exp(-x*x/2) / math.Sqrt(2*math.Pi) * math.Pow(phi(x+w)-phi(x), k-1)
			}))
		}, w, w+panel, order, quad.Legendre{}, 0)
	}
	return RangeFactors{d2, math.Sqrt(square - d2*d2)}, nil
}

// reach is how far out the normal law is followed; what lies beyond is less
// than 10⁻¹⁸.
const reach = 9.0

// acrossNormal integrates what dies away on both sides like the normal law. For such
// functions equal steps are as good as any rule.
func acrossNormal(f func(float64) float64) float64 {
	const h = 0.15
	var s float64
	for i := -int(reach / h); i <= int(reach/h); i++ {
		s += f(float64(i) * h)
	}
	return h * s
}

// single is d₂*, the factor of the standard deviation taken from one range so
// that its square is right on average.
func (f RangeFactors) single() float64 { return math.Hypot(f.D2, f.D3) }

// phi is the standard normal law.
func phi(x float64) float64 { return math.Erfc(-x/math.Sqrt2) / 2 }
