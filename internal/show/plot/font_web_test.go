package plot

import (
	"bytes"
	"testing"

	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// Law: a lean font has the outlines and widths of the whole one for every letter
// that is kept, and is less than half as long.
func TestWebFontsHaveTheSameOutlines(t *testing.T) {
	whole := Fonts()
	for i, f := range WebFonts() {
		a, err := sfnt.Parse(whole[i].TTF)
		if err != nil {
			t.Fatal(err)
		}
		b, err := sfnt.Parse(f.TTF)
		if err != nil {
			t.Fatal(err)
		}
		if len(f.TTF) > len(whole[i].TTF)/2 {
			t.Errorf("%s has %d bytes of %d", f.Name, len(f.TTF), len(whole[i].TTF))
		}
		var x, y sfnt.Buffer
		n := 0
		for r := rune(' '); r < 0x2700; r++ {
			g, err := a.GlyphIndex(&x, r)
			if err != nil || g == 0 || !written(r) {
				continue
			}
			n++
			h, err := b.GlyphIndex(&y, r)
			if err != nil || h != g {
				t.Fatalf("%q is glyph %d, and %d in the lean font: %v", r, g, h, err)
			}
			one, err := a.LoadGlyph(&x, g, fixed.I(100), nil)
			if err != nil {
				t.Fatal(err)
			}
			two, err := b.LoadGlyph(&y, g, fixed.I(100), nil)
			if err != nil {
				t.Fatalf("%q: %v", r, err)
			}
			if len(one) != len(two) {
				t.Fatalf("%q has %d strokes, %d in the lean font", r, len(one), len(two))
			}
			for k := range one {
				if one[k] != two[k] {
					t.Fatalf("stroke %d of %q is another", k, r)
				}
			}
		}
		if n < 400 {
			t.Errorf("%s: only %d letters were looked at", f.Name, n)
		}
		for _, name := range []string{"fpgm", "prep", "cvt "} {
			if bytes.Contains(f.TTF[:300], []byte(name)) {
				t.Errorf("%s still has the table %s", f.Name, name)
			}
		}
	}
}
