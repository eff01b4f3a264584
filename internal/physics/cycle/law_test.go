package cycle

import (
	"math"
	"testing"

	"fettle/internal/physics/crank"
)

// constantly is a plan of shut valves and a gas of constant heat capacity, from
// bottom to bottom, without walls, that burns heat J/kg within a duration from top.
func constantly(t testing.TB, fresh Gas, heat, duration, step, ratio float64) *plan {
	t.Helper()
	s := invented(t).filled()
	c := must(crank.OfRatio(must(crank.NewSlider(0.043, 0.143, 0))(t), 0.087, ratio))(t)
	s.Volume, s.Walls.Adiabatic = c.Volume, true
	s.Burn.Start, s.Burn.Duration = duration/2, duration
	if heat == 0 {
		s.Burn.Start = 0 // a step ends at the top
	}
	s.Burn.A = 20 // burnt to 2e-9
	s.Inlet.Opens, s.Inlet.Closes, s.Exhaust.Opens, s.Exhaust.Closes = 20, 21, 20, 21
	p := &plan{set: s, fresh: fresh, burnt: fresh.Shifted(-heat)}
	if err := p.lay(-math.Pi, math.Pi, step); err != nil {
		t.Fatal(err)
	}
	return p
}

// Law: the Otto limit. With a gas of constant γ, no walls, shut valves and a burn
// that shrinks to the top, efficiency goes to 1 − r^(1−γ); what is missing goes
// with the square of the duration.
func TestLawOttoLimit(t *testing.T) {
	last := 0.0
	for i, duration := range []float64{4 * deg, 2 * deg, 1 * deg, 0.25 * deg} {
		gas := must(Constant(1.35, 287, 0))(t)
		p := constantly(t, gas, 2e6, duration, 1, 11)
		s := state{m: 5e-4, t: 350}
		e := p.endsAt(&s, 1000)
		end, err := p.pass(s, &e, nil)
		if err != nil {
			t.Fatal(err)
		}
		off := end.work/(2e6*5e-4)/(1-math.Pow(11, -0.35)) - 1
		if duration == 0.25*deg {
			near(t, "efficiency over the ideal", off, 0, 0, 1e-5)
		}
		if i == 1 || i == 2 {
			near(t, "order of what is missing", math.Log2(last/off), 2, 0, 0.1)
		}
		last = off
		near(t, "closure", (p.u(&end)-p.u(&s)+end.work)/(2e6*5e-4), 0, 0, 1e-8)
	}
}

// Law: a closed adiabatic stroke without a burn keeps T Vᵞ⁻¹ and comes back, and
// the error of a stroke goes with the fourth power of the step.
func TestLawAdiabat(t *testing.T) {
	gas := must(Constant(1.35, 287, 0))(t)
	var errs []float64
	for _, step := range []float64{3, 1.5} {
		p := constantly(t, gas, 0, 1*deg, step, 11)
		s := state{m: 5e-4, t: 350}
		e := p.endsAt(&s, 1000)
		most := 0.0
		if _, err := p.pass(s, &e, func(i int, at float64, y *state, pr, dp float64) {
			if math.Abs(at) < 1e-9 {
				most = y.t
			}
		}); err != nil {
			t.Fatal(err)
		}
		errs = append(errs, most/(350*math.Pow(11, 0.35))-1)
	}
	near(t, "temperature at the top", errs[1], 0, 0, 1e-6)
	if order := math.Log2(math.Abs(errs[0] / errs[1])); order < 3.5 {
		t.Errorf("errors %v: order %.2f, want 4", errs, order)
	}
}

// Law: energy neither comes nor goes, at all speeds, throttled and boosted.
func TestLawEnergyCloses(t *testing.T) {
	for _, c := range []struct{ rpm, pressure float64 }{{900, 0.4e5}, {900, 1e5}, {2500, 1e5}, {6500, 1e5}, {6500, 2e5}, {9000, 1e5}} {
		s := invented(t)
		s.Speed, s.Pressure = c.rpm*math.Pi/30, c.pressure
		r := must(Run(s, Options{Step: 0.25, Tolerance: 1e-9}))(t)
		near(t, "energy lost over the fuel's", r.Closure, 0, 0, 1e-8)
		near(t, "mass", r.Change, 0, 0, 1e-9)
	}
}

// Law: work of the torque is work of the gas. Pressures are handed to the room of
// the crank with masses that are none of the gas's business.
func TestLawTorqueWork(t *testing.T) {
	s := invented(t)
	const n = 14400
	r := must(Run(s, Options{Step: 0.25}))(t)
	gauge, torque := make([]float64, n), make([]float64, n)
	r.Pressure(gauge)
	for i := range gauge {
		gauge[i] -= 1e5
	}
	m := must(crank.NewMechanism(cylinder(t).Slider, crank.Parts{Piston: 0.42, Bore: 0.087, Rod: crank.Rod{Mass: 0.6, Gravity: 0.04, Inertia: 0.002}}))(t)
	if err := must(crank.NewTable(m, n, 0))(t).Loads(s.Speed, gauge, &crank.Loads{Torque: torque}); err != nil {
		t.Fatal(err)
	}
	sum := 0.0
	for _, v := range torque {
		sum += v * 4 * math.Pi / n
	}
	near(t, "work of the torque", sum, r.Work, 1e-7, 0)
}

// Law: steps cost what Checked says: a cycle of the usual step is within 1e-5 of
// one of a sixteenth of it, and the estimate is of that size.
func TestLawSteps(t *testing.T) {
	for _, rpm := range []float64{1000, 3000, 6500} {
		s := invented(t)
		s.Speed = rpm * math.Pi / 30
		r, imep, peak, err := Checked(s, Options{})
		if err != nil {
			t.Fatal(err)
		}
		fine := must(Run(s, Options{Step: 1. / 16}))(t)
		near(t, "IMEP", r.IMEP, fine.IMEP, 1e-5, 0)
		near(t, "peak", r.Peak, fine.Peak, 1e-5, 0)
		if math.Abs(imep) > 1e-5 || math.Abs(peak) > 1e-5 || imep == 0 {
			t.Errorf("%g rpm: estimates %.2g of IMEP and %.2g of peak, want under 1e-5 and not nought", rpm, imep, peak)
		}
	}
}

// Law: what a person expects of an engine has the right sign.
func TestLawDirections(t *testing.T) {
	base := must(Run(invented(t), Options{}))(t)
	run := func(change func(*Setup)) *Result {
		s := invented(t)
		change(&s)
		return must(Run(s, Options{}))(t)
	}
	index := func(r *Result) KnockIndex { return must(r.Knock(95))(t) }
	boost := run(func(s *Setup) { s.Pressure = 1.5e5 })
	warm := run(func(s *Setup) { s.Temperature = 340 })
	late := run(func(s *Setup) { s.Burn.Start = 10 * deg })
	lean := run(func(s *Setup) { s.Lambda = 1.1 })
	cold := run(func(s *Setup) { s.Walls.Adiabatic = true })
	throttled := run(func(s *Setup) { s.Pressure = 0.5e5 })
	for _, c := range []struct {
		what string
		ok   bool
	}{
		{"boost raises work and peak", boost.IMEP > 1.4*base.IMEP && boost.Peak > 1.3*base.Peak},
		{"boost nears knock", index(boost).Against(index(base)).Ratio > 1 && index(boost).Against(index(base)).Octane < 0},
		{"a warm charge nears knock and fills less", index(warm).Against(index(base)).Ratio > 1 && warm.Trapped < base.Trapped},
		{"late fire lowers the peak and the knock", late.Peak < base.Peak && index(late).Against(index(base)).Octane > 0},
		{"lean saves fuel and power", lean.Efficiency > base.Efficiency && lean.IMEP < base.IMEP},
		{"without walls more work", cold.IMEP > base.IMEP && cold.Heat == 0},
		{"a throttle costs pumping and leaves burnt gas", throttled.Pumping < 0 && throttled.Residual > 1.5*base.Residual},
		{"a cycle beside itself has no margin", index(base).Against(index(base)) == Margin{1, 0}},
	} {
		if !c.ok {
			t.Errorf("not so: %s; pumping %g, burnt %g and %g", c.what, throttled.Pumping, throttled.Residual, base.Residual)
		}
	}
	// A fuel of the octane number that Margin says has the baseline's index.
	m := index(boost).Against(index(base))
	poorer := must(boost.Knock(95 - m.Octane))(t)
	near(t, "index with the fuel that is needed", poorer.Against(must(base.Knock(95))(t)).Ratio, 1, 1e-9, 0)
}

// Law: a charge keeps its elements and its heating value.
func TestLawCharge(t *testing.T) {
	for _, lambda := range []float64{0.7, 0.88, 1, 1.4} {
		f := Petrol()
		fresh, burnt, err := f.Charge(lambda)
		if err != nil {
			t.Fatal(err)
		}
		_, hf := fresh.At(standard)
		_, hb := burnt.At(standard)
		released := (hf - hb) * (1 + lambda*f.Stoichiometric())
		if lambda >= 1 {
			near(t, "heat of a kilogram of fuel", released, 44e6, 1e-9, 0)
		} else {
			// Each atom of oxygen that is missing leaves CO or H₂ behind, 283.0 or
			// 241.8 kJ/mol (heats of formation, JANAF).
			each := (44e6 - released) * f.mass() / (2 * f.oxygen() * (1 - lambda))
			if each < 241.8e3 || each > 283.0e3 {
				t.Errorf("λ %g: each oxygen atom that is missing keeps back %g J/mol", lambda, each)
			}
		}
		for _, g := range []Gas{fresh, burnt} {
			_, below := g.At(1000 - 1e-9)
			_, above := g.At(1000)
			near(t, "enthalpy at 1000 K", above-below, 0, 0, 1e-3)
		}
	}
}

// Synthetic, for want of an open trace of a petrol engine: the model's own
// pressure, moved by an unknown zero and read at uneven angles, comes back.
func TestSyntheticTrace(t *testing.T) {
	s := invented(t)
	r := must(Run(s, Options{}))(t)
	fine := make([]float64, 14400)
	r.Pressure(fine)
	var at, p []float64
	for i := 0; i < 14400; i += 9 + i%5 {
		at, p = append(at, float64(i)/20*deg-2*math.Pi), append(p, fine[(i+7200)%14400]-3.21e5)
	}
	trace := must(NewTrace(at, p))(t)
	mean, n := 0.0, 0
	for _, a := range at {
		if off := math.Mod(a+4*math.Pi, 4*math.Pi); off >= 530*deg && off <= 550*deg {
			mean, n = mean+fine[int(math.Round(off/deg*20))%14400], n+1
		}
	}
	trace = must(trace.Pegged(530*deg, 550*deg, mean/float64(n)))(t)
	got, want := make([]float64, 720), make([]float64, 720)
	trace.Pressure(got)
	r.Pressure(want)
	for i := range got {
		near(t, "pressure", got[i], want[i], 0, 3e-4*r.Peak)
	}
	nan := math.NaN()
	for _, bad := range []func(){func() { at[5] = at[4] }, func() { p[7] = nan }, func() { at = at[:200]; p = p[:200] }, func() { at = nil }} {
		bad()
		if _, err := NewTrace(at, p); err == nil {
			t.Error("a bad trace was taken")
		}
	}
}
