package film

import (
	"errors"
	"fmt"
	"math"
)

// Kept is a film whose oil is kept: what the Reynolds boundary leaves out.
type Kept struct {
	Steady
	Void float64 // mean of the void over the gap
	Open float64 // what is missing in the balance of oil, over what moves
}

// SteadyKept is Steady with a film that keeps its oil, fed along a line at an
// angle from the least gap, which floods it at no pressure.
//
// Shapes: scalars -> numbers.
// Units:  ratios, rad.
// Errors: as Steady; sweeps that do not settle.
// Valid:  at the widest gap it has the load of Steady: the film ruptures alike,
// and begins at the line in both.
// Source: see cavity.
func SteadyKept(ratio, eps, line float64, m Mesh) (Kept, error) {
	s := State{Ratio: ratio, Eps: eps}
	if err := s.check(m); err != nil {
		return Kept{}, err
	}
	if eps <= 0 || !finite(line) {
		return Kept{}, fmt.Errorf("film: eccentricity is %g and the line at %g, expected above 0 and a number", eps, line)
	}
	n := m.Around
	at := int(math.Round(math.Mod(line, 2*math.Pi)/(2*math.Pi)*float64(n)+float64(n))) % n
	v := newCavity(n, m.Across, 1/(ratio*ratio), -1, at)
	v.gaps(eps, 0)
	const w = 0.5 // the journal turns with 1/s
	if _, err := v.settle(w, 0, overFor(n), 1e-13, 100_000); err != nil {
		return Kept{}, err
	}
	x, y := v.force()
	o := v.oil(w, 0)
	turn := 1 / (2 * math.Pi)
	load := 2 * math.Hypot(x, y) / turn
	out := Kept{Open: o.open()}
	out.Sommerfeld = 4 / load
	out.Attitude = -math.Atan2(y, x)
	out.Flow = o.end / turn // leaves by the ends; here all that is fed
	out.Side = 1
	peak, gap := 0.0, 0.0
	for i, p := range v.p {
		peak = math.Max(peak, p)
		out.Void += v.d[i]
		gap += v.h[i/v.m]
	}
	out.Void /= gap
	out.Ratio = load / 4 / (peak / turn)
	out.Friction = 2*math.Pi*math.Pi*out.Sommerfeld/math.Sqrt(1-eps*eps) + eps/2*math.Sin(out.Attitude)
	return out, nil
}

// overFor is the factor by which sweeps overshoot.
func overFor(n int) float64 { return 2 / (1 + 4/float64(n)*math.Pi/2) }

// KeptOrbit is an orbit of a film that keeps its oil.
type KeptOrbit struct {
	Gap    float64   // least film, m
	Step   float64   // when, in steps of the load
	Side   float64   // mean flow out of the ends, m³/s
	Fed    float64   // mean flow in from groove or line, m³/s
	Void   float64   // mean part of the gap that is gas
	Open   float64   // the most that was missing in the balance of oil of a step
	X, Y   []float64 // eccentricity at each step
	Cycles int
}

// Keep follows a bearing with a film that keeps its oil, the void of one step
// handed to the next: a ring groove at its supply, or a line along the bearing
// at HoleAt that stands for a hole in the sleeve. This is a check of Run and
// slow, seconds where that takes a part of a millisecond. With keeps false void
// is dropped after each step: the Reynolds boundary on the same mesh, so that
// the difference is that of the boundary alone.
//
// Shapes: one case -> one orbit, its steps those of the load.
// Units:  SI.
// Errors: as Run; another inlet; steps or cycles that do not settle.
// Valid:  implicit in time, first order.
// Source: see cavity.
func Keep(c Case, m Mesh, keeps bool) (KeptOrbit, error) {
	if err := c.check(); err != nil {
		return KeptOrbit{}, err
	}
	s := c.Shell.spec
	r := s.Diameter / 2
	scale := c.Clearance / r * c.Clearance / r / c.Viscosity // of pressures
	width, edge, line := s.Length/2, -1.0, -1
	switch s.Inlet {
	case RingGroove:
		width, edge = c.Shell.land, c.Supply*scale
	case SleeveHole:
		line = int(math.Round(math.Mod(s.HoleAt, 2*math.Pi)/(2*math.Pi)*float64(m.Around)+float64(m.Around))) % m.Around
	default:
		return KeptOrbit{}, errors.New("film: a film that keeps its oil is followed with a ring groove or a hole in the sleeve")
	}
	if m.Around < 24 || m.Around > 720 || m.Across < 2 || m.Across > 64 {
		return KeptOrbit{}, fmt.Errorf("film: a mesh of %d by %d, expected 24 to 720 around and 2 to 64 across", m.Around, m.Across)
	}
	k := keeper{v: newCavity(m.Around, m.Across, r/width*r/width, edge, line), load: c.Load, force: scale / (r * 2 * width), ex: 0.3}
	k.v.keeps = keeps
	k.v.gaps(k.ex, k.ey)
	for i := range k.v.was {
		k.v.was[i] = k.v.h[i/m.Across] // full to begin with
	}
	return k.run(c.Clearance, 2*r*c.Clearance*width)
}

// keeper is such an orbit under way.
type keeper struct {
	v      *cavity
	load   *Load
	force  float64 // force in N times this is ∫∫ P n
	ex, ey float64
	jac    [4]float64
	known  bool
}

func (k *keeper) run(c, flow float64) (KeptOrbit, error) {
	var out KeptOrbit
	n := k.load.Steps
	out.X, out.Y = make([]float64, n), make([]float64, n)
	for cycle := 1; cycle <= 12; cycle++ {
		off := 0.0
		out.Side, out.Fed, out.Void, out.Open, out.Gap = 0, 0, 0, 0, math.Inf(1)
		for i := range n {
			o, err := k.step(&k.load.at[(2*i+2)%(2*n)])
			if err != nil {
				return KeptOrbit{}, fmt.Errorf("step %d of cycle %d: %w", i, cycle, err)
			}
			j := (i + 1) % n
			room := 1 - math.Hypot(k.ex, k.ey)
			off = math.Max(off, (math.Abs(out.X[j]-k.ex)+math.Abs(out.Y[j]-k.ey))/room)
			out.X[j], out.Y[j] = k.ex, k.ey
			out.Side += o.end * flow / float64(n)
			out.Fed += (o.edge + o.line) * flow / float64(n)
			out.Open = math.Max(out.Open, o.open())
			if c*room < out.Gap {
				out.Gap, out.Step = c*room, float64(j)
			}
			for q, d := range k.v.d {
				out.Void += d / k.v.h[q/k.v.m] / float64(len(k.v.d)*n)
			}
		}
		if out.Cycles = cycle; off < 1e-3 {
			return out, nil
		}
	}
	return KeptOrbit{}, errors.New("film: the film that keeps its oil did not close its orbit in 12 cycles")
}

// step goes one step in time: the place is sought at which the film carries the
// load, by Newton's method, its matrix from differences and then from the steps
// themselves (Broyden).
func (k *keeper) step(p *moment) (oil, error) {
	rate := 1 / k.load.step()
	fx, fy := p.f*p.fx*k.force, p.f*p.fy*k.force
	size := k.load.Most * k.force
	at := func(ex, ey float64) (float64, float64, error) {
		k.v.gaps(ex, ey)
		_, err := k.v.settle(p.w, rate, 1.35, 1e-10, 20_000)
		x, y := k.v.force()
		return x - fx, y - fy, err
	}
	ex, ey := k.ex, k.ey
	rx, ry, err := at(ex, ey)
	if err != nil {
		return oil{}, err
	}
	for pass := 0; pass < 60; pass++ {
		if math.Hypot(rx, ry) <= 1e-6*size {
			o := k.v.oil(p.w, rate)
			for i := range k.v.was {
				k.v.was[i] = k.v.h[i/k.v.m] - k.v.d[i]
				if !k.v.keeps {
					k.v.was[i] = k.v.h[i/k.v.m]
				}
			}
			k.ex, k.ey = ex, ey
			return o, nil
		}
		if !k.known || pass%5 == 4 {
			d := 1e-5 * (1 - math.Hypot(ex, ey))
			ax, ay, err := at(ex+d, ey)
			if err != nil {
				return oil{}, err
			}
			bx, by, err := at(ex, ey+d)
			if err != nil {
				return oil{}, err
			}
			k.jac, k.known = [4]float64{(ax - rx) / d, (bx - rx) / d, (ay - ry) / d, (by - ry) / d}, true
		}
		j := k.jac
		det := j[0]*j[3] - j[1]*j[2]
		dx, dy := -(j[3]*rx-j[1]*ry)/det, -(j[0]*ry-j[2]*rx)/det
		room := 1 - math.Hypot(ex, ey)
		if q := 0.4 * room / math.Hypot(dx, dy); q < 1 {
			dx, dy = dx*q, dy*q
		}
		if !finite(dx, dy) {
			k.known = false
			continue
		}
		nx, ny, err := at(ex+dx, ey+dy)
		for cut := 0; err == nil && cut < 5 && math.Hypot(nx, ny) > 1.5*math.Hypot(rx, ry); cut++ {
			dx, dy = dx/2, dy/2
			nx, ny, err = at(ex+dx, ey+dy)
			k.known = false
		}
		if err != nil {
			return oil{}, err
		}
		// Broyden's update
		s2 := dx*dx + dy*dy
		ux, uy := nx-rx-(j[0]*dx+j[1]*dy), ny-ry-(j[2]*dx+j[3]*dy)
		k.jac = [4]float64{j[0] + ux*dx/s2, j[1] + ux*dy/s2, j[2] + uy*dx/s2, j[3] + uy*dy/s2}
		ex, ey, rx, ry = ex+dx, ey+dy, nx, ny
	}
	return oil{}, errors.New("film: no place found at which the film that keeps its oil carries the load")
}
