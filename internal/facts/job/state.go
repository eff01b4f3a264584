package job

import (
	"encoding/json"
	"sort"
	"strings"

	"fettle/internal/base/unit"
	"fettle/internal/facts/entry"
)

// State is a job after its entries.
type State struct {
	OpenedV1
	Readings     []Reading // in the order of the log
	Observations []Observed
	Decisions    []Decided
	Remarks      []Remarked
	Swaps        []SwappedV1
	Lines        []Line // the log itself, one line an entry
	Head         entry.Hash
	Seq          int64
	First, Last  int64 // writer's times of the first and last entry, µs
	byKey        map[string]int
	bySpot       map[string]int // position and state -> number of readings
}

// Observed is an observation with its author.
type Observed struct {
	ObservationV1
	Person string
	Time   int64
}

// Decided is a decision with its author.
type Decided struct {
	DecisionV1
	Person string
	Time   int64
}

// Remarked is a note with its author.
type Remarked struct {
	RemarkV1
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
	Hash   entry.Hash
}

// Replay folds rows into a state. It never fails: an entry that cannot be
// understood is kept as a line that says so.
func Replay(rows []entry.Row) *State {
	s := &State{byKey: map[string]int{}, bySpot: map[string]int{}}
	for i := range rows {
		s.Add(&rows[i])
	}
	return s
}

// Add folds one more row into the state.
func (s *State) Add(r *entry.Row) {
	l := Line{Seq: r.Seq, Key: r.Key.String(), Kind: r.Kind, Person: r.Person, Device: r.Device, Time: r.Time, Hash: r.Hash, Known: true}
	if !s.apply(r, &l) {
		l.Known = false
	}
	s.Lines = append(s.Lines, l)
	s.Head, s.Seq, s.Last = r.Hash, r.Seq, r.Time
	if s.First == 0 {
		s.First = r.Time
	}
}

// apply folds one entry and fills its line; false means it was not understood.
func (s *State) apply(r *entry.Row, l *Line) bool {
	if r.Version != 1 {
		return false
	}
	switch r.Kind {
	case entry.JobOpened:
		if json.Unmarshal(r.Payload, &s.OpenedV1) != nil {
			return false
		}
		l.About, l.Text = s.Family, s.Title
	case entry.Reading:
		var p ReadingV1
		if json.Unmarshal(r.Payload, &p) != nil {
			return false
		}
		l.About, l.Text = p.Position, strings.TrimSpace(p.Value+" "+p.Unit)
		return s.read(r, p, "")
	case entry.Correction:
		var p CorrectionV1
		if json.Unmarshal(r.Payload, &p) != nil {
			return false
		}
		l.About, l.Text, l.Reason = p.Reading.Position, strings.TrimSpace(p.Reading.Value+" "+p.Reading.Unit), p.Reason
		return s.void(p.Target, "corrected", p.Reason) && s.read(r, p.Reading, p.Target)
	case entry.Withdrawal:
		var p WithdrawalV1
		if json.Unmarshal(r.Payload, &p) != nil {
			return false
		}
		l.About, l.Reason = s.positionOf(p.Target), p.Reason
		return s.void(p.Target, "withdrawn", p.Reason)
	case entry.Swapped:
		var p SwappedV1
		if json.Unmarshal(r.Payload, &p) != nil {
			return false
		}
		l.About, l.Text, l.Reason = p.A, p.B, p.Reason
		s.swap(p)
	case entry.Answered:
		var p AnsweredV1
		if json.Unmarshal(r.Payload, &p) != nil {
			return false
		}
		i, ok := s.byKey[p.Target]
		if !ok {
			return false
		}
		if s.Readings[i].Answers == nil {
			s.Readings[i].Answers = map[string]AnsweredV1{}
		}
		s.Readings[i].Answers[p.About] = p
		l.About, l.Text, l.Reason = s.Readings[i].Position, p.Answer, p.Reason
	default:
		return s.applyRest(r, l)
	}
	return true
}

func (s *State) applyRest(r *entry.Row, l *Line) bool {
	switch r.Kind {
	case entry.Observation:
		var p ObservationV1
		if json.Unmarshal(r.Payload, &p) != nil {
			return false
		}
		s.Observations = append(s.Observations, Observed{p, r.Person, r.Time})
		l.About, l.Text = p.Part, p.Saw
	case entry.Decision:
		var p DecisionV1
		if json.Unmarshal(r.Payload, &p) != nil {
			return false
		}
		s.Decisions = append(s.Decisions, Decided{p, r.Person, r.Time})
		l.About, l.Text, l.Reason = p.Finding, p.Outcome, p.Reason
	case entry.Remark:
		var p RemarkV1
		if json.Unmarshal(r.Payload, &p) != nil {
			return false
		}
		s.Remarks = append(s.Remarks, Remarked{p, r.Person, r.Time})
		l.Text = p.Text
	case entry.Issued:
		var p IssuedV1
		if json.Unmarshal(r.Payload, &p) != nil {
			return false
		}
		l.Text = p.Record
	default:
		return false
	}
	return true
}

func (s *State) read(r *entry.Row, p ReadingV1, instead string) bool {
	rd := Reading{ReadingV1: p, Key: r.Key.String(), Seq: r.Seq, Person: r.Person, Time: r.Time, Instead: instead}
	if p.Unit != "" {
		q, err := unit.Parse(p.Value, p.Unit, '.')
		if err != nil {
			return false
		}
		rd.Quantity = q
	} else if p.Value != "pass" && p.Value != "fail" {
		return false
	}
	spot := p.Position + "\x00" + p.State
	s.bySpot[spot]++
	rd.Ordinal = s.bySpot[spot]
	s.byKey[rd.Key] = len(s.Readings)
	s.Readings = append(s.Readings, rd)
	return true
}

func (s *State) void(target, how, reason string) bool {
	i, ok := s.byKey[target]
	if !ok || !s.Readings[i].Counts() {
		return false
	}
	s.Readings[i].Voided, s.Readings[i].Reason = how, reason
	return true
}

func (s *State) positionOf(key string) string {
	if i, ok := s.byKey[key]; ok {
		return s.Readings[i].Position
	}
	return ""
}

func (s *State) swap(p SwappedV1) {
	for i := range s.Readings {
		r := &s.Readings[i]
		if r.State != p.State {
			continue
		}
		if rest, ok := under(r.Position, p.A); ok {
			r.Position = p.B + rest
		} else if rest, ok := under(r.Position, p.B); ok {
			r.Position = p.A + rest
		}
	}
	s.Swaps = append(s.Swaps, p)
}

func under(position, prefix string) (rest string, ok bool) {
	if rest, ok = strings.CutPrefix(position, prefix); ok && (rest == "" || rest[0] == '/') {
		return rest, true
	}
	return "", false
}

// Sorted returns the readings that count, by position, state and ordinal: the
// order in which an assessment lists them, whatever road they came by.
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
	return out
}

// Find returns the reading that an entry key made.
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
)

// KnownState reports whether a state has the form of one.
func KnownState(s string) bool {
	return s == Found || s == Built || strings.HasPrefix(s, "after(") && strings.HasSuffix(s, ")") && len(s) > len("after()")
}

// RankState orders states: found, after operations, built.
func RankState(s string) int {
	switch {
	case s == Found:
		return 0
	case s == Built:
		return 2
	}
	return 1
}
