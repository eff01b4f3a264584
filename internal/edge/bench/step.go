package bench

import (
	"context"
	"crypto/sha256"
	"slices"
	"strings"

	"fettle/internal/base/fault"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/know/family"
)

// Step is who does something to a job before it is measured, and why where a
// gate asks.
type Step struct {
	Job            string
	Person, Device string
	Key            entry.Key
	Time           int64 // writer's clock, µs; 0 takes the bench's
	Reason         string
	Mark           byte // decimal mark of every number here
}

// passing is what a step becomes: a payload, the gates that are passed open on
// the way, and what is wrong.
type passing struct {
	payload any
	passed  []job.OverriddenV1
	faults  fault.List
	before  []entry.Entry // of the shop's log, stored with it; shopWrite is held
}

func (p *passing) say(field string, f *fault.Fault) { p.faults = append(p.faults, f.In(field)) }

// step checks and stores one step, the gates it passes before it, all or
// nothing, and judges again.
func (b *Bench) step(ctx context.Context, in *Step, kind entry.Kind, make func(j *Judged) passing) (Receipt, error) {
	j, err := b.Judge(ctx, in.Job)
	if err != nil {
		return Receipt{}, err
	}
	s := b.slot(in.Job)
	s.mu.Lock()
	defer s.mu.Unlock()
	if in.Mark == 0 {
		in.Mark = '.'
	}
	in.Reason = strings.TrimSpace(in.Reason)
	return b.put(ctx, in, j, s, kind, make(j))
}

// put stores a step that was checked, with the gates that it passes and what
// has to stand before it; the job's slot is held. What was sent again gets the
// first receipt.
func (b *Bench) put(ctx context.Context, in *Step, j *Judged, s *slot, kind entry.Kind, p passing) (Receipt, error) {
	p.faults = append(append(p.faults, personFaults(j.Shop, in.Person)...), tooLong("reason", in.Reason)...)
	if err := p.faults.OrNil(); err != nil {
		return Receipt{}, dedupe(p.faults)
	}
	at := b.when(in.Time)
	e, err := entry.New(entry.JobStream(in.Job), in.Key, kind, in.Person, in.Device, at, p.payload)
	if err != nil {
		return Receipt{}, err
	}
	first, err := b.stored(ctx, in.Job, e)
	if err != nil {
		return Receipt{}, err
	}
	if first != nil {
		return Receipt{Receipt: *first, Judged: j, Again: true}, nil
	}
	var list []entry.Entry
	for _, o := range p.passed {
		pass, err := entry.New(e.Stream, passKey(in.Key, o.Gate), entry.Overridden, in.Person, in.Device, at, o)
		if err != nil {
			return Receipt{}, err
		}
		list = append(list, pass)
	}
	list = append(list, p.before...)
	got, err := b.store.Append(ctx, append(list, e))
	if err == nil && len(p.before) > 0 {
		err = b.shopAgain(ctx)
	}
	if err != nil {
		return Receipt{}, err
	}
	j, err = b.judge(ctx, in.Job, s)
	return Receipt{Receipt: got[len(got)-1], Judged: j}, err
}

// passKey is the key of a gate that was passed by the step of a key.
func passKey(step entry.Key, gate string) (k entry.Key) {
	sum := sha256.Sum256(append(step[:], gate...))
	copy(k[:], sum[:])
	return k
}

// asks passes a gate if there is a reason, and asks for one if there is not.
func (p *passing) asks(in *Step, gate, part string, open int) {
	if in.Reason == "" {
		p.say("reason", fault.New(fault.Conflict, "bench.gate-open", "gate", gate))
		return
	}
	p.passed = append(p.passed, job.OverriddenV1{Gate: gate, Part: part, Open: open, Reason: in.Reason})
}

// partOf checks that an engine has a part or a component.
func (p *passing) partOf(l *family.Layout, field, part string) string {
	part = strings.TrimSpace(part)
	if l.Component(part) != nil || slices.Contains(l.Parts(), part) {
		return part
	}
	p.say(field, fault.New(fault.Invalid, "bench.no-part", "found", part))
	return part
}

// text wants some words, and not too many.
func (p *passing) text(field, s string, must bool) string {
	s = strings.TrimSpace(s)
	if s == "" && must {
		p.say(field, fault.New(fault.Invalid, "bench.no-text"))
	}
	p.faults = append(p.faults, tooLong(field, s)...)
	return s
}

func component(part string) string {
	id, _, _ := strings.Cut(part, "/")
	return id
}

// Now is the bench's clock, µs since 1970 UTC.
func (b *Bench) Now() int64 { return b.now() }
