// Package oilway is the oil system of an engine: what bearings, jets, phasers,
// lash adjusters and leaks take, what the pump gives and the relief valve lets
// off, and the pressure at which the two are equal; how far that pressure is in
// doubt; and, where a gauge says otherwise, what may be behind it.
//
// Pressures are gauge pressures in Pa, flows m³/s, viscosities Pa·s, densities
// kg/m³, lengths m, turns 1/s. Equations, sources and what is left out stand in
// doc/model/oilway.md.
package oilway

import (
	"fmt"
	"math"
)

// Kind says what an outlet is, for the causes that it can have.
type Kind uint8

// The kinds of outlet.
const (
	Bearing Kind = iota
	Jet
	Phaser
	Lash
	Leak
)

// Outlet is one way out of the gallery, or several alike: a film and a hole in a
// row, or a table.
//
//	Δp = μ q/F + ρ/2 (q/H)²,   Δp = p + ½ ρ ω² (R₂² − R₁²) − opens
type Outlet struct {
	Name  string
	Kind  Kind
	Count int     // alike
	Film  float64 // F, m³; 0 where there is none in the way
	Hole  float64 // H, discharge coefficient by area, m²; 0 where there is none in the way
	Given Table   // in the place of both: flow of one by Δp
	Opens float64 // pressure below which it is shut
	From  float64 // R₁ and R₂: where its oil enters the crank and where it leaves
	To    float64
	U     float64 // relative standard uncertainty of its flow
	own   int     // place in the tables that a state may have of its own, from 1; 0 for none
	more  float64 // by which such a table is more than it says
}

// Table is a flow by pressure: from nought at no pressure, on straight lines
// between its rows and beyond its last.
type Table struct {
	Pressure, Flow []float64
	Viscosity      float64 // of the state it was taken in, where flows go as 1/μ; 0 where they do not
}

func (t Table) check() error {
	if len(t.Pressure) != len(t.Flow) || len(t.Pressure) < 2 || t.Pressure[0] != 0 || t.Flow[0] != 0 {
		return fmt.Errorf("a table of %d pressures and %d flows: two lists of one length from 0 and 0 on are expected", len(t.Pressure), len(t.Flow))
	}
	if t.Viscosity != 0 && !(t.Viscosity >= 1e-5 && t.Viscosity <= 1e3) {
		return fmt.Errorf("a table taken with %g Pa·s: 10⁻⁵ to 10³ is expected, or 0", t.Viscosity)
	}
	for k := 1; k < len(t.Pressure); k++ {
		if !(t.Pressure[k] > t.Pressure[k-1] && t.Flow[k] >= t.Flow[k-1] && t.Pressure[k] <= 1e8 && t.Flow[k] <= 1) {
			return fmt.Errorf("row %d of a table, %g Pa and %g m³/s: more pressure than the row before, no less flow, at most 10⁸ Pa and 1 m³/s is expected", k+1, t.Pressure[k], t.Flow[k])
		}
	}
	return nil
}

func (o *Outlet) check(i int) error {
	say := func(format string, args ...any) error {
		return fmt.Errorf("oilway: outlet %d, %s: "+format, append([]any{i + 1, o.Name}, args...)...)
	}
	given := len(o.Given.Pressure) + len(o.Given.Flow)
	within := func(x, lo, hi float64) bool { return x >= lo && x <= hi }
	switch {
	case o.Count < 1 || o.Count > 1000:
		return say("%d of it: 1 to 1000 are expected", o.Count)
	case given == 0 && o.Film == 0 && o.Hole == 0:
		return say("no film, no hole, no table: one is expected")
	case given > 0 && (o.Film != 0 || o.Hole != 0):
		return say("a table stands beside a film or a hole: one of them is expected")
	case o.Film != 0 && !within(o.Film, 1e-20, 1e-9):
		return say("a film of %g m³: 10⁻²⁰ to 10⁻⁹ is expected", o.Film)
	case o.Hole != 0 && !within(o.Hole, 1e-10, 1e-2):
		return say("a hole of %g m²: 10⁻¹⁰ to 10⁻² is expected", o.Hole)
	case !within(o.Opens, 0, 1e8):
		return say("opens at %g Pa: 0 to 10⁸ is expected", o.Opens)
	case !within(o.From, 0, 1) || !within(o.To, 0, 1):
		return say("radii %g and %g m in the crank: 0 to 1 m is expected", o.From, o.To)
	case !within(o.U, 0, 1):
		return say("relative uncertainty %g: 0 to 1 is expected", o.U)
	}
	if given > 0 {
		if err := o.Given.check(); err != nil {
			return say("%w", err)
		}
	}
	return nil
}

// flow of one at a gallery pressure.
func (o *Outlet) flow(p, viscosity float64, x *State) float64 {
	density := x.Density
	d := p + Lift(density, x.Crank, o.From, o.To) - o.Opens
	if !(d > 0) {
		return 0
	}
	if o.own > 0 && len(x.Own) > 0 && len(x.Own[o.own-1].Pressure) > 0 {
		return o.more * x.Own[o.own-1].at(d, viscosity)
	}
	if len(o.Given.Pressure) > 0 {
		return o.Given.at(d, viscosity)
	}
	if o.Hole == 0 {
		return o.Film * d / viscosity
	}
	b := 0.0
	if o.Film > 0 {
		b = viscosity / o.Film
	}
	// ρ/2H² q² + b q − Δp = 0, without the difference of two nearly equal
	a := density / (2 * o.Hole * o.Hole)
	return 2 * d / (b + math.Sqrt(b*b+4*a*d))
}

func (t Table) at(p, viscosity float64) float64 {
	i := 1
	for i < len(t.Pressure)-1 && p > t.Pressure[i] {
		i++
	}
	q := t.Flow[i-1] + (t.Flow[i]-t.Flow[i-1])*(p-t.Pressure[i-1])/(t.Pressure[i]-t.Pressure[i-1])
	if t.Viscosity > 0 {
		q *= t.Viscosity / viscosity
	}
	return q
}

// Grooved is the film of a bearing fed from a groove in the middle: two lands,
// each a slot as high as the clearance all round.
//
//	F = π D c³ (1 + 1.5 ε²)/(6 l) · part
//
// Shapes: scalars -> scalar.
// Units:  diameter D, land l beside the groove, radial clearance c in m,
// eccentricity ratio ε, part of the way round that is grooved -> m³.
// Errors: a length that is not positive; ε outside 0 to 1; part outside 0 to 1.
// Valid:  what pressure drives; what the turning journal draws in comes on top.
// Source: A. Cameron, Basic Lubrication Theory (1976): flow through a slot, mean of
// h³ all round; for a part of the way an estimate.
func Grooved(diameter, land, clearance, eccentricity, part float64) (float64, error) {
	for _, x := range []float64{diameter, land, clearance} {
		if !(x > 0 && x <= 2) {
			return 0, fmt.Errorf("oilway: diameter %g, land %g, clearance %g m: more than 0 and at most 2 m is expected", diameter, land, clearance)
		}
	}
	if !(eccentricity >= 0 && eccentricity <= 1) || !(part > 0 && part <= 1) {
		return 0, fmt.Errorf("oilway: eccentricity ratio %g, grooved part %g: 0 to 1 is expected", eccentricity, part)
	}
	return math.Pi * diameter * clearance * clearance * clearance * (1 + 1.5*eccentricity*eccentricity) / (6 * land) * part, nil
}

// Holed is the film of a bearing fed from a hole.
//
//	F = 0.675 h³ (d/L + 0.4)^1.75,   h = c (1 + ε cos φ)
//
// Shapes: scalars -> scalar.
// Units:  hole d, width L, height h of the film at the hole in m -> m³.
// Errors: a length that is not positive; a hole wider than the bearing.
// Valid:  what pressure drives.
// Source: F. A. Martin, C. S. Lee, ASLE Trans. 26 (1983) 381, from memory: not
// checked against print.
func Holed(hole, width, height float64) (float64, error) {
	if !(hole > 0 && width >= hole && width <= 2 && height > 0 && height <= 0.01) {
		return 0, fmt.Errorf("oilway: hole %g, width %g, film %g m: a hole no wider than the bearing and a film of 10 mm at most are expected", hole, width, height)
	}
	return 0.675 * height * height * height * math.Pow(hole/width+0.4, 1.75), nil
}

// Orifice is a round hole.
//
//	H = C π d²/4
//
// Shapes: scalars -> scalar.
// Units:  m, discharge coefficient -> m².
// Errors: a diameter outside 0.01 to 100 mm; a coefficient outside 0.1 to 1.
// Source: definition; C of a short drilling about 0.7, common practice, no source.
func Orifice(d, coefficient float64) (float64, error) {
	if !(d >= 1e-5 && d <= 0.1) || !(coefficient >= 0.1 && coefficient <= 1) {
		return 0, fmt.Errorf("oilway: a hole of %g m with coefficient %g: 0.01 to 100 mm and 0.1 to 1 are expected", d, coefficient)
	}
	return coefficient * math.Pi * d * d / 4, nil
}

// Seep is a film by what it was seen to pass.
//
//	F = μ q/p
//
// Shapes: scalars -> scalar.
// Units:  m³/s, Pa, Pa·s -> m³.
// Errors: a value that is not positive or no number.
// Source: definition.
func Seep(flow, pressure, viscosity float64) (float64, error) {
	f := flow * viscosity / pressure
	if !(flow > 0 && pressure > 0 && viscosity > 0) || math.IsInf(f, 0) || math.IsNaN(f) {
		return 0, fmt.Errorf("oilway: %g m³/s at %g Pa with %g Pa·s: numbers above nought are expected", flow, pressure, viscosity)
	}
	return f, nil
}

// Lift is the pressure that oil gains on its way outward in a turning crank.
//
//	½ ρ ω² (R₂² − R₁²)
//
// Shapes: scalars -> scalar.
// Units:  kg/m³, rad/s, m -> Pa.
// Errors: none; NewEngine has refused radii beyond a metre.
// Source: statics of a turning fluid.
func Lift(density, speed, from, to float64) float64 {
	return density * speed * speed * (to*to - from*from) / 2
}
