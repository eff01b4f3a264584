package lubricant

import (
	"fmt"
	"math"
)

// Barus is by how much pressure thickens an oil. It is a check beside films that
// leave it out, not part of any: above some 0.5 GPa it is far too much.
//
//	μ(p)/μ(0) = exp(α p)
//
// Shapes: scalars -> scalar.
// Units:  1/Pa, Pa -> ratio.
// Errors: α outside 0 to 10⁻⁷/Pa; a pressure outside 0 to 500 MPa.
// Valid:  to some 500 MPa; α of mineral oils 1.5 to 2.4·10⁻⁸/Pa, from memory.
// Source: C. Barus, Am. J. Sci. 45 (1893) 87, from memory.
func Barus(alpha, p float64) (float64, error) {
	if !(alpha >= 0 && alpha <= 1e-7) || !(p >= 0 && p <= 500e6) {
		return 0, fmt.Errorf("lubricant: %g/Pa and %g Pa: 0 to 10⁻⁷/Pa and 0 to 500 MPa are expected", alpha, p)
	}
	return math.Exp(alpha * p), nil
}

// Plain is the viscosity of a plain grade of 1982 by a published fit. It is a
// check of the line, no datum of an oil.
//
//	μ = μ₀ exp(b/(T_F + 95)),  μ in reyn, T_F in °F
//
// Shapes: whole number, scalar -> scalar.
// Units:  °C -> Pa·s.
// Errors: a grade other than 10, 20, … 60; a temperature outside 20 to 150 °C.
// Valid:  20 to 150 °C.
// Source: A. Seireg, S. Dandage, J. Lubr. Technol. 104 (1982) 135, constants from
// memory.
func Plain(grade int, t float64) (float64, error) {
	fits := [...]struct{ at, b float64 }{{1.58e-8, 1157.5}, {1.36e-8, 1271.6}, {1.41e-8, 1360}, {1.21e-8, 1474.4}, {1.7e-8, 1509.6}, {1.87e-8, 1564}}
	if grade < 10 || grade > 60 || grade%10 != 0 || !(t >= 20 && t <= 150) {
		return 0, fmt.Errorf("lubricant: grade %d at %g °C: a grade of 10, 20, … 60 from 20 to 150 °C is expected", grade, t)
	}
	f := fits[grade/10-1]
	const reyn = 6894.757 // Pa·s
	return reyn * f.at * math.Exp(f.b/(t*9/5+32+95)), nil
}

// Industrial is the class of ISO 3448 that an oil is in by its viscosity at 40 °C:
// the midpoint of a class, within 10 %. Assembly and hydraulic oils are sold by
// it. ok is false between the classes.
//
// Shapes: scalar -> scalar.
// Units:  m²/s.
// Errors: none; see ok.
// Source: ISO 3448:1992, table 1, from memory.
func Industrial(at40 float64) (midpoint float64, ok bool) {
	for _, m := range [...]float64{2.2, 3.2, 4.6, 6.8, 10, 15, 22, 32, 46, 68, 100, 150, 220, 320, 460, 680, 1000, 1500, 2200, 3200} {
		if x := at40 * perSquare; x >= 0.9*m*(1-1e-12) && x <= 1.1*m*(1+1e-12) {
			return m / perSquare, true
		}
	}
	return 0, false
}
