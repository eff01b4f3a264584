package bench

import (
	"context"
	"errors"
	"strings"
	"testing"

	"fettle/internal/base/fault"
)

// good is an observation that the small engine and the catalogue take.
func good(n int) Observation {
	return Observation{Job: "j-1", Part: "piston/1", Kind: "scuffed", Severity: "marked", Within: "thrust-side", Saw: "vertical lines",
		Person: "p-1", Device: "test", Key: key(n)}
}

// Law: an observation is stored once, is part of the job afterwards and moves
// no verdict; each thing that is wrong with one is said, at its field.
func TestObserve(t *testing.T) {
	b, _ := open(t)
	ctx := context.Background()
	const id = "j-1"
	was, err := b.Judge(ctx, id)
	if err != nil {
		t.Fatal(err)
	}
	in := good(900)
	got, err := b.Observe(ctx, in)
	if err != nil {
		t.Fatal(err)
	}
	if n := len(got.Judged.Job.Observations); n != len(was.Job.Observations)+1 || got.Judged.Assessment.Tally != was.Assessment.Tally {
		t.Errorf("%d observations, tally %+v", n, got.Judged.Assessment.Tally)
	}
	again, err := b.Observe(ctx, in)
	if err != nil || !again.Again || again.Seq != got.Seq {
		t.Errorf("again: %+v, %v", again.Receipt, err)
	}
	for want, change := range map[string]func(*Observation){
		"part bench.no-part":              func(o *Observation) { o.Part = "piston/9" },
		"part bench.no-part ":             func(o *Observation) { o.Part = "wing" },
		"at bench.no-at":                  func(o *Observation) { o.At = "cyl/1" },
		"kind bench.unknown-kind":         func(o *Observation) { o.Kind = "odd" },
		"kind bench.not-on-part":          func(o *Observation) { o.Kind = "spun" },
		"kind bench.saw-nothing":          func(o *Observation) { o.Kind, o.Saw = "", "" },
		"kind bench.absent-what":          func(o *Observation) { o.Kind, o.Absent = "", true },
		"severity bench.how-bad":          func(o *Observation) { o.Severity = "" },
		"severity bench.unknown-severity": func(o *Observation) { o.Severity = "7" },
		"within bench.no-within":          func(o *Observation) { o.Within = "fillet" },
		"saw bench.too-long":              func(o *Observation) { o.Saw = strings.Repeat("x", 401) },
		"person bench.unknown-person":     func(o *Observation) { o.Person = "p-99" },
	} {
		in := good(901)
		change(&in)
		_, err := b.Observe(ctx, in)
		var list fault.List
		if !errors.As(err, &list) || len(list) != 1 || list[0].Path+" "+list[0].Key != strings.TrimSpace(want) {
			t.Errorf("%s: %v", want, err)
		}
	}
	// Looked for and not there: nothing else is kept of it.
	in = good(902)
	in.Absent, in.Others = true, true
	if got, err = b.Observe(ctx, in); err != nil {
		t.Fatal(err)
	}
	list := got.Judged.Job.Observations
	if o := list[len(list)-1]; !o.Absent || o.Severity != "" || o.Within != "" || o.Others || o.Kind != "scuffed" {
		t.Errorf("%+v", o)
	}
}
