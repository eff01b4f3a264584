package gum

import (
	"math"
	"testing"
)

// Law: Below undoes Quantile for every distribution, and is 0 and 1 outside its
// limits. Tolerance: 1e-9, the bisection of the slowest inverse.
func TestLawBelow(t *testing.T) {
	shapes := map[string]func() (Shape, error){
		"normal":    func() (Shape, error) { return Gaussian(3, 0.5) },
		"t":         func() (Shape, error) { return StudentT(3, 0.5, 4) },
		"rectangle": func() (Shape, error) { return Uniform(-1, 2) },
		"triangle":  func() (Shape, error) { return Triangle(-1, 2) },
		"trapezoid": func() (Shape, error) { return Trapezium(-1, 2, 0.4) },
		"curved":    func() (Shape, error) { return Inexact(-1, 2, 0.7) },
		"sharp":     func() (Shape, error) { return Inexact(-1, 2, 0) },
		"arcsine":   func() (Shape, error) { return Cycle(-1, 2) },
		"decay":     func() (Shape, error) { return Decay(0.3) },
		"count":     func() (Shape, error) { return Count(5) },
	}
	for name, make := range shapes {
		s, err := make()
		if err != nil {
			t.Fatal(name, err)
		}
		for p := 0.01; p < 1; p += 0.07 {
			if got := s.Below(s.Quantile(p)); math.Abs(got-p) > 1e-9 {
				t.Errorf("%s: below its quantile of %g lie %g", name, p, got)
			}
		}
		if name != "normal" && name != "t" && (s.Below(-50) != 0 || math.Abs(s.Below(1e3)-1) > 1e-12) {
			t.Errorf("%s: %g and %g outside", name, s.Below(-50), s.Below(1e3))
		}
	}
}
