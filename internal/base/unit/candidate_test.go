package unit

import (
	"fmt"
	"strings"
	"testing"
)

// Law: what a text may stand for is all of it and nothing else; the texts are
// ours.
func TestReadings(t *testing.T) {
	for _, c := range []struct {
		text, unit string
		mark       byte
		want       string
	}{
		{"86.012", "mm", '.', "86.012 mm"},
		{"86,012", "mm", '.', "86.012 mm, 86012 mm"},
		{"86.012", "mm", ',', "86,012 mm, 86012 mm"},
		{"1.500,25", "mm", '.', "1500.25 mm, 1.50025 mm"},
		{"1,500.25", "mm", '.', "1500.25 mm, 1.50025 mm"},
		{"1.500.250", "mm", '.', "1500250 mm, 1500.250 mm, 1.500250 mm"},
		{"0,012", "mm", '.', "0.012 mm"},
		{"85 9 90", "mm", '.', "859.90 mm, 85.990 mm, 85990 mm"},
		{"85 990", "mm", '.', "85.990 mm, 85990 mm"},
		{"8.3.0", "mm", '.', "83.0 mm, 8.30 mm"},
		{"83,0.1", "mm", '.', "830.1 mm, 83.01 mm"},
		{"8O.012", "mm", '.', "80.012 mm"},
		{"8l.5", "mm", '.', "81.5 mm"},
		{"−−3", "µm", '.', "-3 µm, 3 µm"},
		{"--3", "µm", '.', "-3 µm, 3 µm"},
		{"- 3", "µm", '.', "-3 µm"},
		{"８６．０１２", "mm", '.', "86.012 mm"},
		{"٨٦٫٠١٢", "mm", '.', "86.012 mm"},
		{"⌀86.012", "mm", '.', "86.012 mm"},
		{".012", "mm", '.', "0.012 mm"},
		{"86.", "mm", '.', "86 mm"},
		{"1'500.25", "mm", '.', "1500.25 mm"},
		{"1e3", "mm", '.', "1000 mm"},
		{"1.2e-3", "mm", '.', "0.0012 mm"},
		{"0.05 mil", "mm", '.', "0.05 thou, 0.05 mm"},
		{"half a mil", "mm", '.', "0.5 thou, 0.5 mm"},
		{"half a thou", "mm", '.', "0.5 thou"},
		{"0.05 half a mil", "mm", '.', "0.5 thou, 0.5 mm, 0.05 mm, 0.05 thou"},
		{"a half a mil", "mm", '.', "0.5 thou, 0.5 mm"},
		{"3 tenths", "mm", '.', "0.0003 in, 0.3 mm"},
		{"12 microns", "mm", '.', "12 µm"},
		{"86,012 mm", "", '.', "86.012 mm, 86012 mm"},
		{"86,012", "", '.', "86.012, 86012"},
		{"86,012", "parsec", '.', "86.012, 86012"},
		{"86.01 MM", "", '.', "86.01 mm"},
		{"worn", "mm", '.', ""},
		{"NaN", "mm", '.', ""},
		{"0x1F", "mm", '.', ""},
		{"83 to 84", "mm", '.', ""},
		{"", "mm", '.', ""},
		{"-", "mm", '.', ""},
		{"half a day", "mm", '.', ""},
		{"1e99", "mm", '.', ""},
		{strings.Repeat("9", 40), "mm", '.', ""},
		{strings.Repeat("1,2", 40), "mm", '.', ""},
	} {
		var got []string
		for _, r := range Readings(c.text, c.unit, c.mark) {
			got = append(got, r.In(c.mark))
		}
		if g := strings.Join(got, ", "); g != c.want {
			t.Errorf("%q in %q: %q, want %q", c.text, c.unit, g, c.want)
		}
	}
}

// FuzzReadings holds the law of candidates: never more than six, none twice, each
// read by Parse as itself, by either mark; and one alone, that of Parse, where
// Parse takes the text.
func FuzzReadings(f *testing.F) {
	for _, s := range []string{"86,012", "1.500,25", "85 9 90", "8O.012", "−−3", "８６．０１２", "0.05 mil", "half a thou", "3 tenths", "1e3", "1.2e-3 mm", "''", "-", "0,0,0 mm", "½ mil", "0½1", "'e-11", "9e9", "000000 mm"} {
		f.Add(s, "mm", false)
		f.Add(s, "", true)
	}
	f.Fuzz(func(t *testing.T, text, unitName string, comma bool) {
		mark := byte('.')
		if comma {
			mark = ','
		}
		got := Readings(text, unitName, mark)
		if len(got) > mostCandidates || fmt.Sprint(got) != fmt.Sprint(Readings(text, unitName, mark)) {
			t.Fatalf("%q: %v", text, got)
		}
		if q, err := Parse(text, unitName, mark); err == nil && len([]rune(text)) <= longestText && (len(got) != 1 || got[0].Quantity != q) {
			t.Fatalf("%q is %v, but may be %v", text, q, got)
		}
		seen := map[string]bool{}
		for _, c := range got {
			if seen[c.In(mark)] {
				t.Fatalf("%q: %v twice", text, c)
			}
			seen[c.In(mark)] = true
			name := c.Unit
			if name == "" {
				name = "1"
			}
			q, err := Parse(c.In(mark), name, mark)
			if err != nil || q.N != c.N || q.Text != c.Text {
				t.Fatalf("%q: candidate %v is read as %v, %v", text, c, q, err)
			}
		}
	})
}
