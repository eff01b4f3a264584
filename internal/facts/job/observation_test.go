package job

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"fettle/internal/facts/entry"
)

// Law: an observation of the first version reads as it always did; one of the
// second comes back whole, also through With; what cannot be seen is kept as
// not understood and changes nothing.
func TestObservationVersions(t *testing.T) {
	l := &log{t: t}
	l.add(entry.JobOpened, OpenedV1{Job: "7", Family: "corran-24-5", Title: "t"})
	l.add(entry.Observation, ObservationV1{Part: "block", Saw: "scuffed", Note: "n"})
	second := func(p any) {
		l.add(entry.Observation, p)
		l.rows[len(l.rows)-1].Version = 2
	}
	full := ObservationV2{Part: "crank", At: "pin/4", Kind: "scored", Severity: "light", Within: "oil-hole", Others: true, Saw: "w", Note: "n"}
	clear := ObservationV2{Part: "shell-pin", Kind: "embedded", Absent: true}
	second(full)
	second(clear)
	before := len(l.rows)
	for _, odd := range []any{ObservationV2{Kind: "scored", Severity: "light"}, ObservationV2{Part: "crank"}, ObservationV2{Part: "crank", Saw: "x", Absent: true},
		ObservationV2{Part: "crank", Kind: "scored", Absent: true, Others: true}, ObservationV2{Part: "crank", Kind: "scored", Severity: "light", Absent: true},
		map[string]any{"part": "crank", "kind": "scored", "colour": "blue"}} {
		second(odd)
	}
	// The fields of version 2 are not of version 1.
	l.add(entry.Observation, full)
	for name, s := range map[string]*State{"replayed": Replay(l.rows), "grown": Replay(l.rows[:3]).With(l.rows[3:])} {
		want := []ObservationV2{{Part: "block", Saw: "scuffed", Note: "n"}, full, clear}
		var got []ObservationV2
		for _, o := range s.Observations {
			got = append(got, o.ObservationV2)
		}
		if d := cmp.Diff(want, got); d != "" {
			t.Errorf("%s: %s", name, d)
		}
		for i, line := range s.Lines {
			if line.Known != (i < before) {
				t.Errorf("%s: line %d understood: %v", name, i+1, line.Known)
			}
		}
		if s.Lines[2].Seen != 2 || s.Lines[0].Seen != 0 || s.Observations[1].Key != l.rows[2].Key.String() {
			t.Errorf("%s: the line does not lead to its observation", name)
		}
	}
}
