package bench

import (
	"context"
	"slices"
	"strings"

	"fettle/internal/base/fault"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/judge/assess"
	"fettle/internal/judge/plan"
)

// Plan plans a job by a route, from the shelf as it is now: pieces that another
// job has are not there.
func (b *Bench) Plan(ctx context.Context, id, route string, wish plan.Wish) (*plan.Plan, *Judged, error) {
	j, err := b.Judge(ctx, id)
	if err != nil {
		return nil, nil, err
	}
	taken, err := b.taken(ctx, id)
	if err != nil {
		return nil, nil, err
	}
	shelf := plan.Gather(j.Shop, b.Library(), j.Layout, id, func(p plan.Piece) bool { return taken[p] }, b.now())
	p, err := plan.Make(plan.Input{Knowledge: b.knowledge(j.Layout), Facts: assess.Facts{Job: j.Job, Shop: j.Shop}, Assessment: j.Assessment, Shelf: shelf, Route: route, Wish: wish})
	return p, j, err
}

// taken are the pieces that other jobs have.
func (b *Bench) taken(ctx context.Context, id string) (map[plan.Piece]bool, error) {
	heads, err := b.store.Streams(ctx)
	if err != nil {
		return nil, err
	}
	out := map[plan.Piece]bool{}
	for _, h := range heads {
		name, ok := strings.CutPrefix(h.Stream, entry.JobStream(""))
		if !ok || name == id {
			continue
		}
		st, err := b.states.Job(ctx, name)
		if err != nil {
			return nil, err
		}
		for _, a := range st.Given() {
			out[plan.Piece{Lot: a.Lot, Piece: a.Piece}] = true
		}
	}
	return out, nil
}

// Decide records what a person decided on a finding, named id@part. What the
// finding does not offer is refused; the reason is asked for.
func (b *Bench) Decide(ctx context.Context, in Step, finding, outcome string) (Receipt, error) {
	return b.step(ctx, &in, entry.Decision, func(j *Judged) passing {
		p := passing{}
		d := job.DecisionV1{Finding: finding, Outcome: outcome, Reason: p.text("reason", in.Reason, true)}
		for i := range j.Assessment.Findings {
			f := &j.Assessment.Findings[i]
			if plan.Ref(f) != finding {
				continue
			}
			if !slices.Contains(f.Options, outcome) {
				p.say("outcome", fault.New(fault.Invalid, "bench.no-outcome", "found", outcome))
			}
			p.payload = d
			return p
		}
		p.say("finding", fault.New(fault.Missing, "bench.no-finding", "found", finding))
		return p
	})
}
