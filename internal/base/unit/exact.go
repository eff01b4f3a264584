package unit

import (
	"math/big"
	"strings"
)

// Exactly writes a whole number of base units of a kind in one of its units,
// without rounding; ok is false for a unit of another kind or one in which the
// digits would not end.
//
// Shapes: base units, unit name -> one quantity.
// Units:  the closed list of this package.
// Errors: none; see ok.
func Exactly(d Dim, n int64, unitName string) (q Quantity, ok bool) {
	m, found := find(unitName)
	if !found || m.dim != d {
		return Quantity{}, false
	}
	r := big.NewRat(n, m.base)
	decimals, ends := r.FloatPrec()
	if !ends {
		return Quantity{}, false
	}
	text := r.FloatString(decimals)
	if strings.Trim(text, "-0.") == "" {
		text = strings.TrimPrefix(text, "-")
	}
	return Quantity{Dim: d, N: n, Text: text, Unit: m.name}, true
}

// In writes a quantity in another unit of its kind, exactly; in its own unit it
// stays as it was typed. ok is as for Exactly.
func (q Quantity) In(unitName string) (Quantity, bool) {
	m, found := find(unitName)
	if found && m.name == q.Unit {
		return q, true
	}
	return Exactly(q.Dim, q.N, unitName)
}
