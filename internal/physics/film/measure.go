package film

import "math"

// Orbit is one closed orbit and what it costs.
type Orbit struct {
	Gap    float64 // least film in the cycle, m
	Step   float64 // when: steps from the start of the cycle
	Angle  float64 // where: direction of the least film in the sleeve's frame, rad
	Eps    float64 // greatest eccentricity
	Peak   float64 // greatest film pressure of the cycle, Pa
	PeakAt int     // the step of it
	Loss   float64 // mean, W
	Side   float64 // mean flow out of the outer ends by the journal's motion, m³/s
	Feed   float64 // mean flow that the supply adds, m³/s
	Lambda float64 // least film over the combined Rq; 0 where that is unknown
	// X and Y are the eccentricity at each step, in the sleeve's frame; only
	// where a path was asked for.
	X, Y []float64
	// Doubt says why the figures are not resolved; nil where they are.
	Doubt []Doubt
}

// Doubt is one reason for which a film is not resolved.
type Doubt uint8

// The reasons.
const (
	BeyondMap   Doubt = iota // the journal comes closer than ε = 0.998
	BeyondRigid              // pressure at which shells, rod and oil yield
	BeyondRough              // film thinner than three times the combined roughness
	NotClosed                // no closed orbit in 40 cycles, or steps cut without end
)

// RigidTo is the pressure above which a rigid isoviscous film stops being
// physics: with a pressure coefficient of 2e-8 /Pa the viscosity is there seven
// times what it is taken for, and shell and rod give by as much as the film is
// thick. Below it is a ranking still.
//
// Units: Pa.
// Source: C. Barus (1893) with 1.5 to 2.4e-8 /Pa for mineral oil (Hamrock,
// Schmid, Jacobson), from memory; the bound is ours.
const RigidTo = 100e6

// measure works out the costs of a lane's closed path.
func (l *lane) measure(c, mu, supply float64, stride int) (m Orbit) {
	s := l.shell
	r := s.spec.Diameter / 2
	f := s.feed(c)
	shear := 2 * math.Pi * mu * r * r * r * s.spec.Length / c
	steps := l.load.Steps
	n, top, most := 0, 0, -1.0
	// Between two wide steps the path is a cubic with their velocities; sums run
	// over its middle too, since flows have corners that such steps miss.
	var was instant
	var wx, wy float64
	h := l.load.step() * float64(stride)
	last := steps - 1
	if stride > 1 {
		last = steps
	}
	for i := 0; i <= last; i += stride {
		k := i
		if i == steps {
			k = 0
		}
		ex, ey := l.path[2*k], l.path[2*k+1]
		now := l.instant(&l.load.at[2*k], ex, ey, c, mu)
		if i > 0 && stride > 1 {
			hx, hy := (wx+ex)/2+h/8*(was.vx-now.vx), (wy+ey)/2+h/8*(was.vy-now.vy)
			p := &l.load.at[2*i-stride]
			l.add(&m, l.instant(p, hx, hy, c, mu), p, hx, hy, shear, &f)
			n++
		}
		if i == steps {
			break
		}
		if stride > 1 {
			was, wx, wy = now, ex, ey
		}
		l.add(&m, now, &l.load.at[2*k], ex, ey, shear, &f)
		n++
		if now.peak > m.Peak {
			m.Peak, m.PeakAt = now.peak, i
		}
		if e2 := ex*ex + ey*ey; e2 > most {
			most, top = e2, i
		}
	}
	m.Loss /= float64(n)
	m.Side *= r * c / float64(n)
	if s.spec.Inlet == RingGroove {
		m.Side /= 2 // what leaves by the inner ends stays in the groove
	}
	m.Feed *= supply / mu / float64(n)
	l.least(&m, top, stride)
	m.Gap = c * (1 - m.Eps)
	m.Lambda = m.Gap * s.lambda
	return m
}

// add sums up what an instant costs.
func (l *lane) add(m *Orbit, at instant, p *moment, ex, ey, shear float64, f *feed) {
	e2 := min(ex*ex+ey*ey, mostOrbit*mostOrbit)
	m.Loss += at.loss + shear*4*p.w*p.w/math.Sqrt(1-e2)
	m.Side += at.side
	m.Feed += f.per(ex, ey)
}

// instant is what a film does at one moment: loss by pressure in W, side flow
// over R c, greatest pressure in Pa, and the journal's velocity over c.
type instant struct{ loss, side, peak, vx, vy float64 }

func (l *lane) instant(p *moment, ex, ey, c, mu float64) instant {
	s := l.shell
	if l.line != nil {
		f := l.k * p.f
		vx, vy := l.line.under(ex, ey, f*p.fx, f*p.fy)
		peak, side := l.line.rest()
		q := s.spec.Diameter / 2 / c
		return instant{p.f * c * (vx*p.fx + vy*p.fy), s.spec.Length * side, mu * q * q * peak, vx - p.w*ey, vy + p.w*ex}
	}
	xi, eta := ex*p.fx+ey*p.fy, ey*p.fx-ex*p.fy
	mx, my, at, fu, fs := l.chart.mobility(xi, eta)
	peak, side := l.chart.rest(xi, at, fu, fs)
	v, length := p.f*l.k, s.lands*s.land
	return instant{p.f * c * v * mx, length * v * math.Sqrt(mx*mx+my*my) * side, p.f * l.per * peak,
		v*(mx*p.fx-my*p.fy) - p.w*ey, v*(mx*p.fy+my*p.fx) + p.w*ex}
}

// least finds the greatest eccentricity between the steps: on the cubics that
// have the path's places and velocities at the step of the greatest and at its
// neighbours.
func (l *lane) least(m *Orbit, i, stride int) {
	steps := l.load.Steps
	h := l.load.step() * float64(stride)
	var x, y, dx, dy [3]float64
	for j := range x {
		k := (i + (j-1)*stride + steps) % steps
		x[j], y[j] = l.path[2*k], l.path[2*k+1]
		dx[j], dy[j] = l.rate(&l.load.at[2*k], x[j], y[j])
	}
	at := func(t float64) (float64, float64) { // -1 to 1 steps from i
		j := 1
		if t < 0 {
			j, t = 0, t+1
		}
		a, b := (1+2*t)*(1-t)*(1-t), t*t*(3-2*t)
		c, d := h*t*(1-t)*(1-t), -h*t*t*(1-t)
		return a*x[j] + b*x[j+1] + c*dx[j] + d*dx[j+1], a*y[j] + b*y[j+1] + c*dy[j] + d*dy[j+1]
	}
	const parts = 8
	var r [2*parts + 1]float64
	top := parts
	for j := range r {
		px, py := at(float64(j-parts) / parts)
		if r[j] = math.Sqrt(px*px + py*py); r[j] > r[top] {
			top = j
		}
	}
	t := float64(top - parts)
	m.Eps = r[top]
	if top > 0 && top < 2*parts {
		if bend, slope := r[top-1]-2*r[top]+r[top+1], (r[top+1]-r[top-1])/2; bend < 0 {
			u := max(-1, min(-slope/bend, 1))
			m.Eps += u * (slope + u*bend/2)
			t += u
		}
	}
	px, py := at(t / parts)
	m.Angle = math.Atan2(py, px)
	m.Step = math.Mod(float64(i)+t/parts*float64(stride)+float64(steps), float64(steps))
	m.Eps = math.Min(m.Eps, mostOrbit)
}

// doubts lists why an orbit is not resolved.
func (l *lane) doubts(m *Orbit) {
	if l.beyond || m.Eps > Beyond {
		m.Doubt = append(m.Doubt, BeyondMap)
	}
	if m.Peak > RigidTo {
		m.Doubt = append(m.Doubt, BeyondRigid)
	}
	if l.shell.lambda > 0 && m.Lambda < 3 {
		m.Doubt = append(m.Doubt, BeyondRough)
	}
	if l.fails {
		m.Doubt = append(m.Doubt, NotClosed)
	}
}
