package assign

import "slices"

// matching serves rows from the columns that a rule allows, one path at a time.
type matching struct {
	rows, cols int
	may        func(i, j int) bool
	col, row   []int // of each row its column, of each column its row, or −1
	seen       []bool
}

func newMatching(rows, cols int, may func(i, j int) bool) *matching {
	return &matching{rows: rows, cols: cols, may: may, col: fill(rows, -1), row: fill(cols, -1), seen: make([]bool, cols)}
}

// serve finds a path for one row; without one, the columns that were tried are
// in seen.
func (m *matching) serve(i int) bool {
	for j := range m.cols {
		if m.seen[j] || !m.may(i, j) {
			continue
		}
		m.seen[j] = true
		if m.row[j] < 0 || m.serve(m.row[j]) {
			m.row[j], m.col[i] = i, j
			return true
		}
	}
	return false
}

// all serves every row that has no column; the first that cannot be served makes
// a Short.
func (m *matching) all() *Short {
	for i := range m.rows {
		if m.col[i] >= 0 {
			continue
		}
		clear(m.seen)
		if m.serve(i) {
			continue
		}
		s := &Short{Rows: []int{i}}
		for j, tried := range m.seen {
			if tried {
				s.Cols, s.Rows = append(s.Cols, j), append(s.Rows, m.row[j])
			}
		}
		slices.Sort(s.Rows)
		return s
	}
	return nil
}

// Worst is an assignment whose dearest pair is as cheap as can be.
type Worst struct {
	Col  []int
	Cost int64
	// Proof are rows that have too few columns between them at any lower cost,
	// and those columns. Empty where no pair at all is cheaper.
	Proof Short
}

// Bottleneck finds the assignment whose dearest pair is cheapest.
//
//	min over π of maxᵢ c(i, π(i))
//
// Shapes: n×m, n ≤ m -> n columns.
// Units:  those of the costs.
// Errors: Short, if the pairs that may be do not allow an assignment.
// Source: thresholds over a bipartite matching, R. Burkard, M. Dell'Amico,
// S. Martello, Assignment Problems, SIAM 2009, chapter 6 (from memory); the
// proof is P. Hall's theorem.
func Bottleneck(m Matrix) (Worst, error) {
	levels := distinct(m.cost)
	try := func(top int64) (*matching, *Short) {
		g := newMatching(m.Rows, m.Cols, func(i, j int) bool { return m.At(i, j) <= top && m.At(i, j) != Never })
		return g, g.all()
	}
	if len(levels) == 0 {
		return Worst{}, Short{Rows: []int{0}}
	}
	if _, short := try(levels[len(levels)-1]); short != nil {
		return Worst{}, *short
	}
	k, _ := slices.BinarySearchFunc(levels, 0, func(top int64, _ int) int {
		if _, short := try(top); short != nil {
			return -1
		}
		return 1
	})
	g, _ := try(levels[k])
	w := Worst{Col: g.col, Cost: levels[k]}
	if k > 0 {
		_, short := try(levels[k-1])
		w.Proof = *short
	}
	return w, nil
}

// distinct lists the costs that may be, each once, in order.
func distinct(cost []int64) []int64 {
	out := slices.Clone(cost)
	slices.Sort(out)
	out = slices.Compact(out)
	if k := len(out); k > 0 && out[k-1] == Never {
		out = out[:k-1]
	}
	return out
}

// Band is an assignment whose values lie as close together as can be.
type Band struct {
	Width int64
	Lows  []int64 // least value of every band of that width that holds an assignment
	Col   []int   // one in the first of them
}

// Closest finds the assignment with the least spread of its values, that is the
// greatest less the least.
//
//	min over π of maxᵢ x(i, π(i)) − minᵢ x(i, π(i))
//
// Shapes: n×m, n ≤ m -> n columns.
// Units:  those of the values.
// Errors: Short, if the pairs that may be do not allow an assignment.
// Source: a band moved over the sorted values, S. Martello, W. R. Pulleyblank,
// P. Toth, D. de Werra, Balanced optimization problems, Operations Research
// Letters 3 (1984) 275-278 (from memory). Every band is tried, so the answer is
// proved by exhaustion.
func Closest(m Matrix) (Band, error) {
	levels := distinct(m.cost)
	low, high := int64(0), int64(0)
	g := newMatching(m.Rows, m.Cols, func(i, j int) bool { return m.At(i, j) >= low && m.At(i, j) <= high && m.At(i, j) != Never })
	best := Band{Width: Never}
	last := Short{Rows: []int{0}}
	for a, b := 0, 0; a < len(levels); a++ {
		low = levels[a]
		for i, j := range g.col {
			if j >= 0 && m.At(i, j) < low {
				g.col[i], g.row[j] = -1, -1
			}
		}
		for ; b < len(levels); b++ {
			high = levels[b]
			short := g.all()
			if short == nil {
				break
			}
			last = *short
		}
		if b == len(levels) {
			break
		}
		switch width := high - low; {
		case width < best.Width:
			best = Band{width, []int64{low}, slices.Clone(g.col)}
		case width == best.Width:
			best.Lows = append(best.Lows, low)
		}
	}
	if best.Col == nil {
		return Band{}, last
	}
	return best, nil
}
