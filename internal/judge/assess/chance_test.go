package assess

import (
	"math"
	"math/rand/v2"
	"testing"

	"fettle/internal/judge/rule"
)

// Law: the chance of deciding is what simulation of the act shows: the truth is
// drawn from what is known, a reading that brings u down to w is taken, and the
// verdict on the better value is counted (200,000 draws with a stored seed; the
// tolerance is four standard deviations of the count).
func TestLawChance(t *testing.T) {
	const draws, u = 200_000, 1.0
	r := rand.New(rand.NewPCG(5, 14))
	by, err := rule.Named("", 0)
	if err != nil {
		t.Fatal(err)
	}
	k := by.K
	for _, c := range []struct{ y, w, lo, hi float64 }{
		{0.5, 0.5, math.Inf(-1), 1}, {1, 0.5, math.Inf(-1), 1}, {1.4, 0.3, -5, 1}, {0, 0.9, -1, 1}, {0, 0.2, -0.5, 0.5},
	} {
		lo, hi := &c.lo, &c.hi
		if math.IsInf(c.lo, -1) {
			lo = nil
		}
		got := chance(c.y, math.Sqrt(u*u-c.w*c.w), c.w, k, lo, hi)
		m := 1 / (1/(c.w*c.w) - 1/(u*u)) // variance of the reading that does it
		decided := 0
		for range draws {
			truth := c.y + u*r.NormFloat64()
			reading := truth + math.Sqrt(m)*r.NormFloat64()
			better := c.w * c.w * (c.y/(u*u) + reading/m)
			if rule.Decide(better, c.w, k, lo, hi) != Undecided {
				decided++
			}
		}
		p := float64(decided) / draws
		if math.Abs(p-got) > 4*math.Sqrt((p*(1-p)+1.0/draws)/draws) {
			t.Errorf("y %v, w %v, limits %v %v: chance %.4f, simulated %.4f", c.y, c.w, c.lo, c.hi, got, p)
		}
	}
}
