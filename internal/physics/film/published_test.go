package film

import (
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// rows reads a published table: cells by the name of their column.
func rows(t testing.TB, name string) []map[string]string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(string(text)), "\n")[4:]
	heads := strings.Split(lines[0], ",")
	var out []map[string]string
	for _, l := range lines[1:] {
		row := map[string]string{}
		for i, c := range strings.Split(l, ",") {
			row[heads[i]] = c
		}
		out = append(out, row)
	}
	return out
}

func number(t testing.TB, row map[string]string, name string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(row[name], 64)
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return x
}

const degree = math.Pi / 180

// worst keeps the largest difference of a column.
type worst map[string]float64

func (w worst) see(name string, off float64) bool {
	w[name] = math.Max(w[name], math.Abs(off))
	return !math.IsNaN(off)
}

func steady(t *testing.T, v *Solver, ratio string, eps float64, m Mesh) Steady {
	t.Helper()
	var s Steady
	var err error
	if ratio == "inf" {
		s, err = v.SteadyLong(eps, Mesh{Around: 720, Across: 2})
	} else {
		r, _ := strconv.ParseFloat(ratio, 64)
		s, err = v.Steady(r, eps, m)
	}
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// Published (BRG-01): the printed tables contradict themselves in places. The
// friction that they print follows from their S and attitude; two rows break
// this by more than their digits, and the solutions here side with the
// friction in the first:
//
//	L/D 1, ε 0.4:    S printed 0.264; f = 5.79 needs 0.2605
//
// The rest of the entries that cannot be reproduced are the flow without ends
// (exactly π H at the end of the film there, TestLawLongFlow), where the
// printed figures are 0.4 to 5.7 % off, and S and f at L/D 1/4, ε 0.97, 3 % low
// in step with each other.
func TestPublishedRaimondiBoydIdentity(t *testing.T) {
	for _, r := range rows(t, "raimondi_boyd.csv") {
		eps, s, phi, f := number(t, r, "eps"), number(t, r, "S_published"), number(t, r, "phi_deg_published"), number(t, r, "f_rc_published")
		says := 2*math.Pi*math.Pi*s/math.Sqrt(1-eps*eps) + eps/2*math.Sin(phi*degree)
		off := says/f - 1
		bad := r["L_over_D"] == "1" && eps == 0.4
		t.Logf("L/D %s, eps %g: S and attitude imply f %+.2f %% off the printed one", r["L_over_D"], eps, 100*off)
		if (math.Abs(off) > 0.006) != bad {
			t.Errorf("L/D %s, eps %g: %.2f %% off", r["L_over_D"], eps, 100*off)
		}
	}
}

// Published (BRG-01): S within 1.5 %, attitude 0.6°, flow 0.3 %, friction
// 1.5 %, the mean over the greatest pressure 1.5 % except where named: printed
// tables of 1958 have coarse meshes, most so in the greatest pressure. The
// independent solution in the same rows is held to 0.1 %.
func TestPublishedRaimondiBoyd(t *testing.T) {
	var v Solver
	w := worst{}
	for _, r := range rows(t, "raimondi_boyd.csv") {
		eps := number(t, r, "eps")
		s := steady(t, &v, r["L_over_D"], eps, Fine())
		at := "L/D " + r["L_over_D"] + ", eps " + r["eps"]
		check := func(col string, got, tol float64, skip, relative bool) {
			for _, side := range []string{"_published", "_fd"} {
				if skip && side == "_published" {
					continue
				}
				want, allowed := number(t, r, col+side), tol
				if side == "_fd" {
					allowed = map[bool]float64{true: 0.001, false: 0.1}[relative]
				}
				off := got - want
				if relative {
					off = got/want - 1
				}
				w.see(col+side, off)
				if !(math.Abs(off) <= allowed) {
					t.Errorf("%s: %s%s is %g, found %g: off by %.3g, allowed %g", at, col, side, want, got, off, allowed)
				}
			}
		}
		long := r["L_over_D"] == "inf"
		end := r["L_over_D"] == "0.25" && eps == 0.97
		check("S", s.Sommerfeld, 0.015, end, true)
		check("phi_deg", s.Attitude/degree, 0.6, false, false)
		check("f_rc", s.Friction, 0.015, end, true)
		check("Q_rcNL", s.Flow, 0.003, long && eps > 0.1, true)
		check("P_over_pmax", s.Ratio, 0.015, !long && (eps == 0.97 || eps == 0.8), true)
		if !long {
			check("Qs_over_Q", s.Side, 0.015, false, true)
		}
	}
	for k, x := range w {
		t.Logf("worst %s: %.4f", k, x)
	}
}

// Synthetic (BRG-03): ratios between the printed ones, an independent solution.
// Within 0.5 % and 0.3°.
func TestBetweenRatios(t *testing.T) {
	var v Solver
	w := worst{}
	for _, r := range rows(t, "between_ratios.csv") {
		s := steady(t, &v, r["L_over_D"], number(t, r, "eps"), Mesh{Around: 120, Across: 12})
		for _, c := range []struct {
			col string
			got float64
		}{{"S", s.Sommerfeld}, {"f_rc", s.Friction}, {"Q_rcNL", s.Flow}, {"Qs_over_Q", s.Side}, {"P_over_pmax", s.Ratio}} {
			want := number(t, r, c.col)
			w.see(c.col, c.got/want-1)
			if !(math.Abs(c.got/want-1) <= 0.005) {
				t.Errorf("L/D %s, eps %s: %s = %g, expected %g", r["L_over_D"], r["eps"], c.col, c.got, want)
			}
		}
		for _, c := range []struct {
			col string
			got float64
		}{{"phi_deg", s.Attitude}, {"theta_pmax_deg", s.PeakAt}} {
			want := number(t, r, c.col)
			w.see(c.col, c.got/degree-want)
			if !(math.Abs(c.got/degree-want) <= 0.3) {
				t.Errorf("L/D %s, eps %s: %s = %g, expected %g", r["L_over_D"], r["eps"], c.col, c.got/degree, want)
			}
		}
	}
	for k, x := range w {
		t.Logf("worst %s: %.5f", k, x)
	}
}

// Published (BRG-05): the closed form of the short bearing, at L/D 0.02, within
// 0.4 % in S to ε = 0.9. What is left is the flow around, which a bearing of any
// length has: it falls with (L/D)².
func TestPublishedShort(t *testing.T) {
	var v Solver
	for _, eps := range []float64{0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95} {
		const ratio = 0.02
		s, err := v.Steady(ratio, eps, Mesh{Around: 360, Across: 8})
		if err != nil {
			t.Fatal(err)
		}
		e2 := 1 - eps*eps
		want := e2 * e2 / (math.Pi * eps * math.Sqrt(math.Pi*math.Pi*e2+16*eps*eps)) / (ratio * ratio)
		phi := math.Atan(math.Pi * math.Sqrt(e2) / (4 * eps))
		side := 2 * math.Pi * eps
		t.Logf("eps %g: S off by %+.3f %%, attitude by %+.3f°, side flow by %+.3f %%", eps, 100*(s.Sommerfeld/want-1), (s.Attitude-phi)/degree, 100*(s.Side*s.Flow/side-1))
		tol := 0.004
		if eps > 0.9 {
			tol = 0.008
		}
		if !(math.Abs(s.Sommerfeld/want-1) <= tol && math.Abs(s.Attitude-phi) <= 0.15*degree && math.Abs(s.Side*s.Flow/side-1) <= 0.004) {
			t.Errorf("eps %g: S %g, closed form %g; attitude %g°, %g°; side flow %g, %g", eps, s.Sommerfeld, want, s.Attitude/degree, phi/degree, s.Side*s.Flow, side)
		}
	}
	for _, r := range rows(t, "short.csv") { // the closed form above is the one tabulated
		ratio, eps := number(t, r, "L_over_D"), number(t, r, "eps")
		e2 := 1 - eps*eps
		s := e2 * e2 / (math.Pi * eps * math.Sqrt(math.Pi*math.Pi*e2+16*eps*eps)) / (ratio * ratio)
		if math.Abs(s/number(t, r, "S")-1) > 1e-6 {
			t.Errorf("eps %g: closed form %g, tabulated %s", eps, s, r["S"])
		}
	}
}

// Published (BRG-07): without ends, Reynolds boundary, within 0.2 %.
func TestPublishedLong(t *testing.T) {
	var v Solver
	for _, r := range rows(t, "long.csv") {
		s, err := v.SteadyLong(number(t, r, "eps"), Mesh{Around: 720, Across: 2})
		if err != nil {
			t.Fatal(err)
		}
		if want := number(t, r, "S_reynolds"); !(math.Abs(s.Sommerfeld/want-1) <= 0.002) {
			t.Errorf("eps %s: S %g, expected %g", r["eps"], s.Sommerfeld, want)
		}
		if want := number(t, r, "phi_reynolds_deg"); !(math.Abs(s.Attitude/degree-want) <= 0.1) {
			t.Errorf("eps %s: attitude %g°, expected %g°", r["eps"], s.Attitude/degree, want)
		}
	}
}

// Law: without ends the flow is the same everywhere, and at the end of the film,
// where the pressure has no slope, it is what the journal drags, π H. This is
// why the printed flows without ends are not used beyond ε = 0.1.
func TestLawLongFlow(t *testing.T) {
	var v Solver
	for _, eps := range []float64{0.2, 0.4, 0.6, 0.8, 0.9} {
		s, err := v.SteadyLong(eps, Mesh{Around: 2000, Across: 2, Even: true})
		if err != nil {
			t.Fatal(err)
		}
		end := s.EndAt + -s.Attitude // from the least gap
		if want := math.Pi * Gap(eps, end); !(math.Abs(s.Flow/want-1) <= 0.002) {
			t.Errorf("eps %g: flow %g, π H at the end %g", eps, s.Flow, want)
		}
	}
}
