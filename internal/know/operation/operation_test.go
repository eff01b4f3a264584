package operation

import (
	"bytes"
	"math"
	"os"
	"strings"
	"testing"

	"fettle/internal/base/unit"
)

func every() Known {
	return Known{Source: func(string) bool { return true }, Caution: func(string) bool { return true }, Answer: func(string, string) bool { return true }}
}

// Law: the shipped file is sound, and each thing that can be wrong with one is
// said at its line.
func TestLint(t *testing.T) {
	b, err := os.ReadFile("../../../data/operations.yaml")
	if err != nil {
		t.Fatal(err)
	}
	text := string(b)
	if c, faults := Read("operations.yaml", b, every()); len(faults) > 0 || len(c.Operations) < 50 {
		t.Fatal(len(c.Operations), faults)
	}
	for _, c := range []struct{ want, old, new string }{
		{"operation.twice", "{id: oven, name", "{id: crane, name"},
		{"operation.twice", "{id: torque-plate, name", "{id: test-plates, name"},
		{"operation.no-words", "name: {en: Oven, de: Ofen}", "name: {en: Oven}"},
		{"operation.no-machine", "machine: honing-machine,", "machine: hone,"},
		{"operation.no-fixture", "fixtures: [torque-plate]", "fixtures: [torque-plates]"},
		{"operation.no-operation", "needs: [wall-map],\n", "needs: [wall-maps],\n"},
		{"operation.no-operation", "{operation: renew-rings, why", "{operation: renew-ring, why"},
		{"operation.no-goods", "{goods: sleeves, why", "{goods: sleeve, why"},
		{"operation.brings-one", "{goods: sleeves, why", "{why"},
		{"operation.brings-one", "{goods: sleeves, why", "{goods: sleeves, operation: deck, why"},
		{"operation.ring", "{id: intake, name: {en: Intake, de: Eingang}, stage: arrival,", "{id: intake, name: {en: Intake, de: Eingang}, after: [hand-over], stage: arrival,"},
		{"operation.low-above-high", "labour: {low: 6 h, high: 12 h}", "labour: {low: 16 h, high: 12 h}"},
		{"operation.setup", "high: 4 h, of: 6, setup: 1 h}, outside", "high: 4 h, of: 6, setup: 3 h}, outside"},
		{"operation.of-nothing", "labour: {low: 6 h, high: 12 h}", "labour: {low: 6 h, high: 12 h, of: 6}"},
		{"operation.shift-sign", "rule: shift, sign: -1, tolerance: 0.010 mm}], closing: [block", "rule: shift, tolerance: 0.010 mm}], closing: [block"},
		{"operation.shift-sign", "rule: to-target, tolerance: 0.003 mm}], closing: [block", "rule: to-target, sign: 1, tolerance: 0.003 mm}], closing: [block"},
		{"operation.no-tolerance", "rule: to-target, tolerance: 0.003 mm}], closing: [block", "rule: to-target, tolerance: 0.000 mm}], closing: [block"},
		{"operation.set-unread", "closing: [block/bore, block/bore-ra, block/bore-crosshatch]", "closing: [block/bore-ra, block/bore-crosshatch]"},
		{"operation.no-caution", "cautions: [grinding, rotating], source", "source"},
		{"file.wrong-unit", "labour: {low: 6 h, high: 12 h}", "labour: {low: 6 mm, high: 12 h}"},
		{"file.unknown-key", "{id: intake, name", "{id: intake, colour: blue, name"},
		{"file.not-listed", "rule: shift, sign: -1, tolerance: 0.010 mm}], closing: [block", "rule: shove, sign: -1, tolerance: 0.010 mm}], closing: [block"},
		{"file.not-listed", "fettle: operations/1", "fettle: operations/2"},
	} {
		if !strings.Contains(text, c.old) {
			t.Fatalf("the file no longer says %q", c.old)
		}
		_, faults := Read("operations.yaml", []byte(strings.Replace(text, c.old, c.new, 1)), every())
		if len(faults) == 0 || faults[0].Key != c.want || faults[0].Line < 9 {
			t.Errorf("%s: %v", c.want, faults)
		}
	}
	for key, known := range map[string]Known{
		"family.unknown-source":    {Source: func(string) bool { return false }, Caution: every().Caution, Answer: every().Answer},
		"workshop.unknown-caution": {Source: every().Source, Caution: func(id string) bool { return id != "rotating" }, Answer: every().Answer},
		"operation.no-answer":      {Source: every().Source, Caution: every().Caution, Answer: func(f, _ string) bool { return f != "lash" }},
	} {
		if _, faults := Read("operations.yaml", b, known); len(faults) == 0 || faults[0].Key != key {
			t.Errorf("%s: %v", key, faults)
		}
	}
}

// Law: what a process holds within ±a and no more is known of has a standard
// uncertainty of a/√3 (gum-2008 clause 4.3.7).
func TestLawProcessSpread(t *testing.T) {
	q, err := unit.Parse("0.003", "mm", '.')
	if err != nil {
		t.Fatal(err)
	}
	if u := (Set{Tolerance: q}).U(); math.Abs(u*math.Sqrt(3)-3e-6) > 1e-18 {
		t.Errorf("u = %g", u)
	}
}

// Golden: the published schema is the one that the file is checked against.
// Regenerate on purpose: fettle family schema operations > doc/format/operations-1.schema.json
func TestGoldenSchemaIsPublished(t *testing.T) {
	got, err := os.ReadFile("../../../doc/format/operations-1.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, Schema()) {
		t.Error("doc/format/operations-1.schema.json is not what the program checks against; regenerate it")
	}
}
