package gum

import (
	"math"
	"testing"

	"fettle/internal/base/unit"
)

// Published: end-gauge calibration, JCGM 100:2008 (GUM), annex H.1: model
// H.3, components of table H.1. Result printed as l = 50.000838 mm,
// u_c = 32 nm, ν_eff = 16 (H.1.6); expanded uncertainty at 99 % 93 nm.
// Tolerance: the printed digits; the unrounded recomputation is 31.7 nm.
func TestPublishedEndGauge(t *testing.T) {
	g := New()
	lS := g.Leaf(Leaf{Key: "l_S", Value: 50.000623e-3, U: 25e-9, Dof: 18})
	// d = mean of five readings plus two comparator terms (H.1.3.2).
	d := &Relation{Name: "d", In: []Symbol{{Letter: "a"}, {Letter: "b"}, {Letter: "c"}},
		Value: func(x [][]float64) (float64, error) { return x[0][0] + x[1][0] + x[2][0], nil },
		Partials: func(x, g [][]float64) {
			g[0][0], g[1][0], g[2][0] = 1, 1, 1
		}}
	dID, err := g.Apply(d, [][]ID{
		{g.Leaf(Leaf{Key: "repeat", Value: 215e-9, U: 5.8e-9, Dof: 24})},
		{g.Leaf(Leaf{Key: "random", U: 3.9e-9, Dof: 5})},
		{g.Leaf(Leaf{Key: "systematic", U: 6.7e-9, Dof: 8})}})
	if err != nil {
		t.Fatal(err)
	}
	alphaS := g.Leaf(Leaf{Key: "alpha_S", Value: 11.5e-6, U: 2e-6 / math.Sqrt(3), Dist: Rectangular})
	dAlpha := g.Leaf(Leaf{Key: "d_alpha", U: 1e-6 / math.Sqrt(3), Dof: 50, Dist: Rectangular})
	dTheta := g.Leaf(Leaf{Key: "d_theta", U: 0.05 / math.Sqrt(3), Dof: 2, Dist: Rectangular})
	theta := g.Leaf(Leaf{Key: "theta", Value: -0.1, U: math.Hypot(0.2, 0.5/math.Sqrt2)})
	l := &Relation{Name: "end-gauge", Equation: "l = l_S + d − l_S(δα·θ + α_S·δθ)",
		In: []Symbol{{Letter: "l_S", Dim: unit.Length}, {Letter: "d", Dim: unit.Length},
			{Letter: "δα"}, {Letter: "θ"}, {Letter: "α_S"}, {Letter: "δθ"}},
		Value: func(x [][]float64) (float64, error) {
			return x[0][0] + x[1][0] - x[0][0]*(x[2][0]*x[3][0]+x[4][0]*x[5][0]), nil
		},
		Partials: func(x, g [][]float64) {
			g[0][0] = 1 - (x[2][0]*x[3][0] + x[4][0]*x[5][0])
			g[1][0] = 1
			g[2][0], g[3][0] = -x[0][0]*x[3][0], -x[0][0]*x[2][0]
			g[4][0], g[5][0] = -x[0][0]*x[5][0], -x[0][0]*x[4][0]
		}}
	y, err := g.Apply(l, [][]ID{{lS}, {dID}, {dAlpha}, {theta}, {alphaS}, {dTheta}})
	if err != nil {
		t.Fatal(err)
	}
	if got := g.Value(y) * 1e3; math.Abs(got-50.000838) > 0.5e-6 {
		t.Errorf("l = %.7f mm, printed 50.000838", got)
	}
	if got := g.U(y) * 1e9; math.Round(got) != 32 {
		t.Errorf("u_c = %.2f nm, printed 32", got)
	}
	if got := math.Floor(g.Dof(y)); got != 16 {
		t.Errorf("ν_eff = %.2f, printed 16 after truncation", g.Dof(y))
	}
	var sum float64
	for _, s := range g.Budget(y) {
		sum += s.Part
	}
	if math.Abs(sum-1) > 1e-12 {
		t.Errorf("budget adds up to %v", sum)
	}
}

// Law: a bias shared by two readings cancels in their difference and doubles in
// their sum.
func TestLawSharedCause(t *testing.T) {
	g := New()
	add := func(s float64) *Relation {
		return &Relation{Name: "±", In: []Symbol{{Letter: "a"}, {Letter: "b"}},
			Value:    func(x [][]float64) (float64, error) { return x[0][0] + s*x[1][0], nil },
			Partials: func(x, d [][]float64) { d[0][0], d[1][0] = 1, s }}
	}
	bias := g.Leaf(Leaf{Key: "micrometer", U: 3})
	a, _ := g.Apply(add(1), [][]ID{{g.Leaf(Leaf{Key: "a", Value: 53, U: 1})}, {bias}})
	b, _ := g.Apply(add(1), [][]ID{{g.Leaf(Leaf{Key: "b", Value: 50, U: 1})}, {bias}})
	diff, _ := g.Apply(add(-1), [][]ID{{a}, {b}})
	sum, _ := g.Apply(add(1), [][]ID{{a}, {b}})
	if got, want := g.U(diff), math.Sqrt2; math.Abs(got-want) > 1e-12 {
		t.Errorf("difference: u = %v, want %v", got, want)
	}
	if got, want := g.U(sum), math.Sqrt(38); math.Abs(got-want) > 1e-12 {
		t.Errorf("sum: u = %v, want %v", got, want)
	}
	if got := g.Covariance(a, b); got != 9 {
		t.Errorf("covariance %v, want 9", got)
	}
	if g.Leaf(Leaf{Key: "micrometer", U: 3}) != bias {
		t.Error("one cause became two nodes")
	}
}
