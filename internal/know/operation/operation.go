// Package operation is the work of a shop as data: what each operation needs,
// takes, sets, brings with it and opens again, and which readings close it.
// Close makes a route of what was chosen: everything that follows, in order,
// and why each step is there.
package operation

import (
	"math"

	"fettle/internal/base/cite"
	"fettle/internal/base/unit"
	"fettle/internal/know/words"
)

// File is data/operations.yaml.
type File struct {
	Format     string      `json:"fettle" jsonschema:"enum=operations/1"`
	Machines   []Machine   `json:"machines" jsonschema:"minItems=1"`
	Fixtures   []Fixture   `json:"fixtures"`
	Goods      []Goods     `json:"goods" jsonschema:"description=kinds of parts that an operation brings"`
	Operations []Operation `json:"operations" jsonschema:"minItems=1"`
}

// Machine is a kind of machine or place of work.
type Machine struct {
	ID   string     `json:"id" jsonschema:"pattern=^[a-z0-9]+(-[a-z0-9]+)*$"`
	Name words.Text `json:"name"`
}

// Fixture is a kind of fixture: a plate, a bar, a jig.
type Fixture struct {
	ID     string     `json:"id" jsonschema:"pattern=^[a-z0-9]+(-[a-z0-9]+)*$"`
	Name   words.Text `json:"name"`
	Family bool       `json:"family,omitempty" jsonschema:"description=made for one family of engines and of no use on another"`
}

// Goods is a kind of part that is fitted new.
type Goods struct {
	ID        string     `json:"id" jsonschema:"pattern=^[a-z0-9]+(-[a-z0-9]+)*$"`
	Name      words.Text `json:"name"`
	Component string     `json:"component" jsonschema:"description=one for each part of this component"`
	Set       bool       `json:"set,omitempty" jsonschema:"description=one for the whole engine however many parts it has"`
}

// Stage is where in a job an operation belongs.
type Stage string

// The stages, in the order of a job.
const (
	Arrival  Stage = "arrival"
	Measure  Stage = "measure"
	Block    Stage = "block"
	Crank    Stage = "crank"
	Rods     Stage = "rods"
	Head     Stage = "head"
	Assembly Stage = "assembly"
	Test     Stage = "test"
)

// Stages lists them in the order of a job.
func Stages() []Stage {
	return []Stage{Arrival, Measure, Block, Crank, Rods, Head, Assembly, Test}
}

// Operation is one piece of work.
type Operation struct {
	ID        string      `json:"id" jsonschema:"pattern=^[a-z]+(-[a-z]+)*$,description=without digits: after(ID.2) is its second run"`
	Name      words.Text  `json:"name"`
	Stage     Stage       `json:"stage" jsonschema:"enum=arrival,enum=measure,enum=block,enum=crank,enum=rods,enum=head,enum=assembly,enum=test"`
	Component string      `json:"component" jsonschema:"description=the part that is worked on; an engine without it goes without the operation"`
	Per       []string    `json:"per,omitempty" jsonschema:"description=dimensions of which each value is a place of its own"`
	Whole     bool        `json:"whole,omitempty" jsonschema:"description=one place chosen is all places chosen"`
	Machine   string      `json:"machine" jsonschema:"description=id of a machine"`
	Fixtures  []string    `json:"fixtures,omitempty" jsonschema:"description=ids of fixtures; without one the operation is blocked"`
	Labour    Labour      `json:"labour"`
	Outside   Weeks       `json:"outside,omitzero" jsonschema:"description=weeks from door to door where it is given out"`
	Needs     []string    `json:"needs,omitempty" jsonschema:"description=operations that it brings in before itself"`
	After     []string    `json:"after,omitempty" jsonschema:"description=operations that come before it where they are done at all"`
	Brings    []Bring     `json:"brings,omitempty"`
	Sets      []Set       `json:"sets,omitempty"`
	Closing   []string    `json:"closing,omitempty" jsonschema:"description=characteristics that must be read behind it before it is done"`
	Reopens   []string    `json:"reopens,omitempty" jsonschema:"description=characteristics whose earlier readings say nothing any more"`
	Answers   []Answer    `json:"answers,omitempty"`
	Targets   []string    `json:"targets,omitempty" jsonschema:"description=target groups that it brings to size"`
	Test      string      `json:"test,omitempty" jsonschema:"description=id of a test method: a test of the part by it is the work"`
	Check     words.Text  `json:"check,omitempty" jsonschema:"description=what is looked at before the next step"`
	First     words.Text  `json:"first_piece,omitempty" jsonschema:"description=what is checked on the first one before the others"`
	Hazard    words.Text  `json:"hazard,omitempty"`
	Cautions  []string    `json:"cautions,omitempty" jsonschema:"description=ids of cautions"`
	Drivers   []string    `json:"drivers,omitempty" jsonschema:"enum=first-of-type,enum=seized,enum=crank-status,enum=part-availability,enum=valve-count,enum=finish-class,enum=outsourced,enum=bed-hours,enum=paperwork,enum=disposal"`
	Source    cite.Key    `json:"source"`
	Status    cite.Status `json:"status" jsonschema:"enum=manual in hand,enum=copied table,enum=common practice,enum=from memory,enum=invented for the demo"`
}

// Labour is how long it takes: hours of a person, and hours in which a machine
// runs by itself.
type Labour struct {
	Low   unit.Quantity `json:"low" dim:"time"`
	High  unit.Quantity `json:"high" dim:"time"`
	Of    int           `json:"of,omitempty" jsonschema:"minimum=1,description=for so many places; left out: whatever their number"`
	Setup unit.Quantity `json:"setup,omitzero" dim:"time" jsonschema:"description=part of both that does not grow with the places"`
	Alone Span          `json:"alone,omitzero" jsonschema:"description=the machine runs by itself"`
}

// Span is a range of time.
type Span struct {
	Low  unit.Quantity `json:"low" dim:"time"`
	High unit.Quantity `json:"high" dim:"time"`
}

// Weeks is a range of whole weeks.
type Weeks struct {
	Low  int `json:"low" jsonschema:"minimum=0,maximum=52"`
	High int `json:"high" jsonschema:"minimum=1,maximum=52"`
}

// Bring is what an operation brings with it: another operation, or parts.
type Bring struct {
	Operation string     `json:"operation,omitempty"`
	Goods     string     `json:"goods,omitempty"`
	Why       words.Text `json:"why"`
}

// Rule says how an operation sets a characteristic.
type Rule string

// The rules: to a target of its own at each place, shifted by what is taken off
// at all places alike, to one size of the ladder for the whole group.
const (
	ToTarget  Rule = "to-target"
	Shift     Rule = "shift"
	GroupSize Rule = "group-size"
)

// Set is a characteristic that an operation changes on purpose.
type Set struct {
	Characteristic string        `json:"characteristic"`
	Rule           Rule          `json:"rule" jsonschema:"enum=to-target,enum=shift,enum=group-size"`
	Sign           int           `json:"sign,omitempty" jsonschema:"enum=-1,enum=1,description=of a shift: 1 makes the value larger"`
	Offset         unit.Quantity `json:"offset,omitzero" jsonschema:"description=what is added to the final size, since another operation follows: -0.065 mm leaves stock in a bore"`
	Tolerance      unit.Quantity `json:"tolerance" jsonschema:"description=the process holds its aim within plus or minus this"`
}

// U is the standard uncertainty of where the process puts the value.
//
//	u = a / √3
//
// Shapes: scalar.
// Units:  formula units of the characteristic.
// Errors: none.
// Source: gum-2008 clause 4.3.7: known to lie within ±a and no more than that.
func (s Set) U() float64 { return s.Tolerance.SI() / math.Sqrt(3) }

// Answer is an outcome of a finding that the operation carries out.
type Answer struct {
	Finding  string   `json:"finding"`
	Outcomes []string `json:"outcomes" jsonschema:"minItems=1"`
}
