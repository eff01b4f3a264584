package form

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// deck is the face of SRF-08: 5 by 3 readings, x and y in mm, z in µm turned
// into mm.
func deck() []Point3 {
	z := [][]float64{{0, -6, -11, -5, 2}, {3, -8, -15, -9, 1}, {1, -4, -12, -6, 4}}
	var pts []Point3
	for j, row := range z {
		for i, h := range row {
			pts = append(pts, Point3{100 * float64(i), 80 * float64(j), h / 1000})
		}
	}
	return pts
}

// Published (SRF-08): ISO 12781-1:2011, flatness of a deck about the
// least-squares and the minimum-zone planes; recomputed with a linear
// programme. Least squares is printed to seven digits; the heights being 10⁻⁴ of
// the lengths, planes along z and along the normal agree to 10⁻⁸. The least cut
// along a plane is the flatness about it.
func TestPublishedDeck(t *testing.T) {
	pts := deck()
	heights := make([]float64, len(pts))
	for i, p := range pts {
		heights[i] = p.Z
	}
	raw, err := Spread(heights)
	if err != nil {
		t.Fatal(err)
	}
	_, ls, err := LeastSquaresPlane(pts)
	if err != nil {
		t.Fatal(err)
	}
	_, mz, err := MinimumZonePlane(pts)
	if err != nil {
		t.Fatal(err)
	}
	cuts := make([]Cut, 3)
	for i, f := range []func([]Point3) (Cut, error){CutLeastSquares, CutMinimumZone, func(p []Point3) (Cut, error) { return CutAlong(p, Plane{}) }} {
		if cuts[i], err = f(pts); err != nil {
			t.Fatal(err)
		}
	}
	for _, c := range []struct {
		what           string
		got, want, tol float64
	}{
		{"raw range", raw.Width, 0.019, 1e-12},
		{"least squares", ls.Width, 0.01843333, 5e-9},
		{"minimum zone", mz.Width, 0.018, 1e-11},
		{"cut along least squares", cuts[0].Depth, 0.01843333, 5e-9},
		{"cut along minimum zone", cuts[1].Depth, 0.018, 1e-11},
		{"cut as it lies", cuts[2].Depth, 0.019, 1e-12},
	} {
		t.Logf("%s: off by %.1e", c.what, math.Abs(c.got-c.want))
		if !(math.Abs(c.got-c.want) <= c.tol) {
			t.Errorf("%s %.10g, published %g", c.what, c.got, c.want)
		}
	}
	for i, c := range cuts {
		if c.Low != 7 || math.Abs(c.Removal[14]-c.Depth) > 1e-12 {
			t.Errorf("cut %d: lowest %d, %g off the last corner of %g; the middle is lowest, the last corner highest", i, c.Low, c.Removal[14], c.Depth)
		}
	}
}

// Published: closed form of the thin-plate spline through four corners at 0 and
// the middle at 1, worked out by hand: c = −1/(12 ln 2), a₀ = 4/3, so that the
// middle of a side lies at 4/3 − 5 ln 5/(12 ln 2).
func TestPublishedSpline(t *testing.T) {
	s, err := NewSurface([]Point3{{-1, -1, 0}, {1, -1, 0}, {1, 1, 0}, {-1, 1, 0}, {0, 0, 1}})
	if err != nil {
		t.Fatal(err)
	}
	want := 4./3 - 5*math.Log(5)/(12*math.Ln2)
	for _, p := range []Point{{1, 0}, {0, -1}} {
		if got, in := s.At(p.X, p.Y); !in || math.Abs(got-want) > 1e-13 {
			t.Errorf("at %v: %.15g, %v; worked out %.15g", p, got, in, want)
		}
	}
}

// face draws scattered readings, tilted a little, heights 10⁻⁴ of the lengths.
func face(t *rapid.T) []Point3 {
	rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 8))
	n := rapid.IntRange(5, 30).Draw(t, "n")
	b, c := rng.NormFloat64()*1e-3, rng.NormFloat64()*1e-3
	pts := make([]Point3, n)
	for i := range pts {
		x, y := 400*rng.Float64(), 160*rng.Float64()
		pts[i] = Point3{x, y, b*x + c*y + 0.02*rng.NormFloat64()}
	}
	return pts
}

// Law: the surface passes through its readings, gives a plane back, is the sum
// of the readings by its weights, which add up to one; it does not change when
// the face is turned, shifted or scaled, nor its relief when the face is
// tilted. Outside the hull it has no value.
func TestLawSurface(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pts := face(t)
		s, err := NewSurface(pts)
		if err != nil {
			t.Fatal(err)
		}
		a := rapid.Float64Range(0, 6.3).Draw(t, "angle")
		k := rapid.Float64Range(0.001, 10).Draw(t, "scale")
		sin, cos := math.Sincos(a)
		move := func(x, y float64) (float64, float64) { return k*(cos*x-sin*y) + 30, k*(sin*x+cos*y) - 70 }
		moved, flat := make([]Point3, len(pts)), make([]Point3, len(pts))
		for i, p := range pts {
			x, y := move(p.X, p.Y)
			moved[i] = Point3{x, y, p.Z + 5 + 0.01*p.X - 0.02*p.Y}
			flat[i] = Point3{p.X, p.Y, 3 - 0.1*p.X + 0.2*p.Y}
			if z, in := s.At(p.X, p.Y); !in || math.Abs(z-p.Z) > 1e-9 {
				t.Errorf("reading %d: %g, %v, want %g", i, z, in, p.Z)
			}
		}
		m, err := NewSurface(moved)
		if err != nil {
			t.Fatal(err)
		}
		f, err := NewSurface(flat)
		if err != nil {
			t.Fatal(err)
		}
		for range 10 {
			x, y := rapid.Float64Range(0, 400).Draw(t, "x"), rapid.Float64Range(0, 160).Draw(t, "y")
			z, in := s.At(x, y)
			w, also := s.Weights(x, y)
			if in != also {
				t.Fatal("height and weights differ on what is inside")
			}
			if !in {
				if z != 0 || w != nil {
					t.Errorf("a height of %g outside", z)
				}
				continue
			}
			var sum, one float64
			for i := range w {
				sum, one = sum+w[i]*pts[i].Z, one+w[i]
			}
			mx, my := move(x, y)
			zm, in := m.At(mx, my)
			zf, _ := f.At(x, y)
			if math.Abs(sum-z) > 1e-9 || math.Abs(one-1) > 1e-9 {
				t.Errorf("by weights %g of %g, weights add up to %g", sum, z, one)
			}
			if in && math.Abs(zm-(z+5+0.01*x-0.02*y)) > 1e-8 {
				t.Errorf("moved %g, want %g", zm, z+5+0.01*x-0.02*y)
			}
			if math.Abs(zf-(3-0.1*x+0.2*y)) > 1e-8 {
				t.Errorf("plane %g at (%g, %g)", zf, x, y)
			}
		}
	})
}

// Law: every point of a contour lies in the hull; those that are not on the
// hull lie on the surface at its level; lines end on the hull or close; no two
// levels cross (each point of one level is at that level alone).
func TestLawContours(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pts := face(t)
		s, err := NewSurface(pts)
		if err != nil {
			t.Fatal(err)
		}
		step := (s.Most - s.Least) / 5
		levels, err := Levels(s.Least, s.Most, step)
		if err != nil {
			t.Fatal(err)
		}
		all, err := s.Contours(levels, 40)
		if err != nil {
			t.Fatal(err)
		}
		for i, c := range all {
			if c.Level != levels[i] || c.Level < s.Least || c.Level > s.Most {
				t.Fatalf("level %g, asked %g", c.Level, levels[i])
			}
			if len(c.Lines) == 0 && math.Abs(c.Level-(s.Least+s.Most)/2) < step {
				t.Errorf("no line at %g between %g and %g", c.Level, s.Least, s.Most)
			}
			for _, l := range c.Lines {
				if len(l.Points) < 2 {
					t.Errorf("a line of %d points", len(l.Points))
				}
				for k, p := range l.Points {
					z, in := s.At(p.X, p.Y)
					if !in {
						t.Fatalf("%v lies outside", p)
					}
					end := k == 0 || k == len(l.Points)-1
					if end && !l.Closed {
						if edge := toEdge(s, p); edge > 1e-6 {
							t.Errorf("a line ends %g inside the hull", edge)
						}
						continue // clipped between two points of the line
					}
					if math.Abs(z-c.Level) > 2e-6*(s.Most-s.Least) {
						t.Errorf("%v at %g, level %g", p, z, c.Level)
					}
				}
			}
		}
	})
}

func toEdge(s *Surface, p Point) float64 {
	least := math.Inf(1)
	for i, a := range s.hull {
		b := s.hull[(i+1)%len(s.hull)]
		least = math.Min(least, math.Abs(turn(a, b, p))/math.Hypot(b.X-a.X, b.Y-a.Y))
	}
	return least
}

// Law: contours of known faces. A slope of one along x has straight lines; a
// dome has closed rings whose length is that of the circle; a saddle has two
// branches on either side.
func TestLawContoursOfKnownFaces(t *testing.T) {
	grid := func(n int, f func(x, y float64) float64) *Surface {
		var pts []Point3
		for i := range n {
			for j := range n {
				x, y := 2*float64(i)/float64(n-1)-1, 2*float64(j)/float64(n-1)-1
				pts = append(pts, Point3{x, y, f(x, y)})
			}
		}
		s, err := NewSurface(pts)
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	lines := func(s *Surface, level float64) []Polyline {
		c, err := s.Contours([]float64{level}, 50)
		if err != nil {
			t.Fatal(err)
		}
		return c[0].Lines
	}
	length := func(l Polyline) float64 {
		var sum float64
		for i := range l.Points {
			if j := (i + 1) % len(l.Points); j > 0 || l.Closed {
				sum += math.Hypot(l.Points[j].X-l.Points[i].X, l.Points[j].Y-l.Points[i].Y)
			}
		}
		return sum
	}
	slope := lines(grid(3, func(x, _ float64) float64 { return x }), 0.33)
	if len(slope) != 1 || slope[0].Closed || math.Abs(length(slope[0])-2) > 1e-9 || math.Abs(slope[0].Points[7].X-0.33) > 1e-5 {
		t.Errorf("slope: %v", slope)
	}
	dome := lines(grid(12, func(x, y float64) float64 { return -x*x - y*y }), -0.36)
	if len(dome) != 1 || !dome[0].Closed || math.Abs(length(dome[0])/(2*math.Pi*0.6)-1) > 2e-3 {
		t.Errorf("dome: %d lines, length %g of %g", len(dome), length(dome[0]), 2*math.Pi*0.6)
	}
	corners := lines(grid(12, func(x, y float64) float64 { return -x*x - y*y }), -1.5)
	if len(corners) != 4 {
		t.Errorf("a ring that leaves the face is cut into 4, not %d", len(corners))
	}
	saddle := grid(12, func(x, y float64) float64 { return x * y })
	for _, level := range []float64{0.1, -0.1, 0.003} {
		if got := lines(saddle, level); len(got) != 2 || got[0].Closed || got[1].Closed {
			t.Errorf("saddle at %g: %d lines", level, len(got))
		}
	}
	if got := lines(saddle, 7); len(got) != 0 {
		t.Errorf("%d lines above everything", len(got))
	}
	if got := lines(grid(3, func(float64, float64) float64 { return 4 }), 4); len(got) != 0 {
		t.Errorf("%d lines on a face without relief", len(got))
	}
	// Two corners at 1 and two at 0 make a saddle of 1/2. Below it the high
	// corners hang together and a line from the lower side cuts off a low corner,
	// the one to the right; above it one that cuts off the high corner on the left.
	four, err := NewSurface([]Point3{{0, 0, 1}, {1, 0, 0}, {1, 1, 1}, {0, 1, 0}})
	if err != nil {
		t.Fatal(err)
	}
	for level, side := range map[float64]float64{0.49: 1, 0.51: 0} {
		c, err := four.Contours([]float64{level}, 3)
		if err != nil {
			t.Fatal(err)
		}
		if len(c[0].Lines) != 2 {
			t.Errorf("saddle cell at %g: %d lines", level, len(c[0].Lines))
		}
		for _, l := range c[0].Lines {
			a, b := l.Points[0], l.Points[len(l.Points)-1]
			if b.Y == 0 {
				a, b = b, a
			}
			if a.Y == 0 && b.X != side {
				t.Errorf("saddle cell at %g: a line from %v to %v", level, a, b)
			}
		}
	}
}

// Law: depth is the width of the zone along the chosen plane, the least of all
// tilts for the minimum zone; rigid motion changes no removal beyond what a tilt
// that has settled to 10⁻¹¹ makes over the length.
func TestLawCut(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pts := face(t)
		_, zone, err := MinimumZonePlane(pts)
		if err != nil {
			t.Fatal(err)
		}
		mz, err := CutMinimumZone(pts)
		if err != nil {
			t.Fatal(err)
		}
		ls, err := CutLeastSquares(pts)
		if err != nil {
			t.Fatal(err)
		}
		other, err := CutAlong(pts, Plane{B: rapid.Float64Range(-1e-3, 1e-3).Draw(t, "B"), C: rapid.Float64Range(-1e-3, 1e-3).Draw(t, "C")})
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(mz.Depth-zone.Width) > 1e-12 || mz.Depth > ls.Depth+1e-12 || mz.Depth > other.Depth+1e-12 {
			t.Errorf("depths %g, %g, %g; zone %g", mz.Depth, ls.Depth, other.Depth, zone.Width)
		}
		for i, w := range zone.Partials {
			if p := mz.RemovalPartials(mz.High)[i]; !mz.Tied && math.Abs(p-w) > 1e-8 {
				t.Errorf("partial %d: %g by contacts, %g by the zone", i, p, w)
			}
		}
		if len(mz.Missed(mz.Depth)) != 0 || len(other.Missed(other.Depth)) != 0 || len(other.Missed(0)) != len(pts)-1 {
			t.Errorf("missed at full depth %v and %v, at none %d of %d", mz.Missed(mz.Depth), other.Missed(other.Depth), len(other.Missed(0)), len(pts))
		}
		// A turn in space: about z, then a little about x.
		a, b := rapid.Float64Range(0, 6.3).Draw(t, "about z"), rapid.Float64Range(-0.01, 0.01).Draw(t, "about x")
		sin, cos := math.Sincos(a)
		sx, cx := math.Sincos(b)
		moved := make([]Point3, len(pts))
		for i, p := range pts {
			x, y := cos*p.X-sin*p.Y, sin*p.X+cos*p.Y
			moved[i] = Point3{x + 3, cx*y - sx*p.Z - 50, sx*y + cx*p.Z + 100}
		}
		for _, f := range []func([]Point3) (Cut, error){CutMinimumZone, CutLeastSquares} {
			before, _ := f(pts)
			after, err := f(moved)
			if err != nil {
				t.Fatal(err)
			}
			for i := range pts {
				if math.Abs(before.Removal[i]-after.Removal[i]) > 1e-8 {
					t.Errorf("removal %d: %g, moved %g", i, before.Removal[i], after.Removal[i])
				}
			}
		}
	})
}

// Law: partials of removal, depth and what is left agree with central
// differences of the whole computation. The step is a thousandth of the relief;
// where another point takes over within it the face is passed over.
func TestLawCutPartials(t *testing.T) {
	passed := 0
	rapid.Check(t, func(t *rapid.T) {
		pts := face(t)
		s, err := NewSurface(pts)
		if err != nil {
			t.Fatal(err)
		}
		var mid Point
		for _, p := range pts {
			mid = Point{mid.X + p.X/float64(len(pts)), mid.Y + p.Y/float64(len(pts))}
		}
		for _, f := range []func([]Point3) (Cut, error){CutMinimumZone, CutLeastSquares, func(p []Point3) (Cut, error) { return CutAlong(p, Plane{B: 1e-4}) }} {
			c, err := f(pts)
			if err != nil || c.Tied {
				continue
			}
			at := rapid.IntRange(0, len(pts)-1).Draw(t, "at")
			left, pl := c.Left(at, 10, 9.5)
			if math.Abs(left-(0.5-c.Removal[at])) > 1e-12 {
				t.Errorf("left %g of 0.5 with %g off", left, c.Removal[at])
			}
			between, pb, err := c.LeftAt(s, mid, 10, 9.5)
			if err != nil {
				t.Fatal(err)
			}
			depth := c.RemovalPartials(c.High)
			for j := at % 4; j < len(pts); j += 4 {
				const h = 1e-6
				var got [2][3]float64
				same := true
				for k, d := range []float64{h, -h} {
					q := append([]Point3(nil), pts...)
					q[j].Z += d
					e, err := f(q)
					if err != nil || e.High != c.High || e.Low != c.Low || !slices.Equal(holding(q), holding(pts)) {
						same = false
						break
					}
					sq, err := NewSurface(q)
					if err != nil {
						t.Fatal(err)
					}
					l, _ := e.Left(at, 10, 9.5)
					b, _, _ := e.LeftAt(sq, mid, 10, 9.5)
					got[k] = [3]float64{e.Depth, l, b}
				}
				if !same {
					continue
				}
				passed++
				for k, want := range []float64{depth[j], pl[j], pb[j]} {
					if d := (got[0][k] - got[1][k]) / (2 * h); math.Abs(d-want) > 2e-4 {
						t.Errorf("value %d, reading %d: partial %g, difference %g (left %g)", k, j, want, d, between)
					}
				}
			}
		}
	})
	if passed < 500 && !testing.Short() { // a short run draws a fifth
		t.Errorf("only %d differences were taken", passed)
	}
}

// holding lists the readings that hold the minimum zone.
func holding(pts []Point3) []int {
	_, z, err := MinimumZonePlane(pts)
	if err != nil {
		return nil
	}
	list := append(slices.Clone(z.High), z.Low...)
	slices.Sort(list)
	return list
}

func TestMapRefusals(t *testing.T) {
	square := []Point3{{0, 0, 1}, {1, 0, 2}, {1, 1, 3}, {0, 1, 2.5}}
	s, err := NewSurface(square)
	if err != nil {
		t.Fatal(err)
	}
	c, err := CutMinimumZone(square)
	if err != nil {
		t.Fatal(err)
	}
	nan := math.NaN()
	_, few := NewSurface(square[:2])
	_, bad := NewSurface([]Point3{{0, 0, 1}, {1, 0, nan}, {1, 1, 3}})
	_, line := NewSurface([]Point3{{0, 0, 1}, {1, 1, 2}, {2, 2, 3}, {3, 3, 0}})
	_, twice := NewSurface(append([]Point3{{1, 1, 9}}, square...))
	_, cells := s.Contours([]float64{2}, 1)
	_, level := s.Contours([]float64{nan}, 10)
	_, step := Levels(0, 1, 0)
	_, many := Levels(0, 1, 1e-3)
	_, infinite := Levels(0, math.Inf(1), 1)
	_, none := CutAlong(nil, Plane{})
	_, tilt := CutAlong(square, Plane{B: nan})
	_, hole := CutAlong([]Point3{{0, 0, nan}}, Plane{})
	_, three := CutLeastSquares(square[:3])
	_, row := CutMinimumZone([]Point3{{0, 0, 1}, {1, 1, 2}, {2, 2, 3}, {3, 3, 0}})
	_, _, outside := c.LeftAt(s, Point{2, 2}, 10, 9)
	for i, k := range []struct {
		err  error
		want string
	}{
		{few, "2 points: from 3"}, {bad, "point 1"}, {line, "in one line"}, {twice, "points 0 and 3 are both at (1, 1)"},
		{cells, "1 cells"}, {level, "level 0 is NaN"}, {step, "positive step"}, {many, "at most 200"}, {infinite, "at most 200"},
		{none, "without points"}, {tilt, "tilt of NaN"}, {hole, "point 0"}, {three, "at least 4"}, {row, "one line"}, {outside, "among the readings"},
	} {
		if k.err == nil || !strings.Contains(k.err.Error(), k.want) {
			t.Errorf("case %d: %v, want %q", i, k.err, k.want)
		}
	}
	if s.Inside(nan, 0) || !s.Inside(1, 1) || s.Inside(1.001, 1) || len(s.Hull()) != 4 {
		t.Error("inside is not what it should be")
	}
	flat, err := CutMinimumZone([]Point3{{0, 0, 1}, {1, 0, 1}, {1, 1, 1}, {0, 1, 1}, {2, 3, 1}})
	if err != nil || flat.Depth != 0 || !flat.Tied {
		t.Errorf("a flat face: %+v, %v", flat, err)
	}
	if one, err := CutAlong([]Point3{{1, 2, 3}}, Plane{}); err != nil || one.Depth != 0 {
		t.Errorf("one point: %+v, %v", one, err)
	}
}
