package form

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// Surface is a face interpolated between its readings, for a picture and for a
// height at a place that was not read. It is a guess between readings, never a
// reading: verdicts are made from the readings.
type Surface struct {
	at     []Point // places, centred and scaled
	mid    Point
	scale  float64
	z      []float64
	coef   []float64 // of each place, then of 1, x, y
	system mat.LU
	hull   []Point // as read, counter-clockwise
	// Least and Most are the lowest and the highest reading.
	Least, Most float64
}

// mostPlaces is the number of readings up to which a surface is solved.
const mostPlaces = 2000

// NewSurface lays the thin-plate spline through the readings of a face, the
// surface that bends least of all that pass through them.
//
//	z(p) = a₀ + a₁x + a₂y + Σ cᵢ φ(|p − pᵢ|),   φ(r) = r² ln r
//	z(pᵢ) = zᵢ,   Σcᵢ = Σcᵢxᵢ = Σcᵢyᵢ = 0
//
// It passes through every reading and gives back a plane exactly. Between
// readings it may rise a little above the highest. Outside the hull of the
// readings it has no value: nothing was measured there. Holes in the face are
// not known to it.
//
// Shapes: n ≥ 3 points -> surface.
// Units:  one for x and y, any for z, kept.
// Errors: fewer than three points or more than 2000; a value that is not finite;
// all points in a line; two readings at one place.
// Source: J. Duchon, Springer Lecture Notes in Mathematics 571 (1977) 85-100,
// from memory; solved by the factors of gonum.
func NewSurface(pts []Point3) (*Surface, error) {
	n := len(pts)
	if n < 3 || n > mostPlaces {
		return nil, fmt.Errorf("form: surface of %d points: from 3 to %d are needed", n, mostPlaces)
	}
	if _, err := middle(pts); err != nil {
		return nil, err
	}
	s := &Surface{Least: math.Inf(1), Most: math.Inf(-1)}
	var flat []Point
	for _, p := range pts {
		flat = append(flat, Point{p.X, p.Y})
		s.z = append(s.z, p.Z)
		s.Least, s.Most = math.Min(s.Least, p.Z), math.Max(s.Most, p.Z)
	}
	s.hull = hullOf(flat)
	s.frame(flat)
	if len(s.hull) < 3 || thickness(s.hull) < 1e-9*s.scale {
		return nil, fmt.Errorf("form: surface of %d points: they lie in one line; a face needs some to the side", n)
	}
	for i, p := range s.at {
		for j, q := range s.at[:i] {
			if math.Hypot(p.X-q.X, p.Y-q.Y) < 1e-9 {
				return nil, fmt.Errorf("form: points %d and %d are both at (%v, %v): one reading, or the mean of them, at each place", j, i, pts[i].X, pts[i].Y)
			}
		}
	}
	m := mat.NewDense(n+3, n+3, nil)
	for i, p := range s.at {
		for j, v := range s.basis(p) {
			m.Set(i, j, v)
			if j >= n {
				m.Set(j, i, v)
			}
		}
	}
	s.system.Factorize(m)
	right := mat.NewVecDense(n+3, nil)
	for i, z := range s.z {
		right.SetVec(i, z)
	}
	var c mat.VecDense
	if err := s.system.SolveVecTo(&c, false, right); err != nil && math.IsInf(s.system.Cond(), 1) {
		return nil, fmt.Errorf("form: surface of %d points: no single surface passes through them: two places are too close together", n)
	}
	s.coef = c.RawVector().Data
	return s, nil
}

// frame centres the places and scales them to about one.
func (s *Surface) frame(flat []Point) {
	lo, hi := flat[0], flat[0]
	for _, p := range flat {
		lo, hi = Point{math.Min(lo.X, p.X), math.Min(lo.Y, p.Y)}, Point{math.Max(hi.X, p.X), math.Max(hi.Y, p.Y)}
	}
	s.mid = Point{(lo.X + hi.X) / 2, (lo.Y + hi.Y) / 2}
	if s.scale = math.Hypot(hi.X-lo.X, hi.Y-lo.Y) / 2; s.scale == 0 {
		s.scale = 1
	}
	for _, p := range flat {
		s.at = append(s.at, s.local(p))
	}
}

func (s *Surface) local(p Point) Point {
	return Point{(p.X - s.mid.X) / s.scale, (p.Y - s.mid.Y) / s.scale}
}

// basis is the row of the system at a place in the frame.
func (s *Surface) basis(p Point) []float64 {
	row := make([]float64, 0, len(s.at)+3)
	for _, q := range s.at {
		row = append(row, radial(p, q))
	}
	return append(row, 1, p.X, p.Y)
}

// radial is r² ln r between two places in the frame.
func radial(p, q Point) float64 {
	r2 := (p.X-q.X)*(p.X-q.X) + (p.Y-q.Y)*(p.Y-q.Y)
	if r2 <= 0 {
		return 0
	}
	return r2 * math.Log(r2) / 2
}

// value is the spline anywhere, inside the hull or not: the product of the row
// of the system and the coefficients, without the row.
func (s *Surface) value(p Point) float64 {
	p = s.local(p)
	n, sum := len(s.at), 0.0
	for i, q := range s.at {
		sum += radial(p, q) * s.coef[i]
	}
	return sum + s.coef[n] + p.X*s.coef[n+1] + p.Y*s.coef[n+2]
}

// At returns the height at a place; outside the hull of the readings there is
// none and inside is false.
func (s *Surface) At(x, y float64) (height float64, inside bool) {
	if !s.Inside(x, y) {
		return 0, false
	}
	return s.value(Point{x, y}), true
}

// Inside reports whether a place lies in the hull of the readings or on its
// edge.
func (s *Surface) Inside(x, y float64) bool {
	for i, a := range s.hull {
		b := s.hull[(i+1)%len(s.hull)]
		if turn(a, b, Point{x, y}) < -1e-9*s.scale*math.Hypot(b.X-a.X, b.Y-a.Y) {
			return false
		}
	}
	return !math.IsNaN(x + y)
}

// Hull returns the corners of the hull of the readings, counter-clockwise.
func (s *Surface) Hull() []Point { return slices.Clone(s.hull) }

// Weights returns what each reading counts for in the height at a place,
// ∂height/∂zᵢ, from which its doubt follows. They add up to one. Outside the
// hull there are none and inside is false.
func (s *Surface) Weights(x, y float64) (weights []float64, inside bool) {
	if !s.Inside(x, y) {
		return nil, false
	}
	b := s.basis(s.local(Point{x, y}))
	var w mat.VecDense
	// The system was solvable when the surface was made; an error here only
	// warns of its condition.
	_ = s.system.SolveVecTo(&w, true, mat.NewVecDense(len(b), b))
	return w.RawVector().Data[:len(s.at)], true
}

// turn is twice the area of a triangle, positive where it turns left.
func turn(a, b, c Point) float64 { return (b.X-a.X)*(c.Y-a.Y) - (b.Y-a.Y)*(c.X-a.X) }

// hullOf is the convex hull, counter-clockwise, by sorting along x.
func hullOf(pts []Point) []Point {
	p := slices.Clone(pts)
	slices.SortFunc(p, func(a, b Point) int {
		switch {
		case a.X < b.X || a.X == b.X && a.Y < b.Y:
			return -1
		case a == b:
			return 0
		}
		return 1
	})
	p = slices.Compact(p)
	if len(p) < 3 {
		return p
	}
	half := func(next func(int) Point) []Point {
		var h []Point
		for i := range p {
			for len(h) > 1 && turn(h[len(h)-2], h[len(h)-1], next(i)) <= 0 {
				h = h[:len(h)-1]
			}
			h = append(h, next(i))
		}
		return h[:len(h)-1]
	}
	return append(half(func(i int) Point { return p[i] }), half(func(i int) Point { return p[len(p)-1-i] })...)
}

// thickness is the least distance across a hull.
func thickness(hull []Point) float64 {
	least := math.Inf(1)
	for i, a := range hull {
		b, far := hull[(i+1)%len(hull)], 0.0
		for _, c := range hull {
			far = math.Max(far, turn(a, b, c)/math.Hypot(b.X-a.X, b.Y-a.Y))
		}
		least = math.Min(least, far)
	}
	return least
}
