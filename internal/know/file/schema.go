package file

import (
	"bytes"
	"encoding/json"
	"reflect"
	"strings"

	reflector "github.com/invopop/jsonschema"
	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/santhosh-tekuri/jsonschema/v6/kind"
	"golang.org/x/text/language"
	"golang.org/x/text/message"

	"fettle/internal/base/fault"
	"fettle/internal/base/unit"
)

// Schema generates the JSON Schema (2020-12) of a file type from its Go struct,
// indented, ready to be published.
func Schema(v any, id, title string) []byte {
	r := reflector.Reflector{Anonymous: true, DoNotReference: false, ExpandedStruct: true, Mapper: mapper}
	s := r.Reflect(v)
	s.ID, s.Title = reflector.ID(id), title
	b, err := json.MarshalIndent(s, "", "  ")
	if err != nil {
		panic("file: schema of " + id + ": " + err.Error())
	}
	return append(b, '\n')
}

var quantityType = reflect.TypeFor[unit.Quantity]()

func mapper(t reflect.Type) *reflector.Schema {
	if t != quantityType {
		return nil
	}
	return &reflector.Schema{Type: "string", Pattern: `^[-−]?[0-9]+([.][0-9]+)? \S+$`,
		Description: "a decimal number, a space and a unit, for example 83.000 mm"}
}

// own is the address of a generated schema while it is compiled. It is whole,
// so that nothing of it depends on the folder the process works in, which may
// change between the two steps.
const own = "fettle:///own.json"

// Compile turns a generated schema into a validator.
func Compile(schema []byte) *jsonschema.Schema {
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(schema))
	if err != nil {
		panic("file: own schema: " + err.Error())
	}
	c := jsonschema.NewCompiler()
	c.DefaultDraft(jsonschema.Draft2020)
	if err := c.AddResource(own, doc); err != nil {
		panic("file: own schema: " + err.Error())
	}
	return c.MustCompile(own)
}

func (d *Doc) schemaFaults(err error) fault.List {
	v, ok := err.(*jsonschema.ValidationError)
	if !ok {
		return fault.List{d.Fault("", "file.syntax", "error", err.Error())}
	}
	var out fault.List
	for _, leaf := range leaves(v) {
		out = append(out, d.schemaFault(leaf)...)
	}
	return out
}

func leaves(v *jsonschema.ValidationError) []*jsonschema.ValidationError {
	if len(v.Causes) == 0 {
		return []*jsonschema.ValidationError{v}
	}
	var out []*jsonschema.ValidationError
	for _, c := range v.Causes {
		out = append(out, leaves(c)...)
	}
	return out
}

func (d *Doc) schemaFault(v *jsonschema.ValidationError) fault.List {
	path := strings.Join(v.InstanceLocation, ".")
	switch k := v.ErrorKind.(type) {
	case *kind.AdditionalProperties:
		var out fault.List
		for _, p := range k.Properties {
			out = append(out, d.Fault(path+"."+p, "file.unknown-key", "key", p))
		}
		return out
	case *kind.Required:
		return fault.List{d.Fault(path, "file.missing-key", "key", strings.Join(k.Missing, ", "))}
	case *kind.Type:
		return fault.List{d.Fault(path, "file.wrong-type", "found", k.Got, "expected", strings.Join(k.Want, " or "))}
	case *kind.Enum:
		want := make([]string, len(k.Want))
		for i, w := range k.Want {
			b, _ := json.Marshal(w)
			want[i] = strings.Trim(string(b), `"`)
		}
		got, _ := json.Marshal(k.Got)
		return fault.List{d.Fault(path, "file.not-listed", "found", strings.Trim(string(got), `"`), "expected", strings.Join(want, ", "))}
	case *kind.Pattern:
		key := "file.not-shaped"
		if strings.Contains(k.Want, `[0-9]+([.][0-9]+)? \S+`) {
			return nil // reported with more words by the walk over quantities
		}
		return fault.List{d.Fault(path, key, "found", k.Got, "expected", k.Want)}
	}
	return fault.List{d.Fault(path, "file.not-allowed", "error", v.ErrorKind.LocalizedString(message.NewPrinter(language.English)))}
}
