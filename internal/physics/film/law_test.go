package film

import (
	"math"
	"testing"
)

// Law: the film carries the load at every stored angle: the velocity that the
// path has there, put into the Reynolds equation, gives the force of the table,
// within 1 % of it in size and direction. Path and equation share no map.
func TestLawLoadEquilibrium(t *testing.T) {
	c := bigEndCase(t, 5760)
	c.Path = true
	o, err := Run(c)
	if err != nil {
		t.Fatal(err)
	}
	var v Solver
	n := len(o.X)
	h := c.Load.step()
	most := 0.0
	s := c.Shell.spec
	for i := 0; i < n; i += 24 {
		at := func(k int) (float64, float64) { k = (i + k + n) % n; return o.X[k], o.Y[k] }
		d := func(f func(k int) float64) float64 { return (8*(f(1)-f(-1)) - (f(2) - f(-2))) / (12 * h) }
		vx := d(func(k int) float64 { x, _ := at(k); return x })
		vy := d(func(k int) float64 { _, y := at(k); return y })
		ex, ey := at(0)
		m := c.Load.at[2*i]
		vx, vy = vx+m.w*ey, vy-m.w*ex
		size, ea := math.Hypot(vx, vy), math.Atan2(ey, ex)
		p, err := v.Solve(State{Ratio: s.Length / s.Diameter, Eps: math.Hypot(ex, ey), Beta: math.Atan2(vy, vx) - ea}, Mesh{Around: 120, Across: 12})
		if err != nil {
			t.Fatal(err)
		}
		r := s.Diameter / 2 / c.Clearance
		force := c.Viscosity * size * r * r * s.Length * s.Diameter / 4
		fx := force * (p.Along*math.Cos(ea) - p.Across*math.Sin(ea))
		fy := force * (p.Along*math.Sin(ea) + p.Across*math.Cos(ea))
		off := math.Hypot(fx-m.f*m.fx, fy-m.f*m.fy) / m.f
		if most = math.Max(most, off); !(off <= 0.01) {
			t.Errorf("step %d: the film carries (%.1f, %.1f) N of (%.1f, %.1f) N: off %.2f %%", i, fx, fy, m.f*m.fx, m.f*m.fy, 100*off)
		}
	}
	t.Logf("%d angles, off %.3f %% at most", n/24, 100*most)
}

// Law: bearings alike in μ ω (R/c)²/(F/L D) have one orbit: load and viscosity
// doubled; all lengths doubled and load four times; mirrored loads turning the
// other way have the mirrored one.
func TestLawScaling(t *testing.T) {
	base := bigEndCase(t, 0)
	base.Path = true
	want, err := Run(base)
	if err != nil {
		t.Fatal(err)
	}
	tab := bigEnd(t, 0)
	scaled := func(fx, fy, w float64) *Load {
		n := LoadTable{Period: tab.Period}
		for i := range tab.X {
			n.X, n.Y, n.Turn = append(n.X, fx*tab.X[i]), append(n.Y, fy*tab.Y[i]), append(n.Turn, w*tab.Turn[i])
		}
		l, err := NewLoad(n)
		if err != nil {
			t.Fatal(err)
		}
		return l
	}
	check := func(name string, c Case, gap, loss, mirror float64) {
		got, err := Run(c)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(got.Gap/(gap*want.Gap)-1) > 1e-6 || math.Abs(got.Loss/(loss*want.Loss)-1) > 1e-6 || got.Step != want.Step && math.Abs(got.Step-want.Step) > 1e-3 {
			t.Errorf("%s: gap %g, loss %g, expected %g, %g", name, got.Gap, got.Loss, gap*want.Gap, loss*want.Loss)
		}
		for i := range got.X {
			if math.Abs(got.X[i]-want.X[i]) > 1e-6 || math.Abs(got.Y[i]-mirror*want.Y[i]) > 1e-6 {
				t.Fatalf("%s: at step %d (%g, %g), expected (%g, %g)", name, i, got.X[i], got.Y[i], want.X[i], mirror*want.Y[i])
			}
		}
	}
	c := base
	c.Load, c.Viscosity = scaled(2, 2, 1), 2*base.Viscosity
	check("twice the load and viscosity", c, 1, 2, 1)
	c = base
	c.Load = scaled(4, 4, 1)
	c.Clearance *= 2
	big, err := maps(t).NewShell(ShellSpec{Diameter: 0.096, Length: 0.037})
	if err != nil {
		t.Fatal(err)
	}
	c.Shell = big
	check("twice as large", c, 2, 8, 1)
	c = base
	c.Load = scaled(1, -1, -1)
	check("mirrored", c, 1, 1, -1)
}

// Law: a ring groove is two bearings of half the load each; of their flow that of
// the outer ends leaves.
func TestLawRingGroove(t *testing.T) {
	c := bigEndCase(t, 0)
	ring, err := maps(t).NewShell(ShellSpec{Diameter: 0.048, Length: 0.0185, Inlet: RingGroove, Width: 0.0025})
	if err != nil {
		t.Fatal(err)
	}
	half, err := maps(t).NewShell(ShellSpec{Diameter: 0.048, Length: 0.008})
	if err != nil {
		t.Fatal(err)
	}
	tab := bigEnd(t, 0)
	for i := range tab.X {
		tab.X[i], tab.Y[i] = tab.X[i]/2, tab.Y[i]/2
	}
	load, err := NewLoad(tab)
	if err != nil {
		t.Fatal(err)
	}
	a, err := Run(Case{Shell: ring, Load: c.Load, Clearance: 25e-6, Viscosity: 6e-3, Supply: 4e5})
	if err != nil {
		t.Fatal(err)
	}
	b, err := Run(Case{Shell: half, Load: load, Clearance: 25e-6, Viscosity: 6e-3})
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(a.Gap/b.Gap-1) > 1e-9 || math.Abs(a.Side/b.Side-1) > 1e-9 || a.Peak != b.Peak && math.Abs(a.Peak/b.Peak-1) > 1e-9 {
		t.Errorf("ring %+v, its half %+v", a, b)
	}
	// the feed of two lands through the mean cube of the gap
	e2 := 0.0
	c.Shell, c.Path = ring, true
	o, err := Run(c)
	if err != nil {
		t.Fatal(err)
	}
	for i := range o.X {
		e2 += (o.X[i]*o.X[i] + o.Y[i]*o.Y[i]) / float64(len(o.X))
	}
	want := math.Pi * 0.024 * math.Pow(25e-6, 3) * (1 + 1.5*e2) * 4e5 / (3 * 6e-3 * 0.008)
	if math.Abs(a.Feed/want-1) > 1e-4 { // the mean here is over the steps, there over their middles too
		t.Errorf("feed %g, by hand %g m³/s", a.Feed, want)
	}
}

// Law: the film's figures are finite or refused, whatever a constructor takes.
func FuzzOrbit(f *testing.F) {
	f.Add(0.05, 0.02, 25e-6, 0.01, 1e4, 0.3, 600.0, 0.02, uint8(0), 0.003)
	f.Add(0.05, 0.02, 5e-6, 1e-5, 1e9, 2.0, 0.0, 0.5, uint8(2), 0.01)
	f.Add(1e-3, 1e-3, 1e-7, 100.0, 1e-9, 0.0, -1e9, 1e-6, uint8(4), 5e-4)
	f.Fuzz(func(t *testing.T, d, l, c, mu, force, angle, turn, period float64, inlet uint8, width float64) {
		shell, err := maps(t).NewShell(ShellSpec{Diameter: d, Length: l, Inlet: Inlet(inlet), Width: width, From: angle, To: angle + 3, Hole: width, HoleAt: angle, RoughJournal: 1e-7})
		if err != nil {
			return
		}
		tab := LoadTable{Turn: []float64{turn}, Period: period, Steps: 36}
		for i := range 8 {
			s, k := math.Sincos(angle * float64(i+1))
			tab.X, tab.Y = append(tab.X, force*k), append(tab.Y, force*s*float64(i)/8)
		}
		load, err := NewLoad(tab)
		if err != nil {
			return
		}
		o, err := Run(Case{Shell: shell, Load: load, Clearance: c, Viscosity: mu, Supply: 1e5})
		if err != nil && o.Gap == 0 {
			return
		}
		if err != nil {
			t.Errorf("%v: %+v", err, o)
		}
		if !(o.Gap > 0 && o.Loss >= 0 && o.Side >= 0 && o.Feed >= 0 && o.Peak >= 0 && o.Eps <= mostOrbit) {
			t.Errorf("%+v", o)
		}
		if inlet == uint8(PartGroove) {
			return
		}
		if r, err := Balance(HeatCase{Shell: shell, Load: load, Clearance: c, Oil: testOil()}); err == nil && !finite(r.Celsius, r.Gap, r.Loss, r.Outlet) {
			t.Errorf("%+v", r)
		}
	})
}

// Law: the reference gives finite figures or refuses, whatever it is given.
func FuzzReference(f *testing.F) {
	f.Add(0.4, 0.9, 1.0, false, 0.0, 3.0, 0.2, uint8(40), uint8(8))
	f.Add(10.0, 0.9995, -3.1, true, 1.0, 1.0, 0.0, uint8(24), uint8(2))
	f.Fuzz(func(t *testing.T, ratio, eps, beta float64, widest bool, from, to, width float64, around, across uint8) {
		var v Solver
		p, err := v.Solve(State{Ratio: ratio, Eps: eps, Beta: beta, Feed: Feed{Widest: widest, From: from, To: to, Width: width}}, Mesh{Around: int(around), Across: int(across)})
		if err != nil {
			return
		}
		if !finite(p.Along, p.Across, p.Peak, p.Side, p.Through, p.From, p.To) || p.Peak < 0 {
			t.Errorf("%+v", p)
		}
	})
}
