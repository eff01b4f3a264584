package film

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
)

// testOil is Walther's line (ASTM D341, short form) through 110 mm²/s at 40 °C
// and 14.5 at 100 °C, invented.
func testOil() Oil {
	z := func(v float64) float64 { return math.Log10(math.Log10(v + 0.7)) }
	k := func(t float64) float64 { return math.Log10(t + 273.15) }
	b := (z(110) - z(14.5)) / (k(100) - k(40))
	a := z(110) + b*k(40)
	return Oil{
		Viscosity: func(t float64) float64 {
			v := math.Pow(10, math.Pow(10, a-b*k(t))) - 0.7
			return v * 1e-6 * (870 - 0.65*(t-15))
		},
		Inlet: 100, Most: 250, Supply: 4e5, Density: 810, Heat: 2200, Share: 0.8,
	}
}

func heatCase(t testing.TB, c float64) HeatCase {
	o := bigEndCase(t, 0)
	return HeatCase{Shell: o.Shell, Load: o.Load, Clearance: c, Oil: testOil()}
}

// Law: at the temperature found, an orbit of its own makes the heat that the oil
// takes away, within 0.05 K, from whatever guess the search began.
func TestLawBalance(t *testing.T) {
	for _, c := range []float64{10e-6, 18e-6, 25e-6, 40e-6} {
		hc := heatCase(t, c)
		r, err := Balance(hc)
		if err != nil {
			t.Fatal(err)
		}
		o, err := Run(Case{Shell: hc.Shell, Load: hc.Load, Clearance: c, Viscosity: hc.Oil.Viscosity(r.Celsius), Supply: hc.Oil.Supply})
		if err != nil {
			t.Fatal(err)
		}
		rise := o.Loss / (hc.Oil.Density * hc.Oil.Heat * (o.Side + o.Feed))
		t.Logf("c %g µm: %.2f °C in %d passes, gap %.3f µm, loss %.1f W, flow %.3f l/min", c*1e6, r.Celsius, r.Passes, r.Gap*1e6, r.Loss, (r.Side+r.Feed)*6e4)
		if off := hc.Oil.Inlet + hc.Oil.Share*rise - r.Celsius; math.Abs(off) > 0.05 {
			t.Errorf("c %g: open by %g K", c, off)
		}
		if math.Abs(o.Gap/r.Gap-1) > 1e-4 {
			t.Errorf("c %g: gap %g m, in an orbit of its own %g m", c, r.Gap, o.Gap)
		}
		for _, guess := range []float64{101, 130, 200, 249} {
			hc.Guess = guess
			other, err := Balance(hc)
			if err != nil {
				t.Fatal(err)
			}
			if math.Abs(other.Celsius-r.Celsius) > 0.04 {
				t.Errorf("c %g: from %g °C it found %g °C, else %g °C", c, guess, other.Celsius, r.Celsius)
			}
		}
	}
}

// An oil that no temperature balances, one without a number and one with a jump
// end with an error, not in a loop.
func TestBalanceEnds(t *testing.T) {
	for name, f := range map[string]func(c *HeatCase){
		"too hot": func(c *HeatCase) { c.Oil.Most = 101 },
		"nan":     func(c *HeatCase) { c.Oil.Viscosity = func(float64) float64 { return math.NaN() } },
		"nan later": func(c *HeatCase) {
			v := c.Oil.Viscosity
			c.Oil.Viscosity = func(t float64) float64 { return map[bool]float64{true: v(t), false: math.NaN()}[t < 125.5] }
		},
		"jump": func(c *HeatCase) {
			c.Oil.Viscosity = func(t float64) float64 { return map[bool]float64{true: 0.05, false: 0.001}[t < 120] }
		},
		"share":     func(c *HeatCase) { c.Oil.Share = 0 },
		"clearance": func(c *HeatCase) { c.Clearance = math.Inf(1) },
	} {
		c := heatCase(t, 25e-6)
		f(&c)
		if r, err := Balance(c); err == nil {
			t.Errorf("%s: %+v", name, r)
		} else if t.Logf("%s: %v", name, err); name == "too hot" && !errors.Is(err, ErrHot) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Law: an answer does not depend on its neighbours in a batch, nor on cores.
func TestLawBatch(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 1))
	var cases []HeatCase
	for range 13 {
		c := heatCase(t, (15+25*rng.Float64())*1e-6)
		cases = append(cases, c)
	}
	cases[5].Clearance = -1
	one, two := Balances(cases, 1), Balances(cases, 7)
	for i, c := range cases {
		alone, err := Balance(c)
		if (err != nil) != (i == 5) || (one[i].Err != nil) != (i == 5) {
			t.Fatalf("%d: %v, %v", i, err, one[i].Err)
		}
		if err == nil && (alone.Gap != one[i].Gap || alone.Celsius != two[i].Celsius || alone.Loss != two[i].Loss) {
			t.Errorf("%d: %+v alone, %+v in a batch", i, alone, one[i].Running)
		}
	}
}

func BenchmarkBalance(b *testing.B) {
	c := heatCase(b, 25e-6)
	for b.Loop() {
		if _, err := Balance(c); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkThirteenBearings(b *testing.B) {
	var cases []HeatCase
	for i := range 13 {
		cases = append(cases, heatCase(b, (20+float64(i))*1e-6))
	}
	for b.Loop() {
		for _, r := range Balances(cases, 2) {
			if r.Err != nil {
				b.Fatal(r.Err)
			}
		}
	}
}
