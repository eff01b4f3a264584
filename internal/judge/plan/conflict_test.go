package plan

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"fettle/internal/judge/allocate"
	"fettle/internal/know/family"
	"fettle/internal/know/route"
)

// Law: a smallest set cannot be met, and without any one of its members the
// others can. Held against random tasks of covering.
func TestLawSmallest(t *testing.T) {
	r := rand.New(rand.NewPCG(91, 92))
	none := 0
	for range 2000 {
		n := 2 + r.IntN(9)
		var bad [][]int // sets of demands that contradict one another
		for range r.IntN(4) {
			var s []int
			for k := range n {
				if r.IntN(3) == 0 {
					s = append(s, k)
				}
			}
			if len(s) > 0 {
				bad = append(bad, s)
			}
		}
		met := func(active []bool) bool {
			for _, s := range bad {
				if !slices.ContainsFunc(s, func(k int) bool { return !active[k] }) {
					return false
				}
			}
			return true
		}
		got := smallest(n, met)
		if len(bad) == 0 {
			none++
			if got != nil {
				t.Fatalf("%v found where nothing contradicts", got)
			}
			continue
		}
		irreducible(t, got, n, met)
	}
	if none < 100 || none > 1500 {
		t.Errorf("%d of 2000 contradict nothing", none)
	}
}

func irreducible(t *testing.T, set []int, n int, met func([]bool) bool) {
	t.Helper()
	active := make([]bool, n)
	for _, k := range set {
		active[k] = true
	}
	if len(set) == 0 || met(active) {
		t.Fatalf("%v can be met", set)
	}
	for _, k := range set {
		active[k] = false
		if !met(active) {
			t.Fatalf("%v without %d cannot be met", set, k)
		}
		active[k] = true
	}
}

// task is bearings whose housings are so much larger than 66 mm, and a shelf.
func task(classes map[string]int, house ...int64) (*maker, *shellTask) {
	m := &maker{steps: map[string]int64{}}
	m.lay = &family.Layout{Family: &family.Family{}}
	low, high := int64(40_000), int64(44_000)
	t := &shellTask{fit: route.Fit{ID: "mains", Part: "shell-main", Group: "main"}, rules: allocate.ShellRules{Target: 42_000, Aim: allocate.Target, Ladder: []string{"a", "b", "c"}, Steps: 1}}
	for i, h := range house {
		t.bearings = append(t.bearings, allocate.Bearing{ID: fmt.Sprint("main/", i+1), Housing: allocate.Size{N: 66_000_000 + h}, Journal: allocate.Size{N: 61_978_000}, Limits: allocate.Limits{Low: &low, High: &high}})
		t.at = append(t.at, i)
	}
	wall := map[string]int64{"a": 1_986_000, "b": 1_990_000, "c": 1_994_000}
	for _, c := range []string{"a", "b", "c"} {
		if n, ok := classes[c]; ok {
			t.parts = append(t.parts, Part{ID: c, Kind: "shell-main", Class: c, Count: n, Sizes: map[string]allocate.Size{Wall: {N: wall[c]}}})
		}
	}
	return m, t
}

// Law: where one conflict stands alone, giving up any one of its demands lets the
// engine be served; where another stands behind it, the ways out that are named
// still do. Synthetic: two mains that need four halves of class c, three of which
// are on the shelf; one main that would need classes two apart of which the one is
// not there either; one that is too wide for any shell.
func TestLawShellConflict(t *testing.T) {
	for name, x := range map[string]struct {
		stock map[string]int
		house []int64
		want  []string
		ways  []string
		alone bool
	}{
		"too few of a class":  {map[string]int{"a": 4, "c": 3}, []int64{8_000, 8_000}, []string{"stock c", "place main/1", "place main/2"}, []string{"plan.way.buy", "plan.way.limits", "plan.way.limits"}, true},
		"classes too far":     {map[string]int{"a": 4, "c": 0}, []int64{0}, []string{"place main/1"}, []string{"plan.way.limits"}, false},
		"nothing near enough": {map[string]int{"a": 4}, []int64{60_000}, []string{"limits main/1", "place main/1"}, []string{"plan.way.limits"}, true},
	} {
		m, s := task(x.stock, x.house...)
		if ok, err := allocate.Serves(s.bearings, s.shelf(), s.rules); ok || err != nil {
			t.Fatalf("%s: served as it is, %v", name, err)
		}
		c, err := m.blameShells(s)
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, d := range c.Members {
			got = append(got, d.Kind+" "+d.Ref)
		}
		for _, w := range x.want {
			if !slices.Contains(got, w) {
				t.Errorf("%s: %v, expected %s among them", name, got, w)
			}
		}
		var ways []string
		for _, w := range c.Ways {
			ways = append(ways, w.Key)
		}
		slices.Sort(ways)
		if !slices.Equal(ways, x.ways) {
			t.Errorf("%s: ways out %v, expected %v", name, ways, x.ways)
		}
		for _, d := range c.Members {
			if x.alone && !served(t, s, d) {
				t.Errorf("%s: without %s %s it still cannot be served: %v", name, d.Kind, d.Ref, got)
			}
		}
	}
}

// served gives one demand up by hand and asks again.
func served(t *testing.T, s *shellTask, d Member) bool {
	t.Helper()
	b, shelf, rules := slices.Clone(s.bearings), s.shelf(), s.rules
	switch d.Kind {
	case DemandPlace:
		b = slices.DeleteFunc(b, func(x allocate.Bearing) bool { return x.ID == d.Ref })
	case DemandLimits:
		for i := range b {
			if b[i].ID == d.Ref {
				b[i].Limits = allocate.Limits{}
			}
		}
	case DemandStock:
		for i := range shelf {
			if shelf[i].Class == d.Ref {
				shelf[i].Count = 20
			}
		}
	case DemandClasses:
		rules.Steps = 9
	default:
		t.Fatalf("a demand of kind %s", d.Kind)
	}
	ok, err := allocate.Serves(b, shelf, rules)
	if err != nil {
		t.Fatal(err)
	}
	return ok
}
