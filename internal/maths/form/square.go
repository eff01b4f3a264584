package form

import "math"

// square is a small dense system with its factors; bases here are at most
// 6×6, where a library call would cost more than the elimination.
type square struct {
	at   [][]float64
	perm []int
}

func newSquare(n int) square { return square{at: rows(n, n), perm: make([]int, n)} }

// factor replaces the matrix by its triangular factors with row exchange and
// reports whether it is regular.
func (s square) factor() bool {
	n := len(s.at)
	regular := true
	for c := range n {
		pivot := c
		for r := c + 1; r < n; r++ {
			if math.Abs(s.at[r][c]) > math.Abs(s.at[pivot][c]) {
				pivot = r
			}
		}
		s.perm[c] = pivot
		s.at[c], s.at[pivot] = s.at[pivot], s.at[c]
		if s.at[c][c] == 0 {
			regular = false
			continue
		}
		for r := c + 1; r < n; r++ {
			s.at[r][c] /= s.at[c][c]
			for j := c + 1; j < n; j++ {
				s.at[r][j] -= s.at[r][c] * s.at[c][j]
			}
		}
	}
	return regular
}

// solve replaces b by the x of A x = b.
func (s square) solve(b []float64) {
	n := len(s.at)
	for c, p := range s.perm {
		b[c], b[p] = b[p], b[c]
	}
	for r := range n {
		for c := range r {
			b[r] -= s.at[r][c] * b[c]
		}
	}
	for r := n - 1; r >= 0; r-- {
		for c := r + 1; c < n; c++ {
			b[r] -= s.at[r][c] * b[c]
		}
		b[r] /= s.at[r][r]
	}
}

// solveTransposed replaces b by the x of Aᵀ x = b.
func (s square) solveTransposed(b []float64) {
	n := len(s.at)
	for r := range n {
		for c := range r {
			b[r] -= s.at[c][r] * b[c]
		}
		b[r] /= s.at[r][r]
	}
	for r := n - 1; r >= 0; r-- {
		for c := r + 1; c < n; c++ {
			b[r] -= s.at[c][r] * b[c]
		}
	}
	for c := n - 1; c >= 0; c-- {
		b[c], b[s.perm[c]] = b[s.perm[c]], b[c]
	}
}

func rows(n, k int) [][]float64 {
	flat, out := make([]float64, n*k), make([][]float64, n)
	for i := range out {
		out[i] = flat[i*k : (i+1)*k : (i+1)*k]
	}
	return out
}

func dot(a, b []float64) float64 {
	var s float64
	for i, v := range a {
		s += v * b[i]
	}
	return s
}

// midSpan returns the middle of the range of v and half its length.
func midSpan(v []float64) (mid, span float64) {
	lo, hi := v[0], v[0]
	for _, x := range v {
		lo, hi = math.Min(lo, x), math.Max(hi, x)
	}
	return lo + (hi-lo)/2, (hi - lo) / 2
}
