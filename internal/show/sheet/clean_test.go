package sheet

import (
	"strings"
	"testing"

	"fettle/internal/show/plot"
)

// Law: whatever is typed, only letters that the type has, that take one place
// on the line and that a PDF's two-byte text can hold are drawn.
func TestClean(t *testing.T) {
	for in, want := range map[string]string{
		"83.012 mm":        "83.012 mm",
		"83.012\u202fmm":   "83.012\u00a0mm",
		"a\tb\nc\x00d":     "a b c d",
		"−0.5 µm ± 2 °C":   "−0.5 µm ± 2 °C",
		"\u202eevil\u2066": "evil□",
		"漢字":               "□□",
		"🔧 ok":             "□ ok",
		"so\u00adft":       "soft",
		"\ufeffx\u200b":    "x",
		"Größe ŷ":          "Größe ŷ",
	} {
		if got := clean(in); got != want {
			t.Errorf("clean(%q) = %q, want %q", in, got, want)
		}
	}
	for r := rune(0); r < 0x3000; r++ {
		for _, g := range clean(string(r)) {
			if !plot.Has(g) && g != ' ' && g != '\u00a0' {
				t.Errorf("clean lets %U through as %U, which the type lacks", r, g)
			}
		}
	}
	if got := clean(string([]byte{'a', 0xff, 'b'})); strings.Contains(got, "\xff") {
		t.Errorf("a broken letter comes through: %q", got)
	}
}
