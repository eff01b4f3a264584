package assess

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"fettle/internal/base/fault"
	"fettle/internal/facts/job"
)

func mm(x float64) *float64 { x *= 1e-3; return &x }

func (b *book) plan(k Knowledge, changes ...Change) *Assessment {
	b.t.Helper()
	a, err := Evaluate(k, b.facts(), Plan{Changes: changes})
	if err != nil {
		b.t.Fatal(err)
	}
	return a
}

// measuredTiny is an engine with readings everywhere.
func measuredTiny(t *testing.T) *book {
	b := open(t)
	b.owns("M1", "micrometer", "")
	b.owns("B1", "bore-gauge", "M1")
	b.bores(map[string]string{"block/bore/1/H1/T": "80.060"})
	for _, r := range []string{"block/tunnel/1 54.050 mm B1", "crank/main/1 49.990 mm M1", "piston/skirt/1 79.950 mm M1", "block/wall/1 4.80 mm M1"} {
		b.read(r, job.Found)
	}
	return b
}

// Law: what is read does not move with what is planned; without a plan nothing is
// planned.
func TestLawPlanLeavesReadingsAlone(t *testing.T) {
	k, b := tiny(t), measuredTiny(t)
	now := b.assess(k)
	if len(now.Planned()) > 0 {
		t.Error("an empty plan plans")
	}
	then := b.plan(k, Change{Operation: "grind", Position: "crank/main/1", To: mm(49.975), U: 2e-6})
	left := *then
	left.Values = nil
	for _, v := range then.Values {
		if v.State != job.Planned {
			left.Values = append(left.Values, v)
		}
	}
	// These follow the latest state.
	left.Findings, left.Questions, left.Tally = now.Findings, now.Questions, now.Tally
	if got, want := bytesOf(t, &left), bytesOf(t, now); got != want {
		t.Errorf("a plan changed what was read:\n%s\n%s", got, want)
	}
}

// Law: a size that is set has the spread of the work and nothing else, a shift
// adds it to the doubt of what was read, and what follows from them follows by
// the same relations.
func TestLawPlanByHand(t *testing.T) {
	k, b := tiny(t), measuredTiny(t)
	now := b.assess(k)
	find := func(a *Assessment, position, state string) *Value {
		t.Helper()
		v, ok := a.Find(position, state)
		if !ok || !v.Has {
			t.Fatalf("%s has no value in %s", position, state)
		}
		return v
	}
	a := b.plan(k, Change{Operation: "grind", Position: "crank/main/1", To: mm(49.975), U: 2e-6},
		Change{Operation: "hone", Position: "block/tunnel/1", Shift: mm(0.004), U: 1.5e-6})
	tunnel, gap := find(now, "block/tunnel/1", job.Found), find(a, "crank/gap/1", job.Planned)
	if want := 54.050 + 0.004 - 49.975; math.Abs(gap.SI*1e3-want) > 1e-9 {
		t.Errorf("gap %.6f mm, by hand %.6f", gap.SI*1e3, want)
	}
	if want := math.Sqrt(sq(tunnel.SU) + sq(1.5e-6) + sq(2e-6)); math.Abs(gap.SU-want) > 1e-12 {
		t.Errorf("u %.4g m, by hand %.4g", gap.SU, want)
	}
	if j := find(a, "crank/main/1", job.Planned); j.SU != 2e-6 || j.Limit == nil || j.Verdict == "" {
		t.Errorf("journal to be: %+v", j)
	}
	if _, shares := a.Explain(gap); len(shares) == 0 || !strings.Contains(fmt.Sprint(shares), "process") {
		t.Errorf("the work is no cause of the doubt: %v", shares)
	}
	was, ok := a.Before(gap)
	if !ok || was.State != job.Found || was.SI != find(now, "crank/gap/1", job.Found).SI {
		t.Errorf("before: %+v", was)
	}
}

// Law: a cut that several places share moves them alike, so that their difference
// keeps the doubt it had; cuts of their own add to it.
func TestLawSharedCut(t *testing.T) {
	k, b := tiny(t), measuredTiny(t)
	shift := func(cause string) float64 {
		var cs []Change
		for _, h := range []string{"H1", "H2", "H3"} {
			cs = append(cs, Change{Operation: "hone", Position: "block/bore/1/" + h + "/T", Shift: mm(0.25), U: 3e-6, Cause: cause})
		}
		v, _ := b.plan(k, cs...).Find("block/bore-taper/1/T", job.Planned)
		return v.SU
	}
	was, _ := b.assess(k).Find("block/bore-taper/1/T", job.Found)
	if got := shift("block/bore/1"); math.Abs(got-was.SU) > 1e-12 {
		t.Errorf("one cut: taper u %.4g m, was %.4g", got, was.SU)
	}
	if got, want := shift(""), math.Sqrt(sq(was.SU)+2*sq(3e-6)); math.Abs(got-want) > 1e-9 {
		t.Errorf("cuts of their own: taper u %.4g m, by hand %.4g", got, want)
	}
}

// Law: bores that are to be cut to a step are held against the limits of that
// step, and a finding that the plan mends is none.
func TestLawPlannedCut(t *testing.T) {
	k, b := tiny(t), measuredTiny(t)
	if len(b.assess(k).Findings) == 0 {
		t.Fatal("the worn bore is no finding")
	}
	var cs []Change
	for i := range k.Layout.Places {
		if p := &k.Layout.Places[i]; p.Char.ID == "block/bore" {
			cs = append(cs, Change{Operation: "hone", Position: p.ID, To: mm(80.257), U: 1e-6})
		}
	}
	a := b.plan(k, cs...)
	v, _ := a.Find("block/bore/1/H1/T", job.Planned)
	if v.Verdict != Accept || v.Limit.For != "new" || v.Limit.Max != "80.265 mm" {
		t.Errorf("%+v, limit %+v", v, v.Limit)
	}
	if was := b.assess(k).Targets; len(a.Targets) != len(was) || !a.Targets[0].Needed || a.Targets[0].Step != was[0].Step {
		t.Errorf("what is planned hides the cut: %+v, was %+v", a.Targets, was)
	}
	for _, f := range a.Findings {
		if strings.HasPrefix(f.Part, "block") {
			t.Errorf("%s is still there", f.ID)
		}
	}
	br, _ := a.Find("block/bridge/1-2", job.Planned)
	if want := 88 - 80.257; math.Abs(br.SI*1e3-want) > 1e-9 {
		t.Errorf("bridge %.4f mm, want %.4f", br.SI*1e3, want)
	}
}

// Law: another figure of the engine holds in what is planned, and only there.
func TestLawPlannedFigure(t *testing.T) {
	k, b := tiny(t), measuredTiny(t)
	a, err := Evaluate(k, b.facts(), Plan{Figures: map[string]float64{"engine/bore-spacing": 90e-3}})
	if err != nil {
		t.Fatal(err)
	}
	found, _ := a.Find("block/bridge/1-2", job.Found)
	planned, ok := a.Find("block/bridge/1-2", job.Planned)
	if !ok || math.Abs(planned.SI-found.SI-2e-3) > 1e-12 || planned.SU != found.SU {
		t.Errorf("bridge %v, planned %v", found.SI, planned)
	}
	if _, ok := a.Find("block/bore-taper/1/T", job.Planned); ok {
		t.Error("what does not lean on the figure is planned too")
	}
	if _, err := Evaluate(k, b.facts(), Plan{Figures: map[string]float64{"engine/none": 1}}); err == nil {
		t.Error("a figure that no engine has was taken")
	}
}

// Each plan that cannot be is refused in words of its own.
func TestPlanRefuses(t *testing.T) {
	k, b := tiny(t), measuredTiny(t)
	nan := math.NaN()
	for key, cs := range map[string][]Change{
		"assess.change-nowhere": {{Operation: "x", Position: "block/none", To: mm(1)}},
		"assess.change-derived": {{Operation: "x", Position: "crank/gap/1", To: mm(1)}},
		"assess.change-kind":    {{Operation: "x", Position: "crank/main/1", To: mm(1), Shift: mm(1)}},
		"assess.change-number":  {{Operation: "x", Position: "crank/main/1", To: &nan}},
		"assess.change-unread":  {{Operation: "x", Position: "crank/main/2", Shift: mm(1)}},
		"assess.change-twice":   {{Operation: "x", Position: "crank/main/1", To: mm(49)}, {Operation: "y", Position: "crank/main/1", To: mm(48)}},
	} {
		_, err := Evaluate(k, b.facts(), Plan{Changes: cs})
		var f *fault.Fault
		if !errors.As(err, &f) || f.Key != key {
			t.Errorf("%v, want %s", err, key)
		}
	}
}
