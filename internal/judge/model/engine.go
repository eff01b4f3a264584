// Package model builds the engine of a family and a job for the rooms of
// physics, and introduces these to each other: gas to rods, rods to bearings,
// bearings to oil. What is read on the engine comes from the job, what nobody
// reads from the family's running file.
package model

import (
	"fettle/internal/base/fault"
	"fettle/internal/judge/assess"
	"fettle/internal/know/family"
	"fettle/internal/know/running"
)

// Number is a value of this engine with its doubt.
type Number struct {
	Value, U float64 // formula units
	Position string  // where it was read or derived; "" where the drawing stands in
	State    string
}

// Known reports whether the engine itself gave the number.
func (n Number) Known() bool { return n.Position != "" }

// Cylinder is what one cylinder gives to gas and rods.
type Cylinder struct {
	Name     string
	Ratio    Number // compression ratio
	Piston   Number // with pin, locks and rings, kg
	RodBig   Number // at the big end, kg
	RodSmall Number // at the small end, kg
}

// Bearing is one plain bearing of the crank.
type Bearing struct {
	ID        string // shell-main/2, shell-pin/4: component and place
	Component string
	Place     string
	Diameter  float64 // of the journal as drawn, m
	Width     float64 // of the running face, m
	Groove    string  // none, upper, full
	GrooveW   float64 // m
	Hole      float64 // m
	Clearance Number  // diametral, m
	Rough     float64 // combined Rq of journal and shell, m
}

// Engine is an engine ready to be run.
type Engine struct {
	Layout    *family.Layout
	Running   *running.File
	Cylinders []Cylinder
	Mains     []Bearing
	Pins      []Bearing // none where big ends run on rollers
	Line      []Number  // height of each main saddle over a straight line, m; none where not read
	Runout    []Number  // of each main journal, m
	Drawn     []string  // what the drawing stands in for, by id of the characteristic
}

// Build takes the numbers of an engine from a judgement, each place in its latest
// state up to the one named; "" is the latest of all.
//
// Errors: a family of which no running file says how it runs; a job of another
// family.
func Build(lay *family.Layout, run *running.File, a *assess.Assessment, state string) (*Engine, error) {
	if run == nil {
		return nil, fault.New(fault.Refused, "model.no-running", "family", lay.Family.ID)
	}
	if run.Family != lay.Family.ID || a != nil && a.Family != lay.Family.ID {
		return nil, fault.New(fault.Conflict, "model.other-family", "family", lay.Family.ID, "found", run.Family)
	}
	b := &builder{lay: lay, last: latest(a, state), drawn: map[string]bool{}}
	e := &Engine{Layout: lay, Running: run}
	f := &lay.Family.Engine
	for _, c := range lay.Dims["cyl"].Values {
		e.Cylinders = append(e.Cylinders, Cylinder{Name: c,
			Ratio:  b.number("cylinder/compression-ratio", "cyl", c),
			Piston: b.number("piston/mass", "cyl", c), RodBig: b.number("rod/mass-big", "cyl", c), RodSmall: b.number("rod/mass-small", "cyl", c)})
	}
	for _, m := range lay.Dims["main"].Values {
		e.Mains = append(e.Mains, b.bearing("shell-main", "main", m, f.MainJournal.SI(), run.Main, "crank/main-ra"))
		if len(lay.Of("block/saddle")) > 0 {
			e.Line = append(e.Line, b.number("block/saddle", "main", m))
		}
		if len(lay.Of("crank/run-out")) > 0 {
			e.Runout = append(e.Runout, b.number("crank/run-out", "main", m))
		}
	}
	if run.Pin.Groove != "" {
		for _, c := range lay.Dims["cyl"].Values {
			e.Pins = append(e.Pins, b.bearing("shell-pin", "cyl", c, f.PinJournal.SI(), run.Pin, "crank/pin-ra"))
		}
	}
	e.Drawn = sorted(b.drawn)
	return e, nil
}
