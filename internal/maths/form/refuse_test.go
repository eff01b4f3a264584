package form

import (
	"math"
	"strings"
	"testing"
)

// Bad and degenerate input: one clear sentence, or the answer the comment
// claims.

func TestRefusals(t *testing.T) {
	nan := math.NaN()
	ring := []Point{{1, 0}, {0, 1}, {-1, 0}, {0, -1}, {0.6, 0.8}}
	with := func(p Point) []Point { return append([]Point{p}, ring...) }
	line := []Point{{0, 0}, {1, 1}, {2, 2}, {3, 3}, {5, 5}}
	circle := func(f func([]Point) (Round, error), pts []Point) error { _, err := f(pts); return err }
	tube := func(n int, height func(i int) float64) []Point3 {
		out := make([]Point3, n)
		for i := range out {
			s, c := math.Sincos(float64(i))
			out[i] = Point3{c, s, height(i)}
		}
		return out
	}
	cases := map[string]struct {
		err  error
		want string
	}{
		"few for circle":    {circle(LeastSquaresCircle, ring[:3]), "at least 4"},
		"nan in circle":     {circle(MinimumZoneCircle, with(Point{nan, 0})), "point 0 is (NaN, 0)"},
		"infinite":          {circle(MinimumCircumscribedCircle, with(Point{0, math.Inf(1)})), "finite"},
		"collinear circle":  {circle(LeastSquaresCircle, line), "straight line"},
		"collinear zone":    {circle(MinimumZoneCircle, line), "straight line"},
		"one place":         {circle(MinimumCircumscribedCircle, make([]Point, 5)), "the same"},
		"arc has no plug":   {circle(MaximumInscribedCircle, []Point{{1, 0}, {0.8, 0.6}, {0.6, 0.8}, {0, 1}, {0.28, 0.96}}), "do not go round"},
		"few for line":      {second3(LeastSquaresLine([]float64{0, 1}, []float64{0, 1})), "at least 3"},
		"one x":             {second3(MinimumZoneLine([]float64{2, 2, 2}, []float64{0, 1, 2})), "all 3 points lie at 2"},
		"nan in line":       {second3(MinimumZoneLine([]float64{0, 1, 2}, []float64{0, nan, 2})), "height 1 is NaN"},
		"few for plane":     {second3(MinimumZonePlane([]Point3{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}})), "at least 4"},
		"plane in a line":   {second3(MinimumZonePlane([]Point3{{0, 0, 0}, {1, 1, 0}, {2, 2, 1}, {3, 3, 0}})), "one line"},
		"plane in a line 2": {second3(LeastSquaresPlane([]Point3{{0, 0, 0}, {1, 1, 0}, {2, 2, 1}, {3, 3, 0}})), "one line"},
		"few for cylinder":  {second(LeastSquaresCylinder(tube(5, func(i int) float64 { return float64(i) }))), "at least 6"},
		"one height":        {second(MinimumZoneCylinder(tube(12, func(int) float64 { return 3 }))), "two heights"},
		"nan in cylinder":   {second(LeastSquaresCone(tube(12, func(int) float64 { return nan }))), "finite"},
		"few for spread":    {second(Spread([]float64{1})), "at least 2"},
		"few for waves":     {third(Harmonics([]float64{0, 1, 2}, []float64{1, 1, 1}, 2)), "2·undulations + 1"},
		"waves on an arc":   {third(Harmonics([]float64{0, 0, 0, 0, 0}, []float64{1, 1, 1, 1, 1}, 2)), "spread them"},
		"odd diameters":     {second(Diameters([]float64{1, 1, 1, 1, 1})), "even number"},
		"flat vee":          {second(VeeFactor(3, math.Pi/2)), "between 0 and π/2"},
		"run-out":           {second(SplitRunOut([]float64{0, 0, 0, 0}, []float64{1, 2, 3, 4})), "spread them"},
		"uneven grid":       {second(OutOfRound(Grid{{1, 2}, {1}})), "level 1 has 1 diameters"},
		"no grid":           {second(Taper(nil)), "at least 2 levels"},
		"nan in grid":       {second(Taper(Grid{{1, 2}, {1, nan}})), "level 1 diameter 1 is NaN"},
		"end line":          {second(AgainstEnds([]float64{1, 2, 1}, []float64{0, 0, 0})), "two places"},
	}
	for name, c := range cases {
		if c.err == nil || !strings.Contains(c.err.Error(), c.want) {
			t.Errorf("%s: got %v, want a sentence with %q", name, c.err, c.want)
		}
	}
}

func second[T any](_ T, err error) error        { return err }
func third[T, U any](_ T, _ U, err error) error { return err }
func second3[T, U any](_ T, _ U, err error) error {
	return err
}

// Perfect features have no width, and say that their partials are not unique.
func TestPerfectFeatures(t *testing.T) {
	var pts []Point
	var flat []Point3
	var x, z []float64
	for i := range 36 {
		s, c := math.Sincos(float64(i) * math.Pi / 18)
		pts = append(pts, Point{40 * c, 40 * s})
		flat = append(flat, Point3{float64(i % 6), float64(i / 6), 0.01 * float64(i%6)})
		x, z = append(x, float64(i)), append(z, 3*float64(i))
	}
	for name, fit := range map[string]func([]Point) (Round, error){"LS": LeastSquaresCircle, "MZ": MinimumZoneCircle, "MCC": MinimumCircumscribedCircle, "MIC": MaximumInscribedCircle} {
		r := must[Round](t)(fit(pts))
		near(t, name+" radius", r.R, 40, 1e-12)
		near(t, name+" width", r.Width, 0, 1e-12)
		if !r.Tied {
			t.Errorf("%s: a perfect circle is not marked as tied", name)
		}
	}
	for name, fit := range map[string]func([]Point3) (Plane, Zone, error){"LS": LeastSquaresPlane, "MZ": MinimumZonePlane} {
		p, w, err := fit(flat)
		if err != nil || !w.Tied {
			t.Errorf("%s plane: %v, tied %v", name, err, w.Tied)
		}
		near(t, name+" plane width", w.Width, 0, 1e-14)
		near(t, name+" plane slope", p.B, 0.01, 1e-12)
	}
	for name, fit := range map[string]func(x, z []float64) (Line, Zone, error){"LS": LeastSquaresLine, "MZ": MinimumZoneLine} {
		l, w, err := fit(x, z)
		if err != nil || !w.Tied {
			t.Errorf("%s line: %v, tied %v", name, err, w.Tied)
		}
		near(t, name+" line width", w.Width, 0, 1e-12)
		near(t, name+" line slope", l.Slope, 3, 1e-12)
	}
}

// Four hundred points in even spacing with many ties: whole micrometres.
func TestManyTiedPoints(t *testing.T) {
	var pts []Point
	for i := range 400 {
		s, c := math.Sincos(float64(i) * math.Pi / 200)
		r := 43 + 0.001*math.Round(4*math.Cos(2*float64(i)*math.Pi/200)+3*math.Sin(5*float64(i)*math.Pi/200))
		pts = append(pts, Point{0.02 + r*c, -0.01 + r*s})
	}
	ls, mz := must[Round](t)(LeastSquaresCircle(pts)), must[Round](t)(MinimumZoneCircle(pts))
	mc, mi := must[Round](t)(MinimumCircumscribedCircle(pts)), must[Round](t)(MaximumInscribedCircle(pts))
	for _, w := range []float64{ls.Width, mc.Width, mi.Width} {
		if mz.Width > w+1e-12 {
			t.Errorf("minimum zone %g is wider than %g", mz.Width, w)
		}
	}
	if mc.R > ls.Outer || mi.R < ls.Inner {
		t.Errorf("MCC %g of %g, MIC %g of %g", mc.R, ls.Outer, mi.R, ls.Inner)
	}
}

// A worked grid, synthetic: a bore tapered 24 µm and oval 20 µm, read at three
// heights in two directions.
func TestGridOfDiameters(t *testing.T) {
	g := Grid{{83.020, 83.000}, {83.032, 83.011}, {83.044, 83.022}}
	o, tp := must[GridZone](t)(OutOfRound(g)), must[GridZone](t)(Taper(g))
	near(t, "out-of-round", o.Width, 0.022, 1e-12)
	near(t, "taper", tp.Width, 0.024, 1e-12)
	if o.Level != 2 || tp.Direction != 0 || o.Direction != -1 || tp.Level != -1 {
		t.Errorf("out-of-round at level %d, taper in direction %d", o.Level, tp.Direction)
	}
	if o.Partials[2][0] != 1 || o.Partials[2][1] != -1 || tp.Partials[2][0] != 1 || tp.Partials[0][0] != -1 {
		t.Errorf("partials %v and %v", o.Partials, tp.Partials)
	}
	if o.Tied || tp.Tied || !must[GridZone](t)(Taper(Grid{{1, 1}, {2, 2}})).Tied {
		t.Error("ties are told wrongly")
	}
}

// Synthetic: a shaft bent by 15 µm towards 40° with three lobes of 4 µm.
func TestRunOutOfBentLobedShaft(t *testing.T) {
	var angles, s []float64
	for i := range 72 {
		a := float64(i) * math.Pi / 36
		angles = append(angles, a)
		s = append(s, 100+15*math.Cos(a-40*math.Pi/180)+4*math.Cos(3*a))
	}
	r := must[RunOut](t)(SplitRunOut(angles, s))
	near(t, "eccentricity", r.Eccentricity, 15, 1e-10)
	near(t, "direction", r.Direction, 40*math.Pi/180, 1e-10)
	near(t, "form", r.Form.Width, 8, 1e-10)
}

// Law: angles need not be evenly spaced. Synthetic: mean 30, orders 1, 2 and 5
// at uneven angles come back exactly.
func TestHarmonicsAtUnevenAngles(t *testing.T) {
	var angles, r []float64
	for i := range 40 {
		a := 2*math.Pi*float64(i)/40 + 0.1*math.Sin(float64(i*i))
		angles = append(angles, a)
		r = append(r, 30+0.02*math.Cos(a-1)+0.005*math.Cos(2*(a-0.5))+0.001*math.Cos(5*(a-1.2)))
	}
	level, waves, err := Harmonics(angles, r, 6)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "mean", level, 30, 1e-13)
	for i, want := range []Harmonic{{1, 0.02, 1}, {2, 0.005, 0.5}, {3, 0, 0}, {4, 0, 0}, {5, 0.001, 1.2}, {6, 0, 0}} {
		near(t, "amplitude", waves[i].Amplitude, want.Amplitude, 1e-13)
		if want.Amplitude > 0 {
			near(t, "phase", waves[i].Phase, want.Phase, 1e-10)
		}
	}
}

// Law: no neighbouring cone has a smaller sum of squares. Synthetic, with a
// taper of 1 in 5 and residuals of 1 %, so that every term of the slope counts.
func TestLawConeIsLeast(t *testing.T) {
	var pts []Point3
	for i := range 60 {
		s, c := math.Sincos(float64(i) * 2.4)
		z := float64(i % 7)
		r := 10 + 0.2*z + 0.1*math.Sin(float64(7*i))
		pts = append(pts, Point3{r*c + 0.05*z, r*s - 0.02*z, z})
	}
	sum := func(k Cylinder) float64 {
		a := newAxis(pts)
		l := math.Sqrt(1 + k.DX*k.DX + k.DY*k.DY)
		p := []float64{k.X + k.DX*a.mid - a.x, k.Y + k.DY*a.mid - a.y, k.DX * a.half, k.DY * a.half, k.R + k.Taper*a.mid*l, k.Taper * a.half}
		return a.residuals(p, rows(len(pts), 6), make([]float64, len(pts)))
	}
	best := must[Cylinder](t)(LeastSquaresCone(pts))
	least := sum(best)
	for _, h := range []float64{-1e-4, 1e-4} {
		for i, turn := range []func(*Cylinder){
			func(k *Cylinder) { k.X += h }, func(k *Cylinder) { k.Y += h }, func(k *Cylinder) { k.DX += h },
			func(k *Cylinder) { k.DY += h }, func(k *Cylinder) { k.R += h }, func(k *Cylinder) { k.Taper += h },
		} {
			k := best
			turn(&k)
			if s := sum(k); s <= least {
				t.Errorf("parameter %d moved by %g: sum of squares %.12g, at the fit %.12g", i, h, s, least)
			}
		}
	}
	if best.Taper < 0.15 || best.Taper > 0.25 {
		t.Errorf("taper %g, built with 0.2", best.Taper)
	}
}

// Law: the slopes of the cone's residuals agree with central differences, at an
// axis tilted by 1 in 10 and a taper of 1 in 5. Synthetic.
func TestLawConeSlopes(t *testing.T) {
	pts := []Point3{{10, 1, 0}, {-3, 9, 2}, {-8, -7, 5}, {6, -9, 8}}
	a := newAxis(pts)
	p := []float64{0.3, -0.2, 0.4, -0.3, 10, 0.8}
	jac, e, spare := rows(4, 6), make([]float64, 4), rows(4, 6)
	a.residuals(p, jac, e)
	up, down := make([]float64, 4), make([]float64, 4)
	for c := range p {
		q := append([]float64(nil), p...)
		q[c] += 1e-5
		a.residuals(q, spare, up)
		q[c] -= 2e-5
		a.residuals(q, spare, down)
		for i := range pts {
			near(t, "slope", -jac[i][c], (up[i]-down[i])/2e-5, 1e-8)
		}
	}
}

// Law: the stated range of tilt. Synthetic exact cylinder with its axis at a
// slope of 0.3 in both directions, and a plane at slopes of 1 with one point
// 0.1 off it along the normal.
func TestStatedTilt(t *testing.T) {
	axis := unit(Point3{0.3, -0.3, 1})
	u := unit(Point3{axis.Z, 0, -axis.X})
	v := Point3{axis.Y*u.Z - axis.Z*u.Y, axis.Z*u.X - axis.X*u.Z, axis.X*u.Y - axis.Y*u.X}
	var pts []Point3
	for i := range 60 {
		s, c := math.Sincos(float64(i))
		z := float64(i%5) * 20
		pts = append(pts, Point3{40*(c*u.X+s*v.X) + z*axis.X, 40*(c*u.Y+s*v.Y) + z*axis.Y, 40*(c*u.Z+s*v.Z) + z*axis.Z})
	}
	for name, fit := range map[string]func([]Point3) (Cylinder, error){"LS": LeastSquaresCylinder, "MZ": MinimumZoneCylinder, "cone": LeastSquaresCone} {
		c := must[Cylinder](t)(fit(pts))
		near(t, name+" R", c.R, 40, 1e-9)
		near(t, name+" dx", c.DX, 0.3, 1e-10)
		near(t, name+" dy", c.DY, -0.3, 1e-10)
		near(t, name+" width", c.Width, 0, 1e-10)
	}
	n := unit(Point3{-1, -1, 1})
	deck := []Point3{{0, 0, 0}, {100, 0, 100}, {0, 100, 100}, {100, 100, 200}, {50 + 0.1*n.X, 50 + 0.1*n.Y, 100 + 0.1*n.Z}}
	p, z, err := MinimumZonePlane(deck)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "plane width", z.Width, 0.1, 1e-12)
	near(t, "plane slope", p.B, 1, 1e-12)
}

// An arc so flat that its circle cannot be told from a line is refused, one
// that can is fitted. Synthetic: sagitta over a chord of 2.
func TestFlatArcs(t *testing.T) {
	arc := func(radius float64) []Point {
		var pts []Point
		for i := -5; i <= 5; i++ {
			x := float64(i) / 5
			pts = append(pts, Point{x, x * x / (2 * radius) * (1 + x*x/(4*radius*radius))})
		}
		return pts
	}
	if c, err := LeastSquaresCircle(arc(1e4)); err != nil || math.Abs(c.R/1e4-1) > 1e-4 {
		t.Errorf("arc of radius 10⁴: %v, %v", c.R, err)
	}
	if c, err := LeastSquaresCircle(arc(1e12)); err == nil {
		t.Errorf("arc of radius 10¹² was fitted with %g", c.R)
	}
}

// A pair of opposite points that is tried first, and whose middle is that of
// the true pair, must not keep the contacts. Synthetic.
func TestCircumscribedContactsAreTheTrueOnes(t *testing.T) {
	var pts []Point
	for i, dev := range []float64{5, 10, 10, 10, 10, 5, 10, 5, 5, 5} {
		s, c := math.Sincos(float64(i) * math.Pi / 5)
		pts = append(pts, Point{(1 + dev/1000) * c, (1 + dev/1000) * s})
	}
	r := must[Round](t)(MinimumCircumscribedCircle(pts))
	near(t, "radius", r.R, 1.01, 1e-15)
	near(t, "share of point 1", r.RadiusPartials[1], 0.5, 1e-9)
	near(t, "share of point 6", r.RadiusPartials[6], 0.5, 1e-9)
}
