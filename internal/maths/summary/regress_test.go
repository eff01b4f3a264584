package summary

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// digits is −log₁₀ of the relative error, as the StRD reckons it, at most 15;
// where the certified value is nought, of the absolute error.
func digits(got, want float64) float64 {
	off := math.Abs(got - want)
	if want != 0 {
		off /= math.Abs(want)
	}
	if off == 0 {
		return 15
	}
	return math.Min(15, -math.Log10(off))
}

type certified struct {
	name      string
	file      string
	intercept bool
	degree    int
	b, se     []float64
	s, rSq    float64
	least     float64 // digits that must be reached
}

// Published (STA-03): NIST Statistical Reference Datasets, linear least squares,
// certified values. Norris and NoInt1 are of lower difficulty: at least 10
// digits must be right, 12 are asked here. Longley and Wampler1 are of higher
// difficulty: the digits reached are printed; 8 are common, and 13 are asked,
// since refinement takes back what the condition of the columns costs.
func TestNISTStRDLinear(t *testing.T) {
	one := []float64{1, 1, 1, 1, 1, 1}
	for _, c := range []certified{
		{"Norris", "strd_norris.csv", true, 1, []float64{-0.262323073774029, 1.00211681802045},
			[]float64{0.232818234301152, 0.429796848199937e-3}, 0.884796396144373, 0.999993745883712, 12},
		{"NoInt1", "strd_noint1.csv", false, 1, []float64{2.07438016528926},
			[]float64{0.165289256198347e-1}, 3.56753034006338, 0.999365492298663, 12},
		{"Longley", "strd_longley.csv", true, 1,
			[]float64{-3482258.63459582, 15.0618722713733, -0.358191792925910e-1, -2.02022980381683, -1.03322686717359, -0.511041056535807e-1, 1829.15146461355},
			[]float64{890420.383607373, 84.9149257747669, 0.334910077722432e-1, 0.488399681651699, 0.214274163161675, 0.226073200069370, 455.478499142212},
			304.854073561965, 0.995479004577296, 13},
		{"Wampler1", "strd_wampler1.csv", true, 5, one, make([]float64, 6), 0, 1, 13},
	} {
		cols := table(t, c.file)
		x := make([][]float64, len(cols[0]))
		for i := range x {
			for _, col := range cols[1:] {
				x[i] = append(x[i], col[i])
			}
		}
		if c.degree > 1 {
			x = Powers(cols[1], c.degree)
		}
		r, err := Regress(x, cols[0], c.intercept)
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		least := func(what string, got, want []float64) {
			worst := 15.0
			for j := range want {
				worst = math.Min(worst, digits(got[j], want[j]))
			}
			t.Logf("%s %s: %.1f digits", c.name, what, worst)
			if len(got) != len(want) || !(worst >= c.least) {
				t.Errorf("%s %s = %.16g, certified %.16g: %.1f digits, %g are asked", c.name, what, got, want, worst, c.least)
			}
		}
		least("coefficients", r.Coefficients, c.b)
		least("standard errors", r.StdErrs, c.se)
		least("residual standard deviation", []float64{r.StdDev}, []float64{c.s})
		least("R²", []float64{r.RSquared}, []float64{c.rSq})
		if r.DF != len(x)-len(c.b) {
			t.Errorf("%s: %d degrees of freedom", c.name, r.DF)
		}
	}
}

// Law: residuals are at right angles to every column; adding a multiple of a
// column to y moves that coefficient alone; the covariance is s²(XᵀX)⁻¹.
func TestLawRegression(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(5, 20).Draw(t, "n")
		x, y := make([][]float64, n), make([]float64, n)
		for i := range x {
			x[i] = []float64{float64(i) + rapid.Float64Range(0, 0.5).Draw(t, "x1"), math.Mod(float64(i*i), 7) + rapid.Float64Range(0, 0.5).Draw(t, "x2")}
			y[i] = rapid.Float64Range(-1, 1).Draw(t, "y")
		}
		a, err := Regress(x, y, true)
		if err != nil {
			t.Fatal(err)
		}
		k := rapid.Float64Range(-5, 5).Draw(t, "k")
		for i := range y {
			y[i] += k * x[i][1]
		}
		b, _ := Regress(x, y, true)
		for j, want := range []float64{0, 0, k} {
			if math.Abs(b.Coefficients[j]-a.Coefficients[j]-want) > 1e-12 {
				t.Errorf("coefficient %d moved by %g, want %g", j, b.Coefficients[j]-a.Coefficients[j], want)
			}
		}
		for i := range 3 {
			var upright float64
			for r := range x {
				upright += a.Residuals[r] * at(x[r], i)
			}
			if math.Abs(upright) > 1e-11 {
				t.Errorf("residuals lean on column %d by %g", i, upright)
			}
			for j := range 3 {
				var back float64 // (XᵀX · cov)/s²
				for l := range 3 {
					var xx float64
					for r := range x {
						xx += at(x[r], i) * at(x[r], l)
					}
					back += xx * a.Covariance[l][j] / (a.StdDev * a.StdDev)
				}
				if want := map[bool]float64{true: 1}[i == j]; a.StdDev > 1e-6 && math.Abs(back-want) > 1e-9 {
					t.Errorf("XᵀX(XᵀX)⁻¹ has %g at %d, %d", back, i, j)
				}
			}
		}
	})
}

func at(row []float64, j int) float64 {
	if j == 0 {
		return 1
	}
	return row[j-1]
}

func TestRegressRefusals(t *testing.T) {
	y := []float64{1, 2, 4, 3}
	_, few := Regress([][]float64{{1}, {2}}, y[:2], true)
	_, nan := Regress([][]float64{{1}, {2}, {math.NaN()}, {4}}, y, true)
	_, ragged := Regress([][]float64{{1}, {2}, {3, 4}, {4}}, y, true)
	_, flat := Regress([][]float64{{2}, {2}, {2}, {2}}, y, true)
	_, nought := Regress([][]float64{{0}, {0}, {0}, {0}}, y, false)
	_, none := Regress(Powers(y, 0), y, false)
	_, twice := Regress([][]float64{{1, 3}, {2, 6}, {3, 9}, {5, 15}}, y, false)
	for i, c := range []struct {
		err  error
		want string
	}{{few, "2 coefficients from 2 rows"}, {nan, "row 2: "}, {ragged, "row 2 has 2"}, {flat, "follows from"}, {nought, "follows from"}, {none, "0 coefficients"}, {twice, "follows from"}} {
		if c.err == nil || !strings.Contains(c.err.Error(), c.want) {
			t.Errorf("case %d: %v, want %q", i, c.err, c.want)
		}
	}
	if r, err := Regress([][]float64{{1}, {2}, {3}}, []float64{5, 5, 5}, true); err != nil || r.RSquared != 0 || r.StdDev != 0 {
		t.Errorf("y that does not vary: %+v, %v", r, err)
	}
}
