package crank

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

// six is an inline six of even firing, seven mains, counterweights on it.
func six(t testing.TB) Layout {
	t.Helper()
	l := Layout{}
	for i, phase := range []float64{0, 240, 120, 120, 240, 0} {
		l.Throws = append(l.Throws, Throw{Phase: phase * deg, At: 0.09 * float64(i), Unbalance: Vec{-0.02, 0}})
		l.Cylinders = append(l.Cylinders, Place{Throw: i})
	}
	for i := range 7 {
		l.Mains = append(l.Mains, 0.09*float64(i)-0.045)
	}
	return must(l.Firing([]int{1, 5, 3, 6, 2, 4}))(t)
}

// Law: firing orders of engines that exist come out with the intervals that
// they have. Intervals follow from throws and banks; orders are common practice,
// no source.
func TestLawFiring(t *testing.T) {
	for _, c := range []struct {
		name         string
		throws, bank []float64
		on           []int
		order        []int
		gaps         []float64
	}{
		{"single", []float64{0}, []float64{0}, []int{0}, []int{1}, []float64{720}},
		{"twin, pins together", []float64{0, 0}, []float64{0, 0}, []int{0, 1}, []int{1, 2}, []float64{360, 360}},
		{"twin, pins opposite", []float64{0, 180}, []float64{0, 0}, []int{0, 1}, []int{1, 2}, []float64{180, 540}},
		{"three", []float64{0, 240, 120}, []float64{0, 0, 0}, []int{0, 1, 2}, []int{1, 3, 2}, []float64{240, 240, 240}},
		{"four", []float64{0, 180, 180, 0}, []float64{0, 0, 0, 0}, []int{0, 1, 2, 3}, []int{1, 3, 4, 2}, []float64{180, 180, 180, 180}},
		{"five", []float64{0, 216, 144, 72, 288}, []float64{0, 0, 0, 0, 0}, []int{0, 1, 2, 3, 4}, []int{1, 2, 4, 5, 3}, []float64{144, 144, 144, 144, 144}},
		{"six", []float64{0, 240, 120, 120, 240, 0}, []float64{0, 0, 0, 0, 0, 0}, []int{0, 1, 2, 3, 4, 5}, []int{1, 5, 3, 6, 2, 4}, []float64{120, 120, 120, 120, 120, 120}},
		// Two rods a pin, 90°, the odd bank ahead in the sense of rotation.
		{"eight in a V", []float64{0, 90, 270, 180}, []float64{45, -45, 45, -45, 45, -45, 45, -45}, []int{0, 0, 1, 1, 2, 2, 3, 3},
			[]int{1, 8, 4, 3, 6, 5, 7, 2}, []float64{90, 90, 90, 90, 90, 90, 90, 90}},
		{"twin in a V of 45°, one pin", []float64{0}, []float64{-22.5, 22.5}, []int{0, 0}, []int{2, 1}, []float64{315, 405}},
	} {
		var l Layout
		for i, p := range c.throws {
			l.Throws = append(l.Throws, Throw{Phase: p * deg, At: float64(i)})
		}
		for i, on := range c.on {
			l.Cylinders = append(l.Cylinders, Place{Throw: on, Bank: c.bank[i] * deg})
		}
		l.Mains = []float64{-1, 9}
		l, err := l.Firing(c.order)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if err := l.check(); err != nil {
			t.Errorf("%s: %v", c.name, err)
		}
		order, gaps := l.Intervals()
		at := 0
		for order[at] != c.order[0] {
			at++
		}
		for i := range order {
			k := (at + i) % len(order)
			if order[k] != c.order[i] || math.Abs(gaps[k]-c.gaps[i]*deg) > 1e-9 {
				t.Errorf("%s: order %v, gaps %v; want %v from there, %v", c.name, order, gaps, c.order, c.gaps)
				break
			}
		}
	}
	var l Layout
	l.Throws = []Throw{{}, {Phase: 180 * deg}, {Phase: 180 * deg}, {}}
	l.Cylinders = []Place{{Throw: 0}, {Throw: 1}, {Throw: 2}, {Throw: 3}}
	for _, bad := range [][]int{{1, 4, 2, 3}, {1, 2, 3}, {1, 2, 3, 3}, {0, 1, 2, 3}, {1, 2, 3, 5}} {
		if _, err := l.Firing(bad); err == nil {
			t.Errorf("order %v was taken", bad)
		}
	}
}

// Law: at every angle the mains carry what the throws put on them, moments
// included; half and half where a throw stands midway.
func TestLawMainsCarryThrows(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 1))
	l := six(t)
	for i := range l.Throws {
		l.Throws[i].At += 0.01 * (2*r.Float64() - 1)
	}
	l.Throws[2].At = 0.18
	const n = 360
	e := must(NewEngine(l, []Mechanism{some(t, r)}, n))(t)
	h := e.NewHistories()
	gauge := make([]float64, n)
	for i := range gauge {
		gauge[i] = smooth(4 * math.Pi * float64(i) / n)
	}
	if err := e.Loads(650, [][]float64{gauge}, h); err != nil {
		t.Fatal(err)
	}
	for i := range n {
		var force, moment, carried, arms Vec
		for k, f := range h.Throws {
			force, moment = force.Plus(f[i]), moment.Plus(f[i].Times(l.Throws[k].At))
		}
		for k, f := range h.Mains {
			carried, arms = carried.Plus(f[i]), arms.Plus(f[i].Times(l.Mains[k]))
		}
		near1(t, "force", force.Plus(carried.Times(-1)).Length(), 0, 0, 1e-9)
		near1(t, "moment", moment.Plus(arms.Times(-1)).Length(), 0, 0, 1e-9)
	}
	if s := e.share[2]; s.main != 2 || math.Abs(s.before-0.5) > 1e-12 {
		t.Errorf("a throw midway shares %+v, want half to main 3", s)
	}
}

// Law: loads of the throws are those of their cylinders, turned by the bank and
// shifted by the firing, with pressures of their own; also where a firing angle
// falls between two points.
func TestLawThrowsFromCylinders(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 1))
	const n, w = 720, 640.0
	l := Layout{Throws: []Throw{{Phase: 10.3 * deg, Unbalance: Vec{-0.03, 0.004}}, {Phase: 130.3 * deg, At: 0.1}},
		Cylinders: []Place{{Bank: -45 * deg}, {Bank: 47.15 * deg}, {Throw: 1, Bank: -45 * deg}}, Mains: []float64{-0.05, 0.05, 0.15}}
	l = must(l.Firing([]int{1, 3, 2}))(t)
	var m []Mechanism
	var gauge [][]float64
	load := func(k int, a float64) float64 { return smooth(a) * (1 + 0.1*float64(k)) }
	for k := range 3 {
		m = append(m, some(t, r))
		g := make([]float64, n)
		for i := range g {
			g[i] = load(k, 4*math.Pi*float64(i)/n)
		}
		gauge = append(gauge, g)
	}
	e := must(NewEngine(l, m, n))(t)
	h := e.NewHistories()
	if err := e.Loads(w, gauge, h); err != nil {
		t.Fatal(err)
	}
	for i := 0; i < n; i += 7 {
		a := 4 * math.Pi * float64(i) / n
		var want [2]Vec
		torque := 0.0
		for k, th := range l.Throws {
			want[k] = th.Unbalance.Turned(a + th.Phase).Times(w * w)
		}
		for k, c := range l.Cylinders {
			f := must(m[k].At(a+l.Throws[c.Throw].Phase-c.Bank, w, load(k, a-c.Fires)))(t)
			want[c.Throw] = want[c.Throw].Plus(f.BigEnd.Turned(c.Bank).Times(-1))
			torque += f.Torque
		}
		for k := range want {
			// Between two points a pressure is read by a cubic, a few Pa off.
			near1(t, "throw", h.Throws[k][i].Plus(want[k].Times(-1)).Length(), 0, 0, 0.2)
		}
		near1(t, "torque", h.Torque[i], torque, 0, 0.01)
	}
}

// What no engine can be is refused, with what and the range.
func TestRefuse(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	s := must(NewSlider(0.045, 0.144, 0.001))(t)
	say := func(what string, err error, word string) {
		t.Helper()
		if err == nil || !strings.Contains(err.Error(), word) {
			t.Errorf("%s: %v, want a refusal with %q", what, err, word)
		}
	}
	for _, x := range [][3]float64{{nan, 1, 0}, {0.05, nan, 0}, {0.05, 0.1, nan}, {inf, inf, 0}, {0, 0.1, 0}, {-0.05, 0.1, 0}, {0.05, 0.05, 0}, {0.05, 0.1, 0.05}, {0.05, 0.1, -inf}} {
		_, err := NewSlider(x[0], x[1], x[2])
		say("slider", err, "crank: ")
	}
	for _, x := range [][2]float64{{nan, 1e-4}, {0.08, nan}, {0.08, 0}, {0.08, -1}, {0.08, 1e9}, {0, 1e-4}} {
		_, err := NewCylinder(s, x[0], x[1])
		say("cylinder", err, "must be from")
	}
	_, err := OfRatio(s, 0.08, 1)
	say("ratio", err, "ratio")
	good := Parts{Piston: 0.4, Bore: 0.08, Rod: Rod{0.5, 0.04, 0.001}}
	for _, change := range []func(*Parts){func(p *Parts) { p.Piston = nan }, func(p *Parts) { p.Rod.Mass = -1 }, func(p *Parts) { p.Rod.Gravity = 0.2 },
		func(p *Parts) { p.Rod.Inertia = 1 }, func(p *Parts) { p.Bore = inf }} {
		p := good
		change(&p)
		_, err := NewMechanism(s, p)
		say("parts", err, "must be from")
	}
	m := must(NewMechanism(s, good))(t)
	_, err = m.At(nan, 1, 1)
	say("angle", err, "angle")
	_, err = m.At(0, nan, 1)
	say("speed", err, "speed")
	_, err = m.At(0, 1, inf)
	say("pressure", err, "pressure")
	for _, n := range []int{0, 7, 9, 2 << 20, -2} {
		_, err = NewTable(m, n, 0)
		say("points", err, "points")
	}
	_, err = NewTable(m, 8, nan)
	say("start", err, "first angle")
	tab := must(NewTable(m, 8, 0))(t)
	say("history", tab.Loads(1, []float64{0, 0, 0, nan, 0, 0, 0, 0}, &Loads{}), "pressure 3 of 8")
	l := six(t)
	for _, change := range []func(*Layout){
		func(l *Layout) { l.Throws = nil }, func(l *Layout) { l.Mains = l.Mains[:1] }, func(l *Layout) { l.Mains[2] = l.Mains[1] },
		func(l *Layout) { l.Mains[1] = nan }, func(l *Layout) { l.Throws[0].At = 5 }, func(l *Layout) { l.Throws[1].Phase = nan },
		func(l *Layout) { l.Throws[1].Unbalance.Y = inf }, func(l *Layout) { l.Cylinders[3].Throw = 6 }, func(l *Layout) { l.Cylinders[3].Bank = 1 },
		func(l *Layout) { l.Cylinders[3].Fires = 13 }, func(l *Layout) { l.Cylinders[3].Fires += 0.001 }} {
		l := six(t)
		change(&l)
		_, err := NewEngine(l, []Mechanism{m}, 72)
		say("layout", err, "crank: ")
	}
	_, err = NewEngine(l, []Mechanism{m, m}, 72)
	say("mechanisms", err, "2 mechanisms for 6")
}
