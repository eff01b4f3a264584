package compute

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"strconv"

	"fettle/internal/base/fault"
)

// tree is a JSON value that knows its place in the text, so that a mistake can
// be pointed at.
type tree struct {
	kind    byte   // s text, n number, b true or false, 0 null, o object, a list
	text    string // of a text, number, true or false
	list    []*tree
	members []member
	at      place
}

type member struct {
	name  string
	at    place // of the name
	value *tree
}

type place struct{ line, col int }

// deepest bounds how far lists and objects may lie in one another.
const deepest = 12

// parse reads one JSON object; what follows it was meant for something.
//
// Errors: text that is no JSON, no object, or more than one; a name that an
// object has twice; values nested too deeply. Each with its place.
func parse(input []byte) (*tree, error) {
	p := &parser{input: input, dec: json.NewDecoder(bytes.NewReader(input))}
	p.dec.UseNumber()
	t, err := p.value(0)
	if err == nil && t.kind != 'o' {
		err = p.wrong(t.at, "an object in braces is expected")
	}
	if err != nil {
		return nil, err
	}
	at := p.next()
	if _, err := p.dec.Token(); err != io.EOF {
		return nil, p.wrong(at, "more follows the object")
	}
	return t, nil
}

type parser struct {
	input []byte
	dec   *json.Decoder
}

func (p *parser) wrong(at place, what string) error {
	f := fault.New(fault.Invalid, "compute.not-an-object", "error", what)
	f.Line, f.Col = at.line, at.col
	return f
}

// next is where the next token begins.
func (p *parser) next() place {
	i := int(p.dec.InputOffset())
	for i < len(p.input) && bytes.IndexByte([]byte(" \t\r\n,:"), p.input[i]) >= 0 {
		i++
	}
	before := p.input[:i]
	return place{1 + bytes.Count(before, []byte("\n")), i - bytes.LastIndexByte(before, '\n')}
}

func (p *parser) value(depth int) (*tree, error) {
	t := &tree{at: p.next()}
	if depth > deepest {
		return nil, p.wrong(t.at, "lists and objects lie in one another more than "+strconv.Itoa(deepest)+" deep")
	}
	token, err := p.dec.Token()
	if err != nil {
		return nil, p.wrong(t.at, err.Error())
	}
	switch v := token.(type) {
	case string:
		t.kind, t.text = 's', v
	case json.Number:
		t.kind, t.text = 'n', v.String()
	case bool:
		t.kind, t.text = 'b', strconv.FormatBool(v)
	case nil:
		t.kind = '0'
	case json.Delim:
		t.kind = 'a'
		if v == '{' {
			t.kind = 'o'
		}
		for p.dec.More() {
			if err := p.inside(t, depth); err != nil {
				return nil, err
			}
		}
		if at := p.next(); true {
			if _, err := p.dec.Token(); err != nil {
				return nil, p.wrong(at, err.Error())
			}
		}
	}
	return t, nil
}

// inside reads the next element or member.
func (p *parser) inside(t *tree, depth int) error {
	m := member{at: p.next()}
	if t.kind == 'o' {
		token, err := p.dec.Token()
		if err != nil {
			return p.wrong(m.at, err.Error())
		}
		m.name = token.(string)
		if t.get(m.name) != nil {
			return p.wrong(m.at, fmt.Sprintf("%q stands there twice", m.name))
		}
	}
	v, err := p.value(depth + 1)
	if err != nil {
		return err
	}
	if m.value = v; t.kind == 'o' {
		t.members = append(t.members, m)
	} else {
		t.list = append(t.list, v)
	}
	return nil
}

// get is the member of an object, nil where there is none.
func (t *tree) get(name string) *tree {
	for i := range t.members {
		if t.members[i].name == name {
			return t.members[i].value
		}
	}
	return nil
}

// where is the place of a member's name.
func (t *tree) where(name string) place {
	for _, m := range t.members {
		if m.name == name {
			return m.at
		}
	}
	return t.at
}
