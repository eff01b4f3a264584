// Package demo makes the readings of a worn engine that never existed. A truth
// file says how the engine is (what its healthy parts are like, what is wrong
// with it and what a shop ought to find); a seed fixes every draw. From these
// the package draws the true size of each measured place at 20 °C, lays the
// planted faults over it, and then measures: each gauge with its own bias and
// its certificate, each setting with its error, each part at its temperature.
// It knows nothing of the code that judges the readings.
package demo

import (
	"fettle/internal/base/unit"
	"fettle/internal/facts/shop"
	"fettle/internal/know/words"
)

// Truth is one file of data/demo: a job and the engine behind it. The format is
// described in doc/format/demo.md.
type Truth struct {
	Format   string     `json:"fettle" jsonschema:"enum=demo/1"`
	Job      string     `json:"job" jsonschema:"pattern=^[0-9A-Za-z-]+$"`
	Title    string     `json:"title"`
	Family   string     `json:"family"`
	Engine   string     `json:"engine" jsonschema:"description=the engine's own id"`
	Customer string     `json:"customer" jsonschema:"description=opaque id"`
	Use      string     `json:"use"`
	Note     string     `json:"note"`
	Seed     int64      `json:"seed" jsonschema:"minimum=1"`
	Start    string     `json:"start" jsonschema:"description=date and time of day one in RFC 3339"`
	Opened   By         `json:"opened"`
	Sessions []Session  `json:"sessions" jsonschema:"minItems=1"`
	Leave    []Left     `json:"leave,omitempty" jsonschema:"description=what this job does not measure"`
	Uses     []Use      `json:"uses,omitempty"`
	Repeats  []Repeat   `json:"repeats,omitempty"`
	Healthy  []Healthy  `json:"healthy"`
	Planted  []Plant    `json:"planted"`
	Remarks  []RemarkAt `json:"remarks,omitempty"`
	Arrival  *Arrival   `json:"arrival,omitempty" jsonschema:"description=what stands before the measuring"`
	Shop     Shop       `json:"-"`
}

// By is a person at a device.
type By struct {
	Person string `json:"person"`
	Device string `json:"device"`
}

// Session is one person measuring for a while in one room. A characteristic
// belongs to the first session that names its system, or itself by pattern.
type Session struct {
	Day     int           `json:"day" jsonschema:"minimum=1"`
	At      string        `json:"at" jsonschema:"pattern=^[0-2][0-9]:[0-5][0-9]$"`
	Person  string        `json:"person"`
	Device  string        `json:"device"`
	Room    unit.Quantity `json:"room" dim:"temperature"`
	Systems []string      `json:"systems,omitempty"`
	Of      []string      `json:"of,omitempty" jsonschema:"description=characteristics, a star stands for any part of a name"`
}

// Left is a characteristic that nobody measured, and why.
type Left struct {
	Of  string `json:"of"`
	Why string `json:"why"`
}

// Use says which gauge measures a characteristic and on what it is set.
type Use struct {
	Of     string `json:"of"`
	Gauge  string `json:"gauge,omitempty"`
	Master string `json:"master,omitempty"`
}

// Repeat says how often each place of a characteristic is measured.
type Repeat struct {
	Of string `json:"of"`
	N  int    `json:"n" jsonschema:"minimum=1,maximum=5"`
}

// Healthy says what a characteristic is like where nothing is wrong. Each true
// value is its centre plus three draws: one for all places of the
// characteristic, one for all places of one part, one for the place alone.
type Healthy struct {
	Of     string              `json:"of"`
	Where  map[string][]string `json:"where,omitempty"`
	Same   string              `json:"same,omitempty" jsonschema:"description=the characteristic whose true size at the same indices is the centre"`
	Centre unit.Quantity       `json:"centre,omitzero" jsonschema:"description=instead of the nominal"`
	Shift  unit.Quantity       `json:"shift,omitzero" jsonschema:"description=added to the nominal: wear of the whole set"`
	Set    unit.Quantity       `json:"set,omitzero" jsonschema:"description=standard deviation common to all places"`
	Part   unit.Quantity       `json:"part,omitzero" jsonschema:"description=standard deviation common to the places of one part"`
	Place  unit.Quantity       `json:"place,omitzero" jsonschema:"description=standard deviation of one place"`
	Share  []string            `json:"share,omitempty" jsonschema:"description=dimensions that make one part; left out: those of the component"`
}

// Plant is one thing that is wrong. In Where and At, and in every place of an
// expectation, $DIM stands for the place of this plant in dimension DIM, so
// that the whole plant can be moved elsewhere.
type Plant struct {
	ID      string     `json:"id" jsonschema:"pattern=^[a-z0-9]+(-[a-z0-9]+)*$"`
	Is      words.Text `json:"is"`
	Over    []string   `json:"over,omitempty" jsonschema:"description=dimensions along which it can be moved"`
	Place   string     `json:"place,omitempty" jsonschema:"description=one value for each of them, with / between"`
	Changes []Change   `json:"changes,omitempty"`
	Saw     []Saw      `json:"saw,omitempty"`
	Answers []Answer   `json:"answers,omitempty"`
	Expect  []Expect   `json:"expect" jsonschema:"minItems=1"`
}

// Change is what a plant does to every place that it covers: it sets the true
// size or adds to it, makes a check fail, keeps the part cold, or makes the
// person write something else than the gauge showed, or read a second time.
type Change struct {
	Of    string              `json:"of"`
	At    map[string][]string `json:"at,omitempty" jsonschema:"description=where: values, groups or $DIM"`
	Where map[string][]string `json:"where,omitempty" jsonschema:"description=and only there"`
	As    unit.Quantity       `json:"as,omitzero" jsonschema:"description=the true size itself"`
	Like  map[string]string   `json:"like,omitempty" jsonschema:"description=the true size of the place that differs only in these dimensions"`
	Add   unit.Quantity       `json:"add,omitzero"`
	Calm  bool                `json:"calm,omitempty" jsonschema:"description=readings here scatter a tenth of what they usually do, for a verdict that hangs on the guard band"`
	Again bool                `json:"again,omitempty" jsonschema:"description=these places are read a second time, as a good shop does before scrap or a cut"`
	Fail  bool                `json:"fail,omitempty"`
	Cold  unit.Quantity       `json:"cold,omitzero" dim:"temperature" jsonschema:"description=temperature of the part while it is measured"`
	Wrote *Wrote              `json:"wrote,omitempty"`
}

// Wrote is a slip of the person: the first reading of the place is noted wrong.
type Wrote struct {
	Add       unit.Quantity `json:"add,omitzero" jsonschema:"description=e.g. a turn of the thimble"`
	Swap      bool          `json:"swap,omitempty" jsonschema:"description=the first two digits behind the mark change places"`
	Question  string        `json:"question,omitempty"`
	Corrected string        `json:"corrected,omitempty" jsonschema:"description=reason of the correction; left out: the slip stays"`
}

// Saw is an observation that a person wrote down.
type Saw struct {
	Part     string `json:"part"`
	At       string `json:"at,omitempty" jsonschema:"description=dimension and value on a part without indices"`
	Kind     string `json:"kind,omitempty" jsonschema:"description=of the catalogue of observations"`
	Severity string `json:"severity,omitempty"`
	Within   string `json:"within,omitempty"`
	Absent   bool   `json:"absent,omitempty"`
	Others   bool   `json:"others_clear,omitempty"`
	Saw      string `json:"saw,omitempty"`
	Note     string `json:"note,omitempty"`
}

// Answer answers a question that the first reading of a place raises.
type Answer struct {
	Question string `json:"question"`
	At       string `json:"at" jsonschema:"description=position"`
	Answer   string `json:"answer" jsonschema:"enum=keep,enum=wrong"`
	Reason   string `json:"reason"`
}

// Expect is what follows from a plant for somebody who reads the sheet.
type Expect struct {
	Finding  string `json:"finding,omitempty"`
	Question string `json:"question,omitempty"`
	Answer   string `json:"answer,omitempty" jsonschema:"enum=keep,enum=wrong,enum=corrected,description=how that question stands at the end of the log; left out: open"`
	Verdict  string `json:"verdict,omitempty" jsonschema:"enum=accept,enum=reject,enum=undecided"`
	At       string `json:"at" jsonschema:"description=position or the beginning of one"`
	Visible  bool   `json:"visible"`
	Reason   string `json:"reason" jsonschema:"description=why the readings show it, or cannot"`
}

// RemarkAt is a note in the log at the end of a session, counted from 1.
type RemarkAt struct {
	After  int    `json:"after" jsonschema:"minimum=1"`
	Person string `json:"person"`
	Text   string `json:"text"`
}

// Shop is data/demo/shop.yaml: the invented workshop of both jobs.
type Shop struct {
	Format string   `json:"fettle" jsonschema:"enum=demo-shop/1"`
	Start  string   `json:"start" jsonschema:"description=when its log begins, RFC 3339"`
	By     By       `json:"by"`
	People []Person `json:"people" jsonschema:"minItems=1"`
	Gauges []Gauge  `json:"gauges" jsonschema:"minItems=1"`

	Machines []shop.MachineV1 `json:"machines,omitempty"`
	Fixtures []shop.FixtureV1 `json:"fixtures,omitempty"`
	Terms    *shop.TermsV1    `json:"terms,omitempty" jsonschema:"description=what the shop asks, as the entry terms has it"`
}

// Person is somebody of the shop.
type Person struct {
	ID       string `json:"id"`
	Initials string `json:"initials"`
	Role     string `json:"role"`
}

// Gauge is one gauge or master of the shop.
type Gauge struct {
	ID       string        `json:"id"`
	Type     string        `json:"type"`
	Serial   string        `json:"serial"`
	From     unit.Quantity `json:"from,omitzero" jsonschema:"description=least size it measures"`
	To       unit.Quantity `json:"to,omitzero" jsonschema:"description=greatest size it measures"`
	Master   string        `json:"master,omitempty"`
	Checked  unit.Quantity `json:"checked,omitzero" jsonschema:"description=size of the master on which each person checks it at the start of a session"`
	Expanded unit.Quantity `json:"expanded,omitzero" jsonschema:"description=expanded uncertainty of its calibration, k = 2; left out where it has none"`
	Note     string        `json:"note,omitempty"`
}
