package crank

import (
	"bufio"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// table reads a testdata file with its header line.
func table(t testing.TB, name string) [][]string {
	t.Helper()
	f, err := os.Open(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var out [][]string
	for s := bufio.NewScanner(f); s.Scan(); {
		if !strings.HasPrefix(s.Text(), "#") {
			out = append(out, strings.Split(s.Text(), ","))
		}
	}
	if len(out) < 2 {
		t.Fatalf("%s holds no rows", name)
	}
	return out[1:]
}

func numbers(t testing.TB, cells []string) []float64 {
	t.Helper()
	out := make([]float64, len(cells))
	for i, s := range cells {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		out[i] = v
	}
	return out
}

func near1(t *testing.T, what string, got, want, relative, absolute float64) {
	t.Helper()
	if !(math.Abs(got-want) <= relative*math.Abs(want)+absolute) {
		t.Errorf("%s: %.9g, want %.9g within %g of it and %g", what, got, want, relative, absolute)
	}
}

func must[T any](v T, err error) func(testing.TB) T {
	return func(t testing.TB) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

const (
	deg = math.Pi / 180
	rpm = math.Pi / 30
)

// Published (recomputed twice, no print): KIN-01, exact kinematics.
func TestPublishedSlider(t *testing.T) {
	s := must(NewSlider(0.045, 0.144, 0))(t)
	w := 6500 * rpm
	for _, row := range table(t, "slider_6500.csv") {
		v := numbers(t, row)
		near1(t, row[0]+"° drop", 1000*s.Drop(v[0]*deg), v[1], 1e-6, 1e-9)
		near1(t, row[0]+"° speed", s.Speed(v[0]*deg, w), v[2], 1e-6, 1e-9)
		near1(t, row[0]+"° acceleration", s.Acceleration(v[0]*deg, w), v[3], 1e-6, 1e-9)
	}
	near1(t, "mean speed", s.MeanSpeed(w), 19.5, 1e-9, 0)
	fastest := 60.0
	for a := 60.0; a < 90; a += 0.005 {
		if s.Speed(a*deg, w) > s.Speed(fastest*deg, w) {
			fastest = a
		}
	}
	near1(t, "angle of the highest speed", fastest, 74.01, 0, 0.02)
	near1(t, "highest speed", s.Speed(fastest*deg, w), 32.10296, 1e-5, 0)
	near1(t, "acceleration at the top", s.Acceleration(0, w), 27365.02, 1e-6, 0)
	near1(t, "acceleration at the bottom", s.Acceleration(math.Pi, w), -14334.06, 1e-6, 0)
}

// Published: KIN-03, H. N. Gupta, Fundamentals of Internal Combustion Engines,
// example 16.1, p. 519 (in a worked notebook): 3 l square six, ratio 9, rod
// 17.2 cm, 3000 rpm, 20° past the top. Tolerances are those of its digits.
func TestPublishedSquareSix(t *testing.T) {
	bore := math.Cbrt(4 * 0.003 / 6 / math.Pi)
	near1(t, "bore, cm", 100*bore, 8.6, 0.002, 0)
	s := must(NewSlider(bore/2, 0.172, 0))(t)
	c := must(OfRatio(s, bore, 9))(t)
	w := 3000 * rpm
	volume, _ := c.Volume(20 * deg)
	near1(t, "mean speed", s.MeanSpeed(w), 8.6, 0.002, 0)
	near1(t, "clearance volume, cm³", 1e6*c.Clearance(), 62.5, 1e-6, 0)
	near1(t, "speed", s.Speed(20*deg, w), 5.71, 0.003, 0)
	near1(t, "drop, cm", 100*s.Drop(20*deg), 0.32, 0, 0.005)
	near1(t, "volume, cm³", 1e6*volume, 81.24, 0.001, 0)
	near1(t, "ratio", c.Ratio(), 9, 1e-12, 0)
}

// Published: GEO-01, M. L. Mathur, R. P. Sharma, Internal Combustion Engine,
// example 1.1, p. 3: 68 × 75 mm, four cylinders, 1089.5 cm³; and GEO-02, a
// compression ratio from parts (recomputed).
func TestPublishedDisplacement(t *testing.T) {
	c := must(OfRatio(must(NewSlider(0.0375, 0.13, 0))(t), 0.068, 8))(t)
	near1(t, "displacement, cm³", 4e6*c.Swept(), 1089.5, 1e-4, 0)
	near1(t, "clearance volume, cm³", 1e6*c.Clearance(), 38.9, 0.001, 0)
	parts := 48.5 + 6.2 + math.Pi/4*8.8*8.8*0.12 + math.Pi/4*8.65*8.65*0.025
	c = must(NewCylinder(must(NewSlider(0.043, 0.143, 0))(t), 0.0865, parts*1e-6))(t)
	near1(t, "ratio", c.Ratio(), 8.962838, 1e-6, 0)
}

// Published (recomputed, no print): THM-13, compression from intake closing.
func TestPublishedIntakeClosing(t *testing.T) {
	c := must(OfRatio(must(NewSlider(0.043, 0.143, 0))(t), 0.086, 10.5))(t)
	v, _ := c.Volume((180 + 60) * deg)
	near1(t, "drop, mm", 1000*c.Drop(240*deg), 69.43389, 1e-6, 0)
	near1(t, "ratio", v/c.Clearance(), 8.670023, 1e-6, 0)
}

// Published: KIN-04, R. S. Khurmi, J. K. Gupta, Theory of Machines, example
// 15.7, p. 533; KIN-06, the same, example 15.11, p. 537 (both in worked
// notebooks). The book takes the two-term acceleration r ω² (cos θ + cos 2θ/n)
// and a rod without mass; ours is exact. At 60° of the first they agree to 3e-4
// of the inertia force, inside the printed digits; at 20° of the second by 6 N of
// 3253 N, which is put back before the book's sum is compared.
func TestPublishedPistonEffort(t *testing.T) {
	effort := func(r, l, bore, mass, speed, angle, pressure float64) (Forces, float64) {
		m := must(NewMechanism(must(NewSlider(r, l, 0))(t), Parts{Piston: mass, Bore: bore}))(t)
		f := must(m.At(angle*deg, speed*rpm, pressure))(t)
		return f, -f.Pin.X
	}
	f, _ := effort(0.3, 1.2, 0.5, 250, 250, 60, 0.35e6)
	near1(t, "side thrust, kN", -f.Thrust/1000, 10.97, 0.001, 0)
	near1(t, "force in the rod, kN", f.Rod.X/1000, 50.65, 0.001, 0)
	near1(t, "torque, kN m", f.Torque/1000, 14.491, 0.001, 0)
	near1(t, "tangential force, kN", f.Torque/0.3/1000, 48.3, 0.001, 0)
	// The piston's weight is in the book's sum, and is none of ours.
	f, along := effort(0.06, 0.25, 0.1, 1.1, 2000, 20, 700e3)
	weight := 1.1 * 9.81
	s := must(NewSlider(0.06, 0.25, 0))(t)
	w := 2000 * rpm
	terms := 0.06 * w * w * (math.Cos(20*deg) + math.Cos(40*deg)*0.06/0.25)
	more := 1.1 * (s.Acceleration(20*deg, w) - terms)
	near1(t, "exact above two-term inertia force, N", more, 6, 0, 0.1)
	near1(t, "piston effort, N", along+weight+more, 2255.6, 0.001, 0)
	near1(t, "force in the rod, N", f.Rod.X*(along+weight)/along, 2265, 0.005, 0)
	near1(t, "side thrust, N", -f.Thrust*(along+weight)/along, 185.4, 0.01, 0)
}

// Published (recomputed, no print): KIN-08, a rod split into two masses. A rod
// with the inertia of its two masses is the same as a rod without mass, the small
// end's mass on the pin and the big end's on the throw.
func TestPublishedTwoMasses(t *testing.T) {
	s := must(NewSlider(0.045, 0.144, 0))(t)
	rod := Rod{Mass: 0.62, Gravity: 0.041}
	rod.Inertia = rod.PointInertia(0.144)
	whole := must(NewMechanism(s, Parts{Piston: 0.42, Rod: rod, Bore: 0.09}))(t)
	near1(t, "inertia force at the top, N", -must(whole.At(0, 6500*rpm, 0))(t).BigEnd.X-0.4434722*0.045*sq(6500*rpm), 16323.99, 1e-6, 0)
	split := must(NewMechanism(s, Parts{Piston: 0.42 + 0.1765278, Rod: Rod{Mass: 0.4434722}, Bore: 0.09}))(t)
	for a := 0.0; a < 360; a += 7 {
		f, g := must(whole.At(a*deg, 680, 2e6))(t), must(split.At(a*deg, 680, 2e6))(t)
		near1(t, "big end", f.BigEnd.Plus(g.BigEnd.Times(-1)).Length()/2e4, 0, 0, 2e-7)
		near1(t, "side thrust", f.Thrust-g.Thrust, 0, 0, 0.004)
		near1(t, "torque", f.Torque-g.Torque, 0, 0, 2e-4)
	}
}

func sq(x float64) float64 { return x * x }

// Synthetic, no outside value: BRG-18, the load of a big end in the frame of its
// rod, worked out by other code.
func TestSyntheticBigEnd(t *testing.T) {
	m := must(NewMechanism(must(NewSlider(0.043, 0.143, 0))(t), Parts{Piston: 0.55, Rod: Rod{Mass: 0.42}, Bore: 0.086}))(t)
	most := 0.0
	for _, row := range table(t, "big_end_5500.csv") {
		v := numbers(t, row)
		f := must(m.At(v[0]*deg, 5500*rpm, v[1]*1e5-1e5))(t)
		near1(t, row[0]+"° x", -f.Rod.X, v[2], 0, 0.01)
		near1(t, row[0]+"° y", f.Rod.Y, v[3], 0, 0.01)
		most = max(most, f.Rod.Length())
	}
	near1(t, "largest", most, 16778.99, 0.002, 0)
}
