package texture

import (
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// column reads the heights of a published profile.
func column(t *testing.T, name string) []float64 {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	var out []float64
	for _, l := range strings.Split(strings.TrimSpace(string(text)), "\n")[5:] {
		_, cell, _ := strings.Cut(l, ",")
		v, err := strconv.ParseFloat(cell, 64)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, v)
	}
	return out
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	t.Logf("%s: off by %.1e", what, math.Abs(got-want))
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.10g, published %.10g: off by %.2g, allowed %.2g", what, got, want, math.Abs(got-want), tol)
	}
}

// Published (SRF-01): definitions of ISO 4287:1997, 4.1 and 4.2, and ISO
// 21920-2:2021 on a sine of A = 1.5 µm: Ra = 2A/π, Rq = A/√2, Rz = 2A, Rku = 3/2.
// 200 heights a period miss the crest by A(1 − cos 0.9°) = 1.2e-4 A; sums over
// whole periods miss nothing but the seven digits of the rows.
func TestPublishedSine(t *testing.T) {
	h, err := HeightsOf(column(t, "sine.csv"), 5)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "Ra", h.Ra, 0.9549297, 1e-3*0.9549297)
	near(t, "Rq", h.Rq, 1.06066, 1e-4*1.06066)
	near(t, "Rz", h.Rz, 3, 1e-3*3)
	near(t, "Rp", h.Rp, 1.5, 1e-3*1.5)
	near(t, "Rv", h.Rv, 1.5, 1e-3*1.5)
	near(t, "Rsk", h.Rsk, 0, 1e-6)
	near(t, "Rku", h.Rku, 1.5, 1e-3*1.5)
}

// Published (SRF-03): definitions of ISO 21920-2:2021 on twenty heights, sums by
// hand. Seven printed digits, relative 1e-7; 1e-9 where the figure is short.
func TestPublishedTwentyHeights(t *testing.T) {
	z := []float64{0.8, -0.3, 1.2, 0.1, -1.9, 0.5, 0.7, -0.6, 1.0, -0.2, 0.4, -2.6, 0.9, 0.2, -0.1, 0.6, -1.2, 0.3, 0.0, 0.2}
	h, err := HeightsOf(z, 5)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "Ra", h.Ra, 0.69, 1e-9*0.69)
	near(t, "Rq", h.Rq, 0.9391486, 5e-8)
	near(t, "Rz", h.Rz, 2.04, 1e-9*2.04)
	near(t, "Rt", h.Rt, 3.8, 1e-9*3.8)
	near(t, "Rsk", h.Rsk, -1.307089, 5e-7)
	near(t, "Rzx", h.Rzx, 1.0+2.6, 1e-9)
}

// Published (SRF-04): ISO 13565-2:1996, clause 4, on a material ratio curve of
// three straight pieces, where the parameters are exact: the middle piece falls
// 1.2 µm over 72 %, so Rk = 1.2/0.72. Heights stand in the middle of their
// share of the curve, which rounds its corners by 1/4000; the case allows 1 and 2 %,
// a hundredth of that is asked.
func TestPublishedPlateau(t *testing.T) {
	z := column(t, "plateau.csv")
	if len(z) != 2000 {
		t.Fatalf("%d heights", len(z))
	}
	k, err := CoreOf(z)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "Rk", k.Rk, 1.666667, 1e-4*1.666667)
	near(t, "Rpk", k.Rpk, 1.266667, 2e-4*1.266667)
	near(t, "Rvk", k.Rvk, 3.066667, 2e-4*3.066667)
	near(t, "Mr1 %", 100*k.Mr1, 7.238095, 0.002)
	near(t, "Mr2 %", 100*k.Mr2, 81.96078, 0.002)
}

// Published (SRF-06): common practice, no source: included angle = 2 atan(axial
// speed/tangential speed). Seven printed digits.
func TestPublishedHatch(t *testing.T) {
	hone := Honing{Bore: 0.086, Stroke: 0.120, DoubleStrokes: 70. / 60, Turns: 180. / 60}
	a, v := hone.Speeds()
	near(t, "axial", 1000*a, 280, 280e-6)
	near(t, "tangential", 1000*v, 810.5309, 5e-5)
	h, err := HatchOf(hone)
	if err != nil {
		t.Fatal(err)
	}
	const deg = math.Pi / 180
	near(t, "included", h.Included/deg, 38.11521, 1e-5)
	near(t, "from the horizontal", h.FromHorizontal/deg, 19.0576, 5e-5)
	near(t, "about the axis", h.AboutAxis()/deg, 180-38.11521, 1e-5)
}

// Published: tables of ISO 4288:1996 and ISO 3274:1996, as copied in
// instrument makers' summaries: Ra in µm; λc, evaluation length in mm, λs in µm.
func TestPublishedSettings(t *testing.T) {
	for _, r := range [][4]float64{{0.02, 0.08, 0.4, 2.5}, {0.0201, 0.25, 1.25, 2.5}, {0.1, 0.25, 1.25, 2.5}, {0.101, 0.8, 4, 2.5}, {2, 0.8, 4, 2.5}, {2.01, 2.5, 12.5, 8}, {10, 2.5, 12.5, 8}, {10.1, 8, 40, 25}, {80, 8, 40, 25}} {
		s, err := SettingFor(r[0] * 1e-6)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "λc", 1e3*s.Long, r[1], 1e-12)
		near(t, "evaluation", 1e3*s.Evaluation, r[2], 1e-12)
		near(t, "λs", 1e6*s.Short, r[3], 1e-12)
		near(t, "trace", s.Trace, s.Evaluation+s.Long, 1e-15)
	}
}

// Published: transmission of ISO 16610-21:2011, one half at the cutoff.
func TestPublishedTransmission(t *testing.T) {
	for ratio, want := range map[float64]float64{1: 0.5, 2: math.Pow(0.5, 0.25), 0.5: 0.0625} {
		near(t, "transmission", Transmission(ratio*0.8, 0.8), want, 1e-15)
	}
	if Transmission(0, 1) != 0 || Transmission(1, 0) != 0 {
		t.Error("a wave or cutoff without length passes")
	}
}
