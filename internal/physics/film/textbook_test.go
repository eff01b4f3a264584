package film

import (
	"math"
	"testing"
)

// Published (BRG-08): Budynas and Nisbett, Shigley's Mechanical Engineering
// Design, 9th ed., examples 12-1 to 12-4: chart readings to two figures, from
// memory; tolerances are those of the reading. S = 0.135, L/D = 1.
// Published (BRG-11): U. C. Jindal, Machine Design, example 17-4, p. 483: S =
// 0.216, L/D 1; the book reads h0/c between tabled rows, one of which is the
// misprint of TestPublishedRaimondiBoydIdentity, hence 4 %.
// Synthetic (BRG-10): S = 0.2199273, L/D 5/3, an independent solution, 1 %.
func TestPublishedTextbook(t *testing.T) {
	var v Solver
	for _, c := range []struct {
		name               string
		ratio, s           float64
		what               string
		want, tol          float64
		of                 func(eps float64, s Steady) float64
		published, relates bool
	}{
		{"BRG-08", 1, 0.135, "h0/c", 0.42, 0.01, func(e float64, _ Steady) float64 { return 1 - e }, true, false},
		{"BRG-08", 1, 0.135, "attitude", 53, 1.5, func(_ float64, s Steady) float64 { return s.Attitude / degree }, true, false},
		{"BRG-08", 1, 0.135, "friction", 3.5, 0.03, func(_ float64, s Steady) float64 { return s.Friction }, true, true},
		{"BRG-08", 1, 0.135, "flow", 4.28, 0.02, func(_ float64, s Steady) float64 { return s.Flow }, true, true},
		{"BRG-08", 1, 0.135, "side over flow", 0.655, 0.02, func(_ float64, s Steady) float64 { return s.Side }, true, true},
		{"BRG-08", 1, 0.135, "mean over greatest pressure", 0.42, 0.03, func(_ float64, s Steady) float64 { return s.Ratio }, true, true},
		{"BRG-08", 1, 0.135, "greatest pressure at", 18.5, 1.5, func(_ float64, s Steady) float64 { return s.PeakAt / degree }, true, false},
		{"BRG-08", 1, 0.135, "end of the film at", 75, 2, func(_ float64, s Steady) float64 { return s.EndAt / degree }, true, false},
		{"BRG-11", 1, 0.216, "h0, mm", 0.032, 0.04, func(e float64, _ Steady) float64 { return 0.06 * (1 - e) }, true, true},
		{"BRG-11", 1, 0.216, "friction factor", 0.00985, 0.02, func(_ float64, s Steady) float64 { return s.Friction * 0.06 / 30 }, true, true},
		{"BRG-11", 1, 0.216, "flow, l/min", 0.638, 0.02, func(_ float64, s Steady) float64 { return s.Flow * 0.03 * 6e-5 * 24 * 0.06 * 6e4 }, true, true},
		{"BRG-10", 5.0 / 3, 0.2199273, "eccentricity", 0.2835427, 0.005, func(e float64, _ Steady) float64 { return e }, false, false},
		{"BRG-10", 5.0 / 3, 0.2199273, "friction factor", 0.007761824, 0.01, func(_ float64, s Steady) float64 { return s.Friction * 0.025 / 15 }, false, true},
	} {
		eps, s, err := v.Carry(c.ratio, c.s, Mesh{Around: 120, Across: 12})
		if err != nil {
			t.Fatal(err)
		}
		got := c.of(eps, s)
		off := got - c.want
		if c.relates {
			off /= c.want
		}
		t.Logf("%s %s: %.5g, expected %.5g", c.name, c.what, got, c.want)
		if !(math.Abs(off) <= c.tol) {
			t.Errorf("%s %s: %g, expected %g", c.name, c.what, got, c.want)
		}
	}
	for _, s := range []float64{0, math.NaN(), 1e-9, 1e9} {
		if eps, _, err := v.Carry(1, s, Fine()); err == nil {
			t.Errorf("S %g: taken, eps %g", s, eps)
		}
	}
}
