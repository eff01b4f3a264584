// Package instrument is the types of gauges and what a reading with one is
// worth. The gauges themselves, with their certificates, are facts of a shop.
package instrument

import (
	"fettle/internal/base/cite"
	"fettle/internal/base/unit"
	"fettle/internal/know/words"
)

// File is data/instruments.yaml.
type File struct {
	Format      string       `json:"fettle" jsonschema:"enum=instruments/1"`
	Instruments []Instrument `json:"instruments" jsonschema:"minItems=1"`
	Conditions  []Condition  `json:"conditions"`
}

// Instrument is one type.
type Instrument struct {
	ID         string        `json:"id" jsonschema:"pattern=^[a-z0-9]+(-[a-z0-9]+)*$"`
	Name       words.Text    `json:"name"`
	Quantity   string        `json:"quantity"`
	Resolution unit.Quantity `json:"resolution"`
	Repeat     unit.Quantity `json:"repeat,omitzero" jsonschema:"description=standard deviation of one reading by a careful person"`
	Bias       unit.Quantity `json:"bias,omitzero" jsonschema:"description=standard uncertainty of what stays after calibration, the same in every reading of one gauge"`
	Relative   unit.Quantity `json:"relative,omitzero" dim:"number" jsonschema:"description=standard uncertainty as a part of the reading, the same in every reading of one gauge"`
	Set        string        `json:"set,omitempty" jsonschema:"enum=master,description=reads a deviation from a master or from another gauge it was set on"`
	SetRepeat  unit.Quantity `json:"set_repeat,omitzero" jsonschema:"description=standard deviation of one setting"`
	Material   string        `json:"material,omitempty" jsonschema:"description=of the scale; the gauge's own temperature matters then"`
	Turn       unit.Quantity `json:"turn,omitzero" dim:"length" jsonschema:"description=how far one turn of its thimble or dial is, which a person can miss"`
	Minutes    int           `json:"minutes" jsonschema:"minimum=1,maximum=120,description=to take one reading again with care"`
	Interval   bool          `json:"interval,omitempty" jsonschema:"description=a feeler: true size lies within one step, evenly"`
	Master     bool          `json:"master,omitempty" jsonschema:"description=a ring or rod or block: its size is the one written on it, not one it shows"`
	Source     cite.Key      `json:"source"`
	Status     cite.Status   `json:"status" jsonschema:"enum=manual in hand,enum=copied table,enum=common practice,enum=from memory,enum=invented for the demo"`
}

// Condition is something that must be so while a thing is measured.
type Condition struct {
	ID   string     `json:"id" jsonschema:"pattern=^[a-z0-9]+(-[a-z0-9]+)*$"`
	Name words.Text `json:"name"`
	Why  words.Text `json:"why"`
}
