package assess

import (
	"testing"

	"fettle/internal/facts/job"
)

// Everything in these laws is synthetic.

func (b *book) planned(k Knowledge, p Plan) Target {
	b.t.Helper()
	a, err := Evaluate(k, b.facts(), p)
	if err != nil {
		b.t.Fatal(err)
	}
	return a.Targets[0]
}

func worn(t *testing.T) *book {
	b := open(t)
	b.owns("M1", "micrometer", "")
	b.owns("B1", "bore-gauge", "M1")
	b.bores(map[string]string{"block/bore/2/H1/T": "80.200"})
	b.read("block/wall/2 5.00 mm M1", job.Found)
	return b
}

// Law: a plan may name a step. One that cleans up is taken though a smaller
// would; one that does not says so, and what would.
func TestLawPlannedStep(t *testing.T) {
	k := tiny(t)
	for _, c := range []struct {
		step, why, size string
		beyond          bool
	}{
		{"", "target.step", "80.500", false},
		{"1.00 mm", "target.plan", "81.000", false},
		{"0.25 mm", "target.plan-short", "", false},
	} {
		g := worn(t).planned(k, Plan{Oversize: c.step})
		if g.Why.Key != c.why || g.Size != c.size || g.Beyond != c.beyond || g.Places[1].CleansUp != "0.50 mm" {
			t.Errorf("plan %q: %s %q, beyond %v, %+v", c.step, g.Why.Key, g.Size, g.Beyond, g.Places[1])
		}
	}
	if _, err := Evaluate(k, worn(t).facts(), Plan{Oversize: "0.33 mm"}); err == nil {
		t.Error("a step that the ladder does not have was taken")
	}
}

// Law: the smallest step is taken whatever order the file lists them in.
func TestLawLadderInAnyOrder(t *testing.T) {
	k := tinyWith(t, "[0.25 mm, 0.50 mm, 1.00 mm]", "[1.00 mm, 0.50 mm, 0.25 mm]")
	if g := worn(t).planned(k, Plan{}); g.Step != "0.50 mm" || g.Places[1].CleansUp != "0.50 mm" {
		t.Errorf("%+v", g)
	}
}

// Law: a bridge worked out from a measured spacing loses what the bores grow by,
// and the spacing stays.
func TestLawBridgeFromMeasuredSpacing(t *testing.T) {
	k := tinyWith(t, "- id: block/wall", "- id: block/spacing\n  name: {en: Spacing}\n  per: [bridge]\n  quantity: length\n  unit: mm\n  decimals: 2\n  nominal: 88.00 mm\n  gauges: [micrometer]\n- id: block/wall",
		"spacing: {from: engine/bore-spacing}", "spacing: {from: block/spacing}")
	b := worn(t)
	b.read("block/spacing/1-2 88.10 mm M1", job.Found)
	if r := b.planned(k, Plan{}).Places[1]; r.Bridge != "7.60" || r.BridgeOK != string(Accept) {
		t.Errorf("bridge %s %s, want 88.10 − 80.50 = 7.60", r.Bridge, r.BridgeOK)
	}
}

// Law: journals are cut the other way: smaller, and the smallest governs.
func TestLawJournalTarget(t *testing.T) {
	k := tinyWith(t, "  oversizes: [0.25 mm, 0.50 mm, 1.00 mm]", "  oversizes: [0.25 mm, 0.50 mm, 1.00 mm]\n  undersizes: {main: [0.25 mm, 0.50 mm]}",
		"  nominal: 50.000 mm", "  nominal: 50.000 mm\n  target: main")
	b := open(t)
	b.owns("M1", "micrometer", "")
	b.read("crank/main/1 49.999 mm M1", job.Found)
	b.read("crank/main/2 49.750 mm M1", job.Found)
	// 0.250 worn + 0 within one journal + guard + 0.01: beyond 0.25, so 0.50.
	g := b.planned(k, Plan{})
	if !g.Needed || g.Step != "0.50 mm" || g.Size != "49.500" || g.Governs != "crank/main/2" || g.Places[1].Stock != "0.2500" {
		t.Errorf("%+v", g)
	}
}

// Law: an engine that nothing asks to cut is told so, and keeps its sizes.
func TestLawNoCut(t *testing.T) {
	b := open(t)
	b.owns("M1", "micrometer", "")
	b.owns("B1", "bore-gauge", "M1")
	b.bores(nil)
	if g := b.planned(tiny(t), Plan{}); g.Needed || g.Size != "" || g.Why.Key != "target.none" || g.Places[0].Stock != "" {
		t.Errorf("%+v", g)
	}
}

// Law: a doubt is never graver than what it doubts: an undecided note stays a
// note, anything else that is undecided is to be watched.
func TestLawUndecidedIsNoGraver(t *testing.T) {
	for catalogue, want := range map[string]string{"note": "note", "watch": "watch", "act": "watch"} {
		k := tinyWith(t, "severity: act", "severity: "+catalogue, "  nominal: 50.000 mm", "  nominal: 50.000 mm\n  finding: bore-worn")
		b := open(t)
		b.owns("M1", "micrometer", "")
		b.read("crank/main/1 49.980 mm M1", job.Found)
		a := b.assess(k)
		if len(a.Findings) != 1 || string(a.Findings[0].Severity) != want {
			t.Errorf("catalogue %s: %+v, want %s", catalogue, a.Findings, want)
		}
	}
}

// Law: each part of a cut is worth its own size. With sizes all 80.000 but one,
// the step needed is a hair under, or a hair over, a step of the ladder.
func TestLawPartsOfACut(t *testing.T) {
	// Bore 1: worst 80.1140, least 80.000: 0.114 + 0.114 + 0.02 = 0.248, and a
	// guard of some 3 µm (u 1.8 µm) makes it 0.251.
	for _, c := range []struct{ worst, want string }{
		{"80.1140", "0.50 mm"}, // the guard carries it over
		{"80.1120", "0.25 mm"}, // 0.244 + guard
		{"80.1060", "0.25 mm"}, // 0.232 + guard; without the allowance 0.212
		{"80.1180", "0.50 mm"}, // 0.256: without the allowance 0.236
	} {
		b := open(t)
		b.owns("M1", "micrometer", "")
		b.owns("B1", "bore-gauge", "M1")
		for _, h := range []string{"H1", "H2", "H3"} {
			b.read("block/bore/1/"+h+"/P 80.0000 mm B1", job.Found)
		}
		b.read("block/bore/1/H1/T "+c.worst+" mm B1", job.Found)
		if g := b.planned(tiny(t), Plan{}); g.Step != c.want {
			t.Errorf("%s: step %s, want %s", c.worst, g.Step, c.want)
		}
	}
}

// Law: taper alone asks for a cut though every size is in; form that only a vee
// shows asks for it where the family says so, and makes the cut deeper.
func TestLawShapeAsksForACut(t *testing.T) {
	b := open(t)
	b.owns("M1", "micrometer", "")
	b.owns("B1", "bore-gauge", "M1")
	b.bores(map[string]string{"block/bore/1/H1/T": "80.046", "block/bore/1/H2/T": "80.008", "block/bore/1/H3/T": "80.008"})
	if g := b.planned(tiny(t), Plan{}); !g.Needed || g.Step != "0.25 mm" {
		t.Errorf("tapered bore: %+v", g)
	}
	vee := `- id: crank/vee
  name: {en: Over a vee}
  per: [main]
  quantity: length
  unit: mm
  decimals: 3
  gauges: [micrometer]
- id: crank/lobing
  name: {en: Lobing}
  per: [main]
  quantity: length
  unit: mm
  decimals: 3
  relation: vee-form
  bind: {indication: {from: crank/vee}, factor: {from: "2 1"}}
  target: main
  limits:
  - {for: reuse, max: 0.010 mm, source: made-up, status: invented for the demo}
- id: crank/gap`
	k := tinyWith(t, "  oversizes: [0.25 mm, 0.50 mm, 1.00 mm]", "  undersizes: {main: [0.25 mm, 0.50 mm]}", "  nominal: 50.000 mm", "  nominal: 50.000 mm\n  target: main", "- id: crank/gap", vee)
	for _, c := range []struct {
		indication, step string
		needed           bool
	}{{"0.010", "", false}, {"0.100", "0.25 mm", true}, {"0.480", "0.50 mm", true}} {
		b := open(t)
		b.owns("M1", "micrometer", "")
		b.read("crank/main/1 49.990 mm M1", job.Found)
		b.read("crank/vee/1 "+c.indication+" mm M1", job.Found)
		if g := b.planned(k, Plan{}); g.Needed != c.needed || g.Step != c.step {
			t.Errorf("%s over the vee: %+v", c.indication, g)
		}
	}
}
