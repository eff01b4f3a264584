package assign

import (
	"bytes"
	"encoding/csv"
	"os"
	"slices"
	"strconv"
	"testing"
)

func matrix(t testing.TB, rows [][]int64) Matrix {
	t.Helper()
	m, err := NewMatrix(rows)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func least(t testing.TB, rows [][]int64) Least {
	t.Helper()
	m := matrix(t, rows)
	l, err := Min(m)
	if err != nil {
		t.Fatal(err)
	}
	if err := l.Certify(m); err != nil {
		t.Fatal(err)
	}
	return l
}

func assign100(t testing.TB) [][]int64 {
	t.Helper()
	text, err := os.ReadFile("testdata/assign100.csv")
	if err != nil {
		t.Fatal(err)
	}
	r := csv.NewReader(bytes.NewReader(text))
	r.Comment = '#'
	lines, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	rows := make([][]int64, len(lines))
	for i, line := range lines {
		for _, f := range line {
			v, err := strconv.ParseInt(f, 10, 64)
			if err != nil {
				t.Fatal(err)
			}
			rows[i] = append(rows[i], v)
		}
	}
	return rows
}

// Published: OR-Library assign100, 305 (the number from memory, recomputed by
// another solver); its bottleneck, 5, recomputed. Tolerance: none, whole numbers.
func TestPublishedAssign100(t *testing.T) {
	rows := assign100(t)
	if l := least(t, rows); l.Cost != 305 {
		t.Errorf("cost %d, published 305", l.Cost)
	}
	if w, err := Bottleneck(matrix(t, rows)); err != nil || w.Cost != 5 {
		t.Errorf("bottleneck %d, %v, expected 5", w.Cost, err)
	}
}

// Published: H. T. Lau, A Java Library of Graph Algorithms and Optimization
// (2007), bottleneck example, matrix as read in a copy: 7. Its least sum, 22, by
// enumeration.
func TestPublishedBottleneck(t *testing.T) {
	rows := [][]int64{{9, 6, 8, 4, 7}, {8, 7, 6, 8, 3}, {7, 4, 3, 5, 6}, {9, 8, 3, 7, 6}, {8, 7, 3, 6, 5}}
	w, err := Bottleneck(matrix(t, rows))
	if err != nil || w.Cost != 7 {
		t.Errorf("bottleneck %d, %v, published 7", w.Cost, err)
	}
	if len(w.Proof.Rows) != len(w.Proof.Cols)+1 {
		t.Errorf("proof %v", w.Proof)
	}
	if l := least(t, rows); l.Cost != 22 {
		t.Errorf("sum %d, expected 22", l.Cost)
	}
}

// Published: Project Euler, problem 345, the 5×5 example: greatest sum 3315.
func TestPublishedGreatestSum(t *testing.T) {
	rows := [][]int64{{7, 53, 183, 439, 863}, {497, 383, 563, 79, 973}, {287, 63, 343, 169, 583}, {627, 343, 773, 959, 943}, {767, 473, 103, 699, 303}}
	_, sum, err := Max(matrix(t, rows))
	if err != nil || sum != 3315 {
		t.Errorf("sum %d, %v, published 3315", sum, err)
	}
}

// Published: the 4×4 example of many textbooks, 140, from memory, recomputed.
func TestPublishedTextbook(t *testing.T) {
	if l := least(t, [][]int64{{82, 83, 69, 92}, {77, 37, 49, 92}, {11, 69, 5, 86}, {8, 9, 98, 23}}); l.Cost != 140 {
		t.Errorf("sum %d, expected 140", l.Cost)
	}
}

// Published: R. E. Machol and M. Wien, A hard assignment problem, Operations
// Research 24 (1976) 190-192: c = i·j has n(n + 1)(n + 2)/6.
func TestPublishedMacholWien(t *testing.T) {
	for n, want := range map[int]int64{8: 120, 50: 22100, 100: 171700} {
		rows := make([][]int64, n)
		for i := range rows {
			for j := range n {
				rows[i] = append(rows[i], int64((i+1)*(j+1)))
			}
		}
		l := least(t, rows)
		if l.Cost != want {
			t.Errorf("n = %d: %d, exact %d", n, l.Cost, want)
		}
		for i, j := range l.Col {
			if i+j != n-1 {
				t.Errorf("n = %d: row %d with column %d", n, i+1, j+1)
			}
		}
	}
}

// Published: R. E. Korf, Artificial Intelligence 106 (1998) 181-203, five numbers:
// best 0, greedy 4, differencing 2 (from memory, recomputed). The ten numbers
// are recomputed only: 0, 32, 26.
func TestPublishedSplit(t *testing.T) {
	for _, c := range []struct {
		x                    []int64
		best, greedy, paired int64
	}{{[]int64{8, 7, 6, 5, 4}, 0, 4, 2}, {[]int64{771, 121, 281, 854, 885, 734, 486, 1003, 83, 62}, 0, 32, 26}} {
		h, err := Split(c.x, 1_000_000)
		if err != nil || h.Difference != c.best || h.Greedy != c.greedy || h.Paired != c.paired || h.Gap() != 0 {
			t.Errorf("%v: %+v, %v, published %d, %d, %d", c.x, h, err, c.best, c.greedy, c.paired)
		}
		if d := apart(c.x, h.First); d != h.Difference {
			t.Errorf("%v: halves differ by %d, said %d", c.x, d, h.Difference)
		}
	}
}

func apart(x []int64, first []bool) int64 {
	var d int64
	for i, v := range x {
		if first[i] {
			d += v
		} else {
			d -= v
		}
	}
	return max(d, -d)
}

// Synthetic, checked by full enumeration under stock limits: five main bearings,
// shells of four walls, clearance 40 µm asked. Least worst 15 µm, then least sum
// of squares 907 µm².
func TestSyntheticShells(t *testing.T) {
	room := []int64{4026, 4027, 4027, 4029, 4030} // tunnel less journal, µm
	wall, stock := []int64{1980, 1984, 1988, 1992}, []int{2, 4, 4, 2}
	task := func(top int64) Task {
		out := Task{Stock: stock}
		for _, r := range room {
			var list []Option
			for a := range wall {
				for b := a; b < len(wall); b++ {
					d := r - wall[a] - wall[b] - 40
					if max(d, -d) <= top {
						list = append(list, Option{Cost: d * d, Takes: []int{a, b}})
					}
				}
			}
			out.Options = append(out.Options, list)
		}
		return out
	}
	s, err := Select(task(15), 100_000)
	if err != nil || s.Cost != 907 || s.Gap() != 0 {
		t.Errorf("cost %d, gap %d, %v, expected 907", s.Cost, s.Gap(), err)
	}
	_, err = Select(task(14), 100_000)
	if short, ok := err.(Scarce); !ok || !slices.IsSorted(short.Positions) {
		t.Errorf("14 µm: %v, expected no selection", err)
	}
}
