package cli

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fettle/internal/judge/assess"
)

// The flat four with wet liners is a family that stands nowhere but in these
// two files. Synthetic: made up for the tests, it belongs to no engine.
var (
	flatFour         = filepath.Join("testdata", "flat-four", "fen-20-4.yaml")
	flatFourReadings = filepath.Join("testdata", "flat-four", "readings.csv")
)

// TestFlatFourFromFilesAlone takes an engine that nothing in the program knows
// of through lint, evaluation, drawing and record. Its readings are nominal but
// for seven things, each of which is found where it is and nowhere else.
func TestFlatFourFromFilesAlone(t *testing.T) {
	if code, out, e := run(t, "", "family", "lint", flatFour); code != 0 || !strings.Contains(out, "fen-20-4") {
		t.Fatalf("exit %d: %s%s", code, out, e)
	}
	files := evaluated(t, flatFour, flatFourReadings)
	var a struct {
		Tally    assess.Tally
		Findings []assess.Finding
		Values   []assess.Value
		Targets  []assess.Target
	}
	if err := json.Unmarshal(files["assessment.json"], &a); err != nil {
		t.Fatal(err)
	}
	want := map[string]string{ // finding on part -> the worst of its evidence
		"liner-stand liner/3":  "liner/protrusion/3/180",
		"bore-size liner/2":    "liner/bore/2/H1/T",
		"bore-taper liner/2":   "liner/taper/2/T",
		"journal-size crank":   "crank/pin/4/1/T",
		"cam-journal cam/B":    "cam/journal/B/2",
		"head-flatness head/B": "head/flatness/B",
		"tensioner belt":       "belt/idler/tensioner",
	}
	for _, f := range a.Findings {
		key := f.ID + " " + f.Part
		if f.Verdict != assess.Reject {
			t.Errorf("%s is only %s: %+v", key, f.Verdict, f.Evidence)
			continue
		}
		at, ok := want[key]
		if !ok {
			t.Errorf("%s was not planted: %+v", key, f.Evidence)
			continue
		}
		if !hasEvidence(f, at) {
			t.Errorf("%s rests on %+v, %s is missing", key, f.Evidence, at)
		}
		for _, e := range f.Evidence {
			if f.Part == "crank" && !strings.HasPrefix(e.Position, "crank/pin/4/") {
				t.Errorf("%s: also at %s", key, e.Position)
			}
		}
		delete(want, key)
	}
	for key := range want {
		t.Errorf("%s was not found", key)
	}
	for i := range a.Values { // a check without an entry in the catalogue is rejected all the same
		if v := &a.Values[i]; v.Position == "belt/teeth" && v.Verdict != assess.Reject {
			t.Errorf("belt/teeth is %s", v.Verdict)
		}
	}
	for _, g := range a.Targets {
		// The worst bore is 88.072 mm, the worst pin 51.941 mm; 0.25 mm is the
		// smallest step of either ladder and cleans both up.
		step := map[string]string{"bore": "0.25 mm", "pin": "0.25 mm"}[g.Group]
		if g.Needed != (step != "") || g.Step != step {
			t.Errorf("%s: needed %v, step %q", g.Group, g.Needed, g.Step)
		}
	}
	if a.Tally.Unmeasured != 0 || a.Tally.Readings != 222 {
		t.Errorf("%+v", a.Tally)
	}
	if !bytes.HasPrefix(files["record.pdf"], []byte("%PDF-")) {
		t.Error("no record")
	}
	if table := string(files["assessment.txt"]); !strings.Contains(table, "Flat four with wet liners") || !strings.Contains(table, "88.072") {
		t.Errorf("the table is without its title or the worst bore:\n%.800s", table)
	}
	lib := knowledge(t)
	text, err := os.ReadFile(flatFour)
	if err != nil {
		t.Fatal(err)
	}
	l, faults := lib.Family(flatFour, text)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	e := &engine{lib: lib, l: l}
	if n, err := e.through(); err != nil || n != len(l.Family.Components)+1 {
		t.Errorf("at nominal: %d drawings, %v", n, err)
	}
}

func hasEvidence(f assess.Finding, position string) bool {
	for _, e := range f.Evidence {
		if e.Position == position && e.Verdict == assess.Reject {
			return true
		}
	}
	return false
}
