package fit

import (
	"bufio"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// table reads a testdata file and insists on its four header lines.
func table(t *testing.T, name string) [][]string {
	t.Helper()
	f, err := os.Open(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var out [][]string
	s, line := bufio.NewScanner(f), 0
	for ; s.Scan(); line++ {
		if head := []string{"# Source:", "# Units:", "# Digits:", "# Tolerance:"}; line < 4 {
			if !strings.HasPrefix(s.Text(), head[line]) {
				t.Fatalf("%s:%d: header line %q is missing", name, line+1, head[line])
			}
			continue
		}
		if line > 4 && !strings.HasPrefix(s.Text(), "#") {
			out = append(out, strings.Split(s.Text(), ","))
		}
	}
	if len(out) == 0 {
		t.Fatalf("%s holds no rows", name)
	}
	return out
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// Published: ISO 286-1:2010 Table 1, IT5 to IT9, exact. Both ends of each step
// and its middle are asked for.
func TestISO286Table1(t *testing.T) {
	for _, row := range table(t, "iso286_it_grades.csv") {
		over, up := number(t, row[0]), number(t, row[1])
		for it := 5; it <= 9; it++ {
			want := int(number(t, row[it-3]))
			for _, mm := range []float64{over + 0.001, (over + up) / 2, up} {
				got, err := Grade(mm/1000, it)
				if err != nil || int(got) != want {
					t.Errorf("IT%d at %g mm = %d, %v, want %d", it, mm, got, err, want)
				}
			}
		}
	}
}

// Published: formula of ISO 286-1 for the grades, i = 0.45 D^(1/3) + 0.001 D;
// the table's own rounding stays within 6 %.
func TestISO286GradesFollowTheirFormula(t *testing.T) {
	for _, r := range grades {
		d := math.Sqrt(float64(r.over * r.up))
		i := 0.45*math.Cbrt(d) + 0.001*d
		for k, m := range []float64{7, 10, 16, 25, 40} {
			if off := math.Abs(m*i/float64(r.it[k]) - 1); off > 0.06 {
				t.Errorf("IT%d over %d: formula %.1f, table %d", 5+k, r.over, m*i, r.it[k])
			}
		}
	}
}

// Published: ISO 286-2:2010 limit deviations at 16 sizes, among them sizes on
// step borders and 132.5 mm. Exact.
func TestISO286LimitDeviations(t *testing.T) {
	for _, row := range table(t, "iso286_deviations.csv") {
		d, err := Limits(number(t, row[0])/1000, row[1])
		if err != nil {
			t.Errorf("%s %s: %v", row[0], row[1], err)
			continue
		}
		if want := (Deviations{Micrometres(number(t, row[2])), Micrometres(number(t, row[3]))}); d != want {
			t.Errorf("%s %s = %+v, want %+v", row[0], row[1], d, want)
		}
	}
}

// Published: formulas of ISO 286-1 for the fundamental deviations f, g and s,
// which are from memory in the table (f, s). Tolerance: the standard rounds to
// whole micrometres, mostly but not always to the nearest.
func TestISO286DeviationsFollowTheirFormulas(t *testing.T) {
	wide := [][2]int{{10, 18}, {18, 30}, {30, 50}, {50, 80}, {80, 120}, {120, 180}}
	for _, r := range shafts {
		step := wide[0]
		for _, w := range wide {
			if r.over >= w[0] && r.up <= w[1] {
				step = w
			}
		}
		d := math.Sqrt(float64(step[0] * step[1]))
		near := func(what string, got Micrometres, want, tol float64) {
			if math.Abs(float64(got)-want) > tol {
				t.Errorf("%s over %d: %d, formula %.2f", what, r.over, got, want)
			}
		}
		near("f", r.f, 5.5*math.Pow(d, 0.41), 1)
		near("g", r.g, 2.5*math.Pow(d, 0.34), 1)
		it, _ := Grade(float64(r.up)/1000, 8)
		if r.up <= 50 { // IT8 + 1 to 4
			near("s", r.s, float64(it)+2.5, 1.5)
		} else { // IT7 + 0.4 D of the half step
			it, _ = Grade(float64(r.up)/1000, 7)
			near("s", r.s, float64(it)+0.4*math.Sqrt(float64(r.over*r.up)), 0.5)
		}
		it, _ = Grade(float64(r.up)/1000, 7)
		near("p", r.p, float64(it)+2.5, 2.5) // IT7 + 0 to 5
	}
}

// Published: extremes of seven fits, ISO 286 tables, exact.
func TestISO286FitExtremes(t *testing.T) {
	for _, c := range []struct {
		mm          float64
		hole, shaft string
		max, min    Micrometres
	}{
		{22, "H6", "g6", 33, 7},
		{22, "H7", "p6", -1, -35},
		{48, "H7", "k6", 23, -18},
		{60, "H6", "g6", 48, 10},
		{60, "H7", "s6", -23, -72},
		{86, "H7", "f7", 106, 36},
		{120, "H7", "p6", -2, -59},
	} {
		got, err := Fit(c.mm/1000, c.hole, c.shaft)
		if want := (Clearance{c.max, c.min}); err != nil || got != want {
			t.Errorf("%g %s/%s = %+v, %v, want %+v", c.mm, c.hole, c.shaft, got, err, want)
		}
	}
}

// Published: k is nought above IT7 (ISO 286-1:2010, from memory).
func TestISO286CoarseK(t *testing.T) {
	if d, err := Limits(0.048, "k8"); err != nil || d != (Deviations{39, 0}) {
		t.Errorf("48 k8 = %+v, %v", d, err)
	}
}

// Law: borders belong to the lower step to the nanometre, and a class is never
// inside out.
func TestLawLimits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		size := rapid.Float64Range(0.0101, 0.18).Draw(t, "size")
		class := rapid.StringMatching("[Hfghkps][5-9]").Draw(t, "class")
		d, err := Limits(size, class)
		if err != nil {
			t.Fatal(err)
		}
		it, _ := Grade(size, int(class[1]-'0'))
		if d.Upper-d.Lower != it || it <= 0 {
			t.Errorf("%g %s: %+v spans %d, grade is %d", size, class, d, d.Upper-d.Lower, it)
		}
	})
	for _, mm := range []int{18, 30, 50, 80, 120} {
		at, _ := Grade(float64(mm)/1000, 7)
		above, _ := Grade(float64(mm)/1000+1e-9, 7)
		if at >= above {
			t.Errorf("%d mm: border %d, above it %d", mm, at, above)
		}
	}
	if w := Micrometres(25).Metres(); w != 25e-6 {
		t.Errorf("25 µm = %g m", w)
	}
}

func TestFitRefusals(t *testing.T) {
	for name, c := range map[string]struct {
		err  error
		want string
	}{
		"small":   {second(Grade(0.010, 7)), "over 0.010 m"},
		"large":   {second(Grade(0.1801, 7)), "up to 0.180 m"},
		"mm":      {second(Grade(45, 7)), "outside"},
		"nan":     {second(Grade(math.NaN(), 7)), "outside"},
		"grade":   {second(Grade(0.045, 4)), "IT5 to IT9"},
		"letter":  {second(Limits(0.045, "z7")), "letter"},
		"class":   {second(Limits(0.045, "H11")), "one letter and one grade"},
		"reverse": {second(Fit(0.045, "g6", "H7")), "hole class"},
		"two":     {second(Fit(0.045, "H6", "H7")), "hole class"},
	} {
		if c.err == nil || !strings.Contains(c.err.Error(), c.want) {
			t.Errorf("%s: got %v, want a sentence with %q", name, c.err, c.want)
		}
	}
}

func second[T any](_ T, err error) error { return err }
