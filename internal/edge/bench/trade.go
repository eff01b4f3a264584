package bench

import (
	"context"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"fettle/internal/base/fault"
	"fettle/internal/base/money"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/facts/shop"
	"fettle/internal/judge/gate"
	"fettle/internal/judge/offer"
)

// SetTerms says what the shop asks and when it works; the last terms hold.
//
// Errors: what is wrong with the terms; see shop.ReadTerms.
func (b *Bench) SetTerms(ctx context.Context, st Step, t shop.TermsV1) (entry.Receipt, error) {
	sh, err := b.Shop(ctx)
	if err != nil {
		return entry.Receipt{}, err
	}
	faults := personFaults(sh, st.Person)
	if _, err := shop.ReadTerms(t); err != nil {
		faults = append(faults, fault.All(err)...)
	}
	if err := faults.OrNil(); err != nil {
		return entry.Receipt{}, err
	}
	e, err := entry.New(entry.ShopStream, st.Key, entry.Terms, st.Person, st.Device, b.when(st.Time), t)
	if err != nil {
		return entry.Receipt{}, err
	}
	got, _, err := b.writeShop(ctx, e)
	return got, err
}

// trade checks and stores one entry of the ledger against the log as it is at
// that moment: of two who do the same at once, the second is told.
func (b *Bench) trade(ctx context.Context, in *Step, kind entry.Kind, make func(st *job.State, sh *shop.State, p *passing)) (Receipt, error) {
	j, err := b.Judge(ctx, in.Job)
	if err != nil {
		return Receipt{}, err
	}
	s := b.slot(in.Job)
	s.mu.Lock()
	defer s.mu.Unlock()
	st, err := b.states.Job(ctx, in.Job)
	if err != nil {
		return Receipt{}, err
	}
	if in.Mark == 0 {
		in.Mark = '.'
	}
	in.Reason = strings.TrimSpace(in.Reason)
	var p passing
	if !slices.ContainsFunc(st.Lines, func(l job.Line) bool { return l.Key == in.Key.String() }) {
		make(st, j.Shop, &p)
	} else { // sent again: what it was checked against has moved on
		make(before(st, in.Key), j.Shop, &p)
	}
	return b.put(ctx, in, j, s, kind, p)
}

// before is the ledger as it stood when the entry of a key was written.
func before(st *job.State, key entry.Key) *job.State {
	at, was := int64(0), *st
	for i := range st.Lines {
		if st.Lines[i].Key == key.String() {
			at = st.Lines[i].Seq
		}
	}
	d := &was.Ledger
	d.Quotes = slices.DeleteFunc(slices.Clone(d.Quotes), func(x job.Quoted) bool { return x.Seq >= at })
	d.Changes = slices.DeleteFunc(slices.Clone(d.Changes), func(x job.Changed) bool { return x.Seq >= at })
	d.Invoices = slices.DeleteFunc(slices.Clone(d.Invoices), func(x job.Invoiced) bool { return x.Seq >= at })
	return &was
}

// IssueQuote keeps the file of an offer and stores that it left the shop. The
// number, the day and how long it holds are filled in.
//
// Errors: quote.no-terms, what the file cannot hold, and those of a step.
func (b *Bench) IssueQuote(ctx context.Context, in Step, f offer.File) (Receipt, offer.Sealed, error) {
	var s offer.Sealed
	got, err := b.trade(ctx, &in, entry.QuoteIssued, func(st *job.State, sh *shop.State, p *passing) {
		if sh.Terms == nil {
			p.say("", fault.New(fault.Conflict, "quote.no-terms"))
			return
		}
		day := time.UnixMicro(b.when(in.Time)).UTC()
		f.Job, f.Number, f.On, f.Until = in.Job, len(st.Quotes)+1, day.Format(time.DateOnly), day.AddDate(0, 0, sh.Terms.Valid).Format(time.DateOnly)
		var err error
		if s, err = f.Seal(); err != nil {
			p.say("", fault.All(err)[0])
			return
		}
		q := job.QuoteV1{Number: f.Number, Digest: s.Digest, Until: f.Until}
		for i := range f.Offer.Options {
			o := &f.Offer.Options[i]
			q.Options = append(q.Options, job.QuotedV1{Option: o.ID, Low: o.Gross.Low.String(), Safe: o.Safe.String(), High: o.Gross.High.String(),
				Deposit: o.Deposit.String(), Half: o.Date.Half, Four: o.Date.Four})
		}
		if st.Quote(s.Digest) != nil {
			p.say("", fault.New(fault.Conflict, "quote.again"))
			return
		}
		if _, err := b.store.PutFile(s.Bytes); err != nil {
			p.say("", fault.New(fault.Broken, "fault.other", "error", err.Error()))
			return
		}
		p.payload = q
	})
	return got, s, err
}

// QuoteFile reads back a quote that was issued.
func (b *Bench) QuoteFile(digest string) ([]byte, error) { return b.store.File(digest) }

// Approve stores a customer's yes to an option of a quote, or to a change order.
func (b *Bench) Approve(ctx context.Context, in Step, a job.ApprovalV1) (Receipt, error) {
	return b.trade(ctx, &in, entry.Approval, func(st *job.State, sh *shop.State, p *passing) {
		a.Note = p.text("note", a.Note, false)
		q := st.Quote(a.Quote)
		switch {
		case q == nil:
			p.say("option", fault.New(fault.Missing, "quote.no-quote"))
		case a.Change != 0 && (a.Change < 0 || a.Change > len(st.Changes)):
			p.say("change", fault.New(fault.Missing, "quote.no-change", "found", strconv.Itoa(a.Change)))
		case a.Change == 0 && q.Option(a.Option) == nil:
			p.say("option", fault.New(fault.Missing, "quote.no-option", "found", clipped(a.Option)))
		case a.Change == 0 && a.On > q.Until:
			p.asks(&in, gate.Ended, "", 1)
		}
		if !slices.Contains(job.Means(), a.Means) {
			p.say("means", fault.New(fault.Invalid, "quote.means"))
		}
		p.opaque(&a.Who)
		p.day(b, "on", &a.On)
		if a.Scan = strings.ToLower(strings.TrimSpace(a.Scan)); a.Scan != "" && !hexDigest.MatchString(a.Scan) {
			p.say("scan", fault.New(fault.Invalid, "quote.scan"))
		}
		p.payload = a
	})
}

var hexDigest = regexp.MustCompile(`^[0-9a-f]{64}$`)

// opaque wants the id of a person, never a name.
func (p *passing) opaque(who *string) {
	if *who = strings.TrimSpace(*who); !plainID.MatchString(*who) {
		p.say("who", fault.New(fault.Invalid, "quote.who"))
	}
}

// day wants a day; nothing is today.
func (p *passing) day(b *Bench, field string, day *string) {
	if *day = strings.TrimSpace(*day); *day == "" {
		*day = time.UnixMicro(b.now()).UTC().Format(time.DateOnly)
	}
	if !job.Day(*day) {
		p.say(field, fault.New(fault.Invalid, "offer.from", "found", clipped(*day)))
	}
}

// sum reads an amount of the job's currency as it was typed.
func (p *passing) sum(in *Step, st *job.State, sh *shop.State, field, text string) (a money.Amount) {
	c := st.Currency()
	if c == "" && sh.Terms != nil {
		c = sh.Terms.Money
	}
	number, currency, _ := strings.Cut(strings.TrimSpace(text), " ")
	if currency == "" {
		currency = string(c)
	}
	a, err := money.New(number, currency, in.Mark)
	if err != nil {
		p.say(field, fault.All(err)[0])
		return a
	}
	if c != "" && a.Currency() != c {
		p.say(field, fault.New(fault.Invalid, "money.two-currencies", "a", string(a.Currency()), "b", string(c)))
	}
	return a
}

// Changing is a change after approval, with texts as typed.
type Changing struct {
	Step
	What, Why, Low, High, Days string
	Waste                      []job.WasteV1
}

// Change stores a change order under the next number. It changes the quote that
// was approved last.
func (b *Bench) Change(ctx context.Context, in Changing) (Receipt, error) {
	return b.trade(ctx, &in.Step, entry.ChangeOrder, func(st *job.State, sh *shop.State, p *passing) {
		c := job.ChangeOrderV1{Number: len(st.Changes) + 1, What: p.text("what", in.What, true), Why: p.text("why", in.Why, true), Waste: in.Waste}
		if a := st.Agreed(); a != nil {
			c.Quote = a.Quote
		} else {
			p.say("", fault.New(fault.Conflict, "quote.not-agreed"))
		}
		low, high := p.sum(&in.Step, st, sh, "low", in.Low), p.sum(&in.Step, st, sh, "high", orSame(in.High, in.Low))
		c.Low, c.High = low.String(), high.String()
		if n, err := low.Compare(high); err == nil && n > 0 {
			p.say("high", fault.New(fault.Invalid, "quote.backwards"))
		}
		days := strings.TrimSpace(in.Days)
		n, err := strconv.Atoi(orSame(days, "0"))
		if c.Days = n; err != nil || n < -1000 || n > 1000 {
			p.say("days", fault.New(fault.Invalid, "quote.days", "found", clipped(in.Days)))
		}
		p.payload = c
	})
}

func orSame(a, b string) string {
	if strings.TrimSpace(a) == "" {
		return b
	}
	return a
}

// Paying is money asked for or come, with texts as typed.
type Paying struct {
	Step
	Kind                            entry.Kind // Invoice, Deposit or Payment
	Number, Amount, On, Means, Note string
}

// Pay stores an invoice, a deposit or a payment.
func (b *Bench) Pay(ctx context.Context, in Paying) (Receipt, error) {
	return b.trade(ctx, &in.Step, in.Kind, func(st *job.State, sh *shop.State, p *passing) {
		a := p.sum(&in.Step, st, sh, "amount", in.Amount)
		if len(p.faults) == 0 && (a.Sign() == 0 || in.Kind == entry.Deposit && a.Sign() < 0) {
			p.say("amount", fault.New(fault.Invalid, "quote.nothing"))
		}
		note := p.text("note", in.Note, false)
		p.day(b, "on", &in.On)
		if in.Kind == entry.Invoice {
			i := job.InvoiceV1{Number: p.text("number", in.Number, true), Amount: a.String(), On: in.On, Note: note}
			if slices.ContainsFunc(st.Invoices, func(x job.Invoiced) bool { return x.Number == i.Number }) {
				p.say("number", fault.New(fault.Conflict, "quote.number", "found", clipped(i.Number)))
			}
			p.payload = i
			return
		}
		if !slices.Contains(job.Ways(), in.Means) {
			p.say("means", fault.New(fault.Invalid, "quote.ways"))
		}
		p.payload = job.PaidV1{Amount: a.String(), On: in.On, Means: in.Means, Note: note}
	})
}

// HandOver stores that the engine left. Where the terms want it, the approval,
// every change order and all that was asked for stand before that; whoever lets
// it go without says why.
func (b *Bench) HandOver(ctx context.Context, in Step, to, note string) (Receipt, error) {
	return b.trade(ctx, &in, entry.HandedOver, func(st *job.State, sh *shop.State, p *passing) {
		h := job.HandedOverV1{To: strings.TrimSpace(to), Note: p.text("note", note, false)}
		p.opaque(&h.To)
		if open := gate.Leaving(sh.Terms, &st.Ledger); len(open) > 0 {
			p.asks(&in, gate.Leave, "", len(open))
		}
		p.payload = h
	})
}
