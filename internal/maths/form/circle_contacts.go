package form

import "math"

// mating dresses a circumscribed (outer) or inscribed circle with its zone.
//
// The contacts k that carry the circle satisfy uₖ·dc + dR = dδₖ, where uₖ is
// the direction of the contact from the centre c and δₖ its radial height. So
//
//	dR = Σ λₖ dδₖ   with  Σ λₖ = 1, Σ λₖ uₖ = 0, λ ≥ 0
//
// and the far side of the zone, at direction u, moves by its own height less
// u·dc.
func mating(pts []Point, c Circle, mid Point, carry []int, outer bool) Round {
	out := c.seen(pts)
	r := make([]float64, len(pts))
	for i, p := range pts {
		r[i] = math.Hypot(p.X-c.X, p.Y-c.Y)
	}
	out.High, out.Low, out.Width = contacts(r, 1e-13*c.R)
	out.Partials, out.RadiusPartials = make([]float64, len(pts)), make([]float64, len(pts))
	sign, near, far := 1.0, out.High, out.Low
	if !outer {
		sign, near, far = -1, out.Low, out.High
	}
	direction := func(i int) Point { return Point{(pts[i].X - c.X) / r[i], (pts[i].Y - c.Y) / r[i]} }
	lambda, follow := shares(carry, direction, direction(far[0]))
	for i, k := range carry {
		out.RadiusPartials[k] += lambda[i]
		out.Partials[k] += sign * (lambda[i] + follow[i])
	}
	out.Partials[far[0]] -= sign
	out.Tied = len(near) > len(carry) || len(far) > 1
	out.X, out.Y = c.X+mid.X, c.Y+mid.Y
	return out
}

// carriers picks two opposite contacts, or three that surround the centre.
func carriers(at []bearing) []int {
	last := 0
	for i := range at {
		if at[i].angle-at[0].angle <= math.Pi+1e-9 {
			last = i
		}
	}
	opposite := math.Abs(at[last].angle-at[0].angle-math.Pi) < 1e-9
	if opposite || last == len(at)-1 {
		return []int{at[0].point, at[last].point}
	}
	return []int{at[0].point, at[last].point, at[last+1].point}
}

// shares returns λ and the g of u·dc = Σ gₖ dδₖ.
func shares(carry []int, direction func(int) Point, u Point) (lambda, follow []float64) {
	if len(carry) == 2 {
		d := direction(carry[0])
		g := (u.X*d.X + u.Y*d.Y) / 2
		return []float64{0.5, 0.5}, []float64{g, -g}
	}
	s := newSquare(3)
	for c, k := range carry {
		d := direction(k)
		s.at[0][c], s.at[1][c], s.at[2][c] = d.X, d.Y, 1
	}
	lambda, follow = []float64{0, 0, 1}, []float64{u.X, u.Y, 0}
	s.factor()
	s.solve(lambda)
	s.solve(follow)
	return lambda, follow
}
