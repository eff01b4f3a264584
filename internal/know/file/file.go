// Package file reads knowledge files strictly: every unknown key, wrong type,
// missing field and wrong unit is reported at once, each with line and column.
package file

import (
	"encoding/json"
	"fmt"
	"reflect"
	"strconv"
	"strings"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"
	"github.com/santhosh-tekuri/jsonschema/v6"

	"fettle/internal/base/fault"
	"fettle/internal/base/unit"
)

// most is the largest knowledge file, in bytes.
const most = 8 << 20

// Doc is a parsed file: it knows where each value stands.
type Doc struct {
	Name string
	root ast.Node
}

// Read parses a YAML document, checks it against the schema of T and decodes
// it. The faults are complete as far as the file could be understood; with any
// fault the value may be partly filled.
func Read[T any](name string, text []byte, schema *jsonschema.Schema) (T, *Doc, fault.List) {
	var out T
	if len(text) > most {
		return out, nil, fault.List{fault.New(fault.TooLarge, "file.too-large", "most", strconv.Itoa(most>>20)+" MiB").At(name, 1, 1)}
	}
	if strings.TrimSpace(string(text)) == "" {
		return out, nil, fault.List{fault.New(fault.Invalid, "file.empty").At(name, 1, 1)}
	}
	tree, err := parser.ParseBytes(text, 0)
	if err != nil {
		return out, nil, fault.List{syntax(name, err)}
	}
	if len(tree.Docs) != 1 || tree.Docs[0].Body == nil {
		return out, nil, fault.List{fault.New(fault.Invalid, "file.one-document").At(name, 1, 1)}
	}
	doc := &Doc{Name: name, root: tree.Docs[0].Body}
	var raw any
	if err := yaml.NodeToValue(doc.root, &raw); err != nil {
		return out, nil, fault.List{syntax(name, err)}
	}
	b, err := json.Marshal(raw)
	if err != nil {
		return out, nil, fault.List{fault.New(fault.Invalid, "file.syntax", "error", err.Error()).At(name, 1, 1)}
	}
	var faults fault.List
	plain, err := jsonschema.UnmarshalJSON(strings.NewReader(string(b)))
	if err != nil {
		return out, nil, fault.List{fault.New(fault.Invalid, "file.syntax", "error", err.Error()).At(name, 1, 1)}
	}
	if err := schema.Validate(plain); err != nil {
		faults = append(faults, doc.schemaFaults(err)...)
	}
	if err := json.Unmarshal(b, &out); err != nil && len(faults) == 0 {
		faults = append(faults, fault.New(fault.Invalid, "file.syntax", "error", err.Error()).At(name, 1, 1))
	}
	faults = append(faults, doc.quantities(reflect.ValueOf(out), "", "")...)
	faults.Sort()
	return out, doc, faults
}

func syntax(name string, err error) *fault.Fault {
	line, col := 1, 1
	text := strings.SplitN(err.Error(), "\n", 2)[0]
	if strings.HasPrefix(text, "[") {
		if end := strings.IndexByte(text, ']'); end > 0 {
			fmt.Sscanf(text[1:end], "%d:%d", &line, &col)
			text = strings.TrimSpace(text[end+1:])
		}
	}
	return fault.New(fault.Invalid, "file.syntax", "error", text).At(name, line, col)
}

// Fault places a problem at a path such as characteristics[3].limits[0].min.
// A path that does not exist is placed at its nearest parent.
func (d *Doc) Fault(path, key string, pairs ...string) *fault.Fault {
	line, col := d.Place(path)
	return fault.New(fault.Invalid, key, pairs...).At(d.Name, line, col).In(path)
}

// Place finds the line and column of a path.
func (d *Doc) Place(path string) (line, col int) {
	return position(d.walk(steps(path)))
}

func position(n ast.Node) (line, col int) {
	if n == nil || n.GetToken() == nil || n.GetToken().Position == nil {
		return 1, 1
	}
	p := n.GetToken().Position
	return p.Line, p.Column
}

func steps(path string) []string {
	path = strings.NewReplacer("[", ".", "]", "").Replace(path)
	var out []string
	for _, s := range strings.Split(path, ".") {
		if s != "" {
			out = append(out, s)
		}
	}
	return out
}

// walk follows steps as far as they exist; it stops at the key of a mapping
// value so that a message points at the word a person would look for.
func (d *Doc) walk(path []string) ast.Node {
	n, at := d.root, d.root
	for i, s := range path {
		switch v := unwrap(n).(type) {
		case *ast.MappingNode:
			found := false
			for _, m := range v.Values {
				if keyOf(m) == s {
					n, at, found = m.Value, ast.Node(m.Key), true
					break
				}
			}
			if !found {
				return at
			}
		case *ast.MappingValueNode:
			if keyOf(v) != s {
				return at
			}
			n, at = v.Value, v.Key
		case *ast.SequenceNode:
			k, err := strconv.Atoi(s)
			if err != nil || k < 0 || k >= len(v.Values) {
				return at
			}
			n = v.Values[k]
			at = n
			if m, ok := unwrap(n).(*ast.MappingNode); ok && len(m.Values) > 0 && i == len(path)-1 {
				at = m.Values[0].Key
			}
		default:
			return at
		}
	}
	return at
}

func unwrap(n ast.Node) ast.Node {
	switch v := n.(type) {
	case *ast.AnchorNode:
		return unwrap(v.Value)
	case *ast.TagNode:
		return unwrap(v.Value)
	}
	return n
}

func keyOf(m *ast.MappingValueNode) string {
	return strings.Trim(m.Key.String(), `"'`)
}

// quantities walks a decoded value and reports each quantity that is none or
// whose kind is not the one its field asks for (tag dim:"length").
func (d *Doc) quantities(v reflect.Value, path, dim string) fault.List {
	var out fault.List
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		if !v.IsNil() {
			return d.quantities(v.Elem(), path, dim)
		}
	case reflect.Struct:
		if q, ok := v.Interface().(unit.Quantity); ok {
			return d.quantity(q, path, dim)
		}
		for i := range v.NumField() {
			f := v.Type().Field(i)
			name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
			if !f.IsExported() || name == "-" {
				continue
			}
			sub := path + "." + name
			if name == "" {
				sub = path
			}
			out = append(out, d.quantities(v.Field(i), sub, f.Tag.Get("dim"))...)
		}
	case reflect.Slice:
		for i := range v.Len() {
			out = append(out, d.quantities(v.Index(i), path+"["+strconv.Itoa(i)+"]", dim)...)
		}
	case reflect.Map:
		for _, k := range v.MapKeys() {
			out = append(out, d.quantities(v.MapIndex(k), path+"."+k.String(), dim)...)
		}
	}
	return out
}

func (d *Doc) quantity(q unit.Quantity, path, dim string) fault.List {
	if q.Bad() {
		_, err := unit.Parse(q.Text, "", '.')
		line, col := d.Place(path)
		out := fault.List{}
		for _, f := range fault.All(err) {
			out = append(out, f.At(d.Name, line, col).In(path))
		}
		return out
	}
	if want, ok := unit.DimOf(dim); ok && !q.IsZero() && q.Dim != want {
		return fault.List{d.Fault(path, "file.wrong-unit", "found", q.String(), "expected", strings.Join(unit.Names(want), ", "))}
	}
	return nil
}
