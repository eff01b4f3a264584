package form

import (
	"fmt"
	"math"
)

// Cut is the least cut that cleans up a whole face: a plane of chosen tilt
// through the lowest reading.
type Cut struct {
	// Plane is the face after the cut.
	Plane Plane
	// Removal is what comes off at each reading, along the normal; nothing at
	// Low, Depth at High, the high spot.
	Removal   []float64
	Depth     float64
	High, Low int
	// Tied says that a small change of the readings may choose another lowest
	// or highest one, or another tilt: partials are one of several sets.
	Tied bool

	x, y   []float64
	dB, dC []float64 // ∂tilt/∂z
	rise   float64   // n_z
}

// CutAlong works out the least cut with a tilt that is set, such as square to
// the cylinders or as the face is clamped; the tilt has no doubt here. Only B
// and C of the plane matter.
//
//	rᵢ = n_z [(zᵢ − B xᵢ − C yᵢ) − minⱼ (zⱼ − B xⱼ − C yⱼ)],   n_z = 1/√(1 + B² + C²)
//	depth = max rᵢ
//
// The face between the readings may be lower than the lowest reading; the cut
// then leaves a trace there.
//
// Shapes: n ≥ 1 points -> cut with n removals.
// Units:  one unit of length.
// Errors: no points; a value that is not finite.
// Source: geometry.
func CutAlong(pts []Point3, tilt Plane) (Cut, error) {
	if len(pts) < 1 {
		return Cut{}, fmt.Errorf("form: cut of a face without points: at least 1 is needed")
	}
	if _, err := middle(pts); err != nil {
		return Cut{}, err
	}
	if s := tilt.B + tilt.C; math.IsNaN(s) || math.IsInf(s, 0) {
		return Cut{}, fmt.Errorf("form: cut with a tilt of %v and %v: finite numbers are needed", tilt.B, tilt.C)
	}
	return cutOf(pts, tilt, make([]float64, len(pts)), make([]float64, len(pts))), nil
}

// CutLeastSquares is the least cut parallel to the least-squares plane: the face
// is set up to its mean lie. Its depth is the flatness about that plane.
//
//	∂(B, C)/∂z from S⁻¹Jᵀ of the plane
//
// Shapes, Units: as CutAlong, n ≥ 4. Errors, Source: as LeastSquaresPlane.
// Valid: partials to (slope + depth/length)², below 10⁻⁵ for a tilt under 1 mm in
// a metre.
func CutLeastSquares(pts []Point3) (Cut, error) {
	p, z, err := LeastSquaresPlane(pts)
	if err != nil {
		return Cut{}, err
	}
	mid, _ := middle(pts)
	jac := rows(len(pts), 3)
	for i, q := range pts {
		jac[i][0], jac[i][1], jac[i][2] = 1, q.X-mid.X, q.Y-mid.Y
	}
	dB, _ := sensitivity(jac, 1)
	dC, _ := sensitivity(jac, 2)
	c := cutOf(pts, p, dB, dC)
	c.Tied = c.Tied || z.Tied
	return c, nil
}

// CutMinimumZone is the least cut of all: parallel to the minimum-zone planes.
// Its depth is the flatness; no other tilt cleans up with less.
//
//	H + B xᵢ + C yᵢ = zᵢ at the upper contacts, L + B xᵢ + C yᵢ = zᵢ at the lower
//
// holds as the readings change, which gives ∂(B, C)/∂z.
//
// Shapes, Units: as CutAlong, n ≥ 4. Errors, Source: as MinimumZonePlane.
// Valid: as CutLeastSquares.
func CutMinimumZone(pts []Point3) (Cut, error) {
	p, z, err := MinimumZonePlane(pts)
	if err != nil {
		return Cut{}, err
	}
	mid, _ := middle(pts)
	var at []int
	var jac [][]float64
	for side, list := range [][]int{z.High, z.Low} {
		for _, i := range list {
			row := []float64{0, 0, pts[i].X - mid.X, pts[i].Y - mid.Y}
			row[side] = 1
			at, jac = append(at, i), append(jac, row)
		}
	}
	spread := func(column int) ([]float64, bool) {
		out := make([]float64, len(pts))
		d, ok := sensitivity(jac, column)
		for k, v := range d {
			out[at[k]] += v
		}
		return out, ok
	}
	dB, okB := spread(2)
	dC, okC := spread(3)
	c := cutOf(pts, p, dB, dC)
	c.Tied = z.Tied || !okB || !okC
	return c, nil
}

// sensitivity returns ∂p/∂z of one coefficient of a linear fit; false, and
// nothing, where the rows do not settle it.
func sensitivity(jac [][]float64, column int) ([]float64, bool) {
	for _, s := range columnNorms(jac) {
		if s == 0 {
			return nil, false
		}
	}
	unit := make([]float64, len(jac[0]))
	unit[column] = 1
	w, ok := curvatureSolve(jac, unit, nil)
	if !ok {
		return nil, false
	}
	out := make([]float64, len(jac))
	for i, row := range jac {
		out[i] = dot(w, row)
	}
	return out, true
}

func cutOf(pts []Point3, tilt Plane, dB, dC []float64) Cut {
	c := Cut{dB: dB, dC: dC, rise: 1 / math.Sqrt(1+tilt.B*tilt.B+tilt.C*tilt.C)}
	e := make([]float64, len(pts))
	scale := 0.0
	for i, p := range pts {
		c.x, c.y = append(c.x, p.X), append(c.y, p.Y)
		e[i] = p.Z - tilt.B*p.X - tilt.C*p.Y
		scale = math.Max(scale, math.Abs(p.Z)+math.Abs(tilt.B*p.X)+math.Abs(tilt.C*p.Y))
	}
	high, low, _ := contacts(e, 8*ulp*scale)
	c.High, c.Low = high[0], low[0]
	c.Tied = len(high) > 1 || len(low) > 1
	c.Plane = Plane{e[c.Low], tilt.B, tilt.C}
	for _, v := range e {
		c.Removal = append(c.Removal, math.Max(0, v-e[c.Low])*c.rise)
	}
	c.Depth = c.Removal[c.High]
	return c
}

// RemovalPartials returns ∂rᵢ/∂z of the removal at one reading; for i = High
// they are those of the depth.
//
// Shapes: index -> n partials.
// Units:  none.
// Errors: panics where there is no such reading.
// Source: geometry.
func (c Cut) RemovalPartials(i int) []float64 {
	return c.partials(c.x[i], c.y[i], c.Removal[i], func(out []float64) { out[i]++ })
}

// partials of r = (h − lowest)·n_z at a place; own adds ∂h/∂z. The tilt turns the
// normal too: ∂n_z/∂z = −n_z³·(B·∂B/∂z + C·∂C/∂z).
func (c Cut) partials(x, y, r float64, own func([]float64)) []float64 {
	out := make([]float64, len(c.x))
	own(out)
	out[c.Low]--
	dx, dy := x-c.x[c.Low], y-c.y[c.Low]
	for j := range out {
		out[j] = c.rise*(out[j]-dx*c.dB[j]-dy*c.dC[j]) - r*c.rise*c.rise*(c.Plane.B*c.dB[j]+c.Plane.C*c.dC[j])
	}
	return out
}

// Left returns what is left above a minimum thickness after the cut at a
// reading where the thickness before it is known, and the partials with respect
// to the readings; that with respect to the thickness is 1. Below nought the
// part does not clean up within its minimum.
//
//	left = t − rᵢ − t_min
//
// Shapes: index, scalars -> scalar, n partials.
// Units:  one unit of length.
// Errors: panics where there is no such reading.
// Source: geometry.
func (c Cut) Left(i int, thickness, least float64) (left float64, partials []float64) {
	return thickness - c.Removal[i] - least, negative(c.RemovalPartials(i))
}

// LeftAt is Left at a place between the readings, with the face there from its
// surface through the same readings.
//
// Shapes, Units, Source: as Left.
// Errors: a place outside the hull of the readings; panics on a surface of
// another number of readings.
func (c Cut) LeftAt(s *Surface, at Point, thickness, least float64) (left float64, partials []float64, err error) {
	sameLength("cut and surface", len(c.x), len(s.z))
	h, inside := s.At(at.X, at.Y)
	if !inside {
		return 0, nil, fmt.Errorf("form: thickness at (%v, %v): the place must lie among the readings of the face", at.X, at.Y)
	}
	w, _ := s.Weights(at.X, at.Y)
	r := (h - c.Plane.At(at.X, at.Y)) * c.rise
	p := c.partials(at.X, at.Y, r, func(out []float64) { copy(out, w) })
	return thickness - r - least, negative(p), nil
}

func negative(v []float64) []float64 {
	for i := range v {
		v[i] = -v[i]
	}
	return v
}

// Missed lists the readings that a shallower cut of the same tilt, measured from
// the high spot, does not reach.
//
// Shapes: scalar -> list of indices.
// Units:  depth in the unit of length.
// Errors: none; a cut of Depth or more misses nothing.
// Source: geometry.
func (c Cut) Missed(depth float64) []int {
	var out []int
	for i, r := range c.Removal {
		if r < c.Depth-depth {
			out = append(out, i)
		}
	}
	return out
}
