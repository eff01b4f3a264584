package view

import (
	"fettle/internal/facts/job"
	"fettle/internal/judge/offer"
)

// Options is the page of what a customer chooses between.
type Options struct {
	Frame
	Step
	Quote  Quote
	Why    []string // why nothing can be offered, where that is so
	From   string
	PDF    string
	Quotes []QuoteRef

	PostMoney string // where a quote is approved
}

// QuoteRef is a quote that was issued.
type QuoteRef struct {
	Number, Code, Digest string
	On, Until            string
	PDF, File            string
	Options              []QuoteName // what of it may be approved
	Agreed               string      // name of what was agreed, "" for nothing yet
	Act                  string
}

// OptionsPage makes the page of the options; o is nil where nothing can be
// offered, and why says why.
func (c *Case) OptionsPage(r Reader, s Step, o *offer.Offer, from string, why []string) Options {
	v := Options{Frame: c.frame(r, r.T("page.options.title"), "options", "", c.lastState("")), Step: s, Why: why, From: from, Quotes: c.quotes(r)}
	v.Under, v.PostMoney = r.T("page.options.under"), JobHref(c.id(), "money")
	if o != nil {
		v.Quote, v.From = c.Quote(r, o), o.From
		v.PDF = JobHref(c.id(), "quote.pdf") + "?from=" + query(o.From)
	}
	return v
}

// quotes lists what was issued, the newest first.
func (c *Case) quotes(r Reader) []QuoteRef {
	var out []QuoteRef
	for i := len(c.Job.Quotes) - 1; i >= 0; i-- {
		q := &c.Job.Quotes[i]
		v := QuoteRef{Number: r.Int(q.Number), Code: offer.Code(q.Digest), Digest: q.Digest, On: r.Date(q.Time), Until: q.Until,
			PDF: JobHref(c.id(), "quote", q.Digest, "pdf"), File: JobHref(c.id(), "quote", q.Digest, "json"), Act: "approve-" + q.Digest}
		for j := range q.Options {
			o := &q.Options[j]
			v.Options = append(v.Options, QuoteName{ID: o.Option, Name: c.routeName(r, o.Option), What: r.T("page.quote.option", "p80", r.amount(o.Safe), "date", o.Four)})
		}
		for j := range c.Job.Approvals {
			if a := &c.Job.Approvals[j]; a.Quote == q.Digest && a.Change == 0 {
				v.Agreed = c.agreed(r, a)
			}
		}
		out = append(out, v)
	}
	return out
}

// agreed says what was approved, how and when.
func (c *Case) agreed(r Reader, a *job.Approved) string {
	what := c.routeName(r, a.Option)
	return r.T("page.money.agreed", "what", what, "means", r.T("page.means."+a.Means), "who", a.Who, "on", a.On)
}

// routeName names a route; the name of an option in words that a file carries.
func (c *Case) routeName(r Reader, id string) string { return r.or("page.route."+id, id) }
