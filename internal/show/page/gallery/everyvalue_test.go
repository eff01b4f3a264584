package gallery

import (
	"bytes"
	"fmt"
	"os"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"fettle/internal/judge/assess"
	"fettle/internal/show/page"
	"fettle/internal/show/view"
)

// Law: the page of any value of the two demonstration jobs tells what makes up
// its doubt, the shared causes, how far it reaches, its chance of lying inside
// and the next act, with the standard's word beside, or says in words why it
// does not. Of each kind of value (quantity, verdict, worked out or read) some
// pages are looked at; with FETTLE_EVERY_VALUE=yes all of them are.
func TestEveryValueTellsAll(t *testing.T) {
	all := os.Getenv("FETTLE_EVERY_VALUE") == "yes"
	g := &gallery{t: t, s: newShelf(t)}
	pages, err := page.New(g.s.lib.Words)
	if err != nil {
		t.Fatal(err)
	}
	kinds, looked := map[string]int{}, 0
	for i, lang := range []string{"en", "de"} {
		r := view.Reader{Lang: lang, Mark: ".,"[i], Book: g.s.lib.Book(lang)}
		c := g.demo([]string{"2026-014", "2026-021"}[i])
		for n := range c.Assessment.Values {
			v := &c.Assessment.Values[n]
			kind := fmt.Sprintf("%s %s worked out %v", v.Place.Char.Quantity+"/"+v.Place.Char.Unit, v.Verdict, v.Derived)
			kinds[kind]++
			if !all && kinds[kind] > 2 && (v.SU > 0 || !v.Has || v.Check) {
				continue
			}
			at, ok := c.AtPage(r, v.Position, v.State, c.FormFor(r, v.Position, strings.Repeat("0", 32), view.Typed{Fresh: true, State: v.State}, nil))
			if !ok {
				t.Fatalf("no page of %s", v.Position)
			}
			var b bytes.Buffer
			if err := pages.At(&b, at); err != nil {
				t.Fatal(err)
			}
			looked++
			g.tells(v, r, b.Bytes())
		}
	}
	if len(kinds) < 30 || looked < 30 || all && looked < 4000 {
		t.Errorf("%d pages of %d kinds", looked, len(kinds))
	}
	t.Logf("%d pages of %d kinds", looked, len(kinds))
}

// tells reads a page back and looks for each block or its reason.
func (g *gallery) tells(v *assess.Value, r view.Reader, body []byte) {
	g.t.Helper()
	doc, err := html.Parse(bytes.NewReader(body))
	if err != nil {
		g.t.Fatal(err)
	}
	said := blocks(doc)
	number := v.Has && !v.Check
	for _, b := range []struct {
		name, class, standard string
		must                  bool // it cannot be missing
	}{
		{"between", "p.between", "page.at.between.standard", number && v.SU > 0},
		{"chance", "p.chance", "page.at.chance.standard", number && v.Limit != nil},
		{"act", "p.act", "", v.Verdict == assess.Undecided},
		{"budget", "h2#budget", "page.at.budget.standard", number && v.SU > 0},
		{"shared", "h3#shared", "page.at.shared.standard", false},
	} {
		have := said[b.class]
		why := said["dt "+r.T("page.at.lacks."+b.name)]
		switch {
		case (have == "") == (why == ""):
			g.t.Errorf("%s (%s, %q): %s is told as %q and lacks as %q", v.Position, v.Place.Char.Quantity, v.Verdict, b.name, have, why)
		case b.must && have == "":
			g.t.Errorf("%s: %s is left out because %q", v.Position, b.name, why)
		case have != "" && b.standard != "" && !strings.Contains(have, opening(r.T(b.standard))):
			g.t.Errorf("%s: %q has no word of the standard", v.Position, have)
		case have == "" && strings.Contains(why, "["):
			g.t.Errorf("%s: no words for why %s is not there: %s", v.Position, b.name, why)
		}
	}
	measured := len(v.Readings) > 0
	for _, in := range v.Place.In {
		measured = measured || len(in.Places) > 0
	}
	if number && v.SU == 0 && measured {
		g.t.Errorf("%s leans on a reading and has no doubt", v.Position)
	}
}

// opening is a sentence up to its first argument or comma.
func opening(s string) string {
	if i := strings.IndexAny(s, ",{"); i > 0 {
		return s[:i]
	}
	return s
}

// blocks are the texts of paragraphs by class, of headings by id, and of the
// reasons by their term.
func blocks(n *html.Node) map[string]string {
	out := map[string]string{}
	term := ""
	var walk func(*html.Node)
	walk = func(n *html.Node) {
		if n.Type == html.ElementNode {
			words := strings.Join(strings.Fields(text(n)), " ")
			for _, a := range n.Attr {
				switch a.Key {
				case "class":
					out[n.Data+"."+a.Val] = words
				case "id":
					out[n.Data+"#"+a.Val] = words
				}
			}
			switch n.Data {
			case "dt":
				term = words
			case "dd":
				out["dt "+term] = words
			}
		}
		for k := n.FirstChild; k != nil; k = k.NextSibling {
			walk(k)
		}
	}
	walk(n)
	return out
}
