package form

import (
	"fmt"
	"math"
)

// Round is a reference circle with the zone of the profile about its centre.
type Round struct {
	X, Y float64 // centre
	R    float64 // radius of the reference circle
	// Inner and Outer are the distances from the centre to the nearest and the
	// furthest point; their difference is the roundness Zone.Width.
	Inner, Outer float64
	Zone
	// RadiusPartials holds ∂R/∂height, heights taken radially outward; nil
	// for the minimum-zone circle, whose two radii may not be unique.
	RadiusPartials []float64
}

// LeastSquaresCircle returns the circle with the least sum of squared radial
// distances (LSCI) and the roundness about it.
//
//	min Σ eᵢ²,  eᵢ = √((xᵢ−a)² + (yᵢ−b)²) − R
//
// Damped Gauss-Newton steps from Taubin's algebraic circle. The algebraic
// circle itself is biased towards small radii on an arc and is no reference
// circle of the standard.
//
// Shapes: n ≥ 4 points -> circle, zone and radius partials of n.
// Units:  one unit of length.
// Errors: fewer than four points; a value that is not finite; points that fit
// a straight line as well as any circle.
// Source: ISO 12181-1:2011 (LSCI); W. Gander, G.H. Golub, R. Strebel,
// "Least-squares fitting of circles and ellipses", BIT 34 (1994) 558-578.
func LeastSquaresCircle(pts []Point) (Round, error) {
	c, err := geometricCircle(pts)
	if err != nil {
		return Round{}, err
	}
	jac, e, out := rows(len(pts), 3), make([]float64, len(pts)), c.seen(pts)
	for i, p := range pts {
		r := math.Hypot(p.X-c.X, p.Y-c.Y)
		jac[i][0], jac[i][1], jac[i][2] = (p.X-c.X)/r, (p.Y-c.Y)/r, 1
		e[i] = r - c.R
	}
	curve := func(s [][]float64) {
		for i, j := range jac {
			w := e[i] / (e[i] + c.R)
			s[0][0] += w * j[1] * j[1]
			s[1][1] += w * j[0] * j[0]
			s[0][1] -= w * j[0] * j[1]
			s[1][0] -= w * j[0] * j[1]
		}
	}
	out.Zone = peakToValley(jac, e, curve, 8*ulp*c.R)
	out.RadiusPartials = make([]float64, len(pts))
	if w, ok := curvatureSolve(jac, []float64{0, 0, 1}, curve); ok {
		for i, j := range jac {
			out.RadiusPartials[i] = dot(w, j)
		}
	}
	return out, nil
}

// geometricCircle does the iteration of LeastSquaresCircle.
func geometricCircle(pts []Point) (Circle, error) {
	c, err := Taubin(pts)
	if err != nil {
		return Circle{}, err
	}
	_, reach := centred(pts)
	jac, e := rows(len(pts), 3), make([]float64, len(pts))
	sum := c.sumOfSquares(pts)
	for range 400 {
		for i, p := range pts {
			r := math.Hypot(p.X-c.X, p.Y-c.Y)
			if r == 0 {
				return Circle{}, fmt.Errorf("form: point %d lies in the centre of the fitted circle: these are not points of a round feature", i)
			}
			jac[i][0], jac[i][1], jac[i][2] = (p.X-c.X)/r, (p.Y-c.Y)/r, 1
			e[i] = r - c.R
		}
		d, ok := leastSquares(jac, e)
		if !ok || c.R > 1e7*reach {
			return Circle{}, lineError(len(pts))
		}
		next, lower := c, false
		for t := 1.0; t > 1e-6 && !lower; t /= 2 {
			next = Circle{c.X + t*d[0], c.Y + t*d[1], c.R + t*d[2]}
			s := next.sumOfSquares(pts)
			if lower = s < sum; lower {
				sum = s
			}
		}
		small := math.Hypot(d[0], d[1])+math.Abs(d[2]) < 1e-10*c.R
		if small || !lower {
			// At the rounding floor of the sum of squares a full step is still
			// the better centre.
			if small {
				c = Circle{c.X + d[0], c.Y + d[1], c.R + d[2]}
			}
			return c, nil
		}
		c = next
	}
	return Circle{}, fmt.Errorf("form: least-squares circle of %d points does not settle: they fit a line as well as a circle", len(pts))
}

// Circle is a centre and a radius.
type Circle struct{ X, Y, R float64 }

func (c Circle) sumOfSquares(pts []Point) float64 {
	var s float64
	for _, p := range pts {
		e := math.Hypot(p.X-c.X, p.Y-c.Y) - c.R
		s += e * e
	}
	return s
}

// seen starts a Round with what the points look like from the centre of c.
func (c Circle) seen(pts []Point) Round {
	out := Round{X: c.X, Y: c.Y, R: c.R, Inner: math.Inf(1)}
	for _, p := range pts {
		r := math.Hypot(p.X-c.X, p.Y-c.Y)
		out.Inner, out.Outer = math.Min(out.Inner, r), math.Max(out.Outer, r)
	}
	return out
}

func lineError(n int) error {
	return fmt.Errorf("form: the %d points fit a straight line as well as any circle: points round the feature are needed", n)
}
