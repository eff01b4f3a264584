package observation

import (
	"os"
	"strings"
	"testing"
)

const name = "observations.yaml"

func every(string) bool { return true }

func shipped(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile("../../../data/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// Law: the shipped file is sound; each thing that can be wrong with one is said
// at its line.
func TestLint(t *testing.T) {
	text := shipped(t)
	if _, faults := Read(name, []byte(text), every); len(faults) > 0 {
		t.Fatal(faults)
	}
	for want, change := range map[string][2]string{
		"observation.twice":     {"{id: embedded, name", "{id: scored, name"},
		"observation.no-within": {"within: [fire-ring, bridge, water-hole]", "within: [fire-ring, brigde, water-hole]"},
		"observation.no-words":  {`name: {en: scored, de: riefig}`, `name: {en: scored}`},
		"file.unknown-key":      {"{id: scored, name", "{id: scored, colour: blue, name"},
		"file.not-listed":       {"fettle: observations/1", "fettle: observations/2"},
		"file.missing-key":      {", source: iso-7146-1, status: from memory}", ", status: from memory}"},
	} {
		if !strings.Contains(text, change[0]) {
			t.Fatalf("the file no longer says %q", change[0])
		}
		_, faults := Read(name, []byte(strings.Replace(text, change[0], change[1], 1)), every)
		if len(faults) != 1 || faults[0].Key != want || faults[0].Line < 5 {
			t.Errorf("%s: %v", want, faults)
		}
	}
	if _, faults := Read(name, []byte(text), func(id string) bool { return id != "common-practice" }); len(faults) == 0 || faults[0].Key != "observation.no-source" {
		t.Errorf("a source that is not declared: %v", faults)
	}
}

// Law: severities are ordered as they stand; what is not known has no rank, no
// place and no kind.
func TestAsk(t *testing.T) {
	c, _ := Read(name, []byte(shipped(t)), every)
	for i, s := range c.Severities {
		if c.Rank(s.ID) != i+1 {
			t.Errorf("%s has rank %d", s.ID, c.Rank(s.ID))
		}
	}
	if _, ok := c.Kind("odd"); ok || c.Rank("odd") != 0 || len(c.On("odd")) != 0 || len(c.Places("odd")) != 0 {
		t.Error("something is known of what is not there")
	}
	for _, k := range c.Kinds {
		for _, p := range k.Parts {
			found := false
			for _, o := range c.On(p) {
				found = found || o.ID == k.ID
			}
			if !found {
				t.Errorf("%s is not among what is seen on %s", k.ID, p)
			}
		}
	}
}
