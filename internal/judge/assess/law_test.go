package assess

import (
	"math"
	"strings"
	"testing"

	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
)

// Law: a clearance whose bore gauge was set on the micrometer that measured the
// journal is worth more than one with two micrometers: the bias cancels.
func TestLawOneMicrometerBeatsTwo(t *testing.T) {
	k := tiny(t)
	u := func(master string) float64 {
		b := open(t)
		b.owns("M1", "micrometer", "")
		b.owns("M2", "micrometer", "")
		b.owns("B1", "bore-gauge", master)
		b.read("block/tunnel/1 54.050 mm B1", job.Found)
		b.read("crank/main/1 49.990 mm M1", job.Found)
		v := b.value(k, "crank/gap/1")
		if v.Y != "4.0600" {
			t.Errorf("clearance %s, want 4.0600", v.Y)
		}
		return v.SU
	}
	one, two := u("M1"), u("M2")
	// By hand, µm: repeats 0.8 and resolutions 1/√12 twice, setting 0.5, bore
	// gauge 0.6, and with two micrometers 1.4 twice more; the air of the day
	// and the coefficients reach the difference only through 54 mm of iron
	// against 50 mm of steel at 20 °C.
	base := 2*(0.8*0.8+1.0/12) + 0.5*0.5 + 0.6*0.6
	soak := sq(0.15*54e-3*11.0) + sq(0.15*50e-3*11.5)
	room := sq(0.25 * 54e-3 * (11.5 - 11.0)) // the journal is of the gauge's own material
	if want := math.Sqrt(base + soak + room); math.Abs(one*1e6-want) > 0.01 {
		t.Errorf("one micrometer: u = %.4f µm, by hand %.4f", one*1e6, want)
	}
	if want := math.Sqrt(base + soak + room + 2*1.4*1.4); math.Abs(two*1e6-want) > 0.01 {
		t.Errorf("two micrometers: u = %.4f µm, by hand %.4f", two*1e6, want)
	}
	if one >= two {
		t.Errorf("one micrometer u %.3g ≥ two %.3g", one, two)
	}
}

// Law: an apparent 64 µm between an iron bore read at 14 °C and an alloy skirt
// read at 23 °C is 74.7 µm at 20 °C (geometry; the two coefficients 11 and 20
// are those of the synthetic materials here).
func TestLawTemperatureOfTheParts(t *testing.T) {
	k := tiny(t)
	b := open(t)
	b.owns("M1", "micrometer", "")
	b.owns("B1", "bore-gauge", "M1")
	put := func(p, v, temp, g string) {
		b.add(entry.Reading, job.ReadingV1{Position: p, State: job.Found, Typed: v, Value: v, Unit: "mm", Gauge: g, PartTemp: temp, GaugeTemp: "20.0"})
	}
	put("block/bore/1/H2/T", "80.012", "14.0", "B1")
	put("piston/skirt/1", "79.948", "23.0", "M1")
	v := b.value(k, "piston/clearance/1")
	want := 80.012/(1-6*11e-6) - 79.948/(1+3*20e-6)
	if math.Abs(v.SI*1e3-want) > 1e-7 {
		t.Errorf("clearance %.6f mm, want %.6f", v.SI*1e3, want)
	}
	found := false
	for _, q := range b.assess(k).Questions {
		found = found || q.ID == NotSoaked && q.Position == "block/bore/1/H2/T"
	}
	if !found {
		t.Error("a part at 14 °C raised no question")
	}
}

// Law: repeats lower the doubt, and only their own part of it.
func TestLawRepeats(t *testing.T) {
	k := tiny(t)
	once := open(t)
	once.owns("M1", "micrometer", "")
	once.read("crank/main/1 49.990 mm M1", job.Found)
	twice := open(t)
	twice.owns("M1", "micrometer", "")
	twice.read("crank/main/1 49.990 mm M1", job.Found)
	twice.read("crank/main/1 49.990 mm M1", job.Found)
	u1, u2 := once.value(k, "crank/main/1").SU*1e6, twice.value(k, "crank/main/1").SU*1e6
	repeat := 0.8*0.8 + 1.0/12
	if got := u1*u1 - u2*u2; math.Abs(got-repeat/2) > 1e-3 {
		t.Errorf("second reading took %.4f µm² off the variance, want %.4f", got, repeat/2)
	}
}

// Law: a reading typed beside a derived value, as an old log may hold one, is
// shown there and used for nothing.
func TestLawReadingBesideADerivedValue(t *testing.T) {
	k := tiny(t)
	b := open(t)
	b.owns("M1", "micrometer", "")
	b.read("crank/gap/1 4.060 mm M1", job.Found)
	v := b.value(k, "crank/gap/1")
	if v.Verdict != Unmeasured || v.Has || len(v.Readings) != 1 || len(v.Missing) != 2 {
		t.Errorf("%+v", v)
	}
}

// Law: three readings that scatter more than their gauge does are worth what
// they show: s/√3 with two degrees of freedom, so a coverage factor of 4.53
// (JCGM 100:2008, table G.2) where nothing else matters.
func TestLawScatterSpeaks(t *testing.T) {
	k := tiny(t)
	b := open(t)
	b.owns("M1", "micrometer", "")
	for _, r := range []string{"49.900", "49.990", "50.080"} {
		b.read("crank/main/1 "+r+" mm M1", job.Found)
	}
	v := b.value(k, "crank/main/1")
	if want := 90.0 / math.Sqrt(3); math.Abs(v.SU*1e6-want) > 0.1 {
		t.Errorf("u = %.3f µm, want %.3f", v.SU*1e6, want)
	}
	// The display's step adds a trace of infinite degrees of freedom.
	if v.K != "4.52" && v.K != "4.53" || v.Dof != "2.0" {
		t.Errorf("k = %s with %s degrees of freedom, want 4.53 with 2.0", v.K, v.Dof)
	}
}

// Law: a reading taken under the wrong condition gives no value, and says why.
func TestLawConditionIsPartOfIdentity(t *testing.T) {
	k := tiny(t)
	b := open(t)
	b.owns("B1", "bore-gauge", "")
	b.add(entry.Reading, job.ReadingV1{Position: "block/tunnel/1", State: job.Found, Typed: "54.020", Value: "54.020", Unit: "mm", Gauge: "B1"})
	v := b.value(k, "block/tunnel/1")
	if v.Verdict != Unmeasured || v.Why == nil || v.Why.Key != "value.condition" || v.Why.Args["condition"] != "caps-tight" {
		t.Errorf("relaxed tunnel: %s %v", v.Verdict, v.Why)
	}
	if g := b.value(k, "crank/gap/1"); g.Verdict != Unmeasured {
		t.Errorf("its clearance: %s", g.Verdict)
	}
}

// Law: the same readings in any order, or by way of a correction, give the same
// verdicts; the same order gives the same bytes.
func TestLawSameReadingsSameBytes(t *testing.T) {
	k := tiny(t)
	a, b := open(t), open(t)
	lines := []string{"crank/main/1 49.990 mm M1", "crank/main/2 49.991 mm M1", "block/tunnel/1 54.050 mm B1", "block/wall/1 5.00 mm M1"}
	for _, x := range []*book{a, b} {
		x.owns("M1", "micrometer", "")
		x.owns("B1", "bore-gauge", "M1")
	}
	for i := range lines {
		a.read(lines[i], job.Found)
		b.read(lines[len(lines)-1-i], job.Found)
	}
	first := bytesOf(t, a.assess(k))
	if again := bytesOf(t, a.assess(k)); again != first {
		t.Error("the same facts gave other bytes")
	}
	if other := bytesOf(t, b.assess(k)); other != first {
		t.Error("another order of entry gave other bytes")
	}
	c := open(t)
	c.owns("M1", "micrometer", "")
	c.owns("B1", "bore-gauge", "M1")
	wrong := c.read("crank/main/1 49.909 mm M1", job.Found)
	for _, l := range lines[1:] {
		c.read(l, job.Found)
	}
	c.add(entry.Correction, job.CorrectionV1{Target: wrong, Reason: "digits", Reading: job.ReadingV1{Position: "crank/main/1",
		State: job.Found, Typed: "49.990", Value: "49.990", Unit: "mm", Gauge: "M1", PartTemp: "20.0", GaugeTemp: "20.0", Condition: []string{"caps-tight"}}})
	v, _ := c.assess(k).Find("crank/main/1", job.Found)
	w, _ := a.assess(k).Find("crank/main/1", job.Found)
	if v.Y != w.Y || v.SU != w.SU || v.Verdict != w.Verdict {
		t.Errorf("corrected reading gives %s ± %g %s, plain one %s ± %g %s", v.Y, v.SU, v.Verdict, w.Y, w.SU, w.Verdict)
	}
	if strings.Contains(first, wrong) || strings.Contains(first, "sequence") {
		t.Error("assessment bytes hold a key or a sequence")
	}
}

// Law: a later state does not overwrite an earlier one; a derived value of the
// later state takes each input in its latest.
func TestLawStates(t *testing.T) {
	k := tiny(t)
	b := open(t)
	b.owns("M1", "micrometer", "")
	b.owns("B1", "bore-gauge", "M1")
	b.read("block/tunnel/1 54.050 mm B1", job.Found)
	b.read("crank/main/1 49.990 mm M1", job.Found)
	b.read("crank/main/1 49.980 mm M1", job.Built)
	a := b.assess(k)
	for _, c := range []struct{ state, gap string }{{job.Found, "4.0600"}, {job.Built, "4.0700"}} {
		if v, ok := a.Find("crank/gap/1", c.state); !ok || v.Y != c.gap {
			t.Errorf("%s: clearance %v, want %s", c.state, v, c.gap)
		}
	}
	if _, ok := a.Find("block/tunnel/1", job.Built); ok {
		t.Error("an unmeasured state was invented")
	}
}

// Law: the target is the smallest step that cleans the worst bore up, worked by
// hand: 80.090 at the worst, 80.020 at the least: 0.090 + 0.070 + guard + 0.02
// = 0.18 and some, so 0.25; wall 5.00 − 0.125, bridge 88 − 80.25.
func TestLawTarget(t *testing.T) {
	k := tiny(t)
	b := open(t)
	b.owns("M1", "micrometer", "")
	b.owns("B1", "bore-gauge", "M1")
	b.bores(map[string]string{"block/bore/2/H1/T": "80.090"})
	b.read("block/wall/2 5.00 mm M1", job.Found)
	a := b.assess(k)
	if len(a.Targets) != 1 {
		t.Fatalf("targets %v", a.Targets)
	}
	g := a.Targets[0]
	if !g.Needed || g.Step != "0.25 mm" || g.Size != "80.250" || g.Governs != "block/bore/2/H1/T" {
		t.Errorf("target %+v", g)
	}
	if r := g.Places[1]; r.Wall != "4.88" && r.Wall != "4.87" || r.WallOK != string(Accept) || r.Bridge != "7.75" || r.BridgeOK != string(Accept) || r.CleansUp != "0.25 mm" {
		t.Errorf("row %+v", r)
	}
	if len(a.Findings) != 1 || a.Findings[0].Severity != "act" || a.Findings[0].Part != "block" {
		t.Errorf("findings %+v", a.Findings)
	}
}

// Law: an undecided value names an act, and the act, carried out, decides it.
func TestLawActDecides(t *testing.T) {
	k := tiny(t)
	b := open(t)
	b.owns("M1", "micrometer", "")
	b.read("crank/main/1 49.983 mm M1", job.Found)
	v := b.value(k, "crank/main/1")
	if v.Verdict != Accept {
		t.Fatalf("49.983 ± %.3g: %s", v.SU, v.Verdict)
	}
	b = open(t)
	b.owns("M1", "micrometer", "")
	b.read("crank/main/1 49.9826 mm M1", job.Found)
	v = b.value(k, "crank/main/1")
	if v.Verdict != Undecided || v.Act == nil || v.Act.Key != "act.repeat" || v.Act.Args["times"] != "1" {
		t.Fatalf("49.9826: %s, %+v", v.Verdict, v.Act)
	}
	b.read("crank/main/1 49.9826 mm M1", job.Found)
	if v = b.value(k, "crank/main/1"); v.Verdict != Accept {
		t.Errorf("after the repeat: %s, u %.3g", v.Verdict, v.SU)
	}
	b = open(t)
	b.owns("M1", "micrometer", "")
	b.read("crank/main/1 49.980 mm M1", job.Found)
	if v = b.value(k, "crank/main/1"); v.Verdict != Undecided || v.Act == nil || v.Act.Key != "act.none" {
		t.Errorf("on the limit: %s %+v", v.Verdict, v.Act)
	}
}

// Law: each implausible reading raises its question and still counts.
func TestLawQuestions(t *testing.T) {
	k := tiny(t)
	for _, c := range []struct{ value, unit, id, perhaps string }{
		{"80.520", "mm", ThimbleTurn, "80.020"},
		{"80.020", "µm", WrongUnit, ""},
		{"3.1504", "mm", WrongUnit, ""},
		{"08.020", "mm", DigitSwap, "80.020"},
		{"79.960", "mm", Shrunk, ""},
		{"80.020", "mm", "", ""},
	} {
		b := open(t)
		b.owns("B1", "bore-gauge", "")
		b.bores(map[string]string{"block/bore/1/H2/P": c.value})
		if c.unit != "mm" {
			b = open(t)
			b.owns("B1", "bore-gauge", "")
			b.read("block/bore/1/H2/P "+c.value+" "+c.unit+" B1", job.Found)
		}
		a := b.assess(k)
		got := map[string]Question{}
		for _, q := range a.Questions {
			got[q.ID] = q
		}
		if c.id == "" {
			if len(got) > 0 {
				t.Errorf("%s %s raised %v", c.value, c.unit, a.Questions)
			}
			continue
		}
		q, ok := got[c.id]
		if !ok || q.Position != "block/bore/1/H2/P" || c.perhaps != "" && q.Args["perhaps"] != c.perhaps {
			t.Errorf("%s %s raised %v, want %s", c.value, c.unit, a.Questions, c.id)
		}
		if v, ok := a.Find("block/bore/1/H2/P", job.Found); !ok || !v.Has {
			t.Errorf("%s %s was dropped", c.value, c.unit)
		}
	}
}
