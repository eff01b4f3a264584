package form

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

// Laws: what must hold for every input, on synthetic profiles.

// roundProfile draws a profile of radius 1 … 100 whose form is 10⁻⁵ to 10⁻² of
// the radius, unevenly spaced round the turn and off centre.
func roundProfile(t *rapid.T, most int) []Point {
	n := rapid.IntRange(8, most).Draw(t, "n")
	radius := rapid.Float64Range(1, 100).Draw(t, "radius")
	share := math.Pow(10, rapid.Float64Range(-5, -2).Draw(t, "log form"))
	cx := rapid.Float64Range(-1, 1).Draw(t, "cx") * radius
	cy := rapid.Float64Range(-1, 1).Draw(t, "cy") * radius
	out := make([]Point, n)
	for i := range out {
		a := 2 * math.Pi * (float64(i) + rapid.Float64Range(0, 0.7).Draw(t, "turn")) / float64(n)
		r := radius * (1 + share*rapid.Float64Range(-1, 1).Draw(t, "dev"))
		out[i] = Point{cx + r*math.Cos(a), cy + r*math.Sin(a)}
	}
	return out
}

func fits(t *rapid.T, pts []Point) (ls, mz, mc, mi Round) {
	var err [4]error
	ls, err[0] = LeastSquaresCircle(pts)
	mz, err[1] = MinimumZoneCircle(pts)
	mc, err[2] = MinimumCircumscribedCircle(pts)
	mi, err[3] = MaximumInscribedCircle(pts)
	for i, e := range err {
		if e != nil {
			t.Fatalf("fit %d: %v", i, e)
		}
	}
	return ls, mz, mc, mi
}

// The minimum zone is the least of the four; the circles that hold or are held
// do hold or are held.
func TestLawCirclesBound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pts := roundProfile(t, 40)
		ls, mz, mc, mi := fits(t, pts)
		slack := 1e-12 * mc.R
		for name, r := range map[string]Round{"LS": ls, "MCC": mc, "MIC": mi} {
			if mz.Width > r.Width*(1+1e-6)+slack {
				t.Errorf("minimum zone %g is wider than %s %g", mz.Width, name, r.Width)
			}
		}
		if math.Abs(mc.R-mc.Outer) > slack || math.Abs(mi.R-mi.Inner) > slack {
			t.Errorf("MCC %v of %v, MIC %v of %v", mc.R, mc.Outer, mi.R, mi.Inner)
		}
		if mc.R > ls.Outer+slack || mi.R < ls.Inner-slack {
			t.Errorf("MCC %g above LS outer %g or MIC %g below LS inner %g", mc.R, ls.Outer, mi.R, ls.Inner)
		}
	})
}

// Turning, shifting, renumbering and scaling a profile change nothing but the
// centre and the scale. The widths about the mating circles are left
// out: two centres may hold inscribed circles of one size, and between opposite
// contacts a circumscribed circle's centre is only known to √rounding.
func TestLawCirclesMoveWithTheProfile(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pts := roundProfile(t, 24)
		a := rapid.Float64Range(0, 6.3).Draw(t, "angle")
		k := rapid.Float64Range(0.1, 10).Draw(t, "scale")
		first := rapid.IntRange(0, len(pts)-1).Draw(t, "first")
		s, c := math.Sincos(a)
		moved := make([]Point, len(pts))
		for i := range pts {
			p := pts[(i+first)%len(pts)]
			moved[i] = Point{k*(c*p.X-s*p.Y) + 3, k*(s*p.X+c*p.Y) - 2}
		}
		l1, z1, c1, i1 := fits(t, pts)
		l2, z2, c2, i2 := fits(t, moved)
		for row, q := range [][2]float64{{l1.Width, l2.Width}, {z1.Width, z2.Width}, {l1.R, l2.R}, {c1.R, c2.R}, {i1.R, i2.R}} {
			if math.Abs(k*q[0]-q[1]) > 1e-6*k*z1.Width+1e-11*k*l1.R {
				t.Errorf("row %d moved: %.12g, want %.12g", row, q[1], k*q[0])
			}
		}
	})
}

// overlay is the minimum zone by another road: its centre is a corner of the
// overlay of the nearest and the furthest point partitions, so it is equally
// far from two pairs of points, or from three points.
func overlay(pts []Point) float64 {
	best := math.Inf(1)
	try := func(a, b, c, d int) {
		x1, y1, k1 := bisector(pts[a], pts[b])
		x2, y2, k2 := bisector(pts[c], pts[d])
		det := x1*y2 - x2*y1
		if math.Abs(det) < 1e-9*math.Hypot(x1, y1)*math.Hypot(x2, y2) {
			return
		}
		r := Circle{X: (k1*y2 - k2*y1) / det, Y: (x1*k2 - x2*k1) / det}.seen(pts)
		best = math.Min(best, r.Outer-r.Inner)
	}
	n := len(pts)
	for a := range n {
		for b := a + 1; b < n; b++ {
			for c := a; c < n; c++ {
				for d := c + 1; d < n; d++ {
					if c != a || d > b {
						try(a, b, c, d)
					}
				}
			}
		}
	}
	return best
}

func bisector(a, b Point) (x, y, k float64) {
	x, y = b.X-a.X, b.Y-a.Y
	return x, y, (x*(a.X+b.X) + y*(a.Y+b.Y)) / 2
}

// The exchange finds the same minimum zone as an exhaustive search.
func TestLawMinimumZoneIsExhaustive(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pts := roundProfile(t, 13)
		mz, err := MinimumZoneCircle(pts)
		if err != nil {
			t.Fatal(err)
		}
		if want := overlay(pts); math.Abs(mz.Width-want) > 1e-7*want+1e-14*mz.R {
			t.Errorf("zone %.12g, exhaustive search %.12g", mz.Width, want)
		}
	})
}

// Every circle through three points, or on two, is a candidate for the mating
// circles; the best that holds is the answer.
func TestLawMatingCirclesAreExhaustive(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pts := roundProfile(t, 14)
		_, _, mc, mi := fits(t, pts)
		outer, inner := math.Inf(1), 0.0
		for a := range pts {
			for b := a + 1; b < len(pts); b++ {
				for c := b; c < len(pts); c++ {
					some := []int{a, b, c}
					if c == b {
						some = some[:2]
					}
					s := smallest(pts, some)
					seen := s.seen(pts)
					if seen.Outer <= s.R*(1+1e-12) {
						outer = math.Min(outer, s.R)
					}
					if c > b && seen.Inner >= s.R*(1-1e-12) && holds(pts[a], pts[b], pts[c], s) {
						inner = math.Max(inner, s.R)
					}
				}
			}
		}
		if math.Abs(mc.R-outer) > 1e-10*outer || math.Abs(mi.R-inner) > 1e-10*inner {
			t.Errorf("MCC %.12g want %.12g, MIC %.12g want %.12g", mc.R, outer, mi.R, inner)
		}
	})
}

// holds says whether the centre of c lies in the triangle.
func holds(a, b, d Point, c Circle) bool {
	side := func(p, q Point) bool { return (q.X-p.X)*(c.Y-p.Y) > (q.Y-p.Y)*(c.X-p.X) }
	return side(a, b) == side(b, d) && side(b, d) == side(d, a)
}

// The minimum-zone plane is found by trying every pair of parallel planes that
// three against one, or two against two, of the points can hold.
func TestLawMinimumZonePlaneIsExhaustive(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pts := surface(t, 9)
		_, mz, err := MinimumZonePlane(pts)
		if err != nil {
			t.Fatal(err)
		}
		best := math.Inf(1)
		try := func(u, v Point3) {
			n := Point3{u.Y*v.Z - u.Z*v.Y, u.Z*v.X - u.X*v.Z, u.X*v.Y - u.Y*v.X}
			l := math.Sqrt(inner(n, n))
			if l < 1e-12 || math.Abs(n.Z) < 0.5*l {
				return // a zone on edge is not the zone of a deck
			}
			h := make([]float64, len(pts))
			for i, p := range pts {
				h[i] = inner(n, p) / l
			}
			_, _, w := contacts(h, 0)
			best = math.Min(best, w)
		}
		edges := []Point3{}
		for a := range pts {
			for b := a + 1; b < len(pts); b++ {
				edges = append(edges, Point3{pts[b].X - pts[a].X, pts[b].Y - pts[a].Y, pts[b].Z - pts[a].Z})
			}
		}
		for i, u := range edges {
			for _, v := range edges[i+1:] {
				try(u, v)
			}
		}
		// Two zones whose widths agree to (width/length)² ≈ 10⁻⁵ may be told
		// apart only by their slopes; either is taken.
		if math.Abs(mz.Width-best) > 1e-5*best+1e-12 {
			t.Errorf("zone %.12g, exhaustive search %.12g", mz.Width, best)
		}
	})
}

// surface draws a tilted deck of about 100 × 60 with heights of ±0.05.
func surface(t *rapid.T, most int) []Point3 {
	n := rapid.IntRange(5, most).Draw(t, "n")
	b := rapid.Float64Range(-0.2, 0.2).Draw(t, "slope x")
	c := rapid.Float64Range(-0.2, 0.2).Draw(t, "slope y")
	out := make([]Point3, n)
	for i := range out {
		x := 100*float64(i%3)/2 + rapid.Float64Range(-9, 9).Draw(t, "x")
		y := 30*float64(i/3) + rapid.Float64Range(-9, 9).Draw(t, "y")
		out[i] = Point3{x, y, b*x + c*y + rapid.Float64Range(-0.05, 0.05).Draw(t, "z")}
	}
	return out
}

// A zone does not change when the part is set down turned and tilted, beyond what
// the minimum zone states: of zones whose widths agree to (width/length)² another
// frame may take another. Least squares has no such choice.
func TestLawFlatnessTurnsWithThePart(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pts := surface(t, 20)
		s, c := math.Sincos(rapid.Float64Range(0, 6).Draw(t, "turn"))
		sx, cx := math.Sincos(rapid.Float64Range(-0.2, 0.2).Draw(t, "tilt"))
		moved := make([]Point3, len(pts))
		for i, p := range pts {
			y, z := cx*p.Y-sx*p.Z, sx*p.Y+cx*p.Z
			moved[i] = Point3{c*p.X - s*y + 7, s*p.X + c*y - 3, z + 40}
		}
		for name, fit := range map[string]func([]Point3) (Plane, Zone, error){"LS": LeastSquaresPlane, "MZ": MinimumZonePlane} {
			_, a, err := fit(pts)
			if err != nil {
				t.Fatal(err)
			}
			_, b, err := fit(moved)
			if err != nil {
				t.Fatal(err)
			}
			agree := 1e-9
			if name == "MZ" {
				agree = math.Pow(a.Width/lesserExtent(pts), 2)
			}
			if math.Abs(a.Width-b.Width) > agree*a.Width+1e-12 {
				t.Errorf("%s: %.12g, moved %.12g", name, a.Width, b.Width)
			}
		}
	})
}

// lesserExtent is the shorter side of the box around places in x and y.
func lesserExtent(pts []Point3) float64 {
	lo, hi := pts[0], pts[0]
	for _, p := range pts {
		lo.X, lo.Y, hi.X, hi.Y = math.Min(lo.X, p.X), math.Min(lo.Y, p.Y), math.Max(hi.X, p.X), math.Max(hi.Y, p.Y)
	}
	return math.Min(hi.X-lo.X, hi.Y-lo.Y)
}

// A straightness zone is never wider than the least-squares one, and is the
// least over the slopes that two points can set.
func TestLawStraightnessIsExhaustive(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, z := chain(t)
		_, mz, err := MinimumZoneLine(x, z)
		if err != nil {
			t.Fatal(err)
		}
		_, ls, err := LeastSquaresLine(x, z)
		if err != nil {
			t.Fatal(err)
		}
		best, h := math.Inf(1), make([]float64, len(x))
		for i := range x {
			for j := i + 1; j < len(x); j++ {
				slope := (z[j] - z[i]) / (x[j] - x[i])
				for k := range h {
					h[k] = z[k] - slope*x[k]
				}
				_, _, w := contacts(h, 0)
				best = math.Min(best, w)
			}
		}
		if math.Abs(mz.Width-best) > 1e-9*(1+best) || mz.Width > ls.Width*(1+1e-12) {
			t.Errorf("zone %.12g, exhaustive %.12g, least squares %.12g", mz.Width, best, ls.Width)
		}
	})
}

func chain(t *rapid.T) (x, z []float64) {
	n := rapid.IntRange(3, 30).Draw(t, "n")
	x, z = make([]float64, n), make([]float64, n)
	for i := range x {
		x[i] = float64(i)*95 + rapid.Float64Range(-20, 20).Draw(t, "x")
		z[i] = rapid.Float64Range(-20, 20).Draw(t, "z")
	}
	return x, z
}

// Law: the range alone is bit for bit the width of the zone, also of equal
// readings and of noughts of either sign; a range of nought still leans on two
// different readings.
func TestLawRangeIsTheWidth(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 4))
	for n := range 2000 {
		x := make([]float64, 2+r.IntN(8))
		for i := range x {
			x[i] = float64(r.IntN(4)) * 1e-3 * (0.5 + float64(n%3)*r.Float64())
			if n%5 == 0 {
				x[i] = math.Copysign(0, float64(r.IntN(2))-0.5)
			}
			if n%7 == 0 {
				x[i] = x[0]
			}
		}
		z, err := Spread(x)
		w, err2 := Range(x)
		if err != nil || err2 != nil || math.Float64bits(z.Width) != math.Float64bits(w) {
			t.Fatalf("%v: %v, %v; %v, %v", x, z.Width, w, err, err2)
		}
		sum, sq := 0.0, 0.0
		for _, p := range z.Partials {
			sum, sq = sum+p, sq+p*p
		}
		if sum != 0 || sq != 2 {
			t.Fatalf("%v: partials %v", x, z.Partials)
		}
	}
	for _, bad := range [][]float64{nil, {1}, {1, math.NaN()}, {math.Inf(1), 1}} {
		_, err := Spread(bad)
		_, err2 := Range(bad)
		if err == nil || err2 == nil || err.Error() != err2.Error() {
			t.Errorf("%v: %v, %v", bad, err, err2)
		}
	}
}
