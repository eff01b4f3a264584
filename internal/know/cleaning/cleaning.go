// Package cleaning is what a shop knows of getting parts clean: which process a
// material takes, which it takes with care, and which destroys it.
package cleaning

import (
	"fettle/internal/base/cite"
	"fettle/internal/know/finding"
	"fettle/internal/know/words"
)

// File is data/cleaning.yaml.
type File struct {
	Format    string            `json:"fettle" jsonschema:"enum=cleaning/1"`
	Processes []Process         `json:"processes" jsonschema:"minItems=1"`
	Recipes   []Recipe          `json:"recipes" jsonschema:"minItems=1"`
	Checks    []Check           `json:"checks" jsonschema:"minItems=1"`
	Cautions  []finding.Caution `json:"cautions"`
}

// Process is a way to clean.
type Process struct {
	ID      string     `json:"id" jsonschema:"pattern=^[a-z0-9]+(-[a-z0-9]+)*$"`
	Name    words.Text `json:"name"`
	Tags    bool       `json:"tags,omitempty" jsonschema:"description=a paper label does not live through it"`
	Caution string     `json:"caution" jsonschema:"description=id of a caution"`
}

// Fit is how a material takes a process.
type Fit string

// The fits: fit, fit with care, and a hard stop.
const (
	Fits Fit = "fit"
	Care Fit = "care"
	Stop Fit = "stop"
)

// Recipe says how some materials take one process. Each material stands in
// exactly one recipe of a process.
type Recipe struct {
	Process   string      `json:"process"`
	Materials []string    `json:"materials" jsonschema:"minItems=1"`
	Fit       Fit         `json:"fit" jsonschema:"enum=fit,enum=care,enum=stop"`
	Why       words.Text  `json:"why"`
	Source    cite.Key    `json:"source"`
	Status    cite.Status `json:"status" jsonschema:"enum=manual in hand,enum=copied table,enum=common practice,enum=from memory,enum=invented for the demo"`
}

// Check is a line of the checklist of a part with oilways.
type Check struct {
	ID      string     `json:"id" jsonschema:"pattern=^[a-z0-9]+(-[a-z0-9]+)*$"`
	Name    words.Text `json:"name"`
	Of      []string   `json:"of" jsonschema:"minItems=1,description=components"`
	Caution string     `json:"caution,omitempty" jsonschema:"description=id of a caution"`
}
