package demo

import (
	"bytes"
	"encoding/json"
	"math"
	"sort"
	"strings"
	"testing"

	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
)

func mix(t testing.TB) SlipMix {
	t.Helper()
	x, faults := LoadSlips("slips.yaml", text(t, "demo/slips.yaml"))
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	return x
}

// Law: the same seed writes the same readings wrong, another seed others; what
// is not written wrong stays byte for byte, and every slip is of another
// characteristic.
func TestSlipsAreSeeded(t *testing.T) {
	tr, x := load(t, jobs[0]), mix(t)
	m, l, lib := build(t, tr, 1, nil)
	one, slips := x.Spoil(m, l, &tr.Shop, lib, 1, 12)
	again, same := x.Spoil(m, l, &tr.Shop, lib, 1, 12)
	other, _ := x.Spoil(m, l, &tr.Shop, lib, 2, 12)
	if len(slips) != 12 || len(same) != 12 {
		t.Fatalf("%d and %d slips, want 12", len(slips), len(same))
	}
	hit, chars, differs := map[string]bool{}, map[string]bool{}, false
	for _, s := range slips {
		hit[s.Position], hit[s.Other] = true, true
		at, _ := l.Find(s.Position)
		if c := l.Places[at].Char.ID; chars[c] {
			t.Errorf("two slips at %s", c)
		} else {
			chars[c] = true
		}
	}
	for i := range m.Job {
		if !bytes.Equal(one.Job[i].Payload, again.Job[i].Payload) {
			t.Fatal("one seed, two jobs")
		}
		differs = differs || !bytes.Equal(one.Job[i].Payload, other.Job[i].Payload)
		if bytes.Equal(one.Job[i].Payload, m.Job[i].Payload) {
			continue
		}
		var r job.ReadingV1
		if m.Job[i].Kind != entry.Reading || json.Unmarshal(m.Job[i].Payload, &r) != nil || !hit[r.Position] {
			t.Errorf("entry %d was changed without a slip", i)
		}
	}
	if !differs {
		t.Error("two seeds, one job")
	}
}

// Law: every kind does to a number what it is called, and all of them happen.
func TestSlipsAreWhatTheyAreCalled(t *testing.T) {
	tr, x := load(t, jobs[0]), mix(t)
	m, l, lib := build(t, tr, 1, nil)
	seen := map[string]int{}
	for seed := uint64(1); seed <= 30; seed++ {
		_, slips := x.Spoil(m, l, &tr.Shop, lib, seed, 12)
		for _, s := range slips {
			seen[s.Kind]++
			was, is := s.Was.Text, s.Is.Text
			bare := func(t string) string { return strings.ReplaceAll(t, ".", "") }
			turn := math.Abs(s.Is.SI() - s.Was.SI())
			ok := s.Was.N != s.Is.N && (s.Kind == "wrong-unit") == (s.Was.Unit != s.Is.Unit) && (strings.Contains(s.Kind, "exchanged")) == (s.Other != "")
			switch s.Kind {
			case "digit-swapped":
				ok = ok && len(was) == len(is) && differ(was, is) == 1
			case "transposed":
				ok = ok && differ(bare(was), bare(is)) == 2 && sorted(was) == sorted(is)
			case "doubled":
				ok = ok && len(is) == len(was)+1
			case "dropped":
				ok = ok && len(is) == len(was)-1
			case "mark-moved":
				ok = ok && bare(was) == bare(is)
			case "thimble-turn":
				ok = ok && math.Abs(turn-0.5e-3) < 1e-12
			case "dial-turn":
				ok = ok && (math.Abs(turn-0.2e-3) < 1e-12 || math.Abs(turn-1e-3) < 1e-12)
			case "wrong-unit":
				ok = ok && was == is
			}
			if !ok {
				t.Errorf("%s at %s: %s for %s, with %q", s.Kind, s.Position, s.Is, s.Was, s.Other)
			}
		}
	}
	for _, k := range x.Kinds {
		if seen[k.ID] == 0 {
			t.Errorf("%s never happens", k.ID)
		}
	}
}

func differ(a, b string) int {
	if len(a) != len(b) {
		return -1
	}
	n := 0
	for i := range a {
		if a[i] != b[i] {
			n++
		}
	}
	return n
}

func sorted(s string) string {
	b := []byte(s)
	sort.Slice(b, func(i, j int) bool { return b[i] < b[j] })
	return string(b)
}

// Law: what is wrong with a mix is said with its place.
func TestSlipsAreStrict(t *testing.T) {
	good := string(text(t, "demo/slips.yaml"))
	for _, c := range []struct{ name, old, new, key string }{
		{"unknown kind", "id: doubled", "id: tripled", "file.not-listed"},
		{"twice", "id: doubled", "id: dropped", "family.duplicate"},
		{"no weight", "weight: 8, status: invented", "weight: 0, status: invented", ""},
		{"another quantity", "mass: [g, kg]", "mass: [g, mm]", "family.unknown-name"},
		{"no quantity", "mass: [g, kg]", "colour: [g, kg]", "family.unknown-name"},
		{"unknown key", "note:", "notes:", ""},
	} {
		if !strings.Contains(good, c.old) {
			t.Fatalf("%s: the file no longer holds %q", c.name, c.old)
		}
		_, faults := LoadSlips("slips.yaml", []byte(strings.Replace(good, c.old, c.new, 1)))
		if len(faults) == 0 || c.key != "" && faults[0].Key != c.key || faults[0].Line == 0 {
			t.Errorf("%s: %v", c.name, faults)
		}
	}
}
