package unit

import (
	"strings"
	"testing"

	"fettle/internal/base/fault"
)

// Law: what is typed is kept digit by digit, and the inch is exact.
func TestParseExact(t *testing.T) {
	for _, c := range []struct {
		text, unit string
		mark       byte
		n          int64
		shown      string
	}{
		{"83.012", "mm", '.', 83_012_000_000, "83.012 mm"},
		{"83,010", "mm", ',', 83_010_000_000, "83.010 mm"},
		{"83.010 mm", "µm", '.', 83_010_000_000, "83.010 mm"},
		{"3.2681in", "mm", '.', 83_009_740_000, "3.2681 in"},
		{"0.1 thou", "", '.', 2_540_000, "0.1 thou"},
		{"−3", "um", '.', -3_000_000, "-3 µm"},
		{"-0.5", "°C", '.', -500_000, "-0.5 °C"},
		{"39.2", "cc", '.', 39_200_000_000, "39.2 cm³"},
		{"16.8 1e-6/K", "", '.', 16_800_000_000, "16.8 1e-6/K"},
	} {
		q, err := Parse(c.text, c.unit, c.mark)
		if err != nil || q.N != c.n || q.String() != c.shown {
			t.Errorf("Parse(%q, %q) = %d %q, %v; want %d %q", c.text, c.unit, q.N, q, err, c.n, c.shown)
		}
	}
}

// Law: anything that could be misread is refused with its own key.
func TestParseRefuses(t *testing.T) {
	for _, c := range []struct{ text, unit, key string }{
		{"", "mm", "unit.no-number"},
		{"83.0", "", "unit.no-unit"},
		{"83.0", "furlong", "unit.unknown"},
		{"83.0 mil", "", "unit.unknown"},
		{"83,012", "mm", "unit.other-mark"},
		{"1.500,25", "mm", "unit.other-mark"},
		{"8.3.0", "mm", "unit.two-marks"},
		{"NaN", "mm", "unit.no-number"},
		{"1e3", "mm", "unit.not-a-number"},
		{"1E3", "mm", "unit.not-a-number"},
		{"0x1F", "mm", "unit.not-a-number"},
		{"8e1 mm", "", "unit.not-a-number"},
		{"--3", "mm", "unit.not-a-number"},
		{"−−3", "mm", "unit.no-number"},
		{".5", "mm", "unit.not-a-number"},
		{"5.", "mm", "unit.not-a-number"},
		{"1 000", "mm", "unit.not-a-number"},
		{"0.0000000001", "mm", "unit.too-fine"},
		{"99999999999999", "m", "unit.too-large"},
		{"12345678901234567", "mm", "unit.too-many-digits"},
		{"１２", "mm", "unit.no-number"},
	} {
		_, err := Parse(c.text, c.unit, '.')
		f, ok := err.(*fault.Fault)
		if !ok || f.Key != c.key {
			t.Errorf("Parse(%q, %q) error %v, want key %s", c.text, c.unit, err, c.key)
		}
	}
}

// Law: every unit round-trips through the formula unit, and every kind of
// quantity but None has a unit.
func TestTable(t *testing.T) {
	seen := map[Dim]bool{}
	for _, m := range measures {
		seen[m.dim] = true
		q, err := Parse("2.5", m.name, '.')
		if err != nil {
			t.Fatalf("%s: %v", m.name, err)
		}
		if got := FromSI(q.SI(), m.name); got < 2.5*(1-1e-14) || got > 2.5*(1+1e-14) {
			t.Errorf("2.5 %s came back as %v", m.name, got)
		}
		if m.name != strings.TrimSpace(m.name) {
			t.Errorf("%q has spaces", m.name)
		}
	}
	for i := range dimNames {
		if d := Dim(i); d != None && !seen[d] {
			t.Errorf("%v has no unit", d)
		}
	}
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"83.012", "1e3", "−3 µm", "..", "1.2.3", "9999999999999999 m", "NaN"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		q, err := Parse(s, "mm", '.')
		if err != nil {
			return
		}
		again, err := Parse(q.Text, q.Unit, '.')
		if err != nil || again.N != q.N || again.Dim != q.Dim {
			t.Fatalf("%q -> %v -> %v, %v", s, q, again, err)
		}
	})
}
