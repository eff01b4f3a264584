package crank

import (
	"math"
	"testing"
)

// Law: whatever the constructors take gives numbers, in batch and in one.
func FuzzNumbers(f *testing.F) {
	f.Add(0.045, 0.144, 0.001, 0.4, 0.5, 0.04, 0.001, 0.08, 600.0, 5e6, 1.0, 0.0, 0.5, -0.01)
	f.Add(1e-4, 1e2, 0.0, 0.0, 0.0, 0.0, 0.0, 1e-3, 1e4, 1e9, 1e6, 3.0, 1.0, 1e3)
	f.Add(9.5, 10.0, 0.0, 1e3, 1e3, 10.0, 1e5, 10.0, -1e4, -1e9, -1e6, 12.0, 0.0, 0.0)
	f.Fuzz(func(t *testing.T, r, l, e, piston, mass, cg, inertia, bore, omega, gauge, theta, phase, place, unbalance float64) {
		s, err := NewSlider(r, l, e)
		if err != nil {
			return
		}
		m, err := NewMechanism(s, Parts{Piston: piston, Bore: bore, Rod: Rod{mass, cg, inertia}})
		if err != nil {
			return
		}
		good := func(what string, x ...float64) {
			t.Helper()
			for _, v := range x {
				if math.IsNaN(v) || math.IsInf(v, 0) {
					t.Fatalf("%s is %v", what, x)
				}
			}
		}
		good("geometry", s.Stroke(), s.TopAngle(), s.BottomAngle(), s.MeanSpeed(1))
		if s.Stroke() < 2*s.r*(1-1e-9) {
			t.Fatalf("stroke %g of a throw of %g", s.Stroke(), s.r)
		}
		if c, err := OfRatio(s, bore, 1+math.Abs(unbalance)); err == nil {
			v, dv := c.Volume(math.Mod(theta, 1e6))
			good("volume", v, dv)
			if v < c.Clearance()*(1-1e-6) || v > (c.Clearance()+c.Swept())*(1+1e-6) {
				t.Fatalf("volume %g outside %g to %g", v, c.Clearance(), c.Clearance()+c.Swept())
			}
		}
		if at, err := m.At(theta, omega, gauge); err == nil {
			good("forces", at.Pin.X, at.Pin.Y, at.BigEnd.X, at.BigEnd.Y, at.Rod.X, at.Rod.Y, at.Thrust, at.Torque)
		}
		const n = 16
		g := make([]float64, n)
		for i := range g {
			g[i] = gauge * float64(i) / n
		}
		if tab, err := NewTable(m, n, theta); err == nil {
			out := NewLoads(n)
			if tab.Loads(omega, g, &out) == nil {
				for i := range n {
					good("histories", out.Pin[i].X, out.Pin[i].Y, out.BigEnd[i].X, out.BigEnd[i].Y, out.Rod[i].X, out.Rod[i].Y, out.Thrust[i], out.Torque[i], out.Spin[i])
				}
			}
		}
		layout := Layout{Throws: []Throw{{Phase: phase, At: place, Unbalance: Vec{unbalance, unbalance}}, {At: place}},
			Cylinders: []Place{{Bank: phase / 2}, {Throw: 1, Bank: -phase}}, Mains: []float64{0, 0.5, 1}}
		if layout, err = layout.Firing([]int{1, 2}); err != nil {
			return
		}
		eng, err := NewEngine(layout, []Mechanism{m}, n)
		if err != nil {
			return
		}
		h := eng.NewHistories()
		if eng.Loads(omega, [][]float64{g}, h) != nil {
			return
		}
		for i := range n {
			for _, f := range append(h.Throws, h.Mains...) {
				good("engine", f[i].X, f[i].Y)
			}
			good("torque", h.Torque[i])
		}
	})
}
