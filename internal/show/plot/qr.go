package plot

import (
	"math"

	"github.com/boombuler/barcode/qr"

	"fettle/internal/base/fault"
)

// Level says how much of a code may be dirt before it can no longer be read
// (ISO/IEC 18004, error correction levels L, M, Q and H).
type Level int

// The levels: about 7, 15, 25 and 30 % of the words can be lost.
const (
	LevelL Level = iota
	LevelM
	LevelQ
	LevelH
)

// quiet is the margin that belongs to a code, in modules, after ISO/IEC 18004.
const quiet = 4

// Code is a QR code: a square of modules, dark or light.
type Code struct {
	side int
	dark []bool // row by row
}

// QR encodes a text. Errors: invalid where the text is empty, too large where
// it does not fit the largest code at that level.
func QR(text string, level Level) (*Code, error) {
	if text == "" {
		return nil, fault.New(fault.Invalid, "plot.qr-empty")
	}
	levels := [...]qr.ErrorCorrectionLevel{qr.L, qr.M, qr.Q, qr.H}
	if level < LevelL || level > LevelH {
		panic("plot: no such level of a QR code")
	}
	b, err := qr.Encode(text, levels[level], qr.Auto)
	if err != nil {
		b, err = qr.Encode(text, levels[level], qr.Unicode)
	}
	if err != nil {
		return nil, fault.New(fault.TooLarge, "plot.qr-too-long")
	}
	side := b.Bounds().Dx()
	c := &Code{side: side, dark: make([]bool, side*side)}
	for y := range side {
		for x := range side {
			r, _, _, _ := b.At(x, y).RGBA()
			c.dark[y*side+x] = r < 0x8000
		}
	}
	return c, nil
}

// Modules is how many modules a side has, its quiet zone included.
func (c *Code) Modules() int { return c.side + 2*quiet }

// Dark says whether a module is dark; the quiet zone counts.
func (c *Code) Dark(x, y int) bool {
	x, y = x-quiet, y-quiet
	return x >= 0 && y >= 0 && x < c.side && y < c.side && c.dark[y*c.side+x]
}

// Draw draws the code with its quiet zone into a square with its upper left
// corner at a point. It is dark on light in every theme: many readers take no
// other.
func (c *Code) Draw(on Canvas, at Point, size float64) {
	n := c.Modules()
	m := size / float64(n)
	if !(m > 0) || math.IsInf(m, 0) {
		panic("plot: a QR code without a size")
	}
	on.Rect(at.X, at.Y, size, size, Style{Fill: InkCodeGround})
	p := &Path{}
	for y := range n {
		for x := 0; x < n; {
			if !c.Dark(x, y) {
				x++
				continue
			}
			from := x
			for x < n && c.Dark(x, y) {
				x++
			}
			p.Append(Box(at.X+float64(from)*m, at.Y+float64(y)*m, float64(x-from)*m, m))
		}
	}
	on.Path(p, Style{Fill: InkCode})
}
