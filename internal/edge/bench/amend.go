package bench

import (
	"context"
	"strings"

	"fettle/internal/base/fault"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
)

// Amendment names a reading and says who changes what about it, and why.
type Amendment struct {
	Job, Target    string // Target: key of the reading entry
	Reason         string
	Person, Device string
	Key            entry.Key
	Time           int64
}

// Correct replaces a reading by another at the same position; both stay.
func (b *Bench) Correct(ctx context.Context, a Amendment, in Reading) (Done, error) {
	j, err := b.Judge(ctx, a.Job)
	if err != nil {
		return Done{}, err
	}
	s := b.slot(a.Job)
	s.mu.Lock()
	defer s.mu.Unlock()
	old, faults := b.target(j, a)
	if old == nil {
		return Done{}, faults
	}
	in.Job, in.Position = a.Job, old.Position
	in.Person = a.Person
	r, more := check(b, j, &in)
	if err := append(faults, more...).OrNil(); err != nil {
		return Done{}, dedupe(append(faults, more...))
	}
	p := job.CorrectionV1{Target: a.Target, Reading: r, Reason: strings.TrimSpace(a.Reason)}
	e, err := entry.New(entry.JobStream(a.Job), a.Key, entry.Correction, a.Person, a.Device, b.when(a.Time), p)
	if err != nil {
		return Done{}, err
	}
	return b.done(ctx, j, s, e, r)
}

// dedupe drops a fault that was found twice at one field.
func dedupe(l fault.List) fault.List {
	var out fault.List
	seen := map[string]bool{}
	for _, f := range l {
		if k := f.Path + f.Key; !seen[k] {
			seen[k] = true
			out = append(out, f)
		}
	}
	return out
}

// Withdraw takes a reading out of all results; it stays in the log.
func (b *Bench) Withdraw(ctx context.Context, a Amendment) (Done, error) {
	j, err := b.Judge(ctx, a.Job)
	if err != nil {
		return Done{}, err
	}
	s := b.slot(a.Job)
	s.mu.Lock()
	defer s.mu.Unlock()
	old, faults := b.target(j, a)
	if len(faults) > 0 {
		return Done{}, faults
	}
	p := job.WithdrawalV1{Target: a.Target, Reason: strings.TrimSpace(a.Reason)}
	e, err := entry.New(entry.JobStream(a.Job), a.Key, entry.Withdrawal, a.Person, a.Device, b.when(a.Time), p)
	if err != nil {
		return Done{}, err
	}
	return b.done(ctx, j, s, e, old.ReadingV1)
}

// target finds the reading of an amendment and checks its words. A reading that
// this very amendment took out earlier is still its target.
func (b *Bench) target(j *Judged, a Amendment) (*job.Reading, fault.List) {
	var faults fault.List
	old, ok := j.Job.Find(a.Target)
	if !ok {
		return nil, fault.List{fault.New(fault.Missing, "bench.no-reading", "found", a.Target).In("target")}
	}
	if !old.Counts() && !written(j, a.Key) {
		return nil, fault.List{fault.New(fault.Conflict, "bench.gone", "how", old.Voided).In("target")}
	}
	if strings.TrimSpace(a.Reason) == "" {
		faults = append(faults, fault.New(fault.Invalid, "bench.no-reason").In("reason"))
	}
	faults = append(faults, tooLong("reason", a.Reason)...)
	return old, append(faults, personFaults(j.Shop, a.Person)...)
}

// written reports whether a job's log holds an entry of this key.
func written(j *Judged, key entry.Key) bool {
	text := key.String()
	for i := range j.Job.Lines {
		if j.Job.Lines[i].Key == text {
			return true
		}
	}
	return false
}

// Answer answers a question that a reading raised: keep, wrong, corrected or repeat.
func (b *Bench) Answer(ctx context.Context, a Amendment, question, answer string) (Done, error) {
	j, err := b.Judge(ctx, a.Job)
	if err != nil {
		return Done{}, err
	}
	s := b.slot(a.Job)
	s.mu.Lock()
	defer s.mu.Unlock()
	old, ok := j.Job.Find(a.Target)
	if !ok {
		return Done{}, fault.List{fault.New(fault.Missing, "bench.no-reading", "found", a.Target).In("target")}
	}
	faults := answerFaults(j, a.Target, question, answer)
	faults = append(append(faults, tooLong("reason", a.Reason)...), personFaults(j.Shop, a.Person)...)
	if err := faults.OrNil(); err != nil {
		return Done{}, err
	}
	p := job.AnsweredV1{Target: a.Target, About: question, Answer: answer, Reason: strings.TrimSpace(a.Reason)}
	e, err := entry.New(entry.JobStream(a.Job), a.Key, entry.Answered, a.Person, a.Device, b.when(a.Time), p)
	if err != nil {
		return Done{}, err
	}
	return b.done(ctx, j, s, e, old.ReadingV1)
}
