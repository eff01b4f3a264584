// Package gum carries values with their doubt through a graph of relations, as
// the Guide to the expression of uncertainty in measurement (JCGM 100:2008)
// asks. A leaf is one cause: the bias of one gauge, the temperature of one
// part, the repeatability of one reading. Two values that lean on one cause
// share its leaf, so correlation is never declared: it falls out of the graph.
package gum

import (
	"fmt"
	"math"

	"fettle/internal/base/cite"
	"fettle/internal/base/unit"
)

// Symbol is one letter of a printed equation.
type Symbol struct {
	Letter string
	Name   string // word for the field in files and schemas
	Dim    unit.Dim
	Many   bool // takes a list of values
	Least  int  // fewest values when Many
}

// Relation is an equation declared once: it gives the value and the exact
// partial derivatives.
type Relation struct {
	Name     string // name in files and on the command line
	Equation string // as printed
	In       []Symbol
	Out      Symbol
	Source   cite.Key

	// Value evaluates the equation. x[i] holds the values of In[i], in formula
	// units. A fault names what makes the equation meaningless there.
	Value func(x [][]float64) (float64, error)

	// Partials fills g, which has the shape of x, with ∂y/∂x at x. It is only
	// called where Value succeeded. At a kink (a maximum, a zone) it gives the
	// derivative of the active branch.
	Partials func(x, g [][]float64)

	// Linear says that the partials are the same everywhere, so that many draws
	// are a weighted sum.
	Linear bool

	// Batch, if given, evaluates as many draws at once as y is long: x[i][j] holds
	// the draws of the j-th value of In[i], or more of them. A draw without a value is NaN. It only
	// saves time: Value is what holds.
	Batch func(x [][][]float64, y []float64)
}

// Check says whether x fits the symbols: lengths, and every value finite.
func (r *Relation) Check(x [][]float64) error {
	if len(x) != len(r.In) {
		return fmt.Errorf("%s takes %d symbols, got %d", r.Name, len(r.In), len(x))
	}
	for i, s := range r.In {
		least := 1
		if s.Many && s.Least > 1 {
			least = s.Least
		}
		if len(x[i]) < least || (!s.Many && len(x[i]) != 1) {
			return fmt.Errorf("%s: %s takes %d values, got %d", r.Name, s.Letter, least, len(x[i]))
		}
		for _, v := range x[i] {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return fmt.Errorf("%s: %s is not a finite number", r.Name, s.Letter)
			}
		}
	}
	return nil
}
