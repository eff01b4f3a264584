package store

import (
	"context"
	"fmt"
	"slices"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/facts/shop"
)

// Law: a state from the cache is the replay of the log, after every write.
func TestStatesAreReplays(t *testing.T) {
	ctx := context.Background()
	s := open(t, t.TempDir())
	c := NewStates(s)
	if sh, err := c.Shop(ctx); err != nil || sh.Seq != 0 || len(sh.People) != 0 {
		t.Errorf("the shop before its first entry: %+v, %v", sh, err)
	}
	if _, err := c.Job(ctx, "1"); key(err) != "store.no-job" || len(c.jobs) != 0 {
		t.Errorf("a job without entries: %v, %d slots", err, len(c.jobs))
	}
	person, err := entry.New(entry.ShopStream, entry.Key{7}, entry.PersonKnown, "p-1", "", 1, shop.PersonV1{Person: "p-1", Initials: "AB"})
	if err != nil {
		t.Fatal(err)
	}
	first := fact(t, "job/1", 1, 0)
	void, err := entry.New("job/1", entry.Key{8}, entry.Withdrawal, "p-1", "", 1, job.WithdrawalV1{Target: first.Key.String(), Reason: "r"})
	if err != nil {
		t.Fatal(err)
	}
	var before []*job.State
	for _, batch := range [][]entry.Entry{{first}, facts(t, "job/1", 1, 1, 4), {person}, {void, fact(t, "job/1", 1, 4)}} {
		mustAppend(t, s, batch...)
		rows, err := s.Rows(ctx, "job/1", 1)
		if err != nil {
			t.Fatal(err)
		}
		j, err := c.Job(ctx, "1")
		if d := cmp.Diff(job.Replay(rows), j, cmp.AllowUnexported(job.State{}), cmpopts.EquateEmpty()); err != nil || d != "" {
			t.Errorf("%v %s", err, d)
		}
		before = append(before, j)
	}
	if before[1] != before[2] {
		t.Error("a write to another stream made a new state")
	}
	if !before[0].Readings[0].Counts() || before[3].Readings[0].Counts() || len(before[0].Readings) != 1 {
		t.Error("a state that was handed out has changed")
	}
	if sh, err := c.Shop(ctx); err != nil || sh.People["p-1"].Initials != "AB" || sh.Seq != 1 {
		t.Errorf("the shop: %+v, %v", sh, err)
	}
	mustAppend(t, s, fact(t, "job/0", 2, 0))
	jobs, err := c.Jobs(ctx)
	if err != nil || !slices.Equal(IDs(jobs), []string{"0", "1"}) || jobs["1"] != before[3] {
		t.Errorf("%v, %v", IDs(jobs), err)
	}
}

// Law: only so many jobs stay in memory, and those last asked for.
func TestStatesForget(t *testing.T) {
	ctx := context.Background()
	s := open(t, t.TempDir())
	c := NewStates(s)
	c.most = 2
	for i := range 3 {
		mustAppend(t, s, fact(t, fmt.Sprintf("job/%d", i), i+1, 0))
	}
	for _, id := range []string{"0", "1", "0", "2"} {
		if j, err := c.Job(ctx, id); err != nil || len(j.Readings) != 1 {
			t.Fatalf("%s: %+v, %v", id, j, err)
		}
	}
	if len(c.jobs) != 2 || c.jobs["0"] == nil || c.jobs["2"] == nil {
		t.Errorf("%d slots kept", len(c.jobs))
	}
	if jobs, err := c.Jobs(ctx); err != nil || len(jobs) != 3 {
		t.Errorf("%d jobs, %v", len(jobs), err)
	}
}

// Law: whoever asks after a write was acknowledged sees it, and a state that was
// handed out can be read while others write. The race detector looks on.
func TestStatesAtOnce(t *testing.T) {
	ctx := context.Background()
	s := open(t, t.TempDir())
	c := NewStates(s)
	const writers, each = 4, 20
	var wg sync.WaitGroup
	for w := range writers {
		wg.Go(func() {
			id := fmt.Sprint(w % 2)
			for i := range each {
				r, err := s.Append(ctx, []entry.Entry{fact(t, "job/"+id, w+1, i)})
				if err != nil {
					t.Error(err)
					return
				}
				j, err := c.Job(ctx, id)
				if err != nil || j.Seq < r[0].Seq {
					t.Errorf("the state stands at %v after %d was acknowledged: %v", j, r[0].Seq, err)
					return
				}
				if got, ok := j.Find(fact(t, "job/"+id, w+1, i).Key.String()); !ok || got.Seq != r[0].Seq {
					t.Errorf("the reading is not in the state")
				}
				if n := len(j.Sorted()); n != int(j.Seq) {
					t.Errorf("%d readings at sequence %d", n, j.Seq)
				}
				if _, err := c.Jobs(ctx); err != nil {
					t.Error(err)
				}
			}
		})
	}
	wg.Wait()
}
