package page

import (
	"io/fs"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"go.yaml.in/yaml/v3"
)

// TestGermanSaysTheSame: every German sentence stands for an English one, with
// the same arguments; every sentence of the pages has its German.
func TestGermanSaysTheSame(t *testing.T) {
	say := map[string]map[string]string{}
	for _, lang := range []string{"en", "de"} {
		text, err := os.ReadFile("../../../data/words/" + lang + ".yaml")
		if err != nil {
			t.Fatal(err)
		}
		m := map[string]string{}
		if err := yaml.Unmarshal(text, &m); err != nil {
			t.Fatal(err)
		}
		say[lang] = m
	}
	args := func(s string) []string {
		out := regexp.MustCompile(`\{[a-z]+\}`).FindAllString(s, -1)
		slices.Sort(out)
		return slices.Compact(out)
	}
	for k, de := range say["de"] {
		en, ok := say["en"][k]
		if !ok {
			t.Errorf("%s is German only", k)
			continue
		}
		if !slices.Equal(args(en), args(de)) {
			t.Errorf("%s takes %v in English and %v in German", k, args(en), args(de))
		}
	}
	for k := range say["en"] {
		if strings.HasPrefix(k, "page.") || strings.HasPrefix(k, "bench.") {
			if say["de"][k] == "" {
				t.Errorf("%s has no German", k)
			}
		}
	}
}

// TestOnlyWhoIsNotSignedInIsAsked: a field that asks who did something stands
// only where there are people to choose from, and whoever is signed in is given
// none.
func TestOnlyWhoIsNotSignedInIsAsked(t *testing.T) {
	names, _ := fs.Glob(files, "*.tmpl")
	asked := 0
	for _, n := range names {
		text, err := fs.ReadFile(files, n)
		if err != nil {
			t.Fatal(err)
		}
		for i, line := range strings.Split(string(text), "\n") {
			at := strings.Index(line, `name="person"`)
			if at < 0 || strings.Contains(line, `type="hidden"`) && strings.Index(line, `type="hidden"`) < at && !strings.Contains(line, "<select") {
				continue
			}
			asked++
			if !regexp.MustCompile(`\{\{if [$.A-Za-z]*People\}\}`).MatchString(line[:at]) {
				t.Errorf("%s:%d asks who, signed in or not: put {{if .People}} about the field", n, i+1)
			}
		}
	}
	if asked < 8 {
		t.Errorf("only %d fields ask who", asked)
	}
}
