package bench

import (
	"context"
	"slices"
	"strconv"
	"strings"
	"time"

	"fettle/internal/base/fault"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/judge/gate"
	"fettle/internal/judge/route"
	"fettle/internal/know/operation"
)

// Route is the route of a job as it stands, counted up to now.
//
// Errors: none where the knowledge is sound; a job that asks for what its engine
// does not have is named.
func (b *Bench) Route(j *Judged) (route.Board, error) {
	c := b.library.Operations()
	r, err := route.Of(c, j.Layout, j.Assessment, j.Job)
	if err != nil {
		return route.Board{}, err
	}
	return route.Make(route.In{Catalogue: c, Layout: j.Layout, Job: j.Job, Shop: j.Shop, Route: r, At: b.now()}), nil
}

// operation finds an operation that the engine of a job has.
func (b *Bench) operation(p *passing, j *Judged, id string) *operation.Operation {
	o := b.library.Operations().Operation(strings.TrimSpace(id))
	switch {
	case o == nil:
		p.say("operation", fault.New(fault.Missing, "operation.no-operation", "found", clipped(id)))
	case !o.On(j.Layout):
		p.say("operation", fault.New(fault.Invalid, "operation.no-component", "found", o.ID, "component", o.Component, "family", j.Layout.Family.ID))
	default:
		return o
	}
	return nil
}

// Start begins work on an operation. What lacks a machine or a fixture is
// refused; what comes before another that is not done, and what was done before,
// ask for a reason.
func (b *Bench) Start(ctx context.Context, in Step, id string, places []string) (Receipt, error) {
	return b.step(ctx, &in, entry.Started, func(j *Judged) passing {
		p := passing{}
		o := b.operation(&p, j, id)
		if o == nil {
			return p
		}
		s := job.StartedV1{Operation: o.ID}
		all := o.Places(j.Layout)
		for _, x := range places {
			if !slices.Contains(all, x) {
				p.say("places", fault.New(fault.Invalid, "operation.no-place", "found", clipped(x), "operation", o.ID))
			}
			s.Places = append(s.Places, x)
		}
		if !written(j, in.Key) {
			b.mayStart(&p, j, &in, o, &s)
		} else if line := lineOf(j, in.Key); line != nil {
			s.Again = line.Reason
		}
		if machines := j.Shop.MachinesOf(o.Machine); len(machines) == 1 {
			s.Machine = machines[0].Machine
		}
		p.payload = s
		return p
	})
}

func lineOf(j *Judged, key entry.Key) *job.Line {
	for i := range j.Job.Lines {
		if j.Job.Lines[i].Key == key.String() {
			return &j.Job.Lines[i]
		}
	}
	return nil
}

func (b *Bench) mayStart(p *passing, j *Judged, in *Step, o *operation.Operation, s *job.StartedV1) {
	if j.Job.Running(o.ID, in.Person) != nil {
		p.say("", fault.New(fault.Conflict, "bench.at-it", "operation", o.ID))
		return
	}
	lacks, outside := route.Lacks(o, j.Shop, j.Layout.Family.ID)
	for _, l := range lacks {
		if l.Fixture != "" {
			p.say("", fault.New(fault.Refused, "bench.no-fixture", "operation", o.ID, "fixture", l.Fixture, "family", j.Layout.Family.ID))
		} else {
			p.say("", fault.New(fault.Refused, "bench.no-machine", "operation", o.ID, "machine", l.Machine))
		}
	}
	if outside {
		p.say("", fault.New(fault.Refused, "bench.goes-out", "operation", o.ID, "machine", o.Machine))
	}
	if len(p.faults) > 0 {
		return
	}
	if run := j.Job.Run(o.ID); run > 1 && j.Job.Running(o.ID, "") == nil && !begun(j.Job, o.ID, run) {
		if s.Again = in.Reason; in.Reason == "" {
			p.say("reason", fault.New(fault.Conflict, "bench.done-before", "operation", o.ID))
		}
	}
	board, err := b.Route(j)
	if err != nil {
		return // the page says what is wrong with the route
	}
	for i := range board.Steps {
		if x := &board.Steps[i]; x.ID == o.ID && len(x.Before) > 0 && x.Status != route.Running && x.Status != route.Begun {
			p.asks(in, gate.Order, o.ID, len(x.Before))
		}
	}
}

func begun(j *job.State, id string, run int) bool {
	return slices.ContainsFunc(j.Spans, func(s job.Span) bool { return s.Operation == id && s.Run == run })
}

// Stop ends what an entry began; at is when it really stopped, µs, 0 for now.
func (b *Bench) Stop(ctx context.Context, in Step, start string, at int64) (Receipt, error) {
	return b.step(ctx, &in, entry.Stopped, func(j *Judged) passing {
		p := passing{}
		i := slices.IndexFunc(j.Job.Spans, func(s job.Span) bool { return s.Key == start })
		if i < 0 {
			p.say("", fault.New(fault.Missing, "bench.no-start"))
			return p
		}
		s := &j.Job.Spans[i]
		x := job.StoppedV1{Start: start, At: at}
		now := b.when(in.Time)
		switch {
		case written(j, in.Key):
			x.Reason = in.Reason
		case !s.Open():
			p.say("", fault.New(fault.Conflict, "bench.stopped", "operation", s.Operation))
		case at != 0 && (at < s.Time || at > now):
			p.say("at", fault.New(fault.Invalid, "bench.stop-time"))
		case at != 0 && in.Reason == "":
			p.say("reason", fault.New(fault.Invalid, "bench.no-reason"))
		case at == 0 && now-s.Time > job.Longest.Microseconds():
			p.say("at", fault.New(fault.Conflict, "bench.stop-when", "operation", s.Operation, "hours", strconv.FormatInt((now-s.Time)/time.Hour.Microseconds(), 10)))
		}
		if at != 0 {
			x.Reason = in.Reason
		}
		p.payload = x
		return p
	})
}

// Finish says that an operation is done. It is refused while a reading that
// closes it is missing, or a stop that nobody gave.
func (b *Bench) Finish(ctx context.Context, in Step, id, note string) (Receipt, error) {
	return b.step(ctx, &in, entry.Done, func(j *Judged) passing {
		p := passing{}
		o := b.operation(&p, j, id)
		if o == nil {
			return p
		}
		d := job.DoneV1{Operation: o.ID, Note: p.text("note", note, false)}
		run := j.Job.Run(o.ID)
		again := written(j, in.Key)
		if again {
			run = j.Job.Done(o.ID).Run
		}
		_, outside := route.Lacks(o, j.Shop, j.Layout.Family.ID)
		if !begun(j.Job, o.ID, run) {
			if d.Outside = outside; !outside && !again {
				p.say("", fault.New(fault.Conflict, "bench.not-begun", "operation", o.ID))
			}
		}
		board, err := b.Route(j)
		if err != nil {
			p.faults = append(p.faults, fault.All(err)...)
			return p
		}
		step := stepOf(board, o, j, run)
		if d.Readings = step.Closed; len(step.Open) > 0 && !again {
			p.say("", fault.New(fault.Refused, "bench.not-read", "operation", o.ID, "count", strconv.Itoa(len(step.Open)), "of", strconv.Itoa(step.Of), "position", step.Open[0], "state", step.State))
		}
		for _, s := range step.Spent.Unclear {
			if s.Open() {
				p.say("", fault.New(fault.Conflict, "bench.stop-first", "operation", o.ID))
			}
		}
		p.payload = d
		return p
	})
}

// stepOf is the step of an operation on the board. Whatever was begun or given
// out is made a step of its own where the route does not have it.
func stepOf(board route.Board, o *operation.Operation, j *Judged, run int) route.Step {
	for i := range board.Steps {
		if board.Steps[i].ID == o.ID {
			return board.Steps[i]
		}
	}
	alone := operation.Step{Operation: o, ID: o.ID, Places: o.Places(j.Layout)}
	in := route.In{Catalogue: operation.None(), Layout: j.Layout, Job: j.Job, Shop: j.Shop, Route: operation.Route{Steps: []operation.Step{alone}}}
	return route.Make(in).Steps[0]
}

// Wait says that a job waits for something, or that it waits no more.
func (b *Bench) Wait(ctx context.Context, in Step, w job.WaitingV1) (Receipt, error) {
	return b.step(ctx, &in, entry.Waiting, func(j *Judged) passing {
		p := passing{}
		w.Text = p.text("text", w.Text, false)
		open := j.Job.Waiting(w.For)
		switch {
		case !slices.Contains(job.WaitsFor(), w.For):
			p.say("for", fault.New(fault.Invalid, "bench.wait-for", "found", clipped(w.For)))
		case written(j, in.Key):
		case w.Over && open == nil:
			p.say("", fault.New(fault.Conflict, "bench.not-waiting"))
		case !w.Over && open != nil:
			p.say("", fault.New(fault.Conflict, "bench.waiting"))
		}
		if w.Operation != "" {
			b.operation(&p, j, w.Operation)
		}
		p.payload = w
		return p
	})
}
