package text

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"fettle/internal/demo"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/facts/shop"
	"fettle/internal/judge/assess"
	"fettle/internal/judge/compute"
	"fettle/internal/know/library"
	"fettle/internal/show/view"
)

const data = "../../../data/"

func read(t testing.TB, name string) []byte {
	t.Helper()
	b, err := os.ReadFile(data + name)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func rows(es []entry.Entry) []entry.Row {
	out := make([]entry.Row, len(es))
	for i := range es {
		out[i] = entry.Row{Entry: es[i], Seq: int64(i) + 1}
	}
	return out
}

// demoCase is the first job of the demo, measured and judged.
func demoCase(t testing.TB) (*view.Case, view.Reader) {
	t.Helper()
	files := library.Files{}
	for _, n := range []string{"sources.yaml", "materials.yaml", "instruments.yaml", "findings.yaml", "plan.csv", "words/en.yaml"} {
		files[n] = read(t, n)
	}
	lib, faults := library.Read(files, compute.Signature)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	tr, faults := demo.Load("2026-014", read(t, "demo/2026-014.yaml"), "shop.yaml", read(t, "demo/shop.yaml"))
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	l, faults := lib.Family("family/"+tr.Family+".yaml", read(t, "family/"+tr.Family+".yaml"))
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	m, faults := demo.Make(tr, l, lib, uint64(tr.Seed), nil)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	j, s := job.Replay(rows(m.Job)), shop.Replay(rows(m.Shop))
	a, err := assess.Evaluate(assess.Knowledge{Library: lib, Layout: l}, assess.Facts{Job: j, Shop: s}, assess.Plan{})
	if err != nil {
		t.Fatal(err)
	}
	return view.NewCase(a, l, lib, j, s, view.Sketch{}), view.Reader{Lang: "en", Mark: '.', Book: lib.Book("en")}
}

// Law: the table names every finding and every value with its verdict, says
// the same twice, and keeps to its width.
func TestTableOfTheDemo(t *testing.T) {
	c, r := demoCase(t)
	for _, width := range []int{60, 100, 160} {
		b := Table(c, r, width)
		if dir := os.Getenv("FETTLE_SHOTS"); dir != "" && width == 100 {
			if err := os.WriteFile(filepath.Join(dir, "assessment.txt"), b, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		if string(b) != string(Table(c, r, width)) {
			t.Error("two tables of one case differ")
		}
		s := string(b)
		if !utf8.ValidString(s) || !strings.HasSuffix(s, "\n") || strings.Contains(s, "[sheet.") || strings.Contains(s, "[text.") || strings.Contains(s, "[page.") {
			t.Error("not plain text, or a sentence is missing")
		}
		flat := strings.Join(strings.Fields(s), " ")
		for _, f := range c.FindingsTold(r) {
			if !strings.Contains(flat, strings.Join(strings.Fields(plain(f.Words.Title)), " ")) {
				t.Errorf("width %d: no finding %q", width, f.Words.Title)
			}
		}
		wide := 0
		for _, line := range strings.Split(s, "\n") {
			if n := utf8.RuneCountInString(line); n > width {
				wide++
			}
		}
		if wide > 0 && width >= 100 {
			t.Errorf("width %d: %d lines are longer", width, wide)
		}
		lines := map[string]int{}
		for _, line := range strings.Split(s, "\n") {
			for _, v := range []assess.Verdict{assess.Accept, assess.Reject, assess.Undecided, assess.Unmeasured} {
				if w := r.T("page.verdict." + string(v)); strings.Contains(line, "  "+w) {
					lines[string(v)]++
				}
			}
		}
		n := c.Assessment.Tally
		if lines["accept"] < n.Accept || lines["reject"] < n.Reject || lines["undecided"] < n.Undecided {
			t.Errorf("width %d: verdict lines %v, tally %+v", width, lines, n)
		}
	}
}

// Law: nothing that a person typed reaches a terminal as a command.
func TestNoControlLetters(t *testing.T) {
	c, r := demoCase(t)
	c.Assessment.Title = "a\x1b[2Jb\u202ec\r\nd"
	s := string(Table(c, r, 80))
	if strings.ContainsAny(s, "\x1b\r\u202e\u202f") || !strings.HasPrefix(s, "a[2Jbc  d") {
		t.Errorf("the head reads %q", s[:40])
	}
}

func BenchmarkTable(b *testing.B) {
	c, r := demoCase(b)
	for b.Loop() {
		Table(c, r, 100)
	}
}
