package compute

import (
	"fmt"
	"math"

	"fettle/internal/base/unit"
	"fettle/internal/maths/gum"
)

// bearings are the relations of shells, housings and end float.
func bearings() []*gum.Relation {
	lengths := func(letter, name string, least int) gum.Symbol { return many(letter, name, unit.Length, least) }
	out := one("c", "clearance", unit.Length)
	return []*gum.Relation{
		linear("oil-clearance", "c = H̄ − w̄ᵤ − w̄ₗ − J̄ (diametral)", "common-practice", out, []float64{1, -1, -1, -1},
			lengths("H", "housing", 1), lengths("w_u", "upper", 1), lengths("w_l", "lower", 1), lengths("J", "journal", 1)),
		linear("eccentricity", "e = w_crown − w̄_split", "common-practice", one("e", "eccentricity", unit.Length), []float64{1, -1},
			one("w_c", "crown", unit.Length), lengths("w_s", "split", 1)),
		{Name: "crush", Equation: "δ = (Σ nᵢ)/π", Source: geometry, Linear: true, In: []gum.Symbol{lengths("n", "nip", 2)},
			Out:      one("δ", "interference", unit.Length),
			Value:    func(x [][]float64) (float64, error) { return mean(x[0]) * float64(len(x[0])) / math.Pi, nil },
			Partials: func(x, g [][]float64) { even(g[0], float64(len(g[0]))/math.Pi) }},
	}
}

// positive gives y where a divisor is above zero and says which one is not.
func positive(name, letter string, divisor, y float64) (float64, error) {
	if divisor <= 0 {
		return 0, fmt.Errorf("%s: %s must be above zero", name, letter)
	}
	return y, nil
}
