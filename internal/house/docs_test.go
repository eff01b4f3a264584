package house

import (
	"os"
	"strings"
	"testing"
	"testing/fstest"
)

func TestDocsOfThisHouse(t *testing.T) {
	breaks, err := Docs(os.DirFS(root(t)))
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range breaks {
		t.Error(b)
	}
}

func TestDocRule(t *testing.T) {
	const (
		readme = "# House\n[a](doc/a.md) ![picture](doc/p.png)\n[away](https://example.org/x) `[code](nowhere.md)`\n\n    [code](nowhere.md)\n\n```\n[code](nowhere.md)\n```\n"
		a      = "# Page a\n[b](sub/b.md#what-it-is) [up](../README.md) [folder](sub/)\n"
		b      = "# Page b\n## What it is\n[own](#page-b)\n"
		words  = "| word | code | meaning |\n|---|---|---|\n| value | `assess.Value`, `block/bore` | `not-code` |\n"
		code   = "package assess\n\ntype Value struct{}\n"
		data   = "- {id: block/bore, name: {en: Bore}}\n"
	)
	for _, c := range []struct {
		name, file, text string
		want             []string
	}{
		{"whole", "README.md", readme, nil},
		{"a link to nothing", "doc/sub/b.md", b + "[c](c.md)\n", []string{"doc/sub/b.md:4"}},
		{"a link from the wrong folder", "doc/a.md", a + "[b](doc/sub/b.md)\n", []string{"doc/a.md:3"}},
		{"a heading that is not there", "doc/a.md", strings.Replace(a, "what-it-is", "what-it-was", 1), []string{"doc/a.md:2", "doc/sub/b.md"}},
		{"a picture that is not there", "README.md", strings.Replace(readme, "p.png", "q.png", 1), []string{"README.md:2"}},
		{"a page that nothing leads to", "doc/c.md", "# c\n", []string{"doc/c.md"}},
		{"a page three steps away", "doc/sub/b.md", b + "[c](../far.md)\n", []string{"doc/far.md"}},
		{"a type of no such name", "doc/words.md", strings.Replace(words, "assess.Value", "assess.Worth", 1), []string{"doc/words.md:3"}},
		{"a type of no such package", "doc/words.md", strings.Replace(words, "assess.Value", "judge.Value", 1), []string{"doc/words.md:3"}},
		{"part of an id", "doc/words.md", strings.Replace(words, "block/bore", "block/bo", 1), []string{"doc/words.md:3"}},
		{"half an id", "doc/words.md", strings.Replace(words, "block/bore", "bore", 1), []string{"doc/words.md:3"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			tree := fstest.MapFS{"README.md": {Data: []byte(readme)}, "doc/a.md": {Data: []byte(a)}, "doc/sub/b.md": {Data: []byte(b)},
				"doc/p.png": {Data: []byte{0}}, "doc/words.md": {Data: []byte(words)},
				"internal/judge/assess/a.go": {Data: []byte(code)}, "data/f.yaml": {Data: []byte(data)}}
			if c.name == "a page three steps away" {
				tree["doc/far.md"] = &fstest.MapFile{Data: []byte("# far\n")}
			}
			tree[c.file] = &fstest.MapFile{Data: []byte(c.text)}
			tree["README.md"].Data = append(tree["README.md"].Data, "[words](doc/words.md)\n"...)
			breaks, err := Docs(tree)
			if err != nil {
				t.Fatal(err)
			}
			var got []string
			for _, b := range breaks {
				got = append(got, b.Where)
			}
			if strings.Join(got, " ") != strings.Join(c.want, " ") {
				t.Errorf("broken at %v, want %v", breaks, c.want)
			}
		})
	}
}
