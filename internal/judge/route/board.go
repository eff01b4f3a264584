package route

import (
	"slices"
	"time"

	"fettle/internal/facts/job"
	"fettle/internal/facts/shop"
	"fettle/internal/know/family"
	"fettle/internal/know/operation"
)

// Status is where a step stands.
type Status string

// The statuses.
const (
	Ready    Status = "ready"    // may begin
	Later    Status = "later"    // something comes before it
	Blocked  Status = "blocked"  // a machine or a fixture is not there
	Running  Status = "running"  // somebody is at it
	Begun    Status = "begun"    // was begun and rests
	Done     Status = "done"     // closed
	Reopened Status = "reopened" // closed, and a later cut made its readings worth nothing
)

// In is what a board is made of.
type In struct {
	Catalogue *operation.Catalogue
	Layout    *family.Layout
	Job       *job.State
	Shop      *shop.State
	Route     operation.Route
	At        int64 // now, µs: up to which running work is counted
}

// Board is the route as it stands.
type Board struct {
	Steps  []Step
	Stale  []Stale // what was read and says nothing any more
	Spent  time.Duration
	Waited map[string]time.Duration
	Stood  time.Duration // waited for anything at all
}

// Step is one operation of the route as it stands.
type Step struct {
	operation.Step
	Status  Status
	Run     int      // which time it is being done
	State   string   // in which its readings are taken
	Before  []string // operations of the route that come before it and are not done
	Lacks   []Lack
	Outside bool     // it goes out: the shop has no such machine
	Open    []string // positions still to be read before it is done
	Of      int      // positions that close it
	Closed  []string // keys of the readings that close it
	Spent   job.Spent
	Stale   []Stale // of what closed it
}

// Lack is a machine or fixture that is not there.
type Lack struct {
	Fixture string // kind of fixture
	Machine string // kind of machine
}

// Stale is a position whose reading says nothing any more.
type Stale struct {
	Position string
	By       string // the operation that opened it again
	State    string // in which it is to be read
}

// Make makes the board.
func Make(in In) Board {
	b := &board{In: in, hours: in.Job.Hours(in.At)}
	b.read()
	out := Board{Stale: b.stale()}
	done := map[string]bool{}
	for i := range in.Route.Steps {
		s := b.step(&in.Route.Steps[i], out.Stale)
		if s.Status == Done {
			done[s.ID] = true
		}
		out.Steps = append(out.Steps, s)
	}
	for i := range out.Steps {
		b.order(&out.Steps[i], done)
	}
	for _, h := range b.hours {
		out.Spent += h.Hours
	}
	out.Waited, out.Stood = in.Job.Waited(in.At)
	return out
}

type board struct {
	In
	hours  map[string]*job.Spent
	latest map[string]*job.Reading            // position -> its last reading that counts
	states map[string]map[string]*job.Reading // position -> state -> its last reading
}

// read sorts the readings that count by position and state.
func (b *board) read() {
	b.latest, b.states = map[string]*job.Reading{}, map[string]map[string]*job.Reading{}
	for i := range b.Job.Readings {
		r := &b.Job.Readings[i]
		if !r.Counts() {
			continue
		}
		if was := b.latest[r.Position]; was == nil || was.Seq < r.Seq {
			b.latest[r.Position] = r
		}
		if b.states[r.Position] == nil {
			b.states[r.Position] = map[string]*job.Reading{}
		}
		b.states[r.Position][r.State] = r
	}
}

// Alters reports whether an operation changes the engine: a test or a measuring
// leaves it as it is, and what closes it may be read in any state.
func Alters(o *operation.Operation) bool {
	return len(o.Sets)+len(o.Reopens) > 0 || slices.ContainsFunc(o.Brings, func(x operation.Bring) bool { return x.Goods != "" })
}

// Closing lists the positions that must be read before a step is done.
func Closing(l *family.Layout, j *job.State, s *operation.Step) []string {
	var out []string
	for _, char := range s.Closing {
		for _, i := range l.Of(char) {
			p := &l.Places[i]
			if c := l.Component(p.Char.Component()); c != nil && !j.InScope(c.System) {
				continue
			}
			if s.Covers(l, p.Char.Per, p.At) {
				out = append(out, p.ID)
			}
		}
	}
	return out
}

func (b *board) step(r *operation.Step, stale []Stale) Step {
	s := Step{Step: *r, Run: b.Job.Run(r.ID)}
	if h := b.hours[r.ID]; h != nil {
		s.Spent = *h
	}
	last := b.Job.Done(r.ID)
	begun := slices.ContainsFunc(b.Job.Spans, func(x job.Span) bool { return x.Operation == r.ID && x.Run == s.Run })
	if last != nil && !begun {
		s.Run = last.Run
	}
	s.State = job.AfterRun(r.ID, s.Run)
	closing := Closing(b.Layout, b.Job, r)
	s.Of = len(closing)
	for _, p := range closing {
		var read *job.Reading
		if Alters(r.Operation) {
			read = b.states[p][s.State]
		} else {
			read = b.latest[p]
		}
		if read == nil {
			s.Open = append(s.Open, p)
			continue
		}
		s.Closed = append(s.Closed, read.Key)
	}
	s.Lacks, s.Outside = b.lacks(r.Operation)
	shown := !Alters(r.Operation) && (s.Of > 0 && len(s.Open) == 0 || r.Test != "" && b.tested(r.Test, r.Component))
	switch {
	case len(s.Spent.Running) > 0:
		s.Status = Running
	case last != nil && !begun || shown:
		s.Status = Done
		for _, x := range stale {
			if slices.Contains(closing, x.Position) && last != nil && !b.closes(x) {
				s.Stale = append(s.Stale, x)
			}
		}
		if len(s.Stale) > 0 {
			s.Status = Reopened
		}
	case begun:
		s.Status = Begun
	case len(s.Lacks) > 0:
		s.Status = Blocked
	default:
		s.Status = Ready
	}
	return s
}

// closes reports whether what opened a position again reads it anew itself: then
// the step before it is none the worse for it.
func (b *board) closes(x Stale) bool {
	o := b.Catalogue.Operation(x.By)
	return o != nil && slices.Contains(o.Closing, charOf(x.Position))
}

// order names what comes before a step and is not done.
func (b *board) order(s *Step, done map[string]bool) {
	for _, id := range append(slices.Clone(s.Needs), s.After...) {
		if r := b.Route.Step(id); r != nil && !done[id] && !slices.Contains(s.Before, id) {
			s.Before = append(s.Before, id)
		}
	}
	if len(s.Before) > 0 && s.Status == Ready {
		s.Status = Later
	}
}

// lacks lists what is not there. A shop that has not said which machines it has
// is not asked for any; a fixture is asked for always, since a plate that nobody
// wrote down is a plate that nobody finds.
func (b *board) lacks(o *operation.Operation) (out []Lack, outside bool) {
	return Lacks(o, b.Shop, b.Layout.Family.ID)
}

// Lacks lists the machine and fixtures of an operation that a shop does not have
// for a family; outside says that the operation goes out instead.
func Lacks(o *operation.Operation, s *shop.State, family string) (out []Lack, outside bool) {
	if len(s.Machines) > 0 && len(s.MachinesOf(o.Machine)) == 0 {
		if o.Outside.High > 0 {
			return nil, true
		}
		out = append(out, Lack{Machine: o.Machine})
	}
	for _, id := range o.Fixtures {
		if len(s.FixturesOf(id, family)) == 0 {
			out = append(out, Lack{Fixture: id})
		}
	}
	return out, false
}

// tested reports whether a part was tested by a method, and passed.
func (b *board) tested(method, component string) bool {
	ok := false
	for i := range b.Job.Tests {
		t := &b.Job.Tests[i]
		if t.Method == method && componentOf(t.Part) == component {
			ok = t.Result != job.Rejected
		}
	}
	return ok
}

func componentOf(part string) string {
	for i := range part {
		if part[i] == '/' {
			return part[:i]
		}
	}
	return part
}

// stale lists the positions that an operation opened again after they were last
// read: what began later makes what was read before worth nothing.
func (b *board) stale() []Stale {
	opened := map[string]Stale{}
	turn := map[string]int64{}
	for i := range b.Job.Spans {
		b.open(b.Job.Spans[i].Operation, b.Job.Spans[i].Run, b.Job.Spans[i].Seq, opened, turn)
	}
	for i := range b.Job.Dones {
		if d := &b.Job.Dones[i]; d.Outside {
			b.open(d.Operation, d.Run, d.Seq, opened, turn)
		}
	}
	var out []Stale
	for i := range b.Layout.Places {
		if x, ok := opened[b.Layout.Places[i].ID]; ok {
			out = append(out, x)
		}
	}
	return out
}

// open opens what one run of an operation makes worth nothing. A position that
// was read in the very state of that run, or after it began, is as it is.
func (b *board) open(id string, run int, seq int64, opened map[string]Stale, turn map[string]int64) {
	o := b.Catalogue.Operation(id)
	if o == nil || !o.On(b.Layout) {
		return
	}
	state := job.AfterRun(id, run)
	s := b.Route.Step(id)
	for _, char := range o.Reopens {
		for _, i := range b.Layout.Of(char) {
			p := &b.Layout.Places[i]
			r := b.latest[p.ID]
			if r == nil || r.Seq > seq || r.State == state || s != nil && !s.Covers(b.Layout, p.Char.Per, p.At) {
				continue
			}
			if seq > turn[p.ID] {
				opened[p.ID], turn[p.ID] = Stale{p.ID, id, state}, seq
			}
		}
	}
}
