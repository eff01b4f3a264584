package compute

import (
	"fettle/internal/base/unit"
	"fettle/internal/maths/gum"
)

// gauging are the relations between what a gauge shows and the size at 20 °C.
func gauging() []*gum.Relation {
	return []*gum.Relation{Reduce(), {
		Name: "growth", Equation: "Δ = d·α·(T − 20 °C)", Source: "iso-1-2022",
		In: []gum.Symbol{one("d", "size", unit.Length), one("α", "expansion", unit.Expansion),
			one("T", "temperature", unit.Temperature)},
		Out:   one("Δ", "growth", unit.Length),
		Value: func(x [][]float64) (float64, error) { return x[0][0] * x[1][0] * (x[2][0] - 20), nil },
		Partials: func(x, g [][]float64) {
			d, a, t := x[0][0], x[1][0], x[2][0]
			g[0][0], g[1][0], g[2][0] = a*(t-20), d*(t-20), d*a
		},
	}}
}

// Reduce is the relation behind every length that was read with a gauge.
//
//	x₂₀ = x·[1 + α′(T′ − 20)]/[1 + α(T − 20)] − Σb
//
// x is the mean indication plus the error of setting; b the bias of the gauge
// and of what it was set on; α, T of the part; α′, T′ of the scale or the
// setting master.
//
// Source: ISO 1:2022 (reference temperature); JCGM 100:2008, annex H.1, eq.
// (H.1), of which the usual linear form is the first order.
func Reduce() *gum.Relation {
	return &gum.Relation{
		Name: "reduce-to-20", Equation: "x₂₀ = x·[1 + α′(T′ − 20 °C)]/[1 + α(T − 20 °C)] − Σb", Source: "gum-2008",
		In: []gum.Symbol{one("x", "indication", unit.Length), one("α", "part_expansion", unit.Expansion),
			one("T", "part_temperature", unit.Temperature), one("α′", "gauge_expansion", unit.Expansion),
			one("T′", "gauge_temperature", unit.Temperature), many("b", "bias", unit.Length, 1)},
		Out:   one("x₂₀", "size_at_20", unit.Length),
		Batch: reduceMany,
		Value: func(x [][]float64) (float64, error) {
			y := x[0][0] * grow(x[3][0], x[4][0]) / grow(x[1][0], x[2][0])
			for _, b := range x[5] {
				y -= b
			}
			return y, nil
		},
		Partials: func(x, g [][]float64) {
			v, gauge, part := x[0][0], grow(x[3][0], x[4][0]), grow(x[1][0], x[2][0])
			g[0][0] = gauge / part
			g[1][0], g[2][0] = -v*gauge/(part*part)*(x[2][0]-20), -v*gauge/(part*part)*x[1][0]
			g[3][0], g[4][0] = v/part*(x[4][0]-20), v/part*x[3][0]
			for i := range g[5] {
				g[5][i] = -1
			}
		},
	}
}

// grow is the factor by which a length at 20 °C has grown at T.
func grow(alpha, celsius float64) float64 { return 1 + alpha*(celsius-20) }

// reduceMany is the relation of Reduce for many draws at once.
func reduceMany(x [][][]float64, y []float64) {
	n := len(y)
	v, a, t, ga, gt := x[0][0][:n], x[1][0][:n], x[2][0][:n], x[3][0][:n], x[4][0][:n]
	b := x[5][0][:n]
	for k := range y {
		y[k] = v[k]*(1+ga[k]*(gt[k]-20))/(1+a[k]*(t[k]-20)) - b[k]
	}
	for _, b := range x[5][1:] {
		b := b[:n]
		for k := range y {
			y[k] -= b[k]
		}
	}
}
