package gallery

import (
	"bytes"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"fettle/internal/show/page"
	"fettle/internal/show/plot"
)

// TestGallery renders every state of every page and reads it back.
func TestGallery(t *testing.T) {
	list := states(t)
	if len(list) < 150 {
		t.Fatalf("only %d states; the gallery lost some", len(list))
	}
	dir, asks := os.Getenv("FETTLE_GALLERY"), 0
	for _, s := range list {
		t.Run(s.name, func(t *testing.T) {
			text := s.render(t)
			if dir != "" {
				keep(t, dir, s.name, text)
			}
			doc, err := html.Parse(bytes.NewReader(text))
			if err != nil {
				t.Fatal(err)
			}
			c := &check{t: t, lang: s.lang, ids: map[string]int{}, labels: map[string]bool{}}
			c.walk(doc)
			c.finish()
			if bytes.Contains(text, []byte(`name="person"`)) {
				if asks++; bytes.Contains(text, []byte(`class="present"`)) {
					t.Error("the form asks who, though somebody is signed in")
				}
			}
			if i := bytes.Index(text, []byte("[page.")); i >= 0 {
				t.Errorf("a sentence is missing: %s", text[i:min(i+60, len(text))])
			}
			for _, bad := range []string{"%!", "NaN", "+Inf", "<nil>", "ZgotmplZ"} {
				if bytes.Contains(text, []byte(bad)) {
					t.Errorf("the page shows %q", bad)
				}
			}
		})
	}
	if asks < 10 {
		t.Errorf("only %d states ask who", asks)
	}
	if dir != "" {
		assets(t, dir)
	}
}

func keep(t *testing.T, dir, name string, text []byte) {
	t.Helper()
	text = regexp.MustCompile(`(href|src)="/static/([^"?]+)(\?[^"]*)?"`).ReplaceAll(text, []byte(`$1="$2"`))
	if err := os.WriteFile(filepath.Join(dir, name+".html"), text, 0o600); err != nil {
		t.Fatal(err)
	}
}

func assets(t *testing.T, dir string) {
	t.Helper()
	p, err := page.New(newShelf(t).lib.Words)
	if err != nil {
		t.Fatal(err)
	}
	files := map[string][]byte{"fettle.css": bytes.ReplaceAll(p.CSS(), []byte("/static/"), nil), "mark.svg": []byte(page.Icon())}
	for _, f := range plot.WebFonts() {
		files[f.Name] = f.TTF
	}
	for name, b := range files {
		if err := os.WriteFile(filepath.Join(dir, name), b, 0o600); err != nil {
			t.Fatal(err)
		}
	}
}

// check holds one page against what every page must be.
type check struct {
	t       *testing.T
	lang    string
	ids     map[string]int
	labels  map[string]bool // ids that a label is for
	inputs  []*html.Node
	targets []string // fragments that links of this page name
	h1      int
	block   bool
	main    bool
}

func (c *check) walk(n *html.Node) {
	if n.Type == html.ElementNode {
		c.element(n)
	}
	for k := n.FirstChild; k != nil; k = k.NextSibling {
		c.walk(k)
	}
}

func (c *check) element(n *html.Node) {
	if id := attr(n, "id"); id != "" {
		c.ids[id]++
	}
	if v := attr(n, "style"); v != "" {
		c.t.Errorf("<%s> carries an inline style, which the policy of the site forbids", n.Data)
	}
	for _, a := range n.Attr {
		if strings.HasPrefix(a.Key, "on") {
			c.t.Errorf("<%s> carries a script in %s", n.Data, a.Key)
		}
		if (a.Key == "href" || a.Key == "src" || a.Key == "action" || a.Key == "poster" || a.Key == "srcset") && a.Namespace == "" {
			c.address(n, a.Key, a.Val)
		}
	}
	switch n.Data {
	case "html":
		if attr(n, "lang") != c.lang {
			c.t.Errorf("lang is %q, the words are %q", attr(n, "lang"), c.lang)
		}
	case "h1":
		c.h1++
		c.words(n, "the heading")
	case "title":
		if n.Namespace == "" {
			c.words(n, "the title")
		}
	case "main":
		c.main = true
	case "footer":
		c.block = find(n, "dt") != nil
	case "script":
		if n.FirstChild != nil || attr(n, "src") == "" {
			c.t.Error("a script stands inside the page")
		}
	case "style":
		c.t.Error("a stylesheet stands inside the page")
	case "svg":
		if attr(n, "aria-hidden") != "true" && attr(n, "aria-label") == "" {
			c.t.Error("a drawing has neither words nor a mark that it only repeats some")
		}
	case "table":
		c.table(n)
	case "a":
		c.link(n)
	case "img":
		if strings.TrimSpace(attr(n, "alt")) == "" {
			c.t.Errorf("the picture %s says nothing to who cannot see it", attr(n, "src"))
		}
	case "label":
		if f := attr(n, "for"); f != "" {
			c.labels[f] = true
		}
	case "input", "select", "textarea":
		if attr(n, "type") == "number" {
			c.t.Error("a number field eats what it does not understand; a text field with inputmode is wanted")
		}
		if t := attr(n, "type"); t != "hidden" && attr(n, "aria-hidden") == "" {
			c.inputs = append(c.inputs, n)
		}
	case "button":
		c.words(n, "a button")
	case "span":
		c.span(n)
	}
}

// span holds values to having a unit, plates to a word beside their shape.
func (c *check) span(n *html.Node) {
	classes := strings.Fields(attr(n, "class"))
	for _, k := range classes {
		switch k {
		case "num":
			c.unit(n)
		case "plate":
			if len(classes) > 1 && classes[1] != "none" && (find(n, "b") == nil || text(find(n, "b")) == "" || find(n, "svg") == nil) {
				c.t.Errorf("the plate %q lacks its word or its shape", attr(n, "class"))
			}
		}
	}
}

var measured = regexp.MustCompile(`^[−+]?[0-9]+([.,][0-9]+)?$`)

// unit wants a unit beside a number: in the next span, or on its cell. A pure
// number has none and says so by standing in a cell of a ratio.
func (c *check) unit(n *html.Node) {
	if !measured.MatchString(text(n)) {
		return
	}
	for k := n.NextSibling; k != nil; k = k.NextSibling {
		if k.Type == html.ElementNode && attr(k, "class") == "u" && text(k) != "" {
			return
		}
	}
	for k := n.Parent; k != nil; k = k.Parent {
		if k.Data == "td" {
			if attr(k, "data-unit") != "" || find(k, "svg") == nil && attr(k, "class") == "" || attr(k, "data-ratio") != "" {
				return
			}
			break
		}
		if attr(k, "data-ratio") != "" {
			return
		}
	}
	c.t.Errorf("the value %s has no unit", text(n))
}

// address wants every address to be one of the site's own.
func (c *check) address(n *html.Node, key, val string) {
	u, err := url.Parse(val)
	if err != nil || u.IsAbs() || u.Host != "" {
		c.t.Errorf("<%s %s=%q> leaves the site", n.Data, key, val)
		return
	}
	if strings.HasPrefix(val, "#") {
		c.targets = append(c.targets, val[1:])
		return
	}
	for _, p := range routes {
		if p.MatchString(u.Path) {
			return
		}
	}
	c.t.Errorf("<%s %s=%q> leads nowhere", n.Data, key, val)
}

// routes are the addresses that the site answers; web holds its own patterns
// against the same list.
var routes = func() []*regexp.Regexp {
	var out []*regexp.Regexp
	for _, p := range page.Routes() {
		re := regexp.QuoteMeta(p)
		re = regexp.MustCompile(`\\\{[a-z]+\\\.\\\.\\\.\\\}`).ReplaceAllString(re, `.+`)
		re = regexp.MustCompile(`\\\{[a-z]+\\\}`).ReplaceAllString(re, `[^/]+`)
		out = append(out, regexp.MustCompile("^"+re+"$"))
	}
	return out
}()

func (c *check) link(n *html.Node) {
	pictured := false
	if img := find(n, "img"); img != nil {
		pictured = strings.TrimSpace(attr(img, "alt")) != ""
	}
	if attr(n, "aria-label") == "" && strings.TrimSpace(text(n)) == "" && !pictured {
		c.t.Errorf("the link to %s has no words", attr(n, "href"))
	}
}

func (c *check) words(n *html.Node, what string) {
	if strings.TrimSpace(text(n)) == "" {
		c.t.Errorf("%s has no words", what)
	}
}

// table wants headers with a scope, and as many cells in each row as columns.
func (c *check) table(n *html.Node) {
	columns := -1
	each(n, "tr", func(tr *html.Node) {
		wide := 0
		for k := tr.FirstChild; k != nil; k = k.NextSibling {
			if k.Type != html.ElementNode {
				continue
			}
			switch {
			case k.Data == "th" && attr(k, "scope") == "":
				c.t.Errorf("the header %q has no scope", text(k))
			case attr(k, "colspan") != "":
				for d := 0; d < len(attr(k, "colspan")); d++ {
					wide = wide*10 + int(attr(k, "colspan")[d]-'0')
				}
				continue
			}
			wide++
		}
		if columns < 0 {
			columns = wide
		}
		if wide != columns {
			c.t.Errorf("a row of %d cells in a table of %d columns: %.60s", wide, columns, text(tr))
		}
	})
	if find(n, "th") == nil {
		c.t.Error("a table has no headers")
	}
}

func (c *check) finish() {
	if c.h1 != 1 {
		c.t.Errorf("%d headings of the first rank", c.h1)
	}
	if !c.block || !c.main {
		c.t.Error("the title block or the main part is missing")
	}
	for id, n := range c.ids {
		if n > 1 {
			c.t.Errorf("the id %s stands %d times", id, n)
		}
	}
	for _, f := range c.targets {
		if c.ids[f] == 0 {
			c.t.Errorf("#%s leads nowhere", f)
		}
	}
	for _, n := range c.inputs {
		if attr(n, "aria-label") == "" && !c.labels[attr(n, "id")] && up(n, "label") == nil {
			c.t.Errorf("the field %s has no label", attr(n, "name"))
		}
	}
}

func attr(n *html.Node, key string) string {
	for _, a := range n.Attr {
		if a.Key == key && a.Namespace == "" {
			return a.Val
		}
	}
	return ""
}

func text(n *html.Node) string {
	if n.Type == html.TextNode {
		return n.Data
	}
	var b strings.Builder
	for k := n.FirstChild; k != nil; k = k.NextSibling {
		b.WriteString(text(k))
	}
	return b.String()
}

func find(n *html.Node, name string) *html.Node {
	for k := n.FirstChild; k != nil; k = k.NextSibling {
		if k.Type == html.ElementNode && k.Data == name {
			return k
		}
		if d := find(k, name); d != nil {
			return d
		}
	}
	return nil
}

func up(n *html.Node, name string) *html.Node {
	for k := n.Parent; k != nil; k = k.Parent {
		if k.Data == name {
			return k
		}
	}
	return nil
}

func each(n *html.Node, name string, f func(*html.Node)) {
	for k := n.FirstChild; k != nil; k = k.NextSibling {
		if k.Type == html.ElementNode && k.Data == name {
			f(k)
		}
		each(k, name, f)
	}
}
