package compute

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"sort"
	"strconv"
	"strings"

	"fettle/internal/base/cite"
	"fettle/internal/base/fault"
	"fettle/internal/base/unit"
	"fettle/internal/maths/gum"
)

// Result is what running a relation by name gives.
type Result struct {
	Name     string   `json:"name"`
	Equation string   `json:"equation"`
	Source   cite.Key `json:"source"`
	Value    string   `json:"value"`
	Unit     string   `json:"unit"`
	U        string   `json:"u"`   // standard uncertainty, same unit
	Dof      string   `json:"dof"` // effective degrees of freedom
	Budget   []Cause  `json:"budget"`
}

// Cause is one input's part of the variance.
type Cause struct {
	Symbol string `json:"symbol"`
	Part   string `json:"part"` // percent
}

// given is one value of the input: "83.012 mm", or an object with a standard
// uncertainty, degrees of freedom and a name under which causes are shared.
type given struct {
	Value string `json:"value"`
	U     string `json:"u,omitempty"`
	Dof   string `json:"dof,omitempty"`
	Cause string `json:"cause,omitempty"`
}

// Run computes a relation from JSON: an object with one member a symbol name,
// each a value or a list of values with units, as Schema describes; the member
// "unit" asks for the unit of the result.
//
// Errors: every symbol that is missing, unknown, of the wrong kind or no
// number, as one list of faults.
func Run(r *gum.Relation, input []byte) (Result, error) {
	d := json.NewDecoder(bytes.NewReader(input))
	var raw map[string]json.RawMessage
	if err := d.Decode(&raw); err != nil {
		return Result{}, fault.New(fault.Invalid, "compute.not-an-object", "error", err.Error())
	}
	if rest, err := d.Token(); err != io.EOF {
		return Result{}, fault.New(fault.Invalid, "compute.not-an-object", "error", fmt.Sprintf("more follows the object: %v", rest))
	}
	run := &runner{r: r, g: gum.New()}
	args := run.arguments(raw)
	if len(run.faults) > 0 {
		return Result{}, run.faults
	}
	id, err := run.g.Apply(r, args)
	if err != nil {
		return Result{}, fault.New(fault.Invalid, "compute.no-value", "error", err.Error())
	}
	return run.result(id)
}

type runner struct {
	r      *gum.Relation
	g      *gum.Graph
	faults fault.List
	first  string // unit in which the first symbol was given
	out    string // unit asked for
	dim    unit.Dim
}

func (n *runner) say(path, key string, pairs ...string) {
	n.faults = append(n.faults, fault.New(fault.Invalid, key, pairs...).In(path))
}

func (n *runner) arguments(raw map[string]json.RawMessage) [][]gum.ID {
	known := map[string]bool{"unit": true}
	args := make([][]gum.ID, len(n.r.In))
	for i, s := range n.r.In {
		known[s.Name] = true
		text, ok := raw[s.Name]
		if !ok {
			n.say(s.Name, "compute.missing", "symbol", s.Name, "kind", kindOf(s.Dim))
			continue
		}
		for j, v := range n.values(s, text) {
			if id, ok := n.leaf(i, j, s, v); ok {
				args[i] = append(args[i], id)
			}
		}
		if least := max(1, s.Least); len(n.faults) == 0 && (len(args[i]) < least || !s.Many && len(args[i]) != 1) {
			n.say(s.Name, "compute.count", "symbol", s.Name, "found", strconv.Itoa(len(args[i])), "expected", strconv.Itoa(least))
		}
	}
	if text, ok := raw["unit"]; ok {
		if json.Unmarshal(text, &n.out) != nil {
			n.say("unit", "unit.unknown", "text", string(text), "unit", string(text))
		}
	}
	names := make([]string, 0, len(raw))
	for k := range raw {
		names = append(names, k)
	}
	sort.Strings(names)
	for _, k := range names {
		if !known[k] {
			n.say(k, "compute.unknown", "found", k, "expected", strings.Join(symbolNames(n.r), ", "))
		}
	}
	return args
}

func symbolNames(r *gum.Relation) []string {
	var out []string
	for _, s := range r.In {
		out = append(out, s.Name)
	}
	return out
}

func kindOf(d unit.Dim) string {
	if d == unit.None {
		return "any"
	}
	return d.String()
}

// values reads one value or a list; each a text or an object.
func (n *runner) values(s gum.Symbol, text json.RawMessage) []given {
	list := []json.RawMessage{text}
	if t := bytes.TrimSpace(text); len(t) > 0 && t[0] == '[' {
		list = nil
		if err := json.Unmarshal(text, &list); err != nil {
			n.say(s.Name, "compute.not-a-value", "symbol", s.Name)
			return nil
		}
	}
	var out []given
	for _, t := range list {
		var g given
		strict := json.NewDecoder(bytes.NewReader(t))
		strict.DisallowUnknownFields()
		if json.Unmarshal(t, &g.Value) != nil && strict.Decode(&g) != nil {
			n.say(s.Name, "compute.not-a-value", "symbol", s.Name)
			continue
		}
		out = append(out, g)
	}
	return out
}

func (n *runner) leaf(i, j int, s gum.Symbol, v given) (gum.ID, bool) {
	q, err := unit.Parse(v.Value, "", '.')
	if err != nil {
		for _, f := range fault.All(err) {
			n.faults = append(n.faults, f.In(s.Name))
		}
		return 0, false
	}
	want := s.Dim
	if want == unit.None {
		if n.dim == unit.None {
			n.dim = q.Dim
		}
		want = n.dim
	}
	if q.Dim != want {
		n.say(s.Name, "file.wrong-unit", "found", q.String(), "expected", strings.Join(unit.Names(want), ", "))
		return 0, false
	}
	if n.first == "" {
		n.first = q.Unit
	}
	l := gum.Leaf{Key: s.Name + "/" + strconv.Itoa(j), Kind: gum.Given, Ref: s.Name, Value: q.SI()}
	if v.U != "" {
		u, err := unit.Parse(v.U, q.Unit, '.')
		if err != nil || u.Dim != q.Dim || u.N < 0 {
			n.say(s.Name, "compute.doubt", "symbol", s.Name, "found", v.U)
			return 0, false
		}
		l.U = u.SI()
	}
	if v.Dof != "" {
		dof, err := unit.Parse(v.Dof, "1", '.')
		if err != nil || dof.N <= 0 {
			n.say(s.Name, "compute.dof", "symbol", s.Name, "found", v.Dof)
			return 0, false
		}
		l.Dof = dof.SI()
	}
	if v.Cause == "" {
		return n.g.Leaf(l), true
	}
	return n.shared(l, v.Cause, q), true
}

// shared makes a value whose doubt is a cause that other values may name too.
func (n *runner) shared(l gum.Leaf, cause string, q unit.Quantity) gum.ID {
	exact := l
	exact.U, exact.Dof = 0, 0
	c := n.g.Leaf(gum.Leaf{Key: "cause:" + cause + ":" + strconv.FormatFloat(l.U, 'g', -1, 64), Kind: gum.Gauge, Ref: cause, U: l.U, Dof: l.Dof})
	id, err := n.g.Apply(sum(), [][]gum.ID{{n.g.Leaf(exact), c}})
	if err != nil {
		panic("compute: " + err.Error())
	}
	return id
}

func sum() *gum.Relation { r, _ := Find("sum"); return r }

func (n *runner) result(id gum.ID) (Result, error) {
	r, dim := n.r, n.r.Out.Dim
	if dim == unit.None {
		dim = n.dim
	}
	name := n.out
	if name == "" {
		name = usual(dim, n.first)
	}
	d, written, ok := unit.Of(name)
	if !ok || d != dim {
		return Result{}, fault.New(fault.Invalid, "file.wrong-unit", "found", name, "expected", strings.Join(unit.Names(dim), ", ")).In("unit")
	}
	res := Result{Name: r.Name, Equation: r.Equation, Source: r.Source, Unit: written, Dof: "∞", Budget: []Cause{}}
	y, u := unit.FromSI(n.g.Value(id), written), unit.FromSI(n.g.U(id), written)
	res.Value, res.U = digits(y, u)
	if dof := n.g.Dof(id); !math.IsInf(dof, 1) {
		res.Dof = strconv.FormatFloat(dof, 'f', 2, 64)
	}
	for _, s := range n.g.Budget(id) {
		res.Budget = append(res.Budget, Cause{Symbol: s.Ref, Part: strconv.FormatFloat(100*s.Part, 'f', 1, 64)})
	}
	return res, nil
}

// usual is the unit of a result nobody chose: that of the input where it fits,
// else the first of its kind.
func usual(d unit.Dim, first string) string {
	if fd, _, ok := unit.Of(first); ok && fd == d {
		return first
	}
	if d == unit.Volume {
		return "cm³"
	}
	if d == unit.Speed {
		return "m/s"
	}
	return unit.Names(d)[0]
}

// digits writes a value to the second digit of its doubt, or to ten significant
// digits where there is none.
func digits(y, u float64) (string, string) {
	if u == 0 {
		return strconv.FormatFloat(y, 'g', 10, 64), "0"
	}
	n := 1 - int(math.Floor(math.Log10(u)))
	n = min(max(n, 0), 15)
	return strconv.FormatFloat(y, 'f', n, 64), strconv.FormatFloat(u, 'f', n, 64)
}

// Schema is the JSON Schema of a relation's input and output.
func Schema(r *gum.Relation) []byte {
	value := map[string]any{"oneOf": []any{
		map[string]any{"type": "string", "description": "a decimal number, a space and a unit"},
		map[string]any{"type": "object", "additionalProperties": false, "required": []string{"value"}, "properties": map[string]any{
			"value": map[string]any{"type": "string"},
			"u":     map[string]any{"type": "string", "description": "standard uncertainty; unit of the value unless it names its own"},
			"dof":   map[string]any{"type": "string", "description": "degrees of freedom; left out for infinite"},
			"cause": map[string]any{"type": "string", "description": "values that name the same cause and doubt share it"}}}}}
	props, required := map[string]any{"unit": map[string]any{"type": "string", "description": "unit wanted for the result"}}, []string{}
	for _, s := range r.In {
		what := s.Letter + ": " + kindOf(s.Dim)
		if d := unit.Names(s.Dim); len(d) > 0 {
			what += " in " + strings.Join(d, ", ")
		}
		p := map[string]any{"description": what, "$ref": "#/$defs/value"}
		if s.Many {
			p = map[string]any{"description": what, "type": "array", "minItems": max(1, s.Least), "items": map[string]any{"$ref": "#/$defs/value"}}
		}
		props[s.Name] = p
		required = append(required, s.Name)
	}
	text := map[string]any{"type": "string"}
	out := map[string]any{"type": "object", "properties": map[string]any{"name": text, "equation": text, "source": text, "value": text,
		"unit": text, "u": text, "dof": text, "budget": map[string]any{"type": "array"}}}
	b, err := json.MarshalIndent(map[string]any{"$schema": "https://json-schema.org/draft/2020-12/schema", "title": r.Name + ": " + r.Equation,
		"type": "object", "additionalProperties": false, "required": required, "properties": props,
		"$defs": map[string]any{"value": value, "output": out}}, "", "  ")
	if err != nil {
		panic("compute: schema: " + err.Error())
	}
	return append(b, '\n')
}
