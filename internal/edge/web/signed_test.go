package web

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// TestNoHandlerTakesAProgramsWord: what a program says of who did something
// goes through person, and the device through deviceOf, so that an entry is by
// whoever is signed in.
func TestNoHandlerTakesAProgramsWord(t *testing.T) {
	names, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	found := 0
	for _, n := range names {
		if strings.HasSuffix(n, "_test.go") {
			continue
		}
		text, err := os.ReadFile(n)
		if err != nil {
			t.Fatal(err)
		}
		for i, line := range strings.Split(string(text), "\n") {
			found += strings.Count(line, "Device: deviceOf(")
			if m := regexp.MustCompile(`Person: +(b|in|in\.Body|body|item)\.Person\b|Device: +(device|"api"|b\.Device)\b`).FindString(line); m != "" {
				t.Errorf("%s:%d: %s; use s.person and deviceOf", n, i+1, m)
			}
		}
	}
	if found < 8 {
		t.Errorf("only %d entries name their device", found)
	}
}
