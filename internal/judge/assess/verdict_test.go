package assess

import (
	"fmt"
	"math"
	"testing"

	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/judge/rule"
)

// Everything in these laws is synthetic unless a source stands beside it.

// Law: where few readings speak, the guard band is that of the t distribution.
// Source: one-sided 95 % points for two degrees of freedom, 2.920 (any table of
// Student's t; JCGM 100:2008, G.3 for its use).
func TestLawFewReadingsWidenTheGuard(t *testing.T) {
	k := tiny(t)
	b := open(t)
	b.owns("M1", "micrometer", "")
	for _, r := range []string{"49.900", "49.990", "50.080"} {
		b.read("crank/main/1 "+r+" mm M1", job.Found)
	}
	if v := b.value(k, "crank/main/1"); math.Abs(v.Guard/v.SU-2.920) > 0.01 {
		t.Errorf("guard factor %.3f with %s degrees of freedom, want 2.92", v.Guard/v.SU, v.Dof)
	}
}

// Law: without doubt a value on its limit is in, and one past it is out by the
// amount, signed.
func TestLawWithoutDoubt(t *testing.T) {
	lo, hi := 1.0, 2.0
	for _, c := range []struct {
		y, past float64
		want    Verdict
	}{{1, 0, Accept}, {2, 0, Accept}, {0.75, -0.25, Reject}, {2.5, 0.5, Reject}, {1.5, 0, Accept}} {
		if got := rule.Decide(c.y, 0, 1.645, &lo, &hi); got != c.want {
			t.Errorf("%v: %s, want %s", c.y, got, c.want)
		}
		if got := rule.Past(c.y, &lo, &hi); got != c.past {
			t.Errorf("%v lies %v past, want %v", c.y, got, c.past)
		}
	}
}

// Law: a plan may set the risk of the rule, within reason. 1 % on one side is
// 2.326 standard uncertainties (table of the normal law).
func TestLawRisk(t *testing.T) {
	k := tiny(t)
	b := open(t)
	b.owns("M1", "micrometer", "")
	b.read("crank/main/1 49.9832 mm M1", job.Found)
	for risk, want := range map[float64]Verdict{0: Accept, 0.01: Undecided, 0.4: Accept} {
		a, err := Evaluate(k, b.facts(), Plan{Risk: risk})
		if err != nil {
			t.Fatal(err)
		}
		if v, _ := a.Find("crank/main/1", job.Found); v.Verdict != want {
			t.Errorf("risk %v: %s, want %s", risk, v.Verdict, want)
		}
		if risk == 0.01 && a.Rule.KText != "2.326" {
			t.Errorf("k %s, printed 2.326", a.Rule.KText)
		}
	}
	for _, risk := range []float64{-1, 0.6, math.NaN()} {
		if _, err := Evaluate(k, b.facts(), Plan{Risk: risk}); err == nil {
			t.Errorf("risk %v was taken", risk)
		}
	}
}

// Law: the last check speaks.
func TestLawLastCheckSpeaks(t *testing.T) {
	k := tinyWith(t, "- id: piston/clearance", "- id: piston/cracks\n  name: {en: Cracks}\n  per: [cyl]\n  quantity: check\n  limits:\n  - {for: reuse, must: pass, source: made-up, status: invented for the demo}\n- id: piston/clearance")
	for _, c := range []struct {
		saw  []string
		want Verdict
	}{{[]string{"fail", "pass"}, Accept}, {[]string{"pass", "fail"}, Reject}} {
		b := open(t)
		for _, v := range c.saw {
			b.add(entry.Reading, job.ReadingV1{Position: "piston/cracks/1", State: job.Found, Typed: v, Value: v})
		}
		if v := b.value(k, "piston/cracks/1"); v.Verdict != c.want {
			t.Errorf("%v: %s, want %s", c.saw, v.Verdict, c.want)
		}
	}
}

// Law: a derived value exists in a later state only where something it leans on
// was read anew.
func TestLawNothingNewNothingDerived(t *testing.T) {
	k := tiny(t)
	b := open(t)
	b.owns("M1", "micrometer", "")
	b.owns("B1", "bore-gauge", "M1")
	for _, m := range []string{"1", "2"} {
		b.read("block/tunnel/"+m+" 54.050 mm B1", job.Found)
		b.read("crank/main/"+m+" 49.990 mm M1", job.Found)
	}
	b.read("crank/main/1 49.980 mm M1", job.Built)
	a := b.assess(k)
	if _, ok := a.Find("crank/gap/1", job.Built); !ok {
		t.Error("the gap of main 1 was not worked out as built")
	}
	if v, ok := a.Find("crank/gap/2", job.Built); ok {
		t.Errorf("main 2 was not read as built, and yet: %+v", v)
	}
}

// Law: a reading of another kind of quantity than its place, as an old log may
// hold, is no reading of it.
func TestLawForeignReading(t *testing.T) {
	k := tiny(t)
	b := open(t)
	b.owns("M1", "micrometer", "")
	b.add(entry.Reading, job.ReadingV1{Position: "crank/main/1", State: job.Found, Typed: "50", Value: "50", Unit: "g", Gauge: "M1"})
	b.add(entry.Reading, job.ReadingV1{Position: "crank/main/2", State: job.Found, Typed: "pass", Value: "pass"})
	for _, p := range []string{"crank/main/1", "crank/main/2"} {
		if v := b.value(k, p); v.Verdict != Unmeasured || len(v.Readings) > 0 {
			t.Errorf("%s: %+v", p, v)
		}
	}
}

// Law: parts soak each for itself. Two parts of one length and one material at
// one temperature differ by their two soaks and no more; two places of one part
// by none.
func TestLawPartsSoakApart(t *testing.T) {
	k := tinyWith(t, "- id: piston/clearance", "- id: piston/pair\n  name: {en: Pair}\n  quantity: length\n  unit: mm\n  decimals: 3\n  relation: range\n  bind: {x: {from: piston/skirt}}\n- id: crank/pair\n  name: {en: Pair}\n  quantity: length\n  unit: mm\n  decimals: 3\n  relation: range\n  bind: {x: {from: crank/main, where: {main: [\"1\", \"2\"]}}}\n- id: piston/clearance")
	b := open(t)
	b.owns("M1", "micrometer", "")
	for _, p := range []string{"piston/skirt/1 79.950", "piston/skirt/2 79.940", "crank/main/1 49.990", "crank/main/2 49.980"} {
		b.read(p+" mm M1", job.Found)
	}
	reading := 2 * (0.8*0.8 + 1.0/12)
	if got, want := sq(b.value(k, "piston/pair").SU*1e6), reading+2*sq(0.15*79.945e-3*20); math.Abs(got-want) > 1e-3 {
		t.Errorf("two pistons: u² %.4f µm², want %.4f", got, want)
	}
	if got := sq(b.value(k, "crank/pair").SU * 1e6); math.Abs(got-reading) > 1e-3 {
		t.Errorf("two journals: u² %.4f µm², want %.4f", got, reading)
	}
}

// Law: a gauge that is doubtful by a part of what it shows is so by the same part
// in every reading: 2 % of 100 N and of 50 N, and none of it in a ratio.
func TestLawRelativeDoubt(t *testing.T) {
	k := tinyWith(t, "conditions:\n", "- {id: spring-tester, name: {en: Tester}, quantity: force, resolution: 0.01 N, repeat: 0.01 N, relative: 0.02 1, minutes: 1, source: made-up, status: from memory}\nconditions:\n",
		"- id: piston/clearance", "- id: piston/load\n  name: {en: Load}\n  per: [cyl]\n  quantity: force\n  unit: N\n  decimals: 1\n  gauges: [spring-tester]\n  nominal: 100.0 N\n- id: piston/loss\n  name: {en: Loss}\n  quantity: number\n  unit: \"%\"\n  decimals: 2\n  relation: load-loss\n  bind: {load: {from: piston/load, where: {cyl: [\"1\"]}}, rated: {from: piston/load, where: {cyl: [\"2\"]}}}\n- id: piston/clearance")
	b := open(t)
	b.owns("T1", "spring-tester", "")
	b.sees(job.ReadingV1{Position: "piston/load/1", Value: "50.00", Unit: "N", Gauge: "T1"})
	b.sees(job.ReadingV1{Position: "piston/load/2", Value: "100.00", Unit: "N", Gauge: "T1"})
	for p, want := range map[string]float64{"piston/load/1": 1, "piston/load/2": 2} {
		if v := b.value(k, p); math.Abs(v.SU-want) > 0.001 {
			t.Errorf("%s: u %.4f N, want %v", p, v.SU, want)
		}
	}
	if v := b.value(k, "piston/loss"); v.SU > 0.0002 {
		t.Errorf("ratio: u %.5f; the tester's own factor does not cancel", v.SU)
	}
}

// Law: a feeler says between which blades a gap lies; reading it again says the
// same, whatever digits are typed.
func TestLawFeelerStepStays(t *testing.T) {
	k := tinyWith(t, "conditions:\n", "- {id: feeler, name: {en: Feeler}, quantity: length, resolution: 20 µm, repeat: 15 µm, bias: 3 µm, interval: true, minutes: 1, source: made-up, status: from memory}\nconditions:\n",
		"gauges: [bore-gauge]\n  condition: [caps-tight]", "gauges: [feeler]\n  condition: [caps-tight]")
	b := open(t)
	b.owns("F1", "feeler", "")
	for range 4 {
		b.sees(job.ReadingV1{Position: "block/tunnel/1", Value: "0.4", Gauge: "F1", PartTemp: "20.0"})
	}
	if got, want := b.value(k, "block/tunnel/1").SU*1e6, math.Sqrt(15.0*15/4+400.0/12+9); math.Abs(got-want) > 0.01 {
		t.Errorf("u %.3f µm, want %.3f", got, want)
	}
}

// Law: the evidence of a finding names the limit that was passed and by how much,
// and the worst of it is that farthest out.
func TestLawEvidence(t *testing.T) {
	k := tinyWith(t, "  nominal: 50.000 mm", "  nominal: 50.000 mm\n  finding: bore-worn")
	b := open(t)
	b.owns("M1", "micrometer", "")
	for i, v := range []string{"49.970", "49.990", "50.030"} {
		b.read(fmt.Sprintf("crank/main/%d %s mm M1", i+1, v), job.Found)
	}
	a := b.assess(k)
	if len(a.Findings) != 1 || len(a.Findings[0].Evidence) != 2 {
		t.Fatalf("findings %+v", a.Findings)
	}
	f := a.Findings[0]
	for i, want := range []Evidence{{Limit: "49.980", Amount: "-0.0100"}, {Limit: "50.000", Amount: "0.0300"}} {
		if e := f.Evidence[i]; e.Limit != want.Limit || e.Amount != want.Amount || e.Verdict != Reject {
			t.Errorf("%+v, want %s past %s", e, want.Amount, want.Limit)
		}
	}
	if f.Evidence[f.Worst].Position != "crank/main/3" {
		t.Errorf("the worst is said to be %s", f.Evidence[f.Worst].Position)
	}
}
