package form

import (
	"fmt"
	"math"
)

// Plane is z = A + B·x + C·y.
type Plane struct{ A, B, C float64 }

// At returns the height of the plane over (x, y).
func (p Plane) At(x, y float64) float64 { return p.A + p.B*x + p.C*y }

// LeastSquaresPlane returns the plane with the least sum of squared normal
// distances and the zone of the points about it (FLTt against LSPL).
//
//	min Σ dᵢ²,  dᵢ = (zᵢ − A − B xᵢ − C yᵢ)/√(1 + B² + C²)      w = max d − min d
//
// Partials are with respect to zᵢ and exact: a point moved along z also moves
// within a sloping plane, and the normal distances pull at the slope,
//
//	dp = S⁻¹ [n_z Jⱼᵀ + dⱼ (0, u_z, v_z)ᵀ] dzⱼ,   S = JᵀJ − Σ d² diag(0, 1, 1)
//
// with u, v the axes in the plane and n its normal.
//
// Shapes: n ≥ 4 points -> plane, zone with n partials.
// Units:  one unit of length for x, y, z and width.
// Errors: fewer than four points; a value that is not finite; points in a line
// when seen along z.
// Valid:  surfaces that z can be read over: slope of the plane up to about 1.
// Source: ISO 12781-1:2011, least-squares reference plane.
func LeastSquaresPlane(pts []Point3) (Plane, Zone, error) {
	return fitPlane("least-squares", pts, func(a [][]float64, h []float64, rise Point3, floor float64) ([]float64, float64, Zone, error) {
		jac := rows(len(h), 3)
		for i := range jac {
			jac[i][0], jac[i][1], jac[i][2] = 1, a[i][0], a[i][1]
		}
		p, ok := leastSquares(jac, h)
		if !ok {
			return nil, 0, Zone{}, errRank
		}
		e := make([]float64, len(h))
		for i := range e {
			e[i] = h[i] - dot(jac[i], p)
		}
		curve := func(s [][]float64) {
			s[1][1] -= dot(e, e)
			s[2][2] -= dot(e, e)
		}
		z := peakToValley(jac, e, curve, floor)
		top, bottom := jac[z.High[0]], jac[z.Low[0]]
		w, _ := curvatureSolve(jac, []float64{0, top[1] - bottom[1], top[2] - bottom[2]}, curve)
		for i := range z.Partials {
			z.Partials[i] *= rise.Z
			if w != nil {
				z.Partials[i] -= e[i] * (w[1]*rise.X + w[2]*rise.Y)
			}
		}
		return p[1:], p[0], z, nil
	})
}

// MinimumZonePlane returns the middle plane of the two parallel planes closest
// to each other that hold all points between them (MZPL), and that zone,
// measured along its normal.
//
// The exchange is exact for the vertical zone; the frame is then turned into
// the zone found and the exchange repeated until the zone no longer turns. The
// zone ends on three points against one inside their triangle, or two against
// two crossing.
//
// Shapes, Units, Errors, Valid: as LeastSquaresPlane. A surface as thick as it
// is wide may have several zones, and one near the z direction is found; of
// zones whose widths agree to (width/length)², either.
// Source: ISO 12781-1:2011, minimum-zone reference planes; method: exchange.
func MinimumZonePlane(pts []Point3) (Plane, Zone, error) {
	return fitPlane("minimum-zone", pts, func(a [][]float64, h []float64, rise Point3, floor float64) ([]float64, float64, Zone, error) {
		best, err := exchange(a, h, math.Inf(1))
		if err != nil {
			return nil, 0, Zone{}, err
		}
		return best.p, best.high - best.width/2, best.zone(a, h, floor).times(rise.Z), nil
	})
}

// times scales the partials.
func (z Zone) times(k float64) Zone {
	for i := range z.Partials {
		z.Partials[i] *= k
	}
	return z
}

// flatFit fits h ≈ level + a·slope in one frame; rise is what a unit of z adds
// to the two coordinates in the plane and to the height.
type flatFit func(a [][]float64, h []float64, rise Point3, floor float64) (slope []float64, level float64, z Zone, err error)

// fitPlane turns the frame until the fit has no slope in it.
func fitPlane(what string, pts []Point3, fit flatFit) (Plane, Zone, error) {
	if len(pts) < 4 {
		return Plane{}, Zone{}, fmt.Errorf("form: flatness of %d points: at least 4 are needed", len(pts))
	}
	mid, err := middle(pts)
	if err != nil {
		return Plane{}, Zone{}, err
	}
	u, v, n := Point3{X: 1}, Point3{Y: 1}, Point3{Z: 1}
	a, h := rows(len(pts), 2), make([]float64, len(pts))
	var zone Zone
	var level float64
	for range 12 {
		for i, p := range pts {
			d := Point3{p.X - mid.X, p.Y - mid.Y, p.Z - mid.Z}
			a[i][0], a[i][1], h[i] = inner(u, d), inner(v, d), inner(n, d)
		}
		var slope []float64
		slope, level, zone, err = fit(a, h, Point3{u.Z, v.Z, n.Z}, 64*ulp*math.Sqrt(inner(mid, mid)))
		if err != nil {
			return Plane{}, Zone{}, fmt.Errorf("form: %s plane of %d points: %w: points must not lie in one line", what, len(pts), err)
		}
		if math.Hypot(slope[0], slope[1]) < 1e-11 {
			break
		}
		n = unit(Point3{n.X - slope[0]*u.X - slope[1]*v.X, n.Y - slope[0]*u.Y - slope[1]*v.Y, n.Z - slope[0]*u.Z - slope[1]*v.Z})
		u = unit(Point3{n.Z, 0, -n.X})
		v = Point3{n.Y*u.Z - n.Z*u.Y, n.Z*u.X - n.X*u.Z, n.X*u.Y - n.Y*u.X}
	}
	b, c := -n.X/n.Z, -n.Y/n.Z
	return Plane{A: mid.Z + level/n.Z - b*mid.X - c*mid.Y, B: b, C: c}, zone, nil
}

// middle returns the mean point and refuses what is not finite.
func middle(pts []Point3) (Point3, error) {
	var m Point3
	for i, p := range pts {
		if s := p.X + p.Y + p.Z; math.IsNaN(s) || math.IsInf(s, 0) {
			return m, fmt.Errorf("form: point %d is (%v, %v, %v): finite numbers are needed", i, p.X, p.Y, p.Z)
		}
		m = Point3{m.X + p.X, m.Y + p.Y, m.Z + p.Z}
	}
	n := float64(len(pts))
	return Point3{m.X / n, m.Y / n, m.Z / n}, nil
}

func inner(a, b Point3) float64 { return a.X*b.X + a.Y*b.Y + a.Z*b.Z }

func unit(a Point3) Point3 {
	l := math.Sqrt(inner(a, a))
	return Point3{a.X / l, a.Y / l, a.Z / l}
}
