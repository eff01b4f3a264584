package bench

import (
	"context"
	"testing"

	"fettle/internal/facts/shop"
)

// Law: a typed calibration is offered without being stored; stored, it holds
// from its date, once for one key; the verdicts it would change are told before.
func TestTypedCalibration(t *testing.T) {
	b, _ := open(t)
	ctx := context.Background()
	own(t, b, 300, shop.GaugeV1{Gauge: "mic", Type: "micrometer", Serial: "4711"})
	if _, err := b.RecordReading(ctx, reading(301, "89.010")); err != nil {
		t.Fatal(err)
	}
	before, _ := b.Shop(ctx)
	in := Calibration{Gauge: "mic", Date: "2026-01-03", Due: "2027-01-03", Bias: "-4,0", Expanded: "0,0012 mm", Unit: "µm", Coverage: "2", Mark: ',',
		Certificate: " C-1 ", Person: "p-1", Device: "test", Key: key(310)}
	o, err := b.OfferTyped(ctx, in)
	if err != nil {
		t.Fatal(err)
	}
	if c := o.Calibration; c.Bias != "-4.0" || c.Expanded != "1.2" || c.Unit != "µm" || c.Coverage != "2" || c.Certificate != "C-1" {
		t.Errorf("%+v", c)
	}
	if len(o.Reopened) != 1 || o.Reopened[0].Moved+len(o.Reopened[0].Changes) == 0 {
		t.Errorf("reopened %+v", o.Reopened)
	}
	if now, _ := b.Shop(ctx); now.Head != before.Head {
		t.Error("an offer wrote to the log")
	}
	for again := range 2 {
		d, err := b.RecordCalibration(ctx, in)
		if err != nil || d.Again != (again == 1) {
			t.Fatal(d.Again, err)
		}
	}
	sh, _ := b.Shop(ctx)
	if g := sh.Gauges["mic"]; len(g.Calibrations) != 1 || g.Calibrations[0].BiasQ.SI() != -4e-6 || sh.Odd != before.Odd {
		t.Errorf("%+v, %d not understood", g.Calibrations, sh.Odd)
	}
	in.Bias = "3,0"
	if _, err := b.RecordCalibration(ctx, in); keysOf(err)[""] != "bench.other-content" {
		t.Errorf("the same key with other content: %v", err)
	}
}

// Law: every problem is told at once, with its field.
func TestTypedCalibrationRefuses(t *testing.T) {
	b, _ := open(t)
	ctx := context.Background()
	own(t, b, 300, shop.GaugeV1{Gauge: "mic", Type: "micrometer"})
	good := Calibration{Gauge: "mic", Date: "2026-01-03", Bias: "1", Expanded: "1.2", Unit: "µm", Coverage: "2", Person: "p-1", Key: key(320)}
	for _, c := range []struct {
		change     func(*Calibration)
		field, key string
	}{
		{func(c *Calibration) { c.Gauge = "lost" }, "gauge", "bench.unknown-gauge"},
		{func(c *Calibration) { c.Date = "3.1.26" }, "date", "bench.no-day"},
		{func(c *Calibration) { c.Date = "2999-01-01" }, "date", "bench.future-day"},
		{func(c *Calibration) { c.Due = "2025-01-01" }, "due", "bench.due"},
		{func(c *Calibration) { c.Bias = "" }, "bias", "bench.no-value"},
		{func(c *Calibration) { c.Unit = "°C" }, "unit", "bench.wrong-unit"},
		{func(c *Calibration) { c.Expanded = "0" }, "expanded", "bench.not-positive"},
		{func(c *Calibration) { c.Coverage = "20" }, "coverage", "bench.coverage"},
	} {
		in := good
		c.change(&in)
		_, err := b.RecordCalibration(ctx, in)
		if got := keysOf(err)[c.field]; got != c.key {
			t.Errorf("%s: %q, want %q (%v)", c.field, got, c.key, err)
		}
	}
	bad := good
	bad.Date, bad.Bias, bad.Coverage = "", "x", ""
	_, err := b.RecordCalibration(ctx, bad)
	if k := keysOf(err); k["date"] == "" || k["bias"] == "" || k["coverage"] == "" {
		t.Errorf("only %v", k)
	}
}
