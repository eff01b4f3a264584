package compute

import (
	"math"

	"fettle/internal/base/unit"
	"fettle/internal/maths/gum"
)

// angles are the relations that resolve a length, force or voltage along two
// directions.
func angles() []*gum.Relation {
	of := func(name, equation string, f, slope func(float64) float64) *gum.Relation {
		return &gum.Relation{Name: name, Equation: equation, Source: geometry,
			In: []gum.Symbol{one("φ", "angle", unit.Angle)}, Out: one("y", name, unit.Number),
			Value:    func(x [][]float64) (float64, error) { return f(x[0][0]), nil },
			Partials: func(x, g [][]float64) { g[0][0] = slope(x[0][0]) }}
	}
	return []*gum.Relation{
		of("sine", "y = sin φ", math.Sin, math.Cos),
		of("cosine", "y = cos φ", math.Cos, func(x float64) float64 { return -math.Sin(x) }),
	}
}
