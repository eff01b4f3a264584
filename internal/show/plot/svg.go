package plot

import (
	"math"
	"strconv"
	"strings"
	"unicode/utf8"
)

// SVG is a Canvas that writes scalable vector graphics: compact, escaped, the
// same bytes for the same calls. Colours and widths are classes of CSS().
type SVG struct {
	w, h  float64
	label string
	body  []byte
	open  []byte // kind of each open group: a or g
	links bool
}

// NewSVG starts a drawing w by h. The label is its text for those who do not
// see it; an empty label marks a drawing that only repeats the words beside it.
func NewSVG(w, h float64, label string) *SVG {
	return &SVG{w: finite(w), h: finite(h), label: label, body: make([]byte, 0, 2048)}
}

// String returns the drawing for a page that carries CSS().
func (s *SVG) String() string { return s.document("", "") }

// File returns the drawing as a file of its own, with its stylesheet inside.
func (s *SVG) File() string {
	return s.document(` xmlns="http://www.w3.org/2000/svg"`, "<style>"+CSS()+":root{background:var(--ground)}</style>")
}

func (s *SVG) document(space, style string) string {
	if len(s.open) > 0 {
		panic("plot: a group was not closed")
	}
	b := append(make([]byte, 0, 256), "<svg"+space+` class="plot" viewBox="0 0 `...)
	b = append(num(append(num(b, s.w), ' '), s.h), `" width="`...)
	b = append(num(b, s.w), `" height="`...)
	b = append(num(b, s.h), '"')
	switch {
	case s.label == "" && !s.links:
		b = append(b, ` aria-hidden="true"`...)
	case s.links:
		b = attr(append(b, ` role="group"`...), "aria-label", s.label)
	default:
		b = attr(append(b, ` role="img"`...), "aria-label", s.label)
	}
	return string(append(b, '>')) + style + string(s.body) + "</svg>"
}

// Line draws a straight line.
func (s *SVG) Line(a, b Point, st Style) {
	d := num(append(num(append(s.body, `<path d="M`...), a.X), ' '), a.Y)
	switch {
	case round2(a.Y) == round2(b.Y):
		d = num(append(d, 'H'), b.X)
	case round2(a.X) == round2(b.X):
		d = num(append(d, 'V'), b.Y)
	default:
		d = num(append(num(append(d, 'L'), b.X), ' '), b.Y)
	}
	s.body = append(styled(append(d, '"'), st), "/>"...)
}

// Rect draws a rectangle.
func (s *SVG) Rect(x, y, w, h float64, st Style) {
	b := append(num(append(s.body, `<rect x="`...), x), `" y="`...)
	b = append(num(b, y), `" width="`...)
	b = append(num(b, w), `" height="`...)
	s.body = append(styled(append(num(b, h), '"'), st), "/>"...)
}

// Circle draws a circle.
func (s *SVG) Circle(c Point, r float64, st Style) {
	b := append(num(append(s.body, `<circle cx="`...), c.X), `" cy="`...)
	b = append(num(b, c.Y), `" r="`...)
	s.body = append(styled(append(num(b, r), '"'), st), "/>"...)
}

// Path draws a figure.
func (s *SVG) Path(p *Path, st Style) {
	b := append(s.body, `<path d="`...)
	for _, g := range p.segs {
		b = append(b, g.op)
		for i := range g.points() {
			if i > 0 {
				b = append(b, ' ')
			}
			b = num(append(num(b, g.p[i].X), ' '), g.p[i].Y)
		}
	}
	b = append(b, '"')
	if st.Fill != NoInk {
		b = append(b, ` fill-rule="evenodd"`...)
	}
	s.body = append(styled(b, st), "/>"...)
}

// Text draws a line of text.
func (s *SVG) Text(at Point, t Text) {
	b := append(s.body, `<text x="`...)
	if t.Rotate != 0 {
		at, b = s.turned(at, t, b)
	} else {
		at.Y += t.drop()
		b = append(num(append(num(b, at.X), `" y="`...), at.Y), '"')
	}
	b = append(num(append(b, ` font-size="`...), t.size()), `" class="f-`...)
	b = append(b, t.ink().String()...)
	if t.Anchor != Start {
		b = append(b, []string{"", " m", " e"}[t.Anchor]...)
	}
	if t.Weight == Bold {
		b = append(b, " b"...)
	}
	if t.Halo {
		b = append(b, " halo"...)
	}
	s.body = append(escape(append(b, `">`...), t.S), "</text>"...)
}

// turned writes the place of a text that is turned about its point.
func (s *SVG) turned(at Point, t Text, b []byte) (Point, []byte) {
	b = append(num(append(b, `0" y="`...), t.drop()), `" transform="translate(`...)
	b = append(num(append(num(b, at.X), ' '), at.Y), `) rotate(`...)
	return at, append(num(b, t.Rotate), `)"`...)
}

// Open starts a group; Close ends it.
func (s *SVG) Open(g Group) {
	b := s.body
	kind := byte('g')
	if href, ok := local(g.Href); ok {
		kind, s.links = 'a', true
		b = attr(append(b, "<a"...), "href", href)
	} else {
		b = append(b, "<g"...)
	}
	for _, a := range [][2]string{{"id", g.ID}, {"class", g.Class}} {
		if a[1] != "" {
			b = attr(b, a[0], a[1])
		}
	}
	for _, d := range g.Data {
		b = attr(b, "data-"+key(d.Key), d.Value)
	}
	b = append(b, '>')
	if g.Title != "" {
		b = append(escape(append(b, "<title>"...), g.Title), "</title>"...)
	}
	s.body, s.open = b, append(s.open, kind)
}

// Close ends the group opened last.
func (s *SVG) Close() {
	if len(s.open) == 0 {
		panic("plot: Close without Open")
	}
	s.body = append(s.body, "</"+string(s.open[len(s.open)-1])+">"...)
	s.open = s.open[:len(s.open)-1]
}

func styled(b []byte, st Style) []byte {
	b = append(b, ` class="`...)
	if st.Fill != NoInk {
		b = append(append(b, "f-"...), st.Fill.String()...)
	}
	if st.Stroke != NoInk {
		if st.Fill != NoInk {
			b = append(b, ' ')
		}
		b = append(append(b, "s-"...), st.Stroke.String()...)
		b = append(append(b, ' '), st.Line.String()...)
	}
	return append(b, '"')
}

// local accepts only links that stay within the site.
func local(href string) (string, bool) {
	if href == "" || strings.HasPrefix(href, "//") || strings.ContainsAny(href, "\\\t\n\r") {
		return "", false
	}
	return href, strings.ContainsRune("/#?.", rune(href[0]))
}

func key(k string) string {
	for _, r := range k {
		if (r < 'a' || r > 'z') && r != '-' {
			panic("plot: data attribute " + strconv.Quote(k) + " is not lower-case letters and dashes")
		}
	}
	return k
}

func attr(b []byte, name, value string) []byte {
	b = append(append(append(b, ' '), name...), `="`...)
	return append(escape(b, value), '"')
}

// escape writes text for XML; letters XML does not allow become U+FFFD.
func escape(b []byte, s string) []byte {
	for _, r := range s {
		switch {
		case r == '&':
			b = append(b, "&amp;"...)
		case r == '<':
			b = append(b, "&lt;"...)
		case r == '>':
			b = append(b, "&gt;"...)
		case r == '"':
			b = append(b, "&#34;"...)
		case r == '\'':
			b = append(b, "&#39;"...)
		case r < 0x20 && r != '\t' && r != '\n', r == 0xFFFE, r == 0xFFFF, r == 0x7F:
			b = append(b, "\uFFFD"...)
		default:
			b = utf8.AppendRune(b, r)
		}
	}
	return b
}

func round2(v float64) float64 { return math.Round(v*100) / 100 }

// num writes a coordinate with at most two decimals.
func num(b []byte, v float64) []byte {
	n := math.Round(finite(v) * 100)
	if math.Abs(n) >= 1e15 {
		return strconv.AppendFloat(b, v, 'f', 0, 64)
	}
	if n < 0 {
		b, n = append(b, '-'), -n
	}
	whole, part := int64(n)/100, int64(n)%100
	b = strconv.AppendInt(b, whole, 10)
	if part == 0 {
		return b
	}
	b = append(b, '.', byte('0'+part/10))
	if part%10 != 0 {
		b = append(b, byte('0'+part%10))
	}
	return b
}
