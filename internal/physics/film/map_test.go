package film

import (
	"math"
	"math/rand/v2"
	"testing"
)

// digestOfMap is that of mobility.bin; go generate prints it.
const digestOfMap = "11c19fff2e6c9d98a5c0d6ed16edcff8c56b390d63065ab5df907d0989817e1f"

func maps(t testing.TB) *Map {
	t.Helper()
	m, err := Maps()
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// The map of the repository is the one whose digest is written here, reads and
// writes the same, and a sample of its nodes worked out anew is what it holds.
func TestMapIsMadeHere(t *testing.T) {
	m := maps(t)
	if m.Digest() != digestOfMap {
		t.Errorf("the map's digest is %s", m.Digest())
	}
	if string(m.Bytes()) != string(mobility) {
		t.Error("the map is not written as it was read")
	}
	rng := rand.New(rand.NewPCG(7, 1))
	var v Solver
	for range 60 {
		r, i, j := rng.IntN(len(m.ratios)), rng.IntN(m.nu), rng.IntN(m.ns)
		want, err := v.node(m.ratios[r], m.place(i, j))
		if err != nil {
			t.Fatal(err)
		}
		for q, x := range m.node[r][(i*m.ns+j)*4:][:4] {
			if math.Abs(float64(x)-want[q]) > 2e-6*math.Abs(want[q]) {
				t.Errorf("L/D %g, node (%d, %d), number %d: %g, worked out %g", m.ratios[r], i, j, q, x, want[q])
			}
		}
	}
}

// Accuracy: places between the nodes and ratios between the columns, beside the
// reference on a finer mesh than the map's. The mobility vector is within 0.5 % to
// ε = 0.99, 1 % to 0.998, greatest pressure and side flow within 1 %.
func TestMapError(t *testing.T) {
	m := maps(t)
	rng := rand.New(rand.NewPCG(7, 2))
	var v Solver
	bands := []struct{ to, tol, rest float64 }{{0.9, 0.002, 0.01}, {0.99, 0.005, 0.01}, {Beyond, 0.01, 0.01}}
	worst := make([][3]float64, len(bands))
	for range 6 {
		ratio := 0.08 * math.Pow(16, rng.Float64())
		c, err := m.Chart(ratio)
		if err != nil {
			t.Fatal(err)
		}
		from := 0.0
		for b, band := range bands {
			for range 9 {
				eps := from + (band.to-from)*rng.Float64()
				// half of the places near the line of load, where much changes
				phi := math.Pi * rng.Float64()
				if rng.IntN(2) == 0 {
					phi = math.Min(math.Pi, 4*math.Sqrt(1-eps)*math.Pow(rng.Float64(), 3))
				}
				want, err := v.Under(ratio, eps, phi, Mesh{Around: 240, Across: 16})
				if err != nil {
					t.Fatal(err)
				}
				got := c.At(eps*math.Cos(phi), eps*math.Sin(phi))
				off := [3]float64{math.Hypot(got.Along-want.Along, got.Across-want.Across) / math.Hypot(want.Along, want.Across),
					math.Abs(got.Peak/want.Peak - 1), math.Abs(got.Side/want.Side - 1)}
				for q, x := range off {
					worst[b][q] = math.Max(worst[b][q], x)
				}
				if !(off[0] <= band.tol && off[1] <= band.rest && off[2] <= band.rest) {
					t.Errorf("L/D %.4f, eps %.4f, phi %.4f: mobility off %.2f %%, peak %.2f %%, side flow %.2f %%", ratio, eps, phi, 100*off[0], 100*off[1], 100*off[2])
				}
			}
			from = band.to
		}
	}
	for b, band := range bands {
		t.Logf("to eps %.3f: mobility vector within %.3f %%, peak pressure %.3f %%, side flow %.3f %%", band.to, 100*worst[b][0], 100*worst[b][1], 100*worst[b][2])
	}
}

// Law: charts are mirrored about the load, and have no hole anywhere in the
// clearance nor outside of it.
func TestLawChart(t *testing.T) {
	c, err := maps(t).Chart(0.4)
	if err != nil {
		t.Fatal(err)
	}
	for i := -44; i <= 44; i++ {
		for j := -44; j <= 44; j++ {
			xi, eta := float64(i)/40, float64(j)/40
			a, b := c.At(xi, eta), c.At(xi, -eta)
			if a.Along != b.Along || a.Across != -b.Across || a.Peak != b.Peak || a.Side != b.Side {
				t.Fatalf("(%g, %g): %+v and mirrored %+v", xi, eta, a, b)
			}
			if !finite(a.Along, a.Across, a.Peak, a.Side) || a.Along <= 0 || a.Peak <= 0 || a.Side <= 0 {
				t.Fatalf("(%g, %g): %+v", xi, eta, a)
			}
		}
	}
}

// Law: the inside of an orbit is a look-up, scaled and turned.
func TestLawVelocity(t *testing.T) {
	c, err := maps(t).Chart(0.4)
	if err != nil {
		t.Fatal(err)
	}
	rng := rand.New(rand.NewPCG(7, 3))
	for range 1000 {
		s, k := math.Sincos(7 * rng.Float64())
		p := moment{fx: k, fy: s, f: 1000 * rng.Float64(), w: 300 * (rng.Float64() - 0.5)}
		ex, ey, scale := 2*rng.Float64()-1, 2*rng.Float64()-1, rng.Float64()
		a := c.At(ex*k+ey*s, ey*k-ex*s)
		f := scale * p.f
		dx, dy := c.velocity(&p, scale, ex, ey)
		wx, wy := f*(a.Along*k-a.Across*s)-p.w*ey, f*(a.Along*s+a.Across*k)+p.w*ex
		if math.Hypot(dx-wx, dy-wy) > 1e-9*(math.Hypot(wx, wy)+1e-9) {
			t.Fatalf("(%g, %g): velocity (%g, %g), by the look-up (%g, %g)", ex, ey, dx, dy, wx, wy)
		}
	}
}

func BenchmarkChart(b *testing.B) {
	m := maps(b)
	for b.Loop() {
		if _, err := m.Chart(0.4); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkLookup(b *testing.B) {
	c, err := maps(b).Chart(0.4)
	if err != nil {
		b.Fatal(err)
	}
	x, y := 0.3, 0.4
	for b.Loop() { // each after the one before, as in an orbit
		mx, my, _, _, _ := c.mobility(x, y)
		x, y = 0.3+1e-9*mx, 0.4+1e-9*my
	}
}
