package assess_test

import (
	"strings"
	"testing"

	"fettle/internal/facts/job"
	"fettle/internal/judge/assess"
	"fettle/internal/maths/gum"
)

// clearances are all clearances of the six with 24 valves: 13 journals, 6 bores,
// 24 lashes and the 6 compression ratios that the same readings give.
func clearances(t testing.TB) (*assess.Assessment, []string) {
	t.Helper()
	a, _ := truth(t, "2026-021").judge(t, 1, nil)
	want := map[string]int{"shell-main/oil-clearance": 7, "shell-pin/oil-clearance": 6, "piston/clearance": 6,
		"valvetrain/lash": 24, "cylinder/compression-ratio": 6}
	var at []string
	for i := range a.Values {
		v := &a.Values[i]
		if id := v.Place.Char.ID; v.Has && v.State == job.Found && want[id] > 0 {
			want[id]--
			at = append(at, v.Position)
		}
	}
	for id, n := range want {
		if n != 0 {
			t.Fatalf("%d of %s have no value: %s", n, id, strings.Join(at, " "))
		}
	}
	return a, at
}

// BenchmarkClearances draws every clearance of the six at once, 10⁶ times.
func BenchmarkClearances(b *testing.B) {
	a, at := clearances(b)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := a.Cloud(at, job.Found, gum.Sampling{Seed: 1, Draws: 1_000_000}); err != nil {
			b.Fatal(err)
		}
	}
}
