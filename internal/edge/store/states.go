package store

import (
	"context"
	"slices"
	"strings"
	"sync"

	"fettle/internal/base/fault"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/facts/shop"
)

// mostJobs is how many replayed jobs stay in memory, some 2 MB each.
const mostJobs = 300

// States is a cache of replayed streams. What it hands out never changes and
// may be read by many at once; each asking sees every write acknowledged before
// it. Nothing in it is of its own: dropped, it is replayed from the log.
type States struct {
	store *Store
	shop  slot[shop.State]
	mu    sync.Mutex // guards jobs and turn
	jobs  map[string]*slot[job.State]
	turn  int64
	most  int
}

// NewStates makes an empty cache over a store.
func NewStates(s *Store) *States {
	return &States{store: s, jobs: map[string]*slot[job.State]{}, most: mostJobs}
}

// slot is the newest state of one stream.
type slot[S any] struct {
	mu    sync.Mutex
	state *S
	seq   int64
	head  entry.Hash
	used  int64 // turn of the last asking; guarded by States.mu
}

// fresh brings a slot up to its stream, checking the chain on the way.
func (c *slot[S]) fresh(ctx context.Context, s *Store, stream string, add func(*S, []entry.Row) *S) (*S, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	rows, err := s.Rows(ctx, stream, c.seq+1)
	if err != nil {
		return nil, err
	}
	if len(rows) == 0 {
		return c.state, nil
	}
	seq, head, err := follow(c.seq, c.head, rows)
	if err != nil {
		return nil, err
	}
	c.state, c.seq, c.head = add(c.state, rows), seq, head
	return c.state, nil
}

// at returns the state if it stands at this head.
func (c *slot[S]) at(h Head) *S {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.seq == h.Seq && c.head == h.Hash {
		return c.state
	}
	return nil
}

// Shop returns the shop as its stream has it now.
func (c *States) Shop(ctx context.Context) (*shop.State, error) {
	s, err := c.shop.fresh(ctx, c.store, entry.ShopStream, func(s *shop.State, rows []entry.Row) *shop.State {
		if s == nil {
			return shop.Replay(rows)
		}
		return s.With(rows)
	})
	if s == nil && err == nil {
		s = shop.Replay(nil)
	}
	return s, err
}

// Job returns a job as its stream has it now; one without entries is missing.
func (c *States) Job(ctx context.Context, id string) (*job.State, error) {
	s, err := c.slot(id).fresh(ctx, c.store, entry.JobStream(id), func(s *job.State, rows []entry.Row) *job.State {
		if s == nil {
			return job.Replay(rows)
		}
		return s.With(rows)
	})
	if err == nil && s == nil {
		c.drop(id)
		err = fault.New(fault.Missing, "store.no-job", "id", id)
	}
	return s, err
}

// slot finds or makes the slot of a job. Where there are too many, the one not
// asked for longest makes room.
func (c *States) slot(id string) *slot[job.State] {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.turn++
	sl := c.jobs[id]
	if sl == nil {
		if len(c.jobs) >= c.most {
			delete(c.jobs, c.oldest())
		}
		sl = &slot[job.State]{}
		c.jobs[id] = sl
	}
	sl.used = c.turn
	return sl
}

func (c *States) oldest() string {
	found := ""
	for id, sl := range c.jobs {
		if found == "" || sl.used < c.jobs[found].used {
			found = id
		}
	}
	return found
}

// drop forgets a job that does not exist, so that asking for anything at all
// does not fill the memory.
func (c *States) drop(id string) {
	c.mu.Lock()
	defer c.mu.Unlock()
	delete(c.jobs, id)
}

// Jobs returns every job as it is now, by id. A job that cannot be read is left
// out and stands in the fault.List; the others are returned all the same. Asked
// once at the start, it also warms the cache.
func (c *States) Jobs(ctx context.Context) (map[string]*job.State, error) {
	heads, err := c.store.Streams(ctx)
	if err != nil {
		return nil, err
	}
	out := make(map[string]*job.State, len(heads))
	var found fault.List
	for _, h := range heads {
		id, ok := strings.CutPrefix(h.Stream, entry.JobStream(""))
		if !ok {
			continue
		}
		if s := c.slot(id).at(h); s != nil {
			out[id] = s
			continue
		}
		s, err := c.Job(ctx, id)
		if err != nil {
			found = append(found, fault.All(err)...)
			continue
		}
		out[id] = s
	}
	return out, found.OrNil()
}

// IDs lists the jobs of such a map in order.
func IDs(jobs map[string]*job.State) []string {
	out := make([]string, 0, len(jobs))
	for id := range jobs {
		out = append(out, id)
	}
	slices.Sort(out)
	return out
}
