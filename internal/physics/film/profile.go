package film

import "math"

// profile is the film with its pressure taken for a parabola across the land,
// P = A(θ)(1 - ζ²). Galerkin's condition across leaves a line of equations,
// solved in microseconds; the reference starts from its edges.
//
//	(8/15)(H³ A')' - (4/3)(D/L)² H³ A = -(2/3) 12 cos(θ - β),  A ≥ 0
//
// Source: own derivation; the parabola is the short bearing of Ocvirk (1952).
type profile struct {
	a, d, r []float64 // solution; diagonal and right-hand side while sweeping
}

// solve finds A ≥ 0 on the columns of a mesh. The film is one stretch of
// columns. Eliminating from one edge and going back from the other, pressures
// cut at nought, finds the far edge exactly while the near one is kept; the
// edges take turns until neither moves.
func (p *profile) solve(g *mesh, ratio float64, ends bool) {
	p.a, p.d, p.r = grown(p.a, g.n+1), grown(p.d, g.n+1), grown(p.r, g.n+1)
	along, across, load := 8.0/15, 4.0/3/(ratio*ratio), 2.0/3
	if !ends { // infinitely long
		along, across, load = 1, 0, 1
	}
	lo, hi := 1, g.n-1
	for turn := 0; turn < 60; turn++ {
		was := [2]int{lo, hi}
		if turn%2 == 0 {
			hi = p.sweep(g, lo, g.n, 1, along, across, load) - 1
		} else {
			lo = p.sweep(g, hi, 0, -1, along, across, load) + 1
		}
		if turn > 1 && was == [2]int{lo, hi} {
			break
		}
	}
}

// sweep eliminates from a column towards a stop, goes back with pressures cut
// at nought, and returns the first column of the far side without pressure.
func (p *profile) sweep(g *mesh, from, stop, step int, along, across, load float64) int {
	for i := range p.a {
		p.a[i] = 0
	}
	between := func(i int) float64 { // conductance from column i onwards
		if step > 0 {
			return along * g.g[i]
		}
		return along * g.g[i-1]
	}
	last := stop - step
	for i := from; i != stop; i += step {
		p.d[i] = along*(g.g[i-1]+g.g[i]) + across*g.h3[i]*g.cell[i]
		p.r[i] = load * g.push[i]
		if i != from {
			c := between(i - step)
			p.d[i] -= c * c / p.d[i-step]
			p.r[i] += c * p.r[i-step] / p.d[i-step]
		}
	}
	edge, next := stop, 0.0
	for i := last; i != from-step; i -= step {
		c := 0.0
		if i != last {
			c = between(i)
		}
		next = math.Max(0, (p.r[i]+c*next)/p.d[i])
		p.a[i] = next
		if next == 0 && edge == i+step {
			edge = i
		}
	}
	return edge
}
