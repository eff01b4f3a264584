package bench

import (
	"context"
	"strings"

	"fettle/internal/base/fault"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/judge/assess"
	"fettle/internal/judge/gauge"
	"fettle/internal/know/family"
	"fettle/internal/know/revise"
)

// Repin is what a move to the version of the family that holds now would do to
// a job.
type Repin struct {
	From, To    *family.Layout
	Exact       bool // From is the version the job is pinned to; false where that one is not held any more
	Differences []revise.Difference
	Changes     []gauge.Change // verdicts that would be others
	Moved       int            // values that change without another verdict
	Gone        []string       // positions with readings that To does not have
	After       *assess.Assessment
}

// PreviewRepin judges a job by the version of its family that holds now and
// says what would be different. Nothing is written.
func (b *Bench) PreviewRepin(ctx context.Context, id string) (*Repin, *Judged, error) {
	j, err := b.Judge(ctx, id)
	if err != nil {
		return nil, nil, err
	}
	_, exact := b.Library().Pinned(j.Job.Family, j.Job.Pinned)
	r := &Repin{From: j.Layout, To: j.Newest, Exact: exact}
	if r.To.Digest == j.Job.Pinned {
		return r, j, nil
	}
	r.Differences = revise.Diff(r.From.Family, r.To.Family)
	r.After, err = assess.Evaluate(b.knowledge(r.To), assess.Facts{Job: j.Job, Shop: j.Shop}, assess.Plan{})
	if err != nil {
		return nil, nil, err
	}
	r.Changes, r.Moved = gauge.Compare(j.Assessment, r.After)
	seen := map[string]bool{}
	for _, rd := range j.Job.Sorted() {
		if _, ok := r.To.Find(rd.Position); !ok && !seen[rd.Position] {
			seen[rd.Position] = true
			r.Gone = append(r.Gone, rd.Position)
		}
	}
	return r, j, nil
}

// Move names a move to another version of the family, as it was previewed.
type Move struct {
	Job, To        string // To: digest of the version that was previewed
	Reason         string
	Person, Device string
	Key            entry.Key
}

// Repin moves a job to the version of its family that holds now and judges it
// again.
func (b *Bench) Repin(ctx context.Context, m Move) (Receipt, error) {
	j, err := b.Judge(ctx, m.Job)
	if err != nil {
		return Receipt{}, err
	}
	s := b.slot(m.Job)
	s.mu.Lock()
	defer s.mu.Unlock()
	st, err := b.states.Job(ctx, m.Job)
	if err != nil {
		return Receipt{}, err
	}
	j = &Judged{Job: st, Shop: j.Shop, Newest: newest(b.Library(), st)}
	old, again := st.Pinned, false
	for _, r := range st.Repins { // the same form sent twice names the version it left
		if written(j, m.Key) && r.New == m.To {
			old, again = r.Old, true
		}
	}
	var faults fault.List
	switch {
	case again:
	case old == j.Newest.Digest:
		faults = append(faults, fault.New(fault.Conflict, "bench.no-other-version").In("to"))
	case m.To != j.Newest.Digest:
		faults = append(faults, fault.New(fault.Conflict, "bench.other-version", "found", short(m.To), "holds", short(j.Newest.Digest)).In("to"))
	}
	if strings.TrimSpace(m.Reason) == "" {
		faults = append(faults, fault.New(fault.Invalid, "bench.no-reason").In("reason"))
	}
	faults = append(append(faults, tooLong("reason", m.Reason)...), personFaults(j.Shop, m.Person)...)
	if err := faults.OrNil(); err != nil {
		return Receipt{}, err
	}
	p := job.RepinnedV1{Old: old, New: m.To, Reason: strings.TrimSpace(m.Reason)}
	e, err := entry.New(entry.JobStream(m.Job), m.Key, entry.FamilyRepinned, m.Person, m.Device, b.now(), p)
	if err != nil {
		return Receipt{}, err
	}
	return b.write(ctx, m.Job, s, e)
}
