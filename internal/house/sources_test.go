package house

import (
	"errors"
	"os"
	"strings"
	"testing"
	"testing/fstest"
)

func TestSourcesOfThisHouse(t *testing.T) {
	tree := os.DirFS(root(t))
	breaks, err := Sources(tree)
	if errors.Is(err, ErrNoSources) {
		t.Skip(err)
	}
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range breaks {
		t.Error(b)
	}
	cited, err := Citations(tree)
	if err != nil {
		t.Fatal(err)
	}
	if len(cited) == 0 {
		t.Error("there is a list of sources and nothing cites it: does this test still look in the right places?")
	}
}

func TestSourceRule(t *testing.T) {
	const list = "fettle: sources/1\nsources:\n  - id: gum\n    title: the Guide\n  - {id: iso286, title: limits and fits}\n"
	for _, c := range []struct {
		name, file, text string
		want             string // the break, or "" where the file is lawful
	}{
		{"known key", "internal/a/a.go", `var k = cite.Key("gum")`, ""},
		{"unknown key", "internal/a/a.go", `var k = cite.Key("gumm")`, `internal/a/a.go:2: cites "gumm"`},
		{"typed constant", "internal/a/a.go", "const (\n\tk cite.Key = \"gumm\"\n)", `internal/a/a.go:3: cites "gumm"`},
		{"field", "internal/a/a.go", `var r = Relation{Name: "x", Source: "gumm"}`, `cites "gumm"`},
		{"field left empty", "internal/a/a.go", `var r = Relation{Name: "x", Source: ""}`, ""},
		{"in a comment", "internal/a/a.go", `// Source: gumm`, ""},
		{"in a test", "internal/a/a_test.go", `var k = cite.Key("gumm")`, ""},
		{"known limit", "data/families/f.yaml", "limits:\n  - {min: 1 mm, source: iso286}\n", ""},
		{"unknown limit", "data/families/f.yaml", "limits:\n  - min: 1 mm\n    source: iso287\n", `data/families/f.yaml:3: cites "iso287"`},
		{"unknown in flow style", "data/families/f.yaml", "limits:\n  - {min: 1 mm, source: iso287}\n", `data/families/f.yaml:2: cites "iso287"`},
		{"unknown in a list", "data/families/f.yaml", "source: [gum, 'iso287']\n", `cites "iso287"`},
		{"beside a comment", "data/families/f.yaml", "source: iso287 # the table\n", `cites "iso287"`},
		{"lone document", "data/families/f.yaml", "source: iso287\n", `cites "iso287"`},
	} {
		t.Run(c.name, func(t *testing.T) {
			text := c.text
			if strings.HasSuffix(c.file, ".go") {
				text = "package a\n" + text + "\n"
			}
			breaks, err := Sources(fstest.MapFS{"data/sources.yaml": {Data: []byte(list)}, c.file: {Data: []byte(text)}})
			if err != nil {
				t.Fatal(err)
			}
			switch {
			case c.want == "" && len(breaks) > 0:
				t.Errorf("lawful, but refused: %v", breaks)
			case c.want != "" && (len(breaks) != 1 || !strings.Contains(breaks[0].String(), c.want)):
				t.Errorf("got %v, want one with %q", breaks, c.want)
			}
		})
	}
}

func TestSourcesWithoutAList(t *testing.T) {
	tree := fstest.MapFS{"internal/a/a.go": {Data: []byte("package a\n")}}
	if _, err := Sources(tree); !errors.Is(err, ErrNoSources) {
		t.Errorf("without a list: %v, want %v", err, ErrNoSources)
	}
	tree[sourceList] = &fstest.MapFile{Data: []byte("sources: [")}
	if _, err := Sources(tree); err == nil || errors.Is(err, ErrNoSources) {
		t.Errorf("with a broken list: %v, want the parser's complaint", err)
	}
}
