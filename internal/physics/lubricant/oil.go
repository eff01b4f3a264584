package lubricant

import (
	"fmt"
	"math"
)

// Where high-shear viscosity is measured, and what is taken of the shear stress
// at which an oil stands half way between its plateaus.
const (
	ShearTest    = 150.0 // °C
	ShearRate    = 1e6   // 1/s
	UsualStress  = 1000  // Pa, from memory
	newtonianFor = 1.03  // high shear this much above the line is still its doubt
)

// Datum is what is known of an oil.
type Datum struct {
	Cold, Hot Point   // usually 40 and 100 °C
	Density   float64 // at 15 °C
	Expansion float64 // 1/K; 0 for the usual
	HighShear float64 // at 150 °C and 10⁶/s; 0 where it does not thin under shear
	Stress    float64 // Pa, half way between the plateaus; 0 for the usual
}

// Oil is an oil that can be asked.
type Oil struct {
	Line      Line
	Density15 float64
	Expansion float64
	Second    float64 // second plateau over first
	Stress    float64 // Pa
}

// NewOil makes an oil of what is known of it.
//
// The second plateau follows from the high-shear viscosity: the curve of Under
// passes it at 150 °C and 10⁶/s.
//
// Shapes: one datum -> one oil.
// Units:  SI, °C.
// Errors: as NewLine; a density outside 600 to 1200 kg/m³; an expansion outside 0
// to 0.002/K; a stress not from 1 to 10⁶ Pa; a high-shear viscosity more than
// 3 % above the line at 150 °C, or so low that no second plateau gives it.
// Source: ASTM D341 for the line; M. M. Cross, J. Colloid Sci. 20 (1965) 417 for
// the form of the curve, from memory.
func NewOil(d Datum) (Oil, error) {
	l, err := NewLine(d.Cold, d.Hot, Full)
	if err != nil {
		return Oil{}, err
	}
	if d.Expansion == 0 {
		d.Expansion = UsualExpansion
	}
	if d.Stress == 0 {
		d.Stress = UsualStress
	}
	switch {
	case !(d.Density >= 600 && d.Density <= 1200):
		return Oil{}, fmt.Errorf("lubricant: density %g kg/m³ at 15 °C: 600 to 1200 is expected", d.Density)
	case !(d.Expansion > 0 && d.Expansion <= 0.002):
		return Oil{}, fmt.Errorf("lubricant: expansion %g/K: more than 0 and at most 0.002 is expected", d.Expansion)
	case !(d.Stress >= 1 && d.Stress <= 1e6):
		return Oil{}, fmt.Errorf("lubricant: shear stress %g Pa between the plateaus: 1 to 10⁶ is expected", d.Stress)
	}
	o := Oil{Line: l, Density15: d.Density, Expansion: d.Expansion, Second: 1, Stress: d.Stress}
	if d.HighShear == 0 {
		return o, nil
	}
	first := o.Dynamic(ShearTest)
	part := d.HighShear / first
	s := 1 / (1 + ShearRate*first/o.Stress)
	second := (part - s) / (1 - s)
	switch {
	case !(part <= newtonianFor):
		return Oil{}, fmt.Errorf("lubricant: high-shear viscosity %.3g mPa·s, but %.3g without shear at 150 °C: shear makes an oil thinner", d.HighShear*1e3, first*1e3)
	case !(second > 0.05):
		return Oil{}, fmt.Errorf("lubricant: high-shear viscosity %.3g mPa·s of %.3g without shear at 150 °C: more than %.3g is expected", d.HighShear*1e3, first*1e3, first*1e3*(s+0.05*(1-s)))
	}
	o.Second = math.Min(second, 1)
	return o, nil
}

// Weight is the density at a temperature.
//
// Shapes: scalar -> scalar.
// Units:  °C -> kg/m³.
// Errors: none; a temperature outside −60 to 300 °C counts as the nearer end.
// Source: common practice, no source; see Density.
func (o Oil) Weight(t float64) float64 {
	return Density(o.Density15, o.Expansion, math.Min(math.Max(t, Coldest), Hottest))
}

// Dynamic is the viscosity at low shear, the first plateau.
//
//	μ = ν ρ
//
// Shapes: scalar -> scalar.
// Units:  °C -> Pa·s.
// Errors: none; a temperature outside −60 to 300 °C counts as the nearer end.
// Source: definition.
func (o Oil) Dynamic(t float64) float64 { return o.Line.Kinematic(t) * o.Weight(t) }

// Under is the viscosity under shear: between the first plateau μ₁ and the
// second r μ₁, half way at the stress τ.
//
//	μ = μ₁ (r + (1 − r)/(1 + μ₁ γ/τ))
//
// r and τ are taken as the same at all temperatures, which puts the fall at
// lower rates when the oil is thick. It is a simple model through one point.
//
// Shapes: scalars -> scalar.
// Units:  °C, 1/s -> Pa·s.
// Errors: none; a rate below nought or no number counts as nought.
// Valid:  fresh oil; nothing is known of it but its viscosity at 150 °C and 10⁶/s.
// Source: M. M. Cross, J. Colloid Sci. 20 (1965) 417, with exponent 1, from memory.
func (o Oil) Under(t, rate float64) float64 {
	first := o.Dynamic(t)
	if !(rate > 0) {
		return first
	}
	return first * (o.Second + (1-o.Second)/(1+first*rate/o.Stress))
}

// Plateau is the second plateau, below which shear does not bring the oil.
//
// Shapes: scalar -> scalar.
// Units:  °C -> Pa·s.
// Errors: none.
// Source: see Under.
func (o Oil) Plateau(t float64) float64 { return o.Second * o.Dynamic(t) }

// Diluted is the oil with fuel in it.
//
// Shapes: oil, fuel, part of the volume -> oil.
// Units:  none.
// Errors: as Line.Mixed.
// Source: see Line.Mixed; densities by volume; r and τ are kept.
func (o Oil) Diluted(fuel Oil, part float64) (Oil, error) {
	l, err := o.Line.Mixed(fuel.Line, part)
	if err != nil {
		return Oil{}, err
	}
	out := o
	out.Line, out.Density15 = l, (1-part)*o.Density15+part*fuel.Density15
	return out, nil
}
