package gauge_test

import (
	"fmt"
	"math"
	"os"
	"strings"
	"testing"
	"time"

	"fettle/internal/demo"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/facts/shop"
	"fettle/internal/judge/assess"
	"fettle/internal/judge/compute"
	"fettle/internal/judge/gauge"
	"fettle/internal/know/family"
	"fettle/internal/know/library"
)

// Everything in these tests is synthetic.

func read(t testing.TB, name string) []byte {
	t.Helper()
	b, err := os.ReadFile("../../../data/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func knowledge(t testing.TB) *library.Library {
	t.Helper()
	files := library.Files{}
	for _, f := range []string{"sources.yaml", "materials.yaml", "instruments.yaml", "findings.yaml", "plan.csv", "words/en.yaml"} {
		files[f] = read(t, f)
	}
	lib, faults := library.Read(files, compute.Signature)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	return lib
}

const day = int64(24 * 3600 * 1e6)

// bench writes a shop's log.
type bench struct {
	t    testing.TB
	rows []entry.Row
}

func (b *bench) put(kind entry.Kind, person string, time int64, payload any) {
	b.t.Helper()
	n := len(b.rows) + 1
	e, err := entry.New(entry.ShopStream, entry.Key{14: byte(n >> 8), 15: byte(n)}, kind, person, "test", time, payload)
	if err != nil {
		b.t.Fatal(err)
	}
	if _, second := payload.(shop.CalibratedV2); second {
		e.Version = 2
	}
	b.rows = append(b.rows, entry.Row{Entry: e, Seq: int64(n)})
}

// open is a shop with a micrometer and a rod to check it on.
func open(t testing.TB) *bench {
	b := &bench{t: t}
	b.put(entry.GaugeKnown, "AB", 1, shop.GaugeV1{Gauge: "M1", Type: "micrometer", Master: "R1"})
	b.put(entry.GaugeKnown, "AB", 1, shop.GaugeV1{Gauge: "R1", Type: "setting-master"})
	return b
}

// checks are the errors in µm that a person reads on a day, from 1.
func (b *bench) checks(d int64, person string, errors ...float64) {
	for i, e := range errors {
		b.put(entry.MasterCheck, person, d*day+int64(i+1), shop.MasterCheckV1{Gauge: "M1", Master: "R1", True: "50.0000",
			Read: fmt.Sprintf("%.4f", 50+e*1e-3), Unit: "mm"})
	}
}

func (b *bench) session(d int64) gauge.Session {
	b.t.Helper()
	sh := shop.Replay(b.rows)
	if sh.Odd != 0 {
		b.t.Fatal("not all of the log was understood")
	}
	s, ok := gauge.Judge(sh, knowledge(b.t), sh.Study("M1")[0], d)
	if !ok {
		b.t.Fatal("no session")
	}
	return s
}

func near(t *testing.T, what string, got, um float64) {
	t.Helper()
	// 0.1 nm: readings are written to 0.1 µm and come out exactly but for rounding of doubles.
	if math.Abs(got-um*1e-6) > 1e-10 {
		t.Errorf("%s: %.5f µm, want %.5f µm", what, got*1e6, um)
	}
}

// Law: with each person once a day, the split is that of the two-way table
// without repeats, worked out by hand here: A reads 1 2 3 4, B reads 3 4 3 6.
func TestByDays(t *testing.T) {
	b := open(t)
	for d, e := range [][2]float64{{1, 3}, {2, 4}, {3, 3}, {4, 6}} {
		b.checks(int64(d+1), "A", e[0])
		b.checks(int64(d+1), "B", e[1])
	}
	s := b.session(4)
	// Means: A 2.5, B 4, days 2 3 3 5, all 3.25. Residuals of A: -0.25 -0.25 0.75 -0.25,
	// of B the same turned: SS 1.5 on 3 degrees of freedom; MS 0.5. Persons: SS 4.5, on 1.
	// Days: SS 9.5 on 3.
	if s.Method != gauge.ByDays || s.Dof != 3 || s.Checks != 8 || s.Unit != "mm" {
		t.Fatalf("%+v", s)
	}
	near(t, "repeat", s.Repeat, math.Sqrt(0.5))
	near(t, "persons", s.Persons, math.Sqrt((4.5-0.5)/4))
	near(t, "days", s.Days, math.Sqrt((9.5/3-0.5)/2))
	a := s.Hands[0]
	near(t, "bias of A", a.Bias, 4)
	near(t, "shift of A", a.Shift, 2)
	near(t, "its uncertainty", a.ShiftSU, math.Sqrt(0.5*(1+1.0/3)))
	if a.Days != 3 || a.Known {
		t.Errorf("%+v", a)
	}
}

// Law: with each person several times a day the repeat is that within a day,
// and average and range stand beside the analysis of variance.
func TestByVariances(t *testing.T) {
	b := open(t)
	for d := int64(1); d <= 3; d++ {
		b.checks(d, "A", float64(d), float64(d)+1)
		b.checks(d, "B", float64(d)+2, float64(d)+3)
	}
	s := b.session(3)
	if s.Method != gauge.ByVariances || s.ByRange == nil {
		t.Fatalf("%+v", s)
	}
	// Six cells of range 1: SS 3 on 6; no interaction: SS 0 on 2, pooled.
	near(t, "repeat", s.Repeat, math.Sqrt(3.0/8))
	if s.Dof != 8 {
		t.Errorf("%d degrees of freedom", s.Dof)
	}
	// Average and range: R̄/d₂ with d₂ = 1.128 for two, worksheet factor 0.8862.
	near(t, "repeat by range", s.ByRange.Repeat, 0.8862)
}

// Law: too few hands or days say so and fall back on the type of the gauge.
func TestByType(t *testing.T) {
	b := open(t)
	b.checks(1, "A", 1)
	b.checks(2, "A", 2)
	s := b.session(2)
	if s.Method != gauge.ByType || s.Why == "" || s.Dof != 0 || len(s.Hands) != 1 {
		t.Fatalf("%+v", s)
	}
	near(t, "repeat of a micrometer", s.Repeat, math.Hypot(0.9, 1/math.Sqrt(12)))
	sh := shop.Replay(b.rows)
	if _, ok := gauge.Judge(sh, knowledge(t), sh.Study("M1")[0], 3); ok {
		t.Error("a session on a day without checks")
	}
}

func alerts(s gauge.Session) string {
	var out []string
	for _, a := range s.Alerts {
		out = append(out, a.Kind+" "+a.Person)
	}
	return strings.Join(out, ", ")
}

// Law: a gauge that reads as before raises nothing; one that moved by more than
// 3 µm, or by more than its scatter explains, does; so does one that is not as
// its calibration says, or is checked where nobody calibrated it.
func TestAlerts(t *testing.T) {
	steady := func(b *bench) {
		for d, e := range []float64{0.2, -0.1, 0.1, -0.2, 0.1, 0} {
			b.checks(int64(d+1), "A", e)
			b.checks(int64(d+1), "B", -e)
		}
	}
	calibrated := func(b *bench, bias string, points ...shop.PointV2) {
		b.put(entry.Calibrated, "A", 1, shop.CalibratedV2{CalibratedV1: shop.CalibratedV1{Gauge: "M1", Date: 1, Bias: bias, Unit: "µm", Expanded: "1", Coverage: "2"},
			AtUnit: "mm", Points: points})
	}
	for _, c := range []struct {
		name, want string
		day        int64
		make       func(b *bench)
	}{
		{"steady", "", 6, steady},
		{"one hand moved", "shifted A", 7, func(b *bench) { steady(b); b.checks(7, "A", 2); b.checks(7, "B", 0) }},
		{"both moved far", "shifted A, shifted B", 7, func(b *bench) { steady(b); b.checks(7, "A", 4); b.checks(7, "B", 4) }},
		{"two checks only, small", "", 2, func(b *bench) { b.checks(1, "A", 0); b.checks(2, "A", 1) }},
		{"two checks only, 3 µm passed", "shifted A", 2, func(b *bench) { b.checks(1, "A", 0); b.checks(2, "A", 3.1) }},
		{"as calibrated", "", 6, func(b *bench) { steady(b); calibrated(b, "0.5") }},
		{"not as calibrated", "off A, off B", 6, func(b *bench) { steady(b); calibrated(b, "8") }},
		{"curve as it reads", "", 6, func(b *bench) {
			steady(b)
			calibrated(b, "8", shop.PointV2{At: "25", Bias: "8", Expanded: "1"}, shop.PointV2{At: "50", Bias: "0", Expanded: "1"})
		}},
		{"outside the curve", "beyond ", 6, func(b *bench) {
			steady(b)
			calibrated(b, "0", shop.PointV2{At: "0", Bias: "0", Expanded: "1"}, shop.PointV2{At: "25", Bias: "0", Expanded: "1"})
		}},
	} {
		b := open(t)
		c.make(b)
		if got := alerts(b.session(c.day)); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

// Law: an alert is put into numbers that a person reads: micrometres for what a
// gauge is off, millimetres for where it was read.
func TestSay(t *testing.T) {
	s := gauge.Session{Unit: "mm"}
	for _, c := range []struct {
		a    gauge.Alert
		want string
	}{{gauge.Alert{Kind: gauge.Shifted, Person: "A", Value: -2.333e-6, Doubt: 2e-6}, "gauge.shifted A -2.33 µm 2.00 µm"},
		{gauge.Alert{Kind: gauge.Beyond, Value: 50.002e-3}, "gauge.beyond  50.002 mm 0.00 µm"}} {
		say := s.Say(c.a)
		if got := strings.Join([]string{say.Key, say.Args["person"], say.Args["value"], say.Args["doubt"]}, " "); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}

// invented is the demonstration's engine with everything measured.
func invented(t testing.TB) (assess.Knowledge, *job.State, []entry.Row) {
	t.Helper()
	lib := knowledge(t)
	tr, faults := demo.Load("2026-014", read(t, "demo/2026-014.yaml"), "shop.yaml", read(t, "demo/shop.yaml"))
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	var l *family.Layout
	if l, faults = lib.Family(tr.Family, read(t, "family/"+tr.Family+".yaml")); len(faults) > 0 {
		t.Fatal(faults)
	}
	m, faults := demo.Make(tr, l, lib, 1, nil)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	chain := func(es []entry.Entry) []entry.Row {
		rows := make([]entry.Row, len(es))
		for i := range es {
			rows[i] = entry.Row{Entry: es[i], Seq: int64(i) + 1}
		}
		return rows
	}
	return assess.Knowledge{Library: lib, Layout: l}, job.Replay(chain(m.Job)), chain(m.Shop)
}

// Law: what leaned on a gauge is what was read with it or set on it, and what
// follows from that; outside the time asked for nothing did. A calibration that
// says the gauge was far off changes verdicts among those and no others.
func TestLeanedAndChanges(t *testing.T) {
	k, j, rows := invented(t)
	before := assess.Facts{Job: j, Shop: shop.Replay(rows)}
	a, err := assess.Evaluate(k, before, assess.Plan{})
	if err != nil {
		t.Fatal(err)
	}
	const id = "mic-75-100"
	leaned := map[string]bool{}
	direct, derived := 0, 0
	for _, l := range gauge.Leaned(a, id, 0, 0) {
		leaned[l.Position+" "+l.State] = true
		v, _ := a.Find(l.Position, l.State)
		if v.Derived {
			derived++
		} else if direct++; v.Readings[0].Gauge != id && v.Readings[0].Master != id {
			t.Errorf("%s was read with %s set on %q", l.Position, v.Readings[0].Gauge, v.Readings[0].Master)
		}
		if l.Part <= 0 || l.Part > 1 || l.Verdict != v.Verdict {
			t.Errorf("%+v", l)
		}
	}
	if direct == 0 || derived == 0 {
		t.Fatalf("%d read, %d worked out", direct, derived)
	}
	// Nothing that was read with the gauge and judged is left out.
	for i := range a.Values {
		v := &a.Values[i]
		if len(v.Readings) > 0 && v.Readings[0].Gauge == id && v.Verdict != "" && v.Has && !leaned[v.Position+" "+v.State] {
			t.Errorf("%s was read with %s and is not listed", v.Position, id)
		}
	}
	first, last := j.Readings[0].Time, j.Readings[0].Time
	for i := range j.Readings {
		first, last = min(first, j.Readings[i].Time), max(last, j.Readings[i].Time)
	}
	second := int64(time.Second / time.Microsecond)
	if n := len(gauge.Leaned(a, id, first, last)); n != len(leaned) {
		t.Errorf("in the time of the job: %d, at any time: %d", n, len(leaned))
	}
	if n := len(gauge.Leaned(a, id, last+second, 0)) + len(gauge.Leaned(a, id, 0, first-second)); n != 0 {
		t.Errorf("outside the time of the job: %d", n)
	}
	// The bearing bores were read with a gauge set on the micrometer of their
	// journals: in what is worked out from both, its error is gone.
	for _, l := range gauge.Leaned(a, "mic-50-75", 0, 0) {
		if v, _ := a.Find(l.Position, l.State); v.Derived {
			t.Errorf("%s does not lean on mic-50-75: it cancels", l.Position)
		}
	}
	if n := len(gauge.Leaned(a, "nothing", 0, 0)); n != 0 {
		t.Errorf("on a gauge that is not there: %d", n)
	}

	same, moved, err := gauge.Changes(k, before, before, assess.Plan{})
	if err != nil || len(same) != 0 || moved != 0 {
		t.Errorf("the same facts: %v, %d, %v", same, moved, err)
	}
	b := &bench{t: t, rows: rows}
	b.put(entry.Calibrated, "x", first, shop.CalibratedV1{Gauge: id, Date: first - 1, Bias: "40", Unit: "µm", Expanded: "1.2", Coverage: "2"})
	after := assess.Facts{Job: j, Shop: shop.Replay(b.rows)}
	changes, _, err := gauge.Changes(k, before, after, assess.Plan{})
	if err != nil || len(changes) == 0 {
		t.Fatalf("40 µm off: %v, %v", changes, err)
	}
	for _, c := range changes {
		if !leaned[c.Position+" "+c.State] {
			t.Errorf("%+v changed and did not lean on the gauge", c)
		}
		if c.Before == c.After {
			t.Errorf("%+v", c)
		}
	}
}
