package sheet

import (
	"strings"

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
	case r < ' ', r == 0x7f:
		return ' '
	case r >= 0x80 && r < 0xa0, r >= 0x200b && r <= 0x200f, r >= 0x202a && r <= 0x202e, r == 0x2060, r == 0xfeff:
		return -1 // control and direction marks
	case !plot.Has(r):
		return '\u25a1'
	}
	return r
}
