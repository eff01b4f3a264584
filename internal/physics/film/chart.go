package film

import "math"

// The corners of a chart. Coordinates across it are
//
//	u = √(1 - ε) = √v
//	s = 0.2 x + 0.35 r(x, 4v) + 0.25 r(x, v²) + 0.2 (1 - r(1 - x, v/4))
//	x = (1 - cos φ)/2,  r(x, k) = x (1 + k)/(x + k)
//
// since the mobility changes its size within an angle of √v about the load, its
// direction within one of v, and the greatest pressure opposite. What is
// tabled is not the mobility but what is left of it after a form that has its
// size: the short bearing's where the bearing is short against the width of
// the pressure, a long one's where it is not.
//
//	M_ξ = A (1 - ξ)^(3/2) ((1 - ξ)/(L/D)² + 0.53)/π
//	M_η = -B 4 η (1 - ξ)^½ ((1 - ξ)/(L/D)² + 0.5)/π²
//	p_max L D/F = C/√(1 - ξ)
const (
	leastU  = 0.04472135954999579 // √0.002
	longXi  = 0.53
	longEta = 0.5
)

// Beyond is the eccentricity above which nothing is resolved.
const Beyond = 0.998

// form gives the divisors of A, B and C.
func form(ratio, xi, eta float64) (a, b, c float64) {
	t := 1 - xi
	q := math.Sqrt(t)
	w := t / (ratio * ratio)
	return t * q * (w + longXi) / math.Pi, -4 * eta * q * (w + longEta) / (math.Pi * math.Pi), 1 / q
}

// across is the coordinate s of a chart, v = 1 - ε.
func across(x, v float64) float64 {
	k, kk, q, y := 4*v, v*v, v/4, 1-x
	return 0.2 + x*(0.2+0.35*(1+k)/(x+k)+0.25*(1+kk)/(x+kk)) - 0.2*y*(1+q)/(y+q)
}

// Chart is the mobility of lands of one L/D, ready to be looked up.
type Chart struct {
	Ratio float64
	nu    int
	ns    int
	du    float64   // 1/step in u
	ds    float64   // 1/step in s
	inv   float64   // 1/(L/D)²
	ab    []float64 // A, B at each node, s fastest
	cq    []float64 // C and side flow
}

// At looks up a place: xi along the load, eta a quarter turn on, both over the
// clearance.
//
// Shapes: scalars -> one answer.
// Units:  ratios.
// Errors: none; beyond ε = 0.998 it answers as at 0.998, which Resolved tells.
// Valid:  the mobility vector within 0.5 % of the reference to ε = 0.99, 1 % to
// 0.998.
func (c *Chart) At(xi, eta float64) Answer {
	mx, my, at, fu, fs := c.mobility(xi, eta)
	peak, side := c.rest(xi, at, fu, fs)
	return Answer{Along: mx, Across: my, Peak: peak, Side: side}
}

// mobility is the part of At that an orbit needs at every stage; it returns
// the corner of the cell and the place in it for rest. The three fractions of
// across are brought over one denominator, x = a/(2ε), so that the processor
// waits for one root and one division only before it knows the cell.
func (c *Chart) mobility(xi, eta float64) (mx, my float64, at int, fu, fs float64) {
	const tiny = 1e-24
	eps := math.Sqrt(xi*xi + eta*eta + tiny)
	v, t := 1-eps, 1-xi
	if !(v >= 1-Beyond) {
		v = 1 - Beyond
		t = max(t, v)
	}
	u := (math.Sqrt(v) - leastU) * c.du
	a, b := eps-xi, eps+xi // 2ε x, 2ε (1 - x)
	e2 := 2 * eps
	k, kk, q := 4*v, v*v, v/4
	d1, d2, d3 := a+e2*k, a+e2*kk, b+e2*q
	d12 := d1 * d2
	num := (a*(0.35*(1+k)*d2+0.25*(1+kk)*d1)*d3-0.2*(1+q)*b*d12)*e2 + (0.2*e2+0.2*a)*d12*d3
	s := num / (e2 * d12 * d3) * c.ds
	iu, is := int(u), int(s)
	if uint(iu) >= uint(c.nu) || uint(is) >= uint(c.ns) { // no place at all
		iu, is, u, s = 0, 0, 0, 0
	}
	fu, fs = u-float64(iu), s-float64(is)
	n := 2 * (c.ns + 1)
	at = iu*n + 2*is
	lo := c.ab[at : at+4 : at+4]
	hi := c.ab[at+n : at+n+4 : at+n+4]
	a0 := lo[0] + fs*(lo[2]-lo[0])
	b0 := lo[1] + fs*(lo[3]-lo[1])
	a1 := hi[0] + fs*(hi[2]-hi[0])
	b1 := hi[1] + fs*(hi[3]-hi[1])
	r := math.Sqrt(t)
	w := t * c.inv
	mx = (a0 + fu*(a1-a0)) * t * r * (w + longXi) * (1 / math.Pi)
	my = (b0 + fu*(b1-b0)) * eta * r * (w + longEta) * (-4 / (math.Pi * math.Pi))
	return mx, my, at, fu, fs
}

// velocity is mobility under a load, turned and scaled: the inside of an orbit,
// written out since two calls would cost a tenth of it. TestLawVelocity holds it
// to mobility.
func (c *Chart) velocity(p *moment, k0, ex, ey float64) (dx, dy float64) {
	xi, eta := ex*p.fx+ey*p.fy, ey*p.fx-ex*p.fy
	const tiny = 1e-24
	eps := math.Sqrt(xi*xi + eta*eta + tiny)
	v, t := 1-eps, 1-xi
	if !(v >= 1-Beyond) {
		v = 1 - Beyond
		t = max(t, v)
	}
	u := (math.Sqrt(v) - leastU) * c.du
	a, b := eps-xi, eps+xi // 2ε x, 2ε (1 - x)
	e2 := 2 * eps
	k, kk, q := 4*v, v*v, v/4
	d1, d2, d3 := a+e2*k, a+e2*kk, b+e2*q
	d12 := d1 * d2
	num := (a*(0.35*(1+k)*d2+0.25*(1+kk)*d1)*d3-0.2*(1+q)*b*d12)*e2 + (0.2*e2+0.2*a)*d12*d3
	s := num / (e2 * d12 * d3) * c.ds
	iu, is := int(u), int(s)
	if uint(iu) >= uint(c.nu) || uint(is) >= uint(c.ns) { // no place at all
		iu, is, u, s = 0, 0, 0, 0
	}
	fu, fs := u-float64(iu), s-float64(is)
	n := 2 * (c.ns + 1)
	at := iu*n + 2*is
	lo := c.ab[at : at+4 : at+4]
	hi := c.ab[at+n : at+n+4 : at+n+4]
	a0 := lo[0] + fs*(lo[2]-lo[0])
	b0 := lo[1] + fs*(lo[3]-lo[1])
	a1 := hi[0] + fs*(hi[2]-hi[0])
	b1 := hi[1] + fs*(hi[3]-hi[1])
	r := math.Sqrt(t)
	w := t * c.inv
	f := k0 * p.f * r
	mx := f * (a0 + fu*(a1-a0)) * t * (w + longXi) * (1 / math.Pi)
	my := f * (b0 + fu*(b1-b0)) * eta * (w + longEta) * (-4 / (math.Pi * math.Pi))
	return mx*p.fx - my*p.fy - p.w*ey, mx*p.fy + my*p.fx + p.w*ex
}

// rest looks up the greatest pressure and the side flow in a cell.
func (c *Chart) rest(xi float64, at int, fu, fs float64) (peak, side float64) {
	n := 2 * (c.ns + 1)
	lo := c.cq[at : at+4 : at+4]
	hi := c.cq[at+n : at+n+4 : at+n+4]
	c0 := lo[0] + fs*(lo[2]-lo[0])
	c1 := hi[0] + fs*(hi[2]-hi[0])
	q0 := lo[1] + fs*(lo[3]-lo[1])
	q1 := hi[1] + fs*(hi[3]-hi[1])
	return (c0 + fu*(c1-c0)) / math.Sqrt(max(1-xi, 1-Beyond)), q0 + fu*(q1-q0)
}

// blank makes a chart without figures: a row and a column more than it has
// nodes, the last ones twice, so that no place lies on the far edge of a cell.
func blank(ratio float64, nu, ns int) *Chart {
	n := 2 * (nu + 1) * (ns + 1)
	return &Chart{Ratio: ratio, nu: nu, ns: ns, inv: 1 / (ratio * ratio), du: float64(nu-1) / (1 - leastU), ds: float64(ns - 1),
		ab: make([]float64, n), cq: make([]float64, n)}
}

// set stores the figures of a node.
func (c *Chart) set(i, j int, figures [4]float64) {
	for di := 0; di < 2 && (di == 0 || i == c.nu-1); di++ {
		for dj := 0; dj < 2 && (dj == 0 || j == c.ns-1); dj++ {
			o := 2 * ((i+di)*(c.ns+1) + j + dj)
			c.ab[o], c.ab[o+1], c.cq[o], c.cq[o+1] = figures[0], figures[1], figures[2], figures[3]
		}
	}
}
