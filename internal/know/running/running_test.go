package running

import (
	"bytes"
	"flag"
	"os"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write the published schema")

func known(id string) bool { return id == "invented-demo" }
func oil(id string) bool   { return strings.HasPrefix(id, "oil-") }

func shipped(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile("../../../data/running/corran-24-5.yaml")
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// Golden: the published schema is the one that files are checked against.
// Regenerate on purpose: go test ./internal/know/running -run Golden -update
func TestGoldenSchemaIsPublished(t *testing.T) {
	const name = "../../../doc/format/running-1.schema.json"
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
		t.Error("doc/format/running-1.schema.json is not what the program checks against; regenerate it")
	}
}

// A fault names its field and its line, and every fault is reported.
func TestReadFaults(t *testing.T) {
	whole := shipped(t)
	if f, faults := Read("x.yaml", []byte(whole), Known{Source: known, Lubricant: oil}); f == nil || len(faults) > 0 {
		t.Fatalf("the shipped file: %v", faults)
	}
	for _, c := range []struct{ old, put, key, path string }{
		{"speed: 7200 rpm", "speed: 72000 rpm", "running.out-of-range", "track.speed"},
		{"gyration: 51.0 mm", "gyration: 5.1 mm", "running.out-of-range", "rod.gyration"},
		{"width: 21.0 mm", "width: 210 mm", "running.out-of-range", "main.width"},
		{"groove: upper, groove_width: 3.5 mm", "groove: upper", "running.groove", "main.groove_width"},
		{"groove_width: 3.5 mm", "groove_width: 20.5 mm", "running.groove", "main.groove_width"},
		{"full: 5.4 bar", "full: 4.4 bar", "running.relief-order", "oil.relief.full"},
		{"usual: oil-5w-40", "usual: grease", "running.unknown-lubricant", "oil.usual"},
		{"lubricant: oil-10w-50", "lubricant: grease", "running.unknown-lubricant", "lived[0].lubricant"},
		{"source: invented-demo", "source: nowhere", "family.unknown-source", "source"},
		{"bore: 1.45 mm", "bore: 145 mm", "running.out-of-range", "oil.users[0].bore"},
		{"duration: 58 °crank", "duration: 58 mm", "file.wrong-unit", ".burn.duration"},
		{"  relief: {opens: 4.4 bar, full: 5.4 bar}\n", "", "file.missing-key", "oil"},
	} {
		text := strings.Replace(whole, c.old, c.put, 1)
		if text == whole {
			t.Fatalf("%q is not in the file", c.old)
		}
		f, faults := Read("x.yaml", []byte(text), Known{Source: known, Lubricant: oil})
		if f != nil || len(faults) != 1 || faults[0].Key != c.key || faults[0].Path != c.path || faults[0].Line < 3 {
			t.Errorf("%q for %q: %v, want %s at %s", c.put, c.old, faults, c.key, c.path)
		}
	}
}
