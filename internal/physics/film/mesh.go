package film

import "math"

// mesh holds points, cell sizes and gaps for one state.
type mesh struct {
	n, m int // steps around, steps across
	// around: columns 0 to n, where 0 and n are one line held at nought
	theta []float64
	h3    []float64 // H³ at columns
	g     []float64 // H³/Δθ between columns i and i+1
	cell  []float64 // width of the cell of a column
	push  []float64 // 12 ∫ cos(θ - β) dθ over that cell
	// across: points 0 to m, the last at the end of the land
	zeta []float64
	leg  []float64 // 1/Δζ between points j and j+1
	row  []float64 // width of the cell of a point
	sum  []float64 // weights of the integral from 0 to 1
}

// lay places the points. The angle is a Möbius map of an even circle: steps
// at the least gap are finer by a, those at the largest coarser, and an even
// circle is a = 1.
//
//	θ = 2 atan(tan(s/2)/a),  a = ((1 + ε)/(1 - ε))^¼
func (g *mesh) lay(s State, m Mesh) {
	g.n, g.m = m.Around, m.Across
	for _, p := range []*[]float64{&g.theta, &g.h3, &g.g, &g.cell, &g.push} {
		*p = grown(*p, g.n+1)
	}
	cut := s.Beta + math.Pi // opposite the velocity nothing is squeezed
	if s.Feed.Widest {
		cut = math.Pi
	}
	a := 1.0
	if !m.Even {
		a = math.Min(math.Pow((1+s.Eps)/(1-s.Eps), 0.25), 8)
	}
	start := turned(cut, a)
	step := 2 * math.Pi / float64(g.n)
	for i := 0; i <= g.n; i++ {
		g.theta[i] = turned(start+float64(i)*step, 1/a)
	}
	g.theta[g.n] = g.theta[0] + 2*math.Pi
	face := g.theta[0]
	for i := 0; i < g.n; i++ {
		d := g.theta[i+1] - g.theta[i]
		h := Gap(s.Eps, g.theta[i]+d/2)
		g.g[i] = h * h * h / d
		if i > 0 {
			next := g.theta[i] + d/2
			g.cell[i] = next - face
			g.push[i] = 12 * (math.Sin(next-s.Beta) - math.Sin(face-s.Beta))
		}
		face = g.theta[i] + d/2
		h = Gap(s.Eps, g.theta[i])
		g.h3[i] = h * h * h
	}
	g.h3[g.n] = g.h3[0]
	g.layAcross(m.Even)
}

// turned maps an angle by tan(·/2) -> a tan(·/2), keeping its turns.
func turned(x, a float64) float64 {
	turns := math.Round(x / (2 * math.Pi))
	x -= turns * 2 * math.Pi
	return turns*2*math.Pi + 2*math.Atan2(a*math.Sin(x/2), math.Cos(x/2))
}

// layAcross places the points of half the land; weights follow parabolas over
// pairs of steps (Simpson's rule where they are even).
func (g *mesh) layAcross(even bool) {
	for _, p := range []*[]float64{&g.zeta, &g.leg, &g.row, &g.sum} {
		*p = grown(*p, g.m+1)
	}
	for j := 0; j <= g.m; j++ {
		x := float64(j) / float64(g.m)
		g.zeta[j], g.sum[j] = x, 0
		if !even {
			g.zeta[j] = x * (1.375 - 0.375*x*x) // the last step is a quarter of a mean one
		}
	}
	for j := 0; j < g.m; j++ {
		g.leg[j] = 1 / (g.zeta[j+1] - g.zeta[j])
		if j > 0 {
			g.row[j] = (g.zeta[j+1] - g.zeta[j-1]) / 2
		}
	}
	g.row[0] = g.zeta[1] / 2
	for j := 0; j+2 <= g.m; j += 2 {
		p, q := g.zeta[j+1]-g.zeta[j], g.zeta[j+2]-g.zeta[j+1]
		w := (p + q) / 6
		g.sum[j] += w * (2 - q/p)
		g.sum[j+1] += w * (p + q) * (p + q) / (p * q)
		g.sum[j+2] += w * (2 - p/q)
	}
}

// grown returns a slice of that length, the old one where it is long enough.
func grown(s []float64, n int) []float64 {
	if cap(s) < n {
		return make([]float64, n)
	}
	return s[:n]
}
