package film

import "math"

// Solver solves the Reynolds equation of states, one after another, in the
// same memory. The zero Solver is ready. It is not for two callers at once.
type Solver struct {
	mesh
	start profile
	wet   []bool    // points with pressure, column by column
	p     []float64 // pressure, columns 0 to n of m points
	band  []float64 // upper rows of the eliminated matrix
	rhs   []float64
	reach float64 // (D/L)²
	held  Feed
}

// settle finds the pressure P ≥ 0 and the part of the land it holds:
//
//	∂/∂θ(H³ ∂P/∂θ) + (D/L)² ∂/∂ζ(H³ ∂P/∂ζ) = -12 cos(θ - β)  where P > 0,
//	nowhere more than that                                    where P = 0.
//
// An exact active set: solve where there is pressure, drop points with less
// than none, add points whose balance asks for some, until none moves. Each
// solve redoes the elimination only from the first column that changed.
func (v *Solver) settle() (int, error) {
	n, m := v.n, v.m
	v.wet = resized(v.wet, (n+1)*m)
	v.p = grown(v.p, (n+2)*m)
	v.band = grown(v.band, (n+1)*m*(m+1))
	v.rhs = grown(v.rhs, (n+1)*m)
	clear(v.p)
	for i := 0; i <= n; i++ {
		film := i > 0 && i < n && v.start.a[i] > 0
		for j := 0; j < m; j++ {
			v.wet[i*m+j] = film && !v.grooved(i, j)
		}
	}
	first := 1
	for solves := 1; solves <= 4*n; solves++ {
		v.eliminate(first)
		v.back()
		if first = v.move(); first == 0 {
			return solves, nil
		}
	}
	return 0, ErrUnsettled
}

// grooved reports points that the groove holds at nought.
func (v *Solver) grooved(i, j int) bool {
	return v.held.Groove() && v.zeta[j] <= v.held.Width && v.held.covers(v.theta[i])
}

// move drops and adds points; it returns the first column that changed, or 0.
func (v *Solver) move() int {
	n, m := v.n, v.m
	first, peak := 0, 0.0
	for _, p := range v.p {
		peak = math.Max(peak, p)
	}
	tiny := 1e-13 * peak
	for i := 1; i < n; i++ {
		changed := false
		for j := 0; j < m; j++ {
			k := i*m + j
			switch {
			case v.wet[k] && v.p[k] < -tiny:
				v.wet[k], changed = false, true
			case !v.wet[k] && v.asks(i, j) > tiny*v.g[i] && !v.grooved(i, j):
				v.wet[k], changed = true, true
			}
		}
		if changed && first == 0 {
			first = i
		}
	}
	if first == 0 {
		for k, p := range v.p {
			v.p[k] = math.Max(p, 0)
		}
	}
	return first
}

// asks is what flows to a point without pressure and is squeezed there; more
// than nothing would have to leave by a pressure of its own.
func (v *Solver) asks(i, j int) float64 {
	m := v.m
	k := i*m + j
	t := v.reach * v.h3[i] * v.cell[i]
	in := (v.g[i-1]*v.p[k-m] + v.g[i]*v.p[k+m] + v.push[i]) * v.row[j]
	if j+1 < m {
		in += t * v.leg[j] * v.p[k+1]
	}
	if j > 0 {
		in += t * v.leg[j-1] * v.p[k-1]
	}
	return in
}

// resized is grown for marks.
func resized(s []bool, n int) []bool {
	if cap(s) < n {
		return make([]bool, n)
	}
	return s[:n]
}
