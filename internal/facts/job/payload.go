// Package job replays the entries of one job into its state. Every payload of
// a job's stream stands here; unknown kinds are kept and named.
package job

import (
	"fettle/internal/base/unit"
)

// OpenedV1 opens a job.
type OpenedV1 struct {
	Job      string   `json:"job"`
	Title    string   `json:"title"`
	Family   string   `json:"family"`
	Digest   string   `json:"digest"`             // of the family when the job was opened
	Engine   string   `json:"engine,omitempty"`   // the engine's own id
	Customer string   `json:"customer,omitempty"` // opaque id
	Scope    []string `json:"scope,omitempty"`    // systems in scope; none means all
	Note     string   `json:"note,omitempty"`
	Use      string   `json:"use,omitempty"`
	Invented bool     `json:"invented,omitempty"` // a demonstration; nothing in it is real
}

// RepinnedV1 moves a job to another version of its family. It says which
// version the job stood on, so that it holds for that one alone.
type RepinnedV1 struct {
	Old    string `json:"old"` // digest that the job was pinned to
	New    string `json:"new"`
	Reason string `json:"reason"`
}

// ReadingV1 is one reading at one position. Value and unit stand as typed.
type ReadingV1 struct {
	Position   string   `json:"position"`
	State      string   `json:"state"`                // found, after(OPERATION), built
	Typed      string   `json:"typed"`                // as the person typed it
	Value      string   `json:"value"`                // canonical decimal with a point, or pass / fail
	Unit       string   `json:"unit,omitempty"`       // none for a check
	Gauge      string   `json:"gauge,omitempty"`      // id in the shop stream
	Master     string   `json:"master,omitempty"`     // gauge or master it was set on
	PartTemp   string   `json:"part_temp,omitempty"`  // °C, decimal
	GaugeTemp  string   `json:"gauge_temp,omitempty"` // °C, decimal
	Condition  []string `json:"condition,omitempty"`  // what was so while measuring
	Note       string   `json:"note,omitempty"`
	Transcript bool     `json:"transcribed,omitempty"` // typed later from paper
}

// CorrectionV1 replaces a reading; the old one stays readable.
type CorrectionV1 struct {
	Target  string    `json:"target"` // key of the reading entry
	Reading ReadingV1 `json:"reading"`
	Reason  string    `json:"reason"`
}

// WithdrawalV1 takes a reading out of all results.
type WithdrawalV1 struct {
	Target string `json:"target"`
	Reason string `json:"reason"`
}

// SwappedV1 says that the readings of two parts were taken for one another.
type SwappedV1 struct {
	A      string `json:"a"` // position prefix, e.g. piston/skirt/2
	B      string `json:"b"`
	State  string `json:"state"`
	Reason string `json:"reason"`
}

// AnsweredV1 answers a question that a reading raised.
type AnsweredV1 struct {
	Target string `json:"target"`   // key of the reading entry
	About  string `json:"question"` // its id
	Answer string `json:"answer"`   // keep, wrong, corrected or repeat
	Reason string `json:"reason,omitempty"`
}

// NotMeasuredV1 says why a position could not be measured. It holds until a
// reading of that position in that state comes after it.
type NotMeasuredV1 struct {
	Position string `json:"position"`
	State    string `json:"state"`
	Because  string `json:"because"` // a plain word such as unreachable, or the person's own
	Note     string `json:"note,omitempty"`
}

// ObservationV1 is what a person saw.
type ObservationV1 struct {
	Part string `json:"part"` // component with its indices
	Saw  string `json:"saw"`
	Note string `json:"note,omitempty"`
}

// ObservationV2 is what a person saw, by the catalogue of observations; what was
// looked for and is not there is an observation too. Version 1 had the part and
// words only, and is read into this.
type ObservationV2 struct {
	Part     string `json:"part"`               // component with its indices, as many as are known
	At       string `json:"at,omitempty"`       // where on a part without indices: dimension and value, cyl/3
	Kind     string `json:"kind,omitempty"`     // of the catalogue; "" is words alone
	Severity string `json:"severity,omitempty"` // a word of the catalogue
	Within   string `json:"within,omitempty"`   // place of the catalogue: crown, thrust-side
	Absent   bool   `json:"absent,omitempty"`   // looked for, and not there
	Others   bool   `json:"others_clear,omitempty"`
	Saw      string `json:"saw,omitempty"` // in the person's words
	Note     string `json:"note,omitempty"`
}

// PhotoV1 is a photo, by the digests of its files: as it came, as it is shown,
// and small. It is of one thing: a position, a part, or a finding.
type PhotoV1 struct {
	Original string `json:"original"` // SHA-256
	Shown    string `json:"shown"`
	Small    string `json:"small"`
	Type     string `json:"type"` // of the original
	Width    int    `json:"width"`
	Height   int    `json:"height"`
	Position string `json:"position,omitempty"`
	Part     string `json:"part,omitempty"`
	At       string `json:"at,omitempty"`      // place on a part without indices
	Finding  string `json:"finding,omitempty"` // id and part
	Words    string `json:"words,omitempty"`
	Taken    string `json:"taken,omitempty"`   // when, as the camera claims
	Located  bool   `json:"located,omitempty"` // the original says where it was taken
}

// DecisionV1 is what a person decided on a finding.
type DecisionV1 struct {
	Finding string `json:"finding"` // id and place
	Outcome string `json:"outcome"`
	Reason  string `json:"reason"`
}

// RemarkV1 is free text.
type RemarkV1 struct {
	Text string `json:"text"`
}

// IssuedV1 says that a build record went out.
type IssuedV1 struct {
	Record string `json:"record"` // SHA-256 of the file
	Head   string `json:"head"`
}

// Reading is a reading in the state of a job.
type Reading struct {
	ReadingV1
	Key      string
	Seq      int64
	Person   string
	Time     int64         // when it was taken; a correction keeps its target's
	Ordinal  int           // from 1 among the readings of its position and state; a correction keeps its target's
	Quantity unit.Quantity // zero for a check
	Voided   string        // why it no longer counts: corrected, withdrawn; "" while it counts
	Reason   string        // the person's words for it
	Answers  map[string]AnsweredV1
	Instead  string // key of the reading it corrects
	Was      string // position it was entered at, where a swap moved it
}

// Counts reports whether the reading enters results.
func (r *Reading) Counts() bool { return r.Voided == "" }
