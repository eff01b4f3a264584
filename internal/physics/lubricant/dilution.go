package lubricant

import "fmt"

// Mixed is the line of two fluids put together, part being that of the second
// by volume. Both heights on the chart are straight lines, and so is their mean:
//
//	log log Z = (1 − φ) log log Z₁ + φ log log Z₂
//
// Shapes: two lines, scalar -> one line.
// Units:  part of the volume at the temperature asked for.
// Errors: part outside 0 to 0.3; a line of the short form, which does not reach
// down to fuel.
// Valid:  petrol in engine oil to some 10 %; what boils off at oil temperature is
// no longer there, so that the part is that which is left.
// Source: the mean of ASTM D7152 (Wright's blending on the chart of D341), from
// memory.
func (l Line) Mixed(other Line, part float64) (Line, error) {
	if !(part >= 0 && part <= 0.3) {
		return Line{}, fmt.Errorf("lubricant: %g of the volume is fuel: 0 to 0.3 is expected", part)
	}
	if l.Form != Full || other.Form != Full {
		return Line{}, fmt.Errorf("lubricant: the short form of the line cannot be mixed: the full one is expected")
	}
	return Line{A: (1-part)*l.A + part*other.A, B: (1-part)*l.B + part*other.B, Form: Full}, nil
}
