package form

import (
	"fmt"
	"math"
)

// Line is z = Intercept + Slope·x.
type Line struct{ Intercept, Slope float64 }

// At returns the height of the line over x.
func (l Line) At(x float64) float64 { return l.Intercept + l.Slope*x }

// LeastSquaresLine returns the least-squares line of a straightness profile
// and the zone of the profile about it (peak to valley, STRt against LSLI).
//
//	min Σ (zᵢ − a − b xᵢ)²      w = max e − min e
//
// Heights are taken along z, not across the line, so x and z may have
// different units; at a slope of 10⁻⁴ the difference is 5·10⁻⁹ of the width.
//
// Shapes: n ≥ 3 positions and heights -> line, zone with n partials.
// Units:  x any, z any; width in units of z, slope in z per x.
// Errors: fewer than three points; a value that is not finite; all x equal.
// Source: ISO 12780-1:2011, least-squares reference line.
func LeastSquaresLine(x, z []float64) (Line, Zone, error) {
	line, jac, e, err := regress(x, z)
	if err != nil {
		return Line{}, Zone{}, err
	}
	return line, peakToValley(jac, e, nil, rounding(z)), nil
}

// MinimumZoneLine returns the middle line of the two parallel lines closest to
// each other that hold the profile between them (MZLI), and that zone.
// The answer is exact: the zone ends on two points of one side with one point
// of the other between them.
//
// Shapes, Units, Errors: as LeastSquaresLine.
// Source: ISO 12780-1:2011, minimum-zone reference lines; method: exchange.
func MinimumZoneLine(x, z []float64) (Line, Zone, error) {
	line, jac, e, err := regress(x, z)
	if err != nil {
		return Line{}, Zone{}, err
	}
	a := make([][]float64, len(jac))
	for i, row := range jac {
		a[i] = row[1:]
	}
	best, err := exchange(a, e, math.Inf(1))
	if err != nil {
		return Line{}, Zone{}, fmt.Errorf("form: minimum-zone line of %d points: %w", len(x), err)
	}
	mid := mean(x)
	line.Intercept += best.high - best.width/2 - best.p[0]*mid
	line.Slope += best.p[0]
	return line, best.zone(a, e, rounding(z)), nil
}

// AgainstEnds returns the heights above the straight line through the first
// and the last point.
//
//	hᵢ = zᵢ − z₁ − (zₙ − z₁)(xᵢ − x₁)/(xₙ − x₁)
//
// Shapes, Units, Errors: as LeastSquaresLine; first and last x must differ.
// Source: common practice, no source.
func AgainstEnds(x, z []float64) ([]float64, error) {
	if err := profile(x, z); err != nil {
		return nil, err
	}
	n := len(x) - 1
	if x[0] == x[n] {
		return nil, fmt.Errorf("form: first and last point both lie at %g: the end line needs two places", x[0])
	}
	out := make([]float64, n+1)
	slope := (z[n] - z[0]) / (x[n] - x[0])
	for i := 1; i < n; i++ {
		out[i] = z[i] - z[0] - slope*(x[i]-x[0])
	}
	return out, nil
}

func profile(x, z []float64) error {
	sameLength("profile positions and heights", len(x), len(z))
	if len(x) < 3 {
		return fmt.Errorf("form: straightness of %d points: at least 3 are needed", len(x))
	}
	if err := finite("position", x); err != nil {
		return err
	}
	return finite("height", z)
}

// regress fits the line about the mean position; the rows of jac are (1, x−x̄).
func regress(x, z []float64) (line Line, jac [][]float64, e []float64, err error) {
	if err := profile(x, z); err != nil {
		return line, nil, nil, err
	}
	mid, level := mean(x), mean(z)
	jac, e = rows(len(x), 2), make([]float64, len(x))
	for i := range x {
		jac[i][0], jac[i][1] = 1, x[i]-mid
		e[i] = z[i] - level
	}
	p, ok := leastSquares(jac, e)
	if !ok {
		return line, nil, nil, fmt.Errorf("form: straightness: all %d points lie at %g: at least two different places are needed", len(x), x[0])
	}
	for i := range e {
		e[i] -= p[0] + p[1]*jac[i][1]
	}
	return Line{Intercept: level + p[0] - p[1]*mid, Slope: p[1]}, jac, e, nil
}

// zone dresses the answer of an exchange with its contacts.
func (b exchanged) zone(a [][]float64, z []float64, floor float64) Zone {
	e := make([]float64, len(z))
	for i := range e {
		e[i] = z[i] - dot(a[i], b.p)
	}
	out := Zone{Partials: b.weights, Tied: b.tied}
	out.High, out.Low, out.Width = contacts(e, floor)
	return out
}

func mean(v []float64) float64 {
	var s float64
	for _, x := range v {
		s += x
	}
	return s / float64(len(v))
}

// rounding is the error of a residual of values this large.
func rounding(v []float64) float64 {
	var big float64
	for _, x := range v {
		big = math.Max(big, math.Abs(x))
	}
	return 8 * ulp * big
}
