package summary

import (
	"bufio"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// table reads the columns of a testdata file and insists on its four header
// lines.
func table(t *testing.T, name string) [][]float64 {
	t.Helper()
	f, err := os.Open(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var columns [][]float64
	s, line := bufio.NewScanner(f), 0
	for ; s.Scan(); line++ {
		if head := []string{"# Source:", "# Units:", "# Digits:", "# Tolerance:"}; line < 4 {
			if !strings.HasPrefix(s.Text(), head[line]) {
				t.Fatalf("%s:%d: header line %q is missing", name, line+1, head[line])
			}
			continue
		}
		if line == 4 {
			columns = make([][]float64, strings.Count(s.Text(), ",")+1)
			continue
		}
		for c, cell := range strings.Split(s.Text(), ",") {
			v, err := strconv.ParseFloat(cell, 64)
			if err != nil {
				t.Fatalf("%s:%d: %v", name, line+1, err)
			}
			columns[c] = append(columns[c], v)
		}
	}
	return columns
}

// alternating is how the StRD builds NumAcc2 and NumAcc3: first, then low and
// high in turn.
func alternating(first, low, high float64) []float64 {
	out := []float64{first}
	for range 500 {
		out = append(out, low, high)
	}
	return out
}

func relative(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	off := math.Abs(got-want) / math.Abs(want)
	t.Logf("%s: %.1f digits", what, digits(got, want))
	if !(off <= tol) {
		t.Errorf("%s = %.17g, certified %.17g: off by %.2g, allowed %.0g", what, got, want, off, tol)
	}
}

// Published (STA-01): NIST Statistical Reference Datasets, univariate, certified values.
// Tolerance 1e-12 relative; 1e-8 for NumAcc3, whose data have lost seven digits
// to the leading 1000000 before any arithmetic begins.
func TestNISTStRDUnivariate(t *testing.T) {
	for _, c := range []struct {
		name         string
		data         []float64
		n            int
		mean, s, lag float64
		tol          float64
	}{
		{"NumAcc1", []float64{10000001, 10000003, 10000002}, 3, 10000002, 1, -0.5, 1e-12},
		{"NumAcc2", alternating(1.2, 1.1, 1.3), 1001, 1.2, 0.1, -0.999, 1e-12},
		{"NumAcc3", alternating(1000000.2, 1000000.1, 1000000.3), 1001, 1000000.2, 0.1, -0.999, 1e-8},
		{"Lew", table(t, "strd_lew.csv")[0], 200, -177.435, 277.332168044316, -0.307304800605679, 1e-12},
		{"Michelso", table(t, "strd_michelso.csv")[0], 100, 299.8524, 0.0790105478190518, 0.535199668621283, 1e-12},
	} {
		m, err := Describe(c.data)
		if err != nil || m.N != c.n {
			t.Fatalf("%s: n = %d, %v", c.name, m.N, err)
		}
		relative(t, c.name+" mean", m.Mean, c.mean, c.tol)
		relative(t, c.name+" s", m.StdDev, c.s, c.tol)
		relative(t, c.name+" lag-1", m.Lag1, c.lag, c.tol)
	}
}

// Published (STA-05): NIST Statistical Reference Datasets, one-way analysis of variance,
// certified values. Tolerances in the files.
func TestNISTStRDOneWay(t *testing.T) {
	for _, c := range []struct {
		file             string
		dfB, dfW         int
		ssB, ssW, f, rSq float64
		tol              float64
	}{
		{"strd_sirstv.csv", 4, 20, 5.11462616e-2, 2.1663656e-1, 1.18046237440255, 1.90999039051129e-1, 1e-12},
		{"strd_smls01.csv", 8, 180, 1.68, 1.8, 21, 4.82758620689655e-1, 1e-12},
		{"strd_smls04.csv", 8, 180, 1.68, 1.8, 21, 4.82758620689655e-1, 1e-8},
	} {
		a, err := Analyse(table(t, c.file))
		if err != nil {
			t.Fatal(err)
		}
		if a.Between.DF != c.dfB || a.Within.DF != c.dfW {
			t.Errorf("%s: %d and %d degrees of freedom", c.file, a.Between.DF, a.Within.DF)
		}
		relative(t, c.file+" between", a.Between.SumOfSquares, c.ssB, c.tol)
		relative(t, c.file+" within", a.Within.SumOfSquares, c.ssW, c.tol)
		relative(t, c.file+" mean square", a.Within.MeanSquare, c.ssW/float64(c.dfW), c.tol)
		relative(t, c.file+" F", a.F, c.f, c.tol)
		relative(t, c.file+" R²", a.RSquared, c.rSq, c.tol)
	}
}

// Law: with two groups F is the square of Student's t, so P agrees with the
// two-sided t test; for 1 and 2 degrees of freedom that is 1 − √(t²/(t²+2)).
func TestLawTwoGroups(t *testing.T) {
	a, err := Analyse([][]float64{{1, 2}, {4, 6}})
	if err != nil {
		t.Fatal(err)
	}
	relative(t, "F", a.F, 3.5*3.5/((0.5+2)/2), 1e-14)
	relative(t, "P", a.P, 1-math.Sqrt(a.F/(a.F+2)), 1e-12)
}

// Law: shifting moves the mean alone, scaling scales the spread, the sums of
// squares add up to the total.
func TestLawMoments(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.SliceOfN(rapid.Float64Range(-1, 1), 4, 50).Draw(t, "v")
		k := rapid.Float64Range(0.5, 3).Draw(t, "k")
		moved := make([]float64, len(v))
		for i, x := range v {
			moved[i] = 100 + k*x
		}
		a, err := Describe(v)
		if err != nil {
			t.Fatal(err)
		}
		b, _ := Describe(moved)
		if math.Abs(b.Mean-100-k*a.Mean) > 1e-13*100 || math.Abs(b.StdDev-k*a.StdDev) > 1e-12 {
			t.Errorf("%+v moved to %+v", a, b)
		}
		w, err := Analyse([][]float64{v[:2], v[2:]})
		if err != nil {
			return // no spread within
		}
		total := a.StdDev * a.StdDev * float64(len(v)-1)
		if math.Abs(w.Between.SumOfSquares+w.Within.SumOfSquares-total) > 1e-12 {
			t.Errorf("%g + %g is not %g", w.Between.SumOfSquares, w.Within.SumOfSquares, total)
		}
	})
}

func TestRefusals(t *testing.T) {
	_, few := Describe([]float64{1})
	_, nan := Describe([]float64{1, math.NaN()})
	_, one := Analyse([][]float64{{1, 2}})
	_, empty := Analyse([][]float64{{1, 2}, {}})
	_, single := Analyse([][]float64{{1}, {2}})
	_, flat := Analyse([][]float64{{1, 1}, {2, 2}})
	_, inf := Analyse([][]float64{{1, 1}, {2, math.Inf(1)}})
	for i, c := range []struct {
		err  error
		want string
	}{{few, "at least 2"}, {nan, "value 1 is NaN"}, {one, "at least 2"}, {empty, "group 1 is empty"}, {single, "a repeat"}, {flat, "no value"}, {inf, "group 1"}} {
		if c.err == nil || !strings.Contains(c.err.Error(), c.want) {
			t.Errorf("case %d: %v, want %q", i, c.err, c.want)
		}
	}
	if Sum([]float64{1, 1e100, 1, -1e100}) != 2 {
		t.Error("the sum lost its small terms")
	}
	if m, err := Describe([]float64{7, 7, 7}); err != nil || m.StdDev != 0 || m.Lag1 != 0 {
		t.Errorf("equal values: %+v, %v", m, err)
	}
}
