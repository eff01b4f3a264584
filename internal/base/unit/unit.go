// Package unit reads decimal numbers with units into exact integers and turns
// them into SI floats for formulas. Nothing here rounds on the way in: a number
// with more digits than the base unit holds is refused.
package unit

import (
	"math"
	"sort"
)

// Dim is a kind of quantity. Each has one base unit in which values are whole
// numbers (see table) and one SI unit in which formulas work.
type Dim uint8

// The kinds of quantity.
const (
	None        Dim = iota
	Number          // a pure number, base 1e-9, formulas 1
	Length          // base pm, formulas m
	Area            // base nm², formulas m²
	Volume          // base 1e-6 mm³, formulas m³
	Angle           // base 1e-9 °, formulas rad; of the crank or cam as the name says
	Temperature     // base µ°C, formulas °C (differences and 20 °C references, never kelvin)
	Mass            // base ng, formulas kg
	Force           // base nN, formulas N
	Torque          // base nN·m, formulas N·m
	Pressure        // base µPa, formulas Pa
	Time            // base µs, formulas s
	Speed           // base nm/s, formulas m/s
	Rotation        // base 1e-6 rpm, formulas rad/s
	Expansion       // base 1e-15 /K, formulas 1/K
	Rate            // spring rate, base µN/m, formulas N/m
	Flow            // base 1e-6 mm³/min, formulas m³/s
	Resistance      // base µΩ, formulas Ω
	FluxDensity     // base nT, formulas T
	Hardness        // base 1e-6 of the scale's number, formulas the number
	Density         // base mg/m³, formulas kg/m³
	Viscosity       // dynamic, base nPa·s, formulas Pa·s
	Kinematic       // kinematic viscosity, base 1e-6 mm²/s, formulas m²/s
)

type measure struct {
	name string
	dim  Dim
	base int64   // base units in one of this unit
	si   float64 // formula units in one of this unit
	ucum string  // UCUM code, "" where UCUM has none that fits
}

// measures is the closed list. Exact factors: 1 in = 25.4 mm, 1 thou = 25.4 µm
// (international inch, ISO 80000-3). The psi, 4.448 221 615 260 5 N on a square
// inch, has no end in decimals: it is held as 6894.757 Pa, 4 parts in 10⁸ low.
var measures = [...]measure{
	{"1", Number, 1e9, 1, "1"},
	{"%", Number, 1e7, 1e-2, "%"},
	{"‰", Number, 1e6, 1e-3, ""},
	{"mm", Length, 1e9, 1e-3, "mm"},
	{"µm", Length, 1e6, 1e-6, "um"},
	{"nm", Length, 1e3, 1e-9, "nm"},
	{"cm", Length, 1e10, 1e-2, "cm"},
	{"m", Length, 1e12, 1, "m"},
	{"in", Length, 25_400_000_000, 25.4e-3, "[in_i]"},
	{"thou", Length, 25_400_000, 25.4e-6, "[mil_i]"},
	{"mm²", Area, 1e12, 1e-6, "mm2"},
	{"mm³", Volume, 1e6, 1e-9, "mm3"},
	{"cm³", Volume, 1e9, 1e-6, "cm3"},
	{"ml", Volume, 1e9, 1e-6, "mL"},
	{"l", Volume, 1e12, 1e-3, "L"},
	{"°", Angle, 1e9, math.Pi / 180, "deg"},
	{"°crank", Angle, 1e9, math.Pi / 180, "deg"},
	{"°cam", Angle, 1e9, math.Pi / 180, "deg"},
	{"°C", Temperature, 1e6, 1, "Cel"},
	{"g", Mass, 1e9, 1e-3, "g"},
	{"mg", Mass, 1e6, 1e-6, "mg"},
	{"kg", Mass, 1e12, 1, "kg"},
	{"N", Force, 1e9, 1, "N"},
	{"kN", Force, 1e12, 1e3, "kN"},
	{"N·m", Torque, 1e9, 1, "N.m"},
	{"Pa", Pressure, 1e6, 1, "Pa"},
	{"kPa", Pressure, 1e9, 1e3, "kPa"},
	{"MPa", Pressure, 1e12, 1e6, "MPa"},
	{"GPa", Pressure, 1e15, 1e9, "GPa"},
	{"bar", Pressure, 1e11, 1e5, "bar"},
	{"psi", Pressure, 6_894_757_000, 6894.757, "[psi]"},
	{"ms", Time, 1e3, 1e-3, "ms"},
	{"s", Time, 1e6, 1, "s"},
	{"min", Time, 60e6, 60, "min"},
	{"h", Time, 3600e6, 3600, "h"},
	{"m/s", Speed, 1e9, 1, "m/s"},
	{"rpm", Rotation, 1e6, math.Pi / 30, "{rev}/min"},
	{"1e-6/K", Expansion, 1e9, 1e-6, "10*-6.K-1"},
	{"N/mm", Rate, 1e9, 1e3, "N/mm"},
	{"ml/min", Flow, 1e9, 1e-6 / 60, "mL/min"},
	{"l/min", Flow, 1e12, 1e-3 / 60, "L/min"},
	{"Ω", Resistance, 1e6, 1, "Ohm"},
	{"mT", FluxDensity, 1e6, 1e-3, "mT"},
	{"HV", Hardness, 1e6, 1, "[HV]"},
	{"HB", Hardness, 1e6, 1, ""},
	{"HRC", Hardness, 1e6, 1, ""},
	{"g/cm³", Density, 1e9, 1e3, "g/cm3"},
	{"mPa·s", Viscosity, 1e6, 1e-3, "mPa.s"},
	{"Pa·s", Viscosity, 1e9, 1, "Pa.s"},
	{"mm²/s", Kinematic, 1e6, 1e-6, "mm2/s"},
}

// aliases are other spellings that people and keyboards produce.
var aliases = map[string]string{
	"um": "µm", "μm": "µm", "inch": "in", "\"": "in", "cc": "cm³", "ccm": "cm³",
	"mL": "ml", "L": "l", "deg": "°", "C": "°C", "Nm": "N·m", "N.m": "N·m",
	"cm3": "cm³", "mm3": "mm³", "mm2": "mm²", "ohm": "Ω", "Ohm": "Ω", "g/cm3": "g/cm³",
	"mPas": "mPa·s", "mPa.s": "mPa·s", "Pas": "Pa·s", "Pa.s": "Pa·s", "mm2/s": "mm²/s", "cSt": "mm²/s",
}

func find(name string) (measure, bool) {
	if a, ok := aliases[name]; ok {
		name = a
	}
	for _, m := range measures {
		if m.name == name {
			return m, true
		}
	}
	return measure{}, false
}

// Of returns the kind of quantity that a unit name measures and the name as it
// is written on sheets; ok is false for a name that is not in the closed list.
func Of(name string) (dim Dim, written string, ok bool) {
	m, ok := find(name)
	return m.dim, m.name, ok
}

// UCUM returns the unit's code in the Unified Code for Units of Measure, or "".
func UCUM(name string) string { m, _ := find(name); return m.ucum }

// Names lists the unit names of a kind of quantity in table order.
func Names(d Dim) []string {
	var out []string
	for _, m := range measures {
		if m.dim == d {
			out = append(out, m.name)
		}
	}
	return out
}

var dimNames = [...]string{
	None: "none", Number: "number", Length: "length", Area: "area", Volume: "volume",
	Angle: "angle", Temperature: "temperature", Mass: "mass", Force: "force",
	Torque: "torque", Pressure: "pressure", Time: "time", Speed: "speed",
	Rotation: "rotation", Expansion: "expansion", Rate: "rate", Flow: "flow",
	Resistance: "resistance", FluxDensity: "flux-density", Hardness: "hardness",
	Density: "density", Viscosity: "viscosity", Kinematic: "kinematic-viscosity",
}

// String is the name used in files.
func (d Dim) String() string {
	if int(d) < len(dimNames) {
		return dimNames[d]
	}
	return "none"
}

// DimOf returns the kind of quantity with this name.
func DimOf(name string) (Dim, bool) {
	for i, n := range dimNames {
		if n == name && i > 0 {
			return Dim(i), true
		}
	}
	return None, false
}

// DimNames lists the names of all kinds of quantity, sorted.
func DimNames() []string {
	out := append([]string(nil), dimNames[1:]...)
	sort.Strings(out)
	return out
}

// ToSI converts a value in the named unit to the formula unit of its kind.
// An unknown unit is a mistake of ours and panics: names are checked on entry.
func ToSI(x float64, name string) float64 {
	m, ok := find(name)
	if !ok {
		panic("unit: unknown unit " + name)
	}
	return x * m.si
}

// FromSI converts a value in the formula unit of its kind to the named unit.
// It panics on an unknown unit, as ToSI does.
func FromSI(x float64, name string) float64 {
	m, ok := find(name)
	if !ok {
		panic("unit: unknown unit " + name)
	}
	return x / m.si
}
