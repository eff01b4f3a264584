package job

// IntakeV1 is one thing noted when an engine comes in: exactly one of its parts
// is there. With instead it takes the place of an earlier one of the same sort;
// with instead and no part it strikes that one out.
type IntakeV1 struct {
	History *HistoryV1 `json:"history,omitempty"`
	Item    *ItemV1    `json:"item,omitempty"`
	Said    *WordsV1   `json:"said,omitempty"` // what the customer says
	Saw     *WordsV1   `json:"saw,omitempty"`  // what the shop saw
	Number  *NumberV1  `json:"number,omitempty"`
	Kept    *KeptV1    `json:"kept,omitempty"`
	Drained *DrainedV1 `json:"drained,omitempty"`
	Panel   *PanelV1   `json:"panel,omitempty"`
	Hold    *HoldV1    `json:"hold,omitempty"`
	Instead string     `json:"instead,omitempty"` // key of the intake entry whose place it takes
	Reason  string     `json:"reason,omitempty"`
}

// HistoryV1 is what the engine has lived through, as far as it is known.
type HistoryV1 struct {
	Km       string `json:"km,omitempty"`    // decimal
	Hours    string `json:"hours,omitempty"` // decimal
	Opened   string `json:"opened,omitempty"`
	By       string `json:"by,omitempty"` // who had it open last
	Use      string `json:"use,omitempty"`
	Symptoms string `json:"symptoms,omitempty"`
}

// ItemV1 is one line of the list of what came in.
type ItemV1 struct {
	Name    string `json:"name"`
	Count   int    `json:"count"`
	Missing string `json:"missing,omitempty"`
}

// WordsV1 is a sentence, and the part it is about where it is about one.
type WordsV1 struct {
	Text string `json:"text"`
	Part string `json:"part,omitempty"`
}

// NumberV1 is a number stamped or cast on the engine.
type NumberV1 struct {
	Where string `json:"where"`
	Text  string `json:"text"`
}

// KeptV1 is a thing that was kept before it could be lost.
type KeptV1 struct {
	What string `json:"what"` // oil, filter
	Note string `json:"note,omitempty"`
}

// DrainedV1 says that the oil was let off.
type DrainedV1 struct {
	Amount string `json:"amount,omitempty"` // as it was seen
	Note   string `json:"note,omitempty"`
}

// PanelV1 is one reading of the tests before the strip.
type PanelV1 struct {
	Test  string `json:"test"`          // id in the strip file
	At    string `json:"at"`            // cylinder, or the condition of the test
	Rpm   string `json:"rpm,omitempty"` // decimal; of a running or cranking engine
	Typed string `json:"typed"`
	Value string `json:"value"`
	Unit  string `json:"unit"`
	Note  string `json:"note,omitempty"`
}

// HoldV1 keeps parts as evidence, or lets them go.
type HoldV1 struct {
	Held  bool     `json:"held"`
	Why   string   `json:"why"`             // dispute, failure, or words
	Parts []string `json:"parts,omitempty"` // components; none means all
}

// SignedV1 is a signature on what its digest covers.
type SignedV1 struct {
	Covers string `json:"covers"` // contents
	Digest string `json:"digest"` // SHA-256, see ContentsDigest
	Lines  int    `json:"lines"`  // how many lines it covers
	Name   string `json:"name"`   // as the person writes it
	Role   string `json:"role"`   // customer, shop
}

// TaggedV1 binds a label to the place that its part came from.
type TaggedV1 struct {
	Tag    string `json:"tag"`
	Part   string `json:"part"`             // component with its indices
	Made   string `json:"made,omitempty"`   // the part it was printed for, where that is another
	Reason string `json:"reason,omitempty"` // then: why
}

// CleanedV1 says how a part was cleaned.
type CleanedV1 struct {
	Part    string   `json:"part"`
	Process string   `json:"process"`          // id in the cleaning file
	Checks  []string `json:"checks,omitempty"` // what was done besides: ids of the checklist
	Note    string   `json:"note,omitempty"`
	Reason  string   `json:"reason,omitempty"` // why with care, or while it is held
}

// TestedV1 is a test for what the eye does not see.
type TestedV1 struct {
	Part        string         `json:"part"`
	Method      string         `json:"method"`       // id in the strip file
	Result      string         `json:"result"`       // none, not-relevant, recordable, reject
	By          string         `json:"by,omitempty"` // who tested, where it is not the person of the entry
	Indications []IndicationV1 `json:"indications,omitempty"`
	Note        string         `json:"note,omitempty"`
}

// IndicationV1 is one indication: at a position, or at a point of the drawing.
type IndicationV1 struct {
	At   string `json:"at"`          // position or part
	X    string `json:"x,omitempty"` // part of the drawing's width, decimal from 0 to 1
	Y    string `json:"y,omitempty"` // part of its height, from above
	Says string `json:"says"`
}

// OverriddenV1 says that a gate was passed while it was open, and why.
type OverriddenV1 struct {
	Gate   string `json:"gate"`
	Part   string `json:"part,omitempty"`
	Open   int    `json:"open,omitempty"` // how many places were not measured
	Reason string `json:"reason"`
}
