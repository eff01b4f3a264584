package lubricant

import (
	"bytes"
	"flag"
	"os"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write the published schema")

// Golden: the published schema is the one that files are checked against.
// go test ./internal/know/lubricant -run Golden -update
func TestGoldenSchemaIsPublished(t *testing.T) {
	const name = "../../../doc/format/lubricants-1.schema.json"
	if *update {
		if err := os.WriteFile(name, Schema(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	got, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, Schema()) {
		t.Error("doc/format/lubricants-1.schema.json is not what the program checks against; regenerate it")
	}
}

// Law: the shipped file is sound; each thing that can be wrong with one is said
// at its line.
func TestLint(t *testing.T) {
	const name = "lubricants.yaml"
	b, err := os.ReadFile("../../../data/" + name)
	if err != nil {
		t.Fatal(err)
	}
	text, all := string(b), func(string) bool { return true }
	shelf, faults := Read(name, b, all)
	if len(faults) > 0 || len(shelf.Oils) < 6 || len(shelf.Fuels) == 0 {
		t.Fatal(len(shelf.Oils), faults)
	}
	if o, ok := shelf.Oil("oil-5w-40"); !ok || o.Grade != "5W-40" {
		t.Errorf("%v, %v", o, ok)
	}
	if _, ok := shelf.Oil("none"); ok {
		t.Error("an oil that is not there is found")
	}
	if _, ok := shelf.Fuel("petrol-tail"); !ok {
		t.Error("the fuel is not found")
	}
	for want, change := range map[string][2]string{
		"lubricant.twice":        {"id: oil-5w-30", "id: oil-5w-40"},
		"lubricant.no-words":     {`de: "Erfundenes 5W-40"`, `fr: "5W-40"`},
		"lubricant.density":      {"density: 0.853 g/cm³", "density: 0.553 g/cm³"},
		"lubricant.not-thinner":  {"at_100: 13.5 mm²/s", "at_100: 80.0 mm²/s"},
		"lubricant.no-grade":     {"grade: 5W-40", `grade: "5W-"`},
		"lubricant.not-positive": {"high_shear: 3.70 mPa·s", "high_shear: -3.70 mPa·s"},
		"file.not-shaped":        {"grade: 5W-40", "grade: 5W-45"},
		"file.wrong-unit":        {"at_40: 80.0 mm²/s", "at_40: 80.0 mPa·s"},
		"file.unknown-key":       {"density: 0.853 g/cm³", "colour: red, density: 0.853 g/cm³"},
	} {
		if !strings.Contains(text, change[0]) {
			t.Fatalf("the file no longer says %q", change[0])
		}
		_, faults := Read(name, []byte(strings.Replace(text, change[0], change[1], 1)), all)
		found := false
		for _, f := range faults {
			found = found || f.Key == want && f.Line > 5
		}
		if !found {
			t.Errorf("%s: %v", want, faults)
		}
	}
	if _, faults := Read(name, b, func(id string) bool { return id != "invented-demo" }); len(faults) == 0 || faults[0].Key != "lubricant.no-source" {
		t.Errorf("a source that is not declared: %v", faults)
	}
}
