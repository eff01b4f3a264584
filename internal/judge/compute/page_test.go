package compute

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"

	"fettle/internal/know/words"
)

var update = flag.Bool("update", false, "write the table of the page anew")

// Golden: the page doc/model/compute.md lists every computation with its line
// and source. go test ./internal/judge/compute -update writes it anew.
func TestGoldenPage(t *testing.T) {
	const page, begin, end = "../../../doc/model/compute.md", "<!-- names -->\n", "<!-- end of names -->\n"
	text, err := os.ReadFile(page)
	if err != nil {
		t.Fatal(err)
	}
	english, err := os.ReadFile("../../../data/words/en.yaml")
	if err != nil {
		t.Fatal(err)
	}
	book, err := words.Parse("en", english, nil)
	if err != nil {
		t.Fatal(err)
	}
	var want strings.Builder
	want.WriteString(begin + "\n| name | what | source |\n| --- | --- | --- |\n")
	for _, e := range Entries() {
		what := "`" + e.Equation + "`"
		if e.What != "" {
			what = book.Say(e.What)
		}
		fmt.Fprintf(&want, "| `%s` | %s | %s |\n", e.Name, strings.ReplaceAll(what, "|", `\|`), e.Source)
	}
	want.WriteString("\n" + end)
	before, rest, ok := strings.Cut(string(text), begin)
	_, after, ok2 := strings.Cut(rest, end)
	if !ok || !ok2 {
		t.Fatal("the page has no place for the names")
	}
	if whole := before + want.String() + after; whole != string(text) {
		if !*update {
			t.Fatal("the page does not list the computations as they are; -update writes it anew")
		}
		if err := os.WriteFile(page, []byte(whole), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}
