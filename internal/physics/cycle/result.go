package cycle

import (
	"fmt"
	"math"
)

// Options say how a cycle is run.
type Options struct {
	Step      float64 // longest step in degrees of the crank; nought is 1
	Tolerance float64 // by which two cycles may differ; nought is 1e-7
	Cycles    int     // most repeats; nought is 60
}

// Result is a converged cycle.
type Result struct {
	IMEP       float64 // indicated mean effective pressure over 720°, Pa
	Pumping    float64 // part of it from 180° to 540°, Pa
	Work       float64 // J
	Heat       float64 // to the walls, J
	Fuel       float64 // mass of fuel in the fresh charge, kg
	Efficiency float64 // work over the fuel's heating value
	Trapped    float64 // mass at inlet closing, kg
	Residual   float64 // burnt share of it
	Filling    float64 // fresh charge over the mass that fills the swept volume at charge pressure and temperature
	Exhaust    float64 // mean temperature of the gas that leaves, K
	Peak       float64 // highest pressure, Pa
	PeakAt     float64 // its angle, rad
	Hottest    float64 // highest temperature, K
	Closure    float64 // energy that the steps lost, over the fuel's
	Cycles     int     // repeats
	Change     float64 // by which the last two differed
	Steps      int

	closing closing
	nodes   []node
}

// node is a point of the trace with its slope after it and before it.
type node struct {
	at         float64
	p, dp, end float64 // end is the slope before the next node
	t, x       float64
}

// closing is the gas at inlet closing, from which knock is counted.
type closing struct {
	t, p  float64
	speed float64
	fresh Gas
	burnt float64 // angle at which the burn ends
}

// Run repeats the cycle until it comes back to where it began.
//
// Each repeat begins with the state at inlet closing and the mean temperature of
// what went out in the one before. Most repeats are made with steps four times
// as long; the last ones, with the steps asked for, must agree within the
// tolerance in mass, temperature and share of burnt gas.
//
// Units:  SI, rad.
// Errors: a setup that no engine can be; a state that leaves the range of the
// polynomials; no convergence within the cycles allowed.
// Source: first law for an open system of one zone; see doc/model/cycle.md.
func Run(s Setup, o Options) (*Result, error) {
	if o.Step == 0 {
		o.Step = 1
	}
	if o.Tolerance == 0 {
		o.Tolerance = 1e-7
	}
	if o.Cycles == 0 {
		o.Cycles = 60
	}
	for _, err := range []error{within("the longest step in degrees", o.Step, 0.01, 6), within("the tolerance", o.Tolerance, 1e-13, 0.01), within("the number of cycles allowed", float64(o.Cycles), 2, 10000)} {
		if err != nil {
			return nil, err
		}
	}
	p, err := newPlan(s, o.Step)
	if err != nil {
		return nil, err
	}
	gas := state{t: p.set.Temperature + 50, x: 0.05}
	gas.m = p.set.Pressure * p.vr / (p.fresh.r * gas.t)
	back, n, change := 1100.0, 0, math.Inf(1)
	// repeat runs plan q to a tolerance and leaves the state in gas and back.
	repeat := func(q *plan, tolerance float64) error {
		for ; n < o.Cycles; n++ {
			e := q.endsAt(&gas, back)
			next, err := q.pass(state{m: gas.m, t: gas.t, x: gas.x, port: gas.port}, &e, nil)
			if err != nil {
				return err
			}
			hot := back
			if next.out > 0 {
				hot = q.temperatureOf(q.mean(&next), back)
			}
			change = math.Max(math.Abs(next.port.m-gas.port.m)/gas.m, math.Max(math.Max(math.Abs(next.m/gas.m-1), math.Abs(next.t/gas.t-1)), math.Max(math.Abs(next.x-gas.x), math.Abs(hot/back-1))))
			gas, back = next, hot
			if change <= tolerance {
				n++
				return nil
			}
		}
		return fmt.Errorf("cycle: after %d repeats two cycles still differ by %.2g; %.2g was asked for", n, change, tolerance)
	}
	if o.Step < 2 {
		rough, err := newPlan(s, math.Min(6, 4*o.Step))
		if err != nil {
			return nil, err
		}
		if err := repeat(rough, math.Max(1e-5, o.Tolerance)); err != nil {
			return nil, err
		}
	}
	if err := repeat(p, o.Tolerance); err != nil {
		return nil, err
	}
	return p.last(gas, back, n+1, change)
}

// mean is the mean enthalpy of what left at the exhaust.
func (p *plan) mean(s *state) float64 {
	if s.out <= 0 {
		return 0
	}
	return s.hot / math.Max(s.out, 1e-3*s.m)
}

// last runs the converged cycle once more and keeps its trace.
func (p *plan) last(gas state, back float64, cycles int, change float64) (*Result, error) {
	r := &Result{Cycles: cycles, Change: change, Steps: len(p.steps), Trapped: gas.m, Residual: gas.x, nodes: make([]node, len(p.steps)+1)}
	e := p.endsAt(&gas, back)
	begin := state{m: gas.m, t: gas.t, x: gas.x, port: gas.port}
	end, err := p.pass(begin, &e, func(i int, at float64, s *state, pr, dp float64) {
		if r.Hottest < s.t {
			r.Hottest = s.t
		}
		if i%2 == 0 {
			r.nodes[i/2] = node{at: at, p: pr, dp: dp, t: s.t, x: s.x}
		} else {
			r.nodes[i/2].end = dp
			r.nodes[i/2+1] = node{at: at, p: pr, dp: dp, t: s.t, x: s.x}
		}
	})
	if err != nil {
		return nil, err
	}
	r.Work, r.Heat = end.work, end.heat
	r.IMEP = end.work / p.swept
	air := p.set.Lambda * p.set.Fuel.Stoichiometric()
	r.Fuel = end.in / (1 + air)
	energy := r.Fuel * p.set.Fuel.Heating
	r.Efficiency = r.Work / energy
	r.Filling = end.in * p.fresh.r * p.set.Temperature / (p.set.Pressure * p.swept)
	r.Exhaust = back
	// U₂ − U₁ = H_in − H_out − W − Q.
	r.Closure = (p.u(&end) - p.u(&begin) - end.hin + end.hot + end.work + end.heat) / energy
	r.closing = closing{t: gas.t, p: e.pr, speed: p.set.Speed, fresh: p.fresh, burnt: -p.set.Burn.Start + p.set.Burn.Duration}
	r.peak()
	r.pump(p)
	for _, v := range []float64{r.IMEP, r.Efficiency, r.Peak, r.Filling, r.Closure, r.Pumping} {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return nil, fmt.Errorf("cycle: no figures for this setup: it takes in no charge")
		}
	}
	if r.Fuel <= 0 {
		return nil, fmt.Errorf("cycle: no fresh charge came in: %.3g kg; is the pressure behind the exhaust far above the charge's?", end.in)
	}
	return r, nil
}

// peak is the highest pressure, by the cubic through the highest node.
func (r *Result) peak() {
	for i := range len(r.nodes) - 1 {
		a, b := &r.nodes[i], &r.nodes[i+1]
		if math.Max(a.p, b.p) < 0.95*r.Peak {
			continue
		}
		for k := range 65 {
			q := float64(k) / 64
			if v := hermite(q, a.p, b.p, a.dp*(b.at-a.at), a.end*(b.at-a.at)); v > r.Peak {
				r.Peak, r.PeakAt = v, a.at+q*(b.at-a.at)
			}
		}
	}
}

// pump is the work of the two strokes of gas exchange.
func (r *Result) pump(p *plan) {
	w := 0.0
	for i := range len(r.nodes) - 1 {
		a, b := &r.nodes[i], &r.nodes[i+1]
		if mid := (a.at + b.at) / 2; mid > math.Pi && mid < 3*math.Pi {
			h := b.at - a.at
			middle := hermite(0.5, a.p, b.p, a.dp*h, a.end*h)
			s := p.stations[3*i : 3*i+3]
			w += h / 6 * (a.p*s[0].dv + 4*middle*s[1].dv + b.p*s[2].dv)
		}
	}
	r.Pumping = w / p.swept
}

// Pressure fills out with the pressure at equal angles over 720°, the first at
// firing top dead centre.
//
// Shapes: any number of points from one on.
// Units:  Pa, absolute.
// Errors: none.
func (r *Result) Pressure(out []float64) {
	const whole = 4 * math.Pi
	begin := r.nodes[0].at // below nought
	n := len(out)
	first := int(math.Ceil(begin / whole * float64(n)))
	k := 0
	for j := range n {
		at := whole * float64(first+j) / float64(n)
		for k < len(r.nodes)-2 && r.nodes[k+1].at <= at {
			k++
		}
		a, b := &r.nodes[k], &r.nodes[k+1]
		h := b.at - a.at
		out[((first+j)%n+n)%n] = hermite((at-a.at)/h, a.p, b.p, a.dp*h, a.end*h)
	}
}

// Checked is Run with an estimate of what its steps cost: the cycle is run again
// with steps of half the length, and the difference of IMEP and of peak pressure
// is given relative to the finer one, which is the one returned. With kinks in
// lift and flow the order of the method is not kept, so the plain difference is
// given and no extrapolation from it.
//
// Errors: as Run.
func Checked(s Setup, o Options) (r *Result, imep, peak float64, err error) {
	if o.Step == 0 {
		o.Step = 1
	}
	coarse, err := Run(s, o)
	if err != nil {
		return nil, 0, 0, err
	}
	o.Step /= 2
	if r, err = Run(s, o); err != nil {
		return nil, 0, 0, err
	}
	return r, coarse.IMEP/r.IMEP - 1, coarse.Peak/r.Peak - 1, nil
}
