package sheet

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
)

// keep writes what a test made where FETTLE_SHOTS says, for a person to see.
func keep(t testing.TB, name string, b []byte) {
	dir := os.Getenv("FETTLE_SHOTS")
	if dir == "" {
		return
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, name), b, 0o644); err != nil {
		t.Fatal(err)
	}
}

// Law: a demo job fills 6 to 14 sheets, and the same input gives the same bytes.
func TestRecordOfTheDemo(t *testing.T) {
	for _, name := range demoJobs(t) {
		in := demoInput(t, name, "en")
		a, err := Record(in)
		if err != nil {
			t.Fatal(err)
		}
		keep(t, name+".pdf", a)
		for n, svg := range Plots(in) {
			keep(t, name+"-"+n, svg)
		}
		b, err := Record(demoInput(t, name, "en"))
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(a, b) {
			t.Errorf("%s: two records of one job differ", name)
		}
		if n := bytes.Count(a, []byte("/Type /Page\n")); n < 6 || n > 14 {
			t.Errorf("%s: %d sheets, want 6 to 14", name, n)
		}
	}
}

func demoJobs(t testing.TB) []string {
	names, err := filepath.Glob(data + "demo/2*.yaml")
	if err != nil || len(names) == 0 {
		t.Fatal("no demo job found", err)
	}
	for i, n := range names {
		names[i] = n[len(filepath.Dir(n))+1 : len(n)-len(".yaml")]
	}
	return names
}

func BenchmarkRecord(b *testing.B) {
	in := demoInput(b, demoJobs(b)[0], "en")
	for b.Loop() {
		if _, err := Record(in); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkPlots(b *testing.B) {
	in := demoInput(b, demoJobs(b)[0], "en")
	for b.Loop() {
		Plots(in)
	}
}
