// Package assign chooses: which of these for which of those, so that a cost is
// least, and with a proof that none is less.
//
// Costs are whole numbers, so that sums, bounds and proofs are exact: lengths
// come in nanometres, their squares in nm², masses in milligrams. Nothing here
// depends on the order in which a map is walked or on chance: same input, same
// answer. Notation, sources and what was checked stand in doc/model/fits.md.
package assign

import (
	"fmt"
	"math"
)

// Never is the cost of a pair that may not be.
const Never = math.MaxInt64

// Matrix holds the cost of each pair, row by row. There are at least as many
// columns as rows.
type Matrix struct {
	Rows, Cols int
	cost       []int64
}

// NewMatrix makes a matrix of rows of costs.
//
// Shapes: n rows of m costs, 1 ≤ n ≤ m -> n×m.
// Units:  any, kept.
// Errors: no rows; rows of unequal length; fewer columns than rows; a cost so
// large that a sum of n of them might not be held (2⁶⁰/(n + 1)).
func NewMatrix(rows [][]int64) (Matrix, error) {
	n := len(rows)
	if n == 0 || len(rows[0]) < n {
		return Matrix{}, fmt.Errorf("assign: %d rows of costs and too few columns: at least one row, and a column for each, are needed", n)
	}
	m := Matrix{Rows: n, Cols: len(rows[0]), cost: make([]int64, 0, n*len(rows[0]))}
	most := int64(1) << 60 / int64(n+1)
	for i, row := range rows {
		if len(row) != m.Cols {
			return Matrix{}, fmt.Errorf("assign: row %d has %d costs, expected %d", i+1, len(row), m.Cols)
		}
		for j, c := range row {
			if c != Never && (c > most || c < -most) {
				return Matrix{}, fmt.Errorf("assign: cost %d in row %d, column %d: at most %d in size for %d rows", c, i+1, j+1, most, n)
			}
		}
		m.cost = append(m.cost, row...)
	}
	return m, nil
}

// At is the cost of one pair.
func (m Matrix) At(i, j int) int64 { return m.cost[i*m.Cols+j] }

func (m Matrix) row(i int) []int64 { return m.cost[i*m.Cols : (i+1)*m.Cols] }

// Short is the error of rows that cannot all have a column: together these
// rows may take these columns only, of which there is one too few. Without any
// one of the rows the others can be served, so no smaller set is to blame.
type Short struct{ Rows, Cols []int }

func (s Short) Error() string {
	return fmt.Sprintf("assign: %d rows (%s) have only %d columns (%s) between them", len(s.Rows), places(s.Rows), len(s.Cols), places(s.Cols))
}

// places writes indices counted from one.
func places(at []int) string {
	s := ""
	for i, v := range at {
		if i > 0 {
			s += ", "
		}
		s += fmt.Sprint(v + 1)
	}
	return s
}
