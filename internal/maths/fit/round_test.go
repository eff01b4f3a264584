package fit

import (
	"math/big"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// Published: ISO 80000-1:2009 Annex B, rules A and B, exact text.
func TestISO80000RoundingRules(t *testing.T) {
	for _, row := range table(t, "rounding.csv") {
		for i, rule := range []Rule{EvenMultiple, LargerMultiple} {
			got, err := Round(row[0], row[1], rule)
			if err != nil || got != row[2+i] {
				t.Errorf("%s to %s by rule %d = %q, %v, want %q", row[0], row[1], rule, got, err, row[2+i])
			}
		}
	}
}

// Synthetic: rounding ranges other than powers of ten, signs, nought.
func TestRoundForms(t *testing.T) {
	for _, c := range []struct{ value, multiple, even, larger string }{
		{"12", "0.10", "12.00", "12.00"},
		{"0.0125", "0.005", "0.010", "0.015"},
		{"0.0375", "0.025", "0.050", "0.050"},
		{"-0.04", "0.1", "0.0", "0.0"},
		{"-0.05", "0.1", "0.0", "-0.1"},
		{"+7.5", "5", "10", "10"},
		{"2.5", "5", "0", "5"},
		{".5", "1", "0", "1"},
		{"99.95", "0.1", "100.0", "100.0"},
		{"0.30000000000000000000000000000000001", "0.2", "0.4", "0.4"},
	} {
		even, err1 := Round(c.value, c.multiple, EvenMultiple)
		larger, err2 := Round(c.value, c.multiple, LargerMultiple)
		if even != c.even || larger != c.larger || err1 != nil || err2 != nil {
			t.Errorf("%s to %s = %s, %s, want %s, %s (%v, %v)", c.value, c.multiple, even, larger, c.even, c.larger, err1, err2)
		}
	}
}

// Law: the result is a multiple, at most half a range away; off a tie both
// rules agree, on a tie A is even and B is larger.
func TestLawRounding(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.StringMatching(`-?[0-9]{1,12}(\.[0-9]{1,6})?`).Draw(t, "value")
		m := rapid.StringMatching(`[1-9][0-9]{0,3}(\.[0-9]{1,4})?`).Draw(t, "multiple")
		if rapid.Bool().Draw(t, "on a tie") {
			half := new(big.Rat).Mul(rat(t, m), big.NewRat(int64(rapid.IntRange(-99, 99).Draw(t, "k")), 2))
			v = half.FloatString(6)
		}
		step := rat(t, m)
		var got [2]*big.Rat
		for i, rule := range []Rule{EvenMultiple, LargerMultiple} {
			s, err := Round(v, m, rule)
			if err != nil {
				t.Fatal(err)
			}
			got[i] = rat(t, s)
			count := new(big.Rat).Quo(got[i], step)
			off := new(big.Rat).Sub(got[i], rat(t, v))
			twice := off.Abs(off).Mul(off, big.NewRat(2, 1)).Cmp(step)
			if !count.IsInt() || twice > 0 {
				t.Fatalf("%s to %s by rule %d = %s", v, m, rule, s)
			}
			if twice == 0 && rule == EvenMultiple && count.Num().Bit(0) == 1 {
				t.Fatalf("%s to %s = %s is not the even multiple", v, m, s)
			}
			if twice == 0 && rule == LargerMultiple && new(big.Rat).Abs(got[1]).Cmp(new(big.Rat).Abs(rat(t, v))) <= 0 {
				t.Fatalf("%s to %s = %s is not the larger multiple", v, m, s)
			}
			if twice != 0 && i == 1 && got[0].Cmp(got[1]) != 0 {
				t.Fatalf("%s to %s: rules differ off a tie", v, m)
			}
		}
	})
}

func rat(t *rapid.T, s string) *big.Rat {
	r, ok := new(big.Rat).SetString(s)
	if !ok {
		t.Fatalf("%q is no number", s)
	}
	return r
}

func TestRoundTo(t *testing.T) {
	for _, c := range []struct{ n, m, even, larger int64 }{
		{1225, 10, 1220, 1230}, {-1225, 10, -1220, -1230}, {1235, 10, 1240, 1240}, {7, 5, 5, 5}, {0, 3, 0, 0},
	} {
		even, err1 := RoundTo(c.n, c.m, EvenMultiple)
		larger, err2 := RoundTo(c.n, c.m, LargerMultiple)
		if even != c.even || larger != c.larger || err1 != nil || err2 != nil {
			t.Errorf("%d to %d = %d, %d (%v, %v)", c.n, c.m, even, larger, err1, err2)
		}
	}
	if _, err := RoundTo(1<<63-1, 1<<62, LargerMultiple); err == nil {
		t.Error("a result of 2^63 was not refused")
	}
}

func TestRoundRefusals(t *testing.T) {
	for _, c := range []struct{ value, multiple string }{
		{"", "1"}, {"1e3", "1"}, {"NaN", "1"}, {"1,5", "1"}, {"1.", "1"}, {".", "1"}, {"--1", "1"}, {"+-1", "1"}, {"-", "1"},
		{"1", "0"}, {"1", "-0.1"}, {"1", ""}, {"1_0", "1"}, {" 1", "1"}, {"٣", "1"}, {strings.Repeat("9", 401), "1"},
	} {
		if got, err := Round(c.value, c.multiple, EvenMultiple); err == nil {
			t.Errorf("Round(%q, %q) = %q, want a refusal", c.value, c.multiple, got)
		}
	}
	if _, err := Round("1", "1", Rule(7)); err == nil {
		t.Error("an unknown rule was not refused")
	}
	if _, err := RoundTo(1, 0, EvenMultiple); err == nil {
		t.Error("a range of nought was not refused")
	}
}
