package film

import (
	"fmt"
	"math"
)

// Steady is a journal under a load that keeps its size and direction, in the
// numbers of the tables of Raimondi and Boyd.
type Steady struct {
	Sommerfeld float64 // S = (R/c)² μ N/P, P = F/(L D), N turns a second
	Attitude   float64 // from the load to the line of centres, rad
	Friction   float64 // (R/c) f, drag through the whole circumference
	Flow       float64 // Q/(R c N L) at the largest gap
	Side       float64 // Q_s/Q
	Ratio      float64 // P/p_max
	PeakAt     float64 // from the load to the greatest pressure, rad
	EndAt      float64 // from the load to the end of the film, rad
	Solves     int
}

// Steady solves a state of steady running: the sleeve stands, the journal
// turns, the velocity is a quarter turn behind the eccentricity in the frame
// of the mean speed.
//
//	S = 4/|I|,  I = ∫∫ P* n dζ dθ,  P* = π ε P
//	(R/c) f = 2π² S/√(1 - ε²) + (ε/2) sin φ
//	Q/(R c N L) = π (1 + ε) - (1/24) ∫ H³ ∂P*/∂θ dζ at the largest gap
//	Q_s/(R c N L) = (D/L)²/12 ∫ H³ (-∂P*/∂ζ) dθ
//
// Shapes: scalars -> numbers.
// Units:  ratios -> ratios, angles in rad.
// Errors: an eccentricity that is not above 0; otherwise as Solve.
// Source: A. A. Raimondi and J. Boyd, ASLE Transactions 1 (1958) 159-209;
// friction as those tables have it, see doc/model/film.md.
func (v *Solver) Steady(ratio, eps float64, m Mesh) (Steady, error) {
	if eps <= 0 {
		return Steady{}, fmt.Errorf("film: eccentricity is %g, expected above 0: a journal in the middle carries nothing", eps)
	}
	p, err := v.Solve(State{Ratio: ratio, Eps: eps, Beta: -math.Pi / 2, Feed: Feed{Widest: true}}, m)
	if err != nil {
		return Steady{}, err
	}
	return steadyOf(p, ratio, eps), nil
}

func steadyOf(p Pressure, ratio, eps float64) Steady {
	unit := math.Pi * eps
	load := unit * p.Load()
	out := Steady{Sommerfeld: 4 / load, Solves: p.Solves}
	at := p.Toward() // the load lies behind the least gap by the attitude
	out.Attitude = -at
	out.Friction = 2*math.Pi*math.Pi*out.Sommerfeld/math.Sqrt(1-eps*eps) + eps/2*math.Sin(out.Attitude)
	out.Flow = math.Pi*(1+eps) - unit*p.Through/24
	out.Side = unit * p.Side / (12 * ratio * ratio) / out.Flow
	out.Ratio = load / 4 / (unit * p.Peak)
	out.PeakAt = wrapped(p.PeakAt - at)
	out.EndAt = wrapped(p.To - at)
	return out
}

// wrapped brings an angle to -π to π.
func wrapped(a float64) float64 { return math.Remainder(a, 2*math.Pi) }

// SteadyLong is Steady for a bearing without ends, so that no oil leaves it.
//
// Shapes: scalars -> numbers, Side 0.
// Units:  as Steady.
// Errors: as Steady.
// Source: as Steady, L/D infinite.
func (v *Solver) SteadyLong(eps float64, m Mesh) (Steady, error) {
	if eps <= 0 {
		return Steady{}, fmt.Errorf("film: eccentricity is %g, expected above 0: a journal in the middle carries nothing", eps)
	}
	s := State{Ratio: 1, Eps: eps, Beta: -math.Pi / 2, Feed: Feed{Widest: true}}
	if err := s.check(m); err != nil {
		return Steady{}, err
	}
	v.lay(s, m)
	v.sum[v.m-1] += v.sum[v.m] // no end, no loss of pressure there
	v.start.solve(&v.mesh, s.Ratio, false)
	v.p = grown(v.p, (v.n+2)*v.m)
	for i := range v.p {
		v.p[i] = 0
		if i/v.m < v.n {
			v.p[i] = v.start.a[i/v.m]
		}
	}
	p := v.read()
	p.Side = 0
	return steadyOf(p, s.Ratio, eps), nil
}
