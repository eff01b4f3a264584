package film

import (
	"fmt"
	"math"
)

// Carry finds the eccentricity at which a journal runs steadily under a load,
// by its Sommerfeld number, which falls as the eccentricity rises.
//
// Shapes: scalars -> eccentricity and its numbers.
// Units:  ratios, as Steady.
// Errors: as Steady; a number outside what eccentricities of 0.001 to 0.998
// carry.
// Source: as Steady.
func (v *Solver) Carry(ratio, sommerfeld float64, m Mesh) (float64, Steady, error) {
	if !(sommerfeld > 0) || !finite(sommerfeld) {
		return 0, Steady{}, fmt.Errorf("film: a Sommerfeld number of %g, expected above 0", sommerfeld)
	}
	lo, hi := 1e-3, Beyond
	var ends [2]float64
	var s Steady
	var err error
	at := func(eps float64) float64 {
		if s, err = v.Steady(ratio, eps, m); err != nil {
			return math.NaN()
		}
		return math.Log(s.Sommerfeld / sommerfeld)
	}
	ends[0], ends[1] = at(lo), math.NaN()
	if err == nil {
		ends[1] = at(hi)
	}
	if err != nil {
		return 0, Steady{}, err
	}
	if !(ends[0] >= 0 && ends[1] <= 0) {
		return 0, Steady{}, fmt.Errorf("film: a Sommerfeld number of %.4g, expected %.4g to %.4g for this length", sommerfeld, math.Exp(ends[1])*sommerfeld, math.Exp(ends[0])*sommerfeld)
	}
	eps := 0.5
	for step := 0; step < 100; step++ {
		f := at(eps)
		if err != nil {
			return 0, Steady{}, err
		}
		if math.Abs(f) < 1e-10 || hi-lo < 1e-12 {
			return eps, s, nil
		}
		if f > 0 {
			lo, ends[0] = eps, f
		} else {
			hi, ends[1] = eps, f
		}
		next := lo + (hi-lo)*ends[0]/(ends[0]-ends[1])
		if step%3 == 2 || !(next > lo && next < hi) {
			next = (lo + hi) / 2
		}
		eps = next
	}
	return 0, Steady{}, fmt.Errorf("film: no eccentricity found for a Sommerfeld number of %g", sommerfeld)
}
