package cycle

import (
	"encoding/json"
	"flag"
	"math"
	"os"
	"syscall"
	"testing"
	"time"
)

var peers = flag.String("peers", "", "file to write what make bench-peers holds against scipy")

// TestPeers writes a cycle and its times for make bench-peers. It checks nothing
// by itself and only runs where a file is named.
func TestPeers(t *testing.T) {
	if *peers == "" {
		t.Skip("for scripts/bench-peers.sh")
	}
	s := invented(t).filled()
	fine := must(Run(s, Options{Step: 1. / 16, Tolerance: 1e-10}))(t)
	type run struct{ Step, IMEP, Off, CPU, Wall float64 }
	var runs []run
	for _, step := range []float64{4, 3, 2, 1} {
		r := run{Step: step, CPU: math.Inf(1), Wall: math.Inf(1)}
		for range 30 {
			const n = 20
			start, busy := time.Now(), spent(t)
			for range n {
				r.IMEP = must(Run(s, Options{Step: step, Tolerance: 1e-4}))(t).IMEP
			}
			r.Wall, r.CPU = min(r.Wall, time.Since(start).Seconds()/n), min(r.CPU, (spent(t)-busy).Seconds()/n)
		}
		r.Off = r.IMEP/fine.IMEP - 1
		runs = append(runs, r)
	}
	gas := func(g Gas) map[string]any {
		return map[string]any{"R": g.r, "low": g.low.c, "high": g.high.c, "lowK": g.low.k, "highK": g.high.k}
	}
	fresh, burnt, err := s.Fuel.Charge(s.Lambda)
	if err != nil {
		t.Fatal(err)
	}
	valve := func(v Valves, most float64) map[string]any {
		return map[string]any{"n": v.Count, "D": v.Diameter, "Cd": v.Discharge, "opens": v.Opens, "closes": v.Closes, "lift": most}
	}
	c := cylinder(t)
	b, err := json.Marshal(map[string]any{"imep": fine.IMEP, "peak": fine.Peak, "residual": fine.Residual, "runs": runs, "fresh": gas(fresh), "burnt": gas(burnt),
		"throw": c.Radius(), "rod": c.Rod(), "bore": s.Bore, "clearance": c.Clearance(), "speed": s.Speed, "inlet": valve(s.Inlet, 0.0105), "exhaust": valve(s.Exhaust, 0.0098),
		"p": s.Pressure, "T": s.Temperature, "back": s.Back, "start": s.Burn.Start, "duration": s.Burn.Duration, "a": s.Burn.A, "m": s.Burn.M,
		"piston": s.Walls.Piston, "head": s.Walls.Head, "liner": s.Walls.Liner, "headArea": s.Walls.HeadArea})
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(*peers, b, 0o644); err != nil {
		t.Fatal(err)
	}
}

// spent is the time that this program has kept cores busy.
func spent(t *testing.T) time.Duration {
	t.Helper()
	var r syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &r); err != nil {
		t.Fatal(err)
	}
	return time.Duration(r.Utime.Nano() + r.Stime.Nano())
}
