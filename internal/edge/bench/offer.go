package bench

import (
	"context"

	"fettle/internal/base/fault"
	"fettle/internal/judge/offer"
	"fettle/internal/judge/plan"
)

// Offer lays the routes of a job side by side, priced and dated by the terms of
// the shop as they stand. from is the first day of work.
//
// Errors: quote.no-terms, and those of the plan and of the offer.
func (b *Bench) Offer(ctx context.Context, id, from string) (*offer.Offer, error) {
	j, err := b.Judge(ctx, id)
	if err != nil {
		return nil, err
	}
	if j.Shop.Terms == nil {
		return nil, fault.New(fault.Conflict, "quote.no-terms")
	}
	routes, err := b.routes(ctx, j)
	if err != nil {
		return nil, err
	}
	return offer.Make(offer.Input{Terms: *j.Shop.Terms, From: from, Routes: routes})
}

// QuoteOf is an offer with what a quote says beside it, ready to be issued.
func (b *Bench) QuoteOf(ctx context.Context, id, from string) (offer.File, error) {
	o, err := b.Offer(ctx, id, from)
	if err != nil {
		return offer.File{}, err
	}
	j, err := b.Judge(ctx, id)
	if err != nil {
		return offer.File{}, err
	}
	a := j.Assessment
	return offer.File{Title: a.Title, Invented: a.Invented, Family: a.Family, Digest: a.Digest, Head: j.Job.Head.String(), Offer: o}, nil
}

// routes plans the job by every route of the shop.
func (b *Bench) routes(ctx context.Context, j *Judged) ([]offer.Route, error) {
	k := b.knowledge(j.Layout)
	basis := offer.Basis{Library: k.Library, Layout: j.Layout, Terms: *j.Shop.Terms}
	if len(j.Shop.Machines) > 0 { // a shop that has not said what it has is taken to have all
		basis.Machines = func(id string) bool { return len(j.Shop.MachinesOf(id)) > 0 }
	}
	taken, err := b.taken(ctx, j.Assessment.Job)
	if err != nil {
		return nil, err
	}
	basis.Shelf = plan.Gather(j.Shop, b.Library(), j.Layout, j.Assessment.Job, func(p plan.Piece) bool { return taken[p] }, b.now())
	var out []offer.Route
	for _, r := range k.Library.Routes().Routes {
		p, _, err := b.Plan(ctx, j.Assessment.Job, r.ID, plan.Wish{})
		if err != nil {
			return nil, err
		}
		route, err := basis.FromPlan(p)
		if err != nil {
			return nil, err
		}
		out = append(out, route)
	}
	return out, nil
}
