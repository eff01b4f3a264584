package mains

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Law: no shaft, bearing or force that is taken gives NaN or loads that do not
// balance the forces; and a balance is found.
func FuzzTurn(f *testing.F) {
	f.Add(uint64(1), 5.0, 1e5, 1e7, 2e-5, 1e9, 1e4, 1e-5, byte(0))
	f.Add(uint64(2), 9.0, 1e9, 0.0, 1e-6, 1e14, 1e8, 5e-3, byte(1))
	f.Add(uint64(3), 2.0, 1e2, 1e5, 5e-3, 1e4, 0.0, 0.0, byte(2))
	f.Add(uint64(4), 7.0, 2e5, 1e8, 2e-5, 0.01, 3e4, 2e-5, byte(3))
	f.Add(uint64(246), 144.0, 2.99999885e+08, 0.0, 8e-06, 2e+13, 2.380900976190476e+06, 0.0007142857142857143, byte(0x1d)) // a stiff wall in a soft housing
	f.Fuzz(func(t *testing.T, seed uint64, size, bending, shear, c, k, force, off float64, kind byte) {
		r := rand.New(rand.NewPCG(seed, 1))
		n := 2
		if size >= 2 && size <= 16 {
			n = int(size)
		}
		// one value given as it is, the others about it
		about := func(x float64) float64 { return x * math.Exp(0.5*r.NormFloat64()) }
		l := Layout{}
		z := 0.0
		for i := range n {
			l.Mains = append(l.Mains, z)
			d := 0.002 + 0.2*r.Float64()
			if i < n-1 {
				l.Loads = append(l.Loads, z+d*r.Float64())
			}
			z += d
			l.Pieces = append(l.Pieces, Piece{d, about(bending), about(shear)})
		}
		s, err := NewShaft(l)
		if err != nil {
			return
		}
		b := make([]Bearing, n)
		for i := range b {
			switch kind % 4 {
			case 0:
				b[i].Law, err = Spring(about(k))
			case 1:
				b[i].Law, err = Gap(about(c), about(k))
			case 2:
				b[i].Law, err = Film(about(c), []float64{0, 0.5, 0.9, 1}, []float64{0, k, 4 * k, 50 * k})
			case 3:
				b[i].Law, err = Short(about(k), 500, 0.03, 0.02, about(c))
			}
			if err != nil {
				return
			}
			if seed%3 == 0 {
				if b[i].Law, err = Behind(b[i].Law, 1e8*math.Exp(4*r.NormFloat64())); err != nil {
					return
				}
			}
			b[i].Offset, b[i].Runout = Vec{off * r.NormFloat64(), off * r.NormFloat64()}, Vec{off * r.NormFloat64(), off * r.NormFloat64()}
		}
		angles := []float64{0, 1, 2, 7}
		var forces [][]Vec
		for range angles {
			row := make([]Vec, len(l.Loads))
			for j := range row {
				row[j] = Vec{force * r.NormFloat64(), force * r.NormFloat64()}
			}
			forces = append(forces, row)
		}
		if s.asked(angles, forces, b) != nil {
			return
		}
		run, err := s.Turn(angles, forces, b)
		if err != nil {
			t.Fatalf("seed %d, %d mains: %v", seed, n, err)
		}
		for i := range angles {
			var sum, most float64
			for k, p := range run.Load[i] {
				for d := range 2 {
					if v := p[d] + run.Journal[i][k][d] + run.Slope[i][k][d]; math.IsNaN(v) || math.IsInf(v, 0) {
						t.Fatalf("load %v, journal %v, slope %v", p, run.Journal[i][k], run.Slope[i][k])
					}
					most = math.Max(most, math.Abs(p[d]))
				}
				sum += p[0]
			}
			for _, p := range forces[i] {
				sum -= p[0]
				most = math.Max(most, math.Abs(p[0]))
			}
			if math.Abs(sum) > 1e-4*most+1e-3 {
				t.Fatalf("loads and forces differ by %g of %g N", sum, most)
			}
		}
		if _, err := s.Determinate(forces); err != nil {
			t.Fatal(err)
		}
	})
}
