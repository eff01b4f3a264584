package oilway

import (
	"math"
	"testing"
)

func must[T any](t testing.TB) func(v T, err error) T {
	return func(v T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

func near(t *testing.T, what string, got, want, rel float64) {
	t.Helper()
	if !(math.Abs(got-want) <= rel*math.Abs(want)) {
		t.Errorf("%s = %.12g, want %.12g", what, got, want)
	}
}

const lpm = 1e-3 / 60 // l/min

// six is an invented engine: seven mains, six big ends, jets, phasers, cams.
func six(t testing.TB) System {
	t.Helper()
	main := must[float64](t)(Grooved(0.060, 0.00925, 22.5e-6, 0.7, 0.5))
	pin := must[float64](t)(Holed(0.005, 0.0205, 30e-6))
	hole := func(d float64) float64 { return must[float64](t)(Orifice(d, 0.7)) }
	s := System{Pump: Pump{Displacement: 15.5e-6, Fill: 0.94, Slip: must[float64](t)(Seep(3.6*lpm, 4.6e5, 6e-3)), U: 0.02, SlipU: 0.2},
		Relief: Relief{Opens: 4.6e5, Full: 5.6e5, Flow: 90 * lpm, U: 0.1e5}, Way: must[float64](t)(Seep(40*lpm, 0.5e5, 6e-3)), WayU: 0.2}
	for i := range 7 {
		s.Outlets = append(s.Outlets, Outlet{Name: "main " + string(rune('1'+i)), Kind: Bearing, Count: 1, Film: main, U: 0.2})
	}
	for i := range 6 {
		s.Outlets = append(s.Outlets, Outlet{Name: "big end " + string(rune('1'+i)), Kind: Bearing, Count: 1, Film: pin, U: 0.2, From: 0.030, To: 0.046})
	}
	s.Outlets = append(s.Outlets, Outlet{Name: "jets", Kind: Jet, Count: 6, Hole: hole(1.45e-3), Opens: 1.6e5, U: 0.05},
		Outlet{Name: "phasers", Kind: Phaser, Count: 2, Hole: hole(1.0e-3), U: 0.1}, Outlet{Name: "cams", Kind: Lash, Count: 2, Hole: hole(1.8e-3), Film: 2e-13, U: 0.1})
	return s
}

func states() []State {
	return []State{{Name: "hot idle", Turns: 800.0 / 60, Crank: 800 * math.Pi / 30, Viscosity: 10e-3, Density: 805, U: 0.05},
		{Name: "at speed", Turns: 6800.0 / 60, Crank: 6800 * math.Pi / 30, Viscosity: 6e-3, Density: 792, U: 0.05}}
}

// Law: closed forms of single things. A film and a slip: p = V n μ/(S + F). A hole:
// p = ρ/2 (Q/H)². A relief alone: p = p₀ + (p₁ − p₀) Q/Q₁. A filter on the way:
// μ Q/F more at the pump. A film and a hole in a row: both their pressures.
func TestClosedForms(t *testing.T) {
	x := State{Name: "x", Turns: 20, Viscosity: 8e-3, Density: 800}
	pump := Pump{Displacement: 10e-6, Fill: 0.9}
	const q = 10e-6 * 0.9 * 20
	far := Relief{Opens: 9e7, Full: 1e8, Flow: 1e-3}
	solve := func(s System) Answer { return must[Answer](t)(must[*Engine](t)(NewEngine(s)).Solve(x)) }

	slip := pump
	slip.Slip = 1e-12
	a := solve(System{Pump: slip, Outlets: []Outlet{{Count: 3, Film: 2e-12}}})
	near(t, "film", a.Pressure, q*8e-3/(1e-12+3*2e-12), 1e-11)

	a = solve(System{Pump: pump, Relief: far, Outlets: []Outlet{{Count: 2, Hole: 2e-6}}})
	near(t, "hole", a.Pressure, 400*math.Pow(q/(2*2e-6), 2), 1e-11)

	a = solve(System{Pump: pump, Relief: Relief{Opens: 3e5, Full: 4e5, Flow: 5e-4}, Outlets: []Outlet{{Count: 1, Film: 1e-12, Opens: 1e8}}})
	near(t, "relief", a.Pressure, 3e5+1e5*q/5e-4, 1e-11)

	a = solve(System{Pump: pump, Relief: far, Way: 5e-12, Outlets: []Outlet{{Count: 1, Film: 5e-12}}})
	near(t, "way", a.Outlet-a.Pressure, 8e-3*q/5e-12, 1e-11)
	near(t, "after the way", a.Pressure, 8e-3*q/5e-12, 1e-11)

	a = solve(System{Pump: pump, Relief: far, Outlets: []Outlet{{Count: 1, Hole: 3e-6, Film: 6e-12, Opens: 1e5}}})
	near(t, "row", a.Pressure-1e5, 8e-3*q/6e-12+400*math.Pow(q/3e-6, 2), 1e-11)

	capped := pump
	capped.Most = q / 2
	a = solve(System{Pump: capped, Relief: far, Outlets: []Outlet{{Count: 1, Film: 5e-12}}})
	near(t, "stops filling", a.Pressure, 8e-3*q/2/5e-12, 1e-11)

	table := Table{Pressure: []float64{0, 1e5, 5e5}, Flow: []float64{0, 1e-4, 2e-4}, Viscosity: 4e-3}
	a = solve(System{Pump: pump, Relief: far, Outlets: []Outlet{{Count: 2, Given: table}}})
	near(t, "table", a.Pressure, 1e5+4e5*(q-1e-4)/1e-4, 1e-11) // half of it twice

	turning := x
	turning.Crank = 600
	b := must[Answer](t)(must[*Engine](t)(NewEngine(System{Pump: pump, Relief: far, Outlets: []Outlet{{Count: 1, Film: 5e-12, From: 0.03, To: 0.045}}})).Solve(turning))
	near(t, "turning crank", b.Pressure+400*600*600*(0.045*0.045-0.03*0.03), 8e-3*q/5e-12, 1e-11)
}

// Law: a state's own table stands in the place of the outlet's figures, in that
// state alone, follows the viscosity, and widens with a suspected clearance.
func TestLawOwnTables(t *testing.T) {
	s := six(t)
	e := must[*Engine](t)(NewEngine(s))
	plain := states()
	own := states()
	own[1].Own = make([]Table, len(s.Outlets))
	for i, o := range s.Outlets {
		if o.Kind == Bearing && o.From == o.To {
			mu := own[1].Viscosity
			own[1].Own[i] = Table{Pressure: []float64{0, 1e5, 1e8}, Flow: []float64{0, o.Film * 1e5 / mu, o.Film * 1e8 / mu}, Viscosity: mu}
		}
	}
	a, b := must[[]Doubted](t)(e.FirstOrder(plain)), must[[]Doubted](t)(e.FirstOrder(own))
	r := []Reading{{1.5e5, 1e4}, {4.5e5, 1e4}}
	x, y := must[[]Candidate](t)(e.Suspects(plain, r, UsualPriors())), must[[]Candidate](t)(e.Suspects(own, r, UsualPriors()))
	for k := range a {
		near(t, "pressure", b[k].Pressure, a[k].Pressure, 1e-9)
		near(t, "u", b[k].U, a[k].U, 1e-6)
	}
	for i := range x {
		near(t, x[i].Suspicion.String(), y[i].After, x[i].After, 1e-6)
	}
	for i := range own[1].Own {
		for k := range own[1].Own[i].Flow {
			own[1].Own[i].Flow[k] *= 20
		}
	}
	c := must[[]Doubted](t)(e.FirstOrder(own))
	near(t, "the other state", c[0].Pressure, a[0].Pressure, 1e-12)
	if !(c[1].Each[0] > 15*a[1].Each[0]) {
		t.Errorf("a table of twenty times the flow gives %g after %g", c[1].Each[0], a[1].Each[0])
	}
	own[1].Own = own[1].Own[:3]
	if _, err := e.FirstOrder(own); err == nil {
		t.Error("three tables for all outlets are taken")
	}
}

// Published: flow through the clearance of an eccentric bearing, fed all round, is
// that of a slot of varying height summed up: h³ Δp/12μl. A. Cameron, Basic
// Lubrication Theory (1976), from memory; summed here on its own.
func TestPublishedSlot(t *testing.T) {
	const d, l, c = 0.06, 0.009, 25e-6
	for _, eps := range []float64{0, 0.3, 0.9, 1} {
		sum := 0.0
		for i := range 3600 {
			h := c * (1 + eps*math.Cos(2*math.Pi*float64(i)/3600))
			sum += h * h * h / (12 * l) * math.Pi * d / 3600
		}
		near(t, "two lands", must[float64](t)(Grooved(d, l, c, eps, 1)), 2*sum, 1e-12)
	}
	near(t, "half the way", must[float64](t)(Grooved(d, l, c, 0.5, 0.5)), must[float64](t)(Grooved(d, l, c, 0.5, 1))/2, 1e-15)
	near(t, "third power", must[float64](t)(Holed(0.005, 0.02, 50e-6)), 8*must[float64](t)(Holed(0.005, 0.02, 25e-6)), 1e-12)
}

// Law: what the pump gives is what goes, in every state. The pressure is found to
// 10⁻¹² of itself; where jets just open their flow rises as a root, and 10⁻⁶ of
// it is then the square of that. The search may take 200 looks and takes fewer
// than 100.
func TestLawMassBalance(t *testing.T) {
	e := must[*Engine](t)(NewEngine(six(t)))
	most, all, count := 0, 0, 0
	for turns := 0.5; turns < 200; turns *= 1.07 {
		for mu := 2e-3; mu < 2; mu *= 1.9 {
			a := must[Answer](t)(e.Solve(State{Turns: turns, Crank: turns * 6, Viscosity: mu, Density: 800}))
			sum := 0.0
			for _, q := range a.Each {
				sum += q
			}
			near(t, "sum of outlets", sum, a.Used, 1e-12)
			if math.Abs(a.Pumped-a.Relieved-a.Used) > 1e-6*a.Pumped && !a.Starved {
				t.Errorf("%g turns, %g Pa·s: %+v", turns, mu, a)
			}
			most, all, count = max(most, a.Steps), all+a.Steps, count+1
		}
	}
	if t.Logf("%d looks at most, %.1f usual", most, float64(all)/float64(count)); most > 100 {
		t.Errorf("%d looks", most)
	}
}

// Law: pressure rises with speed and displacement, and falls with any outlet, slip
// and wear. It rises with the viscosity too, but for one thing: where the relief
// feels the pump's outlet and holds it, thin oil loses less in the filter.
func TestLawDirections(t *testing.T) {
	base := six(t)
	for _, x := range states() {
		at := func(s System, x State) float64 {
			return must[Answer](t)(must[*Engine](t)(NewEngine(s)).Solve(x)).Pressure
		}
		p := at(base, x)
		up, down := x, x
		up.Turns *= 1.05
		down.Viscosity /= 1.1
		straight := six(t)
		straight.Way = 0
		if !(at(base, up) > p) || !(at(straight, down) < at(straight, x)) {
			t.Errorf("%s: %g, faster %g; thinner %g after %g", x.Name, p, at(base, up), at(straight, down), at(straight, x))
		}
		if x.Name == "at speed" && !(at(base, down) > p) {
			t.Errorf("thin oil does not lose less in the filter: %g after %g", at(base, down), p)
		}
		for i := range base.Outlets {
			s := six(t)
			s.Outlets[i].Film *= 1.3
			s.Outlets[i].Hole *= 1.3
			if q := at(s, x); !(q < p) && x.Name == "at speed" || q > p {
				t.Errorf("%s, more out of %s: %g after %g", x.Name, s.Outlets[i].Name, q, p)
			}
		}
		s := six(t)
		if s.Pump.Slip *= 2; !(at(s, x) < p) {
			t.Errorf("%s: a worn pump gives %g after %g", x.Name, at(s, x), p)
		}
		s = six(t)
		if s.Pump.Displacement *= 1.1; !(at(s, x) > p) {
			t.Errorf("%s: a larger pump gives %g after %g", x.Name, at(s, x), p)
		}
	}
}

// Law: the first order is the derivative of the closed form, ∂ln p/∂ln F = −F/(S +
// F) and so on; its parts add up; and it agrees with the draws where doubts are
// small.
func TestLawDoubt(t *testing.T) {
	x := []State{{Name: "x", Turns: 20, Viscosity: 8e-3, Density: 800, U: 0.03}}
	e := must[*Engine](t)(NewEngine(System{Pump: Pump{Displacement: 1e-5, Fill: 1, Slip: 1e-12, U: 0.01, SlipU: 0.1}, Outlets: []Outlet{{Name: "a", Count: 1, Film: 3e-12, U: 0.05}}}))
	d := must[[]Doubted](t)(e.FirstOrder(x))[0]
	want := math.Sqrt(0.03*0.03 + 0.01*0.01 + 0.025*0.025 + 0.0375*0.0375)
	near(t, "relative u", d.U/d.Pressure, want, 1e-6)
	sum := 0.0
	for i, part := range d.Parts {
		if sum += part.Share; i > 0 && part.Share > d.Parts[i-1].Share {
			t.Error("parts are not in order")
		}
	}
	near(t, "parts", sum, 1, 1e-12)
	if d.Parts[0].Cause != "a" || len(d.Parts) != 4 {
		t.Errorf("parts %v", d.Parts)
	}
	s := must[[]Spread](t)(e.Draws(x, 20000, 7))[0]
	near(t, "draws", s.Deviation, d.U, 0.02)
	near(t, "mean", s.Mean, d.Pressure, 0.003)
	near(t, "low", s.Low, d.Pressure-1.96*d.U, 0.01)
	if again := must[[]Spread](t)(e.Draws(x, 20000, 7))[0]; again != s {
		t.Errorf("the same seed gives %v and %v", s, again)
	}
	six := must[*Engine](t)(NewEngine(six(t)))
	first, drawn := must[[]Doubted](t)(six.FirstOrder(states())), must[[]Spread](t)(six.Draws(states(), 4000, 1))
	for k := range first {
		t.Logf("%s: %.2f bar, u %.2f; drawn %.2f, %.2f, 95 %% %.2f to %.2f; %s %.0f %%; used %.1f l/min, relief %.1f", states()[k].Name, first[k].Pressure/1e5, first[k].U/1e5,
			drawn[k].Mean/1e5, drawn[k].Deviation/1e5, drawn[k].Low/1e5, drawn[k].High/1e5, first[k].Parts[0].Cause, 100*first[k].Parts[0].Share, first[k].Used/lpm, first[k].Relieved/lpm)
		near(t, "six drawn", drawn[k].Deviation, first[k].U, 0.15)
	}
}

// Synthetic: something invented goes wrong with an invented engine, its gauge is
// read at idle and at speed, and the list of suspects is led by it, or by what
// looks the same from a gauge; what is wrong is at least twice as likely as
// before. Oil thinned to 0.6 hardly shows where holes and not films take the
// most: nothing leads there, and rightly.
func TestSyntheticSuspects(t *testing.T) {
	e := must[*Engine](t)(NewEngine(six(t)))
	priors := UsualPriors()
	read := func(s *System, x []State, add float64) []Reading {
		var out []Reading
		for k := range x {
			p, _, err := s.find(&x[k], still(len(s.Outlets)))
			if err != nil {
				t.Fatal(err)
			}
			out = append(out, Reading{p + add, 0.05e5})
		}
		return out
	}
	thin := states()
	for k := range thin {
		thin[k].Viscosity *= 0.6
	}
	for _, c := range []struct {
		name     string
		readings []Reading
		is       Suspicion
		first    []Suspicion
	}{
		{"as predicted", read(&e.s, states(), 0), Nothing, []Suspicion{Nothing}},
		{"plug of 5 mm", read(e.s.with(Plug, -1, 5e-3), states(), 0), Plug, []Suspicion{Plug, JetMissing}},
		{"relief of half", read(e.s.with(ReliefWeak, -1, 0.5), states(), 0), ReliefWeak, []Suspicion{ReliefWeak}},
		{"relief shut", read(e.s.with(ReliefShut, -1, 0.05), states(), 0), ReliefShut, []Suspicion{ReliefShut}},
		{"pump worn", read(e.s.with(PumpWorn, -1, 2.2), states(), 0), PumpWorn, []Suspicion{PumpWorn, PumpAir}},
		{"oil thin", read(&e.s, thin, 0), OilThin, []Suspicion{OilThin, Nothing}},
		{"gauge off", read(&e.s, states(), 0.9e5), GaugeOff, []Suspicion{GaugeOff}},
	} {
		list := must[[]Candidate](t)(e.Suspects(states(), c.readings, priors))
		sum := 0.0
		for i, x := range list {
			sum += x.After
			if i > 0 && x.After > list[i-1].After {
				t.Errorf("%s: not in order", c.name)
			}
			if x.Suspicion == c.is && !(x.After > 2*x.Prior) {
				t.Errorf("%s: %.3f after %.3f", c.name, x.After, x.Prior)
			}
			if i < 4 {
				t.Logf("%s: %d on %d, %.3f after %.3f, size %.3g, explains %.2f, misfit %.2g", c.name, x.Suspicion, x.Outlet, x.After, x.Prior, x.Size, x.Explains, x.Misfit)
			}
		}
		near(t, c.name+": sum", sum, 1, 1e-12)
		ok := false
		for _, s := range c.first {
			ok = ok || list[0].Suspicion == s
		}
		if !ok {
			t.Errorf("%s: %d leads", c.name, list[0].Suspicion)
		}
		if c.name == "as predicted" && !(list[0].After > list[0].Prior) {
			t.Errorf("a reading as predicted makes nothing less likely: %g after %g", list[0].After, list[0].Prior)
		}
	}
	// A bearing whose clearance was measured leaves little room: with flows known
	// to 2 % the worn big end that passes eight times as much is found.
	s := six(t)
	for i := range s.Outlets {
		s.Outlets[i].U = 0.02
		s.Outlets[i].Film *= 8
	}
	wide := must[*Engine](t)(NewEngine(s))
	list := must[[]Candidate](t)(wide.Suspects(states(), read(wide.s.with(ClearanceLarge, 9, 2.5), states(), 0), priors))
	after := 0.0
	for _, x := range list {
		if x.Suspicion == ClearanceLarge {
			after += x.After
		}
	}
	if !(after > 0.1*1.2) {
		t.Errorf("one wide big end: %.3f for a bearing in all", after)
	}
}

// Law: relabelled, the suspects stay as they are; a suspicion that the engine
// cannot have is not on the list; the weights of the priors may be any.
func TestLawSuspects(t *testing.T) {
	s := six(t)
	s.Way, s.Relief = 0, Relief{}
	e := must[*Engine](t)(NewEngine(s))
	r := []Reading{{1.2e5, 1e4}, {9e5, 1e4}}
	list := must[[]Candidate](t)(e.Suspects(states(), r, UsualPriors()))
	for _, c := range list {
		switch c.Suspicion {
		case WayBlocked, ReliefWeak, ReliefHeld, ReliefShut:
			t.Errorf("suspicion %d of what is not there", c.Suspicion)
		}
	}
	twice := UsualPriors()
	for i := range twice {
		twice[i].Chance *= 100
	}
	again := must[[]Candidate](t)(e.Suspects(states(), r, twice))
	for i := range list {
		near(t, "weights", again[i].After, list[i].After, 1e-9)
	}
	if len(list) != len(again) || len(list) < 18 {
		t.Errorf("%d and %d candidates", len(list), len(again))
	}
}

// Law: what is no system, state or reading is refused.
func TestLawRefused(t *testing.T) {
	for i, spoil := range []func(s *System){
		func(s *System) { s.Pump.Displacement = 0 }, func(s *System) { s.Pump.Fill = math.NaN() }, func(s *System) { s.Pump.Slip, s.Relief = 0, Relief{} },
		func(s *System) { s.Relief.Full = s.Relief.Opens }, func(s *System) { s.Outlets = nil }, func(s *System) { s.Outlets[0].Film = -1 }, func(s *System) { s.Outlets[0].Film = 0 },
		func(s *System) { s.Outlets[0].Count = 0 }, func(s *System) { s.Outlets[0].Given = Table{Pressure: []float64{0, 1}, Flow: []float64{0, 1}} },
		func(s *System) {
			s.Outlets[0].Film, s.Outlets[0].Given = 0, Table{Pressure: []float64{0, 1}, Flow: []float64{0, math.NaN()}}
		}, func(s *System) { s.Way = math.Inf(1) }, func(s *System) { s.Relief.U = -1 },
	} {
		s := six(t)
		spoil(&s)
		if _, err := NewEngine(s); err == nil {
			t.Errorf("%d is taken", i)
		}
	}
	e := must[*Engine](t)(NewEngine(six(t)))
	for i, x := range []State{{Turns: math.NaN(), Viscosity: 1, Density: 800}, {Turns: 1, Viscosity: 0, Density: 800}, {Turns: 1, Viscosity: 1, Density: 8}, {Turns: 1, Viscosity: 1, Density: 800, U: 2}} {
		if _, err := e.Solve(x); err == nil {
			t.Errorf("state %d is taken", i)
		}
	}
	for i, r := range [][]Reading{nil, {{1e5, 1e4}}, {{math.NaN(), 1e4}, {1e5, 1e4}}, {{1e5, 0}, {1e5, 1e4}}} {
		if _, err := e.Suspects(states(), r, UsualPriors()); err == nil {
			t.Errorf("readings %d are taken", i)
		}
	}
	if _, err := e.Suspects(states(), []Reading{{1e5, 1e4}, {1e5, 1e4}}, []Prior{{Plug, -1, 1, 1}}); err == nil {
		t.Error("a negative prior is taken")
	}
	if _, err := e.Draws(states(), 10, 1); err == nil {
		t.Error("ten draws are taken")
	}
	// Nothing lets the oil out below 10⁹ Pa: said, not run away with.
	tight := must[*Engine](t)(NewEngine(System{Pump: Pump{Displacement: 1e-3, Fill: 1, Slip: 1e-20}, Outlets: []Outlet{{Count: 1, Film: 1e-20}}}))
	if _, err := tight.Solve(State{Turns: 100, Viscosity: 1, Density: 800}); err == nil {
		t.Error("a pump without a way out has a pressure")
	}
}

func BenchmarkSolve(b *testing.B) {
	e := must[*Engine](b)(NewEngine(six(b)))
	for b.Loop() {
		must[Answer](b)(e.Solve(states()[0]))
	}
}

func BenchmarkDraws1000(b *testing.B) {
	e := must[*Engine](b)(NewEngine(six(b)))
	for b.Loop() {
		must[[]Spread](b)(e.Draws(states(), 1000, 1))
	}
}

func BenchmarkSuspects(b *testing.B) {
	e := must[*Engine](b)(NewEngine(six(b)))
	for b.Loop() {
		must[[]Candidate](b)(e.Suspects(states(), []Reading{{1e5, 1e4}, {4e5, 1e4}}, UsualPriors()))
	}
}
