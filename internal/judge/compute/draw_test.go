package compute

import (
	"math"
	"math/rand/v2"
	"testing"

	"fettle/internal/maths/gum"
)

// plausible arguments of a relation: each within a tenth of a size that makes
// sense of most of them.
func plausible(r *gum.Relation, chance *rand.Rand) [][]float64 {
	x := make([][]float64, len(r.In))
	for i, s := range r.In {
		n := 1
		if s.Many {
			n = max(s.Least, 3)
		}
		for range n {
			x[i] = append(x[i], (1+float64(i))*(1+0.1*chance.Float64()))
		}
	}
	return x
}

// Law: a relation that calls itself linear has the same partials everywhere, and
// its value is what they say.
func TestLawLinear(t *testing.T) {
	chance := rand.New(rand.NewPCG(1, 2))
	n := 0
	for _, r := range All() {
		if !r.Linear {
			continue
		}
		n++
		a, b := plausible(r, chance), plausible(r, chance)
		ga, gb := shapeOf(a), shapeOf(b)
		r.Partials(a, ga)
		r.Partials(b, gb)
		ya, err := r.Value(a)
		if err != nil {
			t.Fatal(r.Name, err)
		}
		yb, _ := r.Value(b)
		want := ya
		for i := range a {
			for j := range a[i] {
				want += ga[i][j] * (b[i][j] - a[i][j])
				if ga[i][j] != gb[i][j] {
					t.Errorf("%s: partial %d,%d is %v here and %v there", r.Name, i, j, ga[i][j], gb[i][j])
				}
			}
		}
		if math.Abs(yb-want) > 1e-12*(1+math.Abs(yb)) {
			t.Errorf("%s: %v, by its partials %v", r.Name, yb, want)
		}
	}
	if n < 10 {
		t.Errorf("only %d relations are linear", n)
	}
}

func shapeOf(x [][]float64) [][]float64 {
	g := make([][]float64, len(x))
	for i := range x {
		g[i] = make([]float64, len(x[i]))
	}
	return g
}

// Law: many draws at once give what each gives alone, to the last digit but one.
func TestLawBatch(t *testing.T) {
	chance := rand.New(rand.NewPCG(1, 2))
	const n = 50
	some := false
	for _, r := range All() {
		if r.Batch == nil {
			continue
		}
		some = true
		var draws [n][][]float64
		var batch [][][]float64
		for k := range draws {
			draws[k] = plausible(r, chance)
			if batch == nil {
				for i := range draws[k] {
					batch = append(batch, make([][]float64, len(draws[k][i])))
				}
			}
			for i := range batch {
				for j := range batch[i] {
					batch[i][j] = append(batch[i][j], draws[k][i][j])
				}
			}
		}
		y := make([]float64, n)
		r.Batch(batch, y)
		for k := range draws {
			want, err := r.Value(draws[k])
			if err != nil {
				t.Fatal(r.Name, err)
			}
			if math.Abs(y[k]-want) > 1e-14*math.Abs(want) {
				t.Errorf("%s: draw %d gives %v, alone %v", r.Name, k, y[k], want)
			}
		}
	}
	if !some {
		t.Error("no relation has many draws at once")
	}
}
