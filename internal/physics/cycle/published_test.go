package cycle

import (
	"bufio"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// table reads a testdata file without its header lines and names.
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

func number(t testing.TB, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// Published: THM-01, NIST-JANAF Thermochemical Tables, 4th ed. (from memory),
// and the same polynomials recomputed. The polynomial of H₂O is 1.1 % high in
// heat capacity at 2000 K.
func TestPublishedPolynomials(t *testing.T) {
	index := map[string]int{"N2": n2, "O2": o2, "CO2": co2, "H2O": h2o, "CO": co}
	for _, row := range table(t, "janaf.csv") {
		s := &kinds[index[row[0]]]
		k := number(t, row[1])
		cp, h, entropy := s.of(k)
		_, h0, _ := s.of(standard)
		within := 0.0025
		if row[0] == "H2O" && k == 2000 {
			within = 0.012
		}
		near(t, row[0]+" cp", cp, number(t, row[2]), within, 0)
		near(t, row[0]+" s", entropy, number(t, row[4]), 0.0025, 0)
		near(t, row[0]+" h", (h-h0)/1000, number(t, row[6]), max(0.0025, within/3), 0)
		near(t, row[0]+" cp again", cp, number(t, row[3]), 1e-6, 0)
		near(t, row[0]+" s again", entropy, number(t, row[5]), 1e-6, 0)
		near(t, row[0]+" h again", (h-h0)/1000, number(t, row[7]), 1e-6, 1e-4) // a₆ has seven digits
	}
}

// Published: THM-02, Y. A. Çengel, M. A. Boles, Thermodynamics, example 9-2, p.
// 498 (in a worked notebook): air, 290 K, 100 kPa, ratio 8, 800 kJ/kg, variable
// heat capacities. The burn takes 0.1° here, and 0.5 % is what the printed air
// table and the polynomials differ by.
func TestPublishedOtto(t *testing.T) {
	p := constantly(t, Air(), 800e3, 0.1*deg, 0.5, 8)
	s := state{t: 290}
	s.m = 100e3 * p.vr / (p.fresh.r * 290)
	e := p.endsAt(&s, 1000)
	var t2, p2, t3, p3 float64
	end, err := p.pass(s, &e, func(i int, at float64, y *state, pr, dp float64) {
		if at < -0.05*deg+1e-9 {
			t2, p2 = y.t, pr
		}
		if y.t > t3 {
			t3, p3 = y.t, pr
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "T₂", t2, 652.4, 0.004, 0)
	near(t, "p₂, kPa", p2/1e3, 1798.295, 0.004, 0)
	near(t, "T₃", t3, 1575.1, 0.004, 0)
	near(t, "p₃, MPa", p3/1e6, 4.345, 0.004, 0)
	near(t, "T₄", end.t, 795.6, 0.006, 0)
	near(t, "work, kJ/kg", end.work/s.m/1e3, 418.17, 0.01, 0)
	near(t, "efficiency", end.work/s.m/800e3, 0.523, 0, 0.004)
	near(t, "mean effective pressure, kPa", end.work/p.swept/1e3, 574, 0.01, 0)
	// The same by polynomials, a tenfold closer check.
	near(t, "T₂ recomputed", t2, 651.8821, 3e-4, 0)
	near(t, "T₃ recomputed", t3, 1575.499, 3e-4, 0)
	near(t, "T₄ recomputed", end.t, 795.258, 3e-4, 0)
	near(t, "efficiency recomputed", end.work/s.m/800e3, 0.5230372, 3e-4, 0)
}

// Published (recomputed, closed forms): THM-04 cold-air Otto, THM-05 polytropic
// compression, by strokes of the model.
func TestPublishedColdAir(t *testing.T) {
	for i, ratio := range []float64{8, 9, 10, 11, 12} {
		gas := must(Constant(1.4, 287, 0))(t)
		p := constantly(t, gas, 1e6, 0.25*deg, 0.5, ratio)
		s := state{m: 5e-4, t: 300}
		e := p.endsAt(&s, 1000)
		var t2, p2 float64
		end, err := p.pass(s, &e, func(_ int, at float64, y *state, pr, dp float64) {
			if at < -0.125*deg+1e-9 {
				t2, p2 = y.t, pr
			}
		})
		if err != nil {
			t.Fatal(err)
		}
		near(t, "efficiency", end.work/(1e6*5e-4), []float64{0.5647247, 0.5847564, 0.6018928, 0.6167846, 0.6298928}[i], 1e-5, 0)
		near(t, "T₂/T₁", t2/300, []float64{2.297397, 2.408225, 2.511886, 2.609499, 2.70192}[i], 2e-5, 0)
		near(t, "p₂/p₁", p2/e.pr, []float64{18.37917, 21.67402, 25.11886, 28.70448, 32.42304}[i], 4e-5, 0)
	}
	for _, row := range table(t, "polytropic.csv") {
		ratio, n := number(t, row[0]), number(t, row[1])
		gas := must(Constant(n, 287, 0))(t)
		p := constantly(t, gas, 0, 1*deg, 0.5, ratio)
		s := state{m: 5e-4, t: 300}
		e := p.endsAt(&s, 1000)
		met := false
		if _, err := p.pass(s, &e, func(_ int, at float64, y *state, pr, dp float64) {
			if math.Abs(at) < 1e-9 {
				met = true
				near(t, "pressure", pr/e.pr, number(t, row[2]), 1e-6, 0)
				near(t, "temperature", y.t/300, number(t, row[3]), 1e-6, 0)
			}
		}); err != nil || !met {
			t.Fatal(err, met)
		}
	}
}

// Published: THM-06, J. B. Heywood, Internal Combustion Engine Fundamentals, eq.
// 9.30 (constants from memory, values recomputed), and the burn of a cycle is it.
func TestPublishedWiebe(t *testing.T) {
	for _, row := range table(t, "wiebe.csv") {
		near(t, "Wiebe", Wiebe(number(t, row[2]), number(t, row[0]), number(t, row[1])), number(t, row[3]), 1e-6, 1e-9)
	}
	near(t, "at the end", Wiebe(1, 5, 2), 0.9933, 0, 1e-4)
	for share, z := range map[float64]float64{0.1: 0.2762078, 0.5: 0.5175494, 0.9: 0.7722334} {
		near(t, "share", Wiebe(z, 5, 2), share, 0, 2e-7)
	}
	s := invented(t)
	r := must(Run(s, Options{}))(t)
	for _, n := range r.nodes {
		if n.at < 0.5 {
			want := r.Residual + (1-r.Residual)*Wiebe((n.at+s.Burn.Start)/s.Burn.Duration, 6.908, 2)
			near(t, "burnt share", n.x, want, 0, 2e-5)
		}
	}
}

// Published: THM-08, G. Woschni, SAE 670931, two printed forms at one state
// (constants read, values recomputed).
func TestPublishedWoschni(t *testing.T) {
	near(t, "T^−0.55", Woschni55.Coefficient(0.1, 1e6, 700, 2.28*6.667), 311.8214, 1e-5, 0)
	near(t, "T^−0.53", Woschni53.Coefficient(0.1, 1e6, 700, 2.28*6.667), 355.5208, 1e-5, 0)
	// What the balance uses is the same.
	p := must(newPlan(invented(t), 1))(t)
	s := state{m: 6e-4, t: 700, x: 0.04}
	e := p.endsAt(&s, 1000)
	a, d := p.stations[30], state{}
	pr := p.slope(&s, &a, &p.steps[10], &e, &d)
	near(t, "in the balance", d.heat*p.set.Speed, Woschni53.Coefficient(0.087, pr, 700, a.hc)*(a.wall*700-a.wallT), 1e-9, 0)
}

// Published: THM-09, J. B. Heywood, table D.4 (from memory), recomputed. Air here
// has 1.3 % less of its nitrogen as argon, 3e-4 of the ratio.
func TestPublishedFuels(t *testing.T) {
	for _, row := range table(t, "fuels.csv") {
		f := Fuel{C: number(t, row[1]), H: number(t, row[2]), O: number(t, row[3])}
		near(t, row[0]+" air", f.Stoichiometric(), number(t, row[5]), 0.005, 0)
		near(t, row[0]+" air recomputed", f.Stoichiometric(), number(t, row[4]), 1e-3, 0)
	}
}

// Published: THM-11, A. M. Douaud, P. Eyzat, SAE 780080 (constants read, values
// recomputed).
func TestPublishedDelay(t *testing.T) {
	for i, c := range [][3]float64{{95, 20, 700}, {95, 40, 800}, {98, 60, 850}, {91, 50, 820}} {
		near(t, "delay, ms", 1e3*Delay(c[0], c[1]*101325, c[2]), []float64{20.77522, 3.244104, 1.368762, 1.707954}[i], 1e-6, 0)
	}
}

// Published: THM-14, C. F. Taylor; J. B. Heywood, section 9.6 (rules of thumb, from
// memory): a unit of compression ratio costs 3 to 5 octane numbers, 10 K of charge
// 1 to 2, 10 kPa of boost some 3 to 4. Order of magnitude only: the ranges are
// doubled either way.
func TestPublishedRulesOfThumb(t *testing.T) {
	slow := func(change func(*Setup)) KnockIndex {
		s := invented(t)
		s.Speed = 2500 * math.Pi / 30
		change(&s)
		return must(must(Run(s, Options{}))(t).Knock(95))(t)
	}
	base := slow(func(*Setup) {})
	warm := slow(func(s *Setup) { s.Temperature += 10 })
	boost := slow(func(s *Setup) { s.Pressure += 1e4 })
	for _, c := range []struct {
		what      string
		k         KnockIndex
		low, high float64
	}{{"10 K", warm, 0.5, 4}, {"10 kPa", boost, 1.5, 8}} {
		if cost := -c.k.Against(base).Octane; cost < c.low || cost > c.high {
			t.Errorf("%s cost %.2f octane numbers, want %g to %g", c.what, cost, c.low, c.high)
		}
	}
}

// Law: the flow of a nozzle at the ends that have closed forms: choked, and
// incompressible for a small difference; and it has no step where it chokes or
// becomes linear.
func TestLawOrifice(t *testing.T) {
	const gamma, rt = 1.4, 287 * 300.0
	choked := 1e5 * math.Sqrt(gamma/rt) * math.Pow(2/(gamma+1), (gamma+1)/(2*(gamma-1)))
	for _, back := range []float64{1, 3e4, 5.2e4} {
		near(t, "choked", orifice(1e5, back, rt, gamma, linear), choked, 1e-12, 0)
	}
	near(t, "small difference", orifice(1e5, 0.997e5, rt, gamma, linear), math.Sqrt(2*300*1e5/rt), 2e-3, 0)
	near(t, "no difference", orifice(1e5, 1e5, rt, gamma, linear), 0, 0, 0)
	for _, p := range []float64{1e5 * (1 - linear), 1e5 * math.Pow(2/(gamma+1), gamma/(gamma-1)), 0.65e5} {
		a, b := orifice(1e5, p*(1-1e-9), rt, gamma, linear), orifice(1e5, p*(1+1e-9), rt, gamma, linear)
		near(t, "step", a-b, 0, 0, 1e-5*choked)
	}
	for lift, want := range map[float64]float64{0: 0, 0.001: math.Pi * 0.04 * 0.001, 0.02: math.Pi / 4 * 0.036 * 0.036, -1: 0} {
		near(t, "curtain", Curtain(0.04, lift), want, 1e-12, 0)
	}
}
