package form

import (
	"fmt"
	"math"
)

// Polyline is a run of points; a closed one goes back to its first.
type Polyline struct {
	Points []Point
	Closed bool
}

// Contour are the lines at one height of a face.
type Contour struct {
	Level float64
	Lines []Polyline
}

// Levels returns the multiples of a step that lie between two heights.
//
// Shapes: scalars -> list, rising.
// Units:  one for all.
// Errors: a step that is not positive; more than 200 levels.
// Source: definition.
func Levels(low, high, step float64) ([]float64, error) {
	if !(step > 0) || !((high-low)/step <= 200) {
		return nil, fmt.Errorf("form: levels every %v from %v to %v: a positive step, and at most 200 levels, are needed", step, low, high)
	}
	var out []float64
	for k := math.Ceil(low / step); k*step <= high; k++ {
		out = append(out, k*step)
	}
	return out, nil
}

// Contours returns the lines of equal height of a surface within the hull of
// its readings, by marching squares over a grid of the given number of cells
// along the longer side. Points of a line lie on the surface to a millionth of
// the range of the readings. Where a cell leaves open which way two lines pass,
// the height in its middle decides. Lines end on the hull or close. A face
// without relief has no lines.
//
// Shapes: levels, cells 2 … 1000 -> a contour for each level, in order.
// Units:  levels in the unit of z; points in that of x and y.
// Errors: a number of cells out of range; a level that is not finite.
// Valid:  what is narrower than a cell may be missed.
// Source: marching squares, textbook method.
func (s *Surface) Contours(levels []float64, cells int) ([]Contour, error) {
	if cells < 2 || cells > 1000 {
		return nil, fmt.Errorf("form: contours over %d cells: from 2 to 1000", cells)
	}
	if err := finite("level", levels); err != nil {
		return nil, err
	}
	out := make([]Contour, len(levels))
	for i, level := range levels {
		out[i].Level = level
	}
	if s.Least == s.Most {
		return out, nil
	}
	g := s.grid(cells)
	for i, level := range levels {
		for _, l := range g.march(level) {
			out[i].Lines = append(out[i].Lines, clip(l, s.hull)...)
		}
	}
	return out, nil
}

// grid holds heights at the corners of square cells over the hull.
type grid struct {
	corner Point
	step   float64
	nx, ny int // corners each way
	z      []float64
	value  func(Point) float64
	near   float64 // how close to the level a point must lie
}

func (s *Surface) grid(cells int) *grid {
	lo, hi := s.hull[0], s.hull[0]
	for _, p := range s.hull {
		lo, hi = Point{math.Min(lo.X, p.X), math.Min(lo.Y, p.Y)}, Point{math.Max(hi.X, p.X), math.Max(hi.Y, p.Y)}
	}
	step := math.Max(hi.X-lo.X, hi.Y-lo.Y) / float64(cells)
	g := &grid{corner: lo, step: step, value: s.value, near: 1e-6 * (s.Most - s.Least)}
	g.nx = 1 + int(math.Ceil((hi.X-lo.X)/step-1e-9))
	g.ny = 1 + int(math.Ceil((hi.Y-lo.Y)/step-1e-9))
	g.z = make([]float64, g.nx*g.ny)
	for k := range g.z {
		g.z[k] = s.value(g.place(k))
	}
	return g
}

func (g *grid) place(k int) Point {
	return Point{g.corner.X + g.step*float64(k%g.nx), g.corner.Y + g.step*float64(k/g.nx)}
}

// march joins the pieces of a contour in all cells. An edge is known by twice
// the number of its lower left corner, plus one where it goes up.
func (g *grid) march(level float64) []Polyline {
	next := map[int][]int{}
	var edges []int
	join := func(a, b int) {
		for _, e := range []int{a, b} {
			if len(next[e]) == 0 {
				edges = append(edges, e)
			}
		}
		next[a], next[b] = append(next[a], b), append(next[b], a)
	}
	for j := range g.ny - 1 {
		for i := range g.nx - 1 {
			k := j*g.nx + i
			bottom, left := 2*k, 2*k+1
			right, top := 2*(k+1)+1, 2*(k+g.nx)
			corners := []int{k, k + 1, k + g.nx + 1, k + g.nx}
			sides := []int{bottom, right, top, left} // side c runs from corner c to c+1
			var cut []int
			for c := range 4 {
				if (g.z[corners[c]] > level) != (g.z[corners[(c+1)%4]] > level) {
					cut = append(cut, sides[c])
				}
			}
			switch {
			case len(cut) == 2:
				join(cut[0], cut[1])
			case len(cut) == 4:
				mid := g.place(k)
				high := g.value(Point{mid.X + g.step/2, mid.Y + g.step/2}) > level
				if (g.z[k] > level) == high { // the first corner goes with the middle
					join(bottom, right)
					join(top, left)
				} else {
					join(left, bottom)
					join(right, top)
				}
			}
		}
	}
	return g.trace(level, edges, next)
}

// trace follows the joined edges, open lines first.
func (g *grid) trace(level float64, edges []int, next map[int][]int) []Polyline {
	var lines []Polyline
	done := map[int]bool{}
	follow := func(e int) []Point {
		var pts []Point
		for at := e; at >= 0; {
			done[at] = true
			pts = append(pts, g.cross(at, level))
			to := -1
			for _, n := range next[at] {
				if !done[n] {
					to = n
					break
				}
			}
			at = to
		}
		return pts
	}
	for _, closed := range []bool{false, true} {
		for _, e := range edges {
			if !done[e] && (closed || len(next[e]) == 1) {
				lines = append(lines, Polyline{follow(e), closed})
			}
		}
	}
	return lines
}

// cross finds where the surface passes a level on an edge, by straight lines
// that keep it between two points.
func (g *grid) cross(edge int, level float64) Point {
	k, other := edge/2, edge/2+1
	if edge%2 == 1 {
		other = k + g.nx
	}
	a, b := g.place(k), g.place(other)
	za, zb := g.z[k]-level, g.z[other]-level
	p := a
	for range 60 {
		t := za / (za - zb)
		p = Point{a.X + t*(b.X-a.X), a.Y + t*(b.Y-a.Y)}
		z := g.value(p) - level
		if math.Abs(z) <= g.near {
			break
		}
		if (z > 0) == (za > 0) {
			a, za, zb = p, z, zb/2 // halved, so that both ends move
		} else {
			b, zb, za = p, z, za/2
		}
	}
	return p
}

// clip keeps what lies within a convex outline.
func clip(l Polyline, hull []Point) []Polyline {
	n := len(l.Points)
	segments := n - 1
	if l.Closed {
		segments = n
	}
	var out []Polyline
	open := false
	whole := true
	for i := range segments {
		a, b := l.Points[i], l.Points[(i+1)%n]
		t0, t1 := inHull(a, b, hull)
		if t0 > 0 || t1 < 1 {
			whole = false
		}
		if t0 >= t1 {
			open = false
			continue
		}
		if !open || t0 > 0 {
			out = append(out, Polyline{Points: []Point{along(a, b, t0)}})
		}
		last := &out[len(out)-1]
		last.Points = append(last.Points, along(a, b, t1))
		open = t1 == 1
	}
	if l.Closed && whole {
		return []Polyline{l}
	}
	if l.Closed && open && len(out) > 1 && out[0].Points[0] == l.Points[0] {
		last := &out[len(out)-1]
		last.Points = append(last.Points, out[0].Points[1:]...)
		out = out[1:]
	}
	return out
}

func along(a, b Point, t float64) Point { return Point{a.X + t*(b.X-a.X), a.Y + t*(b.Y-a.Y)} }

// inHull returns the part of a segment within a convex outline, as shares of
// its length; first not below second where there is none.
func inHull(a, b Point, hull []Point) (t0, t1 float64) {
	t0, t1 = 0, 1
	for i, p := range hull {
		q := hull[(i+1)%len(hull)]
		da, db := turn(p, q, a), turn(p, q, b)
		switch {
		case da < 0 && db < 0:
			return 1, 0
		case da < 0:
			t0 = math.Max(t0, da/(da-db))
		case db < 0:
			t1 = math.Min(t1, da/(da-db))
		}
	}
	return t0, t1
}
