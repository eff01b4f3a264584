package model

import (
	"math"
	"testing"
)

// Law: the gas of a demonstration does on the crank the work that it does on the
// piston, and peaks after firing dead centre; more charge gives more of it and
// comes nearer to knock.
func TestGasOfTheDemo(t *testing.T) {
	r, d, _ := rigged(t, "2026-014", nil)
	g, err := r.Gas(d.Speed, 1e5)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("IMEP %.2f bar, peak %.1f bar at %.1f°, filling %.3f, residual %.3f, efficiency %.3f, ratio %.2f", g.IMEP/1e5, g.Peak/1e5, g.PeakAt*180/math.Pi, g.Filling, g.Residual, g.Efficiency, g.Ratio)
	if g.IMEP < 8e5 || g.IMEP > 16e5 || g.Peak < 50e5 || g.Peak > 110e5 || g.PeakAt <= 0 || g.PeakAt > 30*math.Pi/180 {
		t.Error("this is no petrol engine at full load")
	}
	d.Gas = g.Gauge
	l, err := r.Loads(d)
	if err != nil {
		t.Fatal(err)
	}
	mean := 0.0
	for _, m := range l.Histories.Torque {
		mean += m / points
	}
	swept := r.Layout.Family.Engine.Bore.SI()
	swept = math.Pi / 4 * swept * swept * r.tables[0].Mechanism().Stroke() * float64(len(r.Cylinders))
	if want := g.IMEP * swept / (4 * math.Pi); math.Abs(mean/want-1) > 1e-3 {
		t.Errorf("mean torque %.2f N·m, the gas gives %.2f", mean, want)
	}
	more, err := r.Gas(d.Speed, 1.5e5)
	if err != nil {
		t.Fatal(err)
	}
	if m := more.Knock.Against(g.Knock); more.IMEP <= g.IMEP || m.Ratio <= 1 || m.Octane >= 0 {
		t.Errorf("half as much charge again: IMEP %v of %v, %+v", more.IMEP, g.IMEP, m)
	}
}
