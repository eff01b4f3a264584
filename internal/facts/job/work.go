package job

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"fettle/internal/facts/entry"
)

// Work is what was worked on a job and what it waited for, in the order of the
// log. Hours come from here and from nowhere else.
type Work struct {
	Spans []Span
	Dones []DoneBy
	Waits []Wait
}

// Span is a person at one operation, from start to stop.
type Span struct {
	StartedV1
	Author        // who began, when
	Run     int   // which time the operation is done, from 1
	End     int64 // µs; 0 while it runs
	EndSeq  int64
	Stated  bool // the end was said afterwards, with a reason
	Because string
}

// Open reports whether the span runs on.
func (s *Span) Open() bool { return s.EndSeq == 0 }

// DoneBy is an operation that is done, with who says so.
type DoneBy struct {
	DoneV1
	Author
	Run int
}

// Wait is a time in which a job waited.
type Wait struct {
	WaitingV1
	Author
	End    int64 // µs; 0 while it waits
	EndSeq int64
}

// Open reports whether the job still waits.
func (w *Wait) Open() bool { return w.EndSeq == 0 }

// What a job waits for.
const (
	ForCustomer = "customer"
	ForPart     = "part"
	ForMachine  = "machine"
	ForPerson   = "person"
)

// Reasons to wait, in the order in which they are shown.
func WaitsFor() []string { return []string{ForCustomer, ForPart, ForMachine, ForPerson} }

// Longest is how long a person may be at one operation without a break. A span
// that is longer was not stopped when the work was: it counts for nothing until
// somebody says when it stopped. Source: common practice, no source.
const Longest = 16 * time.Hour

func (w *Work) withRoom(n int) Work {
	return Work{withRoom(w.Spans, n), slices.Clip(w.Dones), withRoom(w.Waits, n)}
}

// Run is which time an operation is being done now: one more than it was done.
func (w *Work) Run(operation string) int {
	n := 1
	for i := range w.Dones {
		if w.Dones[i].Operation == operation {
			n++
		}
	}
	return n
}

// Done is the last time an operation was done, nil where it never was.
func (w *Work) Done(operation string) *DoneBy {
	for i := len(w.Dones) - 1; i >= 0; i-- {
		if w.Dones[i].Operation == operation {
			return &w.Dones[i]
		}
	}
	return nil
}

// Running finds the open span of a person at an operation, of anybody where the
// person is "", nil for none.
func (w *Work) Running(operation, person string) *Span {
	for i := range w.Spans {
		s := &w.Spans[i]
		if s.Open() && s.Operation == operation && (person == "" || s.Person == person) {
			return s
		}
	}
	return nil
}

// Waiting is the open wait for something, nil for none.
func (w *Work) Waiting(what string) *Wait {
	for i := range w.Waits {
		if w.Waits[i].Open() && w.Waits[i].For == what {
			return &w.Waits[i]
		}
	}
	return nil
}

// AfterRun names the state behind one run of an operation: after(ID) behind the
// first, after(ID.2) behind the second.
func AfterRun(operation string, run int) string {
	if run > 1 {
		return After(operation + "." + strconv.Itoa(run))
	}
	return After(operation)
}

// OfState is the operation and run whose state a name is; ok is false for a
// state that is not behind an operation.
func OfState(state string) (operation string, run int, ok bool) {
	in, found := strings.CutPrefix(state, "after(")
	if in, ok = strings.CutSuffix(in, ")"); !found || !ok || in == "" {
		return "", 0, false
	}
	if id, n, cut := strings.Cut(in, "."); cut {
		if k, err := strconv.Atoi(n); err == nil && k > 1 && strconv.Itoa(k) == n {
			return id, k, true
		}
	}
	return in, 1, true
}

// Turn is where in the log a state begins: with the first start of the run that
// leads to it, with its end where nobody said when it began, or with the first
// reading in it, whichever is first; 0 where nothing of it is in the log.
func (s *State) Turn(state string) int64 {
	var first int64
	take := func(seq int64) {
		if first == 0 || seq < first {
			first = seq
		}
	}
	if op, run, ok := OfState(state); ok {
		for i := range s.Spans {
			if s.Spans[i].Operation == op && s.Spans[i].Run == run {
				take(s.Spans[i].Seq)
				break
			}
		}
		for i := range s.Dones {
			if s.Dones[i].Operation == op && s.Dones[i].Run == run {
				take(s.Dones[i].Seq)
				break
			}
		}
	}
	for i := range s.Readings {
		if s.Readings[i].State == state {
			take(s.Readings[i].Seq)
			break
		}
	}
	return first
}

// labour folds the kinds of work; taken is false for another kind.
func (s *State) labour(r *entry.Row, l *Line) (understood, taken bool) {
	by := Author{r.Key.String(), r.Seq, r.Person, r.Time}
	switch r.Kind {
	case entry.Started:
		return s.start(r, l, by), true
	case entry.Stopped:
		return s.stop(r, l, by), true
	case entry.Done:
		return s.finish(r, l, by), true
	case entry.Waiting:
		return s.wait(r, l, by), true
	}
	return false, false
}

// start begins a span. Nobody is at one operation twice at the same time.
func (s *State) start(r *entry.Row, l *Line, by Author) bool {
	var p StartedV1
	if !decode(r.Payload, &p) {
		return false
	}
	l.About, l.Text, l.Reason = p.Operation, strings.Join(p.Places, ", "), p.Again
	run := s.Run(p.Operation)
	if p.Operation == "" || s.Running(p.Operation, r.Person) != nil || run > 1 && strings.TrimSpace(p.Again) == "" && !s.begun(p.Operation, run) {
		return false
	}
	s.Spans = append(s.Spans, Span{StartedV1: p, Author: by, Run: run})
	return true
}

// begun reports whether a run was begun by somebody before.
func (s *State) begun(operation string, run int) bool {
	return slices.ContainsFunc(s.Spans, func(x Span) bool { return x.Operation == operation && x.Run == run })
}

// stop ends a span, now or at a time that is said with a reason.
func (s *State) stop(r *entry.Row, l *Line, by Author) bool {
	var p StoppedV1
	if !decode(r.Payload, &p) {
		return false
	}
	l.Reason = p.Reason
	i := slices.IndexFunc(s.Spans, func(x Span) bool { return x.Key == p.Start && x.Open() })
	if i < 0 {
		return false
	}
	x := &s.Spans[i]
	l.About = x.Operation
	end := by.Time
	if p.At != 0 {
		if end = p.At; p.At > by.Time || strings.TrimSpace(p.Reason) == "" {
			return false
		}
	}
	if end < x.Time {
		return false
	}
	x.End, x.EndSeq, x.Stated, x.Because = end, by.Seq, p.At != 0, p.Reason
	return true
}

// finish closes an operation and stops what runs of it.
func (s *State) finish(r *entry.Row, l *Line, by Author) bool {
	var p DoneV1
	if !decode(r.Payload, &p) {
		return false
	}
	l.About, l.Text = p.Operation, p.Note
	run := s.Run(p.Operation)
	if p.Operation == "" || !p.Outside && !s.begun(p.Operation, run) {
		return false
	}
	for i := range s.Spans {
		if x := &s.Spans[i]; x.Operation == p.Operation && x.Open() {
			x.End, x.EndSeq = max(by.Time, x.Time), by.Seq
		}
	}
	s.Dones = append(s.Dones, DoneBy{p, by, run})
	return true
}

// wait begins to wait for something, or ends it.
func (s *State) wait(r *entry.Row, l *Line, by Author) bool {
	var p WaitingV1
	if !decode(r.Payload, &p) {
		return false
	}
	l.About, l.Text, l.Reason = p.Operation, p.For, p.Text
	open := s.Waiting(p.For)
	if !slices.Contains(WaitsFor(), p.For) || p.Over != (open != nil) {
		return false
	}
	if p.Over {
		open.End, open.EndSeq = max(by.Time, open.Time), by.Seq
		return true
	}
	s.Waits = append(s.Waits, Wait{WaitingV1: p, Author: by})
	return true
}
