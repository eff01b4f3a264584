package gum

import (
	"fmt"
	"math"
)

// Line is the least-squares line y = a + b(x − x₀), such as the corrections of a
// micrometer over its range, with the covariance of intercept and slope.
type Line struct {
	From      float64 // x₀
	Intercept float64 // a, the value at x₀
	Slope     float64
	UA, UB    float64 // standard uncertainties of both
	R         float64 // their correlation
	Residual  float64 // standard deviation of the residuals
	Dof       float64 // n − 2
}

// FitLine fits a line to points of equal weight whose x are known.
//
//	b = Σ (x_i − x̄)(y_i − ȳ) / S_xx,   a = ȳ − b(x̄ − x₀)
//	s² = Σ (y_i − a − b(x_i − x₀))² / (n − 2)
//	u²(b) = s²/S_xx,   u²(a) = s²[1/n + (x̄ − x₀)²/S_xx],   cov = −s²(x̄ − x₀)/S_xx
//
// Shapes: n x, n y -> Line.
// Units:  y for a, y per x for b.
// Errors: fewer than three points; lists of different lengths; all x equal.
// Source: JCGM 100:2008, H.3.2, eq. (H.13), here about the mean of x.
func FitLine(x, y []float64, x0 float64) (Line, error) {
	n := float64(len(x))
	if len(x) != len(y) || len(x) < 3 {
		return Line{}, fmt.Errorf("%d positions and %d values; a line takes three points or more, one value each", len(x), len(y))
	}
	var mx, my float64
	for i := range x {
		mx += x[i] / n
		my += y[i] / n
	}
	var sxx, sxy float64
	for i := range x {
		sxx += (x[i] - mx) * (x[i] - mx)
		sxy += (x[i] - mx) * (y[i] - my)
	}
	if !(sxx > 0) || sxy-sxy != 0 || x0-x0 != 0 {
		return Line{}, fmt.Errorf("a line takes finite points at two positions or more")
	}
	l := Line{From: x0, Slope: sxy / sxx, Dof: n - 2}
	l.Intercept = my - l.Slope*(mx-x0)
	var ss float64
	for i := range x {
		r := y[i] - my - l.Slope*(x[i]-mx)
		ss += r * r
	}
	l.Residual = math.Sqrt(ss / l.Dof)
	l.UB = l.Residual / math.Sqrt(sxx)
	l.UA = l.Residual * math.Sqrt(1/n+(mx-x0)*(mx-x0)/sxx)
	l.R = -(mx - x0) / math.Sqrt(sxx/n+(mx-x0)*(mx-x0))
	return l, nil
}

// Nodes are intercept and slope as values of a graph that know of each other.
//
// Errors: none that FitLine let pass.
func (l Line) Nodes(g *Graph, name string, kind Kind) (intercept, slope ID, err error) {
	c := l.R * l.UA * l.UB
	ids, err := g.Correlated([]string{name + " intercept", name + " slope"}, kind, []float64{l.Intercept, l.Slope},
		[][]float64{{l.UA * l.UA, c}, {c, l.UB * l.UB}}, l.Dof)
	if err != nil {
		return None, None, err
	}
	return ids[0], ids[1], nil
}

// Along is the relation that reads a line at some x.
//
//	y = a + b(x − x₀)
//
// Source: JCGM 100:2008, H.3.4, eq. (H.14).
func (l Line) Along() *Relation {
	x0 := l.From
	return &Relation{Name: "along-line", Equation: "y = a + b·(x − x₀)", Source: "gum-2008",
		In: []Symbol{{Letter: "a", Name: "intercept"}, {Letter: "b", Name: "slope"}, {Letter: "x", Name: "at"}}, Out: Symbol{Letter: "y", Name: "value"},
		Value: func(x [][]float64) (float64, error) { return x[0][0] + x[1][0]*(x[2][0]-x0), nil },
		Partials: func(x, g [][]float64) {
			g[0][0], g[1][0], g[2][0] = 1, x[2][0]-x0, x[1][0]
		}}
}
