package film

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Accuracy: the line model beside the two-dimensional reference with a groove
// around half of the sleeve, journal and velocity anywhere: velocities under a
// load are 8 % off in the mean at most, and up to half where the film lies
// across an end of the groove. The widths are of whole steps of that mesh.
func TestPartGroove(t *testing.T) {
	var v Solver
	rng := rand.New(rand.NewPCG(9, 1))
	for _, ratio := range []float64{0.3, 0.45} {
		for _, width := range []float64{0.1250001, 0.2916667} {
			ln := newLine(lined(ratio, width, -math.Pi/2, math.Pi/2))
			sum, most, peak, away, n, far := 0.0, 0.0, 0.0, 0.0, 0, 0
			for range 40 {
				eps, beta, ea := 1-math.Pow(10, -2*rng.Float64()-0.05), math.Pi*(2*rng.Float64()-1), math.Pi*(2*rng.Float64()-1)
				p, err := v.Solve(State{Ratio: ratio, Eps: eps, Beta: beta, Feed: Feed{From: -ea - math.Pi/2, To: -ea + math.Pi/2, Width: width}}, Mesh{Around: 160, Across: 24, Even: true})
				if err != nil {
					t.Fatal(err)
				}
				s, c := math.Sincos(ea)
				vx, vy := ln.under(eps*c, eps*s, (p.Along*c-p.Across*s)/2, (p.Along*s+p.Across*c)/2)
				off := math.Hypot(vx-math.Cos(ea+beta), vy-math.Sin(ea+beta))
				sum += off
				n++
				most = math.Max(most, off)
				got, _ := ln.rest()
				peak = math.Max(peak, math.Abs(got/p.Peak-1))
				if d := math.Abs(math.Abs(wrapped(ea+p.Toward())) - math.Pi/2); d > 60*degree {
					away += off
					far++
				}
			}
			t.Logf("L/D %g, groove %.3f of it: velocity %.1f %% off in the mean, %.1f %% at most, %.1f %% in the mean where the load is 60° from an end; peak pressure %.1f %% at most", ratio, width, 100*sum/float64(n), 100*most, 100*away/float64(far), 100*peak)
			if sum/float64(n) > 0.08 || most > 0.7 {
				t.Errorf("L/D %g, groove %g: %g in the mean, %g at most", ratio, width, sum/float64(n), most)
			}
		}
	}
}

// Law: without a width the groove is none, and the model is the map's within
// 2 % to ε = 0.95.
func TestLawLineIsPlain(t *testing.T) {
	c, err := maps(t).Chart(0.4)
	if err != nil {
		t.Fatal(err)
	}
	ln := newLine(lined(0.4, 0, 0, 0))
	for _, eps := range []float64{0.05, 0.5, 0.8, 0.95} {
		for a := 0.1; a < 6.2; a += 0.37 {
			s, k := math.Sincos(a)
			vx, vy := ln.under(eps*k, eps*s, 1, 0)
			m := c.At(eps*k, eps*s) // M = V μ L D (R/c)²/F = v L D/(R L) for a force of 1
			wx, wy := m.Along/2, m.Across/2
			if off := math.Hypot(vx-wx, vy-wy) / math.Hypot(wx, wy); off > 0.02 {
				t.Errorf("eps %g at %g: (%g, %g), map (%g, %g), off %.3f", eps, a, vx, vy, wx, wy, off)
			}
		}
	}
}

func mainCase(t testing.TB) Case {
	c := bigEndCase(t, 0)
	s, err := maps(t).NewShell(ShellSpec{Diameter: 0.055, Length: 0.02, Inlet: PartGroove, Width: 0.003, From: 0, To: math.Pi})
	if err != nil {
		t.Fatal(err)
	}
	c.Shell = s
	return c
}

func TestPartGrooveOrbit(t *testing.T) {
	c := mainCase(t)
	got, err := Run(c)
	if err != nil {
		t.Fatal(err)
	}
	plain, err := maps(t).NewShell(ShellSpec{Diameter: 0.055, Length: 0.02})
	if err != nil {
		t.Fatal(err)
	}
	ring, err := maps(t).NewShell(ShellSpec{Diameter: 0.055, Length: 0.02, Inlet: RingGroove, Width: 0.003})
	if err != nil {
		t.Fatal(err)
	}
	c.Shell = plain
	most, err := Run(c)
	if err != nil {
		t.Fatal(err)
	}
	c.Shell = ring
	least, err := Run(c)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("least film: ring groove %.3f, half groove %.3f, plain %.3f µm", least.Gap*1e6, got.Gap*1e6, most.Gap*1e6)
	if got.Gap < least.Gap*0.98 || got.Gap > most.Gap*1.02 {
		t.Error("half a groove is not between a whole one and none")
	}
}

func BenchmarkOrbitPartGroove(b *testing.B) {
	c := mainCase(b)
	for b.Loop() {
		if _, err := Run(c); err != nil {
			b.Fatal(err)
		}
	}
}
