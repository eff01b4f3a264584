package bench

import (
	"context"
	"slices"
	"strconv"
	"strings"

	"fettle/internal/base/fault"
	"fettle/internal/base/money"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/facts/shop"
	"fettle/internal/facts/stock"
	"fettle/internal/judge/goods"
	"fettle/internal/know/family"
)

// Leave takes pieces off the shelf for no job: sent back, scrapped, lost, sold.
// One that is in a job must be taken back first.
func (b *Bench) Leave(ctx context.Context, in Step, p shop.LeftV1) (entry.Receipt, error) {
	b.stock.Lock()
	defer b.stock.Unlock()
	sh, err := b.Shop(ctx)
	if err != nil {
		return entry.Receipt{}, err
	}
	used, err := b.uses(ctx)
	if err != nil {
		return entry.Receipt{}, err
	}
	faults := personFaults(sh, in.Person)
	say := func(field string, code fault.Code, key string, pairs ...string) {
		faults = append(faults, fault.New(code, key, pairs...).In(field))
	}
	p.Reason = strings.TrimSpace(p.Reason)
	faults = append(faults, tooLong("reason", p.Reason)...)
	if !slices.Contains(shop.Leavings(), p.Why) {
		say("why", fault.Invalid, "stock.no-leaving", "found", cut(p.Why))
	}
	l := sh.Lots[p.Lot]
	switch {
	case l == nil:
		say("lot", fault.Missing, "stock.no-lot", "found", cut(p.Lot))
	case len(p.Pieces) == 0:
		say("pieces", fault.Invalid, "bench.no-value")
	}
	for i := 0; l != nil && i < len(p.Pieces); i++ {
		n := p.Pieces[i]
		if n < 1 || n > l.Count {
			say("pieces", fault.Invalid, "stock.no-piece", "found", strconv.Itoa(n), "lot", p.Lot, "most", strconv.Itoa(l.Count))
		}
		if left, gone := l.Left[n]; gone && (left.Why != p.Why || left.Reason != p.Reason) {
			say("pieces", fault.Conflict, "stock.left", "piece", strconv.Itoa(n), "lot", p.Lot)
		}
		if u, ok := used[held{p.Lot, n}]; ok {
			say("pieces", fault.Conflict, "stock.in-use", "piece", strconv.Itoa(n), "lot", p.Lot, "job", u.Job, "part", u.Part)
		}
	}
	if err := faults.OrNil(); err != nil {
		return entry.Receipt{}, err
	}
	e, err := entry.New(entry.ShopStream, in.Key, entry.LotLeft, in.Person, in.Device, b.when(in.Time), p)
	if err != nil {
		return entry.Receipt{}, err
	}
	got, _, err := b.writeShop(ctx, e)
	return got, err
}

// Allocate gives one piece of a lot to a place of an engine. Of two jobs that
// want the last one at once, the second is told where it is; nothing of what it
// has is lost.
//
// Errors: a lot or piece that is not there, that was not measured or not passed,
// that is another job's, or is in use; a place that the engine has not, that
// takes no such part, or that has one.
func (b *Bench) Allocate(ctx context.Context, in Step, a job.AllocatedV1) (Receipt, error) {
	b.stock.Lock()
	defer b.stock.Unlock()
	used, err := b.uses(ctx)
	if err != nil {
		return Receipt{}, err
	}
	return b.step(ctx, &in, entry.Allocated, func(j *Judged) passing {
		p := passing{}
		a.Lot, a.Part, a.Note = strings.TrimSpace(a.Lot), strings.TrimSpace(a.Part), p.text("note", a.Note, false)
		p.payload = a
		if !written(j, in.Key) {
			b.allocating(&p, j, in.Job, a, used)
		}
		return p
	})
}

func (b *Bench) allocating(p *passing, j *Judged, id string, a job.AllocatedV1, used map[held]Use) {
	n := strconv.Itoa(a.Piece)
	l := j.Shop.Lots[a.Lot]
	if l == nil {
		p.say("lot", fault.New(fault.Missing, "stock.no-lot", "found", cut(a.Lot)))
		return
	}
	if a.Piece < 1 || a.Piece > l.Count {
		p.say("piece", fault.New(fault.Invalid, "stock.no-piece", "found", n, "lot", a.Lot, "most", strconv.Itoa(l.Count)))
		return
	}
	if l.Job != "" && l.Job != id {
		p.say("lot", fault.New(fault.Conflict, "stock.other-job", "lot", a.Lot, "job", l.Job))
	}
	if l.Sort.Family != "" && l.Sort.Family != j.Job.Family {
		p.say("lot", fault.New(fault.Conflict, "stock.other-family", "lot", a.Lot, "family", l.Sort.Family))
	}
	if u, ok := used[held{a.Lot, a.Piece}]; ok {
		p.say("piece", fault.New(fault.Conflict, "stock.in-use", "piece", n, "lot", a.Lot, "job", u.Job, "part", u.Part))
	}
	switch g := goods.Judge(j.Shop, b.Library(), l, a.Piece); g.Standing {
	case goods.Unread:
		p.say("piece", fault.New(fault.Refused, "stock.unread", "piece", n, "lot", a.Lot, "measures", strings.Join(g.Lacks, ", ")))
	case goods.Refused:
		p.say("piece", fault.New(fault.Refused, "stock.refused", "piece", n, "lot", a.Lot, "measures", strings.Join(g.Off, ", ")))
	case goods.Gone:
		p.say("piece", fault.New(fault.Conflict, "stock.left", "piece", n, "lot", a.Lot))
	}
	k, _ := stock.KindOf(l.Sort.Kind)
	switch {
	case !slices.Contains(Places(j.Layout, k), a.Part):
		p.say("part", fault.New(fault.Invalid, "stock.no-place", "found", cut(a.Part), "kind", l.Sort.Kind))
	case l.Sort.Role != "" && !strings.HasSuffix(a.Part, "/"+l.Sort.Role):
		p.say("part", fault.New(fault.Invalid, "stock.wrong-half", "part", a.Part, "role", l.Sort.Role))
	}
	for _, was := range j.Job.Given() {
		if was.Part == a.Part && j.Shop.Lots[was.Lot] != nil && j.Shop.Lots[was.Lot].Sort.Kind == l.Sort.Kind && k.Each() == 1 {
			p.say("part", fault.New(fault.Conflict, "stock.taken", "part", a.Part, "lot", was.Lot, "piece", strconv.Itoa(was.Piece)))
		}
	}
}

// Places lists the places of an engine that take a kind of part: the parts of
// its component, of a set of rings the cylinders, and for a kind that goes
// anywhere every component.
func Places(l *family.Layout, k stock.Kind) []string {
	var out []string
	if k.Goes == "" {
		for i := range l.Family.Components {
			out = append(out, l.Family.Components[i].ID)
		}
		return out
	}
	for _, p := range l.Parts() {
		if component(p) != k.Goes {
			continue
		}
		if k.ID == "ring-set" {
			c, rest, _ := strings.Cut(p, "/")
			at, _, _ := strings.Cut(rest, "/")
			p = c + "/" + at
		}
		if !slices.Contains(out, p) {
			out = append(out, p)
		}
	}
	if len(out) == 0 { // nothing of it is measured: a gasket, a seal
		out = []string{k.Goes}
	}
	return out
}

// Free takes an allocation, or an order of which nothing came, back; the log
// keeps both.
func (b *Bench) Free(ctx context.Context, in Step, target string) (Receipt, error) {
	return b.step(ctx, &in, entry.Withdrawal, func(j *Judged) passing {
		p := passing{payload: job.WithdrawalV1{Target: target, Reason: in.Reason}}
		if in.Reason == "" {
			p.say("reason", fault.New(fault.Invalid, "bench.no-reason"))
		}
		if written(j, in.Key) {
			return p
		}
		known := slices.ContainsFunc(j.Job.Allocations, func(a job.Allocated) bool { return a.Key == target && a.Void == "" })
		for i := range j.Job.Orders {
			o := &j.Job.Orders[i]
			if o.Key != target || o.Void != "" {
				continue
			}
			known = true
			if slices.ContainsFunc(o.Taken, func(n int) bool { return n > 0 }) {
				p.say("", fault.New(fault.Conflict, "stock.order-begun", "order", o.Order))
			}
		}
		if !known {
			p.say("", fault.New(fault.Missing, "stock.nothing-to-free"))
		}
		return p
	})
}

// Order notes an order of this job. A line without a price takes what the
// supplier asks today; one without a criterion that of its class.
func (b *Bench) Order(ctx context.Context, in Step, o job.OrderV1) (Receipt, error) {
	return b.step(ctx, &in, entry.Order, func(j *Judged) passing {
		p := passing{}
		o.Order, o.Supplier, o.Note = p.text("order", o.Order, true), strings.TrimSpace(o.Supplier), p.text("note", o.Note, false)
		lines := slices.Clone(o.Lines)
		o.Lines = lines
		if !plainID.MatchString(o.Order) && o.Order != "" {
			p.say("order", fault.New(fault.Invalid, "readings.bad-id", "found", cut(o.Order)))
		}
		if j.Job.Order(o.Order) != nil && !written(j, in.Key) {
			p.say("order", fault.New(fault.Conflict, "stock.order-exists", "order", o.Order))
		}
		if s, ok := j.Shop.Suppliers[o.Supplier]; !ok || s.Gone {
			p.say("supplier", fault.New(fault.Missing, "stock.no-supplier", "found", cut(o.Supplier)))
		}
		if len(lines) == 0 {
			p.say("kind", fault.New(fault.Invalid, "bench.no-value"))
		}
		for i := range lines {
			b.orderLine(&p, j, o.Supplier, &lines[i], b.when(in.Time))
		}
		p.payload = o
		return p
	})
}

func (b *Bench) orderLine(p *passing, j *Judged, supplier string, n *job.OrderLineV1, at int64) {
	n.For, n.Note = p.text("for", n.For, false), p.text("note", n.Note, false)
	if _, ok := stock.KindOf(n.Sort.Kind); !ok {
		p.say("kind", fault.New(fault.Invalid, "stock.no-kind", "found", cut(n.Sort.Kind)))
	} else if !n.Sort.Sound() {
		p.say("size", fault.New(fault.Invalid, "stock.nought", "found", cut(n.Sort.Size+" "+n.Sort.Step)))
	}
	if n.Sort.Family != "" && n.Sort.Family != j.Job.Family {
		p.say("family", fault.New(fault.Invalid, "stock.other-family", "lot", n.Sort.Kind, "family", n.Sort.Family))
	}
	if n.Count < 0 {
		p.say("count", fault.New(fault.Invalid, "stock.below-nought", "found", strconv.Itoa(n.Count)))
	} else if n.Count < 1 || n.Count > shop.MostPieces {
		p.say("count", fault.New(fault.Invalid, "shelf.range", "found", strconv.Itoa(n.Count), "least", "1", "most", strconv.Itoa(shop.MostPieces)))
	}
	if n.Price == "" {
		if q, ok := j.Shop.PriceAt(supplier, n.Sort.Item(), at); ok {
			n.Price = q.Amount.String()
		}
	} else if a, err := money.Parse(n.Price); err != nil {
		for _, f := range fault.All(err) {
			p.say("price", f)
		}
	} else if n.Price = a.String(); a.Sign() < 0 {
		p.say("price", fault.New(fault.Invalid, "stock.price-below-nought", "found", cut(n.Price)))
	}
	w, known := b.window(n.Sort)
	if known && w.Min == "" {
		p.say("class", fault.New(fault.Invalid, "stock.no-class", "found", cut(n.Sort.Class), "family", n.Sort.Family))
	} else if known && len(n.Accept) == 0 {
		n.Accept = []stock.CriterionV1{w}
	}
	for _, c := range n.Accept {
		if _, _, ok := c.Limits(); !ok {
			p.say("accept", fault.New(fault.Invalid, "stock.criterion"))
		}
	}
}

// Receive notes a delivery on one line of an order. What is taken becomes a lot
// of this job, with what the order asked of its pieces; it is measured before it
// can be used. What is of the wrong grade goes back, for a reason.
func (b *Bench) Receive(ctx context.Context, in Step, r job.ReceivedV1, place string) (Receipt, error) {
	b.shopWrite.Lock()
	defer b.shopWrite.Unlock()
	got, err := b.step(ctx, &in, entry.Received, func(j *Judged) passing {
		p := passing{}
		r.Lot, r.Reason, r.Paper = strings.TrimSpace(r.Lot), in.Reason, p.text("paper", r.Paper, false)
		p.payload = r
		if written(j, in.Key) {
			return p
		}
		o := j.Job.Order(r.Order)
		switch {
		case o == nil:
			p.say("order", fault.New(fault.Missing, "stock.no-order", "found", cut(r.Order)))
			return p
		case r.Line < 1 || r.Line > len(o.Lines):
			p.say("line", fault.New(fault.Missing, "stock.no-line", "found", strconv.Itoa(r.Line), "order", r.Order))
			return p
		case r.Taken < 0 || r.Returned < 0:
			p.say("taken", fault.New(fault.Invalid, "stock.below-nought", "found", strconv.Itoa(min(r.Taken, r.Returned))))
		case r.Taken+r.Returned == 0:
			p.say("taken", fault.New(fault.Invalid, "bench.no-value"))
		case r.Taken > o.Open(r.Line):
			p.say("taken", fault.New(fault.Conflict, "stock.more-than-ordered", "found", strconv.Itoa(r.Taken), "most", strconv.Itoa(o.Open(r.Line))))
		}
		if r.Returned > 0 && r.Reason == "" {
			p.say("reason", fault.New(fault.Invalid, "bench.no-reason"))
		}
		if r.Taken <= 0 {
			r.Lot = ""
			p.payload = r
			return p
		}
		if !plainID.MatchString(r.Lot) {
			p.say("lot", fault.New(fault.Invalid, "readings.bad-id", "found", cut(r.Lot)))
		} else if j.Shop.Lots[r.Lot] != nil {
			p.say("lot", fault.New(fault.Conflict, "stock.lot-exists", "lot", r.Lot))
		}
		n := o.Lines[r.Line-1]
		l := shop.LotV1{Lot: r.Lot, Sort: n.Sort, Count: r.Taken, Accept: n.Accept, Supplier: o.Supplier, Job: in.Job, Place: p.text("place", place, false), Note: r.Order}
		e, err := entry.New(entry.ShopStream, passKey(in.Key, "lot"), entry.Lot, in.Person, in.Device, b.when(in.Time), l)
		if err != nil {
			p.say("", fault.New(fault.Invalid, "bench.other-content"))
		}
		p.before = []entry.Entry{e}
		return p
	})
	return got, err
}

// SendOut notes that a part went out of the house for work.
func (b *Bench) SendOut(ctx context.Context, in Step, o job.SentOutV1) (Receipt, error) {
	return b.step(ctx, &in, entry.OutsideOut, func(j *Judged) passing {
		p := passing{}
		o.Part = p.partOf(j.Layout, "part", o.Part)
		o.Operation, o.Wanted, o.To = p.text("operation", o.Operation, true), p.text("wanted", o.Wanted, false), strings.TrimSpace(o.To)
		if s, ok := j.Shop.Suppliers[o.To]; !ok || s.Gone {
			p.say("to", fault.New(fault.Missing, "stock.no-supplier", "found", cut(o.To)))
		}
		if o.Operation != "" && !plainID.MatchString(o.Operation) {
			p.say("operation", fault.New(fault.Invalid, "readings.bad-id", "found", cut(o.Operation)))
		}
		if o.Price != "" {
			a, err := money.Parse(o.Price)
			for _, f := range fault.All(err) {
				p.say("price", f)
			}
			if err == nil && a.Sign() < 0 {
				p.say("price", fault.New(fault.Invalid, "stock.price-below-nought", "found", cut(o.Price)))
			}
		}
		for _, was := range j.Job.Outside {
			if was.Part == o.Part && was.Back == nil && !written(j, in.Key) {
				p.say("part", fault.New(fault.Conflict, "stock.out", "part", o.Part, "to", was.To))
			}
		}
		p.payload = o
		return p
	})
}

// ComeBack notes that it came back. The readings taken on it since, in the state
// behind the operation, close it; without any a reason is asked for.
func (b *Bench) ComeBack(ctx context.Context, in Step, target, note string) (Receipt, error) {
	return b.step(ctx, &in, entry.OutsideIn, func(j *Judged) passing {
		p := passing{}
		c := job.CameBackV1{Target: target, Reason: in.Reason, Note: p.text("note", note, false)}
		var out *job.Outside
		for i := range j.Job.Outside {
			if o := &j.Job.Outside[i]; o.Key == target && (o.Back == nil || written(j, in.Key)) {
				out = o
			}
		}
		if out == nil {
			p.say("", fault.New(fault.Missing, "stock.not-out"))
			return p
		}
		if out.Back != nil {
			p.payload = *out.Back
			return p
		}
		for i := range j.Job.Readings {
			r := &j.Job.Readings[i]
			if r.Counts() && r.State == job.After(out.Operation) && strings.HasPrefix(r.Position+"/", component(out.Part)+"/") && partHolds(j.Layout, r.Position, out.Part) && r.Time >= out.Time {
				c.Readings = append(c.Readings, r.Key)
			}
		}
		if len(c.Readings) == 0 && c.Reason == "" {
			p.say("reason", fault.New(fault.Refused, "stock.no-closing", "part", out.Part, "state", job.After(out.Operation)))
		}
		p.payload = c
		return p
	})
}

// partHolds reports whether a position is on a part, or on one of a component.
func partHolds(l *family.Layout, position, part string) bool {
	i, ok := l.Find(position)
	return ok && (l.Places[i].Part == part || component(part) == part)
}
