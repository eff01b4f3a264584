package mains

import (
	"errors"
	"math"
)

// work is what one angle after another is worked out in; each begins where the
// last one ended.
type work struct {
	s        *Shaft
	b        []Bearing
	n        int
	u        []float64 // deflection at the mains, x and y in turn
	e, push  []float64 // journal from bore, load on the shell
	slope    []float64 // along the line of centres
	f        []float64 // force at the mains
	turned   []float64 // run-out less offset
	g, d     []float64 // out of balance, direction
	was      []float64
	h        []float64 // lower triangle of the stiffness, factored
	factored bool      // of springs alone, once for all
	springs  bool
}

func newWork(s *Shaft, b []Bearing) *work {
	n := len(s.mains)
	w := &work{s: s, b: b, n: n, springs: true, h: make([]float64, 4*n*n)}
	for _, x := range []*[]float64{&w.u, &w.e, &w.push, &w.f, &w.turned, &w.g, &w.d, &w.was} {
		*x = make([]float64, 2*n)
	}
	w.slope = make([]float64, n)
	for _, x := range b {
		w.springs = w.springs && x.Law.linear > 0
	}
	return w
}

var errBalance = errors.New("no balance was found")

func (w *work) solve(angle float64, forces []Vec) (steps int, err error) {
	n, m := w.n, len(forces)
	sin, cos := math.Sincos(angle)
	largest := 0.0
	for k := range n {
		r, o := w.b[k].Runout, w.b[k].Offset
		w.turned[2*k], w.turned[2*k+1] = cos*r[0]-sin*r[1]-o[0], sin*r[0]+cos*r[1]-o[1]
		var f Vec
		for j := range m {
			t := w.s.t[k*m+j]
			f[0] += t * forces[j][0]
			f[1] += t * forces[j][1]
		}
		w.f[2*k], w.f[2*k+1] = f[0], f[1]
		largest = math.Max(largest, math.Max(math.Abs(f[0]), math.Abs(f[1])))
	}
	out := w.balance()
	for ; steps < mostSteps; steps++ {
		if out <= 1e-9*largest+1e-9 || out <= w.last() {
			return steps, nil
		}
		if !w.direction() {
			return steps, errBalance
		}
		copy(w.was, w.u)
		if out = w.search(); math.IsNaN(out) {
			return steps, errBalance
		}
	}
	return steps, errBalance
}

// balance works out forces at the present deflection and how far they are out.
func (w *work) balance() (out float64) {
	n := w.n
	for k := range n {
		x, y := w.u[2*k]+w.turned[2*k], w.u[2*k+1]+w.turned[2*k+1]
		w.e[2*k], w.e[2*k+1] = x, y
		dist := math.Sqrt(x*x + y*y)
		force, slope := w.b[k].Law.At(dist)
		w.slope[k] = slope
		if dist > 0 {
			w.push[2*k], w.push[2*k+1] = force*x/dist, force*y/dist
		} else {
			w.push[2*k], w.push[2*k+1] = 0, 0
		}
	}
	for k := range n {
		gx, gy := w.push[2*k]-w.f[2*k], w.push[2*k+1]-w.f[2*k+1]
		row := w.s.k[k*n : (k+1)*n]
		for j, c := range row {
			gx += c * w.u[2*j]
			gy += c * w.u[2*j+1]
		}
		w.g[2*k], w.g[2*k+1] = gx, gy
		out = math.Max(out, math.Max(math.Abs(gx), math.Abs(gy)))
	}
	return out
}

// last is what rounding of the deflection is worth in force: no balance comes
// closer.
func (w *work) last() float64 {
	most := 0.0
	for k := range w.n {
		here := w.slope[k] * (math.Abs(w.u[2*k]) + math.Abs(w.u[2*k+1]) + math.Abs(w.turned[2*k]) + math.Abs(w.turned[2*k+1]))
		for j := range w.n {
			here += math.Abs(w.s.k[k*w.n+j]) * (math.Abs(w.u[2*j]) + math.Abs(w.u[2*j+1]))
		}
		most = math.Max(most, here)
	}
	return 16 * 2.2e-16 * most
}

// search goes along the direction to where the slope of the potential along it
// is half of what it was at most. The slope only rises on the way.
func (w *work) search() (out float64) {
	first := w.along()
	lo, hi := 0.0, 0.0
	for a, turns := 1.0, 0; ; turns++ {
		for i := range w.u {
			w.u[i] = w.was[i] + a*w.d[i]
		}
		out = w.balance()
		s := w.along()
		switch {
		case math.Abs(s) <= 0.5*math.Abs(first) || turns == 60 || math.IsNaN(s):
			return out
		case s > 0:
			hi = a
		default:
			lo = a
		}
		if hi == 0 {
			if a >= 8 {
				return out
			}
			a *= 2
		} else {
			a = (lo + hi) / 2
		}
	}
}

// along is the slope of the potential along the direction.
func (w *work) along() (s float64) {
	for i := range w.g {
		s += w.g[i] * w.d[i]
	}
	return s
}

// direction solves for the step that would balance a shaft with the stiffness
// that it has here; ok is false where that has no sense.
func (w *work) direction() bool {
	if !w.factored {
		soft := 0.0
		for !w.factor(soft) {
			if soft = math.Max(10*soft, 1); soft > 1e15 {
				return false
			}
		}
		w.factored = w.springs
	}
	size := 2 * w.n
	for i := range size {
		v := -w.g[i]
		for j := range i {
			v -= w.h[i*size+j] * w.d[j]
		}
		w.d[i] = v / w.h[i*size+i]
	}
	for i := size - 1; i >= 0; i-- {
		v := w.d[i]
		for j := i + 1; j < size; j++ {
			v -= w.h[j*size+i] * w.d[j]
		}
		w.d[i] = v / w.h[i*size+i]
	}
	return true
}

// factor is Cholesky's of shaft and bearings, with something added on the
// diagonal; ok is false where a pivot is not positive.
func (w *work) factor(add float64) bool {
	n, size := w.n, 2*w.n
	for k := range n {
		for j := range k + 1 {
			c := w.s.k[k*n+j]
			w.h[2*k*size+2*j], w.h[2*k*size+2*j+1] = c, 0
			w.h[(2*k+1)*size+2*j], w.h[(2*k+1)*size+2*j+1] = 0, c
		}
		x, y := w.e[2*k], w.e[2*k+1]
		radial, around := w.slope[k], w.slope[k]
		cc, cs, ss := 1.0, 0.0, 0.0
		if d2 := x*x + y*y; d2 > 0 {
			cc, cs, ss = x*x/d2, x*y/d2, y*y/d2
			around = math.Sqrt((w.push[2*k]*w.push[2*k] + w.push[2*k+1]*w.push[2*k+1]) / d2)
		}
		w.h[2*k*size+2*k] += radial*cc + around*ss + add
		w.h[(2*k+1)*size+2*k] += (radial - around) * cs
		w.h[(2*k+1)*size+2*k+1] += radial*ss + around*cc + add
	}
	for i := range size {
		row := w.h[i*size : i*size+i+1]
		for j := range i {
			other := w.h[j*size : j*size+j+1]
			v := row[j]
			for k, c := range other[:j] {
				v -= row[k] * c
			}
			row[j] = v / other[j]
		}
		v := row[i]
		for _, c := range row[:i] {
			v -= c * c
		}
		if !(v > 0) {
			return false
		}
		row[i] = math.Sqrt(v)
	}
	return true
}
