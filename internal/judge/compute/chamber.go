package compute

import (
	"math"

	"fettle/internal/base/unit"
	"fettle/internal/maths/gum"
)

// chamber are the relations of stroke, deck and volumes.
func chamber() []*gum.Relation {
	length := func(letter, name string) gum.Symbol { return one(letter, name, unit.Length) }
	volume := func(letter, name string) gum.Symbol { return one(letter, name, unit.Volume) }
	return []*gum.Relation{
		cylinderVolume("swept-volume", "V_s = (π/4)·B̄²·S", "heywood-1988", volume("V_s", "swept"), many("B", "bore", unit.Length, 1), length("S", "stroke")),
		cylinderVolume("gasket-volume", "V_g = (π/4)·d_g²·h_g", geometry, volume("V_g", "gasket"), length("d_g", "bore"), length("h_g", "thickness")),
		cylinderVolume("deck-volume", "V_d = (π/4)·B̄²·h_d", geometry, volume("V_d", "deck"), many("B", "bore", unit.Length, 1), length("h_d", "clearance")),
		linear("clearance-volume", "V_c = V_ch + V_g + V_d + V_p + V_cr", "heywood-1988", volume("V_c", "clearance"), []float64{1, 1, 1, 1, 1},
			volume("V_ch", "chamber"), volume("V_g", "gasket"), volume("V_d", "deck"), volume("V_p", "crown"), volume("V_cr", "crevice")),
		{Name: "compression-ratio", Equation: "r = (V_s + V_c)/V_c", Source: "heywood-1988",
			In: []gum.Symbol{volume("V_s", "swept"), volume("V_c", "clearance")}, Out: one("r", "ratio", unit.Number),
			Value: func(x [][]float64) (float64, error) {
				return positive("compression-ratio", "V_c", x[1][0], 1+x[0][0]/x[1][0])
			},
			Partials: func(x, g [][]float64) { quotient(x, g) }},
		linear("deck-clearance", "h_d = H − (S/2 + L + K)", "common-practice", length("h_d", "clearance"), []float64{1, -0.5, -1, -1},
			length("H", "deck_height"), length("S", "stroke"), length("L", "rod"), length("K", "compression_height")),
		linear("squish", "q = h_d + h_g", "common-practice", length("q", "squish"), []float64{1, 1}, length("h_d", "deck"), length("h_g", "gasket")),
		{Name: "piston-speed", Equation: "v̄ = 2·S·n", Source: "heywood-1988",
			In: []gum.Symbol{length("S", "stroke"), one("n", "speed", unit.Rotation)}, Out: one("v̄", "mean_speed", unit.Speed),
			Value:    func(x [][]float64) (float64, error) { return x[0][0] * x[1][0] / math.Pi, nil },
			Partials: func(x, g [][]float64) { g[0][0], g[1][0] = x[1][0]/math.Pi, x[0][0]/math.Pi }},
		linear("height-left", "m = h − h_min", "common-practice", length("m", "margin"), []float64{1, -1}, length("h", "height"), length("h_min", "minimum")),
	}
}

// cylinderVolume is a circle of a mean diameter times a height.
func cylinderVolume(name, equation string, source sourceKey, out, diameter, height gum.Symbol) *gum.Relation {
	return &gum.Relation{Name: name, Equation: equation, Source: source, In: []gum.Symbol{diameter, height}, Out: out,
		Value: func(x [][]float64) (float64, error) {
			d := mean(x[0])
			return math.Pi / 4 * d * d * x[1][0], nil
		},
		Partials: func(x, g [][]float64) {
			d := mean(x[0])
			even(g[0], math.Pi/2*d*x[1][0])
			g[1][0] = math.Pi / 4 * d * d
		}}
}
