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
	Side   float64 // mean flow out of the ends by the journal's motion, m³/s
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
	n := 0
	top := 0
	most := -1.0
	for i := 0; i < steps; i += stride {
		ex, ey := l.path[2*i], l.path[2*i+1]
		p := &l.load.at[2*i]
		e2 := ex*ex + ey*ey
		at := l.moment(p, ex, ey, c, mu)
		m.Loss += at.loss + shear*4*p.w*p.w/math.Sqrt(1-e2)
		m.Side += r * c * at.side
		m.Feed += f.per(ex, ey)
		if at.peak > m.Peak {
			m.Peak, m.PeakAt = at.peak, i
		}
		if e2 > most {
			most, top = e2, i
		}
		n++
	}
	m.Loss /= float64(n)
	m.Side /= float64(n)
	m.Feed *= supply / mu / float64(n)
	l.least(&m, top, stride)
	m.Gap = c * (1 - m.Eps)
	m.Lambda = m.Gap * s.lambda
	return m
}

// instant is what a film does at one moment: loss by pressure in W, side flow
// over R c, greatest pressure in Pa.
type instant struct{ loss, side, peak float64 }

func (l *lane) moment(p *moment, ex, ey, c, mu float64) instant {
	s := l.shell
	if l.line != nil {
		f := l.k * p.f
		vx, vy := l.line.under(ex, ey, f*p.fx, f*p.fy)
		peak, side := l.line.rest()
		q := s.spec.Diameter / 2 / c
		return instant{loss: p.f * c * (vx*p.fx + vy*p.fy), side: s.spec.Length * side, peak: mu * q * q * peak}
	}
	xi, eta := ex*p.fx+ey*p.fy, ey*p.fx-ex*p.fy
	mx, my, at, fu, fs := l.chart.mobility(xi, eta)
	peak, side := l.chart.rest(xi, at, fu, fs)
	v, length := p.f*l.k, s.lands*s.land
	return instant{loss: p.f * c * v * mx, side: length * v * math.Sqrt(mx*mx+my*my) * side, peak: p.f / (length * s.spec.Diameter) * peak}
}

// least finds the greatest eccentricity between the steps: the top of a
// parabola through three.
func (l *lane) least(m *Orbit, i, stride int) {
	steps := l.load.Steps
	at := func(j int) (float64, float64) {
		j = (j + steps) % steps
		return l.path[2*j], l.path[2*j+1]
	}
	var e [3]float64
	var x, y [3]float64
	for j := range e {
		x[j], y[j] = at(i + (j-1)*stride)
		e[j] = math.Hypot(x[j], y[j])
	}
	m.Eps, m.Step = e[1], float64(i)
	m.Angle = math.Atan2(y[1], x[1])
	bend, slope := e[0]-2*e[1]+e[2], (e[2]-e[0])/2
	if bend < 0 {
		t := max(-1, min(-slope/bend, 1))
		m.Eps = e[1] + t*(slope+t*bend/2)
		m.Step += t * float64(stride)
		w := [3]float64{t * (t - 1) / 2, 1 - t*t, t * (t + 1) / 2}
		m.Angle = math.Atan2(w[0]*y[0]+w[1]*y[1]+w[2]*y[2], w[0]*x[0]+w[1]*x[1]+w[2]*x[2])
	}
	m.Eps = math.Min(m.Eps, mostOrbit)
	if m.Step < 0 {
		m.Step += float64(steps)
	}
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
