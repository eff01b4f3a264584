package film

import "math"

// Pressure is the solved film of one state, without dimensions: p is in units
// of μ (R/c)² V, where V is the size of the velocity that Beta points along,
// over c.
type Pressure struct {
	// Along and Across are the load carried, in the direction of the
	// eccentricity and a quarter turn on:  ∫∫ P n dζ dθ over the whole land.
	Along, Across float64
	Peak          float64 // greatest pressure
	PeakAt        float64 // its angle from the least gap
	From, To      float64 // where the film begins and ends in the middle of the land, angles from the least gap
	Side          float64 // ∫ H³ (-∂P/∂ζ) dθ at one end of the land
	Through       float64 // ∫ H³ ∂P/∂θ dζ over the whole land at the line where the mesh begins
	Solves        int     // linear solves until the edge of the film settled
}

// Load is the size of the load carried.
func (p Pressure) Load() float64 { return math.Hypot(p.Along, p.Across) }

// Toward is the angle of the load carried from the eccentricity.
func (p Pressure) Toward() float64 { return math.Atan2(p.Across, p.Along) }

// Solve solves the Reynolds equation of a state with the Reynolds (Swift and
// Stieber) boundary: no pressure below nought, and no oil lost at the edge of
// the film.
//
// Shapes: one state -> one film.
// Units:  see State and Pressure, all without dimension.
// Errors: a state or mesh outside the ranges that it names; an edge of the film
// that does not settle.
// Source: O. Reynolds (1886); H. W. Swift (1932), W. Stieber (1933) for the
// boundary; its form as a complementarity problem is common.
func (v *Solver) Solve(s State, m Mesh) (Pressure, error) {
	if err := s.check(m); err != nil {
		return Pressure{}, err
	}
	v.lay(s, m)
	v.reach, v.held = 1/(s.Ratio*s.Ratio), s.Feed
	v.start.solve(&v.mesh, s.Ratio, true)
	solves, err := v.settle()
	if err != nil {
		return Pressure{}, err
	}
	out := v.read()
	out.Solves = solves
	return out, nil
}

// read sums up the pressures.
func (v *Solver) read() Pressure {
	n, m := v.n, v.m
	var out Pressure
	top := 0
	begun := false
	for i := 1; i < n; i++ {
		col := v.p[i*m:][:m]
		s := 0.0
		for j, p := range col {
			s += v.sum[j] * p
		}
		s *= 2
		out.Along += s * math.Cos(v.theta[i]) * v.cell[i]
		out.Across += s * math.Sin(v.theta[i]) * v.cell[i]
		// the slope at the end, of a parabola through the last three points
		a, b := 1-v.zeta[m-1], 1-v.zeta[m-2]
		out.Side += v.h3[i] * v.cell[i] * (col[m-1]*b/a - col[m-2]*a/b) / (b - a)
		if i == 1 {
			out.Through = s * v.g[0]
		}
		if col[0] > 0 {
			if !begun {
				begun, out.From = true, v.theta[i-1]
			}
			out.To = v.theta[i+1]
		}
		for j, p := range col { // a groove keeps the middle at nought
			if p > v.p[top] {
				top = i*m + j
			}
		}
	}
	out.Peak, out.PeakAt = v.peak(top)
	return out
}

// peak is the top of a parabola through three points around the land.
func (v *Solver) peak(k int) (float64, float64) {
	m := v.m
	i := k / m
	if i == 0 {
		return 0, 0
	}
	x0, x2 := v.theta[i-1]-v.theta[i], v.theta[i+1]-v.theta[i]
	y0, y1, y2 := v.p[k-m], v.p[k], v.p[k+m]
	s0, s2 := (y0-y1)/x0, (y2-y1)/x2
	bend := (s2 - s0) / (x2 - x0)
	slope := (s0*x2 - s2*x0) / (x2 - x0)
	if bend >= 0 {
		return y1, v.theta[i]
	}
	x := -slope / (2 * bend)
	return y1 + slope*x/2, v.theta[i] + x
}
