package summary

import (
	"fmt"
	"math"
)

// Regression is a linear model fitted by least squares.
type Regression struct {
	// Coefficients belong to the columns of the model, in their order.
	Coefficients []float64
	// StdErrs are their standard errors, the square roots of the diagonal of
	// Covariance.
	StdErrs []float64
	// Covariance is s² (XᵀX)⁻¹.
	Covariance [][]float64
	// Residuals are y less the fitted values, in input order.
	Residuals []float64
	// StdDev is the residual standard deviation s with DF degrees of freedom.
	StdDev float64
	DF     int
	// RSquared is the share of the sum of squares of y, about its mean where
	// the model has an intercept and about nought where it has none, that the
	// model explains. Zero where y does not vary.
	RSquared float64
}

// Regress fits y = b₀ + b₁x₁ + … or, without an intercept, y = b₁x₁ + ….
//
//	min Σ (yᵢ − Σⱼ xᵢⱼ bⱼ)²
//	s² = Σ eᵢ²/(n − k)     cov b = s² (XᵀX)⁻¹     R² = 1 − Σ eᵢ²/SS_y
//
// Columns are scaled, factored as QR, and the answer is refined until it no
// longer changes, with residuals taken to twice the digits. The digits lost are
// then those that the readings lost when they were written as binary numbers.
//
// Shapes: n rows of k predictors, n values -> k coefficients, one more and
// first where there is an intercept.
// Units:  coefficients in y per x; residuals and StdDev in y.
// Errors: as many coefficients as rows or more; rows of unequal length; a value
// that is not finite; columns of which one follows from the others.
// Source: Å. Björck, BIT 7 (1967) 257-278 (refinement of residual and solution
// together), from memory; definitions of the NIST Statistical Reference
// Datasets, linear least squares.
func Regress(x [][]float64, y []float64, intercept bool) (Regression, error) {
	m, err := columns(x, y, intercept)
	if err != nil {
		return Regression{}, err
	}
	d, err := newDesign(m)
	if err != nil {
		return Regression{}, err
	}
	k := len(m)
	out := Regression{DF: len(y) - k, StdErrs: make([]float64, k), Covariance: make([][]float64, k)}
	out.Coefficients, out.Residuals = d.refined(y, make([]float64, k))
	ss := squares(out.Residuals)
	out.StdDev = math.Sqrt(ss / float64(out.DF))
	for j := range k {
		unit := make([]float64, k)
		unit[j] = -1
		out.Covariance[j], _ = d.refined(make([]float64, len(y)), unit)
		for i := range out.Covariance[j] {
			out.Covariance[j][i] *= out.StdDev * out.StdDev
		}
		out.StdErrs[j] = math.Sqrt(math.Max(0, out.Covariance[j][j]))
	}
	total := y
	if intercept {
		_, total = centred(y)
	}
	if t := squares(total); t > 0 {
		out.RSquared = 1 - ss/t
	}
	return out, nil
}

// Powers are the predictors of a polynomial: x, x², … to the degree.
//
// Shapes: n values -> n rows of degree columns.
// Units:  powers of the unit of x.
// Errors: none; a degree below 1 gives rows without columns.
// Source: definition.
func Powers(x []float64, degree int) [][]float64 {
	out := make([][]float64, len(x))
	for i, v := range x {
		p := v
		for range degree {
			out[i] = append(out[i], p)
			p *= v
		}
	}
	return out
}

// columns checks the model and turns it on its side.
func columns(x [][]float64, y []float64, intercept bool) ([][]float64, error) {
	if len(x) != len(y) {
		panic(fmt.Sprintf("summary: %d rows of predictors for %d values", len(x), len(y)))
	}
	if err := finite(y); err != nil {
		return nil, err
	}
	var m [][]float64
	if intercept {
		ones := make([]float64, len(y))
		for i := range ones {
			ones[i] = 1
		}
		m = append(m, ones)
	}
	for i, row := range x {
		if len(row) != len(x[0]) {
			return nil, fmt.Errorf("summary: row %d has %d predictors, the first has %d: all rows need as many", i, len(row), len(x[0]))
		}
		if err := finite(row); err != nil {
			return nil, fmt.Errorf("summary: row %d: %w", i, err)
		}
	}
	for j := 0; len(x) > 0 && j < len(x[0]); j++ {
		c := make([]float64, len(y))
		for i := range c {
			c[i] = x[i][j]
		}
		m = append(m, c)
	}
	if len(m) == 0 || len(m) >= len(y) {
		return nil, fmt.Errorf("summary: %d coefficients from %d rows: at least 1 coefficient, and more rows than that, are needed", len(m), len(y))
	}
	return m, nil
}

func squares(v []float64) float64 {
	sq := make([]float64, len(v))
	for i, x := range v {
		sq[i] = x * x
	}
	return Sum(sq)
}
