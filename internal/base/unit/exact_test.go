package unit

import "testing"

// Law: what Exactly writes reads back as the same number of base units, and a
// unit in which the digits do not end is said, not rounded.
func TestExactly(t *testing.T) {
	for _, c := range []struct {
		typed, in, want string
		ok              bool
	}{
		{"0.0013 mm", "µm", "1.3 µm", true},
		{"-1.3 µm", "mm", "-0.0013 mm", true},
		{"1.30 µm", "µm", "1.30 µm", true},
		{"1 in", "mm", "25.4 mm", true},
		{"1 mm", "in", "", false},
		{"1 mm", "g", "", false},
		{"1 mm", "furlong", "", false},
		{"0 µm", "mm", "0 mm", true},
		{"1 s", "min", "", false},
	} {
		q, err := Parse(c.typed, "", '.')
		if err != nil {
			t.Fatal(err)
		}
		got, ok := q.In(c.in)
		if ok != c.ok || got.String() != c.want {
			t.Errorf("%s in %s: %q, %v; want %q, %v", c.typed, c.in, got, ok, c.want, c.ok)
		}
		if !ok {
			continue
		}
		if back, err := Parse(got.String(), "", '.'); err != nil || back.N != q.N {
			t.Errorf("%s in %s reads back as %d, %v; want %d", c.typed, c.in, back.N, err, q.N)
		}
	}
}
