package gum

import (
	"math"
	"testing"
)

func squares() *Relation {
	return &Relation{Name: "squares", In: make([]Symbol, 2),
		Value: func(x [][]float64) (float64, error) { return x[0][0]*x[0][0] + x[1][0]*x[1][0], nil },
		Partials: func(x, g [][]float64) {
			g[0][0], g[1][0] = 2*x[0][0], 2*x[1][0]
		}}
}

// Law: a² + b² with both at zero has no uncertainty of first order. In truth it
// is u² times a χ² with two degrees of freedom: mean 2u², deviation 2u², which
// the second order gives exactly, and Monte Carlo as well (JCGM 101:2008, 9.4, is
// this case with a formula of its own). Tolerance: exact; drawn, five standard
// deviations at 10⁵ draws with the kurtosis 9.
func TestLawSumOfSquaresAtZero(t *testing.T) {
	g := New()
	const u = 0.005
	y := must(g.Apply(squares(), [][]ID{{g.Leaf(Leaf{Key: "a", U: u})}, {g.Leaf(Leaf{Key: "b", U: u})}}))
	if g.U(y) != 0 {
		t.Fatalf("first order gives %v", g.U(y))
	}
	s := g.SecondOrder(y)
	near(t, "u", s.U, 2*u*u, 1e-15)
	near(t, "shift", s.Shift, 2*u*u, 1e-15)
	if !s.Curved {
		t.Error("an uncertainty of zero is called sound")
	}
	d := must(g.Draw([]ID{y}, Sampling{Seed: 1, Draws: 100_000})).Of[0]
	near(t, "drawn mean", d.Mean, 2*u*u, 5*2*u*u/math.Sqrt(1e5))
	near(t, "drawn u", d.Deviation, 2*u*u, 5*2*u*u*math.Sqrt(8/4e5))
}

// Law: away from zero the same sum is as straight as it looks. 10u away the
// second order adds 4u⁴ to 400u⁴.
func TestLawSumOfSquaresFarFromZero(t *testing.T) {
	g := New()
	y := must(g.Apply(squares(), [][]ID{{g.Leaf(Leaf{Key: "a", Value: 10, U: 1})}, {g.Leaf(Leaf{Key: "b", U: 1})}}))
	s := g.SecondOrder(y)
	near(t, "extra", s.Extra, 4, 1e-9)
	if s.Curved {
		t.Error("curved with a hundredth of the variance")
	}
}

// Law: where the relations are straight nothing is added and nothing is warned
// of, even where causes cancel to an honest zero.
func TestLawStraightIsNotCurved(t *testing.T) {
	g := New()
	a, b := g.Leaf(Leaf{Key: "a", Value: 53e-3, U: 1e-6}), g.Leaf(Leaf{Key: "b", Value: 50e-3, U: 2e-6})
	sum := must(g.Apply(weights([]float64{0.3, 0.7}), [][]ID{{a}, {b}}))
	zero := must(g.Apply(weights([]float64{1, -1}), [][]ID{{sum}, {sum}}))
	for _, id := range []ID{a, sum, zero} {
		if s := g.SecondOrder(id); s.Curved || math.Abs(s.Extra) > 1e-30 || math.Abs(s.U-g.U(id)) > 1e-18 {
			t.Errorf("%+v", s)
		}
	}
	if s := g.SecondOrder(g.Leaf(Leaf{Key: "known", Value: 4})); s != (Second{}) {
		t.Errorf("a known value: %+v", s)
	}
}

// Law: largest less smallest of readings that lie nearer than their scatter is
// curved; of readings far apart it is not. Where it is, Monte Carlo says what is:
// the range of four equal normal values has the mean 2.0588u and the deviation
// 0.8798u (d₂ and d₃ of the range, as quality tables print them), and first order
// 1.414u. Tolerance: five standard deviations at 10⁵ draws.
func TestLawRangeOfEqualReadings(t *testing.T) {
	span := &Relation{Name: "span", In: []Symbol{{Letter: "x", Many: true}},
		Value: func(x [][]float64) (float64, error) {
			lo, hi := ends(x[0])
			return x[0][hi] - x[0][lo], nil
		},
		Partials: func(x, g [][]float64) {
			lo, hi := ends(x[0])
			g[0][hi]++
			g[0][lo]--
		}}
	for _, c := range []struct {
		apart  float64
		curved bool
	}{{0, true}, {0.3, true}, {20, false}} {
		g := New()
		var in []ID
		for i := range 4 {
			in = append(in, g.Own(Leaf{Value: float64(i) * c.apart, U: 1}))
		}
		y := must(g.Apply(span, [][]ID{in}))
		if s := g.SecondOrder(y); s.Curved != c.curved {
			t.Errorf("%v apart: %+v", c.apart, s)
		}
		if c.apart == 0 {
			d := must(g.Draw([]ID{y}, Sampling{Seed: 1, Draws: 100_000})).Of[0]
			near(t, "d₂", d.Mean, 2.0588, 5*0.88/math.Sqrt(1e5))
			near(t, "d₃", d.Deviation, 0.8798, 5*0.88/math.Sqrt(2e5))
		}
	}
}

func ends(x []float64) (lo, hi int) {
	for i, v := range x {
		if v < x[lo] {
			lo = i
		}
		if v > x[hi] {
			hi = i
		}
	}
	return lo, hi
}

// Law: where a relation has no value one standard uncertainty away, the value is
// called curved and keeps its first order.
func TestLawCurvedAtAnEdge(t *testing.T) {
	g, ids := tangle()
	edge := must(g.Apply(g.nodes[ids[3]].rel, [][]ID{{g.Leaf(Leaf{Key: "edge", Value: 1, U: 0.3})}}))
	if s := g.SecondOrder(edge); !s.Curved || s.U != g.U(edge) {
		t.Errorf("%+v", s)
	}
}

// Law: covariances that no values can have are refused, each with what is wrong.
func TestLawCorrelatedRefuses(t *testing.T) {
	two := []string{"a", "b"}
	for i, c := range []struct {
		mean []float64
		cov  [][]float64
	}{
		{[]float64{0, 0}, [][]float64{{1, 1.1}, {1.1, 1}}},
		{[]float64{0, 0}, [][]float64{{1, 0.5}, {0.4, 1}}},
		{[]float64{0, 0}, [][]float64{{-1, 0}, {0, 1}}},
		{[]float64{0, 0}, [][]float64{{0, 0.1}, {0.1, 1}}},
		{[]float64{0, 0}, [][]float64{{1, 0}}},
		{[]float64{0, 0}, [][]float64{{1}, {0}}},
		{[]float64{0, math.NaN()}, [][]float64{{1, 0}, {0, 1}}},
		{[]float64{0}, [][]float64{{1, 0}, {0, 1}}},
	} {
		if ids, err := New().Correlated(two, Given, c.mean, c.cov, 0); err == nil {
			t.Errorf("case %d: %v", i, ids)
		}
	}
	g := New()
	ids, err := g.Correlated(two, Given, []float64{1, 2}, [][]float64{{4, 6}, {6, 9}}, 0)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "covariance of values that move as one", g.Covariance(ids[0], ids[1]), 6, 1e-12)
	near(t, "u", g.U(ids[1]), 3, 1e-12)
}

// Law: the third derivatives count too. x + x³/10 of a standard normal value has
// the variance 1 + 6/10 + 15/100, of which the series holds 1 + 6/10; xy² at 1, 1
// has by hand ½(2² + 2² + 2²) + 1·2 = 8 u⁴ beyond first order.
func TestLawThirdDerivatives(t *testing.T) {
	g := New()
	cubic := &Relation{Name: "cubic", In: make([]Symbol, 1),
		Value:    func(x [][]float64) (float64, error) { v := x[0][0]; return v + v*v*v/10, nil },
		Partials: func(x, g [][]float64) { v := x[0][0]; g[0][0] = 1 + 0.3*v*v }}
	y := must(g.Apply(cubic, [][]ID{{g.Leaf(Leaf{Key: "x", U: 1})}}))
	near(t, "x + x³/10", g.SecondOrder(y).Extra, 0.6, 1e-12)
	d := must(g.Draw([]ID{y}, Sampling{Seed: 1, Draws: 1_000_000})).Of[0]
	near(t, "drawn variance", d.Deviation*d.Deviation, 1.75, 0.03)

	product := &Relation{Name: "xy²", In: make([]Symbol, 2),
		Value:    func(x [][]float64) (float64, error) { return x[0][0] * x[1][0] * x[1][0], nil },
		Partials: func(x, g [][]float64) { g[0][0], g[1][0] = x[1][0]*x[1][0], 2*x[0][0]*x[1][0] }}
	const u = 0.1
	y = must(g.Apply(product, [][]ID{{g.Leaf(Leaf{Key: "a", Value: 1, U: u})}, {g.Leaf(Leaf{Key: "b", Value: 1, U: u})}}))
	near(t, "xy²", g.SecondOrder(y).Extra, 8*u*u*u*u, 1e-12)
}
