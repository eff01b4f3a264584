// Package failure is the failure modes of the trade for the guide to causes:
// what can be seen or measured, how often each mode occurs beside the others,
// and how likely each mark is under it. Every number says whose it is.
package failure

import (
	"fettle/internal/base/cite"
	"fettle/internal/know/words"
)

// File is data/failures.yaml.
type File struct {
	Format  string   `json:"fettle" jsonschema:"enum=failures/1"`
	Spreads []Spread `json:"spreads" jsonschema:"minItems=1"`
	Halves  []Half   `json:"halves" jsonschema:"minItems=1"`
	Areas   []Area   `json:"areas" jsonschema:"minItems=1"`
	Signs   []Sign   `json:"signs" jsonschema:"minItems=1"`
	Modes   []Mode   `json:"modes" jsonschema:"minItems=1"`
}

// Tag says whose a number is.
type Tag string

// The tags, from the strongest to the weakest.
const (
	Source   Tag = "source"
	Practice Tag = "common practice"
	Memory   Tag = "from memory"
	Invented Tag = "invented"
)

// Spread is how a mark lies over the engine where it is there, in percent.
type Spread struct {
	ID         string `json:"id" jsonschema:"pattern=^[a-z0-9]+(-[a-z0-9]+)*$"`
	One        int    `json:"one" jsonschema:"minimum=1,maximum=96,description=at one place"`
	Neighbours int    `json:"neighbours" jsonschema:"minimum=1,maximum=96,description=at two that lie side by side"`
	Gradient   int    `json:"gradient" jsonschema:"minimum=1,maximum=96,description=worse towards one end"`
	All        int    `json:"all" jsonschema:"minimum=1,maximum=96,description=at all alike"`
	Scattered  int    `json:"scattered" jsonschema:"minimum=1,maximum=96,description=at some, without order"`
	Tag        Tag    `json:"tag" jsonschema:"enum=source,enum=common practice,enum=from memory,enum=invented"`
}

// Half is on which half of a plain bearing a mark lies, in percent.
type Half struct {
	ID    string `json:"id" jsonschema:"pattern=^[a-z0-9]+(-[a-z0-9]+)*$"`
	Upper int    `json:"upper" jsonschema:"minimum=1,maximum=98"`
	Lower int    `json:"lower" jsonschema:"minimum=1,maximum=98"`
	Both  int    `json:"both" jsonschema:"minimum=1,maximum=98"`
	Tag   Tag    `json:"tag" jsonschema:"enum=source,enum=common practice,enum=from memory,enum=invented"`
}

// Area is one question: which of its modes, or none of these.
type Area struct {
	ID   string     `json:"id" jsonschema:"pattern=^[a-z0-9]+(-[a-z0-9]+)*$"`
	Name words.Text `json:"name"`
	None None       `json:"none"`
}

// None is the answer that no mode of the area fits.
type None struct {
	Share int `json:"share" jsonschema:"minimum=1"`
	P     int `json:"p" jsonschema:"minimum=1,maximum=99,description=how likely each mark of the area is under it, percent"`
	Tag   Tag `json:"tag" jsonschema:"enum=source,enum=common practice,enum=from memory,enum=invented"`
}

// Sign is a mark that tells modes apart: kinds of the catalogue of observations
// on some components, characteristics out of their limits, or both.
type Sign struct {
	ID        string     `json:"id" jsonschema:"pattern=^[a-z0-9]+(-[a-z0-9]+)*$"`
	Name      words.Text `json:"name"`
	Look      words.Text `json:"look" jsonschema:"description=how to find out whether it is there"`
	Any       []Seen     `json:"any,omitempty"`
	Measured  []string   `json:"measured,omitempty" jsonschema:"description=characteristics; one that is out is this mark"`
	Spread    bool       `json:"spread,omitempty" jsonschema:"description=how it lies over the engine says something"`
	Half      bool       `json:"half,omitempty" jsonschema:"description=on which half of a bearing says something"`
	Elsewhere int        `json:"elsewhere" jsonschema:"minimum=1,maximum=99,description=how likely under a mode that does not name it, percent"`
	Tag       Tag        `json:"tag" jsonschema:"enum=source,enum=common practice,enum=from memory,enum=invented"`
}

// Seen is a kind of mark on some components, perhaps at some places of them.
type Seen struct {
	Kind   string   `json:"kind"`
	On     []string `json:"on" jsonschema:"minItems=1"`
	Within []string `json:"within,omitempty"`
}

// Mode is one way in which an engine fails.
type Mode struct {
	ID          string      `json:"id" jsonschema:"pattern=^[a-z0-9]+(-[a-z0-9]+)*$"`
	Area        string      `json:"area"`
	Name        words.Text  `json:"name"`
	Mechanism   words.Text  `json:"mechanism"`
	Share       int         `json:"share" jsonschema:"minimum=1,description=how often beside the other modes of its area"`
	ShareTag    Tag         `json:"share_tag" jsonschema:"enum=source,enum=common practice,enum=from memory,enum=invented"`
	ShareSource cite.Key    `json:"share_source,omitempty"`
	Marks       []Mark      `json:"marks" jsonschema:"minItems=1"`
	Correct     words.Text  `json:"correct"`
	Prevent     words.Text  `json:"prevent"`
	Source      cite.Key    `json:"source"`
	Status      cite.Status `json:"status" jsonschema:"enum=manual in hand,enum=copied table,enum=common practice,enum=from memory,enum=invented for the demo"`
}

// Mark is how likely a sign is under a mode, and how it lies then.
type Mark struct {
	Sign   string `json:"sign"`
	P      int    `json:"p" jsonschema:"minimum=1,maximum=99,description=percent"`
	Spread string `json:"spread,omitempty"`
	Half   string `json:"half,omitempty"`
	Tag    Tag    `json:"tag" jsonschema:"enum=source,enum=common practice,enum=from memory,enum=invented"`
}

// Any names the spread and the half of a mark that nothing more is known of.
const Any = "any"
