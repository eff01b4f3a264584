package sheet

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fettle/internal/demo"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/facts/shop"
	"fettle/internal/judge/assess"
	"fettle/internal/judge/compute"
	"fettle/internal/know/family"
	"fettle/internal/know/library"
	"fettle/internal/show/view"
)

const data = "../../../data/"

// knowledge reads the real knowledge files.
func knowledge(t testing.TB) *library.Library {
	t.Helper()
	files := library.Files{}
	for _, pattern := range []string{"*.yaml", "*.csv", "words/*.yaml"} {
		names, _ := filepath.Glob(data + pattern)
		for _, n := range names {
			b, err := os.ReadFile(n)
			if err != nil {
				t.Fatal(err)
			}
			files[strings.TrimPrefix(filepath.ToSlash(n), data)] = b
		}
	}
	lib, faults := library.Read(files, compute.Signature)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	return lib
}

func familyOf(t testing.TB, lib *library.Library, id string) *family.Layout {
	t.Helper()
	b, err := os.ReadFile(data + "family/" + id + ".yaml")
	if err != nil {
		t.Fatal(err)
	}
	l, faults := lib.Family("family/"+id+".yaml", b)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	return l
}

// link makes rows of entries as a store does.
func link(es []entry.Entry) []entry.Row {
	rows := make([]entry.Row, len(es))
	var prev entry.Hash
	for i := range es {
		rows[i] = entry.Row{Entry: es[i], Seq: int64(i) + 1, Received: es[i].Time, Prev: prev}
		rows[i].Hash = rows[i].Digest()
		prev = rows[i].Hash
	}
	return rows
}

// demoInput is a job of the demo, measured and judged.
func demoInput(t testing.TB, name, lang string) Input {
	t.Helper()
	lib := knowledge(t)
	truth, err := os.ReadFile(data + "demo/" + name + ".yaml")
	if err != nil {
		t.Fatal(err)
	}
	shopText, err := os.ReadFile(data + "demo/shop.yaml")
	if err != nil {
		t.Fatal(err)
	}
	tr, faults := demo.Load(name, truth, "shop.yaml", shopText)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	l := familyOf(t, lib, tr.Family)
	m, faults := demo.Make(tr, l, lib, uint64(tr.Seed), nil)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	return judged(t, lib, l, job.Replay(link(m.Job)), shop.Replay(link(m.Shop)), lang)
}

func judged(t testing.TB, lib *library.Library, l *family.Layout, j *job.State, s *shop.State, lang string) Input {
	t.Helper()
	a, err := assess.Evaluate(assess.Knowledge{Library: lib, Layout: l}, assess.Facts{Job: j, Shop: s}, assess.Plan{})
	if err != nil {
		t.Fatal(err)
	}
	mark := byte('.')
	if lang == "de" {
		mark = ','
	}
	return Input{Case: view.NewCase(a, l, lib, j, s, view.Sketch{}), Reader: view.Reader{Lang: lang, Mark: mark, Book: lib.Book(lang)}, Program: "fettle test"}
}
