package film

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Synthetic (BRG-14): mobility vectors in the frame of the load, beside an
// independent finite-difference solution, within the 1 % stated for it; the
// definition is Booker's (1965).
func TestMobilityVectors(t *testing.T) {
	var v Solver
	most := 0.0
	for _, r := range rows(t, "mobility.csv") {
		p, err := v.Solve(State{Ratio: number(t, r, "L_over_D"), Eps: number(t, r, "eps"), Beta: number(t, r, "velocity_dir_deg") * degree}, Mesh{Around: 120, Across: 12})
		if err != nil {
			t.Fatal(err)
		}
		size := 4 / p.Load()
		turn := number(t, r, "velocity_dir_deg")*degree - p.Toward()
		mx, my := size*math.Cos(turn), size*math.Sin(turn)
		wx, wy := number(t, r, "fd_M_xi"), number(t, r, "fd_M_eta")
		off := math.Hypot(mx-wx, my-wy) / math.Hypot(wx, wy)
		most = math.Max(most, off)
		if !(off <= 0.01) {
			t.Errorf("%v: mobility (%g, %g)", r, mx, my)
		}
	}
	t.Logf("worst %.4f", most)
}

// Law: what Solve returns is the solution: no pressure below nought, the balance
// holds where there is pressure, nothing asks for pressure where there is none,
// and at the line where the circle was cut nothing does either.
func TestLawComplementarity(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 1))
	var v Solver
	for range 150 {
		s := State{Ratio: 0.05 + rng.Float64(), Eps: 0.995 * rng.Float64(), Beta: math.Pi * (2*rng.Float64() - 1)}
		if rng.IntN(2) == 0 {
			s.Feed = Feed{From: rng.Float64() * 6, Width: 0.3 * rng.Float64()}
			s.Feed.To = s.Feed.From + math.Pi
		}
		out, err := v.Solve(s, Mesh{Around: 96, Across: 8, Even: rng.IntN(2) == 0})
		if err != nil {
			t.Fatalf("%+v: %v", s, err)
		}
		n, m := v.n, v.m
		scale := 0.0
		for i := 1; i < n; i++ {
			scale = math.Max(scale, math.Abs(v.push[i]))
		}
		for i := 1; i < n; i++ {
			for j := 0; j < m; j++ {
				k := i*m + j
				asks := v.asks(i, j)
				if v.p[k] > 0 {
					tt := v.reach * v.h3[i] * v.cell[i]
					d := (v.g[i-1]+v.g[i])*v.row[j] + tt*v.leg[j]
					if j > 0 {
						d += tt * v.leg[j-1]
					}
					asks -= d * v.p[k]
					if math.Abs(asks) > 1e-9*(scale+d*v.p[k]) {
						t.Fatalf("%+v: balance of (%d, %d) is open by %g", s, i, j, asks)
					}
				} else if v.p[k] < 0 || asks > 1e-9*scale && !v.grooved(i, j) {
					t.Fatalf("%+v: (%d, %d) has pressure %g and asks for %g", s, i, j, v.p[k], asks)
				}
			}
		}
		cut := 12 * math.Cos(v.theta[0]-s.Beta) * v.cell[1]
		if v.g[0]*v.p[m]+v.g[n-1]*v.p[(n-1)*m]+cut > 1e-9*scale {
			t.Errorf("%+v: the line of the cut asks for pressure", s)
		}
		if out.Load() <= 0 {
			t.Errorf("%+v: carries nothing", s)
		}
	}
}

// Law: mirrored velocities carry mirrored loads; a groove that lies where there
// is no film changes nothing; one under the film only takes load away.
func TestLawMirrorAndGroove(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 2))
	var v Solver
	for range 40 {
		s := State{Ratio: 0.2 + 0.3*rng.Float64(), Eps: 0.98 * rng.Float64(), Beta: math.Pi * rng.Float64()}
		m := Mesh{Around: 96, Across: 8}
		plain, err := v.Solve(s, m)
		if err != nil {
			t.Fatal(err)
		}
		other := s
		other.Beta = -s.Beta
		back, err := v.Solve(other, m)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(back.Along-plain.Along)+math.Abs(back.Across+plain.Across) > 1e-9*plain.Load() {
			t.Errorf("%+v: (%g, %g) mirrored (%g, %g)", s, plain.Along, plain.Across, back.Along, back.Across)
		}
		dry := s
		dry.Feed = Feed{From: s.Beta + math.Pi - 0.3, To: s.Beta + math.Pi + 0.3, Width: 0.2}
		same, err := v.Solve(dry, m)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(same.Load()-plain.Load()) > 1e-9*plain.Load() {
			t.Errorf("%+v: groove in the empty part: load %g, was %g", s, same.Load(), plain.Load())
		}
		under := s
		under.Feed = Feed{From: s.Beta - 1, To: s.Beta + 1, Width: 0.2}
		less, err := v.Solve(under, m)
		if err != nil {
			t.Fatal(err)
		}
		if less.Load() >= plain.Load() {
			t.Errorf("%+v: groove under the film: load %g, was %g", s, less.Load(), plain.Load())
		}
	}
}

// Law: finer meshes agree; the coarse one of 120 by 12 is within 0.4 % of four
// times as many points, peak pressures within 1 %.
func TestLawMesh(t *testing.T) {
	var v Solver
	for _, eps := range []float64{0.3, 0.9, 0.99} {
		for _, beta := range []float64{0, 0.4, 1.5, 3} {
			s := State{Ratio: 0.4, Eps: eps, Beta: beta}
			coarse, err := v.Solve(s, Mesh{Around: 120, Across: 12})
			if err != nil {
				t.Fatal(err)
			}
			fine, err := v.Solve(s, Mesh{Around: 480, Across: 24})
			if err != nil {
				t.Fatal(err)
			}
			off := math.Hypot(coarse.Along-fine.Along, coarse.Across-fine.Across) / fine.Load()
			t.Logf("eps %g, beta %g: load %.4f %%, peak %.4f %%, side %.4f %%", eps, beta, 100*off, 100*(coarse.Peak/fine.Peak-1), 100*(coarse.Side/fine.Side-1))
			if off > 0.004 || math.Abs(coarse.Peak/fine.Peak-1) > 0.01 {
				t.Errorf("eps %g, beta %g: load off by %g, peak %g and %g", eps, beta, off, coarse.Peak, fine.Peak)
			}
		}
	}
}

func TestRefusals(t *testing.T) {
	var v Solver
	good := State{Ratio: 0.4, Eps: 0.5, Beta: 1}
	for name, change := range map[string]func(s *State, m *Mesh){
		"nan":    func(s *State, _ *Mesh) { s.Beta = math.NaN() },
		"ratio":  func(s *State, _ *Mesh) { s.Ratio = 0 },
		"eps":    func(s *State, _ *Mesh) { s.Eps = 1 },
		"groove": func(s *State, _ *Mesh) { s.Feed = Feed{From: 0, To: 7, Width: 0.1} },
		"mesh":   func(_ *State, m *Mesh) { m.Across = 7 },
		"around": func(_ *State, m *Mesh) { m.Around = 3 },
	} {
		s, m := good, Fine()
		change(&s, &m)
		if _, err := v.Solve(s, m); err == nil {
			t.Errorf("%s: taken", name)
		}
	}
	if _, err := v.Steady(0.4, 0, Fine()); err == nil {
		t.Error("a journal in the middle: taken")
	}
}
