package assess

import (
	"fmt"
	"testing"

	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
)

// Everything in these laws is synthetic.

// flanks is a characteristic of both cylinders with whatever limits are given.
func flanks(per, limits string) string {
	return "- id: piston/flank\n  name: {en: Flank}\n  per: [" + per + "]\n  quantity: length\n  unit: mm\n  decimals: 3\n  gauges: [bore-gauge]\n" + limits + "- id: piston/clearance"
}

func limit(use, where, bounds string) string {
	return "  - {for: " + use + where + ", " + bounds + ", source: made-up, status: invented for the demo}\n"
}

func asks(a *Assessment, position string) []string {
	var ids []string
	for _, q := range a.Questions {
		if q.Position == position && q.ID != NoGauge {
			ids = append(ids, q.ID)
		}
	}
	return ids
}

// Law: where nothing is expected, nothing can be odd; and a limit on one side
// expects nothing of the other.
func TestLawNoQuestionWithoutExpectation(t *testing.T) {
	for _, c := range []struct{ name, limits, value, want string }{
		{"no limit at all, a turn from nought", "", "0.500", "[]"},
		{"no limit at all", "", "12.345", "[]"},
		{"only a least", "  limits:\n" + limit("reuse", "", "min: 3.200 mm"), "5.000", "[]"},
		{"only a least, far below it", "  limits:\n" + limit("reuse", "", "min: 3.200 mm"), "0.320", "[outlier]"},
		{"only a most", "  limits:\n" + limit("reuse", "", "max: 1.200 mm"), "0.200", "[]"},
		{"only a most, far above it, likely in thousandths", "  limits:\n" + limit("reuse", "", "max: 1.200 mm"), "9.000", "[wrong-unit]"},
	} {
		k := tinyWith(t, "- id: piston/clearance", flanks("cyl", c.limits))
		b := open(t)
		b.owns("B1", "bore-gauge", "")
		b.sees(job.ReadingV1{Position: "piston/flank/1", Value: c.value, Gauge: "B1"})
		if got := fmt.Sprint(asks(b.assess(k), "piston/flank/1")); got != c.want {
			t.Errorf("%s, %s mm: %s, want %s", c.name, c.value, got, c.want)
		}
	}
}

// Law: neighbours are those under the same limits, also where only limits for
// new parts tell them apart.
func TestLawNeighboursShareLimits(t *testing.T) {
	k := tinyWith(t, "- id: piston/clearance", flanks("cyl, height, axis", "  limits:\n"+limit("new", ", where: {height: [H1]}", "min: 5.000 mm, max: 5.020 mm")+limit("new", "", "min: 6.000 mm, max: 6.020 mm")))
	b := open(t)
	b.owns("B1", "bore-gauge", "")
	for _, c := range []string{"1", "2"} {
		for _, h := range []string{"H1", "H2", "H3"} {
			for _, x := range []string{"T", "P"} {
				v := "6.010"
				if h == "H1" {
					v = "5.010"
				}
				b.sees(job.ReadingV1{Position: "piston/flank/" + c + "/" + h + "/" + x, Value: v, Gauge: "B1"})
			}
		}
	}
	for _, q := range b.assess(k).Questions {
		t.Errorf("%s asks %s %v", q.Position, q.ID, q.Args)
	}
}

// Law: two readings that differ by one step of their scale agree.
func TestLawOneStepIsNoQuarrel(t *testing.T) {
	coarse := "- {id: coarse-dial, name: {en: Coarse}, quantity: length, resolution: 10 µm, repeat: 1.5 µm, bias: 2.0 µm, minutes: 2, source: made-up, status: from memory}\n"
	k := tinyWith(t, "conditions:\n", coarse+"conditions:\n", "gauges: [bore-gauge]\n  condition: [caps-tight]", "gauges: [coarse-dial]\n  condition: [caps-tight]")
	for _, c := range []struct{ second, want string }{{"54.01", "[]"}, {"54.05", "[disagrees]"}} {
		b := open(t)
		b.owns("D1", "coarse-dial", "")
		b.sees(job.ReadingV1{Position: "block/tunnel/1", Value: "54.00", Gauge: "D1"})
		b.sees(job.ReadingV1{Position: "block/tunnel/1", Value: c.second, Gauge: "D1"})
		if got := fmt.Sprint(asks(b.assess(k), "block/tunnel/1")); got != c.want {
			t.Errorf("54.00 and %s: %s, want %s", c.second, got, c.want)
		}
	}
}

// Law: a part that was cold on one day and on another is asked about twice, not
// once for ever, and not once a reading.
func TestLawColdOnTwoDays(t *testing.T) {
	k := tiny(t)
	b := open(t)
	b.owns("M1", "micrometer", "")
	for day, list := range [][]string{{"1", "2", "3"}, {"1"}} {
		for _, main := range list {
			b.n++
			e, err := entry.New(entry.JobStream("1"), entry.Key{b.n}, entry.Reading, "AK", "test", noon+int64(day)*24*3600*1e6,
				job.ReadingV1{Position: "crank/main/" + main, State: job.Found, Typed: "49.990", Value: "49.990", Unit: "mm", Gauge: "M1", PartTemp: "10.0", GaugeTemp: "20.0"})
			if err != nil {
				t.Fatal(err)
			}
			b.rows = append(b.rows, entry.Row{Entry: e, Seq: int64(len(b.rows) + 1)})
		}
	}
	n := 0
	for _, q := range b.assess(k).Questions {
		if q.ID == NotSoaked {
			n++
		}
	}
	if n != 2 {
		t.Errorf("%d questions, want one a day", n)
	}
}

// Law: what a machine has taken to a step of the ladder is measured against that
// step: limits and expectation move with it. A size between steps, or one that
// nobody machined, does not.
func TestLawLimitsMoveWithTheStep(t *testing.T) {
	k := tiny(t)
	for _, c := range []struct {
		state, size string
		want        Verdict
		asks        string
	}{
		{job.After("bore"), "80.508", Accept, "[]"},
		{job.After("bore"), "80.530", Reject, "[]"},
		{job.After("bore"), "80.258", Accept, "[]"},
		{job.After("clean"), "80.008", Accept, "[]"},
		{job.After("clean"), "80.130", Reject, ""},
		{job.Built, "80.508", Accept, "[]"},
		{job.Found, "80.508", Reject, ""},
	} {
		b := open(t)
		b.owns("M1", "micrometer", "")
		b.owns("B1", "bore-gauge", "M1")
		if c.state != job.Found {
			b.bores(map[string]string{"block/bore/2/H1/T": "80.090"})
		}
		for cyl := 1; cyl <= 2; cyl++ {
			for _, h := range []string{"H1", "H2", "H3"} {
				for _, x := range []string{"T", "P"} {
					b.read(fmt.Sprintf("block/bore/%d/%s/%s %s mm B1", cyl, h, x, c.size), c.state)
				}
			}
		}
		a := b.assess(k)
		v, ok := a.Find("block/bore/1/H2/T", c.state)
		if !ok || v.Verdict != c.want {
			t.Errorf("%s %s: %s against %+v, want %s", c.state, c.size, v.Verdict, v.Limit, c.want)
		}
		if got := fmt.Sprint(asks(a, "block/bore/1/H2/T")); c.asks != "" && got != c.asks {
			t.Errorf("%s %s asks %s, want %s", c.state, c.size, got, c.asks)
		}
		if needed := a.Targets[0].Needed; needed != (c.want == Reject) {
			t.Errorf("%s %s: another cut needed: %v", c.state, c.size, needed)
		}
	}
}

// Law: an undersize moves the limits of journals down.
func TestLawJournalLimitsMoveDown(t *testing.T) {
	k := tinyWith(t, "  oversizes: [0.25 mm, 0.50 mm, 1.00 mm]", "  oversizes: [0.25 mm]\n  undersizes: {main: [0.25 mm, 0.50 mm]}", "  nominal: 50.000 mm", "  nominal: 50.000 mm\n  target: main")
	b := open(t)
	b.owns("M1", "micrometer", "")
	for _, m := range []string{"1", "2", "3"} {
		b.read("crank/main/"+m+" 49.490 mm M1", job.After("grind"))
	}
	v, _ := b.assess(k).Find("crank/main/1", job.After("grind"))
	if v.Verdict != Accept || v.Limit.Min != "49.480 mm" || v.Limit.Max != "49.500 mm" || v.Limit.Nominal != "49.500 mm" {
		t.Errorf("%s against %+v", v.Verdict, v.Limit)
	}
}

// Law: digits are exchanged across the mark too; a thimble in inches turns by
// 0.025 in; a journal does not grow; one bore unlike eleven others is asked
// about.
func TestLawMoreQuestions(t *testing.T) {
	k := tinyWith(t, "- {id: micrometer, name: {en: Micrometer}", "- {id: micrometer, turn: 0.5 mm, name: {en: Micrometer}",
		"  nominal: 50.000 mm\n", "  nominal: 50.000 mm\n  wears: down\n", "{for: reuse, min: 49.980 mm", "{for: new, min: 49.990 mm, max: 50.000 mm, source: made-up, status: invented for the demo}\n  - {for: reuse, min: 49.980 mm")
	for _, c := range []struct{ value, unit, want string }{
		{"49.990", "mm", "[]"},
		{"94.990", "mm", "[digit-swap]"},
		{"1.9931", "in", "[thimble-turn]"}, // 1.9681 in is 49.99 mm
		{"1.9681", "in", "[]"},
		{"50.015", "mm", "[against-wear]"},
		{"49.490", "mm", "[thimble-turn]"},
	} {
		b := open(t)
		b.owns("M1", "micrometer", "")
		b.sees(job.ReadingV1{Position: "crank/main/1", Value: c.value, Unit: c.unit, Gauge: "M1"})
		if got := fmt.Sprint(asks(b.assess(k), "crank/main/1")); got != c.want {
			t.Errorf("%s %s: %s, want %s", c.value, c.unit, got, c.want)
		}
	}
	flank := tinyWith(t, "- id: piston/clearance", flanks("cyl", "  nominal: 30.00 mm\n  limits:\n"+limit("reuse", "", "min: 29.000 mm, max: 31.000 mm")))
	b := open(t)
	b.owns("B1", "bore-gauge", "")
	b.sees(job.ReadingV1{Position: "piston/flank/1", Value: "38.02", Gauge: "B1"})
	if got := fmt.Sprint(asks(b.assess(flank), "piston/flank/1")); got != "[digit-swap]" {
		t.Errorf("38.02 for 30.82: %s", got)
	}
	b = open(t)
	b.owns("B1", "bore-gauge", "")
	b.bores(map[string]string{"block/bore/1/H2/P": "80.080", "block/bore/1/H1/T": "80.017", "block/bore/1/H1/P": "80.023", "block/bore/2/H1/T": "80.018",
		"block/bore/2/H1/P": "80.022", "block/bore/2/H2/T": "80.017", "block/bore/2/H2/P": "80.024", "block/bore/1/H3/T": "80.018"})
	if got := fmt.Sprint(asks(b.assess(k), "block/bore/1/H2/P")); got != "[outlier second-reading]" {
		t.Errorf("one bore reading 60 µm from eleven others: %s", got)
	}
}
