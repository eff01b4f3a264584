package plot

import (
	"math"
	"strings"
	"sync"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// Weight is one of the two weights of the house's type.
type Weight int

// The two weights.
const (
	Regular Weight = iota
	Bold
)

// FontFamily is the name of the house's type in stylesheets and PDFs.
const FontFamily = "Go"

// capHeight is the height of capitals and figures as a fraction of the size;
// a test holds it against the font.
const capHeight = 0.73

// Face is one weight of the house's type as a TrueType file.
type Face struct {
	Weight Weight
	Name   string // file name under which a site may serve it
	TTF    []byte
}

// Fonts returns both weights. The bytes are copies.
func Fonts() []Face {
	return []Face{
		{Regular, "go-regular.ttf", append([]byte(nil), goregular.TTF...)},
		{Bold, "go-bold.ttf", append([]byte(nil), gobold.TTF...)},
	}
}

// metric is one weight made ready for measuring. It never changes once built.
type metric struct {
	font  *sfnt.Font
	latin [256]float64
}

var metrics = sync.OnceValue(func() [2]*metric {
	return [2]*metric{newMetric(goregular.TTF), newMetric(gobold.TTF)}
})

func newMetric(ttf []byte) *metric {
	f, err := sfnt.Parse(ttf)
	if err != nil {
		panic("plot: the built-in font does not parse: " + err.Error())
	}
	m := &metric{font: f}
	for r := range m.latin {
		m.latin[r] = m.look(rune(r))
	}
	return m
}

// look returns the advance of one letter at size 1.
func (m *metric) look(r rune) float64 {
	var b sfnt.Buffer
	units := fixed.Int26_6(m.font.UnitsPerEm() << 6)
	g, err := m.font.GlyphIndex(&b, r)
	if err != nil {
		return 0
	}
	a, err := m.font.GlyphAdvance(&b, g, units, font.HintingNone)
	if err != nil {
		return 0
	}
	return float64(a) / float64(units)
}

// Width returns how wide a line of text is drawn, kerning off.
//
// Shapes: text, size, weight -> scalar.
// Units:  size in sheet units -> sheet units.
// Errors: none; a letter the font lacks has the width of its empty box.
func Width(s string, size float64, w Weight) float64 {
	m := metrics()[w]
	sum := 0.0
	for _, r := range s {
		if int(r) < len(m.latin) {
			sum += m.latin[r]
		} else {
			sum += m.look(r)
		}
	}
	return sum * size
}

// Fit returns s, or its beginning with an ellipsis, no wider than width.
func Fit(s string, size float64, w Weight, width float64) string {
	if Width(s, size, w) <= width {
		return s
	}
	rs := []rune(s)
	for n := len(rs) - 1; n > 0; n-- {
		if t := string(rs[:n]) + "…"; Width(t, size, w) <= width {
			return t
		}
	}
	return "…"
}

// Wrap breaks a text at spaces into at most lines lines no wider than width;
// a word that is too long is broken, and what does not fit ends in an ellipsis.
func Wrap(s string, size float64, w Weight, width float64, lines int) []string {
	var out []string
	line := ""
	for _, word := range strings.Fields(s) {
		next := word
		if line != "" {
			next = line + " " + word
		}
		for Width(next, size, w) > width && len(out) < lines-1 {
			if line != "" {
				out, line, next = append(out, line), "", word
				continue
			}
			n := fitting(next, size, w, width)
			out, next = append(out, next[:n]), next[n:]
		}
		line = next
	}
	if line != "" || len(out) == 0 {
		out = append(out, Fit(line, size, w, width))
	}
	return out
}

// fitting returns how many bytes of s fit in width, at least one letter.
func fitting(s string, size float64, w Weight, width float64) int {
	n := 0
	for i, r := range s {
		end := i + len(string(r))
		if n > 0 && Width(s[:end], size, w) > width {
			break
		}
		n = end
	}
	return n
}

// finite panics on a coordinate that cannot be drawn.
func finite(v float64) float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		panic("plot: a coordinate is not finite")
	}
	return v
}

// Has reports whether the house's type, in both weights, has a letter.
func Has(r rune) bool {
	if r >= 0x20 && r < 0x7f {
		return true
	}
	for _, m := range metrics() {
		var b sfnt.Buffer
		if g, err := m.font.GlyphIndex(&b, r); err != nil || g == 0 {
			return false
		}
	}
	return r <= 0xffff
}
