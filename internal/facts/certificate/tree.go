package certificate

import (
	"bytes"
	"encoding/xml"
	"io"
	"strings"

	"fettle/internal/base/fault"
)

// Bounds of the tree; a certificate of a micrometer has some 500 elements.
const (
	mostDepth    = 64
	mostElements = 200_000
	mostText     = 1 << 20 // bytes of text in one element
)

// node is one element. The methods of a nil node find nothing, so that a path
// can be walked without asking at each step.
type node struct {
	space, name string
	attrs       []xml.Attr
	text        string // without the space around it
	kids        []*node
	line, col   int
}

func (n *node) kid(space, name string) *node {
	if n == nil {
		return nil
	}
	for _, k := range n.kids {
		if k.space == space && k.name == name {
			return k
		}
	}
	return nil
}

func (n *node) all(space, name string) []*node {
	if n == nil {
		return nil
	}
	var out []*node
	for _, k := range n.kids {
		if k.space == space && k.name == name {
			out = append(out, k)
		}
	}
	return out
}

func (n *node) attr(name string) string {
	if n == nil {
		return ""
	}
	for _, a := range n.attrs {
		if a.Name.Space == "" && a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

func (n *node) value() string {
	if n == nil {
		return ""
	}
	return n.text
}

// closed are elements whose inside is of no use here: signatures, comments, and
// whole documents in letters.
func closed(space, name string) bool {
	return space == dsig || space == dcc && (name == "comment" || name == "document" || name == "file" || name == "formula")
}

// parse reads XML into a tree. A document type, and with it every entity that
// is not one of the five of XML, is refused; nothing is ever fetched.
func parse(name string, text []byte) (*node, error) {
	p := parser{name: name, d: xml.NewDecoder(bytes.NewReader(text))}
	for {
		t, err := p.d.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			return nil, p.bad(fault.Invalid, "certificate.not-xml", "error", plain(err))
		}
		if err := p.take(t); err != nil {
			return nil, err
		}
	}
	if p.root == nil {
		return nil, fault.New(fault.Invalid, "certificate.nothing").At(name, 1, 1)
	}
	return p.root, nil
}

type parser struct {
	name  string
	d     *xml.Decoder
	root  *node
	path  []*node
	texts []*strings.Builder
	skip  int // how deep inside a closed element
	count int
}

func (p *parser) bad(code fault.Code, key string, pairs ...string) error {
	line, col := p.d.InputPos()
	return fault.New(code, key, pairs...).At(p.name, line, col)
}

func (p *parser) take(t xml.Token) error {
	switch t := t.(type) {
	case xml.Directive:
		return p.bad(fault.Invalid, "certificate.doctype")
	case xml.StartElement:
		return p.open(t)
	case xml.EndElement:
		if p.skip > 0 {
			p.skip--
		}
		if p.skip == 0 {
			last := len(p.path) - 1
			p.path[last].text = strings.TrimSpace(p.texts[last].String())
			p.path, p.texts = p.path[:last], p.texts[:last]
		}
	case xml.CharData:
		return p.letters(t)
	}
	return nil
}

func (p *parser) open(t xml.StartElement) error {
	if p.count++; p.count > mostElements {
		return p.bad(fault.TooLarge, "certificate.too-many", "most", whole(mostElements))
	}
	if len(p.path)+p.skip >= mostDepth {
		return p.bad(fault.TooLarge, "certificate.too-deep", "most", whole(mostDepth))
	}
	if p.skip > 0 {
		p.skip++
		return nil
	}
	n := &node{space: t.Name.Space, name: t.Name.Local, attrs: t.Attr}
	n.line, n.col = p.d.InputPos()
	switch {
	case len(p.path) > 0:
		up := p.path[len(p.path)-1]
		up.kids = append(up.kids, n)
	case p.root != nil:
		return p.bad(fault.Invalid, "certificate.two-roots")
	default:
		p.root = n
	}
	p.path, p.texts = append(p.path, n), append(p.texts, &strings.Builder{})
	if closed(n.space, n.name) {
		p.skip = 1
	}
	return nil
}

func (p *parser) letters(t xml.CharData) error {
	if p.skip > 0 {
		return nil
	}
	if len(p.path) == 0 {
		if len(bytes.TrimSpace(t)) > 0 {
			return p.bad(fault.Invalid, "certificate.not-xml", "error", "text outside the root element")
		}
		return nil
	}
	b := p.texts[len(p.texts)-1]
	if b.Len()+len(t) > mostText {
		return p.bad(fault.TooLarge, "certificate.long-text", "most", "1 MiB")
	}
	b.Write(t)
	return nil
}

// plain is what the decoder found, without the line it repeats.
func plain(err error) string {
	if s, ok := err.(*xml.SyntaxError); ok {
		return s.Msg
	}
	return clip(err.Error())
}
