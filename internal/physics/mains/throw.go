package mains

import (
	"fmt"
	"math"
)

// Throw is what stands between two mains: half a journal, a web, the pin, a web,
// half a journal.
type Throw struct {
	Modulus  float64 // of elasticity, Pa
	Journal  float64 // diameter, m
	Pin      float64 // diameter
	Radius   float64 // of the throw
	Web      float64 // thickness along the crank
	Width    float64 // of the web across
	Journals float64 // length of journal in the throw, both halves together
	PinFace  float64 // length of the pin
}

// Bending is the stiffness of a plain shaft that turns as far as the throw does
// between its ends under a pure bending moment, the mean of the flexibilities in
// the plane of the throw and across it. Across it the webs are twisted.
//
//	L/EI = Lj/EIj + Lp/EIp + ½ (2 R/EIw + 2 R/GJw)
//
// Shapes: one throw -> scalar.
// Units:  SI -> N·m².
// Errors: a size that is not positive; a modulus outside 10 to 400 GPa.
// Valid:  slender pieces; overlap of journal and pin and fillets make a real one
// stiffer, as much as twice: a static deflection measured on the crank is better.
// Source: Castigliano's theorem on slender pieces; torsion of a rectangle after
// S. Timoshenko, J. N. Goodier, Theory of Elasticity, from memory.
func (t Throw) Bending() (float64, error) {
	for _, x := range []float64{t.Journal, t.Pin, t.Radius, t.Web, t.Width, t.Journals, t.PinFace} {
		if !(x > 0 && x <= 2) {
			return 0, fmt.Errorf("mains: a size of %g m on a throw: more than 0 and at most 2 m is expected", x)
		}
	}
	if !(t.Modulus >= 10e9 && t.Modulus <= 400e9) {
		return 0, fmt.Errorf("mains: modulus %g Pa: 10 to 400 GPa is expected", t.Modulus)
	}
	round := func(d float64) float64 { return math.Pi * d * d * d * d / 64 }
	g := t.Modulus / 2.6 // ν = 0.3
	a, b := math.Max(t.Web, t.Width), math.Min(t.Web, t.Width)
	twist := a * b * b * b * (1.0/3 - 0.21*b/a*(1-math.Pow(b/a, 4)/12))
	flex := t.Journals/(t.Modulus*round(t.Journal)) + t.PinFace/(t.Modulus*round(t.Pin)) +
		t.Radius/(t.Modulus*t.Width*math.Pow(t.Web, 3)/12) + t.Radius/(g*twist)
	return (t.Journals + t.PinFace + 2*t.Web) / flex, nil
}

// Round is the stiffness of a plain round shaft, in bending and in shear.
//
//	EI = E π d⁴/64,  κGA = 0.89 E/2.6 π d²/4
//
// Shapes: scalars -> scalars.
// Units:  Pa, m -> N·m², N.
// Errors: none; what comes of a bad size is refused by NewShaft.
// Source: G. R. Cowper, J. Appl. Mech. 33 (1966) 335: κ = 6(1+ν)/(7+6ν) with ν =
// 0.3, from memory.
func Round(modulus, d float64) (bending, shear float64) {
	const nu = 0.3
	kappa := 6 * (1 + nu) / (7 + 6*nu)
	return modulus * math.Pi * math.Pow(d, 4) / 64, kappa * modulus / (2 * (1 + nu)) * math.Pi * d * d / 4
}

func sqrt(x float64) float64 { return math.Sqrt(x) }
