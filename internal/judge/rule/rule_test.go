package rule

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func named(t testing.TB, name string, risk float64) Rule {
	t.Helper()
	r, err := Named(name, risk)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Synthetic: one journal against 59.990 … 60.006 mm with u = 1.2 µm, by each
// rule. Bands by hand: simple none; 1.645·1.2 = 1.974 µm (ISO 14253-1:2017);
// 2·1.2 = 2.4 µm (the editions before); JCGM 106:2012 at 5 %, here the same as
// 2017 because the other limit is far.
func TestSyntheticRules(t *testing.T) {
	lo, hi := 59.990, 60.006
	for _, c := range []struct {
		y                           float64
		simple, today, older, risky Verdict
	}{
		{60.0000, Accept, Accept, Accept, Accept},
		{60.0038, Accept, Accept, Undecided, Accept},
		{60.0050, Accept, Undecided, Undecided, Undecided},
		{60.0060, Accept, Undecided, Undecided, Undecided},
		{60.0065, Reject, Undecided, Undecided, Undecided},
		{60.0082, Reject, Reject, Undecided, Reject},
		{60.0085, Reject, Reject, Reject, Reject},
	} {
		for name, want := range map[string]Verdict{Simple: c.simple, Guarded: c.today, GuardedOlder: c.older, ByConformance: c.risky} {
			if got := named(t, name, 0).Verdict(c.y, 0.0012, math.Inf(1), &lo, &hi); got != want {
				t.Errorf("%s at %.4f: %s, want %s", name, c.y, got, want)
			}
		}
	}
	// A band narrower than the doubt: each limit alone is passed by 1.645 u,
	// both together are not (p = 0.8997 < 0.95).
	lo, hi = 0, 2*1.645
	if got := named(t, ByConformance, 0).Verdict(1.645, 1, math.Inf(1), &lo, &hi); got != Undecided {
		t.Errorf("in the middle of 3.29 u: %s, want undecided", got)
	}
	// A doubt far wider than the limits: p = 0.0797, and still nothing speaks for
	// the one limit or the other.
	lo, hi = -1, 1
	if got := named(t, ByConformance, 0.1).Verdict(0, 10, math.Inf(1), &lo, &hi); got != Undecided {
		t.Errorf("in the middle of 0.2 u: %s, want undecided", got)
	}
}

// Law: more doubt never turns reject into accept or accept into reject, by any
// rule; at most a verdict becomes undecided.
func TestLawMoreDoubtNeverFlips(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.SampledFrom([]string{Guarded, GuardedOlder, Simple, ByConformance}).Draw(t, "rule")
		r, err := Named(name, rapid.Float64Range(0.001, 0.4).Draw(t, "risk"))
		if err != nil {
			t.Fatal(err)
		}
		y, u := rapid.Float64Range(-3, 3).Draw(t, "y"), rapid.Float64Range(0.001, 2).Draw(t, "u")
		more := u * rapid.Float64Range(1, 5).Draw(t, "times")
		lo, hi := -1.0, 1.0
		l, h := &lo, &hi
		switch rapid.IntRange(0, 2).Draw(t, "open") {
		case 1:
			l = nil
		case 2:
			h = nil
		}
		before, after := r.Verdict(y, u, math.Inf(1), l, h), r.Verdict(y, more, math.Inf(1), l, h)
		if before == Reject && after == Accept || before == Accept && after == Reject {
			t.Fatalf("%s: y %v, u %v: %s, u %v: %s", name, y, u, before, more, after)
		}
	})
}

// Law: unknown rules and impossible risks are refused.
func TestLawRuleRefuses(t *testing.T) {
	for _, c := range []struct {
		name string
		risk float64
	}{{"fair", 0}, {"", 0.7}, {"", -1}, {"", math.NaN()}} {
		if _, err := Named(c.name, c.risk); err == nil {
			t.Errorf("rule %q with risk %v was taken", c.name, c.risk)
		}
	}
}
