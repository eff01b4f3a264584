package lubricant

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
)

func table(t *testing.T, name string) [][]string {
	t.Helper()
	f, err := os.Open("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil || len(rows) < 2 {
		t.Fatalf("%s: %d rows, %v", name, len(rows), err)
	}
	return rows[1:]
}

func num(t *testing.T, s string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

func near(t *testing.T, what string, got, want, rel float64) {
	t.Helper()
	if !(math.Abs(got-want) <= rel*math.Abs(want)) {
		t.Errorf("%s = %.10g, want %.10g", what, got, want)
	}
}

const mm2 = 1e-6

// Published: the basic values L and H of ASTM D2270, as copied, digit by digit.
func TestPublishedBasicValues(t *testing.T) {
	rows := table(t, "d2270_l_h.csv")
	all := basics()
	if len(rows) != len(all) {
		t.Fatalf("%d rows, %d printed", len(all), len(rows))
	}
	for i, r := range rows {
		if got := (basic{num(t, r[0]), num(t, r[1]), num(t, r[2])}); got != all[i] {
			t.Errorf("row %d: %v, printed %v", i, all[i], got)
		}
	}
}

// Published (LUB-01, LUB-02, LUB-05): worked examples of ASTM D2270, procedures A
// and B, as carried with their results in the tests of an open-source
// chemical-property library; the third, above the table, is that library's own.
// Tolerance: the digits printed there; L and H follow from the table exactly.
func TestPublishedViscosityIndex(t *testing.T) {
	for _, c := range []struct {
		u, y, l, h, vi float64
		reported       int
	}{
		{73.3, 8.86, 119.94, 69.48, 92.42965, 92},
		{22.83, 5.05, 41.11, 28.975, 156.4235, 156},
		{1000, 100, 9604, 2772, 192.9975, 193},
	} {
		i, err := IndexOf(c.u*mm2, c.y*mm2)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "L", i.L/mm2, c.l, 1e-9)
		near(t, "H", i.H/mm2, c.h, 1e-9)
		if math.Abs(i.Value-c.vi) > 0.5*math.Pow(10, math.Floor(math.Log10(c.vi))-6) || i.Reported() != c.reported {
			t.Errorf("%g, %g: index %.6f, reported %d; printed %g, %d", c.u, c.y, i.Value, i.Reported(), c.vi, c.reported)
		}
	}
}

// Synthetic (LUB-10, LUB-11): the line in Walther's form through two points,
// formula of ASTM D341 from memory, recomputed independently to seven digits.
func TestSyntheticWalther(t *testing.T) {
	for _, c := range []struct {
		v40, v100, a, b float64
		at              map[float64]float64
	}{
		{73.3, 8.86, 9.458393, 3.680946, map[float64]float64{0: 1233.066, 20: 240.9812, 60: 30.08261, 80: 15.18039, 120: 5.742123, 150: 3.441677}},
		{95, 10.5, 9.344769, 3.625321, map[float64]float64{0: 1782.152, 20: 327.6815, 60: 37.55318, 80: 18.40497, 120: 6.683883, 150: 3.924822}},
	} {
		l, err := NewLine(Point{40, c.v40 * mm2}, Point{100, c.v100 * mm2}, Walther)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "A", l.A, c.a, 1e-6)
		near(t, "B", l.B, c.b, 1e-6)
		for at, want := range c.at {
			near(t, "ν", l.Kinematic(at)/mm2, want, 5e-7) // half a unit of the seventh digit
		}
	}
}

// Published (LUB-20): SAE J300 JAN2015, table 1, digit by digit; grade 40 stands
// there twice, by its winter part.
func TestPublishedJ300(t *testing.T) {
	some := func(s string) float64 {
		if s == "" {
			return 0
		}
		return num(t, s)
	}
	for _, r := range table(t, "j300_2015.csv") {
		names := []string{r[0]}
		if name, list, ok := strings.Cut(r[0], " ("); ok {
			names = nil
			for _, w := range strings.Split(strings.TrimSuffix(list, ")"), ",") {
				if w != name {
					w += "-" + name
				}
				names = append(names, w)
			}
		}
		for _, name := range names {
			g, err := GradeOf(name)
			if err != nil {
				t.Fatal(err)
			}
			got := []float64{g.Cold.Crank * 1e3, g.Cold.CrankAt, g.Cold.Pump * 1e3, g.Cold.PumpAt, 1e6 * g.Hot.Least, 1e6 * g.Hot.Below, 1e3 * g.Hot.Floor}
			if g.Hot.Name == "" {
				got[4] = 1e6 * g.Cold.Least100
			} else if g.Cold.Name != "" {
				got[0], got[1], got[2], got[3] = 0, 0, 0, 0 // of the other row
			}
			for i, x := range got {
				if want := some(r[i+1]); math.Abs(x-want) > 1e-12*math.Abs(want) {
					t.Errorf("%s, column %d: %g, printed %g", name, i+1, x, want)
				}
			}
		}
	}
}

// Published (LUB-22): the classes of ISO 3448:1992 with their bounds, from memory.
func TestPublishedIndustrialClasses(t *testing.T) {
	rows := table(t, "iso_3448.csv")
	for _, r := range rows {
		for _, x := range r {
			if m, ok := Industrial(num(t, x) * mm2); !ok || math.Abs(m/mm2-num(t, r[0])) > 1e-9 {
				t.Errorf("%s: class %g, %v; printed %s", x, m/mm2, ok, r[0])
			}
		}
	}
	for _, between := range []float64{1.9, 2.6, 39, 3600} {
		if m, ok := Industrial(between * mm2); ok {
			t.Errorf("%g is no class, found %g", between, m/mm2)
		}
	}
}

// Published (LUB-23): the exponential fits of Seireg and Dandage, J. Lubr.
// Technol. 104 (1982) 135-148, constants from memory; viscosities recomputed
// from them, so that only the evaluation is checked.
func TestPublishedExponentialFit(t *testing.T) {
	for _, r := range table(t, "exponential_fit.csv") {
		for i, at := range []float64{40, 100, 150} {
			got, err := Plain(int(num(t, r[0])), at)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "grade "+r[0], got*1e3, num(t, r[3+i]), 1e-6)
		}
	}
}

// Published (LUB-24): C. Barus (1893): α = 2·10⁻⁸/Pa at 100 MPa is e².
func TestPublishedBarus(t *testing.T) {
	got, err := Barus(2e-8, 100e6)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "ratio", got, 7.389056, 1e-7)
}

// Synthetic: three oils of a trade example, without shear, as printed there to
// two or three digits; no density is printed, 852 kg/m³ at 15 °C fits all nine.
func TestSyntheticTradeExample(t *testing.T) {
	for _, c := range []struct {
		at40, at100 float64
		want        [3]float64 // at 90, 120 and 140 °C, mPa·s
	}{{61, 10.6, [3]float64{10.7, 5.7, 4.1}}, {80, 13.5, [3]float64{13.7, 7.2, 5.1}}, {155, 23.2, [3]float64{24.0, 12.0, 8.3}}} {
		o, err := NewOil(Datum{Cold: Point{40, c.at40 * mm2}, Hot: Point{100, c.at100 * mm2}, Density: 852})
		if err != nil {
			t.Fatal(err)
		}
		for i, at := range []float64{90, 120, 140} {
			if got := o.Dynamic(at) * 1e3; math.Abs(got-c.want[i]) > 0.05 {
				t.Errorf("%g/%g at %g °C: %.3f mPa·s, printed %g", c.at40, c.at100, at, got, c.want[i])
			}
		}
	}
}
