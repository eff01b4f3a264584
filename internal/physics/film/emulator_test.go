package film

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Accuracy: seven nodes from 15 to 40 µm radial are within 0.1 % in least film
// and 0.05 K everywhere, and what is stated is not less than what is found there
// by more than half. The derivative is that of the polynomial, within 1e-6 of
// differences of it.
func TestEmulator(t *testing.T) {
	c := heatCase(t, 0)
	e, err := Emulate(c, 15e-6, 40e-6, 7, 2)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("stated: gap %.1e, peak %.1e, loss %.1e, flow %.1e, %.3f K", e.Error.Gap, e.Error.Peak, e.Error.Loss, e.Error.Flow, e.Error.Celsius)
	most, hot := 0.0, 0.0
	for x := 15e-6; x <= 40.01e-6; x += 1.37e-6 {
		c.Clearance = x
		r, err := Balance(c)
		if err != nil {
			t.Fatal(err)
		}
		got := e.At(x)
		most, hot = math.Max(most, math.Abs(got.Gap/r.Gap-1)), math.Max(hot, math.Abs(got.Celsius-r.Celsius))
		h := 1e-11
		up, down, slope := e.At(x+h), e.At(x-h), e.Slope(x)
		for k, s := range slope.list() {
			if x > 15.1e-6 && x < 39.9e-6 {
				if d := (up.list()[k] - down.list()[k]) / (2 * h); math.Abs(s-d) > 1e-4*math.Abs(d)+1e-9 {
					t.Errorf("c %g, figure %d: slope %g, by differences %g", x, k, s, d)
				}
			}
		}
	}
	t.Logf("found: gap %.1e, %.3f K", most, hot)
	if most > 1e-3 || hot > 0.05 || most > 1.5*e.Error.Gap {
		t.Errorf("gap off %g, temperature %g K; stated %+v", most, hot, e.Error)
	}
	if e.Covers(10e-6) || !e.Covers(20e-6) || !finite(e.At(10e-6).Gap) {
		t.Error("outside the range")
	}
	if _, err := Emulate(c, 15e-6, 40e-6, 2, 1); err == nil {
		t.Error("two nodes")
	}
	if _, err := Emulate(c, 40e-6, 15e-6, 5, 1); err == nil {
		t.Error("a range turned round")
	}
	c.Oil.Most = 105
	if _, err := Emulate(c, 15e-6, 40e-6, 5, 1); err == nil {
		t.Error("a clearance that does not balance")
	}
}

// Law: a sweep is its bearings one by one, within what it states, on any number
// of cores, each row with its own error.
func TestLawSweep(t *testing.T) {
	base := heatCase(t, 0)
	var rows []Row
	for i := range 6 {
		r := Row{Shell: base.Shell, Load: base.Load, Oil: base.Oil}
		r.Oil.Inlet += float64(5 * i)
		rows = append(rows, r)
	}
	rows[3].Oil.Most = rows[3].Oil.Inlet + 2
	cs := []float64{15e-6, 20e-6, 24e-6, 31e-6, 40e-6}
	one, err := Sweep(rows, cs, 7, 1)
	if err != nil {
		t.Fatal(err)
	}
	two, err := Sweep(rows, cs, 7, 3)
	if err != nil {
		t.Fatal(err)
	}
	most := 0.0
	for i, r := range one {
		if (r.Err != nil) != (i == 3) {
			t.Fatalf("row %d: %v", i, r.Err)
		}
		for j, got := range r.At {
			if got != two[i].At[j] {
				t.Errorf("row %d: %+v on one core, %+v on three", i, got, two[i].At[j])
			}
			want, err := Balance(HeatCase{Shell: rows[i].Shell, Load: rows[i].Load, Oil: rows[i].Oil, Clearance: cs[j]})
			if err != nil {
				t.Fatal(err)
			}
			off := math.Abs(got.Gap/want.Gap - 1)
			most = math.Max(most, off)
			if off > 1e-3+2*r.Error.Gap {
				t.Errorf("row %d, c %g: gap %g, alone %g; stated %g", i, cs[j], got.Gap, want.Gap, r.Error.Gap)
			}
		}
	}
	t.Logf("gap off %.1e at most, stated %.1e", most, one[0].Error.Gap)
}

// 20 clearances, 4 oils, 10 speeds, 13 bearings: 10 400 balances.
func BenchmarkSweep(b *testing.B) {
	base := heatCase(b, 0)
	var rows []Row
	for i := range 13 * 4 * 10 {
		tab := bigEnd(b, 0)
		if i >= 10 {
			break
		}
		tab.Period *= 1 + 0.1*float64(i)
		for k := range tab.Turn {
			tab.Turn[k] /= 1 + 0.1*float64(i)
		}
		load, err := NewLoad(tab)
		if err != nil {
			b.Fatal(err)
		}
		for range 13 {
			for oil := range 4 {
				r := Row{Shell: base.Shell, Load: load, Oil: base.Oil}
				f := 0.6 + 0.2*float64(oil)
				r.Oil.Viscosity = func(t float64) float64 { return f * base.Oil.Viscosity(t) }
				rows = append(rows, r)
			}
		}
	}
	var cs []float64
	for i := range 20 {
		cs = append(cs, (15+25*float64(i)/19)*1e-6)
	}
	for b.Loop() {
		out, err := Sweep(rows, cs, 6, 2)
		if err != nil {
			b.Fatal(err)
		}
		for _, r := range out {
			if r.Err != nil {
				b.Fatal(r.Err)
			}
		}
	}
}

// 100 000 draws of a clearance through the film.
func BenchmarkDraws(b *testing.B) {
	e, err := Emulate(heatCase(b, 0), 15e-6, 40e-6, 5, 2)
	if err != nil {
		b.Fatal(err)
	}
	rng := rand.New(rand.NewPCG(1, 2))
	cs := make([]float64, 100_000)
	for i := range cs {
		cs[i] = (27 + 3*rng.NormFloat64()) * 1e-6
	}
	var gaps []float64
	for b.Loop() {
		gaps = e.Gaps(gaps, cs)
	}
}
