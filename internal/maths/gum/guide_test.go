package gum

import (
	"math"
	"testing"
)

// endGauge is example H.1 of the Guide: the model H.3 with the figures of table
// H.1 and the parts of d in H.1.3.2; in nanometres.
func endGauge(t *testing.T) (*Graph, ID, ID) {
	t.Helper()
	g := New()
	leaf := func(key string, value, u, dof float64, d Dist) []ID {
		return []ID{g.Leaf(Leaf{Key: key, Value: value, U: u, Dof: dof, Dist: d})}
	}
	d, err := g.Apply(total(3), [][]ID{leaf("repeat", 215, 5.8, 24, Normal), leaf("random", 0, 3.9, 5, Normal), leaf("systematic", 0, 6.7, 8, Normal)})
	if err != nil {
		t.Fatal(err)
	}
	theta, err := g.Apply(total(2), [][]ID{leaf("mean theta", -0.1, 0.2, 0, Normal), leaf("swing", 0, 0.5/math.Sqrt2, 0, Arcsine)})
	if err != nil {
		t.Fatal(err)
	}
	model := &Relation{Name: "end-gauge", In: make([]Symbol, 6),
		Value: func(x [][]float64) (float64, error) {
			return x[0][0] + x[1][0] - x[0][0]*(x[2][0]*x[3][0]+x[4][0]*x[5][0]), nil
		},
		Partials: func(x, g [][]float64) {
			g[0][0], g[1][0] = 1-(x[2][0]*x[3][0]+x[4][0]*x[5][0]), 1
			g[2][0], g[3][0] = -x[0][0]*x[3][0], -x[0][0]*x[2][0]
			g[4][0], g[5][0] = -x[0][0]*x[5][0], -x[0][0]*x[4][0]
		}}
	y, err := g.Apply(model, [][]ID{leaf("l_S", 50000623, 25, 18, Normal), {d},
		leaf("delta alpha", 0, 1e-6/math.Sqrt(3), 50, Rectangular), {theta},
		leaf("alpha_S", 11.5e-6, 2e-6/math.Sqrt(3), 0, Rectangular), leaf("delta theta", 0, 0.05/math.Sqrt(3), 2, Rectangular)})
	if err != nil {
		t.Fatal(err)
	}
	return g, y, d
}

// Published: JCGM 100:2008, H.1. Printed: l = 50.000 838 mm, u_c = 32 nm, ν_eff =
// 16, U = 93 nm at 99 %, and 34 nm with the second-order terms (H.1.7).
// Recomputed without rounding on the way: 31.66, 16.75, k = 2.9208 for 16
// degrees of freedom, and 92.48 nm, so 92.5. The printed 93 is 2.92 × 32: u_c was
// rounded before the product and the product again. Tolerance: the digits of the
// recomputation.
func TestPublishedEndGaugeExpanded(t *testing.T) {
	g, y, d := endGauge(t)
	near(t, "l", g.Value(y), 50000838, 0.5)
	near(t, "u(d)", g.U(d), 9.681941954, 1e-6)
	near(t, "ν(d)", g.Dof(d), 25.44725078, 0.001) // 25.6 in print, from rounded parts
	near(t, "u_c", g.U(y), 31.66387911, 0.001)
	near(t, "ν_eff", g.Dof(y), 16.75185574, 0.005)
	k := must(Factor(0.99, math.Floor(g.Dof(y))))
	near(t, "k at 99 %", k, 2.920781622, 0.0005)
	near(t, "k at 95 %", must(Factor(0.95, 16)), 2.119905299, 0.0005)
	near(t, "U at 99 %", k*g.U(y), 92.4832762, 0.01)
	if twice := math.Round(2.92 * math.Round(g.U(y))); twice != 93 {
		t.Errorf("rounded twice the product is %v, printed 93", twice)
	}
	parts := map[string]float64{}
	for _, s := range g.Budget(y) {
		parts[s.Key] = math.Abs(s.Sensitivity) * s.U
	}
	near(t, "part of δα", parts["delta alpha"], 2.886787315, 0.0001)
	near(t, "part of δθ", parts["delta theta"], 16.59902706, 0.001)
	near(t, "part of α_S", parts["alpha_S"], 0, 1e-9)
	s := g.SecondOrder(y)
	near(t, "u_c with second order", s.U, 33.80654543, 0.01)
	if !s.Curved {
		t.Error("two contributions that the first order does not see, and no warning")
	}
}

// Published: JCGM 100:2008, H.1.6 step 4, from the printed, rounded components.
// These give 17.47 and not the printed 16.7: rounding on the way moves the whole
// degrees of freedom from 16 to 17 (recomputed). Tolerance: the digits.
func TestPublishedWelchRounded(t *testing.T) {
	nu := must(EffectiveDof(32, []float64{25, 9.7, 2.9, 16.6}, []float64{18, 25.6, 50, 2}))
	near(t, "ν_eff", nu, 17.47181783, 0.001)
	near(t, "k at 99 %, 17", must(Factor(0.99, math.Floor(nu))), 2.89823052, 0.0001)
	near(t, "k at 99 %, 16", must(Factor(0.99, 16)), 2.920781622, 0.0001)
}

// fiveReadings is table H.2 of the Guide: V in volt, I in milliampere, φ in radian.
func fiveReadings() [][]float64 {
	return [][]float64{{5.007, 19.663, 1.0456}, {4.994, 19.639, 1.0438}, {5.005, 19.640, 1.0468}, {4.990, 19.685, 1.0428}, {4.999, 19.678, 1.0433}}
}

// impedance has R, X and Z over V, I, φ with exact partials, in ohm.
func impedance() []*Relation {
	trig := []struct{ f, d func(float64) float64 }{
		{math.Cos, func(p float64) float64 { return -math.Sin(p) }}, {math.Sin, math.Cos},
		{func(float64) float64 { return 1 }, func(float64) float64 { return 0 }}}
	var out []*Relation
	for _, c := range trig {
		out = append(out, &Relation{Name: "impedance", In: make([]Symbol, 3),
			Value: func(x [][]float64) (float64, error) { return 1e3 * x[0][0] / x[1][0] * c.f(x[2][0]), nil },
			Partials: func(x, g [][]float64) {
				z := 1e3 * x[0][0] / x[1][0]
				g[0][0], g[1][0], g[2][0] = z*c.f(x[2][0])/x[0][0], -z*c.f(x[2][0])/x[1][0], z*c.d(x[2][0])
			}})
	}
	return out
}

// Published: JCGM 100:2008, H.2, tables H.2 to H.4: R = 127.732, X = 219.847, Z =
// 254.260 ohm with u = 0.071, 0.295, 0.236 and correlations −0.588, −0.485,
// 0.993; recomputed in full precision (u(X) is then 0.2956). Tolerance: the digits of the
// recomputation. Taken as independent the same readings give 0.195 and 0.201.
func TestPublishedImpedance(t *testing.T) {
	mean, cov, err := Joint(fiveReadings())
	if err != nil {
		t.Fatal(err)
	}
	near(t, "V", mean[0], 4.999, 1e-9)
	near(t, "I", mean[1], 19.661, 1e-9)
	near(t, "φ", mean[2], 1.04446, 1e-9)
	u := func(i int) float64 { return math.Sqrt(cov[i][i]) }
	near(t, "u(V)", u(0), 0.003209361307, 1e-8)
	near(t, "u(I)", u(1), 0.009471008394, 1e-8)
	near(t, "u(φ)", u(2), 0.0007520638271, 1e-9)
	near(t, "r(V, I)", cov[0][1]/u(0)/u(1), -0.3553112198, 1e-6)
	near(t, "r(V, φ)", cov[0][2]/u(0)/u(2), 0.8576242108, 1e-6)
	near(t, "r(I, φ)", cov[1][2]/u(1)/u(2), -0.6451112177, 1e-6)

	g := New()
	in, err := g.Correlated([]string{"V", "I", "φ"}, Repeat, mean, cov, 4)
	if err != nil {
		t.Fatal(err)
	}
	alone := New()
	var apart []ID
	for i, m := range mean {
		apart = append(apart, alone.Leaf(Leaf{Key: string(rune('a' + i)), Value: m, U: u(i)}))
	}
	var y []ID
	want := []struct{ value, u, apart float64 }{{127.7321699, 0.0710714074, 0.1945444545}, {219.8465119, 0.2955816774, 0.2009093059}, {254.2597019, 0.2363361301, 0}}
	for i, r := range impedance() {
		id := must(g.Apply(r, [][]ID{{in[0]}, {in[1]}, {in[2]}}))
		y = append(y, id)
		near(t, "value", g.Value(id), want[i].value, 1e-5)
		near(t, "u", g.U(id), want[i].u, 1e-6)
		near(t, "ν of one estimate", g.Dof(id), 4, 1e-9)
		if want[i].apart > 0 {
			near(t, "u without correlation", alone.U(must(alone.Apply(r, [][]ID{{apart[0]}, {apart[1]}, {apart[2]}}))), want[i].apart, 1e-5)
		}
	}
	r := func(a, b int) float64 { return g.Covariance(y[a], y[b]) / g.U(y[a]) / g.U(y[b]) }
	near(t, "r(R, X)", r(0, 1), -0.5884297844, 1e-5)
	near(t, "r(R, Z)", r(0, 2), -0.4852592242, 1e-5)
	near(t, "r(X, Z)", r(1, 2), 0.9925116489, 1e-5)

	// By Monte Carlo the correlations are those of a t with four degrees of
	// freedom, whose own spread is wider: √(12/4) of a normal's 1/√M at the least.
	c := must(g.Draw(y, Sampling{Seed: 1, Draws: 200_000, Correlate: true}))
	near(t, "drawn r(R, X)", c.Correlation[0][1], -0.588, 0.05)
	near(t, "drawn r(X, Z)", c.Correlation[1][2], 0.993, 0.005)
}

// Published: calibration of a thermometer, JCGM 100:2008, H.3, table H.6: the
// line b = −0.1712 + 0.002 18 (t − 20), u = 0.0029 and 0.000 67, r = −0.930, s =
// 0.0035; at 30 °C −0.1494 with u = 0.0041. Recomputed in full precision.
// Tolerance: the digits of the recomputation.
func TestPublishedCalibrationLine(t *testing.T) {
	x := []float64{21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511}
	y := []float64{-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160}
	l := must(FitLine(x, y, 20))
	near(t, "intercept", l.Intercept, -0.1712037901, 1e-8)
	near(t, "slope", l.Slope, 0.00218269774, 1e-9)
	near(t, "u(intercept)", l.UA, 0.002877597835, 1e-8)
	near(t, "u(slope)", l.UB, 0.0006679387732, 1e-9)
	near(t, "r", l.R, -0.9304296031, 1e-7)
	near(t, "s", l.Residual, 0.003497563964, 1e-8)
	near(t, "Σ of squares", l.Residual*l.Residual*l.Dof, 0.0001100965831, 1e-12)
	g := New()
	a, b, err := l.Nodes(g, "thermometer", Gauge)
	if err != nil {
		t.Fatal(err)
	}
	at := must(g.Apply(l.Along(), [][]ID{{a}, {b}, {g.Leaf(Leaf{Key: "30", Value: 30})}}))
	near(t, "correction at 30 °C", g.Value(at), -0.1493768127, 1e-8)
	near(t, "its u", g.U(at), 0.004138595753, 1e-8)
	near(t, "its ν", g.Dof(at), 9, 1e-9)
	near(t, "r of the nodes", g.Covariance(a, b)/g.U(a)/g.U(b), -0.9304296031, 1e-7)
}

// Published: vernier calliper at 150 mm, EA-4/02 M:2013, supplement 2, S10 (from
// memory, arithmetic recomputed): two rectangular causes of 50 and 25 µm half
// width outweigh the rest; k = 1.83 for 95 %, U = 0.06 mm. Tolerance: printed
// digits; u of the print comes from parts rounded to 15 and 29 µm.
func TestPublishedCalliper(t *testing.T) {
	near(t, "k", must(TrapezoidFactor(0.95, 1.0/3)), 1.83, 0.005)
	near(t, "k at the printed ratio", must(TrapezoidFactor(0.95, 0.33)), 1.835109971, 0.005)
	g := New()
	leaf := func(key string, v, u float64, d Dist) []ID {
		return []ID{g.Leaf(Leaf{Key: key, Value: v, U: u, Dist: d})}
	}
	y := must(g.Apply(total(5), [][]ID{leaf("indication", 150_100, 0, Normal), leaf("block", -150_000, 0.46, Normal),
		leaf("temperature", 0, 1.7*1.15, Normal), leaf("step", 0, 25/math.Sqrt(3), Rectangular), leaf("beam", 0, 50/math.Sqrt(3), Rectangular)}))
	near(t, "E_X", g.Value(y), 100, 1e-6)
	near(t, "u", g.U(y), 32.71136844, 0.5)
	e := must(g.Expanded(y, 0.95))
	if e.Law != ByTrapezoid {
		t.Fatalf("law %s", e.Law)
	}
	near(t, "β", e.Beta, 1.0/3, 1e-9)
	near(t, "U in mm", math.Round(e.U/10)/100, 0.06, 1e-9)
	// The drawn interval stands beside the factor: the rest of the budget only
	// rounds the corners. Tolerance: 2 %, of which chance has 0.3.
	s := draw(t, g, y, Sampling{Seed: 1, Draws: 200_000})
	near(t, "drawn half width", (s.High-s.Low)/2, e.U, 0.02*e.U)
}
