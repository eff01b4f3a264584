package shop

import (
	"reflect"
	"testing"

	"github.com/google/go-cmp/cmp"

	"fettle/internal/facts/entry"
)

// rows makes a shop stream; everything in these tests is synthetic.
func rows(t testing.TB, payloads ...any) []entry.Row {
	t.Helper()
	kinds := map[reflect.Type]entry.Kind{
		reflect.TypeFor[PersonV1]():      entry.PersonKnown,
		reflect.TypeFor[GaugeV1]():       entry.GaugeKnown,
		reflect.TypeFor[CalibratedV1]():  entry.Calibrated,
		reflect.TypeFor[MasterCheckV1](): entry.MasterCheck,
	}
	var out []entry.Row
	var prev entry.Hash
	for i, p := range payloads {
		kind, ok := kinds[reflect.TypeOf(p)]
		if !ok {
			kind = entry.Lot
		}
		e, err := entry.New(entry.ShopStream, entry.Key{15: byte(i + 1)}, kind, "p-1", "office", int64(i+1), p)
		if err != nil {
			t.Fatal(err)
		}
		if err := e.Check(); err != nil {
			t.Fatal(err)
		}
		r := entry.Row{Entry: e, Seq: int64(i + 1), Received: int64(i + 1), Prev: prev}
		r.Hash = r.Digest()
		prev = r.Hash
		out = append(out, r)
	}
	return out
}

func full() []any {
	return []any{
		PersonV1{Person: "p-1", Initials: "AB", Role: "machinist"},
		GaugeV1{Gauge: "g-1", Type: "bore-gauge", Serial: "123", Master: "g-2", Note: "n"},
		CalibratedV1{Gauge: "g-1", Date: 10, Due: 20, Bias: "-0.5", Unit: "µm", Expanded: "1.2", Coverage: "2", Certificate: "c"},
		MasterCheckV1{Gauge: "g-1", Master: "g-2", True: "83.000", Read: "83.001", Unit: "mm"},
	}
}

// Law: each payload comes back from its canonical bytes and stands in the state.
func TestPayloadsRoundTrip(t *testing.T) {
	for _, p := range full() {
		v := reflect.ValueOf(p)
		for i := range v.NumField() {
			if v.Field(i).IsZero() {
				t.Errorf("%T: the test leaves %s empty", p, v.Type().Field(i).Name)
			}
		}
	}
	all := rows(t, full()...)
	s := Replay(all)
	g := s.Gauges["g-1"]
	if g == nil || len(g.Calibrations) != 1 {
		t.Fatalf("gauge %+v", g)
	}
	got := []any{s.People["p-1"], g.GaugeV1, g.Calibrations[0].CalibratedV1, s.Checks[0]}
	if d := cmp.Diff(full(), got); d != "" {
		t.Error(d)
	}
	c := g.Calibrations[0]
	if c.BiasQ.N != -500_000 || c.ExpandedQ.N != 1_200_000 || c.K != 2 || s.Odd != 0 || s.Seq != 4 || s.Head != all[3].Hash {
		t.Errorf("%+v, odd %d, head %s at %d", c, s.Odd, s.Head.Short(), s.Seq)
	}
}

// Law: what is not understood is counted and changes nothing else.
func TestNotUnderstood(t *testing.T) {
	type m = map[string]any
	cal := full()[2].(CalibratedV1)
	change := func(f func(*CalibratedV1)) CalibratedV1 { c := cal; f(&c); return c }
	for name, p := range map[string]any{
		"a reserved kind":            m{"lot": "1"},
		"a person without an id":     PersonV1{Initials: "AB"},
		"a gauge without an id":      GaugeV1{Type: "bore-gauge"},
		"calibration of no gauge":    change(func(c *CalibratedV1) { c.Gauge = "g-9" }),
		"bias no number":             change(func(c *CalibratedV1) { c.Bias = "0,5" }),
		"no unit":                    change(func(c *CalibratedV1) { c.Unit = "" }),
		"negative uncertainty":       change(func(c *CalibratedV1) { c.Expanded = "-1" }),
		"coverage factor of nothing": change(func(c *CalibratedV1) { c.Coverage = "0" }),
	} {
		all := rows(t, append(full(), p)...)
		before, after := Replay(all[:4]), Replay(all)
		if after.Odd != 1 || after.Head != all[4].Hash || after.Seq != 5 {
			t.Errorf("%s: odd %d, head %s at %d", name, after.Odd, after.Head.Short(), after.Seq)
		}
		after.Odd, after.Head, after.Seq = before.Odd, before.Head, before.Seq
		if d := cmp.Diff(before, after); d != "" {
			t.Errorf("%s: %s", name, d)
		}
	}
	later := rows(t, full()[0])
	later[0].Version = 2
	if s := Replay(later); s.Odd != 1 || len(s.People) != 0 {
		t.Errorf("a later version: %+v", s)
	}
}

// Law: a calibration holds from its date to the next one, whatever order they
// were entered in; of two on one date the later entry holds.
func TestCalibrationInForce(t *testing.T) {
	cal := func(date int64, bias string) CalibratedV1 {
		return CalibratedV1{Gauge: "g-1", Date: date, Bias: bias, Unit: "µm", Expanded: "1", Coverage: "2"}
	}
	s := Replay(rows(t, GaugeV1{Gauge: "g-1"}, cal(30, "3"), cal(10, "1"), cal(20, "2"), cal(20, "2.5")))
	for time, want := range map[int64]string{9: "", 10: "1", 19: "1", 20: "2.5", 29: "2.5", 30: "3", 1000: "3"} {
		c, ok := s.Gauges["g-1"].At(time)
		if ok != (want != "") || c.Bias != want {
			t.Errorf("at %d: %q, %v; want %q", time, c.Bias, ok, want)
		}
	}
	named := Replay(rows(t, GaugeV1{Gauge: "g-1", Note: "a"}, cal(10, "1"), GaugeV1{Gauge: "g-1", Note: "b"}))
	if g := named.Gauges["g-1"]; g.Note != "b" || len(g.Calibrations) != 1 {
		t.Errorf("a gauge named anew: %+v", g)
	}
}

// Law: a calibration whose doubt is of another kind than its bias is not
// understood.
func TestCalibrationOfTwoKinds(t *testing.T) {
	s := Replay(rows(t, GaugeV1{Gauge: "g-1"}, CalibratedV1{Gauge: "g-1", Date: 1, Bias: "1", Unit: "µm", Expanded: "1 g", Coverage: "2"}))
	if s.Odd != 1 || len(s.Gauges["g-1"].Calibrations) != 0 {
		t.Errorf("odd %d, %+v", s.Odd, s.Gauges["g-1"])
	}
}

// Law: With, row by row and on every split, gives what Replay of the whole
// gives, and leaves the states before it as they were.
func TestWithIsReplay(t *testing.T) {
	second := full()
	second[0] = PersonV1{Person: "p-1", Initials: "AC"}
	second[1] = GaugeV1{Gauge: "g-1", Type: "micrometer"}
	list := append(append(full(), second...), map[string]string{"lot": "1"})
	for _, date := range []int64{40, 50, 30, 5, 1} { // each must find its place among those of an earlier state
		list = append(list, CalibratedV1{Gauge: "g-1", Date: date, Bias: "0", Unit: "µm", Expanded: "1", Coverage: "2"})
	}
	all := rows(t, list...)
	states := []*State{Replay(nil)}
	for i := range all {
		states = append(states, states[i].With(all[i:i+1]))
	}
	for i, s := range states {
		if d := cmp.Diff(Replay(all[:i]), s); d != "" {
			t.Errorf("after %d rows: %s", i, d)
		}
		if d := cmp.Diff(Replay(all), s.With(all[i:])); d != "" {
			t.Errorf("cut at %d: %s", i, d)
		}
	}
}
