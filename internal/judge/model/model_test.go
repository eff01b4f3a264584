package model

import (
	"math"
	"os"
	"testing"

	"fettle/internal/demo"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/facts/shop"
	"fettle/internal/judge/assess"
	"fettle/internal/judge/compute"
	"fettle/internal/know/library"
	"fettle/internal/physics/crank"
)

func read(t testing.TB, name string) []byte {
	t.Helper()
	b, err := os.ReadFile("../../../data/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// knowledge reads what the shipped engines lean on.
func knowledge(t testing.TB) (*library.Library, library.Files) {
	t.Helper()
	files := library.Files{}
	for _, f := range []string{"sources.yaml", "materials.yaml", "instruments.yaml", "findings.yaml", "lubricants.yaml", "plan.csv", "words/en.yaml"} {
		files[f] = read(t, f)
	}
	for _, id := range []string{"corran-24-5", "tarn-32-6", "skerry-40-8", "brae-05-1"} {
		files["family/"+id+".yaml"], files["running/"+id+".yaml"] = read(t, "family/"+id+".yaml"), read(t, "running/"+id+".yaml")
	}
	lib, faults := library.Read(files, compute.Signature)
	if faults = append(append(faults, lib.AllFamilies(files)...), lib.Guides()...); len(faults) > 0 {
		t.Fatal(faults)
	}
	return lib, files
}

func chain(es []entry.Entry) []entry.Row {
	rows := make([]entry.Row, len(es))
	for i := range es {
		rows[i] = entry.Row{Entry: es[i], Seq: int64(i) + 1}
	}
	return rows
}

// judged is a demonstration job as it is judged; move puts what is planted
// elsewhere.
func judged(t testing.TB, lib *library.Library, name string, move map[string]string) *assess.Assessment {
	t.Helper()
	tr, faults := demo.Load(name, read(t, "demo/"+name+".yaml"), "shop.yaml", read(t, "demo/shop.yaml"))
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	lay := lib.Families[tr.Family]
	m, faults := demo.Make(tr, lay, lib, uint64(tr.Seed), move)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	a, err := assess.Evaluate(assess.Knowledge{Library: lib, Layout: lay},
		assess.Facts{Job: job.Replay(chain(m.Job)), Shop: shop.Replay(chain(m.Shop))}, assess.Plan{})
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// Law: every shipped engine stands as its firing order says: one cylinder at its
// firing top at each equal part of 720°, and throws in balance as the layout has
// it.
func TestEveryEngineStands(t *testing.T) {
	lib, _ := knowledge(t)
	for id, lay := range lib.Families {
		run, _ := lib.Running(id)
		e, err := Build(lay, run, nil, "")
		if err != nil {
			t.Fatal(err)
		}
		l, err := e.layout()
		if err != nil {
			t.Fatal(err)
		}
		ms, err := e.mechanisms()
		if err != nil {
			t.Fatal(err)
		}
		if _, err := crank.NewEngine(l, ms, points); err != nil {
			t.Errorf("%s: %v", id, err)
		}
		order, gaps := l.Intervals()
		for k, g := range gaps {
			if want := 4 * math.Pi / float64(len(order)); math.Abs(g-want) > 1e-9 {
				t.Errorf("%s: gap %d is %v, want %v", id, k, g, want)
			}
			if got := lay.Family.Engine.FiringOrder; len(got) > 0 && got[k] != order[k] {
				t.Errorf("%s: fires %v, its file says %v", id, order, got)
			}
		}
		var sum crank.Vec
		for _, th := range l.Throws {
			sum = sum.Plus(crank.Vec{X: math.Cos(th.Phase), Y: math.Sin(th.Phase)})
		}
		if len(l.Throws) > 1 && sum.Length() > 1e-9 {
			t.Errorf("%s: the throws leave a rotating force of %v", id, sum)
		}
		if len(e.Drawn) == 0 {
			t.Errorf("%s: no readings, and the drawing stands in for nothing", id)
		}
	}
}

// The engine of a job has its readings: the big end that was planted is the
// widest, and no drawing stands in where something was read.
func TestBuildTakesReadings(t *testing.T) {
	lib, _ := knowledge(t)
	a := judged(t, lib, "2026-014", nil)
	run, _ := lib.Running(a.Family)
	e, err := Build(lib.Families[a.Family], run, a, "")
	if err != nil {
		t.Fatal(err)
	}
	widest := 0
	for i, b := range e.Pins {
		if !b.Clearance.Known() || !(b.Clearance.U > 0) {
			t.Errorf("%s: %+v", b.ID, b.Clearance)
		}
		if b.Clearance.Value > e.Pins[widest].Clearance.Value {
			widest = i
		}
	}
	if e.Pins[widest].Place != "4" {
		t.Errorf("the widest big end is %s", e.Pins[widest].ID)
	}
	for _, char := range e.Drawn {
		t.Errorf("the drawing stands in for %s", char)
	}
	for _, c := range e.Cylinders {
		if v, ok := a.Find("cylinder/compression-ratio/"+c.Name, job.Found); !ok || v.SI != c.Ratio.Value {
			t.Errorf("cylinder %s has a ratio of %v", c.Name, c.Ratio)
		}
	}
	if len(e.Line) != len(e.Mains) || math.Abs(e.Line[3].Value-80e-6) > 20e-6 {
		t.Errorf("saddles %v: the fourth was planted 80 µm off", e.Line)
	}
}

// Bad input has a sentence of its own.
func TestBuildRefuses(t *testing.T) {
	lib, _ := knowledge(t)
	run, _ := lib.Running("corran-24-5")
	if _, err := Build(lib.Families["corran-24-5"], nil, nil, ""); err == nil {
		t.Error("nothing says how it runs, and it was built")
	}
	if _, err := Build(lib.Families["tarn-32-6"], run, nil, ""); err == nil {
		t.Error("another family's file was taken")
	}
}
