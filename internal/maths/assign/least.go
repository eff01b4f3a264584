package assign

import (
	"fmt"
	"slices"
)

// Least is an assignment of least sum with the dual values that prove it.
type Least struct {
	Col  []int // column of each row
	Cost int64
	U, V []int64 // dual values of rows and columns
}

// Min finds the assignment of least sum: each row gets one column, no column
// serves two rows.
//
//	min Σᵢ c(i, π(i)),   max Σᵢ uᵢ + Σⱼ vⱼ  over  uᵢ + vⱼ ≤ cᵢⱼ, vⱼ ≤ 0
//
// Shapes: n×m, n ≤ m -> n columns, n + m dual values.
// Units:  those of the costs.
// Errors: Short, if the pairs that may be do not allow an assignment.
// Source: shortest augmenting paths with the row reduction of R. Jonker and
// A. Volgenant, Computing 38 (1987) 325-340; rectangular as in D. F. Crouse,
// IEEE Trans. Aerosp. Electron. Syst. 52 (2016) 1679-1696; both from memory.
// O(n²·m).
func Min(m Matrix) (Least, error) {
	s := &search{m: m, col: fill(m.Rows, -1), row: fill(m.Cols, -1), v: make([]int64, m.Cols),
		dist: make([]int64, m.Cols), from: make([]int, m.Cols), todo: make([]int, m.Cols)}
	for _, i := range s.reduce() {
		if err := s.augment(i); err != nil {
			return Least{}, err
		}
	}
	out := Least{Col: s.col, U: make([]int64, m.Rows), V: s.v}
	for i, j := range s.col {
		out.Cost += m.At(i, j)
		out.U[i] = m.At(i, j) - s.v[j]
	}
	return out, nil
}

func fill(n, v int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = v
	}
	return out
}

type search struct {
	m          Matrix
	col, row   []int // of each row its column, of each column its row, or −1
	v          []int64
	dist       []int64
	from, todo []int
}

// reduce serves what it can without a path, by lowering the value of a column
// until its best row has no reason to leave it; it gives the rows that are left.
// A column that was once taken stays taken, so the value of one that never was
// is nought, as the proof needs it.
func (s *search) reduce() []int {
	var left []int
	for i := range s.m.Rows {
		left = append(left, i)
	}
	for range 2 {
		queue := left
		left = nil
		budget := 4 * s.m.Rows // of steps back, which could go on for long
		for k := 0; k < len(queue); k++ {
			i := queue[k]
			j1, low, next := s.best(i)
			if j1 < 0 || next == Never {
				left = append(left, i)
				continue
			}
			other := s.row[j1]
			if low == next && other >= 0 {
				left = append(left, i)
				continue
			}
			s.v[j1] -= next - low
			s.col[i], s.row[j1] = j1, i
			if other < 0 {
				continue
			}
			s.col[other] = -1
			if budget--; next > low && budget > 0 {
				queue = append(queue, other)
			} else {
				left = append(left, other)
			}
		}
	}
	slices.Sort(left)
	return left
}

// best is the column of least reduced cost in a row, that cost, and the next.
func (s *search) best(i int) (int, int64, int64) {
	at, low, next := -1, int64(Never), int64(Never)
	for j, c := range s.m.row(i) {
		if c == Never {
			continue
		}
		if d := c - s.v[j]; d < low {
			at, low, next = j, d, low
		} else if d < next {
			next = d
		}
	}
	return at, low, next
}

// augment finds the shortest alternating path from a row without a column to a
// column without a row, and turns it.
func (s *search) augment(free int) error {
	todo := s.todo[:s.m.Cols]
	for j := range todo {
		todo[j], s.dist[j] = j, Never
	}
	var done []int
	reached, end, i := int64(0), -1, free
	for end < 0 {
		row, base := s.m.row(i), reached
		if i != free {
			base -= row[s.col[i]] - s.v[s.col[i]]
		}
		at, low := -1, int64(Never)
		for k, j := range todo {
			if c := row[j]; c != Never {
				if d := base + c - s.v[j]; d < s.dist[j] {
					s.dist[j], s.from[j] = d, i
				}
			}
			if d := s.dist[j]; d < low || d == low && d != Never && s.row[j] < 0 && s.row[todo[at]] >= 0 {
				at, low = k, d
			}
		}
		if at < 0 {
			return s.short(free, done)
		}
		j := todo[at]
		todo[at] = todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		reached = low
		done = append(done, j)
		if s.row[j] < 0 {
			end = j
		} else {
			i = s.row[j]
		}
	}
	for _, j := range done {
		s.v[j] -= reached - s.dist[j]
	}
	for j := end; ; {
		i := s.from[j]
		s.row[j] = i
		j, s.col[i] = s.col[i], j
		if i == free {
			return nil
		}
	}
}

func (s *search) short(free int, cols []int) error {
	e := Short{Rows: []int{free}, Cols: slices.Clone(cols)}
	for _, j := range cols {
		e.Rows = append(e.Rows, s.row[j])
	}
	slices.Sort(e.Rows)
	slices.Sort(e.Cols)
	return e
}

// Certify checks a least assignment from its dual values alone: every pair costs
// at least what its row and column are worth, those taken cost just that, no
// column is worth more than nought, and one that is not taken is worth nought.
// Then no assignment costs less.
//
//	Σ c(i, π(i)) ≥ Σᵢ (uᵢ + v(π(i))) ≥ Σᵢ uᵢ + Σⱼ vⱼ  for every π
//
// Shapes: n×m, n columns, n + m dual values.
// Units:  those of the costs.
// Errors: the first thing that does not hold.
// Source: duality of linear programming.
func (l Least) Certify(m Matrix) error {
	if len(l.Col) != m.Rows || len(l.U) != m.Rows || len(l.V) != m.Cols {
		return fmt.Errorf("assign: an assignment of %d rows is no answer to %d×%d costs", len(l.Col), m.Rows, m.Cols)
	}
	taken := make([]bool, m.Cols)
	var cost, worth int64
	for i, j := range l.Col {
		if j < 0 || j >= m.Cols || taken[j] || m.At(i, j) == Never {
			return fmt.Errorf("assign: row %d has no column of its own", i+1)
		}
		taken[j] = true
		cost += m.At(i, j)
		worth += l.U[i]
	}
	for j, v := range l.V {
		if v > 0 || !taken[j] && v != 0 {
			return fmt.Errorf("assign: column %d is worth %d", j+1, v)
		}
		worth += v
	}
	for i, u := range l.U {
		for j, c := range m.row(i) {
			if c != Never && c < u+l.V[j] {
				return fmt.Errorf("assign: pair %d, %d costs %d, less than %d", i+1, j+1, c, u+l.V[j])
			}
		}
	}
	if cost != l.Cost || worth != cost {
		return fmt.Errorf("assign: cost %d, said %d, bound %d", cost, l.Cost, worth)
	}
	return nil
}

// Without finds the least assignment in which a row has none of the columns
// named. It costs as much or more: the difference is what the choice is worth.
//
// Shapes: n×m, n columns, one row, any columns -> n columns.
// Units:  those of the costs.
// Errors: Short, if there is none.
// Source: as Min.
func (l Least) Without(m Matrix, i int, cols []int) (Least, error) {
	c := Matrix{Rows: m.Rows, Cols: m.Cols, cost: slices.Clone(m.cost)}
	for _, j := range cols {
		c.cost[i*c.Cols+j] = Never
	}
	if !slices.Contains(cols, l.Col[i]) {
		return l, nil
	}
	return Min(c)
}

// Max finds the assignment of greatest sum, as Min does the least.
//
// Shapes: n×m, n ≤ m -> n columns and the sum.
// Units:  those of the worth.
// Errors: as Min.
func Max(m Matrix) ([]int, int64, error) {
	c := Matrix{Rows: m.Rows, Cols: m.Cols, cost: slices.Clone(m.cost)}
	for k, v := range c.cost {
		if v != Never {
			c.cost[k] = -v
		}
	}
	l, err := Min(c)
	return l.Col, -l.Cost, err
}
