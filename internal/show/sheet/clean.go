package sheet

import (
	"strings"

	"codeberg.org/go-pdf/fpdf"

	"fettle/internal/show/plot"
)

// cleaned is a canvas on which every text is one that the house's type has:
// what a person typed may hold anything.
type cleaned struct{ plot.Canvas }

// Text draws the text without letters that the type or a PDF cannot hold.
func (c cleaned) Text(at plot.Point, t plot.Text) {
	t.S = clean(t.S)
	c.Canvas.Text(at, t)
}

// pen is the canvas of the sheets. Level text, which is nearly all there is,
// goes straight to the document: the record owns it, so nobody needs its font
// and colour restored after every word.
type pen struct {
	*plot.PDF
	doc  *fpdf.Fpdf
	font *font
}

// font is what the document's current page was last told.
type font struct {
	style string
	size  float64
	ink   plot.Ink
}

// Text draws the text without letters that the type or a PDF cannot hold.
func (p pen) Text(at plot.Point, t plot.Text) {
	if t.S = clean(t.S); t.S == "" {
		return
	}
	if t.Rotate != 0 || t.Halo {
		p.PDF.Text(at, t)
		return
	}
	want := font{size: t.Size, ink: t.Ink}
	if want.size == 0 {
		want.size = plot.SizeSmall
	}
	if want.ink == plot.NoInk {
		want.ink = plot.InkPen
	}
	if t.Weight == plot.Bold {
		want.style = "B"
	}
	if p.font.style != want.style || p.font.size != want.size {
		p.doc.SetFont(plot.FontFamily, want.style, want.size*plot.NaturalMM*p.doc.GetConversionRatio())
	}
	if p.font.ink != want.ink {
		r, g, b := want.ink.RGB(plot.Print)
		p.doc.SetTextColor(int(r), int(g), int(b))
	}
	*p.font = want
	x, y := at.X, at.Y+t.Drop()
	if t.Anchor != plot.Start {
		x -= plot.Width(t.S, want.size, t.Weight) * float64(t.Anchor) / 2
	}
	p.doc.Text(x*plot.NaturalMM, y*plot.NaturalMM, t.S)
}

// clean replaces spaces and letters that the type does not have.
func clean(s string) string {
	for i := 0; i < len(s); i++ {
		if s[i] < ' ' || s[i] >= 0x7f {
			return strings.Map(letter, s)
		}
	}
	return s
}

func letter(r rune) rune {
	switch {
	case r == '\u202f', r == '\u2009', r == '\u2007':
		return '\u00a0'
	case r > ' ' && r < 0x7f, r > 0xa0 && r <= 0xff && r != 0xad, r == '−', r == '…', r == '’', r == '–', r == '“', r == '”':
		return r // in the type, as a test of plot shows
	case r < ' ', r == 0x7f:
		return ' '
	case r >= 0x80 && r < 0xa0, r == 0xad, r >= 0x200b && r <= 0x200f, r >= 0x202a && r <= 0x202e, r == 0x2060, r == 0xfeff:
		return -1 // control and direction marks
	case !plot.Has(r):
		return '\u25a1'
	}
	return r
}
