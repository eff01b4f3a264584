package film

import (
	"encoding/json"
	"flag"
	"math"
	"os"
	"path/filepath"
	"syscall"
	"testing"
)

var peers = flag.String("peers", "", "write the cases of scripts/peers/film.py, with figures and times, into this folder")

// TestPeers writes a state of the reference, a chart and a load, what this room
// makes of them and how long it took, for the same work in numpy and scipy.
func TestPeers(t *testing.T) {
	if *peers == "" {
		t.Skip("only for make bench-peers")
	}
	cpu := func() float64 { // of the process: other work shares the machine
		var u syscall.Rusage
		if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
			t.Fatal(err)
		}
		return float64(u.Utime.Sec+u.Stime.Sec) + float64(u.Utime.Usec+u.Stime.Usec)/1e6
	}
	took := func(times, each int, f func()) float64 {
		best := math.Inf(1)
		for range times {
			start := cpu()
			for range each {
				f()
			}
			best = math.Min(best, (cpu()-start)/float64(each))
		}
		return best
	}
	var v Solver
	m := Mesh{Around: 120, Across: 12, Even: true}
	var s Steady
	var err error
	reynolds := took(5, 100, func() { s, err = v.Steady(0.5, 0.8, m) })
	if err != nil {
		t.Fatal(err)
	}
	v.lay(State{Ratio: 0.5, Eps: 0.8, Beta: -math.Pi / 2, Feed: Feed{Widest: true}}, m)
	v.start.solve(&v.mesh, 0.5, true)
	start := make([]bool, m.Around)
	for i := range start {
		start[i] = v.start.a[i] > 0
	}

	c := bigEndCase(t, 0)
	var o Orbit
	single := took(5, 100, func() { o, err = Run(c) })
	if err != nil {
		t.Fatal(err)
	}
	// the steps at which our error in least film is that of solve_ivp
	wide := bigEndCase(t, 180)
	var w Orbit
	equal := took(5, 100, func() { w, err = Run(wide) })
	if err != nil {
		t.Fatal(err)
	}
	best, err := Run(bigEndCase(t, 5760))
	if err != nil {
		t.Fatal(err)
	}
	var cases []Case
	for i := range 1000 {
		d := c
		d.Clearance = (20 + 0.01*float64(i)) * 1e-6
		cases = append(cases, d)
	}
	var many []Ran
	batch := took(7, 1, func() { many = Runs(cases, 1) })
	var gaps, losses, sides, peaks []float64
	for _, r := range many {
		gaps, losses = append(gaps, r.Gap), append(losses, r.Loss)
		sides, peaks = append(sides, r.Side), append(peaks, r.Peak)
	}
	var load [][4]float64
	for _, p := range c.Load.at {
		load = append(load, [4]float64{p.fx, p.fy, p.f, p.w})
	}
	ch := c.Shell.chart
	b, err := json.Marshal(map[string]any{
		"reynolds": map[string]any{"ratio": 0.5, "eps": 0.8, "around": m.Around, "across": m.Across, "wet": start, "S": s.Sommerfeld, "solves": s.Solves, "seconds": reynolds},
		"chart":    map[string]any{"ratio": ch.Ratio, "nu": ch.nu, "ns": ch.ns, "ab": ch.ab, "cq": ch.cq, "least": leastU},
		"orbit": map[string]any{"load": load, "period": c.Load.Period, "diameter": c.Shell.spec.Diameter, "length": c.Shell.spec.Length, "clearance": c.Clearance, "viscosity": c.Viscosity,
			"heavy": c.Load.heavy, "gap": o.Gap, "loss": o.Loss, "seconds": single, "equal": equal, "equal_gap": w.Gap, "best": best.Gap, "batch": gaps, "losses": losses, "sides": sides, "peaks": peaks, "batch_seconds": batch},
	})
	if err != nil {
		t.Fatal(err)
	}
	if err := os.MkdirAll(*peers, 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(*peers, "film.json"), b, 0o644); err != nil {
		t.Fatal(err)
	}
}
