package demo

import (
	"strings"
	"testing"
)

// Law: each rule of the format is broken once, and says so where it stands.
func TestLoadRefuses(t *testing.T) {
	good, shop := string(text(t, "demo/2026-014.yaml")), string(text(t, "demo/shop.yaml"))
	for _, c := range []struct {
		name, key string
		old, new  string
		inShop    bool
	}{
		{"start", "demo.bad-time", `start: "2026-03-02T07:40:00Z"`, `start: "on Monday"`, false},
		{"start of the shop", "demo.bad-time", `start: "2026-02-02T07:30:00Z"`, `start: "long ago"`, true},
		{"session time", "demo.bad-time", `at: "08:05"`, `at: "29:05"`, false},
		{"session person", "demo.unknown-person", "person: p-5c1e, device: bench-2, room", "person: p-0000, device: bench-2, room", false},
		{"gauge of a use", "demo.unknown-gauge", "gauge: bore-50-150, master: mic-50-75", "gauge: bore-gone, master: mic-50-75", false},
		{"master below its gauge", "demo.unknown-gauge", "serial: INV-1202, from: 35 mm, to: 60 mm, master: mic-50-75", "serial: INV-1202, from: 35 mm, to: 60 mm, master: bore-50-150", true},
		{"remark after the last session", "demo.no-such-session", "{after: 7,", "{after: 70,", false},
		{"plant twice", "family.duplicate", "id: bore-oval", "id: bore-tapered", false},
		{"gauge twice", "family.duplicate", "id: rod-50", "id: rod-25", true},
		{"place of a plant", "demo.place", "place: 3/E2", "place: \"3\"", false},
		{"empty expectation", "demo.expects-nothing", "{question: thimble-turn, answer: corrected, verdict: accept, at:", "{at:", false},
		{"unknown key", "file.unknown-key", "use: Hillclimb", "purpose: x\nuse: Hillclimb", false},
		{"unit of a temperature", "file.wrong-unit", "room: 18.7 °C", "room: 18.7 mm", false},
		{"verdict", "file.not-listed", "verdict: undecided", "verdict: perhaps", false},
	} {
		tr, sh := good, shop
		if c.inShop {
			sh = strings.Replace(sh, c.old, c.new, 1)
		} else {
			tr = strings.Replace(tr, c.old, c.new, 1)
		}
		if tr == good && sh == shop {
			t.Fatalf("%s: the file does not hold %q", c.name, c.old)
		}
		_, faults := Load("truth.yaml", []byte(tr), "shop.yaml", []byte(sh))
		if len(faults) == 0 || faults[0].Key != c.key || faults[0].Line < 2 {
			t.Errorf("%s: %v, want %s with its line", c.name, faults, c.key)
		}
	}
}

// Law: what a truth says of a family must fit that family.
func TestMakeRefuses(t *testing.T) {
	lib, l := shelf(t, "corran-24-5")
	for _, c := range []struct {
		name, key string
		breaks    func(*Truth)
		move      map[string]string
	}{
		{"pattern", "demo.fits-nothing", func(tr *Truth) { tr.Leave = append(tr.Leave, Left{Of: "block/none"}) }, nil},
		{"session", "demo.no-session", func(tr *Truth) { tr.Sessions = tr.Sessions[:len(tr.Sessions)-1] }, nil},
		{"gauge", "demo.no-gauge", func(tr *Truth) { tr.Shop.Gauges = tr.Shop.Gauges[:12] }, nil},
		{"centre", "demo.no-centre", func(tr *Truth) {
			tr.Healthy = append([]Healthy{{Of: "valvetrain/shim", Same: "valvetrain/lash"}}, tr.Healthy...)
		}, nil},
		{"change", "demo.covers-nothing", func(tr *Truth) {
			tr.Planted = append(tr.Planted, Plant{ID: "x", Changes: []Change{{Of: "block/bore", Where: map[string][]string{"cyl": {"9"}}}}})
		}, nil},
		{"moved to no cylinder", "demo.place", func(*Truth) {}, map[string]string{"bore-tapered": "9"}},
		{"type of a gauge", "family.unknown-instrument", func(tr *Truth) {
			tr.Shop.Gauges = append(tr.Shop.Gauges[:len(tr.Shop.Gauges):len(tr.Shop.Gauges)], Gauge{ID: "x", Type: "sextant"})
		}, nil},
	} {
		tr := load(t, "2026-014")
		c.breaks(&tr)
		m, faults := Make(tr, l, lib, 1, c.move)
		if len(faults) == 0 || len(m.Job) > 0 {
			t.Errorf("%s: no fault", c.name)
			continue
		}
		if faults[0].Key != c.key {
			t.Errorf("%s: %v, want %s", c.name, faults[0], c.key)
		}
	}
}
