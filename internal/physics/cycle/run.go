package cycle

import (
	"fmt"
	"math"
)

// state of the gas, and sums that begin at nought at inlet closing.
type state struct {
	m, t, x float64 // mass kg, temperature K, share of burnt gas
	work    float64 // done on the piston, J
	heat    float64 // to the walls, J
	in, out float64 // masses, in at the inlet and out at the exhaust, kg
	hin     float64 // enthalpy that came in, both sides, J
	hot     float64 // enthalpy that went out at the exhaust, J
	port    port    // gas that went back into the inlet and comes in again first
}

// port is cylinder gas that stands in the inlet: its mass, and its enthalpy,
// burnt mass and R T summed by mass.
type port struct{ m, h, x, rt float64 }

// axpy is s + h·d.
func (s *state) axpy(h float64, d *state) state {
	return state{s.m + h*d.m, s.t + h*d.t, s.x + h*d.x, s.work + h*d.work, s.heat + h*d.heat, s.in + h*d.in, s.out + h*d.out, s.hin + h*d.hin, s.hot + h*d.hot,
		port{s.port.m + h*d.port.m, s.port.h + h*d.port.h, s.port.x + h*d.port.x, s.port.rt + h*d.port.rt}}
}

// ends are what holds during a cycle: the reference of Woschni's law and the gas
// behind the exhaust valves.
type ends struct {
	unburnt  float64 // share of fresh gas when the burn begins
	pr, tr   float64 // pressure and temperature at inlet closing
	back     float64 // temperature of the gas in the exhaust
	hback    float64
	hfresh   float64
	rtf, rtb float64
	gf, gb   float64
	charge   float64 // C₂ Vd T_r/(p_r V_r)
}

// front is the mass, in cylinder charges, over which returning gas gives way to
// fresh.
const front = 0.02

// slope is the balance of mass, energy and burnt gas by the angle.
//
//	m c_v dT = −p dV − dQ_w + Σ h_i dm_i − u Σ dm − m (u_b − u_f) dx_burn − m ∂u/∂x dx_flow
func (p *plan) slope(s *state, a *station, st *step, e *ends, d *state) (pressure float64) {
	cf, hf := p.fresh.At(s.t)
	cb, hb := p.burnt.At(s.t)
	r := p.fresh.r + s.x*(p.burnt.r-p.fresh.r)
	cp, h := cf+s.x*(cb-cf), hf+s.x*(hb-hf)
	pr := s.m * r * s.t / a.v
	rt := r * s.t
	*d = state{work: pr * a.dv}
	// Heat to the walls.
	if a.wall > 0 {
		w := a.hc
		if st.fired {
			if more := e.charge * (pr - e.pr*a.motored); more > 0 {
				w += more
			}
		}
		d.heat = p.hc * math.Exp(0.8*math.Log(pr*w)-p.exponent*math.Log(s.t)) * (a.wall*s.t - a.wallT)
	}
	// Through the valves.
	dh, dx := 0.0, a.burn*e.unburnt
	mixing := 0.0
	omega := p.set.Speed
	for side := range 2 {
		area, out := a.in, p.set.Pressure
		if side == 1 {
			area, out = a.ex, p.set.Back
		}
		if area <= 0 {
			continue
		}
		if pr > out {
			flow := area * orifice(pr, out, rt, cp/(cp-r), a.band) / omega
			d.m -= flow
			dh -= flow * h
			if side == 1 {
				d.out += flow
				d.hot += flow * h
			} else {
				d.in -= flow
				d.hin -= flow * h
				d.port = port{flow, flow * h, flow * s.x, flow * rt}
			}
		} else if side == 0 {
			// First what went back, with a soft front so that nothing jumps.
			hin, xin, rtin, share := e.hfresh, 0.0, e.rtf, 0.0
			if b := &s.port; b.m > 1e-6*s.m {
				share = b.m / (b.m + front*s.m)
				hin += share * (b.h/b.m - hin)
				xin = share * b.x / b.m
				rtin += share * (b.rt/b.m - rtin)
			}
			flow := area * orifice(out, pr, rtin, e.gf, a.band) / omega
			if share > 0 {
				k := -flow * share / s.port.m
				d.port = port{k * s.port.m, k * s.port.h, k * s.port.x, k * s.port.rt}
			}
			d.m += flow
			d.in += flow
			dh += flow * hin
			d.hin += flow * hin
			mixing += flow * (xin - s.x)
		} else {
			flow := area * orifice(out, pr, e.rtb, e.gb, a.band) / omega
			d.m += flow
			d.out -= flow
			dh += flow * e.hback
			d.hin += flow * e.hback
			mixing += flow * (1 - s.x)
		}
	}
	d.x = dx + mixing/s.m
	u := h - rt
	ub := hb - p.burnt.r*s.t - hf + p.fresh.r*s.t
	d.t = (-pr*a.dv - d.heat + dh - u*d.m - s.m*ub*d.x) / (s.m * (cp - r))
	return pr
}

// pass runs once through all steps from a state. With a sink it says the state
// and the pressure with its slope at the beginning and end of each step.
func (p *plan) pass(s state, e *ends, sink func(i int, at float64, s *state, pr, dp float64)) (state, error) {
	var k1, k2, k3, k4 state
	for i := range p.steps {
		st := &p.steps[i]
		a := p.stations[3*i : 3*i+3]
		if i == p.fire {
			e.unburnt = 1 - s.x
		}
		pr := p.slope(&s, &a[0], st, e, &k1)
		if sink != nil {
			sink(2*i, st.at, &s, pr, p.pressureSlope(pr, &s, &k1, &a[0]))
		}
		y := s.axpy(st.h/2, &k1)
		p.slope(&y, &a[1], st, e, &k2)
		y = s.axpy(st.h/2, &k2)
		p.slope(&y, &a[1], st, e, &k3)
		y = s.axpy(st.h, &k3)
		p.slope(&y, &a[2], st, e, &k4)
		h := st.h / 6
		s = s.axpy(h, &k1)
		s = s.axpy(2*h, &k2)
		s = s.axpy(2*h, &k3)
		s = s.axpy(h, &k4)
		if !(s.t >= Coldest && s.t <= Hottest && s.m > 0 && s.x >= -0.01 && s.x <= 1.01) {
			return s, fmt.Errorf("cycle: at %.1f° the gas is at %.0f K with %.3g kg, %.3f of it burnt; the polynomials hold from %d to %d K: is the charge, the burn or a valve not that of an engine?",
				(st.at+st.h)*180/math.Pi, s.t, s.m, s.x, Coldest, Hottest)
		}
		if sink != nil {
			pr = p.slope(&s, &a[2], st, e, &k1)
			sink(2*i+1, st.at+st.h, &s, pr, p.pressureSlope(pr, &s, &k1, &a[2]))
		}
	}
	return s, nil
}

// pressureSlope is dp/dθ from those of the state.
func (p *plan) pressureSlope(pr float64, s, d *state, a *station) float64 {
	r := p.fresh.r + s.x*(p.burnt.r-p.fresh.r)
	return pr * (d.m/s.m + d.t/s.t + (p.burnt.r-p.fresh.r)*d.x/r - a.dv/a.v)
}

// u is the energy of the gas, heat of formation in it.
func (p *plan) u(s *state) float64 {
	_, hf := p.fresh.At(s.t)
	_, hb := p.burnt.At(s.t)
	return s.m * ((1-s.x)*(hf-p.fresh.r*s.t) + s.x*(hb-p.burnt.r*s.t))
}

// endsAt sets the ends for a cycle that begins with a state.
func (p *plan) endsAt(s *state, back float64) ends {
	r := p.fresh.r + s.x*(p.burnt.r-p.fresh.r)
	e := ends{tr: s.t, back: back, pr: s.m * r * s.t / p.vr}
	e.charge = 3.24e-3 * p.swept * e.tr / (e.pr * p.vr)
	cp, h := p.fresh.At(p.set.Temperature)
	e.hfresh, e.rtf, e.gf = h, p.fresh.r*p.set.Temperature, cp/(cp-p.fresh.r)
	cp, h = p.burnt.At(back)
	e.hback, e.rtb, e.gb = h, p.burnt.r*back, cp/(cp-p.burnt.r)
	return e
}

// temperatureOf finds the temperature of burnt gas of an enthalpy.
func (p *plan) temperatureOf(h, guess float64) float64 {
	t := guess
	for range 30 {
		cp, have := p.burnt.At(t)
		d := (h - have) / cp
		t = math.Min(math.Max(t+d, Coldest), Hottest)
		if math.Abs(d) < 1e-9*t {
			break
		}
	}
	return t
}
