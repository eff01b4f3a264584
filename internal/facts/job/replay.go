package job

import (
	"bytes"
	"encoding/json"
	"maps"
	"slices"
	"strings"

	"fettle/internal/base/unit"
	"fettle/internal/facts/entry"
)

// Replay folds rows into a state. It never fails: an entry that cannot be
// understood changes nothing and is kept as a line that says so.
func Replay(rows []entry.Row) *State {
	s := &State{byKey: map[string]int{}, bySpot: map[string]int{}}
	for i := range rows {
		s.Add(&rows[i])
	}
	return s
}

// With returns the state after more rows; s stays as it is, and may be read
// meanwhile.
func (s *State) With(rows []entry.Row) *State {
	n := *s
	n.Readings = withRoom(s.Readings, len(rows)) // later entries void and move earlier readings
	n.Lines = withRoom(s.Lines, len(rows))
	n.Photos = slices.Clip(s.Photos)
	n.Observations, n.Decisions = slices.Clip(s.Observations), slices.Clip(s.Decisions)
	n.Unmeasured = slices.Clone(s.Unmeasured)
	n.Remarks, n.Swaps, n.Repins = slices.Clip(s.Remarks), slices.Clip(s.Swaps), slices.Clip(s.Repins)
	n.Arrival = s.Arrival.withRoom(len(rows))
	n.Ledger = s.Ledger.clipped()
	n.Parts = s.Parts.copied()
	n.Work = s.Work.withRoom(len(rows))
	n.byKey, n.bySpot = maps.Clone(s.byKey), maps.Clone(s.bySpot)
	for i := range rows {
		n.Add(&rows[i])
	}
	return &n
}

// withRoom copies a list and leaves room for n more.
func withRoom[T any](list []T, n int) []T {
	return append(make([]T, 0, len(list)+n), list...)
}

// Add folds one more row into the state.
func (s *State) Add(r *entry.Row) {
	l := Line{Seq: r.Seq, Key: r.Key.String(), Kind: r.Kind, Person: r.Person, Device: r.Device, Time: r.Time, Hash: r.Hash}
	l.Known = (r.Version == 1 || r.Version == 2 && r.Kind == entry.Observation) && s.apply(r, &l)
	s.Lines = append(s.Lines, l)
	s.Head, s.Seq, s.Last = r.Hash, r.Seq, r.Time
	if s.First == 0 {
		s.First = r.Time
	}
}

// apply folds one entry and fills its line; false means that it was not
// understood, and then the line is all that it leaves.
func (s *State) apply(r *entry.Row, l *Line) bool {
	switch r.Kind {
	case entry.JobOpened:
		return s.open(r, l)
	case entry.Reading:
		var p ReadingV1
		if !decode(r.Payload, &p) {
			return false
		}
		l.About, l.Text = p.Position, valueText(p)
		rd, ok := readingOf(r, p)
		if ok {
			s.keep(rd)
		}
		return ok
	case entry.Correction:
		return s.correct(r, l)
	case entry.Withdrawal:
		var p WithdrawalV1
		if !decode(r.Payload, &p) {
			return false
		}
		l.Reason = p.Reason
		i, ok := s.counting(p.Target)
		if ok {
			l.About = s.Readings[i].Position
			s.Readings[i].Voided, s.Readings[i].Reason = "withdrawn", p.Reason
			return true
		}
		return s.unstock(p, l)
	case entry.Swapped:
		var p SwappedV1
		if !decode(r.Payload, &p) {
			return false
		}
		l.About, l.Text, l.Reason = p.A, p.B, p.Reason
		return s.swap(p)
	case entry.Answered:
		return s.answer(r, l)
	}
	return s.applyRest(r, l)
}

// applyRest folds the kinds that touch no reading.
func (s *State) applyRest(r *entry.Row, l *Line) bool {
	if understood, taken := s.labour(r, l); taken {
		return understood
	}
	switch r.Kind {
	case entry.FamilyRepinned:
		return s.repin(r, l)
	case entry.Observation:
		return s.observe(r, l)
	case entry.Photo:
		return s.photograph(r, l)
	case entry.NotMeasured:
		return s.leave(r, l)
	case entry.Decision:
		var p DecisionV1
		if !decode(r.Payload, &p) {
			return false
		}
		s.Decisions = append(s.Decisions, Decided{p, r.Person, r.Time})
		l.About, l.Text, l.Reason = p.Finding, p.Outcome, p.Reason
	case entry.Remark:
		var p RemarkV1
		if !decode(r.Payload, &p) {
			return false
		}
		s.Remarks = append(s.Remarks, Remarked{p, r.Person, r.Time})
		l.Text = p.Text
	case entry.Issued:
		var p IssuedV1
		if !decode(r.Payload, &p) {
			return false
		}
		l.Text = p.Record
	case entry.Order, entry.Received, entry.Allocated, entry.OutsideOut, entry.OutsideIn:
		return s.stocked(r, l)
	default:
		return s.arrive(r, l)
	}
	return true
}

// observe keeps what a person saw. Version 2 names a kind or says it in words,
// and cannot be absent without a kind: nobody can look for words.
func (s *State) observe(r *entry.Row, l *Line) bool {
	var p ObservationV2
	if r.Version == 1 {
		var was ObservationV1
		if !decode(r.Payload, &was) {
			return false
		}
		p = ObservationV2{Part: was.Part, Saw: was.Saw, Note: was.Note}
	} else if !decode(r.Payload, &p) {
		return false
	}
	l.About, l.Text, l.Reason = p.Part, p.Saw, p.Note
	if r.Version == 2 && (p.Part == "" || p.Kind == "" && (p.Saw == "" || p.Absent || p.Others) || p.Absent && (p.Severity != "" || p.Others)) {
		return false
	}
	if r.Version == 1 {
		l.Reason = ""
	}
	s.Observations = append(s.Observations, Observed{p, r.Key.String(), r.Person, r.Time})
	l.Seen = len(s.Observations)
	return true
}

// decode reads a payload; one with a field that this version does not have is
// not understood, for the field may say that the rest means something else.
func decode(payload []byte, into any) bool {
	d := json.NewDecoder(bytes.NewReader(payload))
	d.DisallowUnknownFields()
	return d.Decode(into) == nil
}

// open takes the first opening; a job is not opened twice.
func (s *State) open(r *entry.Row, l *Line) bool {
	var p OpenedV1
	if !decode(r.Payload, &p) {
		return false
	}
	l.About, l.Text = p.Family, p.Title
	if s.Job != "" || p.Job == "" {
		return false
	}
	s.OpenedV1, s.Pinned = p, p.Digest
	return true
}

// repin moves the job to another version of its family. It counts only from the
// version that the job is pinned to: two people who repin at the same time do
// not undo one another unseen.
func (s *State) repin(r *entry.Row, l *Line) bool {
	var p RepinnedV1
	if !decode(r.Payload, &p) {
		return false
	}
	l.About, l.Text, l.Reason = s.Family, p.New, p.Reason
	if s.Job == "" || p.New == "" || p.New == p.Old || p.Old != s.Pinned || strings.TrimSpace(p.Reason) == "" {
		return false
	}
	s.Pinned = p.New
	s.Repins = append(s.Repins, Repinned{p, r.Person, r.Time})
	return true
}

// correct puts a reading in the place of another, or does nothing at all. At
// the same position and state it keeps the ordinal of the one it replaces.
func (s *State) correct(r *entry.Row, l *Line) bool {
	var p CorrectionV1
	if !decode(r.Payload, &p) {
		return false
	}
	l.About, l.Text, l.Reason = p.Reading.Position, valueText(p.Reading), p.Reason
	i, ok := s.counting(p.Target)
	rd, good := readingOf(r, p.Reading)
	if !ok || !good {
		return false
	}
	old := &s.Readings[i]
	old.Voided, old.Reason = "corrected", p.Reason
	rd.Instead, rd.Time = p.Target, old.Time // what was read is put right, not when
	if old.Position == rd.Position && old.State == rd.State {
		rd.Ordinal = old.Ordinal
	}
	s.keep(rd)
	return true
}

// answer notes the answer to a question about a reading. The answers of an
// earlier state are not touched.
func (s *State) answer(r *entry.Row, l *Line) bool {
	var p AnsweredV1
	if !decode(r.Payload, &p) {
		return false
	}
	l.Text, l.Reason = p.Answer, p.Reason
	i, ok := s.byKey[p.Target]
	if !ok {
		return false
	}
	answers := map[string]AnsweredV1{}
	maps.Copy(answers, s.Readings[i].Answers)
	answers[p.About] = p
	s.Readings[i].Answers = answers
	l.About = s.Readings[i].Position
	return true
}

// leave notes why a position was not measured; the last word holds.
func (s *State) leave(r *entry.Row, l *Line) bool {
	var p NotMeasuredV1
	if !decode(r.Payload, &p) {
		return false
	}
	l.About, l.Reason = p.Position, p.Because
	if p.Position == "" || !KnownState(p.State) || strings.TrimSpace(p.Because) == "" {
		return false
	}
	s.unleave(p.Position, p.State)
	s.Unmeasured = append(s.Unmeasured, Unmeasured{p, r.Person, r.Time})
	return true
}

// unleave takes back that a position could not be measured.
func (s *State) unleave(position, state string) {
	s.Unmeasured = slices.DeleteFunc(s.Unmeasured, func(u Unmeasured) bool { return u.Position == position && u.State == state })
}

// readingOf makes a reading of a payload; ok is false where it names no
// position or state, or its value is no quantity and no pass or fail.
func readingOf(r *entry.Row, p ReadingV1) (rd Reading, ok bool) {
	if p.Position == "" || !KnownState(p.State) {
		return rd, false
	}
	rd = Reading{ReadingV1: p, Key: r.Key.String(), Seq: r.Seq, Person: r.Person, Time: r.Time}
	if p.Unit == "" {
		return rd, p.Value == "pass" || p.Value == "fail"
	}
	q, err := unit.Parse(p.Value, p.Unit, '.')
	rd.Quantity = q
	return rd, err == nil
}

func valueText(p ReadingV1) string { return strings.TrimSpace(p.Value + " " + p.Unit) }

// keep adds a reading; one without an ordinal is the next at its spot.
func (s *State) keep(rd Reading) {
	at := spot(&rd)
	s.unleave(rd.Position, rd.State)
	if rd.Ordinal == 0 {
		rd.Ordinal = s.bySpot[at] + 1
	}
	s.bySpot[at] = max(s.bySpot[at], rd.Ordinal)
	s.byKey[rd.Key] = len(s.Readings)
	s.Readings = append(s.Readings, rd)
}

func spot(r *Reading) string { return r.Position + "\x00" + r.State }

// counting finds the reading of a key while it counts.
func (s *State) counting(key string) (int, bool) {
	i, ok := s.byKey[key]
	return i, ok && s.Readings[i].Counts()
}

// swap exchanges the readings of two parts taken so far in one state; those
// that come later stand where they say. Parts that hold one another cannot be
// exchanged.
func (s *State) swap(p SwappedV1) bool {
	_, within := under(p.A, p.B)
	_, around := under(p.B, p.A)
	if p.A == "" || p.B == "" || within || around || !KnownState(p.State) {
		return false
	}
	s.bySpot = map[string]int{}
	for i := range s.Readings {
		r := &s.Readings[i]
		if r.State == p.State {
			if rest, ok := under(r.Position, p.A); ok {
				r.move(p.B + rest)
			} else if rest, ok := under(r.Position, p.B); ok {
				r.move(p.A + rest)
			}
		}
		s.bySpot[spot(r)] = max(s.bySpot[spot(r)], r.Ordinal)
	}
	s.Swaps = append(s.Swaps, p)
	return true
}

// move puts a reading at another position and remembers the first.
func (r *Reading) move(to string) {
	if r.Was == "" {
		r.Was = r.Position
	}
	r.Position = to
	if r.Was == to {
		r.Was = ""
	}
}

// under cuts a prefix of whole parts off a position.
func under(position, prefix string) (rest string, ok bool) {
	if rest, ok = strings.CutPrefix(position, prefix); ok && (rest == "" || rest[0] == '/') {
		return rest, true
	}
	return "", false
}
