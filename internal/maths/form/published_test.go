package form

import (
	"bufio"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// Published and constructed cases: named after the case, source beside each.

// table reads a testdata file and insists on its four header lines.
func table(t *testing.T, name string) [][]float64 {
	t.Helper()
	f, err := os.Open(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var out [][]float64
	s, line := bufio.NewScanner(f), 0
	for ; s.Scan(); line++ {
		if head := []string{"# Source:", "# Units:", "# Digits:", "# Tolerance:"}; line < 4 {
			if !strings.HasPrefix(s.Text(), head[line]) {
				t.Fatalf("%s:%d: header line %q is missing", name, line+1, head[line])
			}
			continue
		}
		if line == 4 || strings.HasPrefix(s.Text(), "#") {
			continue
		}
		var row []float64
		for _, cell := range strings.Split(s.Text(), ",") {
			v, err := strconv.ParseFloat(cell, 64)
			if err != nil {
				t.Fatalf("%s:%d: %v", name, line+1, err)
			}
			row = append(row, v)
		}
		out = append(out, row)
	}
	return out
}

func points(rows [][]float64, x, y int) []Point {
	out := make([]Point, len(rows))
	for i, r := range rows {
		out[i] = Point{r[x], r[y]}
	}
	return out
}

func points3(rows [][]float64) []Point3 {
	out := make([]Point3, len(rows))
	for i, r := range rows {
		out[i] = Point3{r[0], r[1], r[2]}
	}
	return out
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.12g, want %.12g ± %g (off by %.3g)", what, got, want, tol, got-want)
	}
}

func must[T any](t *testing.T) func(T, error) T {
	return func(v T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

// Gander, Golub, Strebel, BIT 34 (1994) 558-578, six points on a short arc:
// printed centre (4.7398, 2.9835), radius 4.7142; recomputed to six decimals.
// Tolerance: 2e-6, one unit and more of the sixth decimal. Pratt and Taubin as
// quoted with the example in N. Chernov's source file; Kåsa recomputed from its
// linear system.
func TestGanderGolubStrebel1994ShortArc(t *testing.T) {
	pts := []Point{{1, 7}, {2, 6}, {5, 8}, {7, 7}, {9, 5}, {3, 7}}
	ls := must[Round](t)(LeastSquaresCircle(pts))
	near(t, "centre x", ls.X, 4.739782, 2e-6)
	near(t, "centre y", ls.Y, 2.983533, 2e-6)
	near(t, "radius", ls.R, 4.714226, 2e-6)
	near(t, "sum of squares", Circle{ls.X, ls.Y, ls.R}.sumOfSquares(pts), 1.227599, 2e-6)
	for _, c := range []struct {
		name    string
		fit     func([]Point) (Circle, error)
		x, y, r float64
	}{
		{"Pratt", Pratt, 4.615482, 2.807354, 4.911302},
		{"Taubin", Taubin, 4.613933, 2.795209, 4.879213},
		{"Kåsa", Kasa, 4.742331, 3.835123, 4.108762},
	} {
		got := must[Circle](t)(c.fit(pts))
		near(t, c.name+" x", got.X, c.x, 2e-6)
		near(t, c.name+" y", got.Y, c.y, 2e-6)
		near(t, c.name+" r", got.R, c.r, 2e-6)
	}
}

// FRM-02, synthetic, exact by construction: contacts alternate outer, inner.
// Tolerances as the case states; the rows hold nine decimals.
func TestFRM02MinimumZoneJournal(t *testing.T) {
	pts := points(table(t, "frm02_circle_mz.csv"), 0, 1)
	mz := must[Round](t)(MinimumZoneCircle(pts))
	near(t, "MZ x", mz.X, 0.003, 1e-7)
	near(t, "MZ y", mz.Y, -0.002, 1e-7)
	near(t, "MZ inner", mz.Inner, 25.000, 1e-7)
	near(t, "MZ outer", mz.Outer, 25.012, 1e-7)
	near(t, "MZCI", mz.Width, 0.012, 1e-7)
	near(t, "MCC radius", must[Round](t)(MinimumCircumscribedCircle(pts)).R, 25.012, 2e-6)
	ls := must[Round](t)(LeastSquaresCircle(pts))
	near(t, "LS x", ls.X, 0.003289202, 1e-7)
	near(t, "LS y", ls.Y, -0.0022523, 1e-7)
	near(t, "LS radius", ls.R, 25.0059, 1e-7)
	near(t, "LSCI", ls.Width, 0.01241106, 2e-7)
}

// FRM-04, synthetic, exact: r = 30 + 0.004 cos 3θ. Tolerances as stated there.
func TestFRM04ThreeLobedJournal(t *testing.T) {
	rows := table(t, "frm04_three_lobe.csv")
	pts := points(rows, 2, 3)
	angles, radii := make([]float64, len(rows)), make([]float64, len(rows))
	for i, r := range rows {
		angles[i], radii[i] = r[0]*math.Pi/180, r[1]
	}
	d := must[[]float64](t)(Diameters(radii))
	for i, v := range d {
		near(t, "diameter "+strconv.Itoa(i), v, 60, 1e-9)
	}
	near(t, "two-point out-of-round", must[GridZone](t)(OutOfRound(Grid{d})).Width, 0, 1e-9)
	ls := must[Round](t)(LeastSquaresCircle(pts))
	mz := must[Round](t)(MinimumZoneCircle(pts))
	near(t, "LSCI", ls.Width, 0.008, 1e-8)
	near(t, "MZCI", mz.Width, 0.008, 1e-8)
	near(t, "LS x", ls.X, 0, 1e-8)
	near(t, "LS y", ls.Y, 0, 1e-8)
	near(t, "LS radius", ls.R, 30, 1e-8)
	near(t, "MCC", must[Round](t)(MinimumCircumscribedCircle(pts)).R, 30.004, 1e-8)
	near(t, "MIC", must[Round](t)(MaximumInscribedCircle(pts)).R, 29.996, 1e-8)

	r0, waves, err := Harmonics(angles, radii, 17)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "mean radius", r0, 30, 1e-9)
	for _, w := range waves {
		want := 0.0
		if w.Order == 3 {
			want = 0.004
		}
		near(t, "amplitude of order "+strconv.Itoa(w.Order), w.Amplitude, want, 1e-9)
	}
}

// FRM-06, synthetic: LS exact because undulations of order ≥ 2 are orthogonal
// to the centre; MZ recomputed by linear programming. Tolerances as stated.
func TestFRM06OffCentreBore(t *testing.T) {
	pts := points(table(t, "frm06_bore_harmonics.csv"), 0, 1)
	ls := must[Round](t)(LeastSquaresCircle(pts))
	near(t, "LS x", ls.X, 0.012, 1e-7)
	near(t, "LS y", ls.Y, -0.009, 1e-7)
	near(t, "LS radius", ls.R, 43, 1e-7)
	near(t, "LSCI", ls.Width, 0.011146268, 1e-8)
	mz := must[Round](t)(MinimumZoneCircle(pts))
	near(t, "MZ x", mz.X, 0.0117448, 2e-6)
	near(t, "MZ y", mz.Y, -0.00784062, 2e-6)
	near(t, "MZCI", mz.Width, 0.010306562, 1e-7)
}

// FRM-07, synthetic, exact: three points of one plane and a fourth 0.040 mm
// above their triangle, along the normal. Tolerances as stated.
func TestFRM07DeckFlatness(t *testing.T) {
	pts := points3(table(t, "frm07_flatness.csv"))
	plane, mz, err := MinimumZonePlane(pts)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "flatness MZ", mz.Width, 0.03999999875, 1e-11)
	near(t, "slope x", plane.B, 0.0002, 1e-9)
	near(t, "slope y", plane.C, -0.00015, 1e-9)
	if len(mz.High)+len(mz.Low) != 4 || len(mz.High)*len(mz.Low) != 3 {
		t.Errorf("contacts high %v low %v, want three against one", mz.High, mz.Low)
	}
	_, ls, err := LeastSquaresPlane(pts)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "flatness LS", ls.Width, 0.040636187, 1e-7)
}

// FRM-09, synthetic, exact rational arithmetic: five main bores. x in mm, z in
// µm, zone taken along z.
func TestFRM09MainTunnelStraightness(t *testing.T) {
	x, z := []float64{0, 95, 190, 285, 380}, []float64{0, 14, 9, 17, 4}
	_, mz, err := MinimumZoneLine(x, z)
	if err != nil {
		t.Fatal(err)
	}
	_, ls, err := LeastSquaresLine(x, z)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "straightness MZ", mz.Width, 14, 1e-9)
	near(t, "straightness LS", ls.Width, 14.1, 1e-8)
	bend := must[[]float64](t)(AgainstEnds(x, z))
	for i, want := range []float64{0, 13, 7, 14, 0} {
		near(t, "bend "+strconv.Itoa(i), bend[i], want, 1e-8)
	}
	for i, want := range []float64{14, -5, 8, -13} {
		near(t, "step "+strconv.Itoa(i), z[i+1]-z[i], want, 0)
	}
}

// FRM-10, synthetic: LS exact by symmetry, MZ exact to first order. Tolerances
// as stated; the taper and oval figures follow from the construction.
func TestFRM10BoreCylinder(t *testing.T) {
	pts := points3(table(t, "frm10_cylinder.csv"))
	ls := must[Cylinder](t)(LeastSquaresCylinder(pts))
	near(t, "axis dx", ls.DX, 0.0002, 1e-8)
	near(t, "axis dy", ls.DY, 0.0001, 1e-8)
	near(t, "axis x", ls.X, 0.02, 2e-7)
	near(t, "axis y", ls.Y, -0.015, 2e-7)
	near(t, "LS radius", ls.R, 43, 2e-7)
	near(t, "LSCY", ls.Width, 0.022, 2e-7)
	near(t, "MZCY", must[Cylinder](t)(MinimumZoneCylinder(pts)).Width, 0.022, 1e-6)
	cone := must[Cylinder](t)(LeastSquaresCone(pts))
	near(t, "|taper| over 120", math.Abs(cone.Taper)*120, 0.012, 2e-7)
	near(t, "oval left by the cone", cone.Width, 0.010, 2e-7)
}
