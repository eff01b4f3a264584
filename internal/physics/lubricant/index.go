package lubricant

import (
	"fmt"
	"math"
	"sort"
)

type basic struct{ v, l, h float64 }

// Index is a viscosity index with the basic values it came from, in m²/s.
type Index struct {
	Value float64 // not rounded
	L, H  float64
	Above bool // above 100, by the second procedure
}

// Reported is the index as it is reported: the nearest whole number, the even
// one of two.
//
// Shapes: scalar -> whole number.
// Units:  none.
// Errors: none.
// Source: ASTM D2270, from memory.
func (i Index) Reported() int { return int(math.RoundToEven(i.Value)) }

// IndexOf is the viscosity index from the viscosities at 40 and 100 °C.
//
//	VI = 100 (L − U)/(L − H)                                 U ≥ H
//	VI = (10^N − 1)/0.00715 + 100,  N = log(H/U)/log Y        U < H
//
// with U at 40 °C and Y at 100 °C in mm²/s; L and H from the table to Y = 70,
// between its rows on a straight line, and above
//
//	L = 0.8353 Y² + 14.67 Y − 216,  H = 0.1684 Y² + 11.85 Y − 97
//
// Shapes: scalars -> one index.
// Units:  m²/s.
// Errors: less than 2 mm²/s at 100 °C, where the index is not defined; more than
// 2·10⁷; an oil not thinner at 100 °C than at 40 °C.
// Valid:  2 mm²/s at 100 °C and more.
// Source: ASTM D2270, procedures A and B; table read as copied.
func IndexOf(at40, at100 float64) (Index, error) {
	u, y := at40*perSquare, at100*perSquare
	if !(y >= 2*(1-1e-12) && y <= thickest) {
		return Index{}, fmt.Errorf("lubricant: %g mm²/s at 100 °C: the viscosity index is defined from 2 mm²/s", y)
	}
	if !(u > y && u <= thickest) {
		return Index{}, fmt.Errorf("lubricant: %g mm²/s at 40 °C and %g at 100 °C: an oil that gets thinner is expected", u, y)
	}
	l, h := 0.8353*y*y+14.67*y-216, 0.1684*y*y+11.85*y-97
	if table := basics(); y <= table[len(table)-1].v {
		l, h = between(table[:], y)
	}
	out := Index{L: l / perSquare, H: h / perSquare, Above: u < h}
	if out.Above {
		n := math.Log10(h/u) / math.Log10(y)
		out.Value = (math.Pow(10, n)-1)/0.00715 + 100
	} else {
		out.Value = 100 * (l - u) / (l - h)
	}
	return out, nil
}

func between(table []basic, y float64) (l, h float64) {
	i := min(max(sort.Search(len(table), func(i int) bool { return table[i].v >= y }), 1), len(table)-1)
	a, b := table[i-1], table[i]
	f := (y - a.v) / (b.v - a.v)
	return a.l + f*(b.l-a.l), a.h + f*(b.h-a.h)
}
