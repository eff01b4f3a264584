package sheet

import (
	"bytes"
	"os"
	"strings"
	"testing"

	"fettle/internal/facts/job"
	"fettle/internal/show/view"
)

// Law: a sheet to be filled in has every measured place of its part once, with
// a unit in every row of a number and room for every digit of its limits; it
// is the same twice on either paper.
func TestPaper(t *testing.T) {
	in := demoInput(t, "2026-014", "en")
	for _, component := range []string{"block", "valve", "crank", "valvetrain"} {
		var places []int
		want := map[string]bool{}
		for i := range in.Case.Layout.Places {
			if p := &in.Case.Layout.Places[i]; strings.HasPrefix(p.ID, component+"/") {
				places = append(places, i)
				if p.Char.Relation == "" {
					want[p.ID] = true
				}
			}
		}
		p, ok := in.Case.Paper(in.Reader, component, job.Found, places, "http://127.0.0.1:8430")
		if !ok {
			t.Fatalf("no sheet of %s", component)
		}
		got := map[string]bool{}
		for _, g := range p.Groups {
			for _, r := range g.Rows {
				if got[r.ID] {
					t.Errorf("%s stands twice", r.ID)
				}
				got[r.ID] = true
				if at, _ := in.Case.Layout.Find(r.ID); len(r.Check) == 0 {
					c := in.Case.Layout.Places[at].Char
					if r.Unit != c.Unit && c.Unit != "1" || r.Decimals != c.Decimals {
						t.Errorf("%s: unit %q, %d decimals", r.ID, r.Unit, r.Decimals)
					}
					if n := c.Nominal; !n.IsZero() && n.Unit == c.Unit {
						if whole, _, _ := strings.Cut(strings.TrimLeft(n.Text, "-"), "."); r.Whole < len(whole) {
							t.Errorf("%s: %d boxes for %s", r.ID, r.Whole, n.Text)
						}
					}
				}
			}
		}
		if len(got) != len(want) {
			t.Errorf("%s: %d places on the sheet, %d to be measured", component, len(got), len(want))
		}
		for _, size := range []string{"A4", "Letter"} {
			a, err := Paper(p, size, 1_700_000_000_000_000, "fettle test", func(n, m int) string {
				return in.Reader.T("sheet.number", "n", in.Reader.Int(n), "m", in.Reader.Int(m))
			})
			b, _ := Paper(p, size, 1_700_000_000_000_000, "fettle test", func(n, m int) string {
				return in.Reader.T("sheet.number", "n", in.Reader.Int(n), "m", in.Reader.Int(m))
			})
			if err != nil || !bytes.Equal(a, b) {
				t.Fatalf("%s on %s: %v", component, size, err)
			}
			if dir := os.Getenv("FETTLE_LABELS"); dir != "" {
				if err := os.WriteFile(dir+"/paper-"+component+"-"+size+".pdf", a, 0o600); err != nil {
					t.Fatal(err)
				}
			}
		}
	}
	if _, err := Paper(view.PaperSheet{Code: "x"}, "A0", 1, "", nil); err == nil {
		t.Error("a sheet on A0")
	}
}
