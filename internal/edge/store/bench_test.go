package store

import (
	"context"
	"fmt"
	"slices"
	"sync"
	"testing"
	"time"

	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
)

// The figures in doc/reliability.md come from here:
//
//	go test -run '^$' -bench . ./internal/edge/store

func BenchmarkAppendOne(b *testing.B) {
	s := open(b, b.TempDir())
	i := 0
	for b.Loop() {
		mustAppend(b, s, fact(b, "job/1", 1, i))
		i++
	}
}

func BenchmarkAppend1200(b *testing.B) {
	s := open(b, b.TempDir())
	i := 0
	for b.Loop() {
		mustAppend(b, s, facts(b, "job/"+fmt.Sprint(i), i, 0, 1200)...)
		i++
	}
}

// hundred is a store with 100 jobs of 1,200 readings.
func hundred(b *testing.B) *Store {
	s := open(b, b.TempDir())
	for i := range 100 {
		mustAppend(b, s, facts(b, "job/"+fmt.Sprint(i), i+1, 0, 1200)...)
	}
	return s
}

func BenchmarkHundredJobs(b *testing.B) {
	ctx := context.Background()
	s := hundred(b)
	b.Run("rows", func(b *testing.B) {
		for b.Loop() {
			if rows, err := s.Rows(ctx, "job/50", 1); err != nil || len(rows) != 1200 {
				b.Fatal(len(rows), err)
			}
		}
	})
	b.Run("streams", func(b *testing.B) {
		for b.Loop() {
			if heads, err := s.Streams(ctx); err != nil || len(heads) != 100 {
				b.Fatal(len(heads), err)
			}
		}
	})
	b.Run("state-first", func(b *testing.B) {
		for b.Loop() {
			if _, err := NewStates(s).Job(ctx, "50"); err != nil {
				b.Fatal(err)
			}
		}
	})
	c := NewStates(s)
	b.Run("state-again", func(b *testing.B) {
		for b.Loop() {
			if _, err := c.Job(ctx, "50"); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("jobs-first", func(b *testing.B) {
		for b.Loop() {
			if _, err := NewStates(s).Jobs(ctx); err != nil {
				b.Fatal(err)
			}
		}
	})
	if _, err := c.Jobs(ctx); err != nil {
		b.Fatal(err)
	}
	b.Run("jobs-again", func(b *testing.B) {
		for b.Loop() {
			if jobs, err := c.Jobs(ctx); err != nil || len(jobs) != 100 {
				b.Fatal(len(jobs), err)
			}
		}
	})
	b.Run("verify", func(b *testing.B) {
		for b.Loop() {
			if _, err := s.Verify(ctx); err != nil {
				b.Fatal(err)
			}
		}
	})
	i := 1200
	b.Run("state-after-a-write", func(b *testing.B) {
		for b.Loop() {
			b.StopTimer()
			mustAppend(b, s, fact(b, "job/50", 51, i))
			i++
			b.StartTimer()
			if _, err := c.Job(ctx, "50"); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("eight-writers", func(b *testing.B) { eightWriters(b, s, c, i) })
}

// eightWriters asks for states while 8 others each write one reading a second,
// and reports the slowest asking in a hundred.
func eightWriters(b *testing.B, s *Store, c *States, next int) {
	ctx, stop := context.WithCancel(context.Background())
	var wg sync.WaitGroup
	for w := range 8 {
		wg.Go(func() {
			beat := time.NewTicker(time.Second)
			defer beat.Stop()
			for i := next; ; i++ {
				if _, err := s.Append(context.Background(), []entry.Entry{fact(b, fmt.Sprintf("job/%d", w), 200+w, i)}); err != nil {
					b.Error(err)
				}
				select {
				case <-ctx.Done():
					return
				case <-beat.C:
				}
			}
		})
	}
	var took []time.Duration
	for i := 0; b.Loop(); i++ {
		began := time.Now()
		j, err := c.Job(ctx, fmt.Sprint(i%8))
		if err != nil {
			b.Fatal(err)
		}
		took = append(took, time.Since(began))
		sink = j
	}
	stop()
	wg.Wait()
	slices.Sort(took)
	b.ReportMetric(float64(took[len(took)*99/100].Microseconds()), "p99-µs")
	b.ReportMetric(float64(took[len(took)-1].Microseconds()), "max-µs")
}

var sink *job.State

// BenchmarkOpen is the start on an existing log.
func BenchmarkOpen(b *testing.B) {
	dir := b.TempDir()
	open(b, dir).Close()
	for b.Loop() {
		s, err := Open(context.Background(), dir, tick())
		if err != nil {
			b.Fatal(err)
		}
		s.Close()
	}
}
