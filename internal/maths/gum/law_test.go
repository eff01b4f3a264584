package gum

import (
	"fmt"
	"math"
	"reflect"
	"runtime"
	"testing"

	"pgregory.net/rapid"
)

// weights is a linear relation with the given weights on single symbols.
func weights(c []float64) *Relation {
	return &Relation{Name: "weights", In: make([]Symbol, len(c)), Linear: true,
		Value: func(x [][]float64) (float64, error) {
			var y float64
			for i := range x {
				y += c[i] * x[i][0]
			}
			return y, nil
		},
		Partials: func(x, g [][]float64) {
			for i := range c {
				g[i][0] = c[i]
			}
		}}
}

// genShape is any distribution with a standard deviation.
func genShape(t *rapid.T) Shape {
	at, w := rapid.Float64Range(-10, 10).Draw(t, "at"), rapid.Float64Range(0.1, 3).Draw(t, "width")
	part := rapid.Float64Range(0, 0.99).Draw(t, "part")
	switch rapid.IntRange(0, 8).Draw(t, "dist") {
	case 0:
		return must(Gaussian(at, w))
	case 1:
		return must(StudentT(at, w, 10+100*part))
	case 2:
		return must(Uniform(at-w, at+w))
	case 3:
		return must(Inexact(at-w, at+w, w*part))
	case 4:
		return must(Trapezium(at-w, at+w, part))
	case 5:
		return must(Triangle(at-w, at+w))
	case 6:
		return must(Cycle(at-w, at+w))
	case 7:
		return must(Decay(w))
	}
	return must(Count(math.Floor(10 * part)))
}

// Law: the mean and deviation of a distribution are those of its quantiles, and
// its draws lie where its quantiles say. Tolerance: the mean of 2000 quantiles
// at the middle of equal parts misses 2 % of the deviation in the longest tail
// here; a part of n draws below a quantile is within five of its standard
// deviations.
func TestLawShapes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := genShape(t)
		const parts = 2000
		var mean, square float64
		for i := range parts {
			x := s.Quantile((float64(i) + 0.5) / parts)
			mean += x / parts
			square += x * x / parts
		}
		sd, ok := s.Deviation()
		if !ok {
			t.Fatal("no deviation")
		}
		if got := math.Sqrt(square - mean*mean); math.Abs(mean-s.Mean()) > 0.02*sd || math.Abs(got-sd) > 0.02*sd {
			t.Fatalf("%+v: mean %v, deviation %v of its quantiles, states %v, %v", s, mean, got, s.Mean(), sd)
		}
		y := make([]float64, 20_000)
		r := streamAt(rapid.Uint64().Draw(t, "seed"), 1, 1)
		s.fill(y, &r, nil)
		for _, p := range []float64{0.01, 0.1, 0.3, 0.5, 0.8, 0.975} {
			q, below := s.Quantile(p), 0.0
			for _, v := range y {
				if v < q {
					below++
				}
			}
			if n := float64(len(y)); math.Abs(below-n*p) > 5*math.Sqrt(n*p*(1-p)) {
				t.Fatalf("%+v: %v of %v draws below the quantile of %v", s, below, n, p)
			}
		}
	})
}

// Law: parameters out of range are refused with a sentence, all of them.
func TestLawShapesRefuse(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for i, f := range []func() (Shape, error){
		func() (Shape, error) { return Gaussian(0, 0) }, func() (Shape, error) { return Gaussian(nan, 1) }, func() (Shape, error) { return Gaussian(inf, 1) },
		func() (Shape, error) { return StudentT(0, 1, 0) }, func() (Shape, error) { return StudentT(0, -1, 3) }, func() (Shape, error) { return StudentT(0, 1, nan) },
		func() (Shape, error) { return Uniform(1, 1) }, func() (Shape, error) { return Uniform(2, 1) }, func() (Shape, error) { return Uniform(nan, 1) },
		func() (Shape, error) { return Inexact(0, 1, 0.5) }, func() (Shape, error) { return Inexact(0, 1, -0.1) }, func() (Shape, error) { return Trapezium(0, 1, 1.1) },
		func() (Shape, error) { return Triangle(1, 0) }, func() (Shape, error) { return Cycle(1, 0) }, func() (Shape, error) { return Decay(0) }, func() (Shape, error) { return Count(-1) },
	} {
		if s, err := f(); err == nil || err.Error() == "" || !s.IsZero() {
			t.Errorf("case %d: %+v, %v", i, s, err)
		}
	}
}

// genLinear is a linear relation over leaves of any shape, and its causes.
func genLinear(t *rapid.T) (c []float64, shapes []Shape) {
	n := rapid.IntRange(1, 6).Draw(t, "n")
	for range n {
		shapes = append(shapes, genShape(t))
		c = append(c, rapid.Float64Range(0.2, 2).Draw(t, "weight")*float64(1-2*rapid.IntRange(0, 1).Draw(t, "sign")))
	}
	return c, shapes
}

func applied(g *Graph, c []float64, shapes []Shape, order []int) ID {
	args, w := make([][]ID, len(c)), make([]float64, len(c))
	for k, i := range order {
		args[k], w[k] = []ID{g.Leaf(shapes[i].Leaf(fmt.Sprint("cause ", i), Repeat))}, c[i]
	}
	return must(g.Apply(weights(w), args))
}

func counting(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

// Law: the parts of a budget add up to the whole variance.
func TestLawBudget(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c, shapes := genLinear(t)
		g := New()
		id := applied(g, c, shapes, counting(len(c)))
		var part, square float64
		for _, s := range g.Budget(id) {
			part += s.Part
			square += s.Sensitivity * s.Sensitivity * s.U * s.U
		}
		if math.Abs(part-1) > 1e-12 || math.Abs(square-g.U(id)*g.U(id)) > 1e-12*square {
			t.Fatalf("parts %v, squares %v against %v", part, square, g.U(id)*g.U(id))
		}
	})
}

// Law: where a relation is linear, Monte Carlo agrees with the first order, in
// mean and in deviation (a t gives its own, larger one). Tolerance: six standard
// deviations of both at 10⁵ draws, that of the deviation with a kurtosis of at
// most 9 (exponential): u√(8/4M).
func TestLawLinearAgrees(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c, shapes := genLinear(t)
		g := New()
		id := applied(g, c, shapes, counting(len(c)))
		var square float64
		for i, s := range shapes {
			sd, _ := s.Deviation()
			square += c[i] * c[i] * sd * sd
		}
		u := math.Sqrt(square)
		const m = 100_000
		s := must(g.Draw([]ID{id}, Sampling{Seed: rapid.Uint64().Draw(t, "seed"), Draws: m})).Of[0]
		if math.Abs(s.Mean-g.Value(id)) > 6*u/math.Sqrt(m) || math.Abs(s.Deviation-u) > 6*u*math.Sqrt(8/(4.0*m)) {
			t.Fatalf("drawn %v ± %v, first order %v ± %v", s.Mean, s.Deviation, g.Value(id), u)
		}
	})
}

// Law: a cause that two values share moves both; their difference is drawn
// without it, to the last digits.
func TestLawSharedBiasDrawn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c, shapes := genLinear(t)
		bias := rapid.Float64Range(0.1, 100).Draw(t, "bias")
		var got [2]Spread
		for k, u := range []float64{0, bias} {
			g := New()
			b := g.Leaf(Leaf{Key: "bias", Kind: Gauge, U: u})
			one := applied(g, c, shapes, counting(len(c)))
			two := g.Leaf(Leaf{Key: "other", Value: 3, U: 0.5})
			a1 := must(g.Apply(weights([]float64{1, 1}), [][]ID{{one}, {b}}))
			a2 := must(g.Apply(weights([]float64{1, 1}), [][]ID{{two}, {b}}))
			d := must(g.Apply(weights([]float64{1, -1}), [][]ID{{a1}, {a2}}))
			got[k] = must(g.Draw([]ID{d}, Sampling{Seed: 5, Draws: 20_000})).Of[0]
		}
		if a, b := got[0], got[1]; math.Abs(a.Mean-b.Mean) > 1e-9*bias || math.Abs(a.Deviation-b.Deviation) > 1e-9*bias {
			t.Fatalf("without the bias %v ± %v, with it %v ± %v", a.Mean, a.Deviation, b.Mean, b.Deviation)
		}
	})
}

// tangle is a graph with every kind of step: pooled t, linear, batch and plain
// relations, a known value, and one that has no value at some draws.
func tangle() (*Graph, []ID) {
	g := New()
	a := g.Leaf(Leaf{Key: "a", Value: 1, U: 0.3})
	b := g.Leaf(Leaf{Key: "b", Value: 2, U: 0.5, Dist: Rectangular})
	c := g.Own(Leaf{Value: 1, U: 0.2, Dof: 4, Pool: "p"})
	d := g.Own(Leaf{Value: 1, U: 0.2, Dof: 4, Pool: "p"})
	known := g.Leaf(Leaf{Key: "known", Value: 7})
	root := &Relation{Name: "root", In: make([]Symbol, 1), Value: func(x [][]float64) (float64, error) {
		if x[0][0] < 0.9 {
			return 0, fmt.Errorf("below 0.9")
		}
		return math.Sqrt(x[0][0]), nil
	}, Partials: func(x, g [][]float64) { g[0][0] = 0.5 / math.Sqrt(x[0][0]) }}
	times := &Relation{Name: "times", In: make([]Symbol, 2),
		Value:    func(x [][]float64) (float64, error) { return x[0][0] * x[1][0], nil },
		Partials: func(x, g [][]float64) { g[0][0], g[1][0] = x[1][0], x[0][0] },
		Batch: func(x [][][]float64, y []float64) {
			for k := range y {
				y[k] = x[0][0][k] * x[1][0][k]
			}
		}}
	s := must(g.Apply(weights([]float64{1, 1, -1}), [][]ID{{c}, {d}, {known}}))
	p := must(g.Apply(times, [][]ID{{a}, {b}}))
	q := must(g.Apply(times, [][]ID{{p}, {s}}))
	r := must(g.Apply(root, [][]ID{{a}}))
	return g, []ID{s, p, q, r, a}
}

// Law: the same seed gives the same figures to the last bit on one core and on
// two, in both ways of drawing, and another seed gives others.
func TestLawSameOnAnyCores(t *testing.T) {
	g, ids := tangle()
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	for _, s := range []Sampling{{Seed: 9, Draws: 300_001, Correlate: true}, {Seed: 9, Draws: 200_000, Digits: 3, Correlate: true}} {
		var got []*Cloud
		for _, cores := range []int{1, 2, 7} {
			runtime.GOMAXPROCS(cores)
			got = append(got, must(g.Draw(ids, s)))
		}
		if !reflect.DeepEqual(got[0], got[1]) || !reflect.DeepEqual(got[0], got[2]) {
			t.Errorf("%+v: figures depend on the cores:\n%+v\n%+v", s, got[0].Of[2].Mean, got[1].Of[2].Mean)
		}
		if s.Digits == 0 && got[0].Draws != s.Draws {
			t.Errorf("%d draws, asked for %d", got[0].Draws, s.Draws)
		}
		s.Seed++
		if other := must(g.Draw(ids, s)); other.Of[0].Mean == got[0].Of[0].Mean {
			t.Error("another seed gives the same mean")
		}
	}
}

// Law: a value is drawn alike whether it is asked for alone or among others, and
// in whatever order its causes were named.
func TestLawPermutation(t *testing.T) {
	g, ids := tangle()
	s := Sampling{Seed: 2, Draws: 20_000}
	all := must(g.Draw(ids, s))
	for i, id := range ids {
		if one := must(g.Draw([]ID{id}, s)); !reflect.DeepEqual(one.Of[0], all.Of[i]) {
			t.Errorf("node %d alone: %v, among others %v", i, one.Of[0].Mean, all.Of[i].Mean)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		c, shapes := genLinear(t)
		a, b := New(), New()
		ia := applied(a, c, shapes, counting(len(c)))
		ib := applied(b, c, shapes, rapid.Permutation(counting(len(c))).Draw(t, "order"))
		x, y := must(a.Draw([]ID{ia}, s)).Of[0], must(b.Draw([]ID{ib}, s)).Of[0]
		if tiny := 1e-9 * (1 + math.Abs(x.Mean) + x.Deviation); math.Abs(x.Mean-y.Mean) > tiny || math.Abs(x.Deviation-y.Deviation) > tiny || math.Abs(a.U(ia)-b.U(ib)) > tiny {
			t.Fatalf("%v ± %v, in another order %v ± %v", x.Mean, x.Deviation, y.Mean, y.Deviation)
		}
	})
}

// Law: draws at which a relation has no value are counted and left out; they are
// Φ(−1/3) of this normal cause. Tolerance: five standard deviations.
func TestLawUndefined(t *testing.T) {
	g, ids := tangle()
	const m = 100_000
	s := must(g.Draw(ids[3:4], Sampling{Seed: 1, Draws: m})).Of[0]
	p := math.Erfc(1/(3*math.Sqrt2)) / 2
	if d := math.Abs(float64(s.Undefined) - m*p); d > 5*math.Sqrt(m*p*(1-p)) {
		t.Errorf("%d draws without a value, expected %.0f", s.Undefined, m*p)
	}
	if s.Low < math.Sqrt(0.9) || math.IsNaN(s.Mean) || math.IsNaN(s.Deviation) {
		t.Errorf("%+v", s.Mean)
	}
}

// Law: the mean of n values that share one estimate of scatter is a t with the
// degrees of freedom of that estimate, by the formula and drawn. With two it has
// no deviation, and that is said. Tolerance: the ends within five standard
// deviations of 4·10⁵ draws, f = 0.0095 at 4.30.
func TestLawPool(t *testing.T) {
	g := New()
	var ids []ID
	for range 3 {
		ids = append(ids, g.Own(Leaf{U: math.Sqrt(3), Dof: 2, Pool: "one place"}))
	}
	y := must(g.Apply(weights([]float64{1.0 / 3, 1.0 / 3, 1.0 / 3}), [][]ID{ids[:1], ids[1:2], ids[2:]}))
	near(t, "u", g.U(y), 1, 1e-12)
	near(t, "ν", g.Dof(y), 2, 1e-12)
	s := must(g.Draw([]ID{y}, Sampling{Seed: 1, Draws: 400_000})).Of[0]
	near(t, "low", s.Low, -4.3027, 0.13)
	near(t, "high", s.High, 4.3027, 0.13)
	if !s.Heavy {
		t.Error("a deviation is given without a word")
	}
}

// Law: classes cover an area of 1, conformance and quantile are each other's
// inverse, and intervals hold what they promise.
func TestLawSpread(t *testing.T) {
	g, ids := tangle()
	for i, s := range must(g.Draw(ids, Sampling{Seed: 4, Draws: 50_000, Cover: 0.9})).Of {
		lo, hi := s.Quantile(0), s.Quantile(1)
		var area float64
		w := (hi - lo) / 40
		for _, b := range s.Bars(lo-w/1000, hi+w/1000, 40) {
			area += b * (w + w/20000)
		}
		near(t, "area", area, 1, 1e-3)
		near(t, "symmetric", s.Within(s.Low, s.High), 0.9, 1e-3)
		near(t, "shortest", s.Within(s.ShortLow, s.ShortHigh), 0.9, 1e-3)
		near(t, "below the median", s.Within(math.Inf(-1), s.Quantile(0.5)), 0.5, 1e-3)
		if s.ShortHigh-s.ShortLow > s.High-s.Low+1e-9 {
			t.Errorf("node %d: the shortest interval is the longer one", i)
		}
	}
}

// Law: bad requests are refused with a sentence.
func TestLawDrawRefuses(t *testing.T) {
	g, ids := tangle()
	for i, s := range []Sampling{{}, {Draws: 10}, {Draws: 2_000_000_000}, {Draws: 5000, Cover: 0.2}, {Draws: 5000, Cover: math.NaN()}, {Draws: 5000, Digits: 7}} {
		if c, err := g.Draw(ids, s); err == nil || c != nil {
			t.Errorf("case %d: %v, %v", i, c, err)
		}
	}
	if _, err := g.Draw(nil, Sampling{Draws: 5000}); err == nil {
		t.Error("no node, no fault")
	}
	edge := g.nodes[ids[3]].rel // no value below 0.9
	most := must(g.Apply(edge, [][]ID{{g.Leaf(Leaf{Key: "most", Value: 0.95, U: 0.1})}}))
	if _, err := g.Draw([]ID{most}, Sampling{Draws: 5000}); err != nil {
		t.Errorf("seven of ten draws have a value: %v", err)
	}
	few := must(g.Apply(edge, [][]ID{{g.Leaf(must(Decay(1)).Leaf("few", Given))}}))
	if _, err := g.Draw([]ID{few}, Sampling{Draws: 5000}); err == nil {
		t.Error("six of ten draws have no value, and a distribution is given")
	}
}

// Law: a bias that two values share leaves the first-order doubt of their
// difference as it is without it, however large, and shows in their sum.
// Tolerance: rounding of sums of squares as large as the bias.
func TestLawSharedBiasLeavesADifference(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		own := [2]float64{rapid.Float64Range(0.1, 10).Draw(t, "u of one"), rapid.Float64Range(0.1, 10).Draw(t, "u of the other")}
		factor := rapid.Float64Range(0.1, 10).Draw(t, "factor")
		bias := rapid.Float64Range(0, 1e3).Draw(t, "bias")
		u := func(bias, sign float64) float64 {
			g := New()
			b := g.Leaf(Leaf{Key: "bias", Kind: Gauge, U: bias})
			var x [2]ID
			for i := range x {
				x[i] = must(g.Apply(weights([]float64{1, factor}), [][]ID{{g.Own(Leaf{Value: float64(i), U: own[i]})}, {b}}))
			}
			return g.U(must(g.Apply(weights([]float64{1, sign}), [][]ID{{x[0]}, {x[1]}})))
		}
		alone := math.Hypot(own[0], own[1])
		if got := u(bias, -1); math.Abs(got-alone) > 1e-12*alone {
			t.Fatalf("difference: u %v with a bias of %v, %v without", got, bias, alone)
		}
		if got, want := u(bias, 1), math.Hypot(alone, 2*factor*bias); math.Abs(got-want) > 1e-12*want {
			t.Fatalf("sum: u %v, want %v", got, want)
		}
	})
}
