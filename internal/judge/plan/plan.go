// Package plan turns what was found on an engine into what is to be done with
// it: what becomes of each finding, which sizes are cut, and which part of this
// engine, of the shelf or of a supplier goes into which place, chosen over the
// whole engine at once. Each choice says why, and what the runner-up would cost;
// what cannot be done is explained by a smallest set of demands in conflict.
//
// It proposes. A decision that a person recorded stands before every rule, and
// what is fitted is decided by the person who fits it, after the engine maker's
// manual. How parts are chosen stands in doc/model/fits.md, how a route chooses
// in doc/format/routes.md.
package plan

import (
	"fettle/internal/judge/allocate"
	"fettle/internal/judge/assess"
	"fettle/internal/know/finding"
)

// Input is all that a plan leans on.
type Input struct {
	Knowledge  assess.Knowledge
	Facts      assess.Facts
	Assessment *assess.Assessment // of these facts, without a plan
	Shelf      Shelf
	Route      string // id; "" is the first of the file
	Wish       Wish
}

// Wish is what the owner wants beside a sound engine; nothing in it is needed.
type Wish struct {
	Ratio  float64 `json:"ratio,omitempty"`  // compression ratio; 0 leaves it as it was
	Use    string  `json:"use,omitempty"`    // id of a use; "" is the route's
	Days   int     `json:"days,omitempty"`   // by which parts have to be here; 0 for no matter
	Budget int64   `json:"budget,omitempty"` // of parts, whole thousandths; 0 for no matter
}

// Plan is what is proposed. Its JSON is plan/1, doc/format/plan.md.
type Plan struct {
	Format     string             `json:"fettle"` // plan/1
	Job        string             `json:"job"`
	Title      string             `json:"title"`
	Invented   bool               `json:"invented,omitempty"`
	Family     string             `json:"family"`
	Digest     string             `json:"family_digest"`
	Route      string             `json:"route"`
	Wish       Wish               `json:"wish"`
	Complete   bool               `json:"complete"` // every place has its part, and every part is to be had
	Findings   []Disposition      `json:"findings"`
	Cuts       []Cut              `json:"cuts"`
	Work       []Work             `json:"work"`
	Hours      Hours              `json:"hours"`
	Aims       []Aim              `json:"aims"`
	Fits       []Fit              `json:"fits"`
	Conflicts  []Conflict         `json:"conflicts"`
	Purchase   Purchase           `json:"purchase"`
	Open       []Open             `json:"open"` // what is not settled by this plan
	Assessment *assess.Assessment `json:"-"`
	Changes    []assess.Change    `json:"-"` // what the plan does to the places of the engine; see Foresee
}

// Say is a sentence by key.
type Say = assess.Say

// Disposition is what becomes of one finding.
type Disposition struct {
	Finding  string           `json:"finding"`
	Part     string           `json:"part"`
	Severity finding.Severity `json:"severity"`
	Verdict  assess.Verdict   `json:"verdict"`
	Outcome  string           `json:"outcome"`
	Option   int              `json:"option"` // of the finding in the catalogue, from 0; −1 where a person chose what it does not list
	By       string           `json:"by"`     // route or person
	Reason   string           `json:"reason,omitempty"`
	Why      Say              `json:"why"`
	Declined []string         `json:"declined,omitempty"` // outcomes that were not taken
	Leaves   bool             `json:"leaves"`             // the thing itself stays as it is
}

// Cut is the step that all places of a group are taken to.
type Cut struct {
	Group  string `json:"group"`
	Step   string `json:"step"`
	Size   string `json:"size"` // design size with the step, of journals; bores are honed to their pistons
	Unit   string `json:"unit"`
	Why    Say    `json:"why"`
	step   int64
	size   int64
	beyond bool
}

// Fit is one choice over the whole engine.
type Fit struct {
	ID      string   `json:"id"`
	Kind    string   `json:"kind"`
	Unit    string   `json:"unit"` // of values, limits and targets
	Target  string   `json:"target,omitempty"`
	Choices []Choice `json:"choices"`
	Spread  string   `json:"spread,omitempty"` // largest less smallest
	Mean    string   `json:"root_mean_square,omitempty"`
	Within  string   `json:"chance_all,omitempty"` // least chance that all lie within limits
	Proof   string   `json:"proof"`
	Gap     string   `json:"gap,omitempty"`
	Notes   []Say    `json:"notes,omitempty"`
}

// Where a part comes from.
const (
	FromEngine = "engine"
	FromShelf  = "shelf"
	FromShop   = "buy"
)

// Choice is what one place gets.
type Choice struct {
	Position string         `json:"position"`
	Parts    []Chosen       `json:"parts"`
	Value    string         `json:"value,omitempty"` // what it comes to, in the unit of the fit
	U        string         `json:"u,omitempty"`     // standard uncertainty
	Low      string         `json:"low,omitempty"`
	High     string         `json:"high,omitempty"`
	Chance   string         `json:"chance,omitempty"` // of lying within
	Verdict  assess.Verdict `json:"verdict,omitempty"`
	Why      Say            `json:"why"`
	Instead  *Say           `json:"runner_up,omitempty"`
	Waits    []string       `json:"waits_for,omitempty"` // characteristics that work of this plan opens again
	Lo, Hi   *float64       `json:"-"`                   // formula units
	SI, SU   float64        `json:"-"`
	Whisker  float64        `json:"-"` // expanded uncertainty, k = 2
	Guard    float64        `json:"-"` // band of the default rule
}

// Chosen is one part in one place.
type Chosen struct {
	Role string `json:"role,omitempty"` // upper, lower, shim, piston, rod
	ID   string `json:"id"`
	From string `json:"from"`
	Size string `json:"size,omitempty"`
	Item string `json:"item,omitempty"`
}

// Open is something that this plan leaves to be settled.
type Open struct {
	Fit      string `json:"fit,omitempty"`
	Position string `json:"position,omitempty"`
	Broken   bool   `json:"not_chosen,omitempty"` // a choice is missing for it
	Say
}

// nm is the base of lengths in selections.
const nm = 1e9

var noSize = allocate.Size{}
