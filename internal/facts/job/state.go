package job

import (
	"sort"
	"strings"

	"fettle/internal/facts/entry"
)

// State is a job after its entries. Everybody may read one at the same time;
// only Add, which whoever replays calls, changes it.
type State struct {
	OpenedV1
	Pinned       string // digest of the family's version that the job stands on
	Repins       []Repinned
	Readings     []Reading // in the order of the log
	Observations []Observed
	Photos       []Photographed
	Decisions    []Decided
	Remarks      []Remarked
	Swaps        []SwappedV1
	Unmeasured   []Unmeasured // what could not be measured, the latest word on each position and state
	Arrival                   // what stands before the measuring
	Ledger                    // quotes, approvals and money
	Parts                     // what is ordered, got and fitted
	Work                      // what was worked on and waited for
	Lines        []Line       // the log itself, one line an entry
	Head         entry.Hash
	Seq          int64
	First, Last  int64 // writer's times of the first and last entry, µs
	byKey        map[string]int
	bySpot       map[string]int // position and state -> highest ordinal
}

// Observed is an observation with its author.
type Observed struct {
	ObservationV2
	Key    string
	Person string
	Time   int64
}

// Photographed is a photo with its author.
type Photographed struct {
	PhotoV1
	Key    string
	Person string
	Time   int64
}

// Decided is a decision with its author.
type Decided struct {
	DecisionV1
	Person string
	Time   int64
}

// Unmeasured says why a position was left, with its author.
type Unmeasured struct {
	NotMeasuredV1
	Person string
	Time   int64
}

// Left finds why a position was left unmeasured in a state.
func (s *State) Left(position, state string) (Unmeasured, bool) {
	for i := range s.Unmeasured {
		if u := &s.Unmeasured[i]; u.Position == position && u.State == state {
			return *u, true
		}
	}
	return Unmeasured{}, false
}

// Remarked is a note with its author.
type Remarked struct {
	RemarkV1
	Person string
	Time   int64
}

// Repinned is a move to another version of the family with its author.
type Repinned struct {
	RepinnedV1
	Person string
	Time   int64
}

// Line is an entry as a log page shows it.
type Line struct {
	Seq    int64
	Key    string
	Kind   entry.Kind
	Person string
	Device string
	Time   int64
	About  string // position, part or target
	Text   string // value or words
	Reason string
	Known  bool // false: kept but not understood
	Photo  int  // which of Photos it made, from 1; 0 for none
	Seen   int  // which of Observations it made, from 1; 0 for none
	Hash   entry.Hash
}

// Sorted returns the readings that count, by position, state and ordinal: the
// order in which an assessment lists them, whatever road they came by. Their
// ordinals count from 1 without the voided ones.
func (s *State) Sorted() []Reading {
	out := make([]Reading, 0, len(s.Readings))
	for i := range s.Readings {
		if s.Readings[i].Counts() {
			out = append(out, s.Readings[i])
		}
	}
	sort.SliceStable(out, func(i, j int) bool {
		a, b := &out[i], &out[j]
		switch {
		case a.Position != b.Position:
			return a.Position < b.Position
		case a.State != b.State:
			return a.State < b.State
		}
		return a.Ordinal < b.Ordinal
	})
	for i := range out {
		out[i].Ordinal = 1
		if i > 0 && out[i].Position == out[i-1].Position && out[i].State == out[i-1].State {
			out[i].Ordinal = out[i-1].Ordinal + 1
		}
	}
	return out
}

// Find returns the reading that an entry key made; it is not to be changed.
func (s *State) Find(key string) (*Reading, bool) {
	i, ok := s.byKey[key]
	if !ok {
		return nil, false
	}
	return &s.Readings[i], true
}

// InScope reports whether a system belongs to this job.
func (s *State) InScope(system string) bool {
	for _, w := range s.Scope {
		if w == system {
			return true
		}
	}
	return len(s.Scope) == 0
}

// After names the state behind an operation.
func After(operation string) string { return "after(" + operation + ")" }

// The states that are not behind an operation.
const (
	Found = "found"
	Built = "built"
	// Planned is what a plan would give; nobody reads in it.
	Planned = "planned"
)

// KnownState reports whether a state has the form of one.
func KnownState(s string) bool {
	return s == Found || s == Built || strings.HasPrefix(s, "after(") && strings.HasSuffix(s, ")") && len(s) > len("after()")
}

// RankState orders states: found, after operations, built, planned.
func RankState(s string) int {
	switch {
	case s == Found:
		return 0
	case s == Built:
		return 2
	case s == Planned:
		return 3
	}
	return 1
}
