package texture

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// surface is a synthetic plateau: normal heights, squeezed above the mean and
// stretched below it. No two heights are equal.
func surface(t *rapid.T) []float64 {
	rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
	up, down := rapid.Float64Range(0.1, 1).Draw(t, "up"), rapid.Float64Range(0.1, 4).Draw(t, "down")
	z := make([]float64, rapid.IntRange(20, 400).Draw(t, "n"))
	for i := range z {
		if z[i] = rng.NormFloat64(); z[i] > 0 {
			z[i] *= up
		} else {
			z[i] *= down
		}
	}
	return z
}

func each(z []float64, f func(float64) float64) []float64 {
	out := make([]float64, len(z))
	for i, v := range z {
		out[i] = f(v)
	}
	return out
}

func same(t *rapid.T, what string, got, want float64) {
	t.Helper()
	if !(math.Abs(got-want) <= 1e-10*(1+math.Abs(want))) {
		t.Errorf("%s: %.14g, want %.14g", what, got, want)
	}
}

// Law: shifting a profile leaves the Rk family alone, scaling scales it, turning
// it upside down swaps peaks and valleys, and the order of heights is nothing
// to it. The secant chosen may be another where two are equal to rounding,
// which drawn heights are not.
func TestLawCore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		z := surface(t)
		a, err := CoreOf(z)
		if err != nil {
			t.Fatal(err)
		}
		scale := rapid.Float64Range(0.1, 10).Draw(t, "scale")
		moved := each(z, func(v float64) float64 { return 3 + scale*v })
		for i, j := 0, len(moved)-1; i < j; i, j = i+2, j-2 {
			moved[i], moved[j] = moved[j], moved[i]
		}
		b, _ := CoreOf(moved)
		m, _ := CoreOf(each(z, func(v float64) float64 { return -v }))
		same(t, "Rk moved", b.Rk, scale*a.Rk)
		same(t, "Rpk moved", b.Rpk, scale*a.Rpk)
		same(t, "Rvk moved", b.Rvk, scale*a.Rvk)
		same(t, "Mr1 moved", b.Mr1, a.Mr1)
		same(t, "Mr2 moved", b.Mr2, a.Mr2)
		same(t, "Rk upside down", m.Rk, a.Rk)
		same(t, "Rpk upside down", m.Rpk, a.Rvk)
		same(t, "Rvk upside down", m.Rvk, a.Rpk)
		same(t, "Mr1 upside down", m.Mr1, 1-a.Mr2)
		same(t, "Mr2 upside down", m.Mr2, 1-a.Mr1)
		if !(0 <= a.Mr1 && a.Mr1 <= a.Mr2 && a.Mr2 <= 1 && a.Rk > 0) {
			t.Errorf("%+v", a)
		}
	})
}

// Law: about the mean Ra ≤ Rq, Rku ≥ 1 + Rsk², Rz ≤ Rzx ≤ Rt, one sampling length gives Rz =
// Rt; upside down the skewness changes sign and peaks become valleys.
func TestLawHeights(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		z := surface(t)
		z = z[:len(z)/5*5]
		var m float64
		for _, v := range z {
			m += v / float64(len(z))
		}
		z = each(z, func(v float64) float64 { return v - m }) // heights lie about a mean line
		h, err := HeightsOf(z, 5)
		if err != nil {
			t.Fatal(err)
		}
		if h.Ra > h.Rq || h.Rku < 1+h.Rsk*h.Rsk-1e-9 || h.Rz > h.Rzx+1e-12 || h.Rzx > h.Rt {
			t.Errorf("%+v", h)
		}
		one, _ := HeightsOf(z, 1)
		same(t, "Rz", one.Rz, h.Rt)
		same(t, "Ra", one.Ra, h.Ra)
		turned, _ := HeightsOf(each(z, func(v float64) float64 { return -v }), 5)
		same(t, "Rsk", turned.Rsk, -h.Rsk)
		same(t, "Rku", turned.Rku, h.Rku)
		same(t, "Rp", turned.Rp, h.Rv)
		huge, _ := HeightsOf(each(z, func(v float64) float64 { return 1e150 * v }), 5)
		same(t, "Rsk of huge heights", huge.Rsk, h.Rsk)
	})
}

// Law: the filter leaves of a sine what its transmission says, one half at the
// cutoff, with no shift of phase, at heights whose whole weight is there. The
// weights are cut where 4·10⁻⁷ of them is left; a millionth is allowed.
func TestLawFilterOfASine(t *testing.T) {
	for _, wave := range []float64{0.25, 0.5, 0.8, 1, 1.6, 5} {
		const step, cutoff = 0.004, 0.8
		p := Profile{step, make([]float64, 1600)}
		for i := range p.Z {
			p.Z[i] = math.Sin(2*math.Pi*step*float64(i)/wave + 0.3)
		}
		w, err := MeanLine(p, cutoff)
		if err != nil {
			t.Fatal(err)
		}
		worst := 0.0
		for i := 200; i < 1400; i++ {
			worst = math.Max(worst, math.Abs(w.Z[i]-Transmission(wave, cutoff)*p.Z[i]))
		}
		t.Logf("λ = %g: off by %.1e", wave, worst)
		if worst > 1e-6 {
			t.Errorf("λ = %g: off by %g of the height", wave, worst)
		}
	}
}

// Law: a straight line is its own mean line where the weights are whole, a
// level one everywhere; the roughness of a line is nought; filtering is linear.
func TestLawFilterOfALine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.Float64Range(-5, 5).Draw(t, "a"), rapid.Float64Range(-5, 5).Draw(t, "b")
		p, q := Profile{0.01, make([]float64, 300)}, Profile{0.01, make([]float64, 300)}
		flat := Profile{0.01, make([]float64, 300)}
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 2))
		for i := range p.Z {
			p.Z[i] = a + b*float64(i)/300
			q.Z[i] = rng.NormFloat64()
			flat.Z[i] = a
		}
		w, err := MeanLine(p, 0.8)
		if err != nil {
			t.Fatal(err)
		}
		u, _ := MeanLine(q, 0.8)
		f, _ := MeanLine(flat, 0.8)
		sum, _ := MeanLine(Profile{0.01, each(p.Z, func(v float64) float64 { return 2 * v })}, 0.8)
		for i := range p.Z {
			if i >= 80 && i < 220 {
				same(t, "line", w.Z[i], p.Z[i])
			}
			same(t, "level", f.Z[i], a)
			same(t, "twice", sum.Z[i], 2*w.Z[i])
			if math.Abs(u.Z[i]) > 1.5 {
				t.Errorf("noise of one passes as %g", u.Z[i])
			}
		}
		l, err := Level(p)
		if err != nil {
			t.Fatal(err)
		}
		for _, z := range l.Z {
			same(t, "levelled", z, 0)
		}
		r, err := Roughness(l, 0.8, 0.05)
		if err != nil || len(r.Z) != 300-80 {
			t.Fatalf("%d heights, %v", len(r.Z), err)
		}
		for _, z := range r.Z {
			same(t, "roughness of a line", z, 0)
		}
	})
}

// Law: a deep groove pulls at the plain mean line and makes false peaks beside
// it; the line for plateaus stays closer to the plateau.
func TestLawPlateauLine(t *testing.T) {
	p := Profile{0.002, make([]float64, 3000)}
	for i := range p.Z {
		p.Z[i] = 0.05 * math.Sin(float64(i))
		if i%500 > 460 {
			p.Z[i] = -5
		}
	}
	peak := func(p Profile, err error) float64 {
		if err != nil {
			t.Fatal(err)
		}
		top := math.Inf(-1)
		for _, z := range p.Z {
			top = math.Max(top, z)
		}
		return top
	}
	plain, plateau := peak(Roughness(p, 0.8, 0)), peak(PlateauRoughness(p, 0.8, 0))
	t.Logf("highest %g about the plain line, %g about the plateau's", plain, plateau)
	if !(plateau < plain/3 && plain > 0.4) {
		t.Errorf("highest %g about the plain line, %g about the plateau's", plain, plateau)
	}
}

// Law: both angles of a hatch are told apart and turn into each other.
func TestLawHatch(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.Float64Range(0.01, 1.5).Draw(t, "angle")
		x, err := HatchFromHorizontal(a)
		if err != nil {
			t.Fatal(err)
		}
		y, err := HatchIncluded(2 * a)
		if err != nil {
			t.Fatal(err)
		}
		same(t, "from the horizontal", y.FromHorizontal, a)
		same(t, "included", x.Included, y.Included)
		same(t, "all round", x.Included+x.AboutAxis(), math.Pi)
		h, err := HatchOf(Honing{0.08, 0.1, math.Tan(a) * math.Pi * 0.08 * 2 / 0.2, 2})
		if err != nil {
			t.Fatal(err)
		}
		same(t, "honed", h.FromHorizontal, a)
	})
}

func TestDegenerate(t *testing.T) {
	flat := make([]float64, 20)
	if k, err := CoreOf(flat); err != nil || k != (Core{Mr2: 1}) {
		t.Errorf("level: %+v, %v", k, err)
	}
	if h, err := HeightsOf(flat, 5); err != nil || h != (Heights{}) {
		t.Errorf("level: %+v, %v", h, err)
	}
	// A level core with two peaks and one valley, of twenty.
	flat[3], flat[7], flat[12] = 1, 2, -3
	k, err := CoreOf(flat)
	if err != nil || k.Rk != 0 || k.Mr1 < 0.05 || k.Mr1 > 0.15 || k.Mr2 < 0.9 || k.Mr2 > 1 {
		t.Errorf("level core: %+v, %v", k, err)
	}
	if math.Abs(k.Rpk*k.Mr1/2-0.15) > 1e-12 || math.Abs(k.Rvk*(1-k.Mr2)/2-0.15) > 1e-12 {
		t.Errorf("level core: areas of %+v are not 3/20", k)
	}
	if m, err := MaterialRatio(flat, 0.5); err != nil || m != 0.1 {
		t.Errorf("material ratio %v, %v", m, err)
	}
}

func TestRefusals(t *testing.T) {
	nan := math.NaN()
	good := Profile{0.01, make([]float64, 100)}
	_, step := MeanLine(Profile{0, good.Z}, 1)
	_, short := Level(Profile{1, []float64{1}})
	_, bad := Level(Profile{1, []float64{1, nan}})
	_, cutoff := MeanLine(good, 0.01)
	_, order := Roughness(good, 0.1, 0.2)
	_, trace := Roughness(good, 1, 0)
	_, plateau := PlateauRoughness(Profile{1, []float64{1, nan}}, 4, 0)
	_, ra := SettingFor(1e-4)
	_, uneven := HeightsOf(good.Z, 3)
	_, none := HeightsOf(good.Z, 0)
	_, inf := HeightsOf([]float64{1, math.Inf(1)}, 1)
	_, few := CoreOf(good.Z[:9])
	_, empty := MaterialRatio(nil, 0)
	_, wide := HatchIncluded(math.Pi)
	_, steep := HatchFromHorizontal(math.Pi / 2)
	_, hone := HatchOf(Honing{0.08, 0.1, 0, 2})
	for i, c := range []struct {
		err  error
		want string
	}{
		{step, "step of 0"}, {short, "1 heights"}, {bad, "height 1 is NaN"}, {cutoff, "two steps"}, {order, "λs from 0"},
		{trace, "longer than the cutoff"}, {plateau, "height 1 is NaN"}, {ra, "at most 80"}, {uneven, "100 heights in 3"},
		{none, "in 0 sampling"}, {inf, "height 1 is +Inf"}, {few, "at least 10"}, {empty, "0 heights"},
		{wide, "of 180°"}, {steep, "of 90°"}, {hone, "rate of strokes of a hone is 0"},
	} {
		if c.err == nil || !strings.Contains(c.err.Error(), c.want) {
			t.Errorf("case %d: %v, want %q", i, c.err, c.want)
		}
	}
}
