// Package bench is the one place through which facts enter: a page, a program
// and the command line all call it. It holds what is judged of each job, checks
// what is new against family and shop, writes it to the log and judges again.
package bench

import (
	"context"
	"sync"
	"sync/atomic"
	"time"

	"fettle/internal/base/fault"
	"fettle/internal/edge/store"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/facts/shop"
	"fettle/internal/judge/assess"
	"fettle/internal/know/family"
	"fettle/internal/know/library"
)

// Bench is the bench of one workshop. It may be used from everywhere at once.
type Bench struct {
	store   *store.Store
	states  *store.States
	library *library.Library                // what it began with: instruments, conditions, sources, words stay
	held    atomic.Pointer[library.Library] // the same with the families that hold now
	adopt   sync.Mutex                      // held by whoever takes up a family
	clock   func() time.Time

	mu    sync.Mutex // guards the rest
	slots map[string]*slot
	turn  int64
	most  int
	shop  *shop.State

	hands hands

	dark chan struct{} // holds the one photo that is being read

	stock sync.Mutex // held by whoever gives out or takes off a piece of the shelf
	given given

	shopWrite sync.Mutex // held by whoever writes to the shop's log with a key of his own
}

// New puts a bench before a store. All writes to the store must go through it.
func New(s *store.Store, lib *library.Library, clock func() time.Time) *Bench {
	b := &Bench{store: s, states: store.NewStates(s), library: lib, clock: clock, slots: map[string]*slot{}, most: mostJudged, dark: make(chan struct{}, 1)}
	b.held.Store(lib)
	return b
}

// Library is the knowledge that holds now. A job is judged by the version of
// its family that it is pinned to.
func (b *Bench) Library() *library.Library { return b.held.Load() }

// Judged is one job with all that follows from its facts. It never changes.
type Judged struct {
	Assessment *assess.Assessment
	Layout     *family.Layout // the version it is judged by
	Newest     *family.Layout // the version that holds now
	Job        *job.State
	Shop       *shop.State
}

// Mark tells two judgements apart: what they know and what they know it by.
func (j *Judged) Mark() string {
	return j.Job.Head.Short() + "-" + j.Shop.Head.Short() + "-" + short(j.Layout.Digest) + "-" + short(j.Newest.Digest)
}

func short(digest string) string { return digest[:min(12, len(digest))] }

// mostJudged is how many judged jobs stay in memory, some 5 MB each.
const mostJudged = 128

// slot is the newest judgement of one job.
type slot struct {
	mu   sync.Mutex // held by whoever writes to the job or judges it
	seen sync.RWMutex
	now  *Judged // nil: not judged yet, or set aside
	sum  *Summary
	used int64

	counts   map[string]int64 // device -> number of its last item; guarded by mu
	watchers watchers
	told     int64 // sequence that watchers know of; guarded by mu
}

// load is the judgement if it knows the shop as it is and the family that holds.
func (s *slot) load(head entry.Hash, lib *library.Library) *Judged {
	s.seen.RLock()
	defer s.seen.RUnlock()
	if s.now != nil && s.now.Shop.Head == head && s.now.Newest == newest(lib, s.now.Job) {
		return s.now
	}
	return nil
}

func (s *slot) store(j *Judged, sum *Summary) {
	s.seen.Lock()
	defer s.seen.Unlock()
	s.now, s.sum = j, sum
}

// slot finds or makes the slot of a job, and sets aside the judgement that was
// asked for longest ago where there are too many.
func (b *Bench) slot(id string) *slot {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.turn++
	s := b.slots[id]
	if s == nil {
		s = &slot{}
		b.slots[id] = s
	}
	s.used = b.turn
	if len(b.slots) > b.most {
		b.setAside()
	}
	return s
}

// setAside drops the oldest judgements but keeps their summaries.
func (b *Bench) setAside() {
	held := 0
	var oldest *slot
	for _, s := range b.slots {
		s.seen.RLock()
		full := s.now != nil
		s.seen.RUnlock()
		if !full {
			continue
		}
		held++
		if oldest == nil || s.used < oldest.used {
			oldest = s
		}
	}
	if held > b.most {
		oldest.seen.Lock()
		oldest.now = nil
		oldest.seen.Unlock()
	}
}

// Shop is the workshop as its log has it.
func (b *Bench) Shop(ctx context.Context) (*shop.State, error) {
	b.mu.Lock()
	s := b.shop
	b.mu.Unlock()
	if s != nil {
		return s, nil
	}
	s, err := b.states.Shop(ctx)
	if err == nil {
		b.mu.Lock()
		b.shop = s
		b.mu.Unlock()
	}
	return s, err
}

// Judge returns a job as it is judged now. It is judged once for each change
// of its facts; who asks meanwhile waits for that one judgement.
//
// Errors: missing where there is no such job or its family is not known here.
func (b *Bench) Judge(ctx context.Context, id string) (*Judged, error) {
	sh, err := b.Shop(ctx)
	if err != nil {
		return nil, err
	}
	s := b.slot(id)
	if j := s.load(sh.Head, b.Library()); j != nil {
		return j, nil
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if j := s.load(sh.Head, b.Library()); j != nil {
		return j, nil
	}
	return b.judge(ctx, id, s)
}

// judge judges a job anew; its slot is held.
func (b *Bench) judge(ctx context.Context, id string, s *slot) (*Judged, error) {
	sh, err := b.Shop(ctx)
	if err != nil {
		return nil, err
	}
	st, err := b.states.Job(ctx, id)
	if err != nil {
		b.forget(id)
		return nil, fault.New(fault.Missing, "bench.no-job", "found", id).Because(err)
	}
	lib := b.Library()
	l, _ := lib.Pinned(st.Family, st.Pinned)
	if l == nil {
		return nil, fault.New(fault.Missing, "bench.no-family", "family", st.Family)
	}
	a, err := assess.Evaluate(assess.Knowledge{Library: lib.By(l), Layout: l}, assess.Facts{Job: st, Shop: sh}, assess.Plan{})
	if err != nil {
		return nil, err
	}
	j := &Judged{Assessment: a, Layout: l, Newest: newest(lib, st), Job: st, Shop: sh}
	s.store(j, summarise(j))
	s.tell(j)
	return j, nil
}

// newest is the version of a job's family that holds now; where none does any
// more, the one that the job stands on.
func newest(lib *library.Library, st *job.State) *family.Layout {
	if l := lib.Families[st.Family]; l != nil {
		return l
	}
	l, _ := lib.Pinned(st.Family, st.Pinned)
	return l
}

// knowledge is what a job is judged by that stands on a version of a family.
func (b *Bench) knowledge(l *family.Layout) assess.Knowledge {
	return assess.Knowledge{Library: b.Library().By(l), Layout: l}
}

// forget drops the slot of a job that does not exist, so that asking for
// anything at all does not fill the memory.
func (b *Bench) forget(id string) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if s := b.slots[id]; s != nil && s.sum == nil && s.watchers.n() == 0 {
		delete(b.slots, id)
	}
}

// Receipt is what a write returns, with the judgement that follows from it.
type Receipt struct {
	entry.Receipt
	Judged *Judged
	Again  bool // the same fact was stored before; this is its first receipt
}

// write appends one entry to a job and judges it again. The same fact under the
// same key, though at another time, is answered with its first receipt.
func (b *Bench) write(ctx context.Context, id string, s *slot, e entry.Entry) (Receipt, error) {
	first, err := b.stored(ctx, id, e)
	if err != nil {
		return Receipt{}, err
	}
	if first == nil {
		got, err := b.store.Append(ctx, []entry.Entry{e})
		if err != nil {
			return Receipt{}, err
		}
		j, err := b.judge(ctx, id, s)
		return Receipt{Receipt: got[0], Judged: j}, err
	}
	j, err := b.judge(ctx, id, s)
	return Receipt{Receipt: *first, Judged: j, Again: true}, err
}

// stored finds the receipt of an entry that was stored before.
func (b *Bench) stored(ctx context.Context, id string, e entry.Entry) (*entry.Receipt, error) {
	st, err := b.states.Job(ctx, id)
	if err != nil {
		return nil, fault.New(fault.Missing, "bench.no-job", "found", id).Because(err)
	}
	for i := range st.Lines {
		if st.Lines[i].Key != e.Key.String() {
			continue
		}
		rows, err := b.store.Rows(ctx, e.Stream, st.Lines[i].Seq)
		if err != nil || len(rows) == 0 {
			return nil, err
		}
		was := rows[0].Entry
		was.Time = e.Time
		if !was.Same(&e) {
			return nil, fault.New(fault.Conflict, "bench.other-content")
		}
		return &entry.Receipt{Stream: e.Stream, Seq: rows[0].Seq, Head: rows[0].Hash.String()}, nil
	}
	return nil, nil
}

// now is the bench's clock in the log's unit.
func (b *Bench) now() int64 { return b.clock().UnixMicro() }
