package oilway

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Law: no system that is taken gives NaN or infinity, a pressure below nought, or
// flows that do not balance; doubts and suspects neither.
func FuzzEngine(f *testing.F) {
	f.Add(uint64(1), 1e-5, 0.9, 1e-12, 5e5, 6e5, 1e-3, 1e-12, 1e-13, 2e-6, 1e5, 0.1, 50.0, 8e-3, 1e5)
	f.Add(uint64(2), 1e-3, 1e-3, 1e-20, 1e3, 1e8, 1.0, 0.0, 1e-20, 1e-10, 1e8, 1.0, 1000.0, 1e3, 0.0)
	f.Add(uint64(3), 1e-9, 1.0, 1e-9, 1e8, 2e8, 1e-9, 1e-18, 1e-9, 1e-2, 0.0, 0.0, 0.0, 1e-5, 1e8)
	f.Fuzz(func(t *testing.T, seed uint64, v, fill, slip, opens, full, flow, way, film, hole, at, u, turns, mu, gauge float64) {
		r := rand.New(rand.NewPCG(seed, 2))
		about := func(x float64) float64 { return x * math.Exp(r.NormFloat64()) }
		s := System{Pump: Pump{Displacement: v, Fill: fill, Slip: slip, U: u, SlipU: u}, Relief: Relief{Opens: opens, Full: full, Flow: flow, Far: seed%2 == 0, U: math.Abs(u) * 1e5}, Way: way, WayU: u}
		for range 1 + r.IntN(5) {
			o := Outlet{Kind: Kind(r.IntN(5)), Count: 1 + r.IntN(8), Film: about(film), Hole: about(hole), Opens: about(at), U: u, From: r.Float64() * 0.05, To: r.Float64() * 0.05}
			if r.IntN(3) == 0 {
				o.Hole = 0
			}
			if r.IntN(4) == 0 {
				o.Film, o.Hole, o.Given = 0, 0, Table{Pressure: []float64{0, about(at) + 1}, Flow: []float64{0, about(flow)}, Viscosity: 0.01}
			}
			s.Outlets = append(s.Outlets, o)
		}
		e, err := NewEngine(s)
		if err != nil {
			return
		}
		states := []State{{Name: "a", Turns: turns, Crank: turns * 3, Viscosity: mu, Density: 800, U: u}, {Name: "b", Turns: turns / 7, Viscosity: 2 * mu, Density: 900, U: u}}
		if r.IntN(2) == 0 {
			states[1].Own = make([]Table, len(s.Outlets))
			states[1].Own[0] = Table{Pressure: []float64{0, about(at) + 1}, Flow: []float64{0, about(flow)}, Viscosity: 0.02}
		}
		whole := func(what string, x ...float64) {
			for _, v := range x {
				if math.IsNaN(v) || math.IsInf(v, 0) || v < 0 {
					t.Fatalf("%s: %v of %+v in %+v", what, x, s, states)
				}
			}
		}
		for _, x := range states {
			a, err := e.Solve(x)
			if err != nil {
				return
			}
			whole("answer", a.Pressure, a.Outlet, a.Relieved, a.Used)
			whole("each", a.Each...)
			// over 10⁻¹² of the pressure either way the balance changes its sign
			still := still(len(s.Outlets))
			if lo := e.s.over(a.Pressure*(1-1e-11)-1e-9, &x, still); !a.Starved && a.Pressure > 0 && lo < 0 {
				t.Fatalf("%g: short by %g below it", a.Pressure, lo)
			}
			if hi := e.s.over(a.Pressure*(1+1e-11)+1e-9, &x, still); hi > 0 {
				t.Fatalf("%g: %g over above it", a.Pressure, hi)
			}
		}
		if d, err := e.FirstOrder(states); err == nil {
			for _, x := range d {
				whole("first order", x.Pressure, x.U)
				for _, p := range x.Parts {
					whole("part", p.Share, p.U)
				}
			}
		}
		if d, err := e.Draws(states, 100, seed); err == nil {
			for _, x := range d {
				whole("draws", x.Mean, x.Deviation, x.Low, x.High)
			}
		}
		from := math.Pow(10, -6+14*r.Float64())
		priors := append(UsualPriors(), Prior{Suspicion(r.IntN(13)), r.Float64(), from, from * 10})
		if list, err := e.Suspects(states, []Reading{{gauge, 1e4}, {gauge / 2, 1e4}}, priors); err == nil {
			for _, c := range list {
				whole("suspect", c.After, c.Prior, c.Explains, c.Misfit)
				whole("predicted", c.Predicted...)
			}
		}
	})
}
