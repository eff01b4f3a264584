package shop

import (
	"math"
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
		reflect.TypeFor[CalibratedV2]():  entry.Calibrated,
		reflect.TypeFor[MasterCheckV1](): entry.MasterCheck,
		reflect.TypeFor[WithdrawalV1]():  entry.Withdrawal,
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
		if _, second := p.(CalibratedV2); second {
			e.Version = 2
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
	got := []any{s.People["p-1"], g.GaugeV1, g.Calibrations[0].CalibratedV1, s.Checks[0].MasterCheckV1}
	if d := cmp.Diff(full(), got); d != "" {
		t.Error(d)
	}
	c := g.Calibrations[0]
	if k := s.Checks[0]; k.Person != "p-1" || k.Time != 4 || k.TrueQ.N != 83_000_000_000 || k.ReadQ.N != 83_001_000_000 || k.Key != all[3].Key.String() {
		t.Errorf("check %+v", k)
	}
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
		"check without a number":     MasterCheckV1{Gauge: "g-1", Master: "g-2", True: "83.000", Read: "", Unit: "mm"},
		"check of two kinds":         MasterCheckV1{Gauge: "g-1", Master: "g-2", True: "83.000", Read: "1 g", Unit: "mm"},
		"check with no gauge":        MasterCheckV1{Master: "g-2", True: "83.000", Read: "83.001", Unit: "mm"},
		"curve of another kind":      curved(cal, "°C", PointV2{"25", "0.1", "1"}),
		"curve without a number":     curved(cal, "mm", PointV2{"25", "", "1"}),
		"curve with a negative U":    curved(cal, "mm", PointV2{"25", "0.1", "-1"}),
		"two points at one size":     curved(cal, "mm", PointV2{"25", "0.1", "1"}, PointV2{"25.0", "0.2", "1"}),
		"digest that is none":        CalibratedV2{CalibratedV1: cal, File: "abc"},
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
		list = append(list, curved(full()[2].(CalibratedV1), "mm", PointV2{"25", "0.1", "1"}))
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

func curved(c CalibratedV1, at string, points ...PointV2) CalibratedV2 {
	return CalibratedV2{CalibratedV1: c, AtUnit: at, Points: points}
}

// Law: a calibration of the second form comes back with its curve in order and
// its file; one of the first form stays as it was.
func TestCurveRoundTrip(t *testing.T) {
	file := "00112233445566778899aabbccddeeff00112233445566778899aabbccddeeff"
	cal := full()[2].(CalibratedV1)
	second := curved(cal, "mm", PointV2{"75", "0.3", "1.0"}, PointV2{"50", "0.1", "0.8"}, PointV2{"62.5", "1.1", "0.9"})
	second.Date, second.File = 20, file
	s := Replay(rows(t, append(full(), second)...))
	got := s.Gauges["g-1"].Calibrations
	if s.Odd != 0 || len(got) != 2 || len(got[0].Points) != 0 || got[0].File != "" {
		t.Fatalf("odd %d, %+v", s.Odd, got)
	}
	c := got[1]
	at := []string{}
	for _, p := range c.Points {
		at = append(at, p.At.String()+" "+p.Bias.String()+" "+p.Expanded.String())
	}
	want := []string{"50 mm 0.1 µm 0.8 µm", "62.5 mm 1.1 µm 0.9 µm", "75 mm 0.3 µm 1.0 µm"}
	if d := cmp.Diff(want, at); d != "" || c.File != file || c.Seq != 5 || c.BiasQ.N != -500_000 {
		t.Errorf("%s%+v", d, c)
	}
	if u := c.Widest(); u != c.Points[2].Expanded.SI() {
		t.Errorf("widest %v", u)
	}
	if u := got[0].Widest(); u != got[0].ExpandedQ.SI() {
		t.Errorf("widest of the first form %v", u)
	}
}

// Law: a curve goes through its points, straight between them, level outside;
// a reading far outside is told from one just outside.
func TestBiasAt(t *testing.T) {
	cal := CalibratedV1{Gauge: "g-1", Date: 10, Bias: "9", Unit: "µm", Expanded: "9", Coverage: "2"}
	one := func(c any) Calibration {
		s := Replay(rows(t, GaugeV1{Gauge: "g-1"}, c))
		if s.Odd != 0 {
			t.Fatalf("%+v not understood", c)
		}
		return s.Gauges["g-1"].Calibrations[0]
	}
	curve := one(curved(cal, "mm", PointV2{"50", "0", "1"}, PointV2{"60", "2", "1"}, PointV2{"75", "-1", "4"}))
	ring := one(curved(cal, "mm", PointV2{"83", "-1.3", "0.6"}))
	flat := one(cal)
	for _, c := range []struct {
		of      *Calibration
		x, b, u float64 // mm, µm, µm
		beyond  bool
	}{
		{&curve, 50, 0, 1, false}, {&curve, 55, 1, 1, false}, {&curve, 60, 2, 1, false}, {&curve, 65, 1, 2, false}, {&curve, 75, -1, 4, false},
		{&curve, 48, 0, 1, false}, {&curve, 77.4, -1, 4, false}, {&curve, 47.4, 0, 1, true}, {&curve, 77.6, -1, 4, true},
		{&ring, 83, -1.3, 0.6, false}, {&ring, 91, -1.3, 0.6, false}, {&ring, 92, -1.3, 0.6, true}, {&ring, 74, -1.3, 0.6, true},
		{&flat, 1, 9, 9, false}, {&flat, 1e6, 9, 9, false},
	} {
		b, u, beyond := c.of.BiasAt(c.x * 1e-3)
		// 1 pm: what is left of the numbers above in floating point.
		if math.Abs(b-c.b*1e-6) > 1e-12 || math.Abs(u-c.u*1e-6) > 1e-12 || beyond != c.beyond {
			t.Errorf("at %v mm: %v, %v, %v; want %v µm, %v µm, %v", c.x, b, u, beyond, c.b, c.u, c.beyond)
		}
	}
}

// Law: a study holds the checks of one gauge on one master, oldest first; the
// master used last stands first.
func TestStudy(t *testing.T) {
	check := func(gauge, master, read string) MasterCheckV1 {
		return MasterCheckV1{Gauge: gauge, Master: master, True: "83", Read: read, Unit: "mm"}
	}
	s := Replay(rows(t, check("g-1", "m-1", "83.001"), check("g-2", "m-1", "83.002"), check("g-1", "m-2", "83.003"), check("g-1", "m-1", "83.004")))
	var got []string
	for _, st := range s.Study("g-1") {
		for _, c := range st.Checks {
			got = append(got, st.Master+" "+c.Read)
		}
	}
	if d := cmp.Diff([]string{"m-1 83.001", "m-1 83.004", "m-2 83.003"}, got); d != "" {
		t.Error(d)
	}
	if e := s.Checks[0].Error(); math.Abs(e-1e-6) > 1e-15 {
		t.Errorf("error %v", e)
	}
	for time, want := range map[int64]int64{0: 0, 86_400_000_000 - 1: 0, 86_400_000_000: 1, -1: -1} {
		if d := Day(time); d != want {
			t.Errorf("day of %d: %d, want %d", time, d, want)
		}
	}
}
