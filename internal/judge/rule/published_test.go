package rule

import (
	"math"
	"testing"
)

// Synthetic: eleven journal readings against 59.990 … 60.006 mm with u = 1.2 µm:
// verdict and probability of each. Rule: ISO 14253-1:2017 (default, one-sided
// 95 %), JCGM 106:2012, clause 8; probabilities recomputed independently.
// Tolerance: 1e-6 on the probabilities.
func TestSyntheticJournalVerdicts(t *testing.T) {
	rule, err := Named("", 0)
	if err != nil {
		t.Fatal(err)
	}
	if g := rule.K * 0.0012; math.Abs(g-0.001973824352) > 1e-9 {
		t.Errorf("guard band %.12f mm, want 0.001973824352", g)
	}
	lo, hi := 59.99, 60.006
	for _, c := range []struct {
		y, p float64
		want Verdict
	}{
		{59.987, 0.0062096653, Reject},
		{59.989, 0.20232838, Undecided},
		{59.9905, 0.66153888, Undecided},
		{59.9919, 0.94332725, Undecided},
		{59.9921, 0.95994084, Accept},
		{60.0, 0.99999971, Accept},
		{60.0039, 0.95994084, Accept},
		{60.0041, 0.94332725, Undecided},
		{60.0055, 0.66153888, Undecided},
		{60.0075, 0.10564977, Undecided},
		{60.0081, 0.040059157, Reject},
	} {
		if got := Decide(c.y, 0.0012, rule.K, &lo, &hi); got != c.want {
			t.Errorf("%.4f: %s, want %s", c.y, got, c.want)
		}
		if got := Conformance(c.y, 0.0012, math.Inf(1), &lo, &hi); math.Abs(got-c.p) > 1e-6 {
			t.Errorf("%.4f: conformance %.8f, want %.8f", c.y, got, c.p)
		}
	}
}

// Published: one-sided conformance, JCGM 106:2012, 7.4 (a single upper limit):
// p = Φ((T_U − y)/u). The normal table gives Φ(1) = 0.8413, Φ(1.645) = 0.9500,
// Φ(2) = 0.9772 (four printed digits).
func TestPublishedOneSided(t *testing.T) {
	hi := 10.0
	for _, c := range []struct{ y, p float64 }{{9, 0.8413}, {10 - 1.645, 0.9500}, {8, 0.9772}, {10, 0.5}} {
		if got := Conformance(c.y, 1, math.Inf(1), nil, &hi); math.Abs(got-c.p) > 0.5e-4 {
			t.Errorf("y = %v: %.5f, printed %.4f", c.y, got, c.p)
		}
	}
}

// Published: coverage factors for 95.45 %, JCGM 100:2008, table G.2: ν = 1:
// 13.97, 2: 4.53, 5: 2.65, 10: 2.28, 20: 2.13, 50: 2.05, ∞: 2.00.
// Tolerance: half a unit of the printed last digit (95.45 is itself rounded:
// one unit for ν = 1).
func TestPublishedCoverage(t *testing.T) {
	for _, c := range []struct{ dof, k, tol float64 }{{1, 13.97, 0.011}, {2, 4.53, 0.005}, {5, 2.65, 0.005},
		{10, 2.28, 0.005}, {20, 2.13, 0.005}, {50, 2.05, 0.005}, {math.Inf(1), 2.00, 0.005}} {
		if got := Coverage(c.dof); math.Abs(got-c.k) > c.tol {
			t.Errorf("ν = %v: k = %.4f, printed %.2f", c.dof, got, c.k)
		}
	}
}
