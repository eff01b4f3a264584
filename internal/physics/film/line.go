package film

import "math"

// line is the film of a bearing with a groove around a part of it. Such a
// bearing has no map: where its film lies against the groove matters as well.
// Across the land the pressure is a parabola, two beside the groove, and around
// it a line of columns fixed in the sleeve:
//
//	d/dθ(m₂ H³ dA/dθ) - (D/L)² d₂ H³ A = -12 m₁ (v · n),  A ≥ 0
//
// where m₁ = ∫ φ dζ, m₂ = ∫ φ² dζ, d₂ = ∫ φ'² dζ over half the land. For given
// wet columns the force is linear in v, so one elimination with two right-hand
// sides gives the velocity under a load; columns then dry up or fill, and the
// elimination is repeated until none does.
//
// Source: own derivation, Galerkin's condition; held to the two-dimensional
// reference in TestPartGroove.
type line struct {
	around
	wet       []bool
	a, b      []float64 // A for v along x, along y
	d, ra, rb []float64 // while eliminating
	g         []float64 // conductance from a column to the next
	h3        []float64
	fits      bool
	vx, vy    float64
}

// around is what does not change with the journal.
type around struct {
	n          int
	step       float64
	cos, sin   []float64 // of columns
	fcos, fsin []float64 // of the face behind a column
	m1, d2     []float64 // d2 with (D/L)² and the width of a column
	self       []float64 // m₂ over the step
	cross      []float64 // between a column and the next, over the step
	end        []float64 // slope at the end of the land, with the width
}

// lineColumns around the bearing.
const lineColumns = 180

// lined makes the columns of a bearing of L/D with a groove of width b of L
// over an arc.
func lined(ratio, b, from, to float64) around {
	l := around{n: lineColumns, step: 2 * math.Pi / lineColumns}
	w := 1 - b
	reach := l.step / (ratio * ratio)
	mixed := w * ((1-b*b)*2/3 - 2*b*w/3 - w*w/5)
	groove := Feed{From: from, To: to, Width: b}
	in := func(i int) bool { return groove.covers(from + (float64(i)+0.5)*l.step) }
	for i := range l.n {
		// a face lies on the groove's edge
		s, c := math.Sincos(from + (float64(i)+0.5)*l.step)
		l.cos, l.sin = append(l.cos, c), append(l.sin, s)
		s, c = math.Sincos(from + float64(i+1)*l.step)
		l.fcos, l.fsin = append(l.fcos, c), append(l.fsin, s)
		m1, m2, d2, end, cross := 2.0/3, 8.0/15, 4.0/3, 2.0, 8.0/15
		if in(i) {
			m1, m2, d2, end, cross = m1*w, m2*w, 16/(3*w), 4/w, cross*w
		}
		if in(i) != in(i+1) {
			cross = mixed
		}
		l.m1, l.self, l.cross = append(l.m1, m1), append(l.self, m2/l.step), append(l.cross, cross/l.step)
		l.d2, l.end = append(l.d2, d2*reach), append(l.end, end*reach/12)
	}
	return l
}

func newLine(a around) *line {
	l := &line{around: a, wet: make([]bool, a.n)}
	for _, p := range []*[]float64{&l.a, &l.b, &l.d, &l.ra, &l.rb, &l.g, &l.h3} {
		*p = make([]float64, a.n)
	}
	return l
}

// under finds the velocity over c at which the film carries a force, given as
// F (c/R)²/(μ R L), with the journal at (ex, ey). It begins with the columns
// that were wet last.
func (l *line) under(ex, ey, fx, fy float64) (vx, vy float64) {
	if r := math.Sqrt(ex*ex + ey*ey); !(r <= mostOrbit) {
		if !finite(ex, ey) {
			ex, ey, r = 0, 0, 1
		}
		ex, ey = ex*mostOrbit/r, ey*mostOrbit/r
	}
	for i := range l.n {
		h := 1 - ex*l.fcos[i] - ey*l.fsin[i]
		l.g[i] = h * h * h
		h = 1 - ex*l.cos[i] - ey*l.sin[i]
		l.h3[i] = h * h * h
	}
	if !l.fits {
		l.guess(fx, fy)
	}
	for pass := 0; pass < 4*lineColumns; pass++ {
		start := l.dry()
		if start < 0 { // wet all around: begin anew from half of it
			l.guess(fx, fy)
			continue
		}
		l.eliminate(start)
		var kxx, kxy, kyx, kyy float64
		for i, m := range l.m1 {
			if l.wet[i] {
				m *= l.step
				kxx += m * l.a[i] * l.cos[i]
				kxy += m * l.b[i] * l.cos[i]
				kyx += m * l.a[i] * l.sin[i]
				kyy += m * l.b[i] * l.sin[i]
			}
		}
		det := kxx*kyy - kxy*kyx
		if !(det > 0) {
			l.guess(fx, fy)
			if pass > 0 {
				break
			}
			continue
		}
		vx, vy = (fx*kyy-fy*kxy)/det, (fy*kxx-fx*kyx)/det
		if !l.move(vx, vy) {
			l.fits = true
			l.vx, l.vy = vx, vy
			return vx, vy
		}
	}
	l.fits = false
	return vx, vy
}

// guess wets the half of the columns that the force points to.
func (l *line) guess(fx, fy float64) {
	for i := range l.wet {
		l.wet[i] = fx*l.cos[i]+fy*l.sin[i] > 0
	}
}

// dry finds a dry column behind which a wet one follows, or any dry one.
func (l *line) dry() int {
	any := -1
	for i, w := range l.wet {
		if !w {
			any = i
			if l.wet[(i+1)%l.n] {
				return i
			}
		}
	}
	return any
}

// eliminate solves for both right-hand sides, all around from a dry column.
func (l *line) eliminate(start int) {
	n := l.n
	push := 12 * l.step
	prev, wasWet := start, false
	for k := 1; k < n; k++ {
		i := start + k
		if i >= n {
			i -= n
		}
		if !l.wet[i] {
			prev, wasWet = i, false
			continue
		}
		d := l.self[i]*(l.g[prev]+l.g[i]) + l.d2[i]*l.h3[i]
		ra, rb := push*l.m1[i]*l.cos[i], push*l.m1[i]*l.sin[i]
		if wasWet {
			c := l.cross[prev] * l.g[prev]
			q := c / l.d[prev]
			d -= c * q
			ra += q * l.ra[prev]
			rb += q * l.rb[prev]
		}
		l.d[i], l.ra[i], l.rb[i] = d, ra, rb
		prev, wasWet = i, true
	}
	next, nextWet := start, false
	for k := n - 1; k >= 1; k-- {
		i := start + k
		if i >= n {
			i -= n
		}
		if !l.wet[i] {
			l.a[i], l.b[i] = 0, 0
			next, nextWet = i, false
			continue
		}
		inv := 1 / l.d[i]
		ra, rb := l.ra[i], l.rb[i]
		if nextWet {
			c := l.cross[i] * l.g[i]
			ra += c * l.a[next]
			rb += c * l.b[next]
		}
		l.a[i], l.b[i] = ra*inv, rb*inv
		next, nextWet = i, true
	}
	l.a[start], l.b[start] = 0, 0
}

// move dries and wets columns for a velocity; false where none moved.
func (l *line) move(vx, vy float64) bool {
	n := l.n
	moved := false
	push := 12 * l.step
	peak := 0.0
	p0 := l.a[n-1]*vx + l.b[n-1]*vy
	p := l.a[0]*vx + l.b[0]*vy
	first, last := l.wet[0], l.wet[n-1]
	before := last
	for i := range n {
		k := i + 1
		after := first
		if k < n {
			after = l.wet[k]
		} else {
			k = 0
		}
		p1 := l.a[k]*vx + l.b[k]*vy
		now := l.wet[i]
		if now {
			peak = math.Max(peak, p)
			if p < 0 {
				l.wet[i], moved = false, true
			}
		} else {
			in := push * l.m1[i] * (vx*l.cos[i] + vy*l.sin[i])
			if before || after || in > 0 {
				j := i - 1
				if j < 0 {
					j = n - 1
				}
				in += l.cross[j]*l.g[j]*p0 + l.cross[i]*l.g[i]*p1
				if in > 1e-13*l.cross[i]*peak {
					l.wet[i], moved = true, true
				}
			}
		}
		before = now
		p0, p = p, p1
	}
	return moved
}

// rest sums up the film last found: the greatest pressure over μ (R/c)², and
// the flow out of both ends over R c L.
func (l *line) rest() (peak, side float64) {
	for i := range l.n {
		if l.wet[i] {
			p := l.a[i]*l.vx + l.b[i]*l.vy
			peak = math.Max(peak, p)
			side += l.h3[i] * l.end[i] * p
		}
	}
	return peak, side
}
