package form

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// The algebraic circles minimise F = A(x²+y²) + Bx + Cy + D instead of a
// distance; they differ in the scale they set for A, B, C, D. They serve as
// starting values and as checks; none is a reference circle of ISO 12181-1.

// Kasa returns the circle that minimises Σ F² with A = 1.
//
// Shapes: n ≥ 4 points -> circle.
// Units:  one unit of length.
// Errors: fewer than four points; a value that is not finite; collinear points.
// Source: I. Kåsa, IEEE Trans. Instrum. Meas. 25 (1976) 8-14, from memory.
func Kasa(pts []Point) (Circle, error) {
	mid, reach, err := roundPoints(pts)
	if err != nil {
		return Circle{}, err
	}
	jac, z := rows(len(pts), 3), make([]float64, len(pts))
	for i, p := range pts {
		x, y := (p.X-mid.X)/reach, (p.Y-mid.Y)/reach
		jac[i][0], jac[i][1], jac[i][2] = x, y, 1
		z[i] = -(x*x + y*y)
	}
	f, ok := leastSquares(jac, z)
	if !ok {
		return Circle{}, lineError(len(pts))
	}
	return fromForm(1, f[0], f[1], f[2], mid, reach, len(pts))
}

// Taubin returns the circle that minimises Σ F² / Σ |grad F|².
//
//	4A²·mean(x²+y²) + B² + C² = 1  about the centroid
//
// which is the smallest singular vector of the columns
// ((x²+y² − mean)/(2√mean), x, y).
//
// Shapes, Units, Errors: as Kasa.
// Source: G. Taubin, IEEE Trans. PAMI 13 (1991) 1115-1138, from memory.
func Taubin(pts []Point) (Circle, error) {
	mid, reach, err := roundPoints(pts)
	if err != nil {
		return Circle{}, err
	}
	m, zMean := mat.NewDense(len(pts), 3, nil), 0.0
	for i, p := range pts {
		x, y := (p.X-mid.X)/reach, (p.Y-mid.Y)/reach
		m.SetRow(i, []float64{x*x + y*y, x, y})
		zMean += (x*x + y*y) / float64(len(pts))
	}
	for i := range pts {
		m.Set(i, 0, (m.At(i, 0)-zMean)/(2*math.Sqrt(zMean)))
	}
	var svd mat.SVD
	if !svd.Factorize(m, mat.SVDThin) {
		return Circle{}, lineError(len(pts))
	}
	var v mat.Dense
	svd.VTo(&v)
	a := v.At(0, 2) / (2 * math.Sqrt(zMean))
	return fromForm(a, v.At(1, 2), v.At(2, 2), -zMean*a, mid, reach, len(pts))
}

// Pratt returns the circle that minimises Σ F² with B² + C² − 4AD = 1: the
// smallest eigenvalue η ≥ 0 of M v = η N v, M the moments of (x²+y², x, y, 1)
// and N the matrix of the scale.
//
// Shapes, Units, Errors: as Kasa.
// Source: V. Pratt, SIGGRAPH Computer Graphics 21 (1987) 145-152, from memory.
func Pratt(pts []Point) (Circle, error) {
	mid, reach, err := roundPoints(pts)
	if err != nil {
		return Circle{}, err
	}
	d := mat.NewDense(len(pts), 4, nil)
	for i, p := range pts {
		x, y := (p.X-mid.X)/reach, (p.Y-mid.Y)/reach
		d.SetRow(i, []float64{x*x + y*y, x, y, 1})
	}
	inverse := mat.NewDense(4, 4, []float64{0, 0, 0, -0.5, 0, 1, 0, 0, 0, 0, 1, 0, -0.5, 0, 0, 0})
	var moments, system mat.Dense
	moments.Mul(d.T(), d)
	system.Mul(inverse, &moments)
	var eig mat.Eigen
	if !eig.Factorize(&system, mat.EigenRight) {
		return Circle{}, lineError(len(pts))
	}
	var vec mat.CDense
	eig.VectorsTo(&vec)
	best := -1
	values := eig.Values(nil)
	for i, l := range values {
		if real(l) > -1e-12*float64(len(pts)) && (best < 0 || real(l) < real(values[best])) {
			best = i
		}
	}
	if best < 0 {
		return Circle{}, lineError(len(pts))
	}
	at := func(r int) float64 { return real(vec.At(r, best)) }
	return fromForm(at(0), at(1), at(2), at(3), mid, reach, len(pts))
}

// fromForm turns the form in centred, scaled coordinates into a circle.
func fromForm(a, b, c, d float64, mid Point, reach float64, n int) (Circle, error) {
	if math.Abs(a) < 1e-9*math.Hypot(b, c) {
		return Circle{}, lineError(n)
	}
	x, y := -b/(2*a), -c/(2*a)
	r2 := x*x + y*y - d/a
	if !(r2 > 0) {
		return Circle{}, lineError(n)
	}
	return Circle{mid.X + reach*x, mid.Y + reach*y, reach * math.Sqrt(r2)}, nil
}

// roundPoints refuses what cannot hold a circle and returns the scaling.
func roundPoints(pts []Point) (mid Point, reach float64, err error) {
	if len(pts) < 4 {
		return mid, 0, fmt.Errorf("form: roundness of %d points: at least 4 are needed", len(pts))
	}
	for i, p := range pts {
		if s := p.X + p.Y; math.IsNaN(s) || math.IsInf(s, 0) {
			return mid, 0, fmt.Errorf("form: point %d is (%v, %v): finite numbers are needed", i, p.X, p.Y)
		}
	}
	mid, reach = centred(pts)
	if reach == 0 {
		return mid, 0, fmt.Errorf("form: all %d points are the same: points round the feature are needed", len(pts))
	}
	return mid, reach, nil
}

// centred returns the mean point and the greatest distance from it.
func centred(pts []Point) (mid Point, reach float64) {
	for _, p := range pts {
		mid.X += p.X / float64(len(pts))
		mid.Y += p.Y / float64(len(pts))
	}
	for _, p := range pts {
		reach = math.Max(reach, math.Hypot(p.X-mid.X, p.Y-mid.Y))
	}
	return mid, reach
}
