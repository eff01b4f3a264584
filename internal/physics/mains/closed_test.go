package mains

import (
	"math"
	"math/rand/v2"
	"testing"
)

func must[T any](t testing.TB) func(v T, err error) T {
	return func(v T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

func near(t *testing.T, what string, got, want, abs float64) {
	t.Helper()
	if !(math.Abs(got-want) <= abs) {
		t.Errorf("%s = %.12g, want %.12g", what, got, want)
	}
}

func springs(t testing.TB, k ...float64) []Bearing {
	t.Helper()
	out := make([]Bearing, len(k))
	for i := range k {
		out[i].Law = must[Law](t)(Spring(k[i]))
	}
	return out
}

// once turns to angle 0 alone.
func once(t testing.TB, s *Shaft, f []Vec, b []Bearing) []Vec {
	t.Helper()
	return must[*Run](t)(s.Turn([]float64{0}, [][]Vec{f}, b)).Load[0]
}

// Published: first limit, a shaft that does not bend on linear springs: the
// deflection is a straight line, two equations. Statics; R. C. Hibbeler,
// Engineering Mechanics: Statics, or any other. Tolerance: bending stiffness of
// 10⁹ N·m² over 10⁴ N/m leaves 10⁻⁷ of the force.
func TestClosedRigidOnSprings(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 7))
	for range 200 {
		n := 2 + r.IntN(6)
		l := Layout{Pieces: []Piece{{Length: 1, Bending: 1e9}}}
		k := make([]float64, n)
		for i := range n {
			l.Mains = append(l.Mains, (float64(i)+0.1+0.8*r.Float64())/float64(n))
			k[i] = 1e4 * (1 + 4*r.Float64())
		}
		l.Loads = []float64{0.05, 0.33, 0.71}
		f := []Vec{{1000, -500}, {-300, 2000}, {700, 900}}
		offset := make([]Vec, n)
		b := springs(t, k...)
		for i := range n {
			offset[i] = Vec{1e-3 * r.NormFloat64(), 1e-3 * r.NormFloat64()}
			b[i].Offset = offset[i]
		}
		got := once(t, must[*Shaft](t)(NewShaft(l)), f, b)
		for d := range 2 {
			// Σ k (a + c z − o) = Σ F, Σ k z (a + c z − o) = Σ F z
			var s0, s1, s2, p0, p1 float64
			for i, z := range l.Mains {
				s0, s1, s2 = s0+k[i], s1+k[i]*z, s2+k[i]*z*z
				p0, p1 = p0+k[i]*offset[i][d], p1+k[i]*z*offset[i][d]
			}
			for j, z := range l.Loads {
				p0, p1 = p0+f[j][d], p1+f[j][d]*z
			}
			det := s0*s2 - s1*s1
			a, c := (p0*s2-p1*s1)/det, (s0*p1-s1*p0)/det
			for i, z := range l.Mains {
				near(t, "load", got[i][d], k[i]*(a+c*z-offset[i][d]), 1e-6*2000)
			}
		}
	}
}

// Published: second limit, a continuous beam on rigid supports: reactions of the
// handbooks for equal spans, as parts of one force in the middle of each span.
// AISC, Steel Construction Manual, beam diagrams, and W. C. Young, R. G.
// Budynas, Roark's Formulas for Stress and Strain, chapter 8, both from memory.
// Tolerance: springs of 10¹³ N/m against 48 EI/L³ of 5·10⁶ leave 10⁻⁶.
func TestPublishedContinuousBeam(t *testing.T) {
	for _, c := range []struct {
		name   string
		spans  int
		forces []float64
		want   []float64
	}{
		{"two spans, both loaded", 2, []float64{1, 1}, []float64{5.0 / 16, 11.0 / 8, 5.0 / 16}},
		{"two spans, one loaded", 2, []float64{1, 0}, []float64{13.0 / 32, 11.0 / 16, -3.0 / 32}},
		{"three spans, all loaded", 3, []float64{1, 1, 1}, []float64{0.35, 1.15, 1.15, 0.35}},
		{"three spans, both outer", 3, []float64{1, 0, 1}, []float64{0.425, 0.575, 0.575, 0.425}},
		{"three spans, the inner", 3, []float64{0, 1, 0}, []float64{-0.075, 0.575, 0.575, -0.075}},
	} {
		l := Layout{Pieces: []Piece{{Length: float64(c.spans), Bending: 1e5}}}
		k := make([]float64, c.spans+1)
		for i := range c.spans + 1 {
			l.Mains = append(l.Mains, float64(i))
			k[i] = 1e13
		}
		var f []Vec
		for i, p := range c.forces {
			l.Loads = append(l.Loads, float64(i)+0.5)
			f = append(f, Vec{1000 * p, -2000 * p})
		}
		got := once(t, must[*Shaft](t)(NewShaft(l)), f, springs(t, k...))
		for i, want := range c.want {
			near(t, c.name, got[i][0]/1000, want, 2e-6)
			near(t, c.name, got[i][1]/-2000, want, 2e-6)
		}
	}
}

// threeMoments solves the continuous beam on rigid supports that have sunk, by
// the equation of three moments (Clapeyron 1857; S. Timoshenko, Strength of
// Materials, part I): independent of elements, springs and elimination.
func threeMoments(ei float64, z, sunk []float64, at, force []float64) []float64 {
	n := len(z)
	a := make([][]float64, n)
	for i := range a {
		a[i] = make([]float64, n+1)
		a[i][i] = 1
	}
	for i := 1; i < n-1; i++ {
		l, r := z[i]-z[i-1], z[i+1]-z[i]
		a[i][i-1], a[i][i], a[i][i+1] = l, 2*(l+r), r
		if i == 1 {
			a[i][i-1] = 0
		}
		if i == n-2 {
			a[i][i+1] = 0
		}
		// sagging moment positive, downward deflection and force positive
		rhs := 6 * ei * ((sunk[i]-sunk[i-1])/l - (sunk[i+1]-sunk[i])/r)
		for j, p := range force {
			if at[j] > z[i-1] && at[j] < z[i] {
				x := at[j] - z[i-1]
				rhs -= p * x * (l*l - x*x) / l
			}
			if at[j] > z[i] && at[j] < z[i+1] {
				x := z[i+1] - at[j]
				rhs -= p * x * (r*r - x*x) / r
			}
		}
		a[i][n] = rhs
	}
	for i := range n { // elimination, diagonally dominant
		for j := i + 1; j < n; j++ {
			m := a[j][i] / a[i][i]
			for k := i; k <= n; k++ {
				a[j][k] -= m * a[i][k]
			}
		}
	}
	m := make([]float64, n)
	for i := n - 1; i >= 0; i-- {
		m[i] = a[i][n]
		for k := i + 1; k < n; k++ {
			m[i] -= a[i][k] * m[k]
		}
		m[i] /= a[i][i]
	}
	r := make([]float64, n)
	for i := range n - 1 {
		l := z[i+1] - z[i]
		q := (m[i+1] - m[i]) / l
		r[i], r[i+1] = r[i]+q, r[i+1]-q
		for j, p := range force {
			if at[j] > z[i] && at[j] < z[i+1] {
				r[i], r[i+1] = r[i]+p*(z[i+1]-at[j])/l, r[i+1]+p*(at[j]-z[i])/l
			}
		}
	}
	return r
}

// Published: the same limit with unequal spans and supports that have sunk, by
// the equation of three moments. In one bearing that stands 20 µm low lies as
// much as a rebuilder measures. Tolerance: springs of 10¹⁴ N/m against shafts of
// 10¹⁰ leave some 10⁻⁴ of the largest load.
func TestPublishedThreeMoments(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 9))
	for range 200 {
		n := 3 + r.IntN(6)
		l := Layout{}
		z := 0.0
		sunk, k := make([]float64, n), make([]float64, n)
		var f []Vec
		var force []float64
		for i := range n {
			l.Mains = append(l.Mains, z)
			k[i], sunk[i] = 1e14, 20e-6*r.NormFloat64()
			if i < n-1 {
				d := 0.08 + 0.1*r.Float64()
				l.Loads = append(l.Loads, z+d*(0.3+0.4*r.Float64()))
				force = append(force, 20000*r.NormFloat64())
				f = append(f, Vec{0, force[i]})
				z += d
			}
		}
		const ei = 1.3e5
		l.Pieces = []Piece{{Length: z, Bending: ei}}
		b := springs(t, k...)
		for i := range b {
			b[i].Offset = Vec{0, sunk[i]}
		}
		got := once(t, must[*Shaft](t)(NewShaft(l)), f, b)
		want := threeMoments(ei, l.Mains, sunk, l.Loads, force)
		most := 0.0
		for _, x := range want {
			most = math.Max(most, math.Abs(x))
		}
		for i := range want {
			near(t, "load", got[i][1], want[i], 1e-4*most)
			near(t, "across", got[i][0], 0, 1e-6)
		}
	}
}

// Published: a beam over two supports with a third in the middle that stands δ
// low carries 6 EI δ/L³ less there, spans L: 48 EI/(2L)³, any handbook. With
// shear the middle of a beam gives P L³/48EI + P L/4κGA, L between supports:
// S. Timoshenko, Strength of Materials, part I.
func TestClosedMiddleSupport(t *testing.T) {
	const ei, ga, d = 2e5, 3e6, 30e-6
	for _, shear := range []float64{0, ga} {
		s := must[*Shaft](t)(NewShaft(Layout{Pieces: []Piece{{0.1, ei, shear}, {0.23, ei, shear}, {0.07, ei, shear}}, Mains: []float64{0, 0.2, 0.4}, Loads: []float64{0.2}}))
		soft := 0.4 * 0.4 * 0.4 / (48 * ei)
		if shear > 0 {
			soft += 0.4 / (4 * shear)
		}
		b := springs(t, 1e14, 1e14, 1e14)
		b[1].Offset = Vec{d, 0}
		near(t, "sunk", once(t, s, []Vec{{0, 0}}, b)[1][0], -d/soft, 2e-5*d/soft)
		// on a spring k in the middle: P k/(k + 1/soft)
		b = springs(t, 1e14, 1e7, 1e14)
		near(t, "on a spring", once(t, s, []Vec{{1e4, 0}}, b)[1][0], 1e4*1e7/(1e7+1/soft), 1e-5*1e4)
	}
}

// Published: stepped stiffness: a bar of EI₁ and EI₂, each half of a span between
// two supports, sinks P L³ (1/EI₁ + 1/EI₂)/96 in the middle: half of each of two
// cantilevers, Castigliano. A third bearing there on a spring takes its part.
func TestClosedStepped(t *testing.T) {
	const a, b = 1e5, 4e5
	s := must[*Shaft](t)(NewShaft(Layout{Pieces: []Piece{{0.2, a, 0}, {0.2, b, 0}}, Mains: []float64{0, 0.2, 0.4}, Loads: []float64{0.2}}))
	soft := 0.4 * 0.4 * 0.4 * (1/a + 1/b) / 96
	got := once(t, s, []Vec{{0, 1e4}}, springs(t, 1e13, 2e7, 1e13))
	near(t, "middle", got[1][1], 1e4*2e7/(2e7+1/soft), 1e-5*1e4)
}

// Published: the lever: a force 1/4 along a span puts 3/4 on the nearer main, and
// one that hangs over the end by x of the last span lifts the main before it.
// Statics.
func TestClosedLever(t *testing.T) {
	s := must[*Shaft](t)(NewShaft(Layout{Pieces: []Piece{{3.5, 1e5, 0}}, Mains: []float64{0, 1, 3}, Loads: []float64{0.25, 1, 2.5, 3.4}}))
	for j, want := range [][]float64{{0.75, 0.25, 0}, {0, 1, 0}, {0, 0.25, 0.75}, {0, -0.2, 1.2}} {
		f := make([]Vec, 4)
		f[j] = Vec{1000, -500}
		got := must[[][]Vec](t)(s.Determinate([][]Vec{f}))
		for k, x := range want {
			near(t, "across", got[0][k][0], 1000*x, 1e-9)
			near(t, "up", got[0][k][1], -500*x, 1e-9)
		}
	}
	if _, err := s.Determinate([][]Vec{{{}}}); err == nil {
		t.Error("a row too short is taken")
	}
}
