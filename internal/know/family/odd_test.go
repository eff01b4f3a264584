package family

import (
	"slices"
	"strings"
	"testing"
	"time"
)

func lay(t *testing.T, pairs ...string) *Layout {
	t.Helper()
	k := known()
	base := k.Relations
	k.Relations = func(name string) (Signature, bool) {
		if name == "maximum" {
			return Signature{Symbols: []SymbolSig{{Name: "x", Many: true}}}, true
		}
		return base(name)
	}
	l, faults := Parse("f.yaml", []byte(strings.NewReplacer(pairs...).Replace(good)), Validator(), k)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	return l
}

func derived(id, per, quantity, bind string) string {
	return "- id: " + id + "\n  name: {en: X}\n  per: " + per + "\n  quantity: " + quantity + "\n  unit: mm\n  relation: maximum\n  bind: {x: {from: " + bind + "}}\n"
}

// Law: banks that the drawing axes have no letters for are a fault, not a crash.
func TestThreeBanksAreAFault(t *testing.T) {
	text := strings.NewReplacer("  layout: inline\n  cylinders: 2\n  firing_order: [1, 2]\n", "  layout: vee\n  cylinders: 3\n  banks: [[1], [2], [3]]\n").Replace(good)
	l, faults := Parse("f.yaml", []byte(text), Validator(), known())
	if l != nil || len(faults) == 0 || faults[0].Key != "family.banks-cover" {
		t.Errorf("layout %v, faults %v", l != nil, faults)
	}
}

// Law: a firing order names cylinders that are there.
func TestFiringOrderNamesCylinders(t *testing.T) {
	text := strings.Replace(good, "firing_order: [1, 2]", "firing_order: [1, 3]", 1)
	if l, faults := Parse("f.yaml", []byte(text), Validator(), known()); l != nil || len(faults) == 0 || faults[0].Key != "family.firing-order" {
		t.Errorf("layout %v, faults %v", l != nil, faults)
	}
}

// Law: two variable camshafts are two camshafts.
func TestPhaserTwiceOnOneCam(t *testing.T) {
	p := "{cam: C, advance_stop: 10 °, retard_stop: 50 °}"
	text := strings.Replace(good, "  throttles: single", "  throttles: single\n  phasers: ["+p+", "+p+"]", 1)
	if l, faults := Parse("f.yaml", []byte(text), Validator(), known()); l != nil || len(faults) == 0 || faults[0].Key != "family.duplicate" {
		t.Errorf("layout %v, faults %v", l != nil, faults)
	}
}

// Law: every cylinder has a crankpin that is there, and without shared pins
// each its own, however the banks are divided.
func TestEveryCylinderHasItsPin(t *testing.T) {
	for _, banks := range [][][]int{{{1, 2, 3, 4, 5}}, {{1, 2, 3}, {4, 5}}, {{1, 2}, {3, 4, 5}}, {{1}, {2, 3, 4}}, {{2, 4, 6}, {1, 3, 5}}} {
		for _, shared := range []bool{false, true} {
			n := 0
			for _, b := range banks {
				n += len(b)
			}
			e := Engine{Layout: "vee", Cylinders: n, Banks: banks, SharedPins: shared}
			seen := map[int]int{}
			for c := 1; c <= n; c++ {
				p := e.PinOf(c)
				seen[p]++
				if p < 1 || p > e.Pins() || !shared && seen[p] > 1 || seen[p] > 2 {
					t.Errorf("banks %v, shared %v: cylinder %d on pin %d of %d", banks, shared, c, p, e.Pins())
				}
			}
			if len(seen) != e.Pins() {
				t.Errorf("banks %v, shared %v: %d pins used of %d", banks, shared, len(seen), e.Pins())
			}
		}
	}
}

// Law: what is worked out for a bank takes the cylinders, bridges and heads of
// that bank alone.
func TestBankTakesItsOwnCylinders(t *testing.T) {
	l := lay(t, "  layout: inline\n  cylinders: 2\n  firing_order: [1, 2]\n", "  layout: vee\n  cylinders: 4\n  shared_pins: true\n",
		"- id: block/cracks", derived("block/worst", "[bank]", "length", "block/bore")+
			derived("block/land", "[bridge]", "length", "block/bore")+derived("block/land-worst", "[bank]", "length", "block/land")+
			derived("crank/beside", "[pin]", "length", "block/bore")+"- id: block/cracks")
	for _, c := range []struct {
		at   string
		want []string
	}{
		{"block/worst/B", []string{"3", "4"}},
		{"block/land/3-4", []string{"3", "4"}},
		{"block/land-worst/B", []string{"3-4"}},
		{"crank/beside/2", []string{"2", "4"}},
	} {
		i, ok := l.Find(c.at)
		if !ok {
			t.Fatalf("no %s", c.at)
		}
		var got []string
		for _, j := range l.Places[i].In[0].Places {
			if v := l.Places[j].At[0]; !slices.Contains(got, v) {
				got = append(got, v)
			}
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%s leans on %v, want %v", c.at, got, c.want)
		}
	}
}

// Law: what leans on places that this engine does not have has none itself,
// also over two steps, and whatever order the file has them in.
func TestNothingLeansOnNothing(t *testing.T) {
	l := lay(t, "- id: block/taper", derived("block/least", "[]", "length", "block/worst-land")+derived("block/worst-land", "[]", "length", "block/land")+
		"- id: block/land\n  name: {en: Land}\n  per: [phaser]\n  quantity: length\n  unit: mm\n  gauges: [dial]\n- id: block/taper")
	for _, id := range []string{"block/land", "block/worst-land", "block/least"} {
		if n := len(l.Of(id)); n != 0 {
			t.Errorf("%s has %d places", id, n)
		}
	}
	for i := range l.Places {
		p := &l.Places[i]
		if p.Char.Relation != "" && len(p.In) != len(p.Char.Bind) {
			t.Errorf("%s has %d of its %d inputs", p.ID, len(p.In), len(p.Char.Bind))
		}
	}
}

// Law: a pattern that multiplies beyond reason is refused before it is written
// out.
func TestHugePatternIsRefusedAtOnce(t *testing.T) {
	text := strings.NewReplacer("dimensions:\n", "dimensions:\n  p: {count: 200}\n  q: {count: 200}\n  r: {count: 200}\n  s: {count: 200}\n",
		"  quantity: check", "  per: [p, q, r, s]\n  quantity: check").Replace(good)
	done := make(chan string, 1)
	go func() {
		_, faults := Parse("f.yaml", []byte(text), Validator(), known())
		if len(faults) == 0 {
			done <- "nothing"
			return
		}
		done <- faults[0].Key
	}()
	select {
	case key := <-done:
		if key != "family.too-many-places" {
			t.Error(key)
		}
	case <-time.After(5 * time.Second):
		t.Fatal("still writing places out")
	}
}
