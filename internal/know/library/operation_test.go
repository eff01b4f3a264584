package library_test

import (
	"slices"
	"testing"

	"fettle/internal/know/family"
	"fettle/internal/know/operation"
)

// Law: whatever the operations name is there in a shipped family, what closes
// one can be measured, and what one sets is of the kind of its tolerance.
func TestOperationsNameWhatThereIs(t *testing.T) {
	l, _ := shipped(t)
	c := l.Operations()
	if fl := l.Guides(); len(fl) > 0 {
		t.Fatal(fl)
	}
	chars, comps, dims := map[string]*family.Characteristic{}, map[string]bool{}, map[string]bool{}
	for _, lay := range l.Families {
		for i := range lay.Family.Characteristics {
			chars[lay.Family.Characteristics[i].ID] = &lay.Family.Characteristics[i]
		}
		for _, p := range lay.Family.Components {
			comps[p.ID] = true
		}
		for d := range lay.Dims {
			dims[d] = true
		}
	}
	for _, g := range c.Goods {
		if !comps[g.Component] {
			t.Errorf("goods %s are of %s, which no family has", g.ID, g.Component)
		}
	}
	methods := map[string]bool{}
	for _, m := range l.Strip.Method {
		methods[m.ID] = true
	}
	for i := range c.Operations {
		o := &c.Operations[i]
		if !comps[o.Component] {
			t.Errorf("%s works on %s, which no family has", o.ID, o.Component)
		}
		if o.Test != "" && !methods[o.Test] {
			t.Errorf("%s is a test by %s, which the strip file does not have", o.ID, o.Test)
		}
		for _, d := range o.Per {
			if !dims[d] {
				t.Errorf("%s is per %s, which no family has", o.ID, d)
			}
		}
		for _, id := range append(slices.Clone(o.Closing), o.Reopens...) {
			if ch := chars[id]; ch == nil {
				t.Errorf("%s names %s, which no family has", o.ID, id)
			} else if ch.Relation != "" {
				t.Errorf("%s names %s, which is worked out and cannot be read", o.ID, id)
			}
		}
		for _, s := range o.Sets {
			if ch := chars[s.Characteristic]; ch != nil && ch.Dim() != s.Tolerance.Dim {
				t.Errorf("%s: %s within %s", o.ID, s.Characteristic, s.Tolerance)
			}
			if s.Rule == operation.GroupSize && len(o.Targets) == 0 {
				t.Errorf("%s sets a group to one size and names no target", o.ID)
			}
		}
		for _, id := range o.Closing {
			if len(o.Sets) > 0 && !slices.Contains(o.Reopens, id) && slices.ContainsFunc(o.Sets, func(s operation.Set) bool { return s.Characteristic == id }) {
				t.Errorf("%s sets %s and does not open it again", o.ID, id)
			}
		}
	}
}

// Law: every way out of a finding that is work has an operation which does it.
func TestEveryWayOutIsAnOperation(t *testing.T) {
	l, _ := shipped(t)
	c := l.Operations()
	for id, f := range l.Findings {
		for _, o := range f.Options {
			if slices.Contains([]string{"rework", "replace", "upgrade"}, o.Outcome) && len(c.Answering(id, o.Outcome)) == 0 {
				t.Errorf("%s, %s: no operation does it", id, o.Outcome)
			}
		}
	}
	for _, group := range []string{"bore", "main", "pin"} {
		if len(c.Sizing(group)) == 0 {
			t.Errorf("no operation brings %s to size", group)
		}
	}
}

func closed(t *testing.T, family string, chosen ...operation.Choice) operation.Route {
	t.Helper()
	l, _ := shipped(t)
	r, err := l.Operations().Close(l.Families[family], chosen)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func at(r operation.Route, id string) int {
	return slices.IndexFunc(r.Steps, func(s operation.Step) bool { return s.ID == id })
}

// Law: an overbore brings pistons, rings, hone, balance, the check of the
// gasket and compression read anew, in an order that can be worked, each with
// its reason; whoever wants one cylinder gets them all.
func TestOverboreBringsWhatFollows(t *testing.T) {
	r := closed(t, "corran-24-5", operation.Choice{Operation: "bore", Places: []string{"2"}, For: "bore-size@block/bore/2"})
	order := []string{"wall-map", "renew-pistons", "bore", "plate-hone", "renew-rings", "wash-block", "match-weights", "gap-rings", "balance", "check-gasket", "check-compression"}
	for _, id := range order {
		s := r.Step(id)
		if s == nil {
			t.Fatalf("an overbore does not bring %s", id)
		}
		if len(s.Reasons) == 0 || s.Hours.High < s.Hours.Low || s.Hours.Low <= 0 {
			t.Errorf("%s: reasons %v, hours %v", id, s.Reasons, s.Hours)
		}
	}
	for _, pair := range [][2]string{{"wall-map", "bore"}, {"bore", "plate-hone"}, {"renew-pistons", "plate-hone"}, {"plate-hone", "wash-block"}, {"plate-hone", "gap-rings"},
		{"match-weights", "balance"}, {"plate-hone", "check-gasket"}, {"check-gasket", "check-compression"}} {
		if at(r, pair[0]) > at(r, pair[1]) {
			t.Errorf("%s comes behind %s", pair[0], pair[1])
		}
	}
	if s := r.Step("bore"); len(s.Places) != 5 || s.Reasons[0].Why != operation.Chosen || s.Reasons[0].By != "bore-size@block/bore/2" {
		t.Errorf("bore: %v, %v", s.Places, s.Reasons)
	}
	if s := r.Step("wall-map"); s.Reasons[0].Why != operation.Needed || s.Reasons[0].By != "bore" {
		t.Errorf("wall map: %v", s.Reasons)
	}
	parts := map[string]int{}
	for _, n := range r.Needs {
		parts[n.Goods] = len(n.Parts)
	}
	for goods, n := range map[string]int{"pistons": 5, "gudgeon-pins": 5, "rings": 15, "head-gasket": 1} {
		if parts[goods] != n {
			t.Errorf("%s: %d, want %d", goods, parts[goods], n)
		}
	}
}

// Law: a route of part of an engine stays on that part, and its hours shrink
// with the places but for the setting up.
func TestRouteOfSomePlaces(t *testing.T) {
	one := closed(t, "corran-24-5", operation.Choice{Operation: "guides", Places: []string{"3/E1"}})
	all := closed(t, "corran-24-5", operation.Choice{Operation: "guides"})
	if g := one.Step("guides"); g == nil || len(g.Places) != 1 || len(one.Step("seats").Places) != 1 {
		t.Fatalf("one guide: %+v", one.Step("guides"))
	}
	if n := len(all.Step("guides").Places); n != 20 {
		t.Errorf("%d guides", n)
	}
	l, _ := shipped(t)
	o := l.Operations().Operation("guides")
	if full := o.Takes(o.Labour.Of); full.Low.Seconds() != o.Labour.Low.SI() || full.High.Seconds() != o.Labour.High.SI() {
		t.Errorf("24 of 24 take %v", full)
	}
	if a, b := o.Takes(1), o.Takes(2); b.Low-a.Low != o.Takes(3).Low-b.Low || a.Low.Seconds() <= o.Labour.Setup.SI() {
		t.Errorf("one takes %v, two %v", a, b)
	}
	for _, n := range one.Needs {
		if n.Goods == "guides" && !slices.Equal(n.Parts, []string{"guide/3/E1"}) {
			t.Errorf("guides for %v", n.Parts)
		}
	}
}

// Law: every operation closes on every shipped family that has its part, the
// same whatever the order it was asked in; and what is in a route twice asked
// for is there once.
func TestEveryOperationCloses(t *testing.T) {
	l, _ := shipped(t)
	c := l.Operations()
	for id, lay := range l.Families {
		var all []operation.Choice
		for i := range c.Operations {
			if o := &c.Operations[i]; o.On(lay) {
				all = append(all, operation.Choice{Operation: o.ID})
				r, err := c.Close(lay, []operation.Choice{{Operation: o.ID}})
				if err != nil || r.Step(o.ID) == nil {
					t.Fatalf("%s on %s: %v", o.ID, id, err)
				}
				for j, s := range r.Steps {
					for _, before := range append(slices.Clone(s.Needs), s.After...) {
						if at(r, before) > j {
							t.Errorf("%s: %s stands behind %s", id, before, s.ID)
						}
					}
				}
			} else if _, err := c.Close(lay, []operation.Choice{{Operation: o.ID}}); err == nil {
				t.Errorf("%s closed on %s without its part", o.ID, id)
			}
		}
		whole, err := c.Close(lay, all)
		if err != nil || len(whole.Steps) != len(all) {
			t.Fatalf("%s: %d steps of %d, %v", id, len(whole.Steps), len(all), err)
		}
		slices.Reverse(all)
		back, _ := c.Close(lay, append(all, all...))
		for i := range whole.Steps {
			if whole.Steps[i].ID != back.Steps[i].ID || !slices.Equal(whole.Steps[i].Places, back.Steps[i].Places) || whole.Steps[i].Hours != back.Steps[i].Hours {
				t.Errorf("%s: %s and %s at %d", id, whole.Steps[i].ID, back.Steps[i].ID, i)
			}
		}
	}
}

// Bad input: what is not there is named.
func TestChoiceThatCannotBe(t *testing.T) {
	l, _ := shipped(t)
	for _, ch := range []operation.Choice{{Operation: "bor"}, {Operation: "bore", Places: []string{"9"}}, {Operation: "renew-gears"}} {
		if _, err := l.Operations().Close(l.Families["corran-24-5"], []operation.Choice{ch}); err == nil {
			t.Errorf("%v closed", ch)
		}
	}
}

// Law: of several ways out, the one that works on what was found: a bore is
// bored before it is sleeved, a worn crankpin does not grind the mains.
func TestWhichOperationAnswers(t *testing.T) {
	l, _ := shipped(t)
	lay := l.Families["corran-24-5"]
	for _, c := range [][4]string{{"bore-size", "rework", "block/bore", "bore"}, {"bore-out-of-round", "rework", "block/bore-out-of-round", "bore"}, {"wall-thin", "rework", "block/wall-least", "sleeve"},
		{"journal-size", "rework", "crank/pin-journal", "grind-pins"}, {"journal-size", "rework", "crank/main-journal", "grind-mains"}, {"journal-out-of-round", "rework", "crank/pin-out-of-round", "grind-pins"},
		{"face-finish", "rework", "head/face-ra", "reface-head"}, {"face-finish", "rework", "block/deck-ra", "deck"}, {"gear-backlash", "replace", "drive/backlash", ""}} {
		got := ""
		if o := l.Operations().For(lay, c[0], c[1], c[2]); o != nil {
			got = o.ID
		}
		if got != c[3] {
			t.Errorf("%s at %s: %s, want %s", c[0], c[2], got, c[3])
		}
	}
}
