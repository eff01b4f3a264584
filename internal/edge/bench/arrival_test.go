package bench

import (
	"context"
	"testing"

	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/judge/gate"
)

func step(n int, reason string) Step {
	return Step{Job: "j-1", Person: "p-1", Device: "test", Key: key(200 + n), Reason: reason}
}

func noting(n int, topic, reason string, pairs ...string) Noting {
	in := Noting{Step: step(n, reason), Topic: topic, Fields: map[string]string{}}
	for i := 0; i < len(pairs); i += 2 {
		in.Fields[pairs[i]] = pairs[i+1]
	}
	return in
}

// kinds lists the kinds of a job's log, from one entry on.
func kinds(j *Judged, from int) (out []entry.Kind) {
	for _, l := range j.Job.Lines[from:] {
		if !l.Known {
			out = append(out, "not understood "+l.Kind)
			continue
		}
		out = append(out, l.Kind)
	}
	return out
}

// Law: everything wrong with a step is said at its field, and nothing stored.
func TestStepsAreChecked(t *testing.T) {
	b, _ := open(t)
	ctx := context.Background()
	note := func(in Noting) error { _, err := b.Note(ctx, in); return err }
	for _, c := range []struct {
		what string
		err  error
		want map[string]string
	}{
		{"no words", note(noting(1, job.TopicSaid, "")), map[string]string{"text": "bench.no-text"}},
		{"no count", note(noting(1, job.TopicItem, "", "name", "engine", "count", "some")), map[string]string{"count": "bench.bad-count"}},
		{"no such part", note(noting(1, job.TopicSaw, "", "text", "x", "part", "turbine")), map[string]string{"part": "bench.no-part"}},
		{"a pressure in mm", note(noting(1, job.TopicPanel, "", "test", "compression", "at", "1", "value", "12", "unit", "mm")), map[string]string{"value": "bench.wrong-unit"}},
		{"a cylinder of another engine", note(noting(1, job.TopicPanel, "", "test", "compression", "at", "2", "value", "12", "unit", "bar")), map[string]string{"at": "bench.no-cylinder"}},
		{"no history", note(noting(1, job.TopicHistory, "", "km", "far")), map[string]string{"km": "bench.bad-number"}},
		{"no sort", note(noting(1, "gossip", "")), map[string]string{"": "bench.no-topic"}},
		{"nobody", func() error { in := noting(1, job.TopicSaid, "", "text", "x"); in.Person = "p-9"; return note(in) }(), map[string]string{"person": "bench.unknown-person"}},
		{"nothing to sign", func() error { _, err := b.Sign(ctx, step(1, ""), "A", "customer", ""); return err }(), map[string]string{"name": "bench.nothing-to-sign"}},
		{"a torn label", func() error { _, err := b.Tag(ctx, step(1, "r"), "piston/1", "K7M3QQ"); return err }(), map[string]string{"tag": "bench.bad-label"}},
		{"a label of another job", func() error {
			_, err := b.Tag(ctx, step(1, "r"), "piston/1", job.Labels("j-2", []string{"piston/1"})["piston/1"])
			return err
		}(),
			map[string]string{"tag": "bench.other-label"}},
		{"no gate", func() error { _, err := b.Override(ctx, step(1, "r"), "garden", ""); return err }(), map[string]string{"": "bench.no-gate"}},
		{"a crack nowhere", func() error {
			_, err := b.Test(ctx, step(1, ""), job.TestedV1{Part: "crank", Method: "magnetic", Result: job.Rejected})
			return err
		}(), map[string]string{"at": "bench.no-indication"}},
		{"a crack off the sheet", func() error {
			_, err := b.Test(ctx, step(1, ""), job.TestedV1{Part: "crank", Method: "magnetic", Result: job.Rejected, Indications: []job.IndicationV1{{At: "J9", Says: "x"}}})
			return err
		}(), map[string]string{"at": "bench.no-zone"}},
		{"alloy in hot caustic", func() error {
			_, err := b.Clean(ctx, step(1, "a good reason"), job.CleanedV1{Part: "head", Process: "hot-caustic"})
			return err
		}(), map[string]string{"process": "bench.hard-stop"}},
	} {
		got := keysOf(c.err)
		for field, k := range c.want {
			if got[field] != k {
				t.Errorf("%s: %v, want %s at %q", c.what, got, k, field)
			}
		}
	}
	if j, _ := b.Judge(ctx, "j-1"); len(j.Job.Lines) != 1 {
		t.Errorf("%d entries", len(j.Job.Lines))
	}
}

// Law: oil let off without a sample asks; with a reason the gate and the step
// are stored together, and the same step sent again is one step.
func TestDrainingAsks(t *testing.T) {
	b, _ := open(t)
	ctx := context.Background()
	if _, err := b.Note(ctx, noting(1, job.TopicDrained, "")); keysOf(err)["reason"] != "bench.gate-open" {
		t.Fatal(err)
	}
	for range 2 {
		got, err := b.Note(ctx, noting(1, job.TopicDrained, "came without oil", "amount", "none"))
		if err != nil {
			t.Fatal(err)
		}
		if k := kinds(got.Judged, 1); len(k) != 2 || k[0] != entry.Overridden || k[1] != entry.Intake {
			t.Fatalf("%v", k)
		}
	}
	j, _ := b.Judge(ctx, "j-1")
	if o := j.Job.Overridden(gate.Drain, ""); o == nil || o.Reason != "came without oil" || o.Open != 2 {
		t.Errorf("%+v", o)
	}
	b2, _ := open(t)
	for i, what := range []string{"oil", "filter"} {
		if _, err := b2.Note(ctx, noting(i+1, job.TopicKept, "", "what", what)); err != nil {
			t.Fatal(err)
		}
	}
	if got, err := b2.Note(ctx, noting(3, job.TopicDrained, "")); err != nil || len(kinds(got.Judged, 1)) != 3 {
		t.Errorf("kept, and still asked: %v", err)
	}
}

// Law: a part behind a gate asks until its places are measured in the state
// found or the gate is passed; a swap of labels asks whatever the gates say.
func TestTakingOutAsks(t *testing.T) {
	b, _ := open(t)
	ctx := context.Background()
	if _, err := b.Tag(ctx, step(1, ""), "piston/1", ""); keysOf(err)["reason"] != "bench.gate-open" {
		t.Fatal(err)
	}
	r := Reading{Job: "j-1", Position: "rod/side-float/1", State: job.Found, Value: "0.2", Unit: "mm", Person: "p-1", Device: "test", Key: key(202)}
	if _, err := b.RecordReading(ctx, r); err != nil {
		t.Fatal(err)
	}
	got, err := b.Tag(ctx, step(3, ""), "piston/1", "")
	if err != nil || kinds(got.Judged, 2)[0] != entry.Tagged {
		t.Fatalf("measured, and still asked: %v", err)
	}
	labels := job.Labels("j-1", got.Judged.Layout.Parts())
	if _, err := b.Tag(ctx, step(4, ""), "rod/1", labels["piston/1"]); keysOf(err)["reason"] != "bench.tag-elsewhere" {
		t.Errorf("a label of another part: %v", err)
	}
	got, err = b.Tag(ctx, step(4, "the rod lay in the piston's tray"), "rod/1", labels["piston/1"])
	if err != nil || got.Judged.Job.Tag("rod/1").Made != "piston/1" {
		t.Errorf("%v", err)
	}
	if _, err := b.Override(ctx, step(5, "cam was out already"), "lash", ""); err != nil {
		t.Fatal(err)
	}
	j, _ := b.Judge(ctx, "j-1")
	for _, g := range gate.Strips(b.library.Strip.Gates, j.Layout, j.Job) {
		if want := g.Gate.ID == "lash" || g.Gate.ID == "rod-float"; g.Shut() == want {
			t.Errorf("gate %s: shut %v", g.Gate.ID, g.Shut())
		}
	}
}

// Law: cleaning what is held asks, what is not held does not.
func TestHoldAsks(t *testing.T) {
	b, _ := open(t)
	ctx := context.Background()
	in := noting(1, job.TopicHold, "", "held", "yes", "why", "dispute")
	in.Parts = []string{"crank"}
	if _, err := b.Note(ctx, in); err != nil {
		t.Fatal(err)
	}
	c := job.CleanedV1{Part: "crank", Process: "solvent"}
	if _, err := b.Clean(ctx, step(2, ""), c); keysOf(err)["reason"] != "bench.gate-open" {
		t.Error(err)
	}
	got, err := b.Clean(ctx, step(2, "the other side was present"), c)
	if err != nil || got.Judged.Job.Overridden(gate.Hold, "crank") == nil {
		t.Error(err)
	}
	if _, err := b.Clean(ctx, step(3, ""), job.CleanedV1{Part: "head", Process: "solvent"}); err != nil {
		t.Error(err)
	}
	in = noting(4, job.TopicHold, "", "held", "yes", "why", "failure")
	in.Parts = []string{"block"}
	if _, err := b.Note(ctx, in); err != nil {
		t.Fatal(err)
	}
	cut := reading(205, "83.25")
	cut.State = job.After("hone")
	machined := func() int {
		j, err := b.Judge(ctx, "j-1")
		if err != nil {
			t.Fatal(err)
		}
		n := 0
		for _, m := range gate.Machineds(j.Layout, j.Job) {
			if m.Passed == nil && m.Component == "block" {
				n += m.Readings
			}
		}
		return n
	}
	if _, err := b.RecordReading(ctx, reading(206, "82.99")); err != nil || machined() != 0 {
		t.Errorf("measured as found, and asked: %v", err)
	}
	if _, err := b.RecordReading(ctx, cut); err != nil || machined() != 1 {
		t.Errorf("honed while held: %v, %d", err, machined())
	}
	if _, err := b.Override(ctx, step(7, "both sides agreed"), gate.Hold, "block"); err != nil || machined() != 0 {
		t.Errorf("%v, %d", err, machined())
	}
}

// Law: a reading on a part that is not cleared is stored, and asked about until
// somebody says why; one after the tests is not, nor one before the strip.
func TestMeasuringIsNeverRefused(t *testing.T) {
	b, _ := open(t)
	ctx := context.Background()
	early := func() int {
		j, err := b.Judge(ctx, "j-1")
		if err != nil {
			t.Fatal(err)
		}
		n := 0
		for _, c := range gate.Clearings(&b.library.Strip, j.Layout, j.Job) {
			if c.Shut() {
				n += c.Early
			}
		}
		return n
	}
	if _, err := b.RecordReading(ctx, reading(201, "82.99")); err != nil || early() != 1 {
		t.Fatalf("%v, %d", err, early())
	}
	if _, err := b.Override(ctx, step(2, "a quick look before the test"), gate.Cleared, "block"); err != nil || early() != 0 {
		t.Errorf("%v, %d", err, early())
	}
	b, _ = open(t)
	if _, err := b.Test(ctx, step(1, ""), job.TestedV1{Part: "block", Method: "pressure", Result: job.NoIndication}); err != nil {
		t.Fatal(err)
	}
	if _, err := b.RecordReading(ctx, reading(202, "82.99")); err != nil || early() != 0 {
		t.Errorf("cleared, and asked: %v, %d", err, early())
	}
	r := Reading{Job: "j-1", Position: "crank/end-float", Value: "0.12", Unit: "mm", Person: "p-1", Device: "test", Key: key(203)}
	if _, err := b.RecordReading(ctx, r); err != nil || early() != 0 {
		t.Errorf("before the strip, and asked: %v, %d", err, early())
	}
}

// Law: a signature under a list that has changed meanwhile is sent back.
func TestSigningWhatWasShown(t *testing.T) {
	b, _ := open(t)
	ctx := context.Background()
	got, err := b.Note(ctx, noting(1, job.TopicItem, "", "name", "engine", "count", "1"))
	if err != nil {
		t.Fatal(err)
	}
	shown := got.Judged.Job.ContentsDigest()
	if _, err := b.Note(ctx, noting(2, job.TopicItem, "", "name", "bolts", "count", "214")); err != nil {
		t.Fatal(err)
	}
	if _, err := b.Sign(ctx, step(3, ""), "A. Customer", "customer", shown); keysOf(err)["name"] != "bench.list-changed" {
		t.Error(err)
	}
	j, _ := b.Judge(ctx, "j-1")
	if got, err := b.Sign(ctx, step(3, ""), "A. Customer", "customer", j.Job.ContentsDigest()); err != nil {
		t.Error(err)
	} else if s, holds := got.Judged.Job.Signature(); !holds || s.Lines != 2 {
		t.Errorf("%+v", s)
	}
}
