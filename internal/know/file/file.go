// Package file reads knowledge files strictly: every unknown key, wrong type,
// missing field and wrong unit is reported at once, each with line and column.
package file

import (
	"encoding/json"
	"reflect"
	"strconv"
	"strings"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"go.yaml.in/yaml/v3"

	"fettle/internal/base/fault"
	"fettle/internal/base/unit"
)

// most is the largest knowledge file, in bytes.
const most = 8 << 20

// Doc is a parsed file: it knows where each value stands.
type Doc struct {
	Name string
	root *yaml.Node
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
	doc, raw, faults := open(name, text)
	if len(faults) > 0 {
		return out, nil, faults
	}
	b, err := json.Marshal(raw)
	if err != nil {
		return out, nil, fault.List{fault.New(fault.Invalid, "file.syntax", "error", err.Error()).At(name, 1, 1)}
	}
	if err := schema.Validate(raw); err != nil {
		faults = append(faults, doc.schemaFaults(err)...)
	}
	if err := json.Unmarshal(b, &out); err != nil && len(faults) == 0 {
		faults = append(faults, fault.New(fault.Invalid, "file.syntax", "error", err.Error()).At(name, 1, 1))
	}
	faults = append(faults, doc.quantities(reflect.ValueOf(out), "", "")...)
	faults.Sort()
	return out, doc, faults
}

// Fault places a problem at a path such as characteristics[3].limits[0].min.
// A path that does not exist is placed at its nearest parent.
func (d *Doc) Fault(path, key string, pairs ...string) *fault.Fault {
	line, col := d.Place(path)
	return fault.New(fault.Invalid, key, pairs...).At(d.Name, line, col).In(path)
}

// Place finds the line and column of a path.
func (d *Doc) Place(path string) (line, col int) {
	n := d.walk(steps(path))
	return n.Line, n.Column
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
