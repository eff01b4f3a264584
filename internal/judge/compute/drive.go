package compute

import (
	"math"

	"fettle/internal/base/unit"
	"fettle/internal/maths/gum"
)

// drive are the relations of the cam drive.
func drive() []*gum.Relation {
	return []*gum.Relation{
		{Name: "chain-retard", Equation: "φ = ε·L/r (cam angle)", Source: geometry,
			In:  []gum.Symbol{one("ε", "elongation", unit.Number), one("L", "run", unit.Length), one("r", "radius", unit.Length)},
			Out: one("φ", "retard", unit.Angle),
			Value: func(x [][]float64) (float64, error) {
				return positive("chain-retard", "r", x[2][0], x[0][0]*x[1][0]/x[2][0])
			},
			Partials: func(x, g [][]float64) {
				e, l, r := x[0][0], x[1][0], x[2][0]
				g[0][0], g[1][0], g[2][0] = l/r, e/r, -e*l/(r*r)
			}},
		{Name: "head-lowering-retard", Equation: "φ = Δ·√(C² − (R − r)²)/(C·R) (cam angle)", Source: geometry,
			In: []gum.Symbol{one("Δ", "removed", unit.Length), one("C", "centres", unit.Length),
				one("R", "cam_radius", unit.Length), one("r", "crank_radius", unit.Length)},
			Out: one("φ", "retard", unit.Angle),
			Value: func(x [][]float64) (float64, error) {
				d, c, rc, rk := x[0][0], x[1][0], x[2][0], x[3][0]
				under := c*c - (rc-rk)*(rc-rk)
				return positive("head-lowering-retard", "C² − (R − r)²", under, d*math.Sqrt(under)/(c*rc))
			},
			Partials: func(x, g [][]float64) {
				d, c, rc, rk := x[0][0], x[1][0], x[2][0], x[3][0]
				s := math.Sqrt(c*c - (rc-rk)*(rc-rk))
				g[0][0] = s / (c * rc)
				g[1][0] = d / rc * (1/s - s/(c*c))
				g[2][0] = d / c * (-(rc-rk)/(s*rc) - s/(rc*rc))
				g[3][0] = d / (c * rc) * (rc - rk) / s
			}},
	}
}

// loads are the relations of springs and bolts.
func loads() []*gum.Relation {
	return []*gum.Relation{
		{Name: "load-loss", Equation: "λ = 1 − F/F₀", Source: "common-practice",
			In: []gum.Symbol{one("F", "load", unit.Force), one("F₀", "rated", unit.Force)}, Out: one("λ", "loss", unit.Number),
			Value: func(x [][]float64) (float64, error) {
				return positive("load-loss", "F₀", x[1][0], 1-x[0][0]/x[1][0])
			},
			Partials: func(x, g [][]float64) {
				quotient(x, g)
				g[0][0], g[1][0] = -g[0][0], -g[1][0]
			}},
		{Name: "bolt-preload", Equation: "F = E·(π/4)·d²·δ/L", Source: "rod-bolt-practice",
			In: []gum.Symbol{one("E", "modulus", unit.Pressure), one("d", "diameter", unit.Length),
				one("δ", "stretch", unit.Length), one("L", "length", unit.Length)},
			Out: one("F", "preload", unit.Force),
			Value: func(x [][]float64) (float64, error) {
				return positive("bolt-preload", "L", x[3][0], x[0][0]*math.Pi/4*x[1][0]*x[1][0]*x[2][0]/x[3][0])
			},
			Partials: func(x, g [][]float64) {
				e, d, s, l := x[0][0], x[1][0], x[2][0], x[3][0]
				a := math.Pi / 4 * d * d
				g[0][0], g[1][0], g[2][0], g[3][0] = a*s/l, e*math.Pi/2*d*s/l, e*a/l, -e*a*s/(l*l)
			}},
	}
}
