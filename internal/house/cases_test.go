package house

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// The list of cases names tests that exist, in the package it says, and names
// none twice.
func TestCasesAreTested(t *testing.T) {
	base := root(t)
	text, err := os.ReadFile(filepath.Join(base, "doc", "model", "cases.md"))
	if err != nil {
		t.Fatal(err)
	}
	code := regexp.MustCompile("`([^`]+)`")
	rows, seen := 0, map[string]bool{}
	for n, line := range strings.Split(string(text), "\n") {
		cells := strings.Split(line, "|")
		if len(cells) < 5 {
			continue
		}
		cells = cells[1 : len(cells)-1]
		names := code.FindAllStringSubmatch(cells[len(cells)-1], -1)
		dir := code.FindStringSubmatch(cells[len(cells)-2])
		if len(names) == 0 || dir == nil {
			continue // the head of a table
		}
		rows++
		files, err := filepath.Glob(filepath.Join(base, "internal", filepath.FromSlash(dir[1]), "*_test.go"))
		if err != nil || len(files) == 0 {
			t.Errorf("line %d: no tests in %s", n+1, dir[1])
			continue
		}
		var all strings.Builder
		for _, f := range files {
			b, err := os.ReadFile(f)
			if err != nil {
				t.Fatal(err)
			}
			all.Write(b)
		}
		for _, name := range names {
			if !strings.Contains(all.String(), "\nfunc "+name[1]+"(t *testing.T) {") {
				t.Errorf("line %d: %s has no %s", n+1, dir[1], name[1])
			}
			if key := dir[1] + name[1]; seen[key] {
				t.Errorf("line %d: %s stands twice", n+1, name[1])
			} else {
				seen[key] = true
			}
		}
	}
	if rows < 45 {
		t.Errorf("only %d rows were read", rows)
	}
}
