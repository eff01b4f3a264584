package bench

import (
	"context"
	"slices"
	"strings"
	"testing"

	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/facts/shop"
	"fettle/internal/judge/route"
	"fettle/internal/know/operation"
)

func equip(t *testing.T, b *Bench, machines []string, fixtures []string) {
	t.Helper()
	for _, m := range machines {
		if _, _, err := b.Equip(context.Background(), Equipping{Machine: &shop.MachineV1{Machine: m + "-1", Type: m}, Person: "p-1"}); err != nil {
			t.Fatal(err)
		}
	}
	for _, f := range fixtures {
		if _, _, err := b.Equip(context.Background(), Equipping{Fixture: &shop.FixtureV1{Fixture: f + "-1", Type: f, Families: []string{"brae-05-1"}}, Person: "p-1"}); err != nil {
			t.Fatal(err)
		}
	}
}

// Law: without its plate a hone cannot begin; with it, it can, and asks for a
// reason where something comes first; done waits for every closing reading; done
// again asks why and leads to a state of its own.
func TestAnOperationFromStartToDone(t *testing.T) {
	b, _ := open(t)
	ctx := context.Background()
	_, err := b.Start(ctx, step(1, ""), "plate-hone", nil)
	if got := keysOf(err); got[""] != "bench.no-fixture" {
		t.Fatalf("without a plate: %v", got)
	}
	equip(t, b, nil, []string{"torque-plate"})
	if _, err := b.Finish(ctx, step(2, ""), "plate-hone", ""); keysOf(err)[""] != "bench.not-begun" && keysOf(err)[""] != "bench.not-read" {
		t.Errorf("done without a start: %v", err)
	}
	got, err := b.Start(ctx, step(3, ""), "plate-hone", nil)
	if err != nil {
		t.Fatal(err)
	}
	if again, err := b.Start(ctx, step(3, ""), "plate-hone", nil); err != nil || !again.Again || again.Seq != got.Seq {
		t.Errorf("sent twice: %+v, %v", again.Receipt, err)
	}
	if _, err := b.Start(ctx, step(4, ""), "plate-hone", nil); keysOf(err)[""] != "bench.at-it" {
		t.Errorf("at it already: %v", err)
	}
	if _, err := b.Finish(ctx, step(5, ""), "plate-hone", ""); keysOf(err)[""] != "bench.not-read" {
		t.Errorf("done unread: %v", err)
	}
	j := got.Judged
	closing := route.Closing(j.Layout, j.Job, boardStep(t, b, j, "plate-hone"))
	if len(closing) < 8 {
		t.Fatalf("%d readings close the hone of a single", len(closing))
	}
	for i, p := range closing {
		readAfter(t, b, j, 1000+i, p, job.After("plate-hone"))
		if _, err := b.Finish(ctx, step(6, ""), "plate-hone", ""); (err == nil) != (i == len(closing)-1) {
			t.Fatalf("%d of %d read: %v", i+1, len(closing), err)
		}
	}
	j, err = b.Judge(ctx, "j-1")
	if err != nil {
		t.Fatal(err)
	}
	if d := j.Job.Done("plate-hone"); d == nil || len(d.Readings) != len(closing) || len(j.Job.Hours(0)["plate-hone"].Running) != 0 {
		t.Errorf("%+v", d)
	}
	if _, err := b.Start(ctx, step(7, ""), "plate-hone", nil); keysOf(err)["reason"] != "bench.done-before" {
		t.Errorf("again without a reason: %v", err)
	}
	if got, err = b.Start(ctx, step(8, "bell-mouthed at the bottom"), "plate-hone", nil); err != nil {
		t.Fatal(err)
	}
	if s := step2(t, b, got.Judged, "plate-hone"); s.State != "after(plate-hone.2)" || len(s.Open) != len(closing) {
		t.Errorf("second run: %s, %d open", s.State, len(s.Open))
	}
}

func boardStep(t *testing.T, b *Bench, j *Judged, id string) *operation.Step {
	t.Helper()
	s := step2(t, b, j, id)
	return &s.Step
}

func step2(t *testing.T, b *Bench, j *Judged, id string) route.Step {
	t.Helper()
	board, err := b.Route(j)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range board.Steps {
		if s.ID == id {
			return s
		}
	}
	t.Fatalf("%s is not in the route", id)
	return route.Step{}
}

// readAfter enters any reading that a position may have, in a state, straight
// into the log.
func readAfter(t *testing.T, b *Bench, j *Judged, n int, position, state string) {
	t.Helper()
	i, ok := j.Layout.Find(position)
	if !ok {
		t.Fatalf("no place %s", position)
	}
	p := job.ReadingV1{Position: position, State: state, Typed: "pass", Value: "pass"}
	if ch := j.Layout.Places[i].Char; ch.Quantity != "check" {
		p.Typed, p.Value, p.Unit = "1", "1", ch.Unit
		if !ch.Nominal.IsZero() {
			p.Typed, p.Value = strings.Fields(ch.Nominal.String())[0], strings.Fields(ch.Nominal.String())[0]
		}
	}
	e, err := entry.New(entry.JobStream("j-1"), key(n), entry.Reading, "p-1", "test", b.now(), p)
	if err != nil {
		t.Fatal(err)
	}
	s := b.slot("j-1")
	s.mu.Lock()
	defer s.mu.Unlock()
	if _, err := b.write(context.Background(), "j-1", s, e); err != nil {
		t.Fatal(err)
	}
}

// Law: a shop that has said which machines it has sends out what it has none
// for; such an operation is done when its readings are in, without a start.
func TestWorkThatGoesOut(t *testing.T) {
	b, _ := open(t)
	ctx := context.Background()
	equip(t, b, []string{"bench", "corner"}, nil)
	if _, err := b.Start(ctx, step(1, ""), "grind-mains", nil); keysOf(err)[""] != "bench.goes-out" {
		t.Fatalf("grinding without a grinder: %v", err)
	}
	if _, err := b.Start(ctx, step(2, ""), "refit-caps", nil); keysOf(err)[""] != "bench.no-machine" {
		t.Fatalf("milling without a mill: %v", err)
	}
	if _, err := b.Finish(ctx, step(3, ""), "grind-mains", ""); keysOf(err)[""] != "bench.not-read" {
		t.Fatalf("done unread: %v", err)
	}
	j, _ := b.Judge(ctx, "j-1")
	n := 0
	for _, char := range []string{"crank/main-journal", "crank/main-ra"} {
		for _, i := range j.Layout.Of(char) {
			n++
			readAfter(t, b, j, 1000+n, j.Layout.Places[i].ID, job.After("grind-mains"))
		}
	}
	got, err := b.Finish(ctx, step(4, ""), "grind-mains", "ground out of house")
	if err != nil {
		t.Fatal(err)
	}
	if d := got.Judged.Job.Done("grind-mains"); d == nil || !d.Outside || len(got.Judged.Job.Hours(0)) != 0 {
		t.Errorf("%+v", d)
	}
}

// Law: a later cut opens what it invalidates, and only that; reading it again
// closes it; and the route shows the step whose check it was as opened again.
func TestALaterCutOpensAgain(t *testing.T) {
	b, _ := open(t)
	ctx := context.Background()
	equip(t, b, nil, []string{"timing-tools"})
	j, _ := b.Judge(ctx, "j-1")
	must := func(r Receipt, err error) Receipt {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	must(b.Start(ctx, step(1, "r"), "time-cams", nil))
	timing := j.Layout.Places[j.Layout.Of("cam/timing")[0]].ID
	n := 0
	for _, i := range j.Layout.Of("cam/timing") {
		n++
		readAfter(t, b, j, 1000+n, j.Layout.Places[i].ID, job.After("time-cams"))
	}
	must(b.Finish(ctx, step(2, ""), "time-cams", ""))
	if _, _, err := b.Equip(ctx, Equipping{Fixture: &shop.FixtureV1{Fixture: "arbor", Type: "squaring-arbor"}, Person: "p-1"}); err != nil {
		t.Fatal(err)
	}
	got := must(b.Start(ctx, step(3, "r"), "deck", nil))
	if s := step2(t, b, got.Judged, "time-cams"); s.Status != route.Reopened || len(s.Stale) == 0 || s.Stale[0].By != "deck" {
		t.Errorf("timing after the deck was faced: %+v", s)
	}
	board, _ := b.Route(got.Judged)
	if !slices.ContainsFunc(board.Stale, func(x route.Stale) bool { return x.Position == timing }) {
		t.Errorf("%s is not among what must be read again", timing)
	}
	if slices.ContainsFunc(board.Stale, func(x route.Stale) bool { return strings.HasPrefix(x.Position, "crank/") }) {
		t.Error("facing the deck opened the crank")
	}
	readAfter(t, b, got.Judged, 2000, timing, job.After("deck"))
	j, _ = b.Judge(ctx, "j-1")
	board, _ = b.Route(j)
	if slices.ContainsFunc(board.Stale, func(x route.Stale) bool { return x.Position == timing }) {
		t.Errorf("%s was read again and is still open", timing)
	}
}

// Law: a stop may be said afterwards with a reason, and lies between start and
// now; nothing else.
func TestStops(t *testing.T) {
	b, _ := open(t)
	ctx := context.Background()
	in := step(1, "")
	in.Time = b.now()
	got, err := b.Start(ctx, in, "intake", nil)
	if err != nil {
		t.Fatal(err)
	}
	start := got.Judged.Job.Spans[0].Key
	late := step(2, "")
	late.Time = in.Time + 40*3600e6
	if _, err := b.Stop(ctx, late, start, 0); keysOf(err)["at"] != "bench.stop-when" {
		t.Errorf("next day: %v", err)
	}
	for _, at := range []int64{in.Time - 1, late.Time + 1} {
		if _, err := b.Stop(ctx, late, start, at); keysOf(err)["at"] != "bench.stop-time" {
			t.Errorf("at %d: %v", at, err)
		}
	}
	if _, err := b.Stop(ctx, late, start, in.Time+3600e6); keysOf(err)["reason"] != "bench.no-reason" {
		t.Errorf("without a reason: %v", err)
	}
	late.Reason = "went home"
	got, err = b.Stop(ctx, late, start, in.Time+3600e6)
	if err != nil || got.Judged.Job.Hours(late.Time)["intake"].Hours.Hours() != 1 {
		t.Fatalf("%v, %+v", err, got.Judged)
	}
	if _, err := b.Stop(ctx, step(3, ""), start, 0); keysOf(err)[""] != "bench.stopped" {
		t.Errorf("twice: %v", err)
	}
	if _, err := b.Stop(ctx, step(4, ""), key(9).String(), 0); keysOf(err)[""] != "bench.no-start" {
		t.Errorf("no start: %v", err)
	}
}

// Law: a job waits for one thing of a sort at a time.
func TestWaits(t *testing.T) {
	b, _ := open(t)
	ctx := context.Background()
	for i, c := range []struct {
		w    job.WaitingV1
		want string
	}{{job.WaitingV1{For: "weather"}, "bench.wait-for"}, {job.WaitingV1{For: job.ForPart, Over: true}, "bench.not-waiting"}, {job.WaitingV1{For: job.ForPart, Text: "rings"}, ""},
		{job.WaitingV1{For: job.ForPart}, "bench.waiting"}, {job.WaitingV1{For: job.ForCustomer}, ""}, {job.WaitingV1{For: job.ForPart, Over: true}, ""}} {
		_, err := b.Wait(ctx, step(10+i, ""), c.w)
		got := ""
		for _, k := range keysOf(err) {
			got = k
		}
		if got != c.want {
			t.Errorf("%+v: %s", c.w, got)
		}
	}
}

// Bad input: a machine or fixture that cannot be is named at its field; said
// twice, it is there once.
func TestEquipIsChecked(t *testing.T) {
	b, _ := open(t)
	ctx := context.Background()
	for _, c := range []struct {
		in          Equipping
		field, want string
	}{
		{Equipping{Machine: &shop.MachineV1{Machine: "m", Type: "lathe"}, Person: "p-1"}, "type", "operation.no-machine"},
		{Equipping{Machine: &shop.MachineV1{Machine: "m 1", Type: "oven"}, Person: "p-1"}, "id", "readings.bad-id"},
		{Equipping{Fixture: &shop.FixtureV1{Fixture: "f", Type: "jig"}, Person: "p-1"}, "type", "operation.no-fixture"},
		{Equipping{Fixture: &shop.FixtureV1{Fixture: "f", Type: "torque-plate"}, Person: "p-1"}, "families", "bench.fixture-family"},
		{Equipping{Fixture: &shop.FixtureV1{Fixture: "f", Type: "torque-plate", Families: []string{"v-12"}}, Person: "p-1"}, "families", "bench.fixture-of"},
		{Equipping{Machine: &shop.MachineV1{Machine: "m", Type: "oven"}}, "person", "bench.no-person"},
	} {
		if _, _, err := b.Equip(ctx, c.in); keysOf(err)[c.field] != c.want {
			t.Errorf("%+v: %v", c.in, err)
		}
	}
	in := Equipping{Machine: &shop.MachineV1{Machine: "m", Type: "oven"}, Person: "p-1"}
	_, again, err := b.Equip(ctx, in)
	_, twice, err2 := b.Equip(ctx, in)
	if again || !twice || err != nil || err2 != nil {
		t.Errorf("%v %v, %v %v", again, twice, err, err2)
	}
	gone := in
	gone.Machine = &shop.MachineV1{Machine: "m", Type: "oven", Gone: true}
	if _, _, err := b.Equip(ctx, gone); err != nil {
		t.Fatal(err)
	}
	sh, _ := b.Shop(ctx)
	if len(sh.MachinesOf("oven")) != 0 || len(sh.Machines) != 1 {
		t.Errorf("%+v", sh.Machines)
	}
}
