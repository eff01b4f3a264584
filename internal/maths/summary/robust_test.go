package summary

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// Published: the example of the interlaboratory copper determinations, n = 24,
// median 3.385, scaled MAD 0.5263 (as reproduced in R's help page of the data set
// chem, and by MASS::huber; from: Analytical Methods Committee, Analyst 114
// (1989) 1693), from memory.
func TestCopper(t *testing.T) {
	chem := []float64{2.9, 3.1, 3.4, 3.4, 3.7, 3.7, 2.8, 2.5, 2.4, 2.4, 2.7, 2.2, 5.28, 3.37, 3.03, 3.03, 28.95, 3.77, 3.4, 2.2, 3.5, 3.6, 3.7, 3.7}
	m, err := Robust(chem)
	if err != nil || math.Abs(m.Median-3.385) > 1e-12 || math.Abs(m.Spread-0.526323) > 5e-6 {
		t.Errorf("%+v, %v", m, err)
	}
	odd, _, _ := Odd(chem, 3, 0.1, 1)
	for i, o := range odd {
		if (o == 1) != (chem[i] == 28.95 || chem[i] == 5.28) || o < 0 {
			t.Errorf("%v is called %d", chem[i], o)
		}
	}
}

// Law: the middle moves and stretches with the values, does not mind their
// order, and stays among the good ones whatever fewer than half of them say.
func TestLawRobust(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.SliceOfN(rapid.Float64Range(-100, 100), 3, 16).Draw(t, "v")
		a, b := rapid.Float64Range(0.1, 10).Draw(t, "a"), rapid.Float64Range(-50, 50).Draw(t, "b")
		m, err := Robust(v)
		if err != nil {
			t.Fatal(err)
		}
		w := make([]float64, len(v))
		for i, x := range v {
			w[len(v)-1-i] = a*x + b
		}
		n, _ := Robust(w)
		if math.Abs(n.Median-(a*m.Median+b)) > 1e-9 || math.Abs(n.Spread-a*m.Spread) > 1e-9 {
			t.Fatalf("%+v became %+v by %g·x + %g", m, n, a, b)
		}
		good := slices.Clone(v)
		lo, hi := slices.Min(v), slices.Max(v)
		for range (len(v) - 1) / 2 {
			good = append(good, 1e6)
		}
		if k, _ := Robust(good); k.Median < lo || k.Median > hi {
			t.Fatalf("%d wrong values of %d moved the median to %g", len(good)-len(v), len(good), k.Median)
		}
	})
}

// Law: what lies within apart is never odd, two weak neighbours of five are
// both odd, and the refusals are said.
func TestOdd(t *testing.T) {
	if odd, _, err := Odd([]float64{10, 10, 10, 10.4}, 3, 0.5, 1); err != nil || slices.Max(odd) != 0 {
		t.Error(odd, err)
	}
	if odd, _, err := Odd([]float64{12.1, 8.2, 8.4, 12.0, 12.2}, 3, 0.6, 1); err != nil || !slices.Equal(odd, []int{0, -1, -1, 0, 0}) {
		t.Error(odd, err)
	}
	half := []float64{12.1, 8.2, 8.4, 12.0} // two of four
	if odd, _, err := Odd(half, 3, 0.6, 1); err != nil || !slices.Equal(odd, []int{0, -1, -1, 0}) {
		t.Error(odd, err)
	}
	if odd, _, err := Odd(half, 3, 0.6, -1); err != nil || !slices.Equal(odd, []int{1, 0, 0, 1}) {
		t.Error(odd, err)
	}
	for _, c := range []struct {
		v        []float64
		k, apart float64
	}{{[]float64{1, 2}, 3, 1}, {[]float64{1, 2, math.NaN()}, 3, 1}, {[]float64{1, 2, 3}, 0, 1}, {[]float64{1, 2, 3}, 3, 0}, {[]float64{1, 2, 3}, 3, math.NaN()}} {
		if _, _, err := Odd(c.v, c.k, c.apart, 1); err == nil {
			t.Errorf("%v was taken", c)
		}
	}
}
