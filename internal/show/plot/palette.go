package plot

// Ink is a colour by its meaning. The three themes give it its value.
type Ink int

// The inks. A name with On is what is drawn on a plate of the name before it.
const (
	NoInk Ink = iota
	InkGround
	InkPen
	InkThin
	InkFaint
	InkAccent
	InkTint
	InkIn
	InkInOn
	InkUndecided
	InkUndecidedOn
	InkUndecidedEdge
	InkOut
	InkOutOn
	InkUnmeasured
	InkUnmeasuredOn
	InkCode
	InkCodeGround
	inkEnd
)

// Theme is one of the three looks of a sheet.
type Theme int

// Paper is the light page, Blueprint the dark one, Print ink on white.
const (
	Paper Theme = iota
	Blueprint
	Print
)

type paletteRow struct {
	name   string
	values [3]uint32 // paper, blueprint, print
	forced string    // system colour where the reader forces colours
}

// row is the palette: the one place where a colour has a value.
func (i Ink) row() paletteRow {
	switch i {
	case InkGround: // the sheet
		return paletteRow{"ground", [3]uint32{0xFBF8F1, 0x0D2847, 0xFFFFFF}, "Canvas"}
	case InkPen: // edges, text, the measured engine
		return paletteRow{"pen", [3]uint32{0x1A1D21, 0xEAF1F8, 0x111111}, "CanvasText"}
	case InkThin: // construction lines, small words
		return paletteRow{"thin", [3]uint32{0x5A5F66, 0x9FB9D3, 0x555555}, "CanvasText"}
	case InkFaint: // hairlines between things, never meaning alone
		return paletteRow{"faint", [3]uint32{0xD3CCBD, 0x2F5075, 0xC8C8C8}, "GrayText"}
	case InkAccent: // links, the armed position, what-ifs
		return paletteRow{"accent", [3]uint32{0x0B5FA5, 0x86C5FA, 0x0B5FA5}, "LinkText"}
	case InkTint: // bands of doubt, cut faces
		return paletteRow{"tint", [3]uint32{0xDCE5EC, 0x1D4066, 0xE2E8EE}, "Canvas"}
	case InkIn:
		return paletteRow{"in", [3]uint32{0x0B5FA5, 0x86C5FA, 0x0B5FA5}, "CanvasText"}
	case InkInOn:
		return paletteRow{"in-on", [3]uint32{0xFFFFFF, 0x071A30, 0xFFFFFF}, "Canvas"}
	case InkUndecided:
		return paletteRow{"undecided", [3]uint32{0xF0C419, 0xF5CE42, 0xF0C419}, "Canvas"}
	case InkUndecidedOn:
		return paletteRow{"undecided-on", [3]uint32{0x1A1D21, 0x071A30, 0x111111}, "CanvasText"}
	case InkUndecidedEdge:
		return paletteRow{"undecided-edge", [3]uint32{0x1A1D21, 0xFFF3C9, 0x111111}, "CanvasText"}
	case InkOut:
		return paletteRow{"out", [3]uint32{0xA3200D, 0xFF9C87, 0xA3200D}, "CanvasText"}
	case InkOutOn:
		return paletteRow{"out-on", [3]uint32{0xFFFFFF, 0x2B0B05, 0xFFFFFF}, "Canvas"}
	case InkUnmeasured:
		return paletteRow{"unmeasured", [3]uint32{0x5F6670, 0xAFBAC6, 0x5F6670}, "CanvasText"}
	case InkUnmeasuredOn:
		return paletteRow{"unmeasured-on", [3]uint32{0xFFFFFF, 0x071A30, 0xFFFFFF}, "Canvas"}
	}
	// A code is read by machines, many of which want dark on light.
	switch i {
	case InkCode:
		return paletteRow{"code", [3]uint32{0x111111, 0x111111, 0x111111}, "#111111"}
	case InkCodeGround:
		return paletteRow{"code-ground", [3]uint32{0xFFFFFF, 0xFFFFFF, 0xFFFFFF}, "#FFFFFF"}
	}
	return paletteRow{"none", [3]uint32{}, "CanvasText"}
}

// Inks lists every ink.
func Inks() []Ink {
	var out []Ink
	for i := NoInk + 1; i < inkEnd; i++ {
		out = append(out, i)
	}
	return out
}

// String returns the ink's name, which is also its custom property.
func (i Ink) String() string { return i.row().name }

// RGB returns the ink's value in a theme.
func (i Ink) RGB(t Theme) (r, g, b uint8) {
	v := i.row().values[t]
	return uint8(v >> 16), uint8(v >> 8), uint8(v)
}
