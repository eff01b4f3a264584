package bench

import (
	"context"
	"testing"

	"fettle/internal/facts/entry"
	"fettle/internal/facts/shop"
)

// Law: before a calibration is withdrawn its page can tell which verdicts leaned
// on it and what changes; withdrawn once, everything is as if it had never been
// entered, and the log holds it all. Synthetic.
func TestUnsay(t *testing.T) {
	b, st := open(t)
	ctx := context.Background()
	own(t, b, 300, shop.GaugeV1{Gauge: "mic", Type: "micrometer", Serial: "4711"})
	if _, err := b.RecordReading(ctx, reading(301, "89.010")); err != nil {
		t.Fatal(err)
	}
	value := func() (string, string) {
		j, err := b.Judge(ctx, "j-1")
		if err != nil {
			t.Fatal(err)
		}
		v, ok := j.Assessment.Find(reading(301, "").Position, "found")
		if !ok {
			t.Fatal("no value")
		}
		return v.Y, v.U
	}
	y, u := value()
	d, err := b.RecordCalibration(ctx, Calibration{Gauge: "mic", Date: "2026-01-02", Bias: "300", Expanded: "1.4", Unit: "µm", Coverage: "2", Person: "p-1", Key: key(302)})
	if err != nil {
		t.Fatal(err)
	}
	if got, _ := value(); got == y {
		t.Fatal("the calibration moved nothing")
	}
	in := Unsaying{Gauge: "mic", Target: key(302).String(), Device: "test", Key: key(303)}
	o, err := b.OfferUnsaying(ctx, in)
	if err != nil || o.Calibration == nil || o.Check != nil {
		t.Fatalf("%+v, %v", o, err)
	}
	if o.Verdicts() == 0 || len(o.Reopened) != 1 || len(o.Reopened[0].Changes)+o.Reopened[0].Moved == 0 {
		t.Errorf("leaned %d, reopened %+v", o.Verdicts(), o.Reopened)
	}
	if h, _ := st.Head(ctx, entry.ShopStream); h.Seq != d.Seq {
		t.Error("an offer was stored")
	}
	for _, c := range []struct {
		field, key string
		change     func(*Unsaying)
	}{
		{"reason", "bench.no-shop-reason", func(in *Unsaying) { in.Reason = " " }},
		{"person", "bench.unknown-person", func(in *Unsaying) { in.Person = "p-9" }},
		{"gauge", "bench.unknown-gauge", func(in *Unsaying) { in.Gauge = "nobody" }},
		{"target", "bench.no-shop-entry", func(in *Unsaying) { in.Target = key(300).String() }},
		{"target", "bench.no-shop-entry", func(in *Unsaying) { in.Gauge = "bore" }},
	} {
		bad := in
		bad.Reason, bad.Person = "read from the wrong line", "p-1"
		c.change(&bad)
		if _, err := b.Unsay(ctx, bad); keysOf(err)[c.field] != c.key {
			t.Errorf("%s %s: %v", c.field, c.key, err)
		}
	}
	in.Reason, in.Person = "read from the wrong line", "p-1"
	done, err := b.Unsay(ctx, in)
	if err != nil || done.Again || done.Seq != d.Seq+1 {
		t.Fatalf("%+v, %v", done, err)
	}
	if again, err := b.Unsay(ctx, in); err != nil || !again.Again || again.Receipt != done.Receipt {
		t.Errorf("again %+v, %v", again, err)
	}
	if gy, gu := value(); gy != y || gu != u {
		t.Errorf("%s ± %s, before the calibration %s ± %s", gy, gu, y, u)
	}
	other := in
	other.Key = key(304)
	if _, err := b.Unsay(ctx, other); keysOf(err)["target"] != "bench.unsaid" {
		t.Errorf("withdrawn twice: %v", err)
	}
	sh, _ := b.Shop(ctx)
	if sh.Odd != 0 || len(sh.Gauges["mic"].Calibrations) != 1 || sh.Gauges["mic"].Calibrations[0].Void == nil {
		t.Errorf("odd %d, %+v", sh.Odd, sh.Gauges["mic"])
	}
}

// Law: a certificate that was withdrawn can be taken in anew.
func TestUnsayCertificate(t *testing.T) {
	b, _ := open(t)
	ctx := context.Background()
	own(t, b, 300, shop.GaugeV1{Gauge: "mic", Type: "micrometer", Serial: "4711"})
	in := Certificate{Gauge: "mic", Name: micrometer, File: sample(t, micrometer), Person: "p-1", Device: "test"}
	var last int64
	for round := range 3 {
		d, err := b.Calibrate(ctx, in)
		if err != nil || d.Again || d.Seq <= last {
			t.Fatalf("round %d: %+v, %v", round, d.Receipt, err)
		}
		last = d.Seq
		sh, _ := b.Shop(ctx)
		c := sh.Gauges["mic"].Calibrations[round]
		if c.Void != nil {
			t.Fatalf("round %d: it came back withdrawn", round)
		}
		u := Unsaying{Gauge: "mic", Target: c.Key, Reason: "wrong gauge", Person: "p-1", Device: "test", Key: UnsayingKey("mic", c.Key)}
		if _, err := b.Unsay(ctx, u); err != nil {
			t.Fatal(err)
		}
	}
}

// Law: a check that was withdrawn leaves its day as if it had not been read.
func TestUnsayCheck(t *testing.T) {
	b, _ := open(t)
	ctx := context.Background()
	own(t, b, 300, shop.GaugeV1{Gauge: "rod", Type: "setting-master"})
	check := func(n int, read string) Checked {
		d, err := b.RecordCheck(ctx, Check{Gauge: "mic", Master: "rod", True: "75.000", Read: read, Unit: "mm", Person: "p-1", Device: "test", Key: key(n)})
		if err != nil {
			t.Fatal(err)
		}
		return d
	}
	want := check(301, "75.002").Session
	check(302, "75.900")
	o, err := b.OfferUnsaying(ctx, Unsaying{Gauge: "mic", Target: key(302).String(), Key: key(303)})
	if err != nil || o.Check == nil || o.Verdicts() != 0 || len(o.Reopened) != 0 {
		t.Fatalf("%+v, %v", o, err)
	}
	if _, err := b.Unsay(ctx, Unsaying{Gauge: "mic", Target: key(302).String(), Reason: "slipped", Person: "p-1", Device: "test", Key: key(303)}); err != nil {
		t.Fatal(err)
	}
	g, err := b.Gauge(ctx, "mic")
	if err != nil || len(g.Sessions) != 1 || g.Sessions[0].Checks != want.Checks || g.Sessions[0].Hands[0].Bias != want.Hands[0].Bias {
		t.Errorf("%+v, %v", g.Sessions, err)
	}
}

// Law: a gauge is added once, changed only on purpose, and never to another kind
// of quantity.
func TestAddGauge(t *testing.T) {
	b, st := open(t)
	ctx := context.Background()
	in := Adding{GaugeV1: shop.GaugeV1{Gauge: "m-9", Type: "micrometer", Serial: " 12 ", Master: "mic"}, Person: "p-1", Device: "test"}
	d, err := b.AddGauge(ctx, in)
	if err != nil || d.Again || d.Gauge.Serial != "12" {
		t.Fatalf("%+v, %v", d, err)
	}
	if again, err := b.AddGauge(ctx, in); err != nil || !again.Again {
		t.Errorf("%+v, %v", again, err)
	}
	head, _ := st.Head(ctx, entry.ShopStream)
	for _, c := range []struct {
		field, key string
		change     func(*Adding)
	}{
		{"gauge", "bench.gauge-exists", func(a *Adding) { a.Serial = "13" }},
		{"gauge", "readings.bad-id", func(a *Adding) { a.Gauge = "m 9" }},
		{"gauge", "bench.unknown-gauge", func(a *Adding) { a.Gauge, a.Change = "m-10", true }},
		{"type", "readings.unknown-instrument", func(a *Adding) { a.Type = "wood" }},
		{"type", "bench.other-quantity", func(a *Adding) { a.Type, a.Master, a.Change = "balance", "", true }},
		{"master", "bench.own-master", func(a *Adding) { a.Master, a.Change = "m-9", true }},
		{"master", "bench.unknown-master", func(a *Adding) { a.Master, a.Change = "nobody", true }},
		{"person", "bench.unknown-person", func(a *Adding) { a.Serial, a.Change, a.Person = "13", true, "p-9" }},
	} {
		bad := in
		c.change(&bad)
		if _, err := b.AddGauge(ctx, bad); keysOf(err)[c.field] != c.key {
			t.Errorf("%s %s: %v", c.field, c.key, err)
		}
	}
	if now, _ := st.Head(ctx, entry.ShopStream); now != head {
		t.Error("something was stored")
	}
	in.Serial, in.Change = "13", true
	if d, err := b.AddGauge(ctx, in); err != nil || d.Again {
		t.Errorf("%+v, %v", d, err)
	}
	if sh, _ := b.Shop(ctx); sh.Gauges["m-9"].Serial != "13" {
		t.Errorf("%+v", sh.Gauges["m-9"])
	}
}
