// Package film is the oil film between a journal and its bearing: what load it
// carries at which gap, how much oil it loses, what it heats.
//
// Three models stand beside each other. The reference solves the Reynolds
// equation on a mesh, with the Reynolds boundary where the film ruptures
// (Reference). The fast one looks the journal's velocity up in maps made from
// the reference and follows it through a cycle (Map, Bearing). The third keeps
// the mass of oil, the gas in it included (Starved). All are rigid and
// isoviscous: doc/model/film.md says what that leaves out.
//
// Letters, here and in the document: R journal radius, D = 2R, L length of a
// land, c radial clearance, e = ε c the eccentricity of the journal's centre,
// H = h/c the gap, n the direction in which a gap is looked at, ζ = 2z/L from
// the middle of the land, μ viscosity, ω angular speed, F the load on the
// journal, p pressure.
package film

import "math"

// Gap returns the thickness of the film over the radial clearance at an angle
// from the least gap.
//
//	H = 1 - ε cos θ
//
// Shapes: scalars -> scalar.
// Units:  ratio, rad -> ratio.
// Errors: none; positive for 0 ≤ ε < 1.
// Source: any text on lubrication; Raimondi and Boyd (1958) count θ from the
// largest gap instead.
func Gap(eps, theta float64) float64 { return 1 - eps*math.Cos(theta) }

// finite reports numbers that are neither NaN nor infinite.
func finite(xs ...float64) bool {
	for _, x := range xs {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return false
		}
	}
	return true
}
