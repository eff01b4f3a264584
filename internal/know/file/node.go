package file

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v3"

	"fettle/internal/base/fault"
)

// mostNodes bounds what a document may unfold to: an alias that stands for an
// alias that stands for an alias multiplies.
const mostNodes = 2_000_000

// open parses the one document of a file and turns it into plain values.
func open(name string, text []byte) (*Doc, any, fault.List) {
	d := yaml.NewDecoder(bytes.NewReader(text))
	var top, more yaml.Node
	if err := d.Decode(&top); err != nil {
		if errors.Is(err, io.EOF) {
			return nil, nil, fault.List{fault.New(fault.Invalid, "file.one-document").At(name, 1, 1)}
		}
		return nil, nil, fault.List{syntax(name, err)}
	}
	switch err := d.Decode(&more); {
	case err != nil && !errors.Is(err, io.EOF):
		return nil, nil, fault.List{syntax(name, err)}
	case err == nil || len(top.Content) != 1:
		return nil, nil, fault.List{fault.New(fault.Invalid, "file.one-document").At(name, 1, 1)}
	}
	doc := &Doc{Name: name, root: top.Content[0]}
	r := reader{doc: doc}
	v := r.value(doc.root)
	return doc, v, r.faults
}

// Tree parses the one document of a file into its nodes, which know where they
// stand, and into the plain values that Read would decode.
func Tree(name string, text []byte) (root *yaml.Node, values any, faults fault.List) {
	if len(text) > most {
		return nil, nil, fault.List{fault.New(fault.TooLarge, "file.too-large", "most", strconv.Itoa(most>>20)+" MiB").At(name, 1, 1)}
	}
	doc, values, faults := open(name, text)
	if len(faults) > 0 {
		return nil, nil, faults
	}
	return doc.root, values, nil
}

// lineOf finds the place in an error of the YAML reader.
var lineOf = regexp.MustCompile(`^yaml: (?:line (\d+): )?`)

// afterScan are the messages in which the YAML reader counts lines from nought:
// those of its parser; its scanner counts from one.
var afterScan = regexp.MustCompile(`^did not find expected (?:key|node content|'-' indicator|',' or '[]}]'|<)`)

func syntax(name string, err error) *fault.Fault {
	text, line := strings.SplitN(err.Error(), "\n", 2)[0], 1
	if m := lineOf.FindStringSubmatch(text); m != nil {
		if n, err := strconv.Atoi(m[1]); err == nil {
			line = n
		}
		text = text[len(m[0]):]
		if afterScan.MatchString(text) {
			line++
		}
	}
	return fault.New(fault.Invalid, "file.syntax", "error", text).At(name, line, 1)
}

// reader turns nodes into the values that JSON knows.
type reader struct {
	doc    *Doc
	seen   int
	faults fault.List
}

func (r *reader) say(n *yaml.Node, key string, pairs ...string) {
	r.faults = append(r.faults, fault.New(fault.Invalid, key, pairs...).At(r.doc.Name, n.Line, n.Column))
}

func (r *reader) value(n *yaml.Node) any {
	if r.seen++; r.seen > mostNodes {
		if r.seen == mostNodes+1 {
			r.say(n, "file.unfolds", "most", strconv.Itoa(mostNodes))
		}
		return nil
	}
	switch n.Kind {
	case yaml.AliasNode:
		return r.value(n.Alias)
	case yaml.SequenceNode:
		out := make([]any, len(n.Content))
		for i, c := range n.Content {
			out[i] = r.value(c)
		}
		return out
	case yaml.MappingNode:
		return r.mapping(n)
	}
	return r.scalar(n)
}

func (r *reader) mapping(n *yaml.Node) any {
	out := make(map[string]any, len(n.Content)/2)
	for i := 0; i+1 < len(n.Content); i += 2 {
		k := n.Content[i]
		if k.Kind != yaml.ScalarNode {
			r.say(k, "file.bad-key")
			continue
		}
		if _, twice := out[k.Value]; twice {
			r.say(k, "file.key-twice", "key", k.Value)
		}
		out[k.Value] = r.value(n.Content[i+1])
	}
	return out
}

// scalar keeps what stands there as text unless it is a plain number, a truth
// value or nothing.
func (r *reader) scalar(n *yaml.Node) any {
	switch n.ShortTag() {
	case "!!null":
		return nil
	case "!!bool":
		return n.Value == "true" || n.Value == "True" || n.Value == "TRUE"
	case "!!int", "!!float":
		var v any
		if err := n.Decode(&v); err != nil {
			r.say(n, "file.syntax", "error", err.Error())
			return nil
		}
		text := json.Number(fmt.Sprint(v))
		if _, err := json.Marshal(text); err != nil {
			return n.Value // .inf and .nan are no numbers here
		}
		return text
	}
	return n.Value
}

// walk follows steps as far as they exist; it stops at the key of a mapping
// value so that a message points at the word a person would look for.
func (d *Doc) walk(path []string) *yaml.Node {
	n, at := d.root, d.root
	for i, s := range path {
		for n.Kind == yaml.AliasNode {
			n = n.Alias
		}
		switch n.Kind {
		case yaml.MappingNode:
			k, v := member(n, s)
			if k == nil {
				return at
			}
			n, at = v, k
		case yaml.SequenceNode:
			k, err := strconv.Atoi(s)
			if err != nil || k < 0 || k >= len(n.Content) {
				return at
			}
			n = n.Content[k]
			at = n
			if n.Kind == yaml.MappingNode && len(n.Content) > 0 && i == len(path)-1 {
				at = n.Content[0]
			}
		default:
			return at
		}
	}
	return at
}

func member(n *yaml.Node, name string) (key, value *yaml.Node) {
	for i := 0; i+1 < len(n.Content); i += 2 {
		if n.Content[i].Value == name {
			return n.Content[i], n.Content[i+1]
		}
	}
	return nil, nil
}
