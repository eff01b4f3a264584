package bench

import (
	"context"
	"slices"
	"sync"

	"fettle/internal/base/fault"
)

// Change is what a watcher is told: up to where the log of a job has grown, and
// what the new entries were about.
type Change struct {
	Head  string
	Seq   int64
	Lines []ChangeLine
}

// ChangeLine is one new entry.
type ChangeLine struct {
	Kind, About, Person, Device string
}

// Bounds of watching.
const (
	mostWatchers = 64 // of one job
	mostBehind   = 32 // changes that a watcher may lag
	mostTold     = 50 // entries that one change lists; with more it lists none
)

// watchers are those who look at one job.
type watchers struct {
	mu   sync.Mutex
	list []chan Change
}

func (w *watchers) n() int {
	w.mu.Lock()
	defer w.mu.Unlock()
	return len(w.list)
}

// Watch hands over the changes of a job until stop is called. The channel is
// closed when the watcher lags too far behind: it then looks at the job anew.
//
// Errors: missing where there is no such job; refused where too many watch.
func (b *Bench) Watch(ctx context.Context, id string) (changes <-chan Change, now Change, stop func(), err error) {
	j, err := b.Judge(ctx, id)
	if err != nil {
		return nil, Change{}, nil, err
	}
	s := b.slot(id)
	s.mu.Lock()
	defer s.mu.Unlock()
	s.told = max(s.told, j.Job.Seq)
	w := &s.watchers
	w.mu.Lock()
	defer w.mu.Unlock()
	if len(w.list) >= mostWatchers {
		return nil, Change{}, nil, fault.New(fault.Refused, "bench.too-many-watchers", "most", "64")
	}
	ch := make(chan Change, mostBehind)
	w.list = append(w.list, ch)
	return ch, Change{Head: j.Job.Head.Short(), Seq: j.Job.Seq}, func() { w.leave(ch) }, nil
}

func (w *watchers) leave(ch chan Change) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.list = slices.DeleteFunc(w.list, func(c chan Change) bool { return c == ch })
}

// tell says what has grown since watchers were told last; the slot is held. It
// never waits: who lags too far behind is let go.
func (s *slot) tell(j *Judged) {
	from := s.told
	if j.Job.Seq <= from {
		return
	}
	s.told = j.Job.Seq
	w := &s.watchers
	w.mu.Lock()
	defer w.mu.Unlock()
	if len(w.list) == 0 {
		return
	}
	c := Change{Head: j.Job.Head.Short(), Seq: j.Job.Seq}
	if lines := j.Job.Lines[min(from, int64(len(j.Job.Lines))):]; len(lines) <= mostTold {
		for i := range lines {
			l := &lines[i]
			c.Lines = append(c.Lines, ChangeLine{string(l.Kind), l.About, l.Person, l.Device})
		}
	}
	kept := w.list[:0]
	for _, ch := range w.list {
		select {
		case ch <- c:
			kept = append(kept, ch)
		default:
			close(ch)
		}
	}
	clear(w.list[len(kept):])
	w.list = kept
}
