package failure

import (
	"os"
	"strings"
	"testing"
)

const name = "failures.yaml"

func known() Known {
	return Known{Source: func(string) bool { return true }, Kind: func(k, _ string) bool { return k != "odd" },
		Within: func(_, w string) bool { return w != "nowhere" }}
}

// Law: the shipped file is sound; each thing that can be wrong with one is said
// at its line.
func TestLint(t *testing.T) {
	b, err := os.ReadFile("../../../data/" + name)
	if err != nil {
		t.Fatal(err)
	}
	text := string(b)
	if _, faults := Read(name, b, known()); len(faults) > 0 {
		t.Fatal(faults)
	}
	for want, change := range map[string][2]string{
		"failure.twice":       {"{id: shells-scored, name", "{id: shells-embedded, name"},
		"failure.not-whole":   {"{id: pair, one: 20,", "{id: pair, one: 21,"},
		"failure.no-any":      {"{id: any, upper", "{id: some-half, upper"},
		"failure.no-kind":     {"any: [{kind: embedded,", "any: [{kind: odd,"},
		"failure.no-within":   {"within: [pin-ends]}], spread: true, elsewhere: 2", "within: [nowhere]}], spread: true, elsewhere: 2"},
		"failure.no-area":     {"id: dirt\n    area: bearings", "id: dirt\n    area: elsewhere"},
		"failure.no-sign":     {"{sign: shells-embedded, p: 92", "{sign: shells-green, p: 92"},
		"failure.no-spread":   {"p: 92, spread: alike", "p: 92, spread: oblique"},
		"failure.whose":       {"    share_source: trade-bearing-brochure\n", ""},
		"failure.no-words":    {`name: {en: "particles in the shells", de: "Partikel in den Schalen"}`, `name: {en: "particles in the shells"}`},
		"file.not-allowed":    {"{sign: shells-embedded, p: 92", "{sign: shells-embedded, p: 100"},
		"file.not-listed":     {"elsewhere: 6, tag: invented}", "elsewhere: 6, tag: certain}"},
		"failure.no-evidence": {`any: [{kind: embedded, "on": [shell-pin, shell-main]}], `, ""},
	} {
		if !strings.Contains(text, change[0]) {
			t.Fatalf("the file no longer says %q", change[0])
		}
		_, faults := Read(name, []byte(strings.Replace(text, change[0], change[1], 1)), known())
		found := false
		for _, f := range faults {
			found = found || f.Key == want && f.Line > 10
		}
		if !found {
			t.Errorf("%s: %v", want, faults)
		}
	}
	k := known()
	k.Source = func(id string) bool { return id != "common-practice" }
	if _, faults := Read(name, b, k); len(faults) == 0 || faults[0].Key != "failure.no-source" {
		t.Errorf("a source that is not declared: %v", faults)
	}
}
