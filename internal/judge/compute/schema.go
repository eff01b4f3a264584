package compute

import (
	"encoding/json"

	"fettle/internal/base/unit"
	"fettle/internal/maths/gum"
)

// Schema is the JSON Schema of a relation's input and output.
func Schema(r *gum.Relation) []byte {
	m, _ := modelOf(r.Name)
	return m.schema()
}

type object = map[string]any

func text(what string) object { return object{"type": "string", "description": what} }

func (m model) schema() []byte {
	props, required := budgetSchema(), []string{}
	ref := object{"$ref": "#/$defs/value"}
	switch {
	case m.relation != nil:
		for _, s := range m.relation.In {
			what := s.Letter + ": " + unitsOf(s.Dim)
			if s.Many {
				props[s.Name] = object{"description": what, "oneOf": []any{ref, object{"type": "array", "minItems": max(1, s.Least), "items": ref}}}
			} else {
				props[s.Name] = object{"description": what, "$ref": "#/$defs/value"}
			}
			required = append(required, s.Name)
		}
	case m.name == "chain":
		required = []string{"values", "steps"}
		props["values"] = object{"type": "object", "additionalProperties": ref, "description": "the inputs by name"}
		props["steps"] = object{"type": "array", "minItems": 1, "maxItems": mostTerms, "description": "worked out in turn; a value {\"of\": NAME} is an input or an earlier step; the last one is the result",
			"items": object{"type": "object", "required": []string{"name", "relation"}, "properties": object{"name": text("name of the step"),
				"relation": text("a relation of the register, linear or product; its other members as for that name")}}}
	default:
		required = []string{"terms"}
		factor, what := "coefficient", "c: a number, with a unit where the term changes its kind, such as \"-50 mm/K\""
		if m.name == "product" {
			factor, what = "power", "p: a pure number, such as \"-1\""
		}
		props["constant"] = text("c₀ or c; left out 0 or 1")
		props["terms"] = object{"type": "array", "minItems": 1, "maxItems": mostTerms, "items": object{"type": "object", "properties": merge(valueMembers(),
			object{"name": text("name of the input"), factor: text(what + "; left out 1")})}}
	}
	return printed(m.name+": "+m.equation, required, props, object{"value": valueSchema(), "output": resultSchema()})
}

// unitsOf says a kind with its units.
func unitsOf(d unit.Dim) string {
	what := kindOf(d)
	for i, n := range unit.Names(d) {
		if i == 0 {
			what += " in "
		} else {
			what += ", "
		}
		what += n
	}
	return what
}

func merge(a, b object) object {
	out := object{}
	for _, m := range []object{a, b} {
		for k, v := range m {
			out[k] = v
		}
	}
	return out
}

func budgetSchema() object {
	whole := func(what string, most int) object {
		return object{"description": what, "oneOf": []any{object{"type": "integer", "minimum": 0, "maximum": most}, object{"type": "string"}}}
	}
	return object{
		"unit":     text("unit wanted for the result"),
		"coverage": text("probability that the expanded uncertainty covers; left out 95 %"),
		"degrees":  object{"enum": []string{"unrounded", "whole"}, "description": "effective degrees of freedom behind k: as they are, or cut to the whole number below"},
		"law":      object{"enum": []string{"auto", "student-t", "normal"}, "description": "auto takes a trapezoid where one or two rectangular causes outweigh all else"},
		"draws":    whole("Monte Carlo with this many draws, 1000 at least", mostDraws),
		"adaptive": whole("Monte Carlo until this many digits of the deviation are stable", mostDigits),
		"seed":     whole("seed of the draws; left out 1", 1<<31-1),
		"correlation": object{"type": "object", "additionalProperties": false, "required": []string{"of", "r"}, "properties": object{
			"of": object{"type": "array", "minItems": 2, "items": text("a symbol; shaft/2 for the second of several")},
			"r":  object{"type": "array", "items": object{"type": "array", "items": text("correlation coefficient, −1 to 1")}}}},
	}
}

func doubtSchema() object {
	return object{
		"u":            text("standard uncertainty; unit of the value unless it names its own"),
		"half":         text("half width of a bounded distribution"),
		"expanded":     text("expanded uncertainty, with k"),
		"k":            text("coverage factor of expanded; left out 2"),
		"dof":          text("degrees of freedom; left out for infinite"),
		"distribution": object{"enum": distributions(), "description": "left out: rectangular with half or limits, a t with dof, else normal; u of a t is its scale"},
		"beta":         text("trapezoid: top over base, 0 to 1"),
		"inexact":      text("curvilinear trapezoid: by how much its limits are inexact"),
		"cause":        text("values that name the same cause share it, each by its own u"),
	}
}

func valueMembers() object {
	return merge(doubtSchema(), object{
		"value":    text("a decimal number, a space and a unit"),
		"of":       text("in a chain: name of a value or step"),
		"low":      text("lower limit, with high and without value"),
		"high":     text("upper limit"),
		"readings": object{"type": "array", "minItems": 2, "items": object{"type": "string"}, "description": "repeats in the place of value"},
		"count":    text("gamma: number of objects counted"),
		"doubts":   object{"type": "array", "items": object{"type": "object", "additionalProperties": false, "properties": doubtSchema()}, "description": "further parts of the doubt"},
	})
}

func valueSchema() object {
	return object{"oneOf": []any{text("a decimal number, a space and a unit"),
		object{"type": "object", "additionalProperties": false, "properties": valueMembers()}}}
}

func resultSchema() object {
	t := object{"type": "string"}
	three := object{"type": "object"}
	return object{"type": "object", "properties": object{"name": t, "equation": t, "source": t, "value": t, "unit": t, "u": t, "dof": t, "full": three,
		"coverage": three, "second_order": three, "draws": three, "budget": object{"type": "array"}, "notes": object{"type": "array", "items": t}}}
}

func printed(title string, required []string, props, defs object) []byte {
	b, err := json.MarshalIndent(object{"$schema": "https://json-schema.org/draft/2020-12/schema", "title": title,
		"type": "object", "additionalProperties": false, "required": required, "properties": props, "$defs": defs}, "", "  ")
	if err != nil {
		panic("compute: schema: " + err.Error())
	}
	return append(b, '\n')
}
