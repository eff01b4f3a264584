package demo

import (
	"math"
	"testing"

	"fettle/internal/base/unit"
	"fettle/internal/know/instrument"
)

func quantity(t testing.TB, s string) unit.Quantity {
	t.Helper()
	q, err := unit.Parse(s, "", '.')
	if err != nil {
		t.Fatal(err)
	}
	return q
}

// Law: a reading is the true size as the part and the scale have grown, plus
// every bias on the way, in whole steps of the gauge.
func TestShows(t *testing.T) {
	mic := instrument.Instrument{Resolution: quantity(t, "1 µm"), Material: "steel"}
	comparator := instrument.Instrument{Resolution: quantity(t, "1 µm"), Material: "steel", Set: "master", SetRepeat: quantity(t, "2 µm")}
	b := &bench{alpha: map[string]float64{"iron": 11e-6, "steel": 11.5e-6, "piston": 20e-6}}
	m := &tool{kind: mic, bias: 3e-6}
	for _, c := range []struct {
		name string
		s    sight
		want string
	}{
		// d = 85.012, 84.948: the worked example of the trade notes run
		// backwards (synthetic): bore 85.012 read at 14 °C with gauges at 20 °C
		// is 85.0176 at 20 °C; piston 84.948 read at 23 °C is 84.9429.
		{"cold bore", sight{size: 85.0176e-3, gauge: &tool{kind: mic}, part: 14, scale: 20, partOf: "iron", shownIn: "mm"}, "85.012"},
		{"warm piston", sight{size: 84.9429e-3, gauge: &tool{kind: mic}, part: 23, scale: 20, partOf: "piston", shownIn: "mm"}, "84.948"},
		{"warm scale reads less", sight{size: 85e-3, gauge: &tool{kind: mic}, part: 20, scale: 30, partOf: "iron", shownIn: "mm"}, "84.990"},
		{"bias", sight{size: 85e-3, gauge: m, part: 20, scale: 20, partOf: "iron", shownIn: "mm"}, "85.003"},
		{"set on a biased gauge", sight{size: 85e-3, gauge: &tool{kind: comparator, bias: 1e-6}, master: m, part: 20, scale: 20, partOf: "iron", setting: -1, shownIn: "mm"}, "85.002"},
		{"part of the reading", sight{size: 500, gauge: &tool{kind: instrument.Instrument{Resolution: quantity(t, "1 N")}, scale: 0.01}, shownIn: "N"}, "505"},
	} {
		if got := b.shows(c.s); got != c.want {
			t.Errorf("%s: %s, want %s", c.name, got, c.want)
		}
	}
}

// Law: a comparator set on the micrometer that measures the mating part repeats
// its bias, so that the difference of the two is free of it.
func TestComparatorRepeatsItsMaster(t *testing.T) {
	b := &bench{alpha: map[string]float64{}}
	clearance := func(bias float64) float64 {
		mic := &tool{kind: instrument.Instrument{Resolution: quantity(t, "0.01 µm")}, bias: bias}
		bore := &tool{kind: instrument.Instrument{Resolution: quantity(t, "0.01 µm"), Set: "master"}}
		look := func(d float64, g, m *tool) float64 {
			return quantity(t, b.shows(sight{size: d, gauge: g, master: m, shownIn: "mm"})+" mm").SI()
		}
		return look(60.050e-3, bore, mic) - look(60e-3, mic, nil)
	}
	if a, b := clearance(0), clearance(5e-6); math.Abs(a-b) > 1e-9 || math.Abs(a-50e-6) > 1e-8 {
		t.Errorf("clearance %g without and %g with a bias", a, b)
	}
}

// Law: what is written is a whole number of steps and has their decimals.
func TestWritten(t *testing.T) {
	for _, c := range []struct {
		x        float64
		step, in string
		least    int
		want     string
	}{
		{83.0124e-3, "1 µm", "mm", 0, "83.012"},
		{83.01249e-3, "0.5 µm", "mm", 0, "83.0125"},
		{0.1534e-3, "20 µm", "mm", 0, "0.16"},
		{12.3e-6, "1 µm", "µm", 0, "12"},
		{39.24e-6, "0.1 ml", "cm³", 0, "39.2"},
		{-4e-9, "1 µm", "mm", 0, "0.000"},
		{50.0001e-3, "0.1 thou", "in", 0, "1.9685"},
		{104.6 * math.Pi / 180, "0.5 °", "°", 0, "104.5"},
	} {
		if got := written(c.x, quantity(t, c.step), c.in, c.least); got != c.want {
			t.Errorf("%g in steps of %s: %s, want %s", c.x, c.step, got, c.want)
		}
	}
}

// Law: a slip is what it says.
func TestWrote(t *testing.T) {
	add, swap := Wrote{Add: quantity(t, "0.500 mm")}, Wrote{Swap: true}
	if got := add.write("54.975", "mm"); got != "55.475" {
		t.Errorf("a turn of the thimble gave %s", got)
	}
	if got := swap.write("2.58", "mm"); got != "2.85" {
		t.Errorf("two digits swapped gave %s", got)
	}
}

// Law: chance is as wide as it says, and every name has a stream of its own.
func TestChance(t *testing.T) {
	c := chance{1, "x"}
	var sum, sq float64
	const n = 4000
	for i := range n {
		x := c.normal("law", string(rune('a'+i%26)), unit.Format(float64(i), "1", 0))
		sum, sq = sum+x, sq+x*x
	}
	if mean, sd := sum/n, math.Sqrt(sq/n); math.Abs(mean) > 0.06 || math.Abs(sd-1) > 0.04 {
		t.Errorf("mean %.3f, standard deviation %.3f of %d draws", mean, sd, n)
	}
	if c.normal("a", "b") == c.normal("ab") || c.normal("a") != c.normal("a") || (chance{2, "x"}).normal("a") == c.normal("a") {
		t.Error("streams are not told apart by name and seed")
	}
}
