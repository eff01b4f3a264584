package model

import (
	"math"
	"testing"

	"fettle/internal/judge/assess"
)

// otto is a synthetic pressure: polytropic in and out with a jump at the top.
func otto(peak float64) []float64 {
	gas := make([]float64, points)
	for i := range gas {
		th := float64(i) * 4 * math.Pi / points
		if th < math.Pi {
			gas[i] = peak * math.Pow(1+4.5*(1-math.Cos(th)), -1.3)
		} else if th > 3*math.Pi {
			gas[i] = 0.3 * peak * math.Pow(1+4.5*(1-math.Cos(th)), -1.3)
		}
	}
	return gas
}

// rigged is a demonstration job on the rig, at the speed at which bearings are
// compared.
func rigged(t testing.TB, name string, move map[string]string) (*Rig, Duty, *assess.Assessment) {
	t.Helper()
	lib, _ := knowledge(t)
	a := judged(t, lib, name, move)
	run, _ := lib.Running(a.Family)
	e, err := Build(lib.Families[a.Family], run, a, "")
	if err != nil {
		t.Fatal(err)
	}
	r, err := e.Rig()
	if err != nil {
		t.Fatal(err)
	}
	o, _ := lib.Lubricants().Oil(run.Oil.Usual)
	oil, err := Oil(o)
	if err != nil {
		t.Fatal(err)
	}
	return r, Duty{Speed: run.Track.Speed.SI(), Oil: oil, Inlet: run.Track.Oil.SI(), Supply: run.Track.Pressure.SI(), Gas: otto(85e5)}, a
}

// The big end that was planted is the one that stands out, wherever it was
// planted; where none was, none does.
func TestWornIsThePlanted(t *testing.T) {
	for _, c := range []struct {
		name  string
		move  map[string]string
		place string
	}{{"2026-014", nil, "shell-pin/4"}, {"2026-014", map[string]string{"big-end-worn-through": "2"}, "shell-pin/2"}, {"2026-021", nil, ""}} {
		r, d, _ := rigged(t, c.name, c.move)
		l, err := r.Loads(d)
		if err != nil {
			t.Fatal(err)
		}
		got := r.Films(d, l, r.Clearances(), false)
		w := r.Worn(got, r.slopes(d, l, r.Clearances(), got))
		switch {
		case w == nil && c.place != "" || w != nil && r.Bearings()[w.Bearing].ID != c.place:
			t.Errorf("%s moved %v: %+v, want %q", c.name, c.move, w, c.place)
		case w != nil && (w.Gap >= w.Usual || w.Flow <= w.FlowUsual):
			t.Errorf("%s: more clearance gives film %v of %v and oil %v of %v", c.place, w.Gap, w.Usual, w.Flow, w.FlowUsual)
		}
	}
}

// Every clearance is tried with every oil, the best is the best, and a thicker
// oil makes more film at the same clearance.
func TestStudyRanks(t *testing.T) {
	r, d, _ := rigged(t, "2026-014", nil)
	lib, _ := knowledge(t)
	var pours []Pour
	for _, id := range []string{"oil-0w-20", "oil-5w-40", "oil-10w-60"} {
		o, _ := lib.Lubricants().Oil(id)
		x, err := Oil(o)
		if err != nil {
			t.Fatal(err)
		}
		pours = append(pours, Pour{id, x})
	}
	s, err := r.Study(d, "shell-pin", []float64{40e-6, 50e-6, 60e-6}, pours, 2.5e-6)
	if err != nil {
		t.Fatal(err)
	}
	for i, row := range s.Cells {
		for k, c := range row {
			if c.Bearing < 0 || r.Bearings()[c.Bearing].Component != "shell-pin" || !(c.U > 0) {
				t.Errorf("%s at %v: %+v", s.Oils[i], s.Clearances[k], c)
			}
			if i > 0 && c.Gap <= s.Cells[i-1][k].Gap {
				t.Errorf("%s makes less film than %s at %v", s.Oils[i], s.Oils[i-1], s.Clearances[k])
			}
			if c.Gap > s.Best.Gap {
				t.Errorf("%v is better than the best", c)
			}
		}
	}
	if s.Best.Oil != "oil-10w-60" || s.Next == nil || !(s.Chance > 0.5 && s.Chance <= 1) {
		t.Errorf("best %+v, next %+v, chance %v", s.Best, s.Next, s.Chance)
	}
}

// BenchmarkFilms is the six with its thirteen bearings, loads and heat balance;
// the gas is given.
func BenchmarkFilms(b *testing.B) {
	lib, _ := knowledge(b)
	run, _ := lib.Running("tarn-32-6")
	e, err := Build(lib.Families["tarn-32-6"], run, nil, "")
	if err != nil {
		b.Fatal(err)
	}
	r, err := e.Rig()
	if err != nil {
		b.Fatal(err)
	}
	o, _ := lib.Lubricants().Oil(run.Oil.Usual)
	oil, err := Oil(o)
	if err != nil {
		b.Fatal(err)
	}
	d := Duty{Speed: run.Track.Speed.SI(), Oil: oil, Inlet: run.Track.Oil.SI(), Supply: run.Track.Pressure.SI(), Gas: otto(85e5)}
	for b.Loop() {
		l, err := r.Loads(d)
		if err != nil {
			b.Fatal(err)
		}
		r.Films(d, l, e.Clearances(), false)
	}
}

// BenchmarkLook is one move of a slider on the demonstration's six: all bearings,
// their slopes, the build that lived, and the ground under one.
func BenchmarkLook(b *testing.B) {
	r, _, _ := rigged(b, "2026-021", nil)
	lib, _ := knowledge(b)
	for b.Loop() {
		l, err := r.Look(lib, Asked{Pin: 50e-6})
		if err != nil {
			b.Fatal(err)
		}
		l.Ground()
	}
}

// BenchmarkStudy is five clearances with four oils on the big ends of the six.
func BenchmarkStudy(b *testing.B) {
	r, d, _ := rigged(b, "2026-021", nil)
	var pours []Pour
	for range 4 {
		pours = append(pours, Pour{"x", d.Oil})
	}
	for b.Loop() {
		if _, err := r.Study(d, "shell-pin", []float64{40e-6, 45e-6, 50e-6, 55e-6, 60e-6}, pours, 2.5e-6); err != nil {
			b.Fatal(err)
		}
	}
}
