package cycle

import (
	"math"
	"testing"

	"fettle/internal/physics/crank"
)

// Law: a setup is refused with a sentence, or gives numbers, and always ends.
func FuzzNumbers(f *testing.F) {
	f.Add(0.043, 0.143, 0.087, 11.0, 680.0, 1e5, 310.0, 1.05e5, 0.88, 0.43, 1.0, 0.034, 0.0105, 5.85, 10.47, 2.09, 6.72, 0.62, 95.0, 1.5)
	f.Add(0.02, 0.1, 0.2, 25.0, 20.0, 1e6, 500.0, 3e4, 3.0, -1.0, 3.0, 0.1, 0.04, 5.0, 9.0, 1.6, 8.0, 1.0, 60.0, 6.0)
	f.Add(0.3, 1.2, 0.05, 3.0, 3000.0, 1e4, 220.0, 1e6, 0.6, 1.4, 0.01, 0.002, 1e-4, 6.0, 12.0, 1.5, 7.0, 0.05, 120.0, 4.0)
	f.Fuzz(func(t *testing.T, radius, rod, bore, ratio, speed, pressure, temperature, back, lambda, start, duration, diameter, lift, in, inEnd, ex, exEnd, cd, octane, step float64) {
		sl, err := crank.NewSlider(radius, rod, 0)
		if err != nil {
			return
		}
		c, err := crank.OfRatio(sl, bore, ratio)
		if err != nil {
			return
		}
		if step < 1 { // small steps only cost time
			step = 1
		}
		s := Setup{Volume: c.Volume, Bore: bore, Stroke: 2 * radius, Speed: speed, Pressure: pressure, Temperature: temperature, Back: back, Fuel: Petrol(), Lambda: lambda,
			Inlet:   Valves{Count: 2, Diameter: diameter, Discharge: cd, Opens: in, Closes: inEnd, Lift: Lobe(in, inEnd, lift)},
			Exhaust: Valves{Count: 1, Diameter: diameter, Discharge: cd, Opens: ex, Closes: exEnd, Lift: Lobe(ex, exEnd, lift)},
			Burn:    Burn{Start: start, Duration: duration}, Walls: Walls{Piston: 500, Head: 450, Liner: 420}}
		r, err := Run(s, Options{Step: step, Tolerance: 1e-5})
		if err != nil {
			return
		}
		for i, v := range []float64{r.IMEP, r.Pumping, r.Work, r.Heat, r.Fuel, r.Efficiency, r.Trapped, r.Residual, r.Filling, r.Exhaust, r.Peak, r.PeakAt, r.Hottest, r.Closure, r.Change} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Fatalf("figure %d is %g", i, v)
			}
		}
		out := make([]float64, 91)
		r.Pressure(out)
		for _, p := range out {
			if math.IsNaN(p) || math.IsInf(p, 0) {
				t.Fatal("pressure", p)
			}
		}
		if k, err := r.Knock(octane); err == nil {
			if m := k.Against(k); m != (Margin{1, 0}) {
				t.Fatal("margin", m)
			}
		}
	})
}
