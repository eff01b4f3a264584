// Package assess turns knowledge and facts into judgement: every value with its
// doubt, its verdict and the reasons for both. It proposes; a person decides.
package assess

import (
	"fettle/internal/base/cite"
	"fettle/internal/facts/job"
	"fettle/internal/facts/shop"
	"fettle/internal/judge/rule"
	"fettle/internal/know/family"
	"fettle/internal/know/finding"
	"fettle/internal/know/library"
	"fettle/internal/maths/gum"
)

// Knowledge is the library and the family of this job.
type Knowledge struct {
	Library *library.Library
	Layout  *family.Layout
}

// Facts are the job's and the shop's state.
type Facts struct {
	Job  *job.State
	Shop *shop.State
}

// Plan is a what-if; the empty plan is the engine as it stands.
type Plan struct {
	// Oversize fixes the step of the bores by its text, e.g. "0.50 mm"; "" lets
	// the smallest that cleans up be taken.
	Oversize string
	// Rule names the decision rule; "" means the default. See rule.Names.
	Rule string
	// Risk replaces the default 5 % of the decision rule; 0 means the default.
	Risk float64
	// Changes are what planned work does; with any there are values in the state
	// planned.
	Changes []Change
	// Figures replaces figures of the engine in the state planned, by the name that
	// a family binds them by: engine/gasket-thickness. Formula units.
	Figures map[string]float64
}

// Verdict is what may be said of a value.
type Verdict = rule.Verdict

// The verdicts.
const (
	Accept     = rule.Accept
	Reject     = rule.Reject
	Undecided  = rule.Undecided
	Unmeasured = rule.Unmeasured
)

// Assessment is all that follows from the facts. Its JSON holds no entry key,
// sequence, receive time or log head: the same readings by any road give the
// same bytes.
type Assessment struct {
	Format    string         `json:"fettle"` // assessment/1
	Job       string         `json:"job"`
	Title     string         `json:"title"`
	Invented  bool           `json:"invented,omitempty"`
	Family    string         `json:"family"`
	Digest    string         `json:"family_digest"`
	Rule      rule.Rule      `json:"decision_rule"`
	Tally     Tally          `json:"tally"`
	Findings  []Finding      `json:"findings"`
	Questions []Question     `json:"questions"`
	Targets   []Target       `json:"targets"`
	Values    []Value        `json:"values"`
	index     map[string]int // position + NUL + state -> Values
	e         *evaluation    // behind the explanations
}

// Tally counts verdicts.
type Tally struct {
	Accept     int `json:"accept"`
	Reject     int `json:"reject"`
	Undecided  int `json:"undecided"`
	Unmeasured int `json:"unmeasured"`
	Readings   int `json:"readings"`
	Derived    int `json:"derived"`
	NoLimit    int `json:"without_limit"` // values to which no limit applies
}

// Value is one position in one state.
type Value struct {
	Position string   `json:"position"`
	State    string   `json:"state"`
	Verdict  Verdict  `json:"verdict,omitempty"` // "" where no limit applies
	Y        string   `json:"value,omitempty"`   // decimal in Unit
	Unit     string   `json:"unit,omitempty"`
	U        string   `json:"u,omitempty"`        // standard uncertainty, decimal in UUnit
	Expanded string   `json:"expanded,omitempty"` // k·u, decimal in UUnit
	UUnit    string   `json:"u_unit,omitempty"`
	K        string   `json:"k,omitempty"`           // coverage factor of Expanded
	Dof      string   `json:"dof,omitempty"`         // effective, "∞" where all causes are known
	Conform  string   `json:"conformance,omitempty"` // probability of being inside, decimal
	Limit    *Bounds  `json:"limit,omitempty"`
	Missing  []string `json:"missing,omitempty"` // what a derived value lacks
	Why      *Say     `json:"why,omitempty"`     // why it is unmeasured or carries a warning
	Remarks  []Say    `json:"remarks,omitempty"` // what it leans on that is not as it should be
	Act      *Say     `json:"act,omitempty"`     // the cheapest act that would decide it
	Acts     []Act    `json:"acts,omitempty"`    // what else would help, with their chances
	Readings []Read   `json:"readings,omitempty"`
	Because  *Because `json:"because,omitempty"` // in JSON only; see Explain
	Budget   []Share  `json:"budget,omitempty"`  // in JSON only; see Explain

	Place   *family.Place `json:"-"`
	Derived bool          `json:"-"`
	SI      float64       `json:"-"` // value, formula units
	SU      float64       `json:"-"` // standard uncertainty, formula units
	Guard   float64       `json:"-"` // guard band, formula units
	Pass    bool          `json:"-"` // for a check
	Check   bool          `json:"-"`
	Has     bool          `json:"-"` // false: no value
	node    gum.ID
	Amount  float64 `json:"-"` // how far outside the limit, signed, formula units; 0 inside
}

// Say is a sentence by key, with arguments in a fixed order.
type Say struct {
	Key  string            `json:"say"`
	Args map[string]string `json:"with,omitempty"`
}

// Act is something a person can do about an undecided value.
type Act struct {
	Say
	Minutes int    `json:"minutes"`
	Chance  string `json:"chance"` // probability that it decides, decimal

	chance  float64
	decides bool // where the value is now
}

// Bounds is the limit that was applied, with its origin.
type Bounds struct {
	For     string      `json:"for"` // new or reuse
	Min     string      `json:"min,omitempty"`
	Max     string      `json:"max,omitempty"`
	Nominal string      `json:"nominal,omitempty"`
	Must    string      `json:"must,omitempty"`
	Source  cite.Key    `json:"source"`
	Status  cite.Status `json:"status"`
	Lo, Hi  *float64    `json:"-"` // formula units; nil where open
	Nom     *float64    `json:"-"`
}

// Read is one reading that counts.
type Read struct {
	Typed     string   `json:"typed"`
	Unit      string   `json:"unit,omitempty"`
	Gauge     string   `json:"gauge,omitempty"`
	Master    string   `json:"master,omitempty"`
	PartTemp  string   `json:"part_temp,omitempty"`
	GaugeTemp string   `json:"gauge_temp,omitempty"`
	Condition []string `json:"condition,omitempty"`
	Person    string   `json:"person,omitempty"`
	Time      string   `json:"time,omitempty"` // RFC 3339, writer's clock
	Key       string   `json:"-"`
	At20      float64  `json:"-"` // reduced to 20 °C, formula units
}

// Because says how a value came about: a relation with what its symbols stand
// for. Inputs that are positions have their own Because in their own Value.
type Because struct {
	Relation string   `json:"relation"`
	Equation string   `json:"equation"`
	Source   cite.Key `json:"source"`
	Inputs   []Input  `json:"inputs"`
}

// Input is one symbol.
type Input struct {
	Letter   string `json:"symbol"`
	Position string `json:"position,omitempty"`
	State    string `json:"state,omitempty"`
	Cause    string `json:"cause,omitempty"` // kind of leaf, where it is no position
	Ref      string `json:"ref,omitempty"`
	Value    string `json:"value"`
	Unit     string `json:"unit,omitempty"`

	Because *Because `json:"because,omitempty"` // of a step that is no position, such as one reading at 20 °C
}

// Share is one cause's part of the doubt.
type Share struct {
	Cause string  `json:"cause"` // repeat, gauge, master, part-temp, …
	Ref   string  `json:"ref,omitempty"`
	U     string  `json:"u"`    // its part as a standard uncertainty, in UUnit of the value
	Part  string  `json:"part"` // percent of the variance, one decimal
	Frac  float64 `json:"-"`
}

// Finding is a rejected value, or a group of them, put into words.
type Finding struct {
	ID       string           `json:"id"` // entry of the catalogue
	Part     string           `json:"part"`
	Severity finding.Severity `json:"severity"`
	Verdict  Verdict          `json:"verdict"` // reject, or undecided where nothing is proved
	Evidence []Evidence       `json:"evidence"`
	Remarks  []Say            `json:"remarks,omitempty"` // of the values it rests on
	Options  []string         `json:"options"`           // outcomes of the catalogue, in its order
	Worst    int              `json:"-"`                 // index into Evidence

	Entry finding.Finding `json:"-"`
}

// Evidence is one value that a finding rests on.
type Evidence struct {
	Position string  `json:"position"`
	State    string  `json:"state"`
	Verdict  Verdict `json:"verdict"`
	Value    string  `json:"value"`
	Unit     string  `json:"unit,omitempty"`
	Limit    string  `json:"limit,omitempty"`  // the bound that is passed, in Unit
	Amount   string  `json:"amount,omitempty"` // signed, in Unit
}

// Question is something a reading raises that a person should look at again.
// It is asked, never a refusal, and the reading stays.
type Question struct {
	ID       string            `json:"question"` // thimble-turn, digit-swap, wrong-unit, …
	Position string            `json:"position"`
	State    string            `json:"state"`
	Ordinal  int               `json:"reading"` // which reading of that position
	Args     map[string]string `json:"with,omitempty"`
	Answer   string            `json:"answer,omitempty"` // keep, wrong or corrected; "" while open
	Reason   string            `json:"reason,omitempty"`
	Key      string            `json:"-"` // of the reading entry
}

// Target is a machining size for one group: all bores, all mains, all pins.
type Target struct {
	Group     string      `json:"group"` // bore, main, pin
	Needed    bool        `json:"needed"`
	Step      string      `json:"step,omitempty"`    // ladder step that cleans up the worst, e.g. 0.25 mm
	Size      string      `json:"size,omitempty"`    // nominal plus or minus the step
	Governs   string      `json:"governs,omitempty"` // position that decides the step
	Allowance string      `json:"allowance,omitempty"`
	Beyond    bool        `json:"beyond,omitempty"` // no step of the ladder cleans up
	Why       Say         `json:"why"`
	Places    []TargetRow `json:"places"`
	Unit      string      `json:"unit"`
}

// TargetRow is one bore or journal of a target.
type TargetRow struct {
	Part     string `json:"part"`
	Extreme  string `json:"extreme"` // largest bore reading, smallest journal reading, at 20 °C
	Position string `json:"position"`
	CleansUp string `json:"cleans_up,omitempty"` // smallest step for this one alone
	Stock    string `json:"stock,omitempty"`     // left on the diameter at its worst place
	Wall     string `json:"wall,omitempty"`      // least wall that remains
	WallOK   string `json:"wall_verdict,omitempty"`
	Bridge   string `json:"bridge,omitempty"` // least bridge that remains
	BridgeOK string `json:"bridge_verdict,omitempty"`
}

// Find returns the value of a position in a state.
func (a *Assessment) Find(position, state string) (*Value, bool) {
	i, ok := a.index[position+"\x00"+state]
	if !ok {
		return nil, false
	}
	return &a.Values[i], true
}
