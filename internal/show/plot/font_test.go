package plot

import (
	"math"
	"strings"
	"testing"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

const needed = "0123456789+−±.,-–—“”‘’„µμØ°≤≥·²³⁻¹αΔσ→↑↓×…≈½√ÄÖÜäöüßéèñçåø"

// Law: the house's type has every sign the trade writes, in both weights.
func TestFontHasItsSigns(t *testing.T) {
	for w, m := range metrics() {
		var b sfnt.Buffer
		for _, r := range needed {
			if g, err := m.font.GlyphIndex(&b, r); err != nil || g == 0 {
				t.Errorf("weight %d lacks %q", w, r)
			}
		}
	}
}

// Law: figures are tabular, and a bold figure is as wide as a regular one, so
// a column keeps its decimal mark whichever line is bold.
func TestFiguresAreTabular(t *testing.T) {
	want := Width("0", 100, Regular)
	for _, w := range []Weight{Regular, Bold} {
		for _, d := range strings.Split("0123456789", "") {
			if got := Width(d, 100, w); got != want {
				t.Errorf("%s in weight %d is %v wide, 0 is %v", d, w, got, want)
			}
		}
		if plus, minus, pm := Width("+", 100, w), Width("−", 100, w), Width("±", 100, w); plus != minus || plus != pm {
			t.Errorf("weight %d: signs differ: + %v − %v ± %v", w, plus, minus, pm)
		}
	}
}

// Law: the zero has a stroke inside; the letter O has not.
func TestZeroIsSlashed(t *testing.T) {
	for w, m := range metrics() {
		if zero, o := contours(t, m.font, '0'), contours(t, m.font, 'O'); zero <= o {
			t.Errorf("weight %d: zero has %d contours, O has %d", w, zero, o)
		}
	}
}

func contours(t *testing.T, f *sfnt.Font, r rune) (n int) {
	t.Helper()
	var b sfnt.Buffer
	g, err := f.GlyphIndex(&b, r)
	if err != nil {
		t.Fatal(err)
	}
	segs, err := f.LoadGlyph(&b, g, fixed.I(1000), nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range segs {
		if s.Op == sfnt.SegmentOpMoveTo {
			n++
		}
	}
	return n
}

// Law: capHeight is the font's own, to a hundredth of the size.
func TestCapHeight(t *testing.T) {
	var b sfnt.Buffer
	for w, m := range metrics() {
		for _, r := range "H0" {
			g, _ := m.font.GlyphIndex(&b, r)
			box, _, err := m.font.GlyphBounds(&b, g, fixed.I(1000), font.HintingNone)
			if err != nil {
				t.Fatal(err)
			}
			if got := -float64(box.Min.Y) / 64 / 1000; math.Abs(got-capHeight) > 0.012 {
				t.Errorf("weight %d: %c is %.3f high, capHeight is %v", w, r, got, capHeight)
			}
		}
	}
}

// Law: page and record measure the same text alike. fpdf rounds each advance
// to a thousandth of the size, hence half of that a letter.
func TestWidthAgreesWithPDF(t *testing.T) {
	doc := fpdf.New("P", "pt", "A4", "")
	AddFonts(doc)
	for _, w := range []Weight{Regular, Bold} {
		doc.SetFont(FontFamily, pdfStyle(w), 100)
		for _, s := range []string{"83.0105 ± 0.0035 mm", "Ø83.000 −0.012 µm ≤ 20 °C", "Zylinderkurbelgehäuse"} {
			if got, want := Width(s, 100, w), doc.GetStringWidth(s); math.Abs(got-want) > 0.05*float64(len([]rune(s)))+1e-9 {
				t.Errorf("%q weight %d: sheet %v, pdf %v", s, w, got, want)
			}
		}
	}
}

// Law: wrapped lines fit, and lose nothing when there are lines enough.
func TestWrap(t *testing.T) {
	text := "Zylinderkurbelgehäuse mit Hauptlagergasse und Donaudampfschifffahrtsgesellschaftskapitän links"
	got := Wrap(text, 9, Bold, 80, 20)
	for _, l := range got {
		if w := Width(l, 9, Bold); w > 80 {
			t.Errorf("%q is %v wide", l, w)
		}
	}
	if a, b := strings.ReplaceAll(strings.Join(got, ""), " ", ""), strings.ReplaceAll(text, " ", ""); a != b {
		t.Errorf("wrapping changed the text: %q", a)
	}
	if got := Wrap(text, 9, Bold, 80, 2); len(got) != 2 || !strings.HasSuffix(got[1], "…") {
		t.Errorf("what does not fit must end in an ellipsis: %q", got)
	}
	if got := Wrap("", 9, Bold, 80, 2); len(got) != 1 || got[0] != "" {
		t.Errorf("empty text: %q", got)
	}
}
