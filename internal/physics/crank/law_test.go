package crank

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"
)

// some draws a mechanism that the constructors take.
func some(t testing.TB, r *rand.Rand) Mechanism {
	t.Helper()
	radius := 0.02 + 0.05*r.Float64()
	rod := radius * (2 + 3*r.Float64())
	s := must(NewSlider(radius, rod, radius*0.2*(2*r.Float64()-1)))(t)
	p := Parts{Piston: 0.2 + r.Float64(), Bore: 0.06 + 0.06*r.Float64(), Rod: Rod{Mass: 0.3 + r.Float64(), Gravity: rod * (0.1 + 0.5*r.Float64())}}
	p.Rod.Inertia = p.Rod.PointInertia(rod) * (0.7 + 0.5*r.Float64())
	return must(NewMechanism(s, p))(t)
}

// smooth is a pressure over 720° without kinks, near enough like an engine's.
func smooth(theta float64) float64 {
	x := math.Remainder(theta-12*deg, 4*math.Pi)
	return 1e5*math.Exp(4.2*math.Exp(8*(math.Cos(x/2)-1))) - 2e5 + 1e4*math.Sin(theta/2)
}

// Law: speed and acceleration are the derivatives of the drop, and the drop is
// nought at its lowest angle and the stroke at its highest.
func TestLawDerivatives(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	for range 200 {
		s := some(t, r).Slider
		a, h := 4*math.Pi*r.Float64(), 1e-4
		v := (s.Drop(a+h) - s.Drop(a-h)) / (2 * h)
		near1(t, "speed", s.Speed(a, 1), v, 0, 1e-8*s.r)
		acc := (s.Speed(a+h, 1) - s.Speed(a-h, 1)) / (2 * h)
		near1(t, "acceleration", s.Acceleration(a, 1), acc, 0, 1e-7*s.r)
		b, b1, b2 := s.RodAngle(a, 1)
		bp, b1p, _ := s.RodAngle(a+h, 1)
		bm, b1m, _ := s.RodAngle(a-h, 1)
		near1(t, "rod's speed", b1, (bp-bm)/(2*h), 0, 1e-7)
		near1(t, "rod's acceleration", b2, (b1p-b1m)/(2*h), 0, 1e-7)
		near1(t, "spin", s.MeanSpin(a, 2), (2-2*b1)/2, 1e-14, 0)
		near1(t, "rod's angle", math.Sin(b), (s.e-s.r*math.Sin(a))/s.l, 1e-13, 1e-16)
		near1(t, "top", s.Drop(s.TopAngle()), 0, 0, 1e-15)
		near1(t, "speed at the top", s.Speed(s.TopAngle(), 1), 0, 0, 1e-15)
		near1(t, "stroke", s.Drop(s.BottomAngle()), s.Stroke(), 1e-13, 0)
		if s.e != 0 && s.Stroke() <= 2*s.r {
			t.Errorf("stroke %g with offset %g is not over twice the throw %g", s.Stroke(), s.e, s.r)
		}
	}
}

// Law: piston and rod obey Newton and Euler, the accelerations taken by finite
// differences of places and not from the formulas under test.
func TestLawNewtonEuler(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 1))
	for range 200 {
		m := some(t, r)
		s, p, w, gauge := m.Slider, m.parts, 700.0, 5e6*r.Float64()
		a, h := 4*math.Pi*r.Float64(), 3e-4
		place := func(a float64) (pin, gravity Vec, beta float64) {
			beta, _, _ = s.RodAngle(a, w)
			big := Vec{s.r, 0}.Turned(a)
			along := Vec{1, 0}.Turned(beta)
			return big.Plus(along.Times(s.l)), big.Plus(along.Times(p.Rod.Gravity)), beta
		}
		second := func(lo, mid, hi float64) float64 { return w * w * (lo - 2*mid + hi) / (h * h) }
		pl, gl, bl := place(a - h)
		pm, gm, bm := place(a)
		ph, gh, bh := place(a + h)
		f := must(m.At(a, w, gauge))(t)
		scale := gauge*m.area + w*w*s.r*(p.Piston+p.Rod.Mass)
		near1(t, "pin's path", pm.Y, s.e, 1e-12, 1e-15)
		near1(t, "piston along", -f.Pin.X-gauge*m.area, p.Piston*second(pl.X, pm.X, ph.X), 0, 2e-6*scale)
		near1(t, "rod along", f.BigEnd.X+f.Pin.X, p.Rod.Mass*second(gl.X, gm.X, gh.X), 0, 2e-6*scale)
		near1(t, "rod across", f.BigEnd.Y+f.Pin.Y, p.Rod.Mass*second(gl.Y, gm.Y, gh.Y), 0, 2e-6*scale)
		near1(t, "thrust", f.Thrust, -f.Pin.Y, 0, 0)
		cross := func(arm, f Vec) float64 { return arm.X*f.Y - arm.Y*f.X }
		toBig, toPin := Vec{s.r, 0}.Turned(a).Plus(gm.Times(-1)), pm.Plus(gm.Times(-1))
		near1(t, "rod's turning", cross(toBig, f.BigEnd)+cross(toPin, f.Pin), p.Rod.Inertia*second(bl, bm, bh), 0, 2e-6*scale*s.l)
		near1(t, "rod's frame", f.Rod.Turned(bm).Plus(f.BigEnd.Times(-1)).Length(), 0, 0, 1e-11*scale)
		near1(t, "torque", f.Torque, cross(Vec{s.r, 0}.Turned(a), f.BigEnd.Times(-1)), 0, 1e-11*scale*s.r)
	}
}

// Law: over 720° the torque does the work of the gas, whatever the masses; both
// sums converge faster than any power since nothing has a kink.
func TestLawTorqueWork(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1))
	for range 20 {
		m := some(t, r)
		const n = 1440
		tab := must(NewTable(m, n, 0))(t)
		gauge, torque, work := make([]float64, n), make([]float64, n), 0.0
		for i := range gauge {
			a := 4 * math.Pi * float64(i) / n
			gauge[i] = smooth(a)
			work += gauge[i] * m.area * m.Speed(a, 1)
		}
		if err := tab.Loads(500, gauge, &Loads{Torque: torque}); err != nil {
			t.Fatal(err)
		}
		sum := 0.0
		for _, v := range torque {
			sum += v
		}
		near1(t, "work of the torque", sum, work, 1e-11, 0)
	}
}

// Law: a table says what single angles say.
func TestLawTableIsAt(t *testing.T) {
	m := some(t, rand.New(rand.NewPCG(4, 1)))
	const n, start = 96, 0.3
	tab := must(NewTable(m, n, start))(t)
	out, gauge := NewLoads(n), make([]float64, n)
	for i := range gauge {
		gauge[i] = smooth(float64(i))
	}
	if err := tab.Loads(600, gauge, &out); err != nil {
		t.Fatal(err)
	}
	for i := range gauge {
		a := start + 4*math.Pi*float64(i)/n
		f := must(m.At(a, 600, gauge[i]))(t)
		for _, pair := range [][2]Vec{{out.Pin[i], f.Pin}, {out.BigEnd[i], f.BigEnd}, {out.Rod[i], f.Rod}, {{out.Thrust[i], out.Torque[i]}, {f.Thrust, f.Torque}}} {
			near1(t, "table", pair[0].Plus(pair[1].Times(-1)).Length(), 0, 0, 1e-7)
		}
		near1(t, "spin", out.Spin[i], m.MeanSpin(a, 600), 1e-12, 0)
	}
}

// Law: without gas, loads go with the square of the speed and the mass; mirrored
// in the axis of the cylinder they are mirrored.
func TestLawScaling(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 1))
	for range 100 {
		m := some(t, r)
		p := m.parts
		p.Piston, p.Rod.Mass, p.Rod.Inertia = 3*p.Piston, 3*p.Rod.Mass, 3*p.Rod.Inertia
		heavy := must(NewMechanism(m.Slider, p))(t)
		a := 4 * math.Pi * r.Float64()
		f, fast, fat := must(m.At(a, 300, 0))(t), must(m.At(a, 600, 0))(t), must(heavy.At(a, 300, 0))(t)
		near1(t, "twice the speed", fast.BigEnd.X, 4*f.BigEnd.X, 1e-12, 0)
		near1(t, "thrice the mass", fat.BigEnd.Y, 3*f.BigEnd.Y, 1e-9, 1e-9)
		other := must(NewMechanism(must(NewSlider(m.r, m.l, -m.e))(t), m.parts))(t)
		f, g := must(m.At(a, 300, 3e6))(t), must(other.At(-a, 300, 3e6))(t)
		near1(t, "mirrored along", g.BigEnd.X, f.BigEnd.X, 1e-9, 1e-6)
		near1(t, "mirrored across", g.BigEnd.Y, -f.BigEnd.Y, 1e-9, 1e-6)
		near1(t, "mirrored torque", g.Torque, -f.Torque, 1e-9, 1e-7)
	}
}

// layouts of the table of inherent balance: phases of throws and banks are those
// of the source, places in units of the bore spacing.
var layouts = map[string]struct{ throw, bank, at []float64 }{
	"single":           {[]float64{0}, []float64{0}, []float64{0}},
	"inline2_360":      {[]float64{0, 0}, []float64{0, 0}, []float64{-0.5, 0.5}},
	"inline2_180":      {[]float64{0, 180}, []float64{0, 0}, []float64{-0.5, 0.5}},
	"inline3_120":      {[]float64{0, 240, 120}, []float64{0, 0, 0}, []float64{-1, 0, 1}},
	"inline4_flat":     {[]float64{0, 180, 180, 0}, []float64{0, 0, 0, 0}, []float64{-1.5, -0.5, 0.5, 1.5}},
	"inline5_72":       {[]float64{0, 144, 216, 288, 72}, []float64{0, 0, 0, 0, 0}, []float64{-2, -1, 0, 1, 2}},
	"inline6_120":      {[]float64{0, 240, 120, 120, 240, 0}, []float64{0, 0, 0, 0, 0, 0}, []float64{-2.5, -1.5, -0.5, 0.5, 1.5, 2.5}},
	"flat4_boxer":      {[]float64{0, 180, 180, 0}, []float64{90, -90, 90, -90}, []float64{-1.5, -0.9, 0.9, 1.5}},
	"flat6_boxer":      {[]float64{0, 180, 120, 300, 240, 60}, []float64{90, -90, 90, -90, 90, -90}, []float64{-2, -1.6, -0.2, 0.2, 1.6, 2}},
	"v8_90_crossplane": {[]float64{0, 0, 90, 90, 270, 270, 180, 180}, []float64{45, -45, 45, -45, 45, -45, 45, -45}, []float64{-1.5, -1.5, -0.5, -0.5, 0.5, 0.5, 1.5, 1.5}},
	"v8_90_flatplane":  {[]float64{0, 0, 180, 180, 180, 180, 0, 0}, []float64{45, -45, 45, -45, 45, -45, 45, -45}, []float64{-1.5, -1.5, -0.5, -0.5, 0.5, 0.5, 1.5, 1.5}},
	"v6_60_six_throw":  {[]float64{0, 60, 240, 300, 120, 180}, []float64{30, -30, 30, -30, 30, -30}, []float64{-1, -1, 0, 0, 1, 1}},
	"v12_60": {[]float64{0, 0, 240, 240, 120, 120, 120, 120, 240, 240, 0, 0}, []float64{30, -30, 30, -30, 30, -30, 30, -30, 30, -30, 30, -30},
		[]float64{-2.5, -2.5, -1.5, -1.5, -0.5, -0.5, 0.5, 0.5, 1.5, 1.5, 2.5, 2.5}},
}

// Published: KIN-09, inherent balance of common layouts. The shaking force and
// its couple are taken from the loads that Engine gives (throws) and the thrust
// on the walls, with a rod without mass, and parted into orders.
func TestPublishedInherentBalance(t *testing.T) {
	const n = 720
	m := must(NewMechanism(must(NewSlider(0.045, 0.144, 0))(t), Parts{Piston: 1, Bore: 0.08}))(t)
	none := make([]float64, n)
	tab := must(NewTable(m, n, 0))(t)
	one := NewLoads(n)
	if err := tab.Loads(1, none, &one); err != nil {
		t.Fatal(err)
	}
	axial := make([]Vec, n) // without the thrust, which the block gives back
	for i, b := range one.BigEnd {
		axial[i].X = b.X
	}
	for _, row := range table(t, "inherent_balance.csv") {
		want := numbers(t, row[1:])
		c, ok := layouts[row[0]]
		if !ok {
			t.Fatalf("no layout %s", row[0])
		}
		l := Layout{Mains: []float64{-3, 3}}
		for i := range c.throw {
			l.Throws = append(l.Throws, Throw{Phase: c.throw[i] * deg, At: c.at[i]})
			l.Cylinders = append(l.Cylinders, Place{Throw: i, Bank: c.bank[i] * deg})
			l.Cylinders[i].Fires = l.top(i)
		}
		e := must(NewEngine(l, []Mechanism{m}, n))(t)
		h := e.NewHistories()
		if err := e.Loads(1, [][]float64{none}, h); err != nil {
			t.Fatal(err)
		}
		force, couple := make([]Vec, n), make([]Vec, n)
		for i := range n {
			for k, p := range l.Cylinders {
				local := (i - int(math.Round(p.Fires/(4*math.Pi)*n)) + n) % n
				f := h.Throws[k][i].Plus(Vec{0, one.Thrust[local]}.Turned(p.Bank))
				force[i] = force[i].Plus(f)
				couple[i] = couple[i].Plus(f.Times(c.at[k]))
			}
		}
		for j, order := range []int{1, 2, 4, 6} {
			unit := most(axial, order)
			near1(t, row[0]+" force", most(force, order)/unit, want[2*j], 1e-6, 1e-6)
			near1(t, row[0]+" couple", most(couple, order)/unit, want[2*j+1], 1e-6, 1e-6)
		}
		// What the mains carry adds up to what the throws put on them.
		for i := range n {
			var sum Vec
			for _, f := range h.Throws {
				sum = sum.Plus(f[i])
			}
			near1(t, "mains", h.Mains[0][i].Plus(h.Mains[1][i]).Plus(sum.Times(-1)).Length(), 0, 0, 1e-12)
		}
	}
}

// most is the largest length over a turn of what one order leaves of a vector,
// half the axis of an ellipse. Orders are counted by turns of the crank, and a
// history is two turns long.
func most(v []Vec, order int) float64 {
	n := len(v)
	var x, y complex128
	for i, f := range v {
		turn := cmplx.Rect(2/float64(n), -2*math.Pi*float64(2*order*i)/float64(n))
		x += complex(f.X, 0) * turn
		y += complex(f.Y, 0) * turn
	}
	return (cmplx.Abs(x+1i*y) + cmplx.Abs(x-1i*y)) / 2
}
