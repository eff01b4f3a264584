package words

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/goccy/go-yaml"
	"github.com/google/go-cmp/cmp"
)

// Law: the quick reader reads the word files of this repository, and gives what
// a reader of YAML at large gives.
func TestPlainIsYAML(t *testing.T) {
	names, err := filepath.Glob("../../../data/words/*.yaml")
	if err != nil || len(names) < 2 {
		t.Fatal(names, err)
	}
	for _, n := range names {
		text, err := os.ReadFile(n)
		if err != nil {
			t.Fatal(err)
		}
		got, ok := plain(string(text))
		if !ok {
			t.Errorf("%s is not plain: each line is key: 'sentence'", n)
			continue
		}
		var want map[string]string
		if err := yaml.Unmarshal(text, &want); err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(want, got); d != "" || len(got) < 100 {
			t.Errorf("%s: %s", n, d)
		}
	}
}

// Law: what is not plain goes to the reader of YAML and means the same, or is
// refused by it.
func TestOtherWordFiles(t *testing.T) {
	for text, want := range map[string]map[string]string{
		"a: 'it''s'\n":         {"a": "it's"},
		"a: 'x'\r\nb: 'y'\r\n": {"a": "x", "b": "y"},
		"a: \"x\\ty\"\n":       {"a": "x\ty"},
		"a: 'x' # remark\n":    {"a": "x"},
		"a: 'x\n  y'\n":        {"a": "x y"},
		"\"a\": 'x'\n":         {"a": "x"},
		"a.b: 'tab\tin'\n":     {"a.b": "tab\tin"},
		"a: plain\n":           {"a": "plain"},
		"a.b: 'x'\na.b: 'y'\n": nil,
		"a.b: 'x'y'\n":         nil,
		"a: 'x\n":              nil,
	} {
		b, err := Parse("en", []byte(text), nil)
		switch {
		case want == nil && err == nil:
			t.Errorf("%q was taken as %v", text, b.say)
		case want != nil && err != nil:
			t.Errorf("%q: %v", text, err)
		case want != nil:
			if d := cmp.Diff(want, b.say); d != "" {
				t.Errorf("%q: %s", text, d)
			}
		}
	}
}
