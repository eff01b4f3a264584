// Package page holds the pages: for each a template, a stylesheet and the
// function that writes it, under one name. Templates place finished text; the
// only sentences they know are message keys.
package page

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"html/template"
	"io"
	"io/fs"
	"sort"
	"strings"

	"fettle/internal/know/words"
	"fettle/internal/show/plot"
	"fettle/internal/show/view"
)

//go:embed *.tmpl *.css
var files embed.FS

// Pages are the templates in every language the words know.
type Pages struct {
	byLang  map[string]*template.Template
	css     []byte
	version string
}

// New parses the templates once for each language.
func New(books map[string]*words.Book) (*Pages, error) {
	p := &Pages{byLang: map[string]*template.Template{}}
	css, err := stylesheet()
	if err != nil {
		return nil, err
	}
	sum := sha256.Sum256(css)
	p.css, p.version = css, hex.EncodeToString(sum[:6])
	for lang, book := range books {
		t := template.New("fettle").Funcs(template.FuncMap{
			"t":       book.Say,
			"svg":     func(d view.Drawing) template.HTML { return template.HTML(d) }, // drawn by plot, which escapes all text
			"cells":   cells,
			"formula": equation,
			"version": func() string { return p.version },
			"digits":  func() []string { return strings.Split("1234567890", "") },
		})
		if p.byLang[lang], err = t.ParseFS(files, "*.tmpl"); err != nil {
			return nil, err
		}
	}
	return p, nil
}

// stylesheet joins the palette of the drawings, the type and every page's own
// rules, the frame's first.
func stylesheet() ([]byte, error) {
	var b bytes.Buffer
	faces := plot.WebFonts()
	b.WriteString(plot.FontFace("/static/"+faces[0].Name, "/static/"+faces[1].Name))
	b.WriteString(plot.CSS())
	names, err := fs.Glob(files, "*.css")
	if err != nil {
		return nil, err
	}
	sort.Slice(names, func(i, j int) bool {
		if (names[i] == "frame.css") != (names[j] == "frame.css") {
			return names[i] == "frame.css"
		}
		return names[i] < names[j]
	})
	for _, n := range names {
		text, err := fs.ReadFile(files, n)
		if err != nil {
			return nil, err
		}
		b.Write(text)
	}
	return b.Bytes(), nil
}

// CSS is the one stylesheet, /static/fettle.css.
func (p *Pages) CSS() []byte { return p.css }

// Version changes with the stylesheet.
func (p *Pages) Version() string { return p.version }

// Icon is the mark of the house as a file: a circle on its centre lines.
func Icon() string {
	s := plot.NewSVG(32, 32, "fettle")
	pen := plot.Style{Stroke: plot.InkAccent, Line: plot.Heavy}
	s.Circle(plot.Pt(16, 16), 11, pen)
	s.Line(plot.Pt(0, 16), plot.Pt(32, 16), plot.Style{Stroke: plot.InkAccent, Line: plot.Wide})
	s.Line(plot.Pt(16, 0), plot.Pt(16, 32), plot.Style{Stroke: plot.InkAccent, Line: plot.Wide})
	return s.File()
}

// write fills one template; a language without templates reads English.
func (p *Pages) write(w io.Writer, lang, name string, v any) error {
	t := p.byLang[lang]
	if t == nil {
		t = p.byLang["en"]
	}
	return t.ExecuteTemplate(w, name, v)
}

// Keys lists the message keys that the templates name, for the test that every
// one of them exists.
func Keys() []string {
	seen := map[string]bool{}
	names, _ := fs.Glob(files, "*.tmpl")
	for _, n := range names {
		text, _ := fs.ReadFile(files, n)
		for _, part := range strings.Split(string(text), `t "`)[1:] {
			if key, _, ok := strings.Cut(part, `"`); ok && strings.HasPrefix(key, "page.") {
				seen[key] = true
			}
		}
	}
	out := make([]string, 0, len(seen))
	for k := range seen {
		out = append(out, k)
	}
	sort.Strings(out)
	return out
}
