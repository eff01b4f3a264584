package compute

import (
	"encoding/json"
	"fmt"

	"fettle/internal/base/cite"
	"fettle/internal/base/unit"
	"fettle/internal/maths/gum"
)

// Entry is one computation that can be run by name from JSON alone: a relation,
// a general model, or a procedure.
type Entry struct {
	Name     string
	Equation string // of a relation or model, "" for a procedure
	What     string // message key of its one line, "" for a relation: its equation says it
	Source   cite.Key
	Letter   string // of a relation's result
	model    *model
	proc     *procedure
}

// Answer is what running an entry gives, a Result or an Outcome; both are
// written as JSON.
type Answer interface{ figures() []Figure }

// Entries lists every computation: relations by subject, the general models,
// the procedures.
func Entries() []Entry {
	var out []Entry
	for _, r := range All() {
		out = append(out, relationEntry(r))
	}
	for _, name := range []string{"linear", "product", "chain"} {
		m, _ := modelOf(name)
		out = append(out, Entry{Name: name, Equation: m.equation, What: "compute.what." + name, Source: m.source, Letter: "y", model: &m})
	}
	for _, p := range procedures() {
		out = append(out, Entry{Name: p.name, What: "compute.what." + p.name, Source: p.source, proc: &p})
	}
	return out
}

func relationEntry(r *gum.Relation) Entry {
	m, _ := modelOf(r.Name)
	return Entry{Name: r.Name, Equation: r.Equation, Source: r.Source, Letter: r.Out.Letter, model: &m}
}

// Lookup finds a computation by name.
func Lookup(name string) (Entry, bool) {
	for _, e := range Entries() {
		if e.Name == name {
			return e, true
		}
	}
	return Entry{}, false
}

// Run computes from a JSON object, as Schema describes it.
//
// Errors: every member that is missing, unknown, of the wrong kind, count or
// unit, as one list of faults, each with its path, line and column.
func (e Entry) Run(input []byte) (Answer, error) {
	if e.proc != nil {
		return e.proc.compute(input)
	}
	return e.model.run(input)
}

// Schema is the JSON Schema of its input, with that of its output under $defs.
func (e Entry) Schema() []byte {
	if e.proc != nil {
		return e.proc.schema()
	}
	return e.model.schema()
}

// Example is an input that it takes.
func (e Entry) Example() []byte {
	switch {
	case e.proc != nil:
		return []byte(e.proc.example + "\n")
	case e.model.relation != nil:
		return exampleOf(e.model.relation)
	}
	return []byte(generalExample(e.Name) + "\n")
}

// generalExample are inputs of the general models; the linear one is the end
// gauge of JCGM 100:2008, H.1.
func generalExample(name string) string {
	switch name {
	case "linear":
		return `{"terms": [
  {"name": "standard", "value": "50000623 nm", "u": "25 nm", "dof": "18"},
  {"name": "difference", "value": "215 nm", "doubts": [{"u": "5.8 nm", "dof": "24"}, {"u": "3.9 nm", "dof": "5"}, {"u": "6.7 nm", "dof": "8"}]},
  {"name": "expansion_difference", "coefficient": "5000062.3 nm·K", "value": "0 1e-6/K", "half": "1 1e-6/K", "dof": "50"},
  {"name": "temperature_difference", "coefficient": "-575.00716 nm/K", "value": "0 °C", "half": "0.05 °C", "dof": "2"}],
 "unit": "nm", "coverage": "99 %", "degrees": "whole"}`
	case "product":
		return `{"terms": [{"name": "voltage", "value": "4.9990 V", "u": "0.0032 V"}, {"name": "current", "power": "-1", "value": "19.6610 mA", "u": "0.0095 mA"}],
 "correlation": {"of": ["voltage", "current"], "r": [["1", "-0.36"], ["-0.36", "1"]]}, "unit": "Ω"}`
	}
	return `{"values": {"bore": {"readings": ["84.006 mm", "84.008 mm", "84.007 mm", "84.007 mm"], "doubts": [{"cause": "gauge", "u": "1.5 µm"}]},
   "piston": {"value": "83.952 mm", "u": "1 µm", "doubts": [{"cause": "gauge", "u": "1.5 µm"}]}, "expansion": {"low": "19 1e-6/K", "high": "21 1e-6/K"}, "warming": "20 °C"},
 "steps": [{"name": "cold", "relation": "clearance", "hole": {"of": "bore"}, "shaft": {"of": "piston"}},
  {"name": "growth", "relation": "product", "unit": "mm", "terms": [{"of": "piston"}, {"of": "expansion"}, {"of": "warming"}]},
  {"name": "left", "relation": "difference", "a": {"of": "cold"}, "b": {"of": "growth"}}],
 "unit": "µm", "adaptive": 2}`
}

// exampleOf makes an input of a relation, of sizes that make sense of most.
func exampleOf(r *gum.Relation) []byte {
	in := map[string]any{}
	for i, s := range r.In {
		d := s.Dim
		if d == unit.None {
			d = unit.Length
		}
		base, name := example(d)
		n := 1
		if s.Many {
			n = max(s.Least, 1)
		}
		var list []any
		for j := range n {
			x := base * (1 + 0.01*float64(j) + 0.1*float64(i*(1-sign(d))))
			if known, ok := special(r.Name, s.Name, j); ok {
				x = known
			}
			v := map[string]any{"value": plainDigits(x) + " " + name, "u": plainDigits(base/10000) + " " + name}
			list = append(list, v)
		}
		if in[s.Name] = any(list); n == 1 {
			in[s.Name] = list[0]
		}
	}
	b, err := json.MarshalIndent(in, "", "  ")
	if err != nil {
		panic(fmt.Sprintf("compute: example of %s: %v", r.Name, err))
	}
	return append(b, '\n')
}

// sign is 1 for kinds that do not grow from symbol to symbol.
func sign(d unit.Dim) int {
	if d == unit.Temperature || d == unit.Expansion {
		return 1
	}
	return 0
}

// example is a usual size of a kind.
func example(d unit.Dim) (float64, string) {
	switch d {
	case unit.Length:
		return 80, "mm"
	case unit.Volume:
		return 50, "cm³"
	case unit.Angle:
		return 20, "°"
	case unit.Temperature:
		return 22, "°C"
	case unit.Force:
		return 800, "N"
	case unit.Pressure:
		return 205, "GPa"
	case unit.Rotation:
		return 5000, "rpm"
	case unit.Expansion:
		return 11.5, "1e-6/K"
	}
	return 20, unit.Names(d)[0]
}

// special are sizes without which a relation has no value or no sense.
func special(relation, symbol string, j int) (float64, bool) {
	switch {
	case relation == "head-lowering-retard" && symbol == "centres":
		return 400, true
	case (relation == "flatness" || relation == "straightness" || relation == "adjacent-misalignment") && symbol == "x":
		return 100 * float64(j%2+j/2*2), true
	case relation == "flatness" && symbol == "y":
		return 60 * float64(j/2), true
	}
	return 0, false
}

func (r Result) figures() []Figure {
	out := []Figure{{Name: "value", Text: r.Full.Value}, {Name: "u", Text: r.Full.U}, {Name: "dof", Text: r.Dof}}
	return out
}

func (o Outcome) figures() []Figure { return o.Figures }
