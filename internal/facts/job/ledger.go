package job

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"fettle/internal/base/money"
	"fettle/internal/facts/entry"
)

// Ledger is what was offered, agreed, asked for and paid, in the order of the log.
type Ledger struct {
	Quotes    []Quoted
	Approvals []Approved
	Changes   []Changed
	Deposits  []Paid
	Invoices  []Invoiced
	Payments  []Paid
	Handed    []HandedOver
}

// Quoted is a quote with its author.
type Quoted struct {
	QuoteV1
	Author
}

// Approved is an approval with its author.
type Approved struct {
	ApprovalV1
	Author
}

// Changed is a change order with its author.
type Changed struct {
	ChangeOrderV1
	Author
	Low, High money.Amount
}

// Invoiced is an invoice with its author.
type Invoiced struct {
	InvoiceV1
	Author
	Money money.Amount
}

// Paid is money that came, with its author.
type Paid struct {
	PaidV1
	Author
	Money money.Amount
}

// HandedOver is an engine that left, with its author.
type HandedOver struct {
	HandedOverV1
	Author
}

// Means are the ways in which a customer says yes.
func Means() []string { return []string{"signature", "letter", "message", "in-person", "telephone"} }

// Ways are the ways in which money comes.
func Ways() []string { return []string{"transfer", "card", "cash", "other"} }

func (d *Ledger) clipped() Ledger {
	return Ledger{slices.Clip(d.Quotes), slices.Clip(d.Approvals), slices.Clip(d.Changes), slices.Clip(d.Deposits), slices.Clip(d.Invoices), slices.Clip(d.Payments), slices.Clip(d.Handed)}
}

// Quote finds a quote by its digest, nil for none.
func (d *Ledger) Quote(digest string) *Quoted {
	for i := range d.Quotes {
		if d.Quotes[i].Digest == digest {
			return &d.Quotes[i]
		}
	}
	return nil
}

// Option finds an option of a quote, nil for none.
func (q *QuoteV1) Option(id string) *QuotedV1 {
	for i := range q.Options {
		if q.Options[i].Option == id {
			return &q.Options[i]
		}
	}
	return nil
}

// Agreed is the last approval of a quote, nil for none.
func (d *Ledger) Agreed() *Approved {
	for i := len(d.Approvals) - 1; i >= 0; i-- {
		if d.Approvals[i].Change == 0 {
			return &d.Approvals[i]
		}
	}
	return nil
}

// Accepted says whether a change order was approved.
func (d *Ledger) Accepted(number int) bool {
	return slices.ContainsFunc(d.Approvals, func(a Approved) bool { return a.Change == number })
}

// Pending are the numbers of change orders that nobody has approved.
func (d *Ledger) Pending() []int {
	var out []int
	for i := range d.Changes {
		if n := d.Changes[i].Number; !d.Accepted(n) {
			out = append(out, n)
		}
	}
	return out
}

// Currency is the currency of this job's money, "" before any was named.
func (d *Ledger) Currency() money.Currency {
	for i := range d.Quotes {
		for j := range d.Quotes[i].Options {
			if a, err := money.Parse(d.Quotes[i].Options[j].Low); err == nil {
				return a.Currency()
			}
		}
	}
	for i := range d.Invoices {
		return d.Invoices[i].Money.Currency()
	}
	for _, p := range slices.Concat(d.Deposits, d.Payments) {
		return p.Money.Currency()
	}
	return ""
}

// Asked is the sum of all invoices, Came that of deposits and payments; both are
// in the one currency of the job, which Replay sees to.
func (d *Ledger) Asked() money.Amount {
	sum := money.Zero(d.Currency())
	for i := range d.Invoices {
		sum = plus(sum, d.Invoices[i].Money)
	}
	return sum
}

// Came: see Asked.
func (d *Ledger) Came() money.Amount {
	sum := money.Zero(d.Currency())
	for _, p := range slices.Concat(d.Deposits, d.Payments) {
		sum = plus(sum, p.Money)
	}
	return sum
}

// plus adds amounts of one currency; beyond the bound of money it stays.
func plus(a, b money.Amount) money.Amount {
	if sum, err := a.Plus(b); err == nil {
		return sum
	}
	return a
}

// trade folds quotes, approvals and money. What names a quote, an option or a
// number that is not there, or money of another currency, changes nothing.
func (s *State) trade(r *entry.Row, l *Line, by Author) bool {
	d := &s.Ledger
	switch r.Kind {
	case entry.QuoteIssued:
		var p QuoteV1
		if !decode(r.Payload, &p) {
			return false
		}
		l.About, l.Text = strconv.Itoa(p.Number), p.Digest
		if p.Number != len(d.Quotes)+1 || len(p.Digest) != 64 || !Day(p.Until) || len(p.Options) == 0 || d.Quote(p.Digest) != nil || !d.priced(&p) {
			return false
		}
		d.Quotes = append(d.Quotes, Quoted{p, by})
	case entry.Approval:
		var p ApprovalV1
		if !decode(r.Payload, &p) {
			return false
		}
		l.About, l.Text, l.Reason = p.Option, p.Means, p.Note
		if p.Change > 0 {
			l.About = strconv.Itoa(p.Change)
		}
		q := d.Quote(p.Quote)
		if q == nil || !Day(p.On) || !slices.Contains(Means(), p.Means) || strings.TrimSpace(p.Who) == "" {
			return false
		}
		if p.Change == 0 && q.Option(p.Option) == nil || p.Change != 0 && (p.Option != "" || p.Change < 0 || p.Change > len(d.Changes)) {
			return false
		}
		d.Approvals = append(d.Approvals, Approved{p, by})
	case entry.ChangeOrder:
		var p ChangeOrderV1
		if !decode(r.Payload, &p) {
			return false
		}
		l.About, l.Text, l.Reason = strconv.Itoa(p.Number), p.What, p.Why
		low, ok := d.amount(p.Low)
		high, fine := d.amount(p.High)
		if p.Number != len(d.Changes)+1 || d.Quote(p.Quote) == nil || !ok || !fine || strings.TrimSpace(p.What) == "" || strings.TrimSpace(p.Why) == "" {
			return false
		}
		d.Changes = append(d.Changes, Changed{p, by, low, high})
	default:
		return s.pay(r, l, by)
	}
	return true
}

// pay folds money that is asked for and that comes, and the engine that leaves.
func (s *State) pay(r *entry.Row, l *Line, by Author) bool {
	d := &s.Ledger
	switch r.Kind {
	case entry.Invoice:
		var p InvoiceV1
		if !decode(r.Payload, &p) {
			return false
		}
		l.About, l.Text, l.Reason = p.Number, p.Amount, p.Note
		a, ok := d.amount(p.Amount)
		if !ok || a.Sign() == 0 || !Day(p.On) || strings.TrimSpace(p.Number) == "" || slices.ContainsFunc(d.Invoices, func(i Invoiced) bool { return i.Number == p.Number }) {
			return false
		}
		d.Invoices = append(d.Invoices, Invoiced{p, by, a})
	case entry.Deposit, entry.Payment:
		var p PaidV1
		if !decode(r.Payload, &p) {
			return false
		}
		l.Text, l.Reason = p.Amount, p.Note
		a, ok := d.amount(p.Amount)
		if !ok || a.Sign() <= 0 && r.Kind == entry.Deposit || a.Sign() == 0 || !Day(p.On) || !slices.Contains(Ways(), p.Means) {
			return false
		}
		if r.Kind == entry.Deposit {
			d.Deposits = append(d.Deposits, Paid{p, by, a})
		} else {
			d.Payments = append(d.Payments, Paid{p, by, a})
		}
	case entry.HandedOver:
		var p HandedOverV1
		if !decode(r.Payload, &p) {
			return false
		}
		l.Text, l.Reason = p.To, p.Note
		if strings.TrimSpace(p.To) == "" {
			return false
		}
		d.Handed = append(d.Handed, HandedOver{p, by})
	default:
		return false
	}
	return true
}

// priced says whether a quote's amounts are amounts of the job's currency.
func (d *Ledger) priced(q *QuoteV1) bool {
	c := d.Currency()
	for i := range q.Options {
		o := &q.Options[i]
		for _, text := range []string{o.Low, o.Safe, o.High, o.Deposit} {
			a, err := money.Parse(text)
			if err != nil || c != "" && a.Currency() != c {
				return false
			}
			c = a.Currency()
		}
		if !Day(o.Half) || !Day(o.Four) {
			return false
		}
	}
	return true
}

// amount reads money of the job's currency.
func (d *Ledger) amount(text string) (money.Amount, bool) {
	a, err := money.Parse(text)
	c := d.Currency()
	return a, err == nil && (c == "" || a.Currency() == c)
}

// Day says whether a text is a day, YYYY-MM-DD.
func Day(text string) bool {
	_, err := time.Parse(time.DateOnly, text)
	return err == nil
}
