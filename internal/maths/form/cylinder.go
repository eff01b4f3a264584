package form

import (
	"fmt"
	"math"
)

// Cylinder is a reference cylinder or, with Taper, a slender cone. Its axis
// passes through (X, Y, 0) and runs along (DX, DY, 1).
type Cylinder struct {
	X, Y, DX, DY float64
	// R is the radius; of a cone, the radius where the axis passes z = 0.
	R float64
	// Taper is the change of radius for a unit of length along the axis.
	Taper float64
	Zone
}

// LeastSquaresCylinder returns the cylinder with the least sum of squared
// radial distances (LSCY) and the cylindricity about it.
//
//	min Σ (rᵢ − R)²,   rᵢ = distance of point i from the axis
//
// Partials leave out terms of the order width/R.
//
// Shapes: n ≥ 6 points -> cylinder, zone with n partials.
// Units:  one unit of length; DX, DY are slopes.
// Errors: fewer than six points; a value that is not finite; points at one
// height, or not round the axis.
// Valid:  axis within about 0.3 of the z direction.
// Source: ISO 12180-1:2011 (LSCY).
func LeastSquaresCylinder(pts []Point3) (Cylinder, error) { return fitCylinder(pts, 5) }

// LeastSquaresCone adds a steady taper to LeastSquaresCylinder: the zone that
// is left holds neither tilt nor taper.
//
//	min Σ (rᵢ − R − τ sᵢ)²,   sᵢ = distance along the axis from z = 0
//
// Shapes: n ≥ 7 points, otherwise as LeastSquaresCylinder.
// Source: least squares; the taper term is common practice, no source.
func LeastSquaresCone(pts []Point3) (Cylinder, error) { return fitCylinder(pts, 6) }

// MinimumZoneCylinder returns the two coaxial cylinders closest to each other
// that hold the points between them (MZCY). R is their mean radius.
//
// Exchanges on the distances linearised about the present axis, repeated until
// the width no longer falls: exact for the linear problem at each axis, so the
// end is a true local minimum next to the least-squares axis.
//
// Shapes, Units, Errors, Valid: as LeastSquaresCylinder.
// Source: ISO 12180-1:2011 (MZCY); ISO 1101:2017; method: exchange.
func MinimumZoneCylinder(pts []Point3) (Cylinder, error) {
	c, err := fitCylinder(pts, 5)
	if err != nil {
		return Cylinder{}, err
	}
	a := newAxis(pts)
	start := []float64{c.X + c.DX*a.mid - a.x, c.Y + c.DY*a.mid - a.y, c.DX * a.half, c.DY * a.half}
	p, zone, err := narrow(start, func(p []float64, jac [][]float64, r []float64) {
		for i := range pts {
			at := a.seen(p, i)
			r[i] = at.r
			copy(jac[i], at.move[:])
		}
	}, len(pts))
	if err != nil {
		return Cylinder{}, fmt.Errorf("form: minimum-zone cylinder of %d points: %w", len(pts), err)
	}
	lo, hi := math.Inf(1), 0.0
	for i := range pts {
		r := a.seen(p, i).r
		lo, hi = math.Min(lo, r), math.Max(hi, r)
	}
	return a.cylinder(p, (lo+hi)/2, 0, zone), nil
}

// fitCylinder does damped Gauss-Newton steps with k = 5 or, with taper, 6.
func fitCylinder(pts []Point3, k int) (Cylinder, error) {
	if len(pts) <= k {
		return Cylinder{}, fmt.Errorf("form: cylinder from %d points: at least %d are needed", len(pts), k+1)
	}
	if _, err := middle(pts); err != nil {
		return Cylinder{}, err
	}
	flat := make([]Point, len(pts))
	for i, p := range pts {
		flat[i] = Point{p.X, p.Y}
	}
	c, err := geometricCircle(flat)
	if err != nil {
		return Cylinder{}, fmt.Errorf("form: cylinder seen along z: %w", err)
	}
	a := newAxis(pts)
	if a.half == 0 {
		return Cylinder{}, fmt.Errorf("form: all %d points of the cylinder lie at height %g: at least two heights are needed", len(pts), pts[0].Z)
	}
	p := make([]float64, 6)
	p[0], p[1], p[4] = c.X-a.x, c.Y-a.y, c.R
	a.lean(p)
	jac, e := rows(len(pts), k), make([]float64, len(pts))
	sum := a.residuals(p, jac, e)
	for range 200 {
		d, ok := leastSquares(jac, e)
		if !ok {
			return Cylinder{}, fmt.Errorf("form: the %d points do not fix a cylinder: points round the axis at two heights or more are needed", len(pts))
		}
		next, lower := append([]float64(nil), p...), false
		for t := 1.0; t > 1e-6 && !lower; t /= 2 {
			for i := range d {
				next[i] = p[i] + t*d[i]
			}
			s := a.residuals(next, jac, e)
			if lower = s < sum; lower {
				sum = s
			}
		}
		if lower {
			p = next
			continue
		}
		if math.Sqrt(dot(d, d)) > 1e-6*p[4] {
			break
		}
		// The sum of squares is at its rounding floor, where the whole step
		// still betters the axis.
		for i := range d {
			p[i] += d[i]
		}
		a.residuals(p, jac, e)
		return a.cylinder(p, p[4], p[5], peakToValley(jac, e, nil, 16*ulp*p[4])), nil
	}
	return Cylinder{}, fmt.Errorf("form: the cylinder through %d points does not settle: its axis must run near z", len(pts))
}

// axis holds the points in coordinates in which the parameters (x, y, and the
// slopes times half the length) are all lengths about the middle height.
type axis struct {
	pts       []Point3
	x, y      float64
	mid, half float64
}

func newAxis(pts []Point3) axis {
	m, _ := middle(pts)
	z := make([]float64, len(pts))
	for i, p := range pts {
		z[i] = p.Z
	}
	a := axis{pts: pts, x: m.X, y: m.Y}
	a.mid, a.half = midSpan(z)
	return a
}

// lean gives p a first axis from the linear least squares of
//
//	x² + y² = 2X x + 2Y y + 2D_x xz + 2D_y yz + c
//
// about the middle, which leaves out only squares of the slope.
func (a axis) lean(p []float64) {
	jac, z := rows(len(a.pts), 5), make([]float64, len(a.pts))
	for i, q := range a.pts {
		x, y, h := q.X-a.x, q.Y-a.y, (q.Z-a.mid)/a.half
		copy(jac[i], []float64{2 * x, 2 * y, 2 * x * h, 2 * y * h, 1})
		z[i] = x*x + y*y
	}
	f, ok := leastSquares(jac, z)
	if !ok || f[4]+f[0]*f[0]+f[1]*f[1] <= 0 {
		return
	}
	copy(p[:4], f[:4])
	p[4] = math.Sqrt(f[4] + f[0]*f[0] + f[1]*f[1])
}

// sight is a point as seen from the axis.
type sight struct {
	r, s  float64    // distance from the axis, and along it from the middle
	move  [4]float64 // −∂r/∂p
	slide [4]float64 // −∂s/∂p
}

// seen measures point i from the axis
//
//	P = A + t D + q,  q ⊥ D,  r = |q|,  s = t|D|
//
// whose partials are −∂r/∂A = q/r and −∂r/∂D = t q/r.
func (a axis) seen(p []float64, i int) sight {
	d := Point3{p[2] / a.half, p[3] / a.half, 1}
	v := Point3{a.pts[i].X - a.x - p[0], a.pts[i].Y - a.y - p[1], a.pts[i].Z - a.mid}
	dd := inner(d, d)
	t, l := inner(v, d)/dd, math.Sqrt(dd)
	q := Point3{v.X - t*d.X, v.Y - t*d.Y, v.Z - t}
	out := sight{r: math.Sqrt(inner(q, q)), s: t * l}
	if out.r == 0 {
		return out
	}
	ux, uy := q.X/out.r, q.Y/out.r
	out.move = [4]float64{ux, uy, t * ux / a.half, t * uy / a.half}
	out.slide = [4]float64{d.X / l, d.Y / l, (t*d.X - v.X) / (l * a.half), (t*d.Y - v.Y) / (l * a.half)}
	return out
}

// residuals fills e = r − R − τ s/half and its negative Jacobian, and returns
// the sum of squares.
func (a axis) residuals(p []float64, jac [][]float64, e []float64) (sum float64) {
	for i := range a.pts {
		at := a.seen(p, i)
		e[i] = at.r - p[4] - p[5]*at.s/a.half
		for c := range 4 {
			jac[i][c] = at.move[c] - p[5]*at.slide[c]/a.half
		}
		jac[i][4] = 1
		if len(jac[i]) > 5 {
			jac[i][5] = at.s / a.half
		}
		sum += e[i] * e[i]
	}
	return sum
}

// cylinder returns to the caller's coordinates; r and taper are at the middle.
func (a axis) cylinder(p []float64, r, taper float64, z Zone) Cylinder {
	dx, dy := p[2]/a.half, p[3]/a.half
	tau := taper / a.half
	return Cylinder{
		X: a.x + p[0] - dx*a.mid, Y: a.y + p[1] - dy*a.mid, DX: dx, DY: dy,
		R: r - tau*a.mid*math.Sqrt(1+dx*dx+dy*dy), Taper: tau, Zone: z,
	}
}
