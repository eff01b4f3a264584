package film

import (
	"fmt"
	"math"
)

// Answer is what a journal at a place in its clearance does under a load, seen
// in the frame of that load.
type Answer struct {
	Along, Across float64 // mobility M, along the load and a quarter turn on
	Peak          float64 // p_max L D/F
	Side          float64 // Q_s/(R c L V), out of both ends, V the size of the velocity
}

// Under finds the velocity at which the film carries a load in a given
// direction, by the reference: a bracketed search for Beta.
//
//	dε/dt = F (c/R)²/(μ L D) M(ε) + ω̄ × ε,   M = 4/|I|
//
// Shapes: scalars -> one answer.
// Units:  ratio = L/D, eps ratio, phi from the load to the eccentricity, rad.
// Errors: as Solve; a search that does not close in 60 steps.
// Source: J. F. Booker, J. Basic Eng. 87 (1965) 537-546, and J. Lubr. Technol.
// 93 (1971) 168-176.
func (v *Solver) Under(ratio, eps, phi float64, m Mesh) (Answer, error) {
	if !finite(phi) {
		return Answer{}, fmt.Errorf("film: an angle of %g", phi)
	}
	phi = wrapped(phi)
	side := math.Copysign(1, phi)
	want := -math.Abs(phi) // of the load from the eccentricity, mirrored to one side
	lo, hi := -math.Pi, 0.0
	flo, fhi := -math.Pi-want, -want
	beta, p, err := 0.0, Pressure{}, error(nil)
	kept := 0
	for step := 0; ; step++ {
		switch {
		case want == 0:
			beta = 0
		case want == -math.Pi:
			beta = -math.Pi
		default:
			beta = (lo*fhi - hi*flo) / (fhi - flo)
			if !(beta > lo && beta < hi) {
				beta = (lo + hi) / 2
			}
		}
		if p, err = v.Solve(State{Ratio: ratio, Eps: eps, Beta: beta}, m); err != nil {
			return Answer{}, err
		}
		f := 0.0
		if beta != 0 && beta != -math.Pi {
			f = wrapped(p.Toward()-want+math.Pi) - math.Pi // the load never leads the velocity by half a turn
			if f < -math.Pi {
				f += 2 * math.Pi
			}
		}
		if math.Abs(f) < 1e-9 || hi-lo < 1e-12 {
			break
		}
		if step == 60 {
			return Answer{}, fmt.Errorf("film: no velocity found for a load %g rad from eccentricity %g", phi, eps)
		}
		if f < 0 { // Illinois: an end that stays counts half
			lo, flo = beta, f
			if kept < 0 {
				fhi /= 2
			}
			kept = -1
		} else {
			hi, fhi = beta, f
			if kept > 0 {
				flo /= 2
			}
			kept = 1
		}
	}
	size := 4 / p.Load()
	turn := beta - p.Toward()
	return Answer{
		Along:  size * math.Cos(turn),
		Across: side * size * math.Sin(turn),
		Peak:   4 * p.Peak / p.Load(),
		Side:   p.Side / (12 * ratio * ratio),
	}, nil
}
