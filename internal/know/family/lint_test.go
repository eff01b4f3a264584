package family

import (
	"fmt"
	"strings"
	"testing"

	"fettle/internal/base/unit"
)

// A small synthetic family that is good; each rule below spoils one line of it.
const good = `fettle: family/1
id: small-20-2
name: {en: Small}
engine:
  layout: inline
  cylinders: 2
  firing_order: [1, 2]
  bore: 80.000 mm
  stroke: 80.0 mm
  rod: 140.0 mm
  compression_height: 30.0 mm
  deck_height: 210.2 mm
  bore_spacing: 88.0 mm
  face_width: 140 mm
  bore_depth: 130 mm
  limiter: 7000 rpm
  mains: 3
  main_journal: 50.000 mm
  pin_journal: 45.000 mm
  big_end: shell
  block: {material: grey-iron, liner: none}
  head: {material: grey-iron}
  valves: {inlet: 1, exhaust: 1, stem: 6.000 mm, length: 100 mm, lift: 9 mm}
  valvetrain: {kind: bucket, adjust: shim, camshafts: 1, cam_journals: 3}
  drive: {kind: chain, crank_teeth: 20, cam_teeth: 40}
  throttles: single
dimensions:
  spot: {values: [a, b], groups: {front: [a]}}
components:
- {id: block, name: {en: Block}, system: block, material: grey-iron}
- {id: crank, name: {en: Crank}, system: crank, material: steel}
characteristics:
- id: block/bore
  name: {en: Bore}
  plan: [block/bore]
  per: [cyl, height, axis]
  quantity: length
  unit: mm
  decimals: 3
  gauges: [bore-gauge]
  condition: [caps-tight]
  nominal: 80.000 mm
  finding: bore-worn
  limits:
  - {for: reuse, min: 80.000 mm, max: 80.050 mm, source: made-up, status: from memory}
- id: block/taper
  name: {en: Taper}
  per: [cyl, axis]
  quantity: length
  unit: mm
  relation: range
  bind: {x: {from: block/bore}}
- id: block/cracks
  name: {en: Cracks}
  quantity: check
  limits:
  - {for: reuse, must: pass, source: made-up, status: from memory}
- id: crank/end-float
  name: {en: End float}
  quantity: length
  unit: mm
  gauges: [dial]
  nominal: 0.12 mm
`

func set(names ...string) map[string]bool {
	m := map[string]bool{}
	for _, n := range names {
		m[n] = true
	}
	return m
}

func known() Known {
	return Known{Materials: set("grey-iron", "steel"), Instruments: set("bore-gauge", "dial"), Findings: set("bore-worn"),
		Conditions: set("caps-tight"), Sources: set("made-up"), PlanRows: set("block/bore"),
		Relations: func(name string) (Signature, bool) {
			switch name {
			case "range":
				return Signature{Symbols: []SymbolSig{{Name: "x", Many: true, Least: 2}}}, true
			case "difference":
				return Signature{Symbols: []SymbolSig{{Name: "a"}, {Name: "b"}}}, true
			case "volume":
				return Signature{Symbols: []SymbolSig{{Name: "d", Dim: unit.Length, Many: true}}, Out: unit.Volume}, true
			}
			return Signature{}, false
		}}
}

func TestGoodFamily(t *testing.T) {
	l, faults := Parse("f.yaml", []byte(good), Validator(), known())
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	if n := len(l.Of("block/bore")); n != 2*3*2 {
		t.Errorf("%d bore positions, want 12", n)
	}
	i, ok := l.Find("block/taper/2/P")
	if !ok || len(l.Places[i].In) != 1 || len(l.Places[i].In[0].Places) != 3 {
		t.Fatalf("taper of bore 2 along P leans on %+v", l.Places[i].In)
	}
	for k, at := range l.Places[i].In[0].Places {
		if want := fmt.Sprintf("block/bore/2/H%d/P", k+1); l.Places[at].ID != want {
			t.Errorf("input %d is %s, want %s", k, l.Places[at].ID, want)
		}
	}
}

// One case a rule: the line is spoiled, and the fault stands in that line.
func TestLintRules(t *testing.T) {
	v := Validator()
	for _, c := range []struct{ key, from, to string }{
		{"file.unknown-key", "  throttles: single", "  throttles: single\n  turbo: yes please"},
		{"file.missing-key", "- id: crank/end-float\n  name: {en: End float}\n  quantity: length", "- id: crank/end-float\n  name: {en: End float}"},
		{"file.not-listed", "layout: inline", "layout: radial"},
		{"file.not-listed", "status: from memory}\n- id: block/taper", "status: trust me}\n- id: block/taper"},
		{"file.missing-key", "source: made-up, status: from memory}\n- id: block/taper", "source: made-up}\n- id: block/taper"},
		{"file.missing-key", "max: 80.050 mm, source: made-up, ", "max: 80.050 mm, "},
		{"file.wrong-type", "  cylinders: 2", "  cylinders: two"},
		{"file.not-allowed", "  cylinders: 2", "  cylinders: 17"},
		{"file.not-allowed", "  cylinders: 2", "  cylinders: 0"},
		{"file.wrong-unit", "  bore: 80.000 mm", "  bore: 80.000 bar"},
		{"file.wrong-unit", "  nominal: 80.000 mm", "  nominal: 80.000 g"},
		{"file.wrong-unit", "max: 80.050 mm", "max: 80.050 N"},
		{"file.wrong-unit", "  unit: mm\n  decimals: 3", "  unit: bar\n  decimals: 3"},
		{"unit.unknown", "  stroke: 80.0 mm", "  stroke: 80.0 furlong"},
		{"unit.other-mark", "  stroke: 80.0 mm", "  stroke: 80,0 mm"},
		{"unit.no-unit", "  stroke: 80.0 mm", "  stroke: \"80.0\""},
		{"file.wrong-type", "  stroke: 80.0 mm", "  stroke: 80.0"},
		{"unit.not-a-number", "  stroke: 80.0 mm", "  stroke: 8e1 mm"},
		{"family.not-positive", "  stroke: 80.0 mm", "  stroke: 0.0 mm"},
		{"family.not-positive", "  throttles: single", "  throttles: single\n  oversizes: [0.25 mm, -0.50 mm]"},
		{"family.short-rod", "  rod: 140.0 mm", "  rod: 30.0 mm"},
		{"family.no-bridge", "  bore_spacing: 88.0 mm", "  bore_spacing: 80.0 mm"},
		{"family.firing-order", "  firing_order: [1, 2]", "  firing_order: [1, 1]"},
		{"family.banks", "  firing_order: [1, 2]", "  banks: [[1], [2, 3]]\n  firing_order: [1, 2]"},
		{"family.banks-cover", "  firing_order: [1, 2]", "  banks: [[1]]\n  firing_order: [1, 2]"},
		{"family.unknown-name", "  throttles: single", "  throttles: single\n  phasers: [{cam: OUT, advance_stop: 10 °, retard_stop: 50 °}]"},
		{"family.unknown-material", "block: {material: grey-iron", "block: {material: cheese"},
		{"family.unknown-material", "system: crank, material: steel", "system: crank, material: cheese"},
		{"family.duplicate", "values: [a, b]", "values: [a, b, b]"},
		{"family.bad-index", "values: [a, b]", "values: [a, b/c]"},
		{"family.empty-dimension", "spot: {values: [a, b], groups: {front: [a]}}", "spot: {}"},
		{"family.unknown-name", "front: [a]", "front: [z]"},
		{"family.duplicate", "- {id: crank, name: {en: Crank}", "- {id: block, name: {en: Crank}"},
		{"family.duplicate", "- id: block/taper", "- id: block/bore"},
		{"family.unknown-component", "- id: crank/end-float", "- id: flywheel/end-float"},
		{"family.unknown-dimension", "  per: [cyl, height, axis]", "  per: [cyl, depth, axis]"},
		{"family.not-in-pattern", "{for: reuse, min: 80.000 mm", "{for: reuse, where: {main: [\"1\"]}, min: 80.000 mm"},
		{"family.unknown-name", "{for: reuse, min: 80.000 mm", "{for: reuse, where: {cyl: [\"9\"]}, min: 80.000 mm"},
		{"family.unknown-source", "source: made-up, status: from memory}\n- id: block/taper", "source: hearsay, status: from memory}\n- id: block/taper"},
		{"family.unknown-instrument", "gauges: [bore-gauge]", "gauges: [ruler]"},
		{"family.no-gauge", "  gauges: [bore-gauge]\n  condition: [caps-tight]\n", ""},
		{"family.unknown-condition", "condition: [caps-tight]", "condition: [on-a-monday]"},
		{"family.unknown-plan-row", "plan: [block/bore]", "plan: [block/boar]"},
		{"family.unknown-finding", "finding: bore-worn", "finding: bore-sad"},
		{"family.no-bound", "{for: reuse, min: 80.000 mm, max: 80.050 mm, ", "{for: reuse, "},
		{"family.min-above-max", "max: 80.050 mm", "max: 79.000 mm"},
		{"family.check-limit", "{for: reuse, must: pass, ", "{for: reuse, min: 1 mm, "},
		{"family.must-on-value", "max: 80.050 mm, ", "max: 80.050 mm, must: pass, "},
		{"family.check-has-no-unit", "  quantity: check", "  quantity: check\n  unit: mm"},
		{"family.bind-without-relation", "  relation: range\n", ""},
		{"family.unknown-relation", "relation: range", "relation: rage"},
		{"family.unknown-symbol", "bind: {x: {from: block/bore}}", "bind: {x: {from: block/bore}, y: {from: block/bore}}"},
		{"family.unbound-symbol", "bind: {x: {from: block/bore}}", "bind: {}"},
		{"family.unknown-binding", "bind: {x: {from: block/bore}}", "bind: {x: {from: block/boar}}"},
		{"family.bound-to-check", "bind: {x: {from: block/bore}}", "bind: {x: {from: block/cracks}}"},
		{"family.bound-count", "bind: {x: {from: block/bore}}", "bind: {x: {from: block/bore, where: {height: [H1]}}}"},
		{"family.bound-count", "  relation: range\n  bind: {x: {from: block/bore}}", "  relation: difference\n  bind: {a: {from: engine/bore}, b: {from: block/bore}}"},
		{"family.bound-kind", "  relation: range\n  bind: {x: {from: block/bore}}", "  relation: volume\n  bind: {d: {from: engine/limiter}}"},
		{"family.relation-gives", "  relation: range\n  bind: {x: {from: block/bore}}", "  relation: volume\n  bind: {d: {from: block/bore}}"},
		{"family.cycle", "bind: {x: {from: block/bore}}", "bind: {x: {from: block/other}}"},
		{"family.too-many-places", "dimensions:\n", "dimensions:\n  p: {count: 200}\n  q: {count: 200}\n"},
		{"file.syntax", "name: {en: Small}", "name: {en: Small"},
	} {
		t.Run(c.key+" "+c.to, func(t *testing.T) {
			if strings.Count(good, c.from) == 0 {
				t.Fatalf("%q is not in the good family", c.from)
			}
			text := strings.Replace(good, c.from, c.to, 1)
			if c.key == "family.too-many-places" {
				text = strings.Replace(text, "  quantity: check", "  per: [p, q]\n  quantity: check", 1)
			}
			if c.key == "family.cycle" {
				text = strings.Replace(text, "  per: [cyl, axis]", "  per: [cyl]", 1)
				text = strings.Replace(text, "relation: range", "relation: mean", 1)
				text = cycle(text)
			}
			k := known()
			base := k.Relations
			k.Relations = func(name string) (Signature, bool) {
				if name == "mean" {
					return Signature{Symbols: []SymbolSig{{Name: "x", Many: true}}}, true
				}
				return base(name)
			}
			l, faults := Parse("f.yaml", []byte(text), v, k)
			if l != nil || len(faults) == 0 {
				t.Fatal("no fault")
			}
			for _, f := range faults {
				if f.Key == c.key {
					near(t, text, c.to, strings.Index(good, c.from), f.Line, f.Col)
					return
				}
			}
			t.Errorf("faults %v, want %s", faults, c.key)
		})
	}
}

// cycle makes two derived characteristics lean on each other.
func cycle(text string) string {
	return text + `- id: block/other
  name: {en: Other}
  per: [cyl]
  quantity: length
  unit: mm
  relation: mean
  bind: {x: {from: block/taper}}
`
}

// near checks that a fault stands within the lines of what was spoiled, or in
// the list entry that holds it.
func near(t *testing.T, text, spoiled string, at, line, col int) {
	t.Helper()
	if line < 1 || col < 1 {
		t.Errorf("placed at %d:%d", line, col)
	}
	if spoiled == "" || strings.HasPrefix(spoiled, "name: {en: Small") || strings.HasPrefix(spoiled, "dimensions") {
		return
	}
	first := 1 + strings.Count(text[:at], "\n")
	last := first + strings.Count(spoiled, "\n")
	if line < first-2 || line > last+8 {
		t.Errorf("placed at line %d, spoiled are lines %d to %d", line, first, last)
	}
}

// A wrong binding and a circle of bindings are reported beside what is wrong
// with single characteristics.
func TestLintReportsBindingsAtOnce(t *testing.T) {
	text := cycle(strings.NewReplacer("max: 80.050 mm", "max: 79.000 mm", "- id: block/cracks", "- id: block/ratio\n  name: {en: Ratio}\n  quantity: length\n  unit: mm\n"+
		"  relation: difference\n  bind: {a: {from: block/bare}, b: {from: engine/bore}}\n- id: block/cracks", "gauges: [dial]", "gauges: [dial]\n  note: x",
		"bind: {x: {from: block/bore}}", "bind: {x: {from: block/other}}").Replace(good))
	_, faults := Parse("f.yaml", []byte(text), Validator(), known())
	got := map[string]bool{}
	for _, f := range faults {
		got[f.Key] = true
	}
	for _, want := range []string{"file.unknown-key", "family.min-above-max", "family.unknown-binding", "family.cycle"} {
		if !got[want] {
			t.Errorf("%s is not among %v", want, faults)
		}
	}
}

// Every problem of a file is reported at once, each in its place.
func TestLintReportsAllAtOnce(t *testing.T) {
	text := strings.NewReplacer("gauges: [bore-gauge]", "gauges: [ruler]", "max: 80.050 mm", "max: 79.000 mm",
		"  bore: 80.000 mm", "  bore: 80.000 mm\n  turbo: big", "system: crank, material: steel", "system: crank, material: cheese").Replace(good)
	_, faults := Parse("f.yaml", []byte(text), Validator(), known())
	var got []string
	for _, f := range faults {
		got = append(got, fmt.Sprintf("%s@%d", f.Key, f.Line))
	}
	want := "file.unknown-key@9 family.unknown-material@32 family.unknown-instrument@41 family.min-above-max@46"
	if strings.Join(got, " ") != want {
		t.Errorf("faults %v, want %s", got, want)
	}
}

// Law: whatever bytes come, parsing answers with a layout or with faults.
func FuzzParseFamily(f *testing.F) {
	f.Add([]byte(good))
	f.Add([]byte(""))
	f.Add([]byte("a: [1"))
	f.Add([]byte("fettle: family/1\nengine: {cylinders: 1}\ncharacteristics: [{}]"))
	v := Validator()
	f.Fuzz(func(t *testing.T, b []byte) {
		l, faults := Parse("f.yaml", b, v, known())
		if (l == nil) != (len(faults) > 0) {
			t.Fatalf("layout %v with faults %v", l != nil, faults)
		}
	})
}
