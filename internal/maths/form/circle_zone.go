package form

import (
	"fmt"
	"math"
)

// MinimumZoneCircle returns the two concentric circles closest to each other
// that hold the profile between them (MZCI). R is their mean radius, Inner and
// Outer their radii.
//
//	min over (a, b) of  max rᵢ − min rᵢ,   rᵢ = √((xᵢ−a)² + (yᵢ−b)²)
//
// A sequence of exact exchanges on the distances linearised about the present
// centre, none trusted further than the true width follows. At the end four
// contacts alternate outer, inner, outer, inner about the centre.
//
// Shapes, Units, Errors: as LeastSquaresCircle.
// Valid:  profiles whose form is small against the radius; a profile far from
// round, or a short arc, may have several minima, and the one reached from
// the least-squares centre is returned.
// Source: ISO 12181-1:2011 (MZCI); ISO 1101:2017; method: exchange.
func MinimumZoneCircle(pts []Point) (Round, error) {
	c, err := geometricCircle(pts)
	if err != nil {
		return Round{}, err
	}
	p, zone, err := narrow([]float64{c.X, c.Y}, func(p []float64, jac [][]float64, r []float64) {
		for i, q := range pts {
			r[i] = math.Hypot(q.X-p[0], q.Y-p[1])
			jac[i][0], jac[i][1] = (q.X-p[0])/r[i], (q.Y-p[1])/r[i]
		}
	}, len(pts))
	if err != nil {
		return Round{}, fmt.Errorf("form: minimum-zone circle of %d points: %w", len(pts), err)
	}
	out := Circle{X: p[0], Y: p[1]}.seen(pts)
	out.R, out.Zone = (out.Inner+out.Outer)/2, zone
	return out, nil
}

// distances writes the distances r of all points from the element p and
// jac = −∂r/∂p.
type distances func(p []float64, jac [][]float64, r []float64)

// narrow finds the element about which the distances spread least, near start.
//
// Each exchange is trusted within a reach about the present element. The reach
// shrinks where the true width falls by less than a quarter of what the linear
// distances promise, and grows where they keep their word. All p are lengths.
func narrow(start []float64, measure distances, n int) ([]float64, Zone, error) {
	k := len(start)
	p, trial := append([]float64(nil), start...), make([]float64, k)
	jac, r := rows(n, k), make([]float64, n)
	spare, trialR := rows(n, k), make([]float64, n)
	measure(p, jac, r)
	floor := rounding(r)
	_, _, width := contacts(r, floor)
	trust := math.Inf(1)
	for range 500 {
		best, err := exchange(jac, r, trust)
		if err != nil {
			return nil, Zone{}, err
		}
		gain, step := width-best.width, 0.0
		for c := range p {
			trial[c] = p[c] + best.p[c]
			step = math.Max(step, math.Abs(best.p[c]))
		}
		if gain <= 1e-10*width+floor {
			return decided(p, jac, r, floor)
		}
		measure(trial, spare, trialR)
		_, _, w := contacts(trialR, floor)
		if width-w < 0.25*gain {
			trust = step / 4
		} else if width-w > 0.75*gain && step > 0.99*trust {
			trust *= 2
		}
		if w < width {
			width = w
			copy(p, trial)
			jac, spare, r, trialR = spare, jac, trialR, r
		}
	}
	return nil, Zone{}, errPivots
}

// decided works out what holds the zone about the final element.
func decided(p []float64, jac [][]float64, r []float64, floor float64) ([]float64, Zone, error) {
	best, err := exchange(jac, r, math.Inf(1))
	if err != nil {
		return nil, Zone{}, err
	}
	zone := Zone{Partials: best.weights, Tied: best.tied}
	zone.High, zone.Low, zone.Width = contacts(r, floor)
	return p, zone, nil
}
