// Package instrument is the types of gauges and what a reading with one is
// worth. The gauges themselves, with their certificates, are facts of a shop.
package instrument

import (
	"math"

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
	Meniscus   unit.Quantity `json:"meniscus,omitzero" jsonschema:"description=standard deviation of reading its scale once; a volume takes two, and they are part of its repeat"`
	Drop       unit.Quantity `json:"drop,omitzero" jsonschema:"description=the drop that hangs or has just fallen, evenly anything up to it; part of its repeat"`
	Linearity  unit.Quantity `json:"linearity,omitzero" jsonschema:"description=± by which it may be off otherwise at one load than at another, evenly; part of its bias"`
	Over       unit.Quantity `json:"linearity_over,omitzero" jsonschema:"description=loads as far apart as this are off without regard to one another"`
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

// Rest is what stays of repeat and bias as standard uncertainties once the parts
// that are named are taken out of them; ok is false where the parts are more
// than the whole, or a linearity has no distance to go with it.
//
//	s_rest² = s² − 2·s_meniscus² − drop²/12,  b_rest² = b² − linearity²/3
//
// Units:  formula unit of its quantity.
// Source: JCGM 100:2008, 4.3.7 (even laws of half-width a have u = a/√3).
func (i Instrument) Rest() (repeat, bias float64, ok bool) {
	s, b := i.Repeat.SI(), i.Bias.SI()
	men, drop, lin := i.Meniscus.SI(), i.Drop.SI(), i.Linearity.SI()
	s2, b2 := s*s-2*men*men-drop*drop/12, b*b-lin*lin/3
	if s2 < 0 || b2 < 0 || (lin > 0) != (i.Over.SI() > 0) {
		return 0, 0, false
	}
	if men == 0 && drop == 0 {
		repeat = s
	} else {
		repeat = math.Sqrt(s2)
	}
	if lin == 0 {
		return repeat, b, true
	}
	return repeat, math.Sqrt(b2), true
}

// Condition is something that must be so while a thing is measured.
type Condition struct {
	ID   string     `json:"id" jsonschema:"pattern=^[a-z0-9]+(-[a-z0-9]+)*$"`
	Name words.Text `json:"name"`
	Why  words.Text `json:"why"`
}
