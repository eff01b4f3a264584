// Package strip is what a shop knows of taking an engine down: which tests come
// before it, what must be measured before a part is lifted out, and which parts
// are tested for cracks before anybody measures them.
package strip

import (
	"fettle/internal/base/cite"
	"fettle/internal/base/unit"
	"fettle/internal/know/words"
)

// File is data/strip.yaml.
type File struct {
	Format string   `json:"fettle" jsonschema:"enum=strip/1"`
	Panel  []Panel  `json:"panel" jsonschema:"minItems=1"`
	Gates  []Gate   `json:"gates" jsonschema:"minItems=1"`
	Method []Method `json:"methods" jsonschema:"minItems=1"`
	Clear  []Clear  `json:"clear" jsonschema:"minItems=1"`
}

// Panel is a test of the engine as it came in.
type Panel struct {
	ID        string        `json:"id" jsonschema:"pattern=^[a-z0-9]+(-[a-z0-9]+)*$"`
	Name      words.Text    `json:"name"`
	Quantity  string        `json:"quantity"`
	Unit      string        `json:"unit"`
	At        []string      `json:"at,omitempty" jsonschema:"description=conditions it is taken in; left out: once a cylinder"`
	Bad       string        `json:"bad" jsonschema:"enum=low,enum=high,description=the side on which an outlier means wear"`
	Apart     unit.Quantity `json:"apart,omitzero" jsonschema:"description=how far from the middle a cylinder may lie before it can be an outlier"`
	ApartPart unit.Quantity `json:"apart_part,omitzero" dim:"number" jsonschema:"description=the same as a part of the middle"`
	PerRpm    unit.Quantity `json:"least_per_1000,omitzero" jsonschema:"description=least value for each 1000 rpm where the engine is hot"`
	Hot       []string      `json:"hot,omitempty" jsonschema:"description=the conditions in which it is hot"`
	Why       words.Text    `json:"why"`
	Caution   string        `json:"caution,omitempty" jsonschema:"description=id of a caution"`
	Source    cite.Key      `json:"source"`
	Status    cite.Status   `json:"status" jsonschema:"enum=manual in hand,enum=copied table,enum=common practice,enum=from memory,enum=invented for the demo"`
}

// Gate is what must be measured, in the state found, before parts come out.
type Gate struct {
	ID      string      `json:"id" jsonschema:"pattern=^[a-z0-9]+(-[a-z0-9]+)*$"`
	Name    words.Text  `json:"name"`
	Measure []string    `json:"measure" jsonschema:"minItems=1,description=characteristics; those that an engine does not have are passed over"`
	Before  []string    `json:"before" jsonschema:"minItems=1,description=components that stay until then; those that an engine does not have are passed over"`
	Why     words.Text  `json:"why"`
	Caution string      `json:"caution,omitempty" jsonschema:"description=id of a caution"`
	Source  cite.Key    `json:"source"`
	Status  cite.Status `json:"status" jsonschema:"enum=manual in hand,enum=copied table,enum=common practice,enum=from memory,enum=invented for the demo"`
}

// Method is a way to look for what the eye does not see.
type Method struct {
	ID      string     `json:"id" jsonschema:"pattern=^[a-z0-9]+(-[a-z0-9]+)*$"`
	Name    words.Text `json:"name"`
	Caution string     `json:"caution" jsonschema:"description=id of a caution"`
	After   words.Text `json:"after,omitempty" jsonschema:"description=what must be done behind it"`
}

// Clear says which of the methods clears a component for measuring.
type Clear struct {
	Component string      `json:"component"`
	Methods   []string    `json:"methods" jsonschema:"minItems=1,description=each of them must be done"`
	Why       words.Text  `json:"why"`
	Source    cite.Key    `json:"source"`
	Status    cite.Status `json:"status" jsonschema:"enum=manual in hand,enum=copied table,enum=common practice,enum=from memory,enum=invented for the demo"`
}
