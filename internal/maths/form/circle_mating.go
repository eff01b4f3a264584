package form

import (
	"fmt"
	"math"
	"sort"
)

// MinimumCircumscribedCircle returns the smallest circle that holds the
// profile (MCCI): the smallest ring that a shaft enters. Width is the
// roundness about its centre.
//
// Exact: the furthest point is exchanged into a set of at most three contacts
// until none lies outside; the radius grows at each exchange.
//
// Shapes, Units: as LeastSquaresCircle.
// Errors: fewer than four points; a value that is not finite; all points the
// same.
// Source: ISO 12181-1:2011 (MCCI).
func MinimumCircumscribedCircle(pts []Point) (Round, error) {
	mid, reach, err := roundPoints(pts)
	if err != nil {
		return Round{}, err
	}
	local := shifted(pts, mid)
	set := []int{0, max(furthest(local, Circle{local[0].X, local[0].Y, 0}), 0)}
	c, best, kept, stalled := smallest(local, set), Circle{R: math.Inf(1)}, set, 0
	for range 50 + 10*len(pts) {
		// Between opposite contacts the radius hardly grows while the centre
		// still moves, so progress is judged by the furthest point.
		outer := c.seen(local).Outer
		holds := outer <= c.R+4*ulp*reach
		if stalled++; outer < best.R || holds {
			best, kept, stalled = Circle{c.X, c.Y, outer}, set, 0
		}
		far := furthest(local, c)
		if far < 0 || holds || stalled > 20 {
			break
		}
		c, set = grow(local, set, far)
	}
	return mating(local, best, mid, kept, true), nil
}

// furthest returns the point furthest outside c, −1 if none is outside.
func furthest(pts []Point, c Circle) int {
	far, d := -1, c.R
	for i, p := range pts {
		if r := math.Hypot(p.X-c.X, p.Y-c.Y); r > d {
			far, d = i, r
		}
	}
	return far
}

// grow returns the smallest circle about set and one more point, with the
// points that carry it.
func grow(pts []Point, set []int, add int) (Circle, []int) {
	all := append(append([]int(nil), set...), add)
	best, kept, least := Circle{}, all, math.Inf(1)
	try := func(some ...int) {
		c := smallest(pts, some)
		var outer float64
		for _, i := range all {
			outer = math.Max(outer, math.Hypot(pts[i].X-c.X, pts[i].Y-c.Y))
		}
		if outer < least {
			best, kept, least = c, some, outer
		}
	}
	for i, a := range set {
		try(a, add)
		for _, b := range set[i+1:] {
			try(a, b, add)
		}
	}
	return best, kept
}

// smallest returns the circle on two points as diameter or through three.
func smallest(pts []Point, some []int) Circle {
	a, b := pts[some[0]], pts[some[1]]
	if len(some) == 2 {
		return Circle{(a.X + b.X) / 2, (a.Y + b.Y) / 2, math.Hypot(a.X-b.X, a.Y-b.Y) / 2}
	}
	c := pts[some[2]]
	bx, by, cx, cy := b.X-a.X, b.Y-a.Y, c.X-a.X, c.Y-a.Y
	d := 2 * (bx*cy - by*cx)
	if d == 0 {
		return Circle{R: math.NaN()}
	}
	x := (cy*(bx*bx+by*by) - by*(cx*cx+cy*cy)) / d
	y := (bx*(cx*cx+cy*cy) - cx*(bx*bx+by*by)) / d
	return Circle{a.X + x, a.Y + y, math.Hypot(x, y)}
}

// MaximumInscribedCircle returns the largest circle that the profile leaves
// empty round its middle (MICI): the largest plug that enters a bore. Width is
// the roundness about its centre.
//
// Exact and global: for every pair of points the stretch of their middle line
// is cut down to where no third point is nearer; the ends of what remains are
// the only possible centres. A centre counts only if its contacts lie all
// round it.
//
// Shapes, Units: as LeastSquaresCircle.
// Errors: as LeastSquaresCircle; points that do not go round (an arc of half a
// turn or less holds no inscribed circle).
// Source: ISO 12181-1:2011 (MICI).
func MaximumInscribedCircle(pts []Point) (Round, error) {
	start, err := geometricCircle(pts)
	if err != nil {
		return Round{}, err
	}
	mid := Point{start.X, start.Y}
	local := shifted(pts, mid)
	// Nearest first: they cut the stretches short, and most pairs end early.
	near := append([]Point(nil), local...)
	sort.SliceStable(near, func(i, j int) bool {
		return math.Hypot(near[i].X, near[i].Y) < math.Hypot(near[j].X, near[j].Y)
	})
	best := Circle{R: -1}
	for i := range near {
		for j := i + 1; j < len(near); j++ {
			inscribe(near, i, j, &best)
		}
	}
	if best.R <= 0 {
		return Round{}, fmt.Errorf("form: the %d points do not go round a circle: an inscribed circle needs contacts on all sides", len(pts))
	}
	return mating(local, best, mid, carriers(touching(local, best)), false), nil
}

// inscribe improves best by the empty circles that touch points i and j.
func inscribe(pts []Point, i, j int, best *Circle) {
	a, b := pts[i], pts[j]
	half := math.Hypot(b.X-a.X, b.Y-a.Y) / 2
	if half == 0 {
		return
	}
	m := Point{(a.X + b.X) / 2, (a.Y + b.Y) / 2}
	n := Point{-(b.Y - a.Y) / (2 * half), (b.X - a.X) / (2 * half)}
	lo, hi := math.Inf(-1), math.Inf(1)
	slack := 1e-14 * (half*half + m.X*m.X + m.Y*m.Y)
	for k, p := range pts {
		if k == i || k == j {
			continue
		}
		x, y := p.X-m.X, p.Y-m.Y
		q, d := n.X*x+n.Y*y, x*x+y*y-half*half+slack
		switch {
		case q > 0:
			hi = math.Min(hi, d/(2*q))
		case q < 0:
			lo = math.Max(lo, d/(2*q))
		case d < 0:
			return
		}
		if lo > hi {
			return
		}
	}
	for _, t := range []float64{lo, hi} {
		if math.IsInf(t, 0) || math.Hypot(half, t) <= best.R {
			continue
		}
		c := Circle{X: m.X + t*n.X, Y: m.Y + t*n.Y}
		c.R = c.seen(pts).Inner
		if c.R > best.R && surrounded(pts, c) {
			*best = c
		}
	}
}

// surrounded says whether the points that touch c from outside leave no gap
// wider than half a turn.
func surrounded(pts []Point, c Circle) bool {
	at := touching(pts, c)
	for i := range at {
		if gap(at, i) > math.Pi+1e-7 {
			return false
		}
	}
	return len(at) > 1
}

// bearing is a contact and its direction from the centre.
type bearing struct {
	point int
	angle float64
}

// touching lists the points nearest to the centre of c in order of direction.
func touching(pts []Point, c Circle) []bearing {
	r := make([]float64, len(pts))
	for i, p := range pts {
		r[i] = math.Hypot(p.X-c.X, p.Y-c.Y)
	}
	_, low, _ := contacts(r, 1e-13*c.R)
	out := make([]bearing, len(low))
	for i, k := range low {
		out[i] = bearing{k, math.Atan2(pts[k].Y-c.Y, pts[k].X-c.X)}
	}
	sort.Slice(out, func(i, j int) bool { return out[i].angle < out[j].angle })
	return out
}

// gap is the angle from contact i to the next one round.
func gap(at []bearing, i int) float64 {
	if i == len(at)-1 {
		return at[0].angle + 2*math.Pi - at[i].angle
	}
	return at[i+1].angle - at[i].angle
}

func shifted(pts []Point, by Point) []Point {
	out := make([]Point, len(pts))
	for i, p := range pts {
		out[i] = Point{p.X - by.X, p.Y - by.Y}
	}
	return out
}
