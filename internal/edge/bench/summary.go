package bench

import (
	"context"
	"sort"
	"strings"

	"fettle/internal/base/fault"
	"fettle/internal/facts/entry"
	"fettle/internal/judge/assess"
	"fettle/internal/know/family"
)

// Summary is what a list of jobs says of one.
type Summary struct {
	Job, Title, Family string
	Invented           bool
	Tally              assess.Tally
	Findings, Open     int
	Last               int64 // writer's time of the last entry, µs
	Problem            *fault.Fault
	shop               entry.Hash
	newest             *family.Layout
}

func summarise(j *Judged) *Summary {
	a := j.Assessment
	s := &Summary{Job: a.Job, Title: a.Title, Family: a.Family, Invented: a.Invented, Tally: a.Tally, Findings: len(a.Findings),
		Last: j.Job.Last, shop: j.Shop.Head, newest: j.Newest}
	for i := range a.Questions {
		if a.Questions[i].Answer == "" {
			s.Open++
		}
	}
	return s
}

// Summary is what a list says of this job.
func (j *Judged) Summary() Summary { return *summarise(j) }

// Jobs lists every job, the one written to last first. A job that cannot be
// judged stands in the list with what is wrong.
func (b *Bench) Jobs(ctx context.Context) ([]Summary, error) {
	heads, err := b.store.Streams(ctx)
	if err != nil {
		return nil, err
	}
	sh, err := b.Shop(ctx)
	if err != nil {
		return nil, err
	}
	lib := b.Library()
	var out []Summary
	for _, h := range heads {
		id, ok := strings.CutPrefix(h.Stream, entry.JobStream(""))
		if !ok {
			continue
		}
		s := b.slot(id)
		s.seen.RLock()
		sum := s.sum
		s.seen.RUnlock()
		if sum == nil || sum.shop != sh.Head || sum.newest != lib.Families[sum.Family] {
			j, err := b.Judge(ctx, id)
			if err != nil {
				sum = &Summary{Job: id, Problem: fault.All(err)[0]}
			} else {
				sum = summarise(j)
			}
		}
		out = append(out, *sum)
	}
	sort.SliceStable(out, func(i, k int) bool { return out[i].Last > out[k].Last })
	return out, nil
}
