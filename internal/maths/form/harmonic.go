package form

import (
	"fmt"
	"math"
)

// Harmonic is one undulation of a round profile:
// Amplitude·cos(Order·(θ − Phase)).
type Harmonic struct {
	Order     int     // undulations a turn
	Amplitude float64 // half the height from crest to trough
	Phase     float64 // direction of a crest, rad, in [0, 2π/Order)
}

// Harmonics splits radii at given angles into mean radius and undulations.
//
//	r(θ) = R + Σₙ aₙ cos nθ + bₙ sin nθ,   n = 1 … highest
//	cₙ = √(aₙ² + bₙ²),   crest at θ = atan2(bₙ, aₙ)/n
//
// The coefficients are least squares, so the angles need not be evenly spaced;
// where they are, this is the discrete Fourier series. Order 1 is the
// eccentricity of the trace, not form.
//
// Shapes: n angles, n radii -> mean, one Harmonic for each order 1 … highest.
// Units:  angles rad; radii any, kept.
// Errors: highest < 1; fewer than 2·highest + 1 radii; a value that is not
// finite; angles so placed that an order cannot be told from another.
// Source: ISO 12181-1:2011 (undulations per revolution); Fourier series.
func Harmonics(angles, radii []float64, highest int) (float64, []Harmonic, error) {
	sameLength("angles and radii", len(angles), len(radii))
	if highest < 1 || len(radii) < 2*highest+1 {
		return 0, nil, fmt.Errorf("form: %d undulations a turn asked of %d radii: at least 1 undulation, and 2·undulations + 1 radii, are needed", highest, len(radii))
	}
	if err := finite("angle", angles); err != nil {
		return 0, nil, err
	}
	if err := finite("radius", radii); err != nil {
		return 0, nil, err
	}
	level := mean(radii)
	jac, z := rows(len(radii), 2*highest+1), make([]float64, len(radii))
	for i, t := range angles {
		z[i], jac[i][0] = radii[i]-level, 1
		for n := 1; n <= highest; n++ {
			jac[i][2*n], jac[i][2*n-1] = math.Sincos(float64(n) * t)
		}
	}
	p, ok := leastSquares(jac, z)
	if !ok {
		return 0, nil, fmt.Errorf("form: the %d angles cannot tell %d undulations a turn apart: spread them over the turn or ask for fewer", len(angles), highest)
	}
	out := make([]Harmonic, highest)
	for n := 1; n <= highest; n++ {
		a, b := p[2*n-1], p[2*n]
		phase := math.Atan2(b, a)
		if phase < 0 {
			phase += 2 * math.Pi
		}
		out[n-1] = Harmonic{n, math.Hypot(a, b), phase / float64(n)}
	}
	return level + p[0], out, nil
}

// Diameters returns the two-point diameters of radii evenly spaced over a full
// turn.
//
//	dᵢ = rᵢ + rᵢ₊ₙ⸝₂
//
// Opposite points of an undulation of odd order are a crest and a trough, so
// every odd order cancels: two-point readings say nothing of three lobes.
//
// Shapes: n even ≥ 4 radii -> n/2 diameters.
// Units:  any, kept.
// Errors: an odd number of radii or fewer than four; a value not finite.
// Source: textbook fact on odd lobing.
func Diameters(radii []float64) ([]float64, error) {
	n := len(radii)
	if n < 4 || n%2 != 0 {
		return nil, fmt.Errorf("form: diameters from %d radii: an even number, at least 4, is needed so that each has one opposite", n)
	}
	if err := finite("radius", radii); err != nil {
		return nil, err
	}
	out := make([]float64, n/2)
	for i := range out {
		out[i] = radii[i] + radii[i+n/2]
	}
	return out, nil
}

// TwoPointFactor returns how an undulation shows in two-point diameters:
// amplitude of the diameter over amplitude of the radius.
//
//	1 + cos nπ = 2 for even n, 0 for odd n
//
// Shapes: order -> factor.
// Errors: none; an order below 1 is no undulation and gives 0.
// Source: textbook fact on odd lobing.
func TwoPointFactor(order int) float64 {
	if order < 1 || order%2 != 0 {
		return 0
	}
	return 2
}
