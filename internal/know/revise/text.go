package revise

import (
	"bytes"
	"unicode/utf8"

	"go.yaml.in/yaml/v3"
)

// text is a file with the nodes of its YAML and where each stands in it.
type text struct {
	b      []byte
	starts []int // offset of each line
	eol    string
}

func newText(b []byte) *text {
	t := &text{b: b, eol: "\n"}
	first := 0
	if bytes.HasPrefix(b, []byte("\ufeff")) {
		first = len("\ufeff") // the reader of YAML does not count it
	}
	if bytes.Contains(b, []byte("\r\n")) {
		t.eol = "\r\n"
	}
	t.starts = append(t.starts, first)
	for i := first; i < len(b); {
		n := lineBreak(b[i:])
		if n > 0 {
			t.starts = append(t.starts, i+n)
		}
		i += max(n, 1)
	}
	return t
}

// lineBreak is the length of a break of YAML 1.1 at the beginning of b, 0 for
// none.
func lineBreak(b []byte) int {
	switch {
	case bytes.HasPrefix(b, []byte("\r\n")):
		return 2
	case b[0] == '\n' || b[0] == '\r':
		return 1
	case bytes.HasPrefix(b, []byte("\u0085")):
		return 2
	case bytes.HasPrefix(b, []byte("\u2028")) || bytes.HasPrefix(b, []byte("\u2029")):
		return 3
	}
	return 0
}

// at is the offset of a node; ok is false where the text does not reach so far.
func (t *text) at(n *yaml.Node) (off int, ok bool) {
	if n.Line < 1 || n.Line > len(t.starts) {
		return 0, false
	}
	off = t.starts[n.Line-1]
	for range n.Column - 1 {
		if off >= len(t.b) {
			return 0, false
		}
		_, size := utf8.DecodeRune(t.b[off:])
		off += size
	}
	return off, off <= len(t.b)
}

// end is the offset behind a node; ok is false where it is written in a way
// that this room does not follow.
func (t *text) end(n *yaml.Node) (off int, ok bool) {
	start, ok := t.at(n)
	if !ok || n.Anchor != "" {
		return 0, false
	}
	switch n.Kind {
	case yaml.ScalarNode:
		return t.scalarEnd(n, start)
	case yaml.MappingNode, yaml.SequenceNode:
		if n.Style&yaml.FlowStyle == 0 {
			if len(n.Content) == 0 {
				return 0, false
			}
			return t.end(n.Content[len(n.Content)-1])
		}
		return t.flowEnd(n, start)
	}
	return 0, false
}

func (t *text) scalarEnd(n *yaml.Node, start int) (int, bool) {
	rest := t.b[start:]
	switch {
	case n.Style&yaml.DoubleQuotedStyle != 0:
		if len(rest) == 0 || rest[0] != '"' {
			return 0, false
		}
		for i := 1; i < len(rest); i++ {
			switch rest[i] {
			case '\\':
				i++
			case '"':
				return start + i + 1, true
			}
		}
	case n.Style&yaml.SingleQuotedStyle != 0:
		if len(rest) == 0 || rest[0] != '\'' {
			return 0, false
		}
		for i := 1; i < len(rest); i++ {
			if rest[i] != '\'' {
				continue
			}
			if i+1 < len(rest) && rest[i+1] == '\'' {
				i++
				continue
			}
			return start + i + 1, true
		}
	case n.Style&(yaml.LiteralStyle|yaml.FoldedStyle|yaml.TaggedStyle) == 0:
		return start + len(n.Value), bytes.HasPrefix(rest, []byte(n.Value))
	}
	return 0, false
}

// flowEnd finds the bracket that closes a collection: behind its last member
// come only spaces, breaks, remarks and at most one comma.
func (t *text) flowEnd(n *yaml.Node, start int) (int, bool) {
	open, shut := byte('['), byte(']')
	if n.Kind == yaml.MappingNode {
		open, shut = '{', '}'
	}
	if start >= len(t.b) || t.b[start] != open {
		return 0, false
	}
	at := start + 1
	if len(n.Content) > 0 {
		end, ok := t.end(n.Content[len(n.Content)-1])
		if !ok {
			return 0, false
		}
		at = end
	}
	for comma := false; at < len(t.b); at++ {
		switch c := t.b[at]; {
		case c == shut:
			return at + 1, true
		case c == ' ' || c == '\t' || c == '\n' || c == '\r':
		case c == ',' && !comma:
			comma = true
		case c == '#' && at > 0 && (t.b[at-1] == ' ' || t.b[at-1] == '\t' || t.b[at-1] == '\n'):
			for at+1 < len(t.b) && t.b[at+1] != '\n' {
				at++
			}
		default:
			return 0, false
		}
	}
	return 0, false
}

// lineEnd is the offset of the break that ends the line of an offset.
func (t *text) lineEnd(off int) int {
	for off < len(t.b) && t.b[off] != '\n' && t.b[off] != '\r' {
		off++
	}
	return off
}

// lead is the start of the line of an offset, and whether only spaces and a
// dash stand before it there.
func (t *text) lead(off int) (start int, dash int, ok bool) {
	start, dash = off, -1
	for start > 0 && t.b[start-1] != '\n' && t.b[start-1] != '\r' {
		start--
	}
	for i := start; i < off; i++ {
		switch {
		case t.b[i] == '-' && dash < 0:
			dash = i - start
		case t.b[i] != ' ':
			return start, dash, false
		}
	}
	return start, dash, true
}

// key finds a key of a mapping with its place; -1 for none.
func key(m *yaml.Node, name string) (i int, value *yaml.Node) {
	if m == nil || m.Kind != yaml.MappingNode {
		return -1, nil
	}
	for i := 0; i+1 < len(m.Content); i += 2 {
		if m.Content[i].Value == name && m.Content[i].Kind == yaml.ScalarNode {
			return i, m.Content[i+1]
		}
	}
	return -1, nil
}
