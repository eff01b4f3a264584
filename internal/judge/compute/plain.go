package compute

import (
	"fmt"

	"fettle/internal/base/cite"
	"fettle/internal/base/unit"
	"fettle/internal/maths/form"
	"fettle/internal/maths/gum"
)

type sourceKey = cite.Key

const geometry sourceKey = "geometry" // follows from geometry alone

// plain relations keep the kind of quantity they are given.
func plain() []*gum.Relation {
	anyOut := one("y", "result", unit.None)
	return []*gum.Relation{
		linear("mean", "y = (Σ xᵢ)/n", geometry, anyOut, []float64{1}, many("x", "x", unit.None, 1)),
		linear("difference", "y = a − b", geometry, anyOut, []float64{1, -1}, one("a", "a", unit.None), one("b", "b", unit.None)),
		extreme("maximum", "y = max xᵢ", 1),
		extreme("minimum", "y = min xᵢ", -1),
		span("range", "y = max xᵢ − min xᵢ", many("x", "x", unit.None, 2), anyOut),
		{Name: "sum", Equation: "y = Σ xᵢ", Source: geometry, Linear: true, In: []gum.Symbol{many("x", "x", unit.None, 1)}, Out: anyOut,
			Value:    func(x [][]float64) (float64, error) { return mean(x[0]) * float64(len(x[0])), nil },
			Partials: func(x, g [][]float64) { even(g[0], float64(len(g[0]))) }},
		{Name: "spread", Equation: "y = (max xᵢ − min xᵢ)/x̄", Source: geometry,
			In: []gum.Symbol{many("x", "x", unit.None, 2)}, Out: one("y", "result", unit.Number),
			Value: func(x [][]float64) (float64, error) {
				if mean(x[0]) == 0 {
					return 0, fmt.Errorf("spread: the mean is zero")
				}
				w, err := form.Range(x[0])
				return w / mean(x[0]), err
			},
			Partials: func(x, g [][]float64) {
				z, m := mustSpread(x[0]), mean(x[0])
				for i := range g[0] {
					g[0][i] = z.Partials[i]/m - z.Width/(m*m)/float64(len(x[0]))
				}
			}},
	}
}

// extreme is the largest (sign 1) or smallest (sign −1) of a list.
func extreme(name, equation string, sign float64) *gum.Relation {
	at := func(x []float64) int {
		best := 0
		for i, v := range x {
			if sign*v > sign*x[best] {
				best = i
			}
		}
		return best
	}
	return &gum.Relation{Name: name, Equation: equation, Source: geometry,
		In: []gum.Symbol{many("x", "x", unit.None, 1)}, Out: one("y", "result", unit.None),
		Value:    func(x [][]float64) (float64, error) { return x[0][at(x[0])], nil },
		Partials: func(x, g [][]float64) { g[0][at(x[0])] = 1 }}
}

// span is the largest less the smallest of a list.
func span(name, equation string, in, out gum.Symbol) *gum.Relation {
	return &gum.Relation{Name: name, Equation: equation, Source: geometry, In: []gum.Symbol{in}, Out: out,
		Value: func(x [][]float64) (float64, error) {
			return form.Range(x[0])
		},
		Partials: func(x, g [][]float64) { copy(g[0], mustSpread(x[0]).Partials) }}
}

// mustSpread is form.Spread where it has succeeded before.
func mustSpread(x []float64) form.Zone {
	z, err := form.Spread(x)
	if err != nil {
		panic("compute: " + err.Error())
	}
	return z
}
