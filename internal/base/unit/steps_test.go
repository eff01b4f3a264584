package unit

import "testing"

// Law: base and steps add up exactly, whatever the sign, and keep the digits of
// the finer of the two; what does not fit is said.
func TestSteps(t *testing.T) {
	for _, c := range []struct {
		base, step string
		n          int64
		want       string
		ok         bool
	}{
		{"86.000 mm", "0.001 mm", 12, "86.012 mm", true},
		{"86.000 mm", "0.001 mm", -12, "85.988 mm", true},
		{"86 mm", "0.001 mm", 0, "86.000 mm", true},
		{"0.000 mm", "1 µm", -3, "-0.003 mm", true},
		{"3.3850 in", "0.0001 in", 12, "3.3862 in", true},
		{"86.000 mm", "0.002 mm", 5, "86.010 mm", true},
		{"86.000 mm", "0.001 g", 1, "", false},
		{"86.000 mm", "0.000 mm", 1, "", false},
		{"86.000 mm", "1 m", 1 << 62, "", false},
	} {
		base, err := Parse(c.base, "", '.')
		if err != nil {
			t.Fatal(err)
		}
		step, err := Parse(c.step, "", '.')
		if err != nil {
			t.Fatal(err)
		}
		q, ok := Steps(base, step, c.n)
		if ok != c.ok || ok && q.String() != c.want {
			t.Errorf("%s and %d of %s: %v, %v; want %s, %v", c.base, c.n, c.step, q, ok, c.want, c.ok)
		}
		if back, err := Parse(q.String(), "", '.'); ok && (err != nil || back.N != q.N) {
			t.Errorf("%v reads back as %v, %v", q, back, err)
		}
	}
}
