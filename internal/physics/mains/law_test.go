package mains

import (
	"math"
	"math/rand/v2"
	"testing"
)

// six is an invented crank on seven mains, six throws, with what a rebuilder
// measures of it.
func six(t testing.TB, law func(i int) Law) (*Shaft, []Bearing) {
	t.Helper()
	const pitch = 0.091
	l := Layout{}
	journal, shearJ := Round(208e9, 0.060)
	throw, shearT := Round(208e9, 0.050)
	for i := range 7 {
		z := 0.02 + pitch*float64(i)
		l.Mains = append(l.Mains, z)
		if i < 6 {
			l.Loads = append(l.Loads, z+pitch/2)
		}
	}
	l.Pieces = append(l.Pieces, Piece{0.033, journal, shearJ})
	for i := range 6 {
		l.Pieces = append(l.Pieces, Piece{pitch - 0.026, throw, shearT})
		if i < 5 {
			l.Pieces = append(l.Pieces, Piece{0.026, journal, shearJ})
		}
	}
	l.Pieces = append(l.Pieces, Piece{0.05, journal, shearJ})
	b := make([]Bearing, 7)
	off := []Vec{{0, 0}, {3e-6, -4e-6}, {8e-6, 5e-6}, {-4e-6, 12e-6}, {2e-6, 6e-6}, {-3e-6, -2e-6}, {0, 0}}
	run := []Vec{{0, 0}, {4e-6, 2e-6}, {9e-6, 3e-6}, {12e-6, 0}, {8e-6, -4e-6}, {3e-6, -1e-6}, {0, 0}}
	for i := range b {
		b[i] = Bearing{Law: law(i), Offset: off[i], Runout: run[i]}
	}
	return must[*Shaft](t)(NewShaft(l)), b
}

// cycle are invented throw forces of a six over two turns.
func cycle(n int) (angles []float64, forces [][]Vec) {
	order := []float64{0, 480, 240, 600, 120, 360}
	for i := range n {
		a := 4 * math.Pi * float64(i) / float64(n)
		angles = append(angles, a)
		row := make([]Vec, 6)
		for j := range row {
			b := a - order[j]*math.Pi/180
			gas := 35000 * math.Exp(-40*math.Pow(math.Sin((b-0.3)/4), 2))
			row[j] = Vec{9000*math.Cos(b+1) + 0.1*gas, 9000*math.Sin(b) - gas}
		}
		forces = append(forces, row)
	}
	return angles, forces
}

func film(t testing.TB) func(int) Law {
	return func(i int) Law {
		return must[Law](t)(Short(0.009, 700, 0.030, 0.022, 22e-6+2e-6*float64(i%3)))
	}
}

// Law: at every angle the loads have the sum and the moment of the forces, and so
// have those shared by the lever.
func TestLawBalance(t *testing.T) {
	angles, forces := cycle(720)
	gapped := func(int) Law { return must[Law](t)(Gap(22e-6, 8e8)) }
	plain := func(int) Law { return must[Law](t)(Spring(3e8)) }
	rows := func(int) Law {
		return must[Law](t)(Film(24e-6, []float64{0, 0.5, 0.8, 0.95, 1}, []float64{0, 900, 6000, 40000, 120000}))
	}
	for name, law := range map[string]func(int) Law{"film": film(t), "gap": gapped, "spring": plain, "table": rows} {
		s, b := six(t, law)
		run := must[*Run](t)(s.Turn(angles, forces, b))
		lever := must[[][]Vec](t)(s.Determinate(forces))
		for i := range angles {
			var sum, moment, here, there, other, turn Vec
			for d := range 2 {
				for j, f := range forces[i] {
					sum[d], moment[d] = sum[d]+f[d], moment[d]+f[d]*s.loads[j]
				}
				for k, p := range run.Load[i] {
					here[d], there[d] = here[d]+p[d], there[d]+p[d]*s.mains[k]
					other[d], turn[d] = other[d]+lever[i][k][d], turn[d]+lever[i][k][d]*s.mains[k]
				}
				near(t, name+" sum", here[d], sum[d], 1e-3)
				near(t, name+" moment", there[d], moment[d], 1e-3)
				near(t, name+" lever's sum", other[d], sum[d], 1e-6)
				near(t, name+" lever's moment", turn[d], moment[d], 1e-6)
			}
			for k, p := range run.Load[i] {
				f, _ := b[k].Law.At(math.Hypot(run.Journal[i][k][0], run.Journal[i][k][1]))
				near(t, name+" law", math.Hypot(p[0], p[1]), f, 1e-6*math.Max(1, f))
			}
		}
		t.Logf("%s: %.2f steps an angle", name, float64(run.Steps)/720)
	}
}

// Law: a tunnel that lies straight but askew, and a crank whose run-out is one
// straight tilt, are no fault: the loads are those of a sound engine.
func TestLawStraightAskew(t *testing.T) {
	angles, forces := cycle(90)
	s, b := six(t, film(t))
	for i := range b {
		b[i].Offset, b[i].Runout = Vec{}, Vec{}
	}
	sound := must[*Run](t)(s.Turn(angles, forces, b))
	askew := append([]Bearing(nil), b...)
	for i := range b {
		z := s.mains[i]
		askew[i].Offset = Vec{2e-4 - 3e-4*z, 1e-4 + 2e-4*z}
		askew[i].Runout = Vec{1e-4 * z, -5e-5 + 1e-4*z}
	}
	got := must[*Run](t)(s.Turn(angles, forces, askew))
	for i := range angles {
		for k := range b {
			for d := range 2 {
				near(t, "load", got.Load[i][k][d], sound.Load[i][k][d], 1e-3)
			}
		}
	}
}

// Law: a bent crank turned by hand in a straight tunnel on springs is carried
// around with loads of one size, and at half a turn they point the other way.
func TestLawRunoutTurns(t *testing.T) {
	s, b := six(t, func(int) Law { return must[Law](t)(Spring(2e8)) })
	for i := range b {
		b[i].Offset = Vec{}
	}
	var angles []float64
	var forces [][]Vec
	for i := range 64 {
		angles, forces = append(angles, 2*math.Pi*float64(i)/64), append(forces, make([]Vec, 6))
	}
	run := must[*Run](t)(s.Turn(angles, forces, b))
	for k := range b {
		first := math.Hypot(run.Load[0][k][0], run.Load[0][k][1])
		if first < 1 {
			t.Errorf("main %d carries %g N", k+1, first)
		}
		for i := range angles {
			near(t, "size", math.Hypot(run.Load[i][k][0], run.Load[i][k][1]), first, 1e-6*first)
			near(t, "half a turn on", run.Load[(i+32)%64][k][0], -run.Load[i][k][0], 1e-6*first)
		}
	}
}

// Law: seen from the other end the engine has the loads in the other order; seen
// in a mirror they are mirrored; turned about its axis they turn.
func TestLawSymmetry(t *testing.T) {
	angles, forces := cycle(60)
	s, b := six(t, film(t))
	for i := range b {
		b[i].Runout = Vec{}
	}
	run := must[*Run](t)(s.Turn(angles, forces, b))
	const total = 0.02 + 6*0.091 + 0.037
	back := Layout{Pieces: []Piece{}}
	journal, shearJ := Round(208e9, 0.060)
	throw, shearT := Round(208e9, 0.050)
	back.Pieces = append(back.Pieces, Piece{0.05, journal, shearJ})
	for i := range 6 {
		back.Pieces = append(back.Pieces, Piece{0.065, throw, shearT})
		if i < 5 {
			back.Pieces = append(back.Pieces, Piece{0.026, journal, shearJ})
		}
	}
	back.Pieces = append(back.Pieces, Piece{0.033, journal, shearJ})
	length := 0.0
	for _, p := range back.Pieces {
		length += p.Length
	}
	for i := range 7 {
		back.Mains = append(back.Mains, length-s.mains[6-i])
	}
	for j := range 6 {
		back.Loads = append(back.Loads, length-s.loads[5-j])
	}
	other := must[*Shaft](t)(NewShaft(back))
	c, sn := math.Cos(0.7), math.Sin(0.7)
	turn := func(v Vec) Vec { return Vec{c*v[0] - sn*v[1], sn*v[0] + c*v[1]} }
	var reversed, mirrored, turned [][]Vec
	rb, mb, tb := make([]Bearing, 7), make([]Bearing, 7), make([]Bearing, 7)
	for i := range b {
		rb[i], mb[i], tb[i] = b[6-i], b[i], b[i]
		mb[i].Offset[0] = -mb[i].Offset[0]
		tb[i].Offset = turn(b[i].Offset)
	}
	for i := range forces {
		r, m, u := make([]Vec, 6), make([]Vec, 6), make([]Vec, 6)
		for j, f := range forces[i] {
			r[5-j], m[j], u[j] = f, Vec{-f[0], f[1]}, turn(f)
		}
		reversed, mirrored, turned = append(reversed, r), append(mirrored, m), append(turned, u)
	}
	x, y, z := must[*Run](t)(other.Turn(angles, reversed, rb)), must[*Run](t)(s.Turn(angles, mirrored, mb)), must[*Run](t)(s.Turn(angles, turned, tb))
	for i := range angles {
		for k := range b {
			p := run.Load[i][k]
			q := turn(p)
			for d := range 2 {
				near(t, "reversed", x.Load[i][6-k][d], p[d], 2e-2)
				near(t, "mirrored", y.Load[i][k][d], []float64{-p[0], p[1]}[d], 1e-3)
				near(t, "turned", z.Load[i][k][d], q[d], 1e-3)
			}
		}
	}
	_ = total
}

// Law: springs add up: the loads of two sets of forces together are the sum, and
// offsets add theirs.
func TestLawSpringsAdd(t *testing.T) {
	angles, forces := cycle(30)
	s, b := six(t, func(i int) Law { return must[Law](t)(Spring(1e8 * float64(1+i))) })
	straight := append([]Bearing(nil), b...)
	for i := range straight {
		straight[i].Offset, straight[i].Runout = Vec{}, Vec{}
	}
	none := make([][]Vec, len(forces))
	for i := range none {
		none[i] = make([]Vec, 6)
	}
	both := must[*Run](t)(s.Turn(angles, forces, b))
	a, o := must[*Run](t)(s.Turn(angles, forces, straight)), must[*Run](t)(s.Turn(angles, none, b))
	for i := range angles {
		for k := range b {
			for d := range 2 {
				near(t, "sum", both.Load[i][k][d], a.Load[i][k][d]+o.Load[i][k][d], 1e-3)
			}
		}
	}
}

// Law: the answer does not hang on the way there: angles in the other order, or
// one alone, give the same loads.
func TestLawOneAnswer(t *testing.T) {
	angles, forces := cycle(48)
	s, b := six(t, film(t))
	run := must[*Run](t)(s.Turn(angles, forces, b))
	for i := range angles {
		alone := must[*Run](t)(s.Turn(angles[i:i+1], forces[i:i+1], b))
		for k := range b {
			for d := range 2 {
				near(t, "alone", alone.Load[0][k][d], run.Load[i][k][d], 1e-3)
			}
		}
	}
}

// Law: a main that stands low is let off from what presses down, and its
// neighbours carry more of it. This is what the determinate share cannot see.
func TestLawLowMainIsLetOff(t *testing.T) {
	angles, forces := cycle(180)
	s, b := six(t, film(t))
	for i := range b {
		b[i].Offset, b[i].Runout = Vec{}, Vec{}
		b[i].Law = must[Law](t)(Short(0.009, 700, 0.030, 0.022, 22e-6))
	}
	sound := must[*Run](t)(s.Turn(angles, forces, b))
	b[3].Offset = Vec{0, -30e-6}
	low := must[*Run](t)(s.Turn(angles, forces, b))
	down := func(loads [][]Vec, k int) (most float64) {
		for i := range loads {
			most = math.Max(most, -loads[i][k][1])
		}
		return most
	}
	was, is, next, more := down(sound.Load, 3), down(low.Load, 3), down(sound.Load, 2), down(low.Load, 2)
	if !(is < 0.8*was) || !(more > 1.05*next) {
		t.Errorf("main 4: %.0f N, standing low %.0f N; its neighbour %.0f N, then %.0f N", was, is, next, more)
	}
}

// Law: every law rises, begins at nought, and its slope is that of its force.
func TestLawSlopes(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	for name, l := range map[string]Law{"short": film(t)(0), "gap": must[Law](t)(Gap(20e-6, 1e9)), "spring": must[Law](t)(Spring(1e8)),
		"table": must[Law](t)(Film(20e-6, []float64{0, 0.5, 1}, []float64{0, 5000, 80000}))} {
		if f, _ := l.At(0); f != 0 {
			t.Errorf("%s: %g N in the middle", name, f)
		}
		last := 0.0
		for e := 1e-7; e < 60e-6; e += 1e-7 {
			f, _ := l.At(e)
			if !(f > last) {
				t.Fatalf("%s: %g N after %g at %g m", name, f, last, e)
			}
			last = f
		}
		for range 100 {
			e := 40e-6 * r.Float64()
			f, k := l.At(e)
			g, k2 := l.At(e + 1e-11)
			if k == k2 || name == "short" {
				near(t, name+" slope", (g-f)/1e-11, k, 1e-4*k)
			}
		}
	}
}

// Published (BRG, short bearing): Ocvirk's closed form S (L/D)² = (1 − ε²)²/(π ε
// √(π² (1 − ε²) + 16 ε²)), F. W. Ocvirk, NACA TN 2808 (1952), in its usual form
// with P = W/(2RL), N = ω/2π, S = (R/c)² μN/P.
func TestPublishedShortBearing(t *testing.T) {
	const mu, om, r, w, c = 0.01, 600.0, 0.03, 0.02, 25e-6
	l := must[Law](t)(Short(mu, om, r, w, c))
	for _, x := range []float64{0.1, 0.3, 0.5, 0.7, 0.9, 0.97} {
		f, _ := l.At(x * c)
		s := (r / c) * (r / c) * mu * om / (2 * math.Pi) / (f / (2 * r * w))
		want := math.Pow(1-x*x, 2) / (math.Pi * x * math.Sqrt(math.Pi*math.Pi*(1-x*x)+16*x*x))
		near(t, "S (L/D)²", s*math.Pow(w/(2*r), 2), want, 1e-12)
	}
}

// Law: a throw of very stiff webs bends as its journals and pin do, in a row; and
// one with webs as thick as the pin is softer than a plain shaft of the pin.
func TestLawThrow(t *testing.T) {
	th := Throw{Modulus: 208e9, Journal: 0.06, Pin: 0.06, Radius: 1e-6, Web: 0.02, Width: 0.09, Journals: 0.026, PinFace: 0.024}
	plain, _ := Round(208e9, 0.06)
	stiff := must[float64](t)(th.Bending())
	// web of no length: L/EI = (Lj + Lp)/EI, so that EI is larger by L/(Lj + Lp)
	near(t, "no webs", stiff, plain*0.09/0.05, 1e-3*stiff)
	th.Radius, th.Pin = 0.045, 0.050
	if soft := must[float64](t)(th.Bending()); !(soft < plain) || !(soft > 0.05*plain) {
		t.Errorf("throw %g, plain %g N·m²", soft, plain)
	}
	for _, bad := range []Throw{{}, {Modulus: math.NaN(), Journal: 1, Pin: 1, Radius: 1, Web: 1, Width: 1, Journals: 1, PinFace: 1}} {
		if _, err := bad.Bending(); err == nil {
			t.Errorf("%+v is taken", bad)
		}
	}
}

// Law: a film and a housing in a row: the distance is the sum of both, the force is
// that of each; a housing without give changes nothing; and cranks on it balance,
// with peaks that a soft housing evens out.
func TestLawHousing(t *testing.T) {
	const k = 1e9
	inner := film(t)(0)
	l := must[Law](t)(Behind(inner, k))
	for e := 1e-7; e < 30e-6; e += 3e-7 {
		f, slope := inner.At(e)
		g, gs := l.At(e + f/k)
		near(t, "force", g, f, 1e-9*f)
		near(t, "slope", gs, slope*k/(slope+k), 1e-6*gs)
	}
	near(t, "springs", must[Law](t)(Behind(must[Law](t)(Spring(3e8)), 6e8)).linear, 2e8, 1e-6)
	if _, err := Behind(Law{}, 1e9); err == nil {
		t.Error("no law is taken")
	}
	angles, forces := cycle(120)
	peak := func(law func(int) Law) (most float64) {
		s, b := six(t, law)
		run := must[*Run](t)(s.Turn(angles, forces, b))
		for k := range b {
			p, _ := Peak(run.Load, k)
			most = math.Max(most, p)
		}
		return most
	}
	stiff := peak(func(i int) Law { return must[Law](t)(Behind(film(t)(i), 1e14)) })
	near(t, "no give", stiff, peak(film(t)), 1e-4*stiff)
	if soft := peak(func(i int) Law { return must[Law](t)(Behind(film(t)(i), 2e8)) }); !(soft < stiff) {
		t.Errorf("soft housings peak at %g, stiff ones at %g", soft, stiff)
	}
}

// Law: what is no shaft, bearing or force is refused.
func TestLawRefused(t *testing.T) {
	ok := Layout{Pieces: []Piece{{1, 1e5, 0}}, Mains: []float64{0, 0.5, 1}, Loads: []float64{0.2}}
	for i, spoil := range []func(l *Layout){
		func(l *Layout) { l.Mains = l.Mains[:1] }, func(l *Layout) { l.Loads = nil }, func(l *Layout) { l.Pieces = nil },
		func(l *Layout) { l.Mains = []float64{0, 0, 1} }, func(l *Layout) { l.Mains = []float64{0, math.NaN(), 1} }, func(l *Layout) { l.Loads = []float64{1.1} },
		func(l *Layout) { l.Pieces = []Piece{{1, 0, 0}} }, func(l *Layout) { l.Pieces = []Piece{{1, 1e5, 1}} }, func(l *Layout) { l.Pieces = []Piece{{math.Inf(1), 1e5, 0}} },
	} {
		l := ok
		spoil(&l)
		if _, err := NewShaft(l); err == nil {
			t.Errorf("%d: %+v is taken", i, l)
		}
	}
	s := must[*Shaft](t)(NewShaft(ok))
	good := springs(t, 1e8, 1e8, 1e8)
	bad := springs(t, 1e8, 1e8, 1e8)
	bad[1].Runout[0] = math.NaN()
	for i, c := range []struct {
		a []float64
		f [][]Vec
		b []Bearing
	}{{nil, nil, good}, {[]float64{0}, [][]Vec{{}}, good}, {[]float64{math.NaN()}, [][]Vec{{{}}}, good}, {[]float64{0}, [][]Vec{{{math.Inf(1), 0}}}, good},
		{[]float64{0}, [][]Vec{{{}}}, good[:2]}, {[]float64{0}, [][]Vec{{{}}}, bad}, {[]float64{0}, [][]Vec{{{}}}, make([]Bearing, 3)}} {
		if _, err := s.Turn(c.a, c.f, c.b); err == nil {
			t.Errorf("%d is taken", i)
		}
	}
	for i, err := range []error{second(Spring(0)), second(Gap(0, 1e8)), second(Gap(1e-5, math.NaN())), second(Film(1e-5, []float64{0, 1}, []float64{0, -1})),
		second(Film(1e-5, []float64{0}, []float64{0})), second(Short(0, 1, 1, 1, 1e-5)), second(Short(1e300, 1e300, 1, 1, 1e-5))} {
		if err == nil {
			t.Errorf("law %d is taken", i)
		}
	}
}

func second[T any](_ T, err error) error { return err }
