package compute

import (
	"fmt"
	"math"

	"fettle/internal/base/unit"
	"fettle/internal/maths/form"
	"fettle/internal/maths/gum"
)

// faces are the relations of flatness, alignment and steps.
func faces() []*gum.Relation {
	lengths := func(letter, name string, least int) gum.Symbol { return many(letter, name, unit.Length, least) }
	width := one("w", "zone", unit.Length)
	return []*gum.Relation{
		zone("flatness", "w = width of the minimum zone of z over (x, y)", "iso-12781-2011", width, plane,
			lengths("z", "z", 4), lengths("x", "x", 4), lengths("y", "y", 4)),
		zone("straightness", "w = width of the minimum zone of z over x", "iso-12780-2011", width, line,
			lengths("z", "z", 3), lengths("x", "x", 3)),
		{Name: "adjacent-misalignment", Equation: "a = max |rᵢ₊₁ − rᵢ|, r = residuals to the least-squares line", Source: "common-practice",
			In: []gum.Symbol{lengths("z", "z", 3), lengths("x", "x", 3)}, Out: one("a", "misalignment", unit.Length),
			Value: func(x [][]float64) (float64, error) {
				a, _, err := adjacent(x[0], x[1])
				return a, err
			},
			Partials: func(x, g [][]float64) {
				_, p, _ := adjacent(x[0], x[1])
				copy(g[0], p)
			}},
		linear("bridge-step", "s = z_c − z̄_e", geometry, one("s", "step", unit.Length), []float64{1, -1},
			one("z_c", "centre", unit.Length), lengths("z_e", "edge", 2)),
	}
}

func plane(x [][]float64) (form.Zone, error) {
	if len(x[1]) != len(x[0]) || len(x[2]) != len(x[0]) {
		return form.Zone{}, fmt.Errorf("flatness: %d heights, %d x, %d y", len(x[0]), len(x[1]), len(x[2]))
	}
	pts := make([]form.Point3, len(x[0]))
	for i := range pts {
		pts[i] = form.Point3{X: x[1][i], Y: x[2][i], Z: x[0][i]}
	}
	_, z, err := form.MinimumZonePlane(pts)
	return z, err
}

func line(x [][]float64) (form.Zone, error) {
	if len(x[1]) != len(x[0]) {
		return form.Zone{}, fmt.Errorf("straightness: %d heights, %d x", len(x[0]), len(x[1]))
	}
	_, z, err := form.MinimumZoneLine(x[1], x[0])
	return z, err
}

// zone is a relation whose value is the width of a zone and whose partials are
// those of the points that hold it; places are taken as exact.
func zone(name, equation string, source sourceKey, out gum.Symbol, fit func([][]float64) (form.Zone, error), in ...gum.Symbol) *gum.Relation {
	return &gum.Relation{Name: name, Equation: equation, Source: source, In: in, Out: out,
		Value: func(x [][]float64) (float64, error) {
			z, err := fit(x)
			return z.Width, err
		},
		Partials: func(x, g [][]float64) {
			z, err := fit(x)
			if err != nil {
				panic("compute: " + err.Error())
			}
			copy(g[0], z.Partials)
			if z.Width == 0 || bare(g[0]) {
				copy(g[0], hairline(x, fit))
			}
		}}
}

// hairline are the partials of a zone without width, which any of its points may
// hold: those of a relief too small to see, for a width of nought has the doubt
// of the points that would hold it, not none. Where that has no fit either, the
// partials stay nought.
func hairline(x [][]float64, fit func([][]float64) (form.Zone, error)) []float64 {
	golden := (math.Sqrt(5) - 1) / 2
	relief, span := make([]float64, len(x[0])), 0.0
	for _, v := range x[1] {
		span = math.Max(span, math.Abs(v-x[1][0]))
	}
	for i, v := range x[0] {
		_, part := math.Modf(float64(i+1) * golden)
		relief[i] = v + 1e-9*span*part
	}
	z, err := fit(append([][]float64{relief}, x[1:]...))
	if err != nil {
		return make([]float64, len(relief))
	}
	return z.Partials
}

func bare(g []float64) bool {
	for _, v := range g {
		if v != 0 {
			return false
		}
	}
	return true
}

// adjacent is the largest step between neighbours about the least-squares line
// and its partials: a step of z less the slope of the line over that gap.
func adjacent(z, x []float64) (float64, []float64, error) {
	if len(x) != len(z) {
		return 0, nil, fmt.Errorf("adjacent-misalignment: %d heights, %d x", len(z), len(x))
	}
	l, _, err := form.LeastSquaresLine(x, z)
	if err != nil {
		return 0, nil, err
	}
	best, at := -1.0, 0
	for i := 1; i < len(z); i++ {
		if s := math.Abs(z[i] - z[i-1] - l.Slope*(x[i]-x[i-1])); s > best {
			best, at = s, i
		}
	}
	p, mx, sxx := make([]float64, len(z)), mean(x), 0.0
	for _, v := range x {
		sxx += (v - mx) * (v - mx)
	}
	gap := x[at] - x[at-1]
	for i := range p {
		p[i] = -gap * (x[i] - mx) / sxx
	}
	p[at]++
	p[at-1]--
	if z[at]-z[at-1]-l.Slope*gap < 0 {
		for i := range p {
			p[i] = -p[i]
		}
	}
	return best, p, nil
}
