package view

import (
	"strconv"
	"strings"

	"fettle/internal/base/money"
	"fettle/internal/facts/job"
	"fettle/internal/judge/gate"
	"fettle/internal/judge/offer"
)

// Money is the page of what was agreed, asked for and paid.
type Money struct {
	Frame
	Step
	Quotes   []QuoteRef
	Changes  []ChangeRow
	Asked    []MoneyRow
	Came     []MoneyRow
	Sums     []Fact
	Wanting  []string // before the engine may leave
	Handed   []string
	Means    []Choice
	Ways     []Choice
	Currency string
	Agreed   bool
	Address  string
}

// Assent is the part of a form that says how somebody agreed.
type Assent struct {
	Form  StepForm
	Means []Choice
}

// Assent is that part for a form of this page.
func (m Money) Assent(f StepForm) Assent { return Assent{f, m.Means} }

// ChangeRow is a change order.
type ChangeRow struct {
	Number, What, Why string
	Money, Days       string
	Waste             []string
	State             string // approved how, or pending
	Pending           bool
	Act, Quote        string
	Raw               string // number as a form sends it
	Who, When         string
}

// MoneyRow is one amount.
type MoneyRow struct {
	Kind, Number, Amount, On, Means, Note, Who string
}

// amount writes an amount of an entry.
func (r Reader) amount(text string) string {
	a, err := money.Parse(text)
	if err != nil {
		return text
	}
	return r.money(a)
}

// MoneyPage makes the page.
func (c *Case) MoneyPage(r Reader, s Step) Money {
	d := &c.Job.Ledger
	v := Money{Frame: c.frame(r, r.T("page.money.title"), "money", "", c.lastState("")), Step: s, Quotes: c.quotes(r), Agreed: d.Agreed() != nil, Currency: string(d.Currency())}
	v.Under = r.T("page.money.under")
	if v.Currency == "" && c.Shop != nil && c.Shop.Terms != nil {
		v.Currency = string(c.Shop.Terms.Money)
	}
	for _, m := range job.Means() {
		v.Means = append(v.Means, Choice{Value: m, Text: r.T("page.means." + m)})
	}
	for _, m := range job.Ways() {
		v.Ways = append(v.Ways, Choice{Value: m, Text: r.T("page.way." + m)})
	}
	for i := range d.Changes {
		v.Changes = append(v.Changes, c.change(r, &d.Changes[i]))
	}
	for i := range d.Invoices {
		n := &d.Invoices[i]
		v.Asked = append(v.Asked, MoneyRow{r.T("page.kind.invoice"), n.Number, r.money(n.Money), n.On, "", n.Note, c.person(n.Person)})
	}
	paid := func(kind string, list []job.Paid) {
		for i := range list {
			n := &list[i]
			v.Came = append(v.Came, MoneyRow{r.T("page.kind." + kind), "", r.money(n.Money), n.On, r.T("page.way." + n.Means), n.Note, c.person(n.Person)})
		}
	}
	paid("deposit", d.Deposits)
	paid("payment", d.Payments)
	if d.Currency() != "" {
		v.Sums = []Fact{{Name: r.T("page.money.asked"), Value: r.money(d.Asked())}, {Name: r.T("page.money.came"), Value: r.money(d.Came())}}
		if open, err := d.Asked().Minus(d.Came()); err == nil {
			v.Sums = append(v.Sums, Fact{Name: r.T("page.money.open"), Value: r.money(open)})
		}
	}
	if c.Shop != nil {
		for _, w := range gate.Leaving(c.Shop.Terms, d) {
			v.Wanting = append(v.Wanting, r.T("page.money.wanting."+w))
		}
		if c.Shop.Terms != nil {
			v.Address = c.Shop.Terms.Address
		}
	}
	for i := range d.Handed {
		h := &d.Handed[i]
		v.Handed = append(v.Handed, r.T("page.money.handed", "to", h.To, "when", r.Day(h.Time), "who", c.person(h.Person), "note", h.Note))
	}
	return v
}

func (c *Case) change(r Reader, h *job.Changed) ChangeRow {
	v := ChangeRow{Number: r.Int(h.Number), What: h.What, Why: h.Why, Money: r.span(offer.Range{Low: h.Low, High: h.High}), Raw: strconv.Itoa(h.Number),
		Act: "change-" + strconv.Itoa(h.Number), Quote: h.Quote, Who: c.person(h.Person), When: r.Date(h.Time), Pending: true, State: r.T("page.money.pending")}
	v.Days = r.N("page.money.later", h.Days)
	if h.Days < 0 {
		v.Days = r.N("page.money.earlier", -h.Days)
	}
	for _, w := range h.Waste {
		v.Waste = append(v.Waste, r.T("page.money.waste", "operation", strings.ReplaceAll(w.Operation, "-", " "), "hours", r.With(offer.HoursText(w.Minutes), "h"), "amount", r.amount(w.Amount)))
	}
	for i := range c.Job.Approvals {
		if a := &c.Job.Approvals[i]; a.Change == h.Number {
			v.Pending, v.State = false, r.T("page.money.agreed", "what", r.T("page.money.change", "n", v.Number), "means", r.T("page.means."+a.Means), "who", a.Who, "on", a.On)
		}
	}
	return v
}
