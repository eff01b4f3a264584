// Package family is what a shop knows of one kind of engine: its geometry, its
// components, what is measured on them, the limits and where each limit comes
// from. A family is one file (doc/format/family.md); nothing about an engine
// stands in code.
package family

import (
	"fettle/internal/base/cite"
	"fettle/internal/base/unit"
	"fettle/internal/know/source"
	"fettle/internal/know/words"
)

// Family is one file.
type Family struct {
	Format          string               `json:"fettle" jsonschema:"enum=family/1,description=kind and version of this file"`
	ID              string               `json:"id" jsonschema:"pattern=^[a-z0-9]+(-[a-z0-9]+)*$"`
	Name            words.Text           `json:"name"`
	Note            words.Text           `json:"note,omitempty"`
	Revises         string               `json:"revises,omitempty" jsonschema:"pattern=^[0-9a-f]{64}$,description=digest of the version whose place this one takes"`
	Sources         []source.Source      `json:"sources,omitempty" jsonschema:"description=where limits of this family come from beside sources.yaml"`
	Engine          Engine               `json:"engine"`
	Components      []Component          `json:"components" jsonschema:"minItems=1"`
	Dimensions      map[string]Dimension `json:"dimensions,omitempty"`
	Characteristics []Characteristic     `json:"characteristics" jsonschema:"minItems=1"`
}

// Engine is the geometry that drawings, relations and built-in dimensions need.
type Engine struct {
	Layout            string          `json:"layout" jsonschema:"enum=inline,enum=vee,enum=flat"`
	Cylinders         int             `json:"cylinders" jsonschema:"minimum=1,maximum=16"`
	BankAngle         unit.Quantity   `json:"bank_angle,omitzero" dim:"angle"`
	Banks             [][]int         `json:"banks,omitempty" jsonschema:"description=cylinder numbers of each bank from the free end; left out for one bank"`
	FiringOrder       []int           `json:"firing_order,omitempty"`
	Bore              unit.Quantity   `json:"bore" dim:"length"`
	Stroke            unit.Quantity   `json:"stroke" dim:"length"`
	Rod               unit.Quantity   `json:"rod" dim:"length" jsonschema:"description=centre distance"`
	CompressionHeight unit.Quantity   `json:"compression_height" dim:"length"`
	DeckHeight        unit.Quantity   `json:"deck_height" dim:"length"`
	BoreSpacing       unit.Quantity   `json:"bore_spacing" dim:"length"`
	FaceWidth         unit.Quantity   `json:"face_width" dim:"length" jsonschema:"description=width of the head face across the engine"`
	BoreDepth         unit.Quantity   `json:"bore_depth" dim:"length"`
	Limiter           unit.Quantity   `json:"limiter" dim:"rotation"`
	Mains             int             `json:"mains" jsonschema:"minimum=2,maximum=17"`
	ThrustMain        int             `json:"thrust_main,omitempty"`
	SharedPins        bool            `json:"shared_pins,omitempty" jsonschema:"description=two rods of facing cylinders on one crankpin"`
	MainJournal       unit.Quantity   `json:"main_journal" dim:"length"`
	PinJournal        unit.Quantity   `json:"pin_journal" dim:"length"`
	BigEnd            string          `json:"big_end" jsonschema:"enum=shell,enum=roller"`
	Block             Block           `json:"block"`
	Head              Head            `json:"head"`
	Valves            Valves          `json:"valves"`
	Valvetrain        Valvetrain      `json:"valvetrain"`
	Phasers           []Phaser        `json:"phasers,omitempty"`
	Drive             Drive           `json:"drive"`
	Throttles         string          `json:"throttles" jsonschema:"enum=single,enum=per-cylinder"`
	Shells            Shells          `json:"shells,omitempty"`
	Undersizes        Undersizes      `json:"undersizes,omitempty"`
	Oversizes         []unit.Quantity `json:"oversizes,omitempty" dim:"length" jsonschema:"description=steps on diameter for which pistons exist"`
	Gaskets           []Gasket        `json:"gaskets,omitempty"`
	Fasteners         []Fastener      `json:"fasteners,omitempty"`
}

// Block is the cylinder block.
type Block struct {
	Material string `json:"material"`
	Liner    string `json:"liner" jsonschema:"enum=none,enum=dry,enum=wet"`
	LinerOf  string `json:"liner_material,omitempty"`
}

// Head is the cylinder head.
type Head struct {
	Material      string        `json:"material"`
	MinimumHeight unit.Quantity `json:"minimum_height,omitzero" dim:"length"`
}

// Valves counts the valves of one cylinder.
type Valves struct {
	Inlet       int           `json:"inlet" jsonschema:"minimum=1,maximum=3"`
	Exhaust     int           `json:"exhaust" jsonschema:"minimum=1,maximum=2"`
	InletHead   unit.Quantity `json:"inlet_head,omitzero" dim:"length"`
	ExhaustHead unit.Quantity `json:"exhaust_head,omitzero" dim:"length"`
	Stem        unit.Quantity `json:"stem" dim:"length"`
	Length      unit.Quantity `json:"length" dim:"length"`
	Lift        unit.Quantity `json:"lift" dim:"length"`
}

// Valvetrain is the way from cam to valve.
type Valvetrain struct {
	Kind      string        `json:"kind" jsonschema:"enum=pushrod,enum=bucket,enum=finger"`
	Adjust    string        `json:"adjust" jsonschema:"enum=shim,enum=screw,enum=hydraulic"`
	ShimPlace string        `json:"shim_place,omitempty" jsonschema:"enum=tip,enum=pivot,enum=bucket-top"`
	LashRatio unit.Quantity `json:"lash_ratio,omitzero" dim:"number" jsonschema:"description=shim movement for one unit of feeler movement"`
	Camshafts int           `json:"camshafts" jsonschema:"minimum=1,maximum=4,description=in the whole engine"`
	CamMains  int           `json:"cam_journals" jsonschema:"minimum=1,maximum=20,description=journals of one camshaft"`
}

// Phaser is a variable cam timing unit.
type Phaser struct {
	Cam         string        `json:"cam" jsonschema:"description=name of the camshaft as in the dimension cam"`
	AdvanceStop unit.Quantity `json:"advance_stop" dim:"angle"`
	RetardStop  unit.Quantity `json:"retard_stop" dim:"angle"`
}

// Drive turns the camshafts.
type Drive struct {
	Kind        string        `json:"kind" jsonschema:"enum=chain,enum=belt,enum=gear"`
	Rows        int           `json:"rows,omitempty" jsonschema:"minimum=1,maximum=3"`
	Pitch       unit.Quantity `json:"pitch,omitzero" dim:"length"`
	Links       int           `json:"links,omitempty"`
	CrankTeeth  int           `json:"crank_teeth" jsonschema:"minimum=8"`
	CamTeeth    int           `json:"cam_teeth" jsonschema:"minimum=16"`
	TautRun     unit.Quantity `json:"taut_run,omitzero" dim:"length"`
	Inclination unit.Quantity `json:"inclination,omitzero" dim:"angle" jsonschema:"description=of the taut run to the cylinder axis"`
	Reserve     unit.Quantity `json:"tensioner_stroke,omitzero" dim:"length"`
}

// Shells are the wall classes of bearing shells.
type Shells struct {
	Main []ShellClass `json:"main,omitempty"`
	Pin  []ShellClass `json:"pin,omitempty"`
}

// ShellClass is one wall thickness class.
type ShellClass struct {
	Class string        `json:"class"`
	Min   unit.Quantity `json:"min" dim:"length"`
	Max   unit.Quantity `json:"max" dim:"length"`
}

// Undersizes are the steps on diameter for which shells exist.
type Undersizes struct {
	Main []unit.Quantity `json:"main,omitempty" dim:"length"`
	Pin  []unit.Quantity `json:"pin,omitempty" dim:"length"`
}

// Gasket is one head gasket of the menu.
type Gasket struct {
	ID        string        `json:"id"`
	Thickness unit.Quantity `json:"thickness" dim:"length" jsonschema:"description=compressed"`
	Bore      unit.Quantity `json:"bore" dim:"length"`
}

// Fastener is one group of bolts or studs.
type Fastener struct {
	ID       string        `json:"id"`
	Name     words.Text    `json:"name"`
	Thread   string        `json:"thread" jsonschema:"pattern=^M[0-9]+(x[0-9.]+)?$"`
	Strength string        `json:"strength" jsonschema:"description=property class, e.g. 10.9"`
	Length   unit.Quantity `json:"length" dim:"length"`
	Count    int           `json:"count" jsonschema:"minimum=1"`
	Method   string        `json:"method" jsonschema:"enum=torque,enum=angle,enum=stretch"`
	OneUse   bool          `json:"one_use,omitempty"`
}

// Component is a part, or one part a cylinder, valve or shaft.
type Component struct {
	ID       string     `json:"id" jsonschema:"pattern=^[a-z0-9]+(-[a-z0-9]+)*$"`
	Name     words.Text `json:"name"`
	System   string     `json:"system" jsonschema:"enum=block,enum=crank,enum=rods,enum=pistons,enum=bearings,enum=head,enum=valvetrain,enum=cam-drive,enum=lubrication,enum=intake,enum=ancillary,enum=fasteners"`
	Per      []string   `json:"per,omitempty" jsonschema:"description=dimensions of which each value is a part of its own"`
	Material string     `json:"material"`
	Keeps    string     `json:"keeps,omitempty" jsonschema:"enum=place,enum=place-and-direction,enum=pair,description=what must stay with its place when it is taken out"`
	Drawing  string     `json:"drawing,omitempty" jsonschema:"enum=block,enum=bore,enum=crank,enum=rod,enum=piston,enum=face,enum=valve,enum=cam,enum=bolts,enum=chain,enum=section"`
}

// Dimension names the places of a pattern.
type Dimension struct {
	Values []string            `json:"values,omitempty"`
	Count  int                 `json:"count,omitempty" jsonschema:"minimum=1,maximum=200"`
	Groups map[string][]string `json:"groups,omitempty"`
	At     map[string]Point    `json:"at,omitempty"`
	Name   words.Text          `json:"name,omitempty"`
}

// Point is where a place is, in the drawing's own axes.
type Point struct {
	X unit.Quantity `json:"x,omitzero" dim:"length"`
	Y unit.Quantity `json:"y,omitzero" dim:"length"`
	Z unit.Quantity `json:"z,omitzero" dim:"length"`
}

// Characteristic is one thing that is measured, checked or derived, at each
// place of its pattern.
type Characteristic struct {
	ID        string              `json:"id" jsonschema:"pattern=^[a-z0-9]+(-[a-z0-9]+)*/[a-z0-9]+(-[a-z0-9]+)*$,description=component/characteristic"`
	Name      words.Text          `json:"name"`
	Plan      []string            `json:"plan,omitempty" jsonschema:"description=rows of the measurement plan that this answers"`
	Per       []string            `json:"per,omitempty"`
	Only      map[string][]string `json:"only,omitempty" jsonschema:"description=restricts a dimension to some places or groups"`
	Quantity  string              `json:"quantity" jsonschema:"description=a kind of quantity or check"`
	Unit      string              `json:"unit,omitempty"`
	Decimals  int                 `json:"decimals,omitempty" jsonschema:"minimum=0,maximum=6"`
	Gauges    []string            `json:"gauges,omitempty" jsonschema:"description=instrument types, the usual one first"`
	Condition []string            `json:"condition,omitempty" jsonschema:"description=what must be so while it is measured"`
	Material  string              `json:"material,omitempty" jsonschema:"description=only where it differs from the component"`
	Nominal   unit.Quantity       `json:"nominal,omitzero"`
	Relation  string              `json:"relation,omitempty"`
	Bind      map[string]Binding  `json:"bind,omitempty"`
	Limits    []Limit             `json:"limits,omitempty"`
	Finding   string              `json:"finding,omitempty"`
	Wears     string              `json:"wears,omitempty" jsonschema:"enum=up,enum=down,description=the only direction in which wear moves it"`
	Target    string              `json:"target,omitempty" jsonschema:"enum=bore,enum=main,enum=pin,description=group whose machining size follows from it; on a relation: what else asks for that cut"`
}

// Binding ties a symbol of a relation to a characteristic of this family
// (component/name), to a figure of the engine (engine/bore-spacing), to a
// coordinate of a dimension (face/x) or to a fixed quantity (0.6 cm³).
type Binding struct {
	From  string              `json:"from"`
	Where map[string][]string `json:"where,omitempty"`
}

// Limit is a pair of bounds with its origin.
type Limit struct {
	For    string              `json:"for" jsonschema:"enum=new,enum=reuse"`
	Where  map[string][]string `json:"where,omitempty"`
	Min    unit.Quantity       `json:"min,omitzero"`
	Max    unit.Quantity       `json:"max,omitzero"`
	Must   string              `json:"must,omitempty" jsonschema:"enum=pass"`
	Source cite.Key            `json:"source"`
	Status cite.Status         `json:"status" jsonschema:"enum=manual in hand,enum=copied table,enum=common practice,enum=from memory,enum=invented for the demo"`
}

// Source finds one of the family's own sources.
func (f *Family) Source(key cite.Key) (source.Source, bool) {
	for _, s := range f.Sources {
		if s.ID == key {
			return s, true
		}
	}
	return source.Source{}, false
}

// Check is the quantity name of a yes-or-no check.
const Check = "check"

// Dim is the kind of quantity of a characteristic; None for a check.
func (c *Characteristic) Dim() unit.Dim { d, _ := unit.DimOf(c.Quantity); return d }

// Component is the part of the id before the slash.
func (c *Characteristic) Component() string {
	for i := range c.ID {
		if c.ID[i] == '/' {
			return c.ID[:i]
		}
	}
	return c.ID
}
