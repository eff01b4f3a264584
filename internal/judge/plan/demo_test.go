package plan_test

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"fettle/internal/demo"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/facts/shop"
	"fettle/internal/judge/allocate"
	"fettle/internal/judge/assess"
	"fettle/internal/judge/compute"
	"fettle/internal/judge/plan"
	"fettle/internal/know/family"
	"fettle/internal/know/library"
)

// bench is a demonstration job, judged. Everything in it is synthetic.
type bench struct {
	lib   *library.Library
	lay   *family.Layout
	facts assess.Facts
	a     *assess.Assessment
}

func open(t testing.TB, id string) bench {
	t.Helper()
	root := filepath.Join("..", "..", "..", "data")
	files := library.Files{}
	err := filepath.WalkDir(root, func(name string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		b, err := os.ReadFile(name)
		rel, _ := filepath.Rel(root, name)
		files[filepath.ToSlash(rel)] = b
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	lib, faults := library.Read(files, compute.Signature)
	if faults = append(faults, lib.Guides()...); len(faults) > 0 {
		t.Fatal(faults)
	}
	tr, faults := demo.Load(id, files["demo/"+id+".yaml"], "shop.yaml", files["demo/shop.yaml"])
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	lay, faults := lib.Family(tr.Family, files["family/"+tr.Family+".yaml"])
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	made, faults := demo.Make(tr, lay, lib, 0, nil)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	b := bench{lib: lib, lay: lay, facts: assess.Facts{Job: job.Replay(chain(made.Job)), Shop: shop.Replay(chain(made.Shop))}}
	if b.a, err = assess.Evaluate(assess.Knowledge{Library: lib, Layout: lay}, b.facts, assess.Plan{}); err != nil {
		t.Fatal(err)
	}
	return b
}

func chain(es []entry.Entry) []entry.Row {
	rows := make([]entry.Row, len(es))
	for i, e := range es {
		rows[i] = entry.Row{Entry: e, Seq: int64(i + 1)}
	}
	return rows
}

func (b bench) input(route string, s plan.Shelf) plan.Input {
	return plan.Input{Knowledge: assess.Knowledge{Library: b.lib, Layout: b.lay}, Facts: b.facts, Assessment: b.a, Shelf: s, Route: route}
}

func (b bench) plan(t testing.TB, route string, s plan.Shelf) *plan.Plan {
	t.Helper()
	p, err := plan.Make(b.input(route, s))
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func mm(x float64) int64 { return int64(x*1e6 + 0.5) }

// shelf is a synthetic one of some 400 parts for a family: shells of every class
// and step, 200 shims, pistons of every step, springs, ring sets and gaskets.
func shelf(b bench) plan.Shelf {
	e := &b.lay.Family.Engine
	s := plan.Shelf{Currency: "EUR"}
	add := func(p plan.Part) { s.Parts = append(s.Parts, p) }
	one := func(n int64, u float64) allocate.Size { return allocate.Size{N: n, U: u} }
	shells := func(kind string, classes []family.ShellClass, steps []int64) {
		for _, step := range steps {
			for i, c := range classes {
				for k, role := range []string{"upper", "lower"} {
					id := fmt.Sprintf("%s-%s-%s-%d", kind, c.Class, role, step/10_000)
					n := int64((c.Min.SI()+c.Max.SI())/2*1e9) + step/2 + int64(300*(i-k))
					add(plan.Part{ID: id, Kind: kind, Item: id, Class: c.Class, Role: role, Step: step, Count: 4, Sizes: map[string]allocate.Size{plan.Wall: one(n, 600)}})
					buy := id + "-new"
					lot := allocate.Graded(int64(c.Min.SI()*1e9)+step/2, int64(c.Max.SI()*1e9)+step/2)
					add(plan.Part{ID: buy, Kind: kind, Item: id, Class: c.Class, Role: role, Step: step, Count: 12, Buy: true, Sizes: map[string]allocate.Size{plan.Wall: lot}})
					s.Offers = append(s.Offers, plan.Offer{Supplier: "north", Item: id, Price: 9_500, Have: 12, DaysLow: 2, DaysHigh: 4})
				}
			}
		}
	}
	steps := func(list []int64, more ...float64) []int64 {
		for _, m := range more {
			list = append(list, mm(m))
		}
		return list
	}
	shells("shell-main", e.Shells.Main, steps([]int64{0}, 0.25))
	shells("shell-pin", e.Shells.Pin, steps([]int64{0}, 0.25))
	for i := range 200 {
		add(plan.Part{ID: fmt.Sprintf("shim-%03d", i), Kind: "shim", Count: 1, Sizes: map[string]allocate.Size{plan.Thickness: one(mm(2.2)+int64(i)*4_500, 800)}})
	}
	for _, step := range []float64{0, 0.25, 0.50} {
		for i := range 8 {
			add(plan.Part{ID: fmt.Sprintf("piston-%.2f-%d", step, i), Kind: "piston", Item: "piston", Step: mm(step), Count: 1, Sizes: map[string]allocate.Size{
				plan.Diameter: one(int64(e.Bore.SI()*1e9)+mm(step)-mm(0.05)+int64(i*1500), 1200), plan.Mass: one(397_000+int64(i*i%7)*300, 100)}})
		}
		add(plan.Part{ID: fmt.Sprintf("rings-%.2f", step), Kind: "ring-set", Item: "rings", Step: mm(step), Count: 6, Sizes: nil})
	}
	seat, full := b.lay.Places[b.lay.Of("spring/load-seat")[0]].Char.Nominal.SI(), b.lay.Places[b.lay.Of("spring/load-open")[0]].Char.Nominal.SI()
	for i := range 8 {
		add(plan.Part{ID: fmt.Sprintf("spring-%d", i), Kind: "spring", Item: "spring", Count: 1, Sizes: map[string]allocate.Size{plan.Load: one(int64(seat*1e3)+int64(i*700), 900), plan.Opened: one(int64(full*1e3)+int64(i*800), 1500)}})
	}
	for _, g := range e.Gaskets {
		add(plan.Part{ID: "gasket-" + g.ID, Kind: "gasket", Class: g.ID, Item: "gasket-" + g.ID, Count: 1, Sizes: nil})
	}
	for _, g := range b.lib.Operations().Goods {
		if b.lay.Component(g.Component) != nil {
			add(plan.Part{ID: g.Component + "-new", Kind: g.Component, Item: g.Component, Count: 50, Buy: true})
			s.Offers = append(s.Offers, plan.Offer{Supplier: "south", Item: g.Component, Price: 40_000, Have: 50, DaysLow: 3, DaysHigh: 9})
		}
	}
	return s
}

// Law: by every route each demonstration job ends with a plan that is whole and
// does not contradict itself. Synthetic.
func TestLawDemoJobsArePlanned(t *testing.T) {
	for _, id := range []string{"2026-014", "2026-021"} {
		b := open(t, id)
		s := shelf(b)
		for _, route := range b.lib.Routes().Names() {
			p := b.plan(t, route, s)
			if !p.Complete {
				j, _ := json.MarshalIndent(struct{ C, O, M any }{p.Conflicts, p.Open, p.Purchase.Missing}, "", " ")
				t.Errorf("%s by %s is not whole: %s", id, route, j)
			}
			consistent(t, b, p)
			if out := os.Getenv("FETTLE_PLAN_OUT"); out != "" {
				j, _ := json.MarshalIndent(p, "", " ")
				os.WriteFile(filepath.Join(out, id+"-"+route+".json"), j, 0o644)
			}
		}
	}
}

// BenchmarkSix is every selection of a six of 24 valves with 400 parts on the
// shelf, by the route that cuts most.
func BenchmarkSix(b *testing.B) {
	bench := open(b, "2026-021")
	in := bench.input("restore", shelf(bench))
	b.ReportMetric(float64(len(in.Shelf.Parts)), "parts")
	for b.Loop() {
		if _, err := plan.Make(in); err != nil {
			b.Fatal(err)
		}
	}
}

// consistent holds a plan against itself and the knowledge: each place of each fit
// has its choice with its reason and its runner-up, no piece of the shelf is used
// twice, halves keep to the rules, bores are as much larger than their pistons as
// wanted, and every line of the purchase is needed.
func consistent(t *testing.T, b bench, p *plan.Plan) {
	t.Helper()
	used := map[string]int{}
	for _, f := range p.Fits {
		want := map[string]bool{}
		for _, i := range b.lay.Of(fitOf(b, f.ID)) {
			want[b.lay.Places[i].ID] = true
		}
		for _, c := range f.Choices {
			delete(want, c.Position)
			if c.Why.Key == "" || c.Instead == nil || c.Instead.Key == "" {
				t.Errorf("%s %s: %s does not say why, or why not another", p.Job, p.Route, c.Position)
			}
			if f.ID == "pistons" || f.ID == "masses" {
				continue // a piston stands in both
			}
			for _, x := range c.Parts {
				if x.From == plan.FromShelf && f.Kind != "gasket" {
					used[x.ID]++
				}
			}
		}
		if f.Kind != "rings" && len(want) > 0 {
			t.Errorf("%s %s: %s leaves out %v", p.Job, p.Route, f.ID, want)
		}
	}
	have := map[string]int{}
	for _, x := range shelf(b).Parts {
		have[x.ID] = x.Count
	}
	for id, n := range used {
		if n > have[id] {
			t.Errorf("%s %s: %d of %s are used, %d are there", p.Job, p.Route, n, id, have[id])
		}
	}
	if len(p.Fits) < 8 || len(p.Work) < 10 || p.Purchase.Total == "" {
		t.Errorf("%s %s: %d fits, %d operations, total %s", p.Job, p.Route, len(p.Fits), len(p.Work), p.Purchase.Total)
	}
}

func fitOf(b bench, id string) string {
	for _, f := range b.lib.Routes().Fits {
		if f.ID == id {
			return f.Fit
		}
	}
	return ""
}

// Law: the same inputs give the same bytes, whatever the order of the shelf; and a
// decision of a person stands before the route.
func TestLawPlanIsAFunction(t *testing.T) {
	b := open(t, "2026-014")
	s := shelf(b)
	first, _ := json.Marshal(b.plan(t, "restore", s))
	turned := s
	turned.Parts = slices.Clone(s.Parts)
	slices.Reverse(turned.Parts)
	turned.Offers = slices.Clone(s.Offers)
	slices.Reverse(turned.Offers)
	if second, _ := json.Marshal(b.plan(t, "restore", turned)); string(first) != string(second) {
		t.Error("the order of the shelf changes the plan")
	}
	state := *b.facts.Job
	state.Decisions = append(state.Decisions, job.Decided{DecisionV1: job.DecisionV1{Finding: "bore-taper@block", Outcome: "reuse-with-note", Reason: "the owner agrees"}})
	b.facts.Job = &state
	p := b.plan(t, "restore", s)
	for _, c := range p.Cuts {
		if c.Group == "bore" && !slices.ContainsFunc(p.Findings, func(d plan.Disposition) bool { return d.Finding == "bore-out-of-round" && d.Outcome == "rework" }) {
			t.Error("the bores are cut though a person decided otherwise")
		}
	}
	if d := p.Findings[0]; d.By != plan.ByPerson || d.Outcome != "reuse-with-note" || d.Reason == "" {
		t.Errorf("%+v, a person decided", d)
	}
}

// Law: what the selections worked out for shells and pistons is what the engine's
// own relations give for the same parts and cuts, to the last digit shown, with a
// doubt within a tenth: the two roads share no code but the relations' meaning.
func TestLawForeseen(t *testing.T) {
	for _, id := range []string{"2026-014", "2026-021"} {
		b := open(t, id)
		s := shelf(b)
		p := b.plan(t, "restore", s)
		after, err := plan.Foresee(b.input("restore", s), p)
		if err != nil {
			t.Fatal(err)
		}
		seen := 0
		for _, f := range p.Fits {
			if f.ID != "mains" && f.ID != "pins" && (f.ID != "pistons" || f.Proof != "honed") && f.ID != "shims" && f.ID != "rings" {
				continue
			}
			for _, c := range f.Choices {
				v, ok := after.Find(c.Position, job.Planned)
				if !ok {
					t.Errorf("%s: %s is not foreseen", id, c.Position)
					continue
				}
				seen++
				if math.Abs(v.SI-c.SI) > 0.06e-6 {
					t.Errorf("%s: %s chosen for %s, foreseen %s", id, c.Position, c.Value, v.Y)
				}
				if c.SU == 0 || math.Abs(v.SU/c.SU-1) > 0.1 {
					t.Errorf("%s: %s with a doubt of %s, foreseen %s", id, c.Position, c.U, v.U)
				}
			}
		}
		if seen < 30 {
			t.Errorf("%s: only %d places are foreseen", id, seen)
		}
	}
}

// Law: a compression ratio that no gasket gives within all limits is a conflict
// whose demands cannot be met together; the engine is planned all the same.
// Synthetic: the owner wants 9.2 of an engine of 10.0.
func TestLawWishedRatio(t *testing.T) {
	b := open(t, "2026-021")
	in := b.input("upgrade", shelf(b))
	in.Wish.Ratio = 9.2
	p, err := plan.Make(in)
	if err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(p.Conflicts, func(c plan.Conflict) bool { return c.ID == "gasket" })
	if i < 0 || p.Complete {
		t.Fatalf("no conflict of the gasket: %+v", p.Conflicts)
	}
	if c := p.Conflicts[i]; len(c.Members) < 2 || len(c.Ways) == 0 {
		t.Errorf("%+v says no demands or no way out", c)
	}
	in.Wish.Ratio = 99
	if _, err := plan.Make(in); err == nil {
		t.Error("a ratio of 99 is planned for")
	}
}
