package plot

import (
	"encoding/xml"
	"errors"
	"io"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// Law: the same calls give the same bytes.
func TestSVGIsDeterministic(t *testing.T) {
	for _, p := range plates() {
		first, again := svgOf(p), svgOf(p)
		if first != again {
			t.Errorf("plate %q drawn twice differs", p.name)
		}
	}
}

// parse reads a drawing as XML and returns its text and attribute values.
func parse(t interface{ Fatalf(string, ...any) }, doc string) (text []string, attrs map[string][]string) {
	attrs = map[string][]string{}
	d := xml.NewDecoder(strings.NewReader(doc))
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			return text, attrs
		}
		if err != nil {
			t.Fatalf("not well-formed: %v\n%s", err, doc)
		}
		switch v := tok.(type) {
		case xml.CharData:
			text = append(text, string(v))
		case xml.StartElement:
			for _, a := range v.Attr {
				attrs[a.Name.Local] = append(attrs[a.Name.Local], a.Value)
			}
		}
	}
}

// Law: whatever a text holds, the drawing is well-formed and says that text.
func TestHostileText(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		evil := rapid.OneOf(rapid.String(), rapid.SampledFrom([]string{
			`</text><script>alert(1)</script>`, `"><img src=x onerror=alert(1)>`, "&amp;&#0;]]>", "\x00\x1b\xff", "a\u2028b", `' onload='x`,
		})).Draw(t, "evil")
		s := NewSVG(10, 10, evil)
		s.Open(Group{ID: evil, Class: evil, Title: evil, Href: "/" + strings.TrimLeft(evil, "/"), Data: []Datum{{"value", evil}}})
		s.Text(Pt(1, 2), Text{S: evil, Rotate: 3})
		s.Close()
		text, attrs := parse(t, s.String())
		want := strings.Map(func(r rune) rune {
			if r < 0x20 && r != '\t' && r != '\n' || r == 0x7F || r == 0xFFFE || r == 0xFFFF {
				return '\uFFFD'
			}
			return r
		}, strings.ToValidUTF8(evil, "\x00"))
		if got := strings.Join(text, ""); strings.Count(evil, "\xff") == 0 && got != want+want {
			t.Fatalf("text %q came back as %q", want+want, got)
		}
		for name := range attrs {
			if strings.HasPrefix(name, "on") || name == "src" {
				t.Fatalf("attribute %s slipped in", name)
			}
		}
	})
}

// Law: a link leaves the site never.
func TestLinksStayLocal(t *testing.T) {
	for href, want := range map[string]bool{
		"/job/7/block": true, "#H2": true, "?state=found": true, "./bore": true,
		"javascript:alert(1)": false, "https://example.org/": false, "//example.org/": false, "/\\example.org": false, "java\nscript:x": false, "data:text/html,x": false, "": false,
	} {
		s := NewSVG(1, 1, "")
		s.Open(Group{Href: href})
		s.Close()
		_, attrs := parse(t, s.String())
		if got := len(attrs["href"]) == 1; got != want {
			t.Errorf("href %q: linked %v, want %v", href, got, want)
		}
	}
}

// Law: a drawing says what it is, or stands aside; one with links stays open
// to keyboards and readers.
func TestRoles(t *testing.T) {
	plain, named, linked := NewSVG(1, 1, ""), NewSVG(1, 1, "bore 4"), NewSVG(1, 1, "block")
	linked.Open(Group{Href: "/a"})
	linked.Close()
	for want, s := range map[string]*SVG{`aria-hidden="true"`: plain, `role="img" aria-label="bore 4"`: named, `role="group" aria-label="block"`: linked} {
		if !strings.Contains(s.String(), want) {
			t.Errorf("want %s in %s", want, s.String())
		}
	}
}

func mustPanic(t *testing.T, what string, f func()) {
	t.Helper()
	defer func() {
		if recover() == nil {
			t.Errorf("%s did not panic", what)
		}
	}()
	f()
}

// Law: a caller's mistake is loud.
func TestMistakesPanic(t *testing.T) {
	mustPanic(t, "a NaN coordinate", func() { NewSVG(1, 1, "").Line(Pt(math.NaN(), 0), Pt(1, 1), Style{Stroke: InkPen}) })
	mustPanic(t, "an infinite radius", func() { NewSVG(1, 1, "").Circle(Pt(0, 0), math.Inf(1), Style{}) })
	mustPanic(t, "a group left open", func() { s := NewSVG(1, 1, ""); s.Open(Group{}); _ = s.String() })
	mustPanic(t, "Close without Open", func() { NewSVG(1, 1, "").Close() })
	mustPanic(t, "a bad data key", func() { NewSVG(1, 1, "").Open(Group{Data: []Datum{{"x onload", "1"}}}) })
}

// Golden: numbers are short, negative zero is zero.
func TestNumbers(t *testing.T) {
	for v, want := range map[float64]string{0: "0", -0.001: "0", 1.005: "1", 2.5: "2.5", -3.14159: "-3.14", 100: "100", 1e7: "10000000", -7: "-7", 0.05: "0.05", 1e20: "100000000000000000000"} {
		if got := string(num(nil, v)); got != want {
			t.Errorf("%v written %q, want %q", v, got, want)
		}
	}
}

// Law: a file of its own is well-formed too and carries its namespace.
func TestFile(t *testing.T) {
	s := NewSVG(10, 10, "x")
	s.Rect(1, 1, 2, 2, Style{Fill: InkIn})
	f := s.File()
	parse(t, f)
	if !strings.Contains(f, `xmlns="http://www.w3.org/2000/svg"`) || strings.Contains(strings.ReplaceAll(f, "http://www.w3.org/2000/svg", ""), "http") {
		t.Error("a file has its namespace and no other address")
	}
}

func BenchmarkRow(b *testing.B) {
	bar := bars()[0]
	b.ReportAllocs()
	for range b.N {
		s := NewSVG(RowWidth, RowHeight, "")
		bar.Row(s, Pt(0, 0), RowWidth)
		_ = s.String()
	}
}

// Law: a page of 300 bars stays light: a bar is below 1 kB.
func TestRowIsSmall(t *testing.T) {
	for i, b := range bars() {
		s := NewSVG(RowWidth, RowHeight, "")
		b.Row(s, Pt(0, 0), RowWidth)
		if n := len(s.String()); n > 1024 {
			t.Errorf("bar %d takes %d bytes", i, n)
		}
	}
}
