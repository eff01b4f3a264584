package compute

import (
	"math"

	"fettle/internal/base/unit"
	"fettle/internal/maths/gum"
)

// diameters are the relations of bores, journals, pistons and rings.
func diameters() []*gum.Relation {
	length := func(letter, name string) gum.Symbol { return one(letter, name, unit.Length) }
	lengths := func(letter, name string, least int) gum.Symbol { return many(letter, name, unit.Length, least) }
	return []*gum.Relation{
		span("taper", "t = max dᵢ − min dᵢ along one axis", lengths("d", "d", 2), length("t", "taper")),
		span("out-of-round", "o = max dᵢ − min dᵢ at one height", lengths("d", "d", 2), length("o", "out_of_round")),
		linear("clearance", "c = D̄ − d̄", geometry, length("c", "clearance"), []float64{1, -1},
			lengths("D", "hole", 1), lengths("d", "shaft", 1)),
		linear("bridge", "b = s − D̄ of both bores", "common-practice", length("b", "bridge"), []float64{1, -1},
			length("s", "spacing"), lengths("D", "bore", 2)),
		linear("wear", "w = d̄ − d₀", geometry, length("w", "wear"), []float64{-1, 1},
			length("d₀", "unworn"), lengths("d", "worn", 1)),
		{Name: "ring-gap-ratio", Equation: "k = g/B̄", Source: "ring-gap-practice",
			In: []gum.Symbol{length("g", "gap"), lengths("B", "bore", 1)}, Out: one("k", "ratio", unit.Number),
			Value: func(x [][]float64) (float64, error) {
				return positive("ring-gap-ratio", "B", mean(x[1]), x[0][0]/mean(x[1]))
			},
			Partials: func(x, g [][]float64) {
				b := mean(x[1])
				g[0][0] = 1 / b
				even(g[1], -x[0][0]/(b*b))
			}},
		{Name: "vee-form", Equation: "f = i/F", Source: "iso-4292-1985",
			In: []gum.Symbol{length("i", "indication"), one("F", "factor", unit.Number)}, Out: length("f", "form"),
			Value:    func(x [][]float64) (float64, error) { return positive("vee-form", "F", x[1][0], x[0][0]/x[1][0]) },
			Partials: func(x, g [][]float64) { quotient(x, g) }},
		{Name: "elongation", Equation: "ε = L/(N·p) − 1", Source: "roller-chain-practice",
			In:  []gum.Symbol{length("L", "length"), length("p", "pitch"), one("N", "count", unit.Number)},
			Out: one("ε", "elongation", unit.Number),
			Value: func(x [][]float64) (float64, error) {
				return positive("elongation", "N·p", x[1][0]*x[2][0], x[0][0]/(x[1][0]*x[2][0])-1)
			},
			Partials: func(x, g [][]float64) {
				l, p, n := x[0][0], x[1][0], x[2][0]
				g[0][0], g[1][0], g[2][0] = 1/(n*p), -l/(n*p*p), -l/(n*n*p)
			}},
		{Name: "sprocket-radius", Equation: "r = p/(2 sin(π/z))", Source: geometry,
			In: []gum.Symbol{length("p", "pitch"), one("z", "teeth", unit.Number)}, Out: length("r", "radius"),
			Value: func(x [][]float64) (float64, error) {
				return positive("sprocket-radius", "z − 2", x[1][0]-2, x[0][0]/(2*math.Sin(math.Pi/x[1][0])))
			},
			Partials: func(x, g [][]float64) {
				s, c := math.Sincos(math.Pi / x[1][0])
				g[0][0] = 1 / (2 * s)
				g[1][0] = x[0][0] * c * math.Pi / (2 * s * s * x[1][0] * x[1][0])
			}},
	}
}

// quotient fills the partials of x₀/x₁.
func quotient(x, g [][]float64) {
	g[0][0] = 1 / x[1][0]
	g[1][0] = -x[0][0] / (x[1][0] * x[1][0])
}
