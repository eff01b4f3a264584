package assign

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize/convex/lp"
)

// random costs with ties and pairs that may not be.
func random(r *rand.Rand, n, m int, top int64, never float64) [][]int64 {
	rows := make([][]int64, n)
	for i := range rows {
		for range m {
			c := r.Int64N(2*top+1) - top
			if r.Float64() < never {
				c = Never
			}
			rows[i] = append(rows[i], c)
		}
	}
	return rows
}

// every calls f with each way to give the rows columns of their own.
func every(rows [][]int64, f func(col []int)) {
	col, used := make([]int, len(rows)), make([]bool, len(rows[0]))
	var next func(i int)
	next = func(i int) {
		if i == len(rows) {
			f(col)
			return
		}
		for j := range used {
			if !used[j] && rows[i][j] != Never {
				used[j], col[i] = true, j
				next(i + 1)
				used[j] = false
			}
		}
	}
	next(0)
}

// Law: least sum, least worst and least spread are those found by trying every
// assignment; the certificates hold; what cannot be served is named by rows with
// one column too few, and without any one of them the others can be.
func TestLawAssignmentAgainstEnumeration(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	none := 0
	for k := range 1000 {
		n := 1 + r.IntN(6)
		rows := random(r, n, n+r.IntN(3), []int64{3, 20, 1e12}[k%3], []float64{0, 0.3, 0.6}[k%3])
		sum, worst, width := int64(Never), int64(Never), int64(Never)
		every(rows, func(col []int) {
			var s int64
			lo, hi := int64(Never), int64(-Never)
			for i, j := range col {
				c := rows[i][j]
				s, lo, hi = s+c, min(lo, c), max(hi, c)
			}
			sum, worst, width = min(sum, s), min(worst, hi), min(width, hi-lo)
		})
		m := matrix(t, rows)
		l, err := Min(m)
		w, werr := Bottleneck(m)
		b, berr := Closest(m)
		if sum == Never {
			none++
			for _, e := range []error{err, werr, berr} {
				var s Short
				if !errors.As(e, &s) {
					t.Fatalf("%v: %v, and nothing can be assigned", rows, e)
				}
				blame(t, rows, s)
			}
			continue
		}
		if err != nil || werr != nil || berr != nil || l.Cost != sum || w.Cost != worst || b.Width != width {
			t.Fatalf("%v: %d %d %d (%v %v %v), by enumeration %d %d %d", rows, l.Cost, w.Cost, b.Width, err, werr, berr, sum, worst, width)
		}
		if err := l.Certify(m); err != nil {
			t.Fatal(rows, err)
		}
		for i, j := range b.Col {
			if c := rows[i][j]; c < b.Lows[0] || c > b.Lows[0]+width {
				t.Fatalf("%v: %v leaves the band", rows, b)
			}
		}
	}
	if none < 20 {
		t.Errorf("only %d of 1000 had no assignment", none)
	}
}

// blame checks that the rows named have these columns only, one too few, and
// that without any one of them the rest can be served.
func blame(t *testing.T, rows [][]int64, s Short) {
	t.Helper()
	if len(s.Rows) != len(s.Cols)+1 {
		t.Fatalf("%v: %v", rows, s)
	}
	for _, i := range s.Rows {
		for j, c := range rows[i] {
			if c != Never && !slices.Contains(s.Cols, j) {
				t.Fatalf("%v: row %d has column %d besides %v", rows, i, j, s)
			}
		}
	}
	for _, out := range s.Rows {
		var part [][]int64
		for _, i := range s.Rows {
			if i != out {
				part = append(part, rows[i])
			}
		}
		if len(part) == 0 {
			continue
		}
		if _, err := Min(matrix(t, part)); err != nil {
			t.Fatalf("%v: without row %d still %v", rows, out, err)
		}
	}
}

// Law: a general linear program over the same pairs has the same least sum, for
// the corners of an assignment are whole. Tolerance: rounding of the simplex, a
// millionth of a unit where the sums are whole numbers.
func TestLawAssignmentAgainstLinearProgram(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 40 {
		n := 2 + r.IntN(6)
		rows := random(r, n, n, 50, 0)
		c := make([]float64, n*n)
		a, b := mat.NewDense(2*n-1, n*n, nil), make([]float64, 2*n-1) // the last column follows from the rest
		for i := range n {
			for j := range n {
				c[i*n+j] = float64(rows[i][j])
				a.Set(i, i*n+j, 1)
				if j < n-1 {
					a.Set(n+j, i*n+j, 1)
				}
			}
		}
		for i := range b {
			b[i] = 1
		}
		f, _, err := lp.Simplex(c, a, b, 1e-10, nil)
		if err != nil {
			t.Fatal(err)
		}
		if l := least(t, rows); f-float64(l.Cost) > 1e-6 || float64(l.Cost)-f > 1e-6 {
			t.Errorf("%v: %d, by the simplex %v", rows, l.Cost, f)
		}
	}
}

// Law: a certificate with any number changed does not pass.
func TestLawCertificateIsStrict(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for range 50 {
		rows := random(r, 4, 6, 20, 0)
		m, l := matrix(t, rows), least(t, rows)
		for i := range l.U {
			for _, d := range []int64{-1, 1} {
				bad := l
				bad.U = slices.Clone(l.U)
				bad.U[i] += d
				if bad.Certify(m) == nil {
					t.Fatalf("row %d moved by %d passes", i, d)
				}
			}
		}
		bad := l
		bad.Col = slices.Clone(l.Col)
		bad.Col[0] = bad.Col[1]
		if bad.Certify(m) == nil {
			t.Fatal("one column for two rows passes")
		}
	}
}

// Law: without a choice the cost is that of enumeration without it.
func TestLawRunnerUp(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	for range 200 {
		rows := random(r, 4, 5, 9, 0)
		l := least(t, rows)
		i := r.IntN(4)
		next, err := l.Without(matrix(t, rows), i, []int{l.Col[i]})
		want := int64(Never)
		every(rows, func(col []int) {
			var s int64
			for a, j := range col {
				s += rows[a][j]
			}
			if col[i] != l.Col[i] {
				want = min(want, s)
			}
		})
		if err != nil || next.Cost != want {
			t.Fatalf("%v: %d, %v, by enumeration %d", rows, next.Cost, err, want)
		}
	}
}

// Law: the difference of two halves is that of trying every split; with few steps
// the bound stays below it.
func TestLawSplitAgainstEnumeration(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 10))
	for range 400 {
		x := make([]int64, 1+r.IntN(10))
		for i := range x {
			x[i] = r.Int64N(1000)
		}
		want := int64(Never)
		for bits := range 1 << len(x) {
			first := make([]bool, len(x))
			for i := range x {
				first[i] = bits>>i&1 == 1
			}
			want = min(want, apart(x, first))
		}
		h, err := Split(x, 1_000_000)
		if err != nil || h.Difference != want || h.Gap() != 0 || apart(x, h.First) != want {
			t.Fatalf("%v: %+v, %v, by enumeration %d", x, h, err, want)
		}
		if q, _ := Split(x, 1); q.Bound > want || q.Difference < want || apart(x, q.First) != q.Difference {
			t.Fatalf("%v in one step: %+v, by enumeration %d", x, q, want)
		}
	}
}

func randomTask(r *rand.Rand) Task {
	t := Task{Stock: make([]int, 2+r.IntN(5))}
	for k := range t.Stock {
		t.Stock[k] = r.IntN(4)
	}
	for range 1 + r.IntN(6) {
		var list []Option
		for range 1 + r.IntN(6) {
			o := Option{Cost: r.Int64N(60) - 10}
			for range 1 + r.IntN(2) {
				o.Takes = append(o.Takes, r.IntN(len(t.Stock)))
			}
			list = append(list, o)
		}
		t.Options = append(t.Options, list)
	}
	return t
}

// byHand tries every selection.
func byHand(t Task) (int64, bool) {
	left, best, ok := slices.Clone(t.Stock), int64(0), false
	var next func(i int, cost int64)
	next = func(i int, cost int64) {
		if i == len(t.Options) {
			if !ok || cost < best {
				best, ok = cost, true
			}
			return
		}
		for _, o := range t.Options[i] {
			short := false
			for _, k := range o.Takes {
				left[k]--
			}
			for _, k := range o.Takes {
				short = short || left[k] < 0
			}
			if !short {
				next(i+1, cost+o.Cost)
			}
			for _, k := range o.Takes {
				left[k]++
			}
		}
	}
	next(0, 0)
	return best, ok
}

// Law: a selection costs what trying every one finds, the bound of its dual values
// is no more, and with few nodes the bound is still none too high. Where there is
// none, the positions to blame cannot be served, and without any one can.
func TestLawSelectAgainstEnumeration(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 12))
	none := 0
	for range 3000 {
		task := randomTask(r)
		want, ok := byHand(task)
		s, err := Select(task, 1_000_000)
		if !ok {
			none++
			var short Scarce
			if !errors.As(err, &short) {
				t.Fatalf("%v: %v, and there is no selection", task, err)
			}
			part := func(without int) Task {
				p := Task{Stock: task.Stock}
				for _, i := range short.Positions {
					if i != without {
						p.Options = append(p.Options, task.Options[i])
					}
				}
				return p
			}
			if _, ok := byHand(part(-1)); ok {
				t.Fatalf("%v: %v can be served", task, short)
			}
			for _, i := range short.Positions {
				if _, ok := byHand(part(i)); !ok && len(short.Positions) > 1 {
					t.Fatalf("%v: without %d still none", task, i)
				}
			}
			continue
		}
		if err != nil || s.Cost != want || s.Gap() != 0 {
			t.Fatalf("%v: %+v, %v, by enumeration %d", task, s, err, want)
		}
		if q, settled, err := Below(task, want, 1_000_000); err != nil || !settled || q.Option != nil {
			t.Fatalf("%v: %+v below %d", task, q, want)
		}
		if q, settled, err := Below(task, want+1, 1_000_000); err != nil || !settled || q.Option == nil || q.Cost != want {
			t.Fatalf("%v: %+v, %v, none below %d", task, q, err, want+1)
		}
		from := task
		from.Start = s.Option
		if q, err := Select(from, 1); err != nil || q.Cost != want || q.Bound > want {
			t.Fatalf("%v from the best in one node: %+v, %v", task, q, err)
		}
		if b := bound(task, s.Dual); b > want {
			t.Fatalf("%v: bound %d above %d", task, b, want)
		}
		if q, err := Select(task, 1); err == nil && (q.Bound > want || q.Cost < want) {
			t.Fatalf("%v with one node: %+v, by enumeration %d", task, q, want)
		}
	}
	if none < 100 {
		t.Errorf("only %d had no selection", none)
	}
}

// bound works out B(λ) as its definition has it.
func bound(t Task, dual []int64) int64 {
	var b int64
	for k, v := range dual {
		if v < 0 {
			panic("negative worth")
		}
		b -= v * int64(t.Stock[k])
	}
	for _, list := range t.Options {
		low := int64(Never)
		for _, o := range list {
			if fitsStock(o, t.Stock) {
				low = min(low, o.at(dual))
			}
		}
		b += low
	}
	return b
}

// Law: one more piece of any kind never makes the best selection dearer.
func TestLawMoreStockIsNoWorse(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 14))
	for range 500 {
		task := randomTask(r)
		s, err := Select(task, 1_000_000)
		if err != nil {
			continue
		}
		more := Task{Stock: slices.Clone(task.Stock), Options: task.Options}
		more.Stock[r.IntN(len(more.Stock))]++
		if m, err := Select(more, 1_000_000); err != nil || m.Cost > s.Cost {
			t.Fatalf("%v: %d, with more %d, %v", task, s.Cost, m.Cost, err)
		}
	}
}

// Law: bad input is one sentence that names the place.
func TestLawRefused(t *testing.T) {
	for _, err := range []error{
		second(NewMatrix(nil)), second(NewMatrix([][]int64{{1}, {2}})), second(NewMatrix([][]int64{{1, 2}, {2}})),
		second(NewMatrix([][]int64{{1 << 61}})), second(Split(nil, 1)), second(Split([]int64{-1}, 1)), second(Split([]int64{1 << 60, 1 << 60}, 1)),
		second(Select(Task{}, 1)), second(Select(Task{Stock: []int{-1}, Options: [][]Option{{{}}}}, 1)),
		second(Select(Task{Options: [][]Option{{{Takes: []int{0}}}}}, 1)), second(Select(Task{Options: [][]Option{{{}}}, Start: []int{1}}, 1)),
		second(Select(Task{Stock: []int{1}, Options: [][]Option{{{Takes: []int{0, 0}}}}, Start: []int{0}}, 1)), second(Select(Task{Options: [][]Option{{{Cost: 1 << 60}}}}, 1)),
	} {
		if err == nil || len(fmt.Sprint(err)) < 20 {
			t.Errorf("%v", err)
		}
	}
}

func second[T any](_ T, err error) error { return err }
