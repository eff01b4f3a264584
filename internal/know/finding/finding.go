// Package finding is what a value outside its limit means: how serious it is,
// what follows from leaving it, and which ways out there are. It proposes; a
// person decides.
package finding

import (
	"fettle/internal/base/cite"
	"fettle/internal/know/words"
)

// File is data/findings.yaml.
type File struct {
	Format   string    `json:"fettle" jsonschema:"enum=findings/1"`
	Findings []Finding `json:"findings" jsonschema:"minItems=1"`
	Cautions []Caution `json:"cautions"`
}

// Severity orders findings.
type Severity string

// The severities: act before the engine may run, watch with the owner's
// consent, note for the record.
const (
	Act   Severity = "act"
	Watch Severity = "watch"
	Note  Severity = "note"
)

// Finding is one entry. Its texts may use {place}, {value}, {limit}, {amount}.
type Finding struct {
	ID       string      `json:"id" jsonschema:"pattern=^[a-z0-9]+(-[a-z0-9]+)*$"`
	Severity Severity    `json:"severity" jsonschema:"enum=act,enum=watch,enum=note"`
	Title    words.Text  `json:"title"`
	Leaving  words.Text  `json:"leaving" jsonschema:"description=what follows from doing nothing"`
	Causes   words.Text  `json:"causes,omitempty"`
	Options  []Option    `json:"options" jsonschema:"minItems=1"`
	Source   cite.Key    `json:"source"`
	Status   cite.Status `json:"status" jsonschema:"enum=manual in hand,enum=copied table,enum=common practice,enum=from memory,enum=invented for the demo"`
}

// Option is one way out.
type Option struct {
	Outcome string     `json:"outcome" jsonschema:"enum=reuse,enum=reuse-with-note,enum=rework,enum=replace,enum=upgrade,enum=hold,enum=reject"`
	Text    words.Text `json:"text"`
	Knocks  []string   `json:"knocks_on,omitempty" jsonschema:"description=what it re-opens or brings with it"`
	Caution string     `json:"caution,omitempty" jsonschema:"description=id of a caution"`
}

// Caution is a warning that stands beside work that can hurt someone.
type Caution struct {
	ID   string     `json:"id" jsonschema:"pattern=^[a-z0-9]+(-[a-z0-9]+)*$"`
	Name words.Text `json:"name"`
	Text words.Text `json:"text"`
}
