package form

import (
	"fmt"
	"math"
)

// RunOut is an indicator trace over one turn, split in two causes.
type RunOut struct {
	// Total is the full indicator movement.
	Total Zone
	// Eccentricity is the distance of the feature's centre from the axis it
	// turned on; twice this is its share of the movement.
	Eccentricity float64
	// EccentricityPartials holds ∂Eccentricity/∂reading.
	EccentricityPartials []float64
	// Direction is the angle of the high side, rad in [0, 2π).
	Direction float64
	// Form is what is left after the first undulation is taken out.
	Form Zone
}

// SplitRunOut separates eccentricity and form in an indicator trace.
//
//	s(θ) = m + a cos θ + b sin θ + form(θ),   e = √(a² + b²)
//
// by least squares; Form.Width is the range of the remainder. A concentric
// shaft that is out of round and a round shaft that is bent read alike in
// Total and differ here. Total ≤ 2e + Form.
//
// Shapes: n ≥ 4 angles, n readings -> split with n partials.
// Units:  angles rad; readings any, kept.
// Errors: fewer than four readings; a value that is not finite; angles that do
// not fix the first undulation.
// Valid:  e small against the radius (the limaçon term e²/2R is left in Form).
// Source: Fourier series; ISO 1101:2017 for the run-out zone.
func SplitRunOut(angles, readings []float64) (RunOut, error) {
	sameLength("angles and readings", len(angles), len(readings))
	if len(readings) < 4 {
		return RunOut{}, fmt.Errorf("form: run-out from %d readings: at least 4 are needed", len(readings))
	}
	if err := finite("angle", angles); err != nil {
		return RunOut{}, err
	}
	total, err := Spread(readings)
	if err != nil {
		return RunOut{}, err
	}
	level := mean(readings)
	jac, e := rows(len(readings), 3), make([]float64, len(readings))
	for i, t := range angles {
		jac[i][0], e[i] = 1, readings[i]-level
		jac[i][2], jac[i][1] = math.Sincos(t)
	}
	p, ok := leastSquares(jac, e)
	if !ok {
		return RunOut{}, fmt.Errorf("form: the %d angles do not fix an eccentricity: spread them over the turn", len(angles))
	}
	for i := range e {
		e[i] -= dot(jac[i], p)
	}
	out := RunOut{Total: total, Eccentricity: math.Hypot(p[1], p[2]), Direction: math.Atan2(p[2], p[1])}
	if out.Direction < 0 {
		out.Direction += 2 * math.Pi
	}
	out.Form = peakToValley(jac, e, nil, rounding(readings))
	out.EccentricityPartials = make([]float64, len(readings))
	if out.Eccentricity > 0 {
		toward := []float64{0, p[1] / out.Eccentricity, p[2] / out.Eccentricity}
		if w, ok := curvatureSolve(jac, toward, nil); ok {
			for i := range jac {
				out.EccentricityPartials[i] = dot(w, jac[i])
			}
		}
	}
	return out, nil
}
