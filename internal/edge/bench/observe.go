package bench

import (
	"context"
	"strings"

	"fettle/internal/base/fault"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
)

// Observation is what a person saw on a part, or looked for and did not find.
type Observation struct {
	Job, Part, At          string
	Kind, Severity, Within string // ids of the catalogue; Kind "" is words alone
	Absent, Others         bool   // not there; not there on the other parts of this component
	Saw, Note              string
	Person, Device         string
	Key                    entry.Key
	Time                   int64
}

// Observe checks an observation against family and catalogue and stores it.
//
// Errors: every problem at once, each with the field it belongs to as its path.
func (b *Bench) Observe(ctx context.Context, in Observation) (Receipt, error) {
	j, err := b.Judge(ctx, in.Job)
	if err != nil {
		return Receipt{}, err
	}
	s := b.slot(in.Job)
	s.mu.Lock()
	defer s.mu.Unlock()
	p := job.ObservationV2{Part: in.Part, At: in.At, Kind: in.Kind, Severity: in.Severity, Within: in.Within, Absent: in.Absent, Others: in.Others,
		Saw: strings.TrimSpace(in.Saw), Note: strings.TrimSpace(in.Note)}
	faults := append(b.seenFaults(j, &p), personFaults(j.Shop, in.Person)...)
	faults = append(append(faults, tooLong("saw", p.Saw)...), tooLong("note", p.Note)...)
	if err := faults.OrNil(); err != nil {
		return Receipt{}, err
	}
	e, err := entry.New(entry.JobStream(in.Job), in.Key, entry.Observation, in.Person, in.Device, b.when(in.Time), p)
	if err != nil {
		return Receipt{}, err
	}
	e.Version = 2
	return b.write(ctx, in.Job, s, e)
}

// seenFaults holds an observation against the engine and the catalogue.
func (b *Bench) seenFaults(j *Judged, p *job.ObservationV2) (faults fault.List) {
	say := func(field, key string, pairs ...string) {
		faults = append(faults, fault.New(fault.Invalid, key, pairs...).In(field))
	}
	comp, _, ok := j.Layout.Spot(p.Part)
	if !ok {
		say("part", "bench.no-part", "found", p.Part)
		return faults
	}
	if !j.Job.InScope(comp.System) {
		faults = append(faults, fault.New(fault.Refused, "bench.out-of-scope").In("part"))
	}
	if p.At != "" && !j.Layout.On(comp.ID, p.At) {
		say("at", "bench.no-at", "found", p.At)
	}
	kinds := b.library.Observations()
	if p.Kind == "" {
		if p.Saw == "" {
			say("kind", "bench.saw-nothing")
		}
		if p.Absent || p.Others {
			say("kind", "bench.absent-what")
		}
		p.Severity, p.Within = "", ""
		return faults
	}
	kind, known := kinds.Kind(p.Kind)
	switch {
	case !known:
		say("kind", "bench.unknown-kind", "found", p.Kind)
	case !kind.On(comp.ID):
		say("kind", "bench.not-on-part", "found", p.Kind, "part", comp.ID)
	}
	if p.Absent {
		p.Severity, p.Within, p.Others = "", "", false
		return faults
	}
	if p.Severity == "" {
		say("severity", "bench.how-bad")
	} else if kinds.Rank(p.Severity) == 0 {
		say("severity", "bench.unknown-severity", "found", p.Severity)
	}
	if p.Within == "" {
		return faults
	}
	for _, w := range kinds.Places(comp.ID) {
		if w.ID == p.Within {
			return faults
		}
	}
	say("within", "bench.no-within", "found", p.Within, "part", comp.ID)
	return faults
}
