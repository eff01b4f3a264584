package film

import (
	"errors"
	"math"
)

// cavity is a film that keeps its oil: where it ruptures, part of the gap is
// gas, and the oil in it moves with the mean speed until the gap is full again
// (Jakobsson, Floberg and Olsson). Cells have either pressure or void:
//
//	∂/∂θ(H³/12 ∂P/∂θ) + a ∂/∂ζ(H³/12 ∂P/∂ζ) = ω̄ ∂(H - D)/∂θ + ∂(H - D)/∂t
//	P ≥ 0, D ≥ 0, P D = 0
//
// P = p (c/R)²/μ in 1/s, D = δ H the part of the gap that is gas, ζ from one
// side of the strip to the other, a = (R/width)². Fluxes of the full film are
// centred, the void goes with the stream from the cell behind, time is implicit:
// what leaves one cell enters the next, to the last digit of the solution.
//
// Source: B. Jakobsson, L. Floberg (1957), K.-O. Olsson (1965) for the boundary;
// H. G. Elrod (1981) for one equation of both parts; the complementary form is
// that of T. Woloszynski, P. Podsiadlo and G. W. Stachowiak (2015); from memory.
type cavity struct {
	n, m     int
	dt, dz   float64 // steps around and across
	reach    float64 // a
	edge     float64 // P held at ζ = 0; below nought: no flow through ζ = 0
	line     int     // column held full at P = 0; -1 for none
	keeps    bool    // false: void is dropped, the Reynolds boundary
	p, d     []float64
	was      []float64 // H - D a step ago
	h        []float64 // at columns
	fh       []float64 // at the face behind a column
	fg       []float64 // H³/12/Δθ there
	col      []float64 // H³/12 a/Δζ
	cos, sin []float64
	fc, fs   []float64
}

func newCavity(n, m int, reach, edge float64, line int) *cavity {
	v := &cavity{n: n, m: m, dt: 2 * math.Pi / float64(n), dz: 1 / float64(m), reach: reach, edge: edge, line: line, keeps: true}
	for _, p := range []*[]float64{&v.p, &v.d, &v.was} {
		*p = make([]float64, n*m)
	}
	for _, p := range []*[]float64{&v.h, &v.fh, &v.fg, &v.col, &v.cos, &v.sin, &v.fc, &v.fs} {
		*p = make([]float64, n)
	}
	for i := range n {
		v.sin[i], v.cos[i] = math.Sincos(float64(i) * v.dt)
		v.fs[i], v.fc[i] = math.Sincos((float64(i) + 0.5) * v.dt)
	}
	return v
}

// gaps sets the gap for a journal at (ex, ey).
func (v *cavity) gaps(ex, ey float64) {
	for i := range v.n {
		v.h[i] = 1 - ex*v.cos[i] - ey*v.sin[i]
		v.fh[i] = 1 - ex*v.fc[i] - ey*v.fs[i]
		v.fg[i] = v.fh[i] * v.fh[i] * v.fh[i] / (12 * v.dt)
		v.col[i] = v.h[i] * v.h[i] * v.h[i] / 12 * v.reach / v.dz
	}
}

// errCavity says that sweeps did not settle.
var errCavity = errors.New("film: the film that keeps its oil did not settle")

// settle sweeps until nothing moves by more than tol of the greatest pressure
// and of the gap. rate is 1/Δt; 0 for steady running. Turning is from lower to
// higher angles where w > 0.
func (v *cavity) settle(w, rate, over, tol float64, most int) (sweeps int, err error) {
	for sweeps = 1; sweeps <= most; sweeps++ {
		moved, peak, full := 0.0, 0.0, 0.0
		for k := range v.n {
			i := k
			if w < 0 {
				i = v.n - 1 - k
			}
			if i == v.line {
				continue
			}
			a, b := v.column(i, w, rate, over, &peak)
			moved, full = math.Max(moved, a), math.Max(full, b)
		}
		if math.IsNaN(moved) || math.IsNaN(full) {
			return sweeps, errCavity
		}
		if moved <= tol*peak && full <= tol {
			return sweeps, nil
		}
	}
	return sweeps, errCavity
}

// column relaxes the cells of a column; it returns by how much pressures and
// voids moved.
func (v *cavity) column(i int, w, rate, over float64, peak *float64) (moved, voided float64) {
	n, m := v.n, v.m
	west, east := i-1, i+1
	if west < 0 {
		west = n - 1
	}
	if east == n {
		east = 0
	}
	gw, ge := v.fg[west]*v.dz, v.fg[i]*v.dz
	ga := v.col[i] * v.dt
	up := west
	if w < 0 {
		up = east
	}
	carry := math.Abs(w) * v.dz // of void, over the face behind it
	hold := rate * v.dt * v.dz  // of oil, in time
	drag := w * v.dz * (v.fh[i] - v.fh[west])
	for j := range m {
		c := i*m + j
		// oil that comes in, less what leaves, without this cell's own pressure
		in := gw*v.p[west*m+j] + ge*v.p[east*m+j] - drag - hold*(v.h[i]-v.was[c])
		diag := gw + ge
		if v.keeps {
			in -= carry * v.d[up*m+j]
		}
		if j > 0 {
			in += ga * v.p[c-1]
			diag += ga
		} else if v.edge >= 0 {
			in += 2 * ga * v.edge
			diag += 2 * ga
		}
		if j+1 < m {
			in += ga * v.p[c+1]
			diag += ga
		} else {
			diag += 2 * ga // the end, at nought
		}
		was := v.p[c]
		p := was + over*(in/diag-was)
		if p <= 0 || was == 0 && in <= 0 {
			p = 0
		}
		if v.keeps {
			d := 0.0
			if p == 0 && in < 0 {
				d = -in / (carry + hold)
			}
			voided = math.Max(voided, math.Abs(d-v.d[c]))
			v.d[c] = d
		}
		moved = math.Max(moved, math.Abs(p-was))
		*peak = math.Max(*peak, p)
		v.p[c] = p
	}
	return moved, voided
}

// force is ∫∫ P n dθ dζ.
func (v *cavity) force() (x, y float64) {
	for i := range v.n {
		s := 0.0
		for _, p := range v.p[i*v.m : (i+1)*v.m] {
			s += p
		}
		x += s * v.cos[i]
		y += s * v.sin[i]
	}
	return x * v.dt * v.dz, y * v.dt * v.dz
}

// oil is the balance of a strip: what comes in at ζ = 0 and from the line, what
// leaves at ζ = 1, and by how much what is in the gaps grows, all over c R times
// the width, 1/s.
type oil struct{ edge, line, end, grows float64 }

// open is what is missing in the balance, over what moves.
func (o oil) open() float64 {
	return math.Abs(o.edge+o.line-o.end-o.grows) / (math.Abs(o.edge) + math.Abs(o.line) + math.Abs(o.end) + math.Abs(o.grows) + 1e-300)
}

func (v *cavity) oil(w, rate float64) oil {
	var o oil
	n, m := v.n, v.m
	for i := range n {
		ga := 2 * v.col[i] * v.dt
		if i != v.line {
			if v.edge >= 0 {
				o.edge += ga * (v.edge - v.p[i*m])
			}
			o.end += ga * v.p[i*m+m-1]
		}
		for j := range m {
			c := i*m + j
			if i != v.line {
				o.grows += rate * v.dt * v.dz * (v.h[i] - v.d[c] - v.was[c])
			}
		}
	}
	if v.line >= 0 {
		i := v.line
		west, east := (i-1+n)%n, (i+1)%n
		for j := range m {
			// out of the line over its two faces, void with the stream
			dw, de := v.d[west*m+j], v.d[i*m+j]
			if w < 0 {
				dw, de = v.d[i*m+j], v.d[east*m+j]
			}
			o.line += v.dz * (w*(v.fh[i]-de) - v.fg[i]*v.p[east*m+j])
			o.line -= v.dz * (w*(v.fh[west]-dw) + v.fg[west]*v.p[west*m+j])
		}
	}
	return o
}
