package house

import (
	"os"
	"strings"
	"testing"
	"testing/fstest"
)

func TestSentencesOfThisHouse(t *testing.T) {
	breaks, err := Sentences(os.DirFS(root(t)), Blocks())
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range breaks {
		t.Error(b)
	}
}

func TestSentenceRule(t *testing.T) {
	const code = `package unit
import "fettle/internal/base/fault"
func f() error {
	if c.knows("a.b", name, set, "family.unknown") { return doc.Fault("engine.banks", "family.banks", "found", x) }
	key := "file.shape"
	_ = files["plan.csv"]
	c.say("engine.bore", "page.title")
	say("act.again", "minutes", "5")
	return fault.New(fault.Invalid, "unit.bad", "found", x)
}
`
	const book = "unit.bad: 'bad {found}'\nfamily.unknown: '{found}'\nfamily.banks: '{found}'\nfile.shape: 'x'\npage.title: 'x'\nact.again: '{minutes}'\nother.unused: 'x'\n"
	for _, c := range []struct {
		name, code, book string
		want             []string
	}{
		{"whole", code, book, nil},
		{"a fault without its sentence", code, strings.Replace(book, "unit.bad", "page.bad", 1), []string{"internal/x/x.go:9"}},
		{"a check without its sentence", code, strings.Replace(book, "family.unknown", "page.unknown", 1), []string{"internal/x/x.go:4"}},
		{"a key in a variable", code, strings.Replace(book, "file.shape", "page.shape", 1), []string{"internal/x/x.go:5"}},
		{"a room of no block", code, strings.Replace(book, "page.title", "page.name", 1), []string{"internal/x/x.go:7"}},
		{"a sentence without a place", code, strings.Replace(book, "act.again", "act.once", 1), []string{"internal/x/x.go:8"}},
		{"an argument that nobody gives", code, strings.Replace(book, "bad {found}", "bad {found}, not {expected}", 1), []string{"internal/x/x.go:9"}},
		{"a sentence that nobody says", code, book + "entry.unused: 'x'\n", []string{"data/words/en.yaml:8"}},
		{"a sentence without words", code, strings.Replace(book, "file.shape: 'x'", "file.shape: ''", 1), []string{"data/words/en.yaml:4"}},
		{"a key twice", code, book + "unit.bad: 'y'\n", []string{"data/words/en.yaml"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			breaks, err := Sentences(fstest.MapFS{"internal/x/x.go": {Data: []byte(c.code)}, Book: {Data: []byte(c.book)},
				"internal/x/x_test.go": {Data: []byte("package x\nvar _ = \"entry.test-only\"\n")}}, Blocks())
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
