package compute

import (
	"math"
	"strconv"
	"strings"
	"testing"
)

// figure runs a computation and reads one figure, without its unit; i counts in
// a list.
func figure(t *testing.T, name, input, want string, i int) float64 {
	t.Helper()
	e, ok := Lookup(name)
	if !ok {
		t.Fatalf("no computation %s", name)
	}
	a, err := e.Run([]byte(input))
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	for _, f := range a.figures() {
		if f.Name == want {
			text := f.Text
			if f.List != nil {
				text = f.List[i]
			}
			number, _, _ := strings.Cut(text, " ")
			x, err := strconv.ParseFloat(number, 64)
			if err != nil {
				t.Fatalf("%s: %s is %q", name, want, text)
			}
			return x
		}
	}
	t.Fatalf("%s has no figure %s", name, want)
	return 0
}

// Published (LUB-01): example of ASTM D2270, 92 from 73.3 and 8.86 mm²/s.
// Synthetic (LUB-10): short form of ASTM D341 at 60 °C, 30.08261 mm²/s; the full
// form of so thick an oil is off by less than 10⁻⁵.
func TestPublishedOilByName(t *testing.T) {
	if got := figure(t, "viscosity-index", `{"at_40": "73.3 mm²/s", "at_100": "8.86 cSt"}`, "reported", 0); got != 92 {
		t.Errorf("index %g, printed 92", got)
	}
	const oil = `{"at_40": "73.3 mm²/s", "at_100": "8.86 mm²/s", "density": "0.880 g/cm³", "temperatures": ["15 °C", "60 °C"]}`
	near(t, "ν at 60 °C", figure(t, "oil-viscosity", oil, "kinematic", 1), 30.08261, 1e-5)
	near(t, "μ = νρ at 15 °C", figure(t, "oil-viscosity", oil, "dynamic", 0), 0.880*figure(t, "oil-viscosity", oil, "kinematic", 0), 1e-9)
}

// Published: a beam over three supports with a force in the middle of each span:
// 5/16, 11/8, 5/16. AISC beam tables, from memory. Springs of 10¹⁴ N/m under a
// plain shaft leave 10⁻⁴.
func TestPublishedMainsByName(t *testing.T) {
	const crank = `{"mains": [["1", "0 mm", "40 µm", "0 µm", "0 µm", "0 µm", "0 µm"], ["2", "200 mm", "40 µm", "0 µm", "0 µm", "0 µm", "0 µm"], ["3", "400 mm", "40 µm", "0 µm", "0 µm", "0 µm", "0 µm"]],
 "pieces": [["400 mm", "50 mm"]], "places": ["100 mm", "300 mm"], "forces": [["0 °crank", "0 kN", "-16 kN", "0 kN", "-16 kN"]], "shear": "no", "bearing": "spring", "stiffness": "100000000000 N/mm"}`
	for i, want := range []float64{5, 22, 5} {
		near(t, "peak", figure(t, "main-loads", crank, "peak", i), want, 1e-4)
	}
	for i, want := range []float64{8, 16, 8} {
		near(t, "by lever", figure(t, "main-loads", crank, "peak_by_lever", i), want, 1e-12)
	}
}

// Law: closed form by name: a pump of 10 cm³ at 1200 rpm into one film that passes
// 12 l/min at 2 bar with its slip of 0: 2 bar. And a gauge that shows just that
// makes nothing more likely than it was.
func TestLawOilPressureByName(t *testing.T) {
	const engine = `{"pump": "10 cm³", "relief_opens": "8 bar", "relief_full": "9 bar", "relief_flow": "20 l/min",
 "films": [["all", "leak", "12 l/min", "2 bar", "10 mPa·s", "10 %", 1]], "states": [["idle", "1200 rpm", "1200 rpm", "10 mPa·s", "0", "0.8 g/cm³"]],
 "gauge": [["idle", "2 bar", "0.1 bar"]], "unit": "bar"}`
	near(t, "pressure", figure(t, "oil-pressure", engine, "pressure", 0), 2, 1e-9)
	near(t, "u", figure(t, "oil-pressure", engine, "pressure_u", 0), 0.2, 1e-6)
	near(t, "used", figure(t, "oil-pressure", engine, "used", 0), 12, 1e-9)
	if after, before := figure(t, "oil-pressure", engine, "likely", 0), figure(t, "oil-pressure", engine, "before", 0); !(after > before) || math.IsNaN(after) {
		t.Errorf("likely %g, before %g", after, before)
	}
}
