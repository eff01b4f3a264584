package gallery

import (
	"fmt"
	"io"
	"strings"

	"fettle/internal/base/money"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/facts/shop"
	"fettle/internal/judge/assess"
	"fettle/internal/judge/offer"
	"fettle/internal/judge/plan"
	"fettle/internal/know/words"
	"fettle/internal/show/view"
)

// offered is a job of the demonstration by every route of its shop.
func (g *gallery) offered(c *view.Case) *offer.Offer {
	g.t.Helper()
	basis := offer.Basis{Library: g.s.lib, Layout: c.Layout, Terms: *c.Shop.Terms, Machines: func(id string) bool { return len(c.Shop.MachinesOf(id)) > 0 }}
	in := offer.Input{Terms: *c.Shop.Terms, From: "2026-12-01"}
	for _, r := range g.s.lib.Routes().Routes {
		p, err := plan.Make(plan.Input{Knowledge: assess.Knowledge{Library: g.s.lib, Layout: c.Layout}, Facts: assess.Facts{Job: c.Job, Shop: c.Shop}, Assessment: c.Assessment,
			Shelf: plan.Shelf{Currency: "EUR"}, Route: r.ID})
		if err != nil {
			g.t.Fatal(err)
		}
		route, err := basis.FromPlan(p)
		if err != nil {
			g.t.Fatal(err)
		}
		in.Routes = append(in.Routes, route)
	}
	o, err := offer.Make(in)
	if err != nil {
		g.t.Fatal(err)
	}
	return o
}

// heavy is four options with everything in them, in long words. Synthetic.
func (g *gallery) heavy() *offer.Offer {
	t, err := shop.ReadTerms(shop.TermsV1{Currency: "EUR", Rounding: "half-away-5", Tax: "8.1", TaxName: "Mehrwertsteuer (erfunden)", Hours: "6", Hands: 2, Week: []int{1, 2, 3, 4}, Pace: "0.5",
		Deposit: "33.3333", Valid: 14, Rates: []shop.RateV1{{Hour: "118.75 EUR"}, {Machine: "boring-mill", Hour: "146.20 EUR"}}})
	if err != nil {
		g.t.Fatal(err)
	}
	amount := func(text string) money.Amount {
		a, err := money.Parse(text)
		if err != nil {
			g.t.Fatal(err)
		}
		return a
	}
	in := offer.Input{Terms: t, From: "2026-12-01"}
	name := words.Text{"en": "Instandsetzung der Nockenwellenverstellereinheiten und Hydrostößelaufnahmebohrungen"}
	for i := range 4 {
		r := offer.Route{ID: fmt.Sprint("route-", i), Name: words.Text{"en": "Vollständige Wiederherstellung mit Hochleistungsbauteilen"}, What: words.Text{"en": strings.Repeat("Was verschlissen ist, wird erneuert. ", 4)}}
		for k := range 30 + 5*i {
			w := offer.Work{ID: fmt.Sprint("work-", k), Name: name, Machine: []string{"", "boring-mill", "zylinderkopfplanschleifmaschine"}[k%3], Low: 60 * k, High: 60*k + 180, AloneHigh: 300}
			if k%9 == 0 {
				w.DaysLow, w.DaysHigh, w.PriceLow, w.PriceHigh = 7, 30, amount("12.35 EUR"), amount("123456.80 EUR")
			}
			r.Work = append(r.Work, w)
			r.Parts = append(r.Parts, offer.Part{ID: fmt.Sprint("part-", k), Name: name, Count: 24, EachLow: amount("0.05 EUR"), EachHigh: amount("999.95 EUR"), Supplier: "northern-bearings-and-seals", DaysLow: 1, DaysHigh: 400})
			r.Limits = append(r.Limits, offer.Limit{Position: "block/bore/1/H1/T", Chance: float64(k) / 40})
			r.Declined = append(r.Declined, offer.Risk{Finding: fmt.Sprint("f-", k), Act: k%2 == 0, Taken: "reuse-with-note", Instead: []string{"rework", "replace"}, Title: name, Says: words.Text{"en": strings.Repeat("Der Ölverbrauch steigt. ", 6)}})
		}
		r.Limits = append(r.Limits, offer.Limit{Position: "block/bore/2/H1/T", Chance: -1})
		r.Open = []assess.Say{{Key: "offer.open.unmeasured", Args: map[string]string{"n": "1 234"}}}
		in.Routes = append(in.Routes, r)
	}
	o, err := offer.Make(in)
	if err != nil {
		g.t.Fatal(err)
	}
	return o
}

// bought is a job with all that can stand in its ledger. Synthetic.
func (g *gallery) bought(c *view.Case, o *offer.Offer) *view.Case {
	log := newLog(g.t, c.Layout, "traded-1", "An engine that was quoted twice and changed three times")
	digest := strings.Repeat("0123456789abcdef", 4)
	quote := job.QuoteV1{Number: 1, Digest: digest, Until: "2026-12-24"}
	for _, p := range o.Options {
		quote.Options = append(quote.Options, job.QuotedV1{Option: p.ID, Low: p.Gross.Low.String(), Safe: p.Safe.String(), High: p.Gross.High.String(), Deposit: p.Deposit.String(),
			Half: p.Date.Half, Four: p.Date.Four})
	}
	log.add(entry.QuoteIssued, quote)
	quote.Number, quote.Digest = 2, strings.Repeat("f", 64)
	log.add(entry.QuoteIssued, quote)
	log.add(entry.Approval, job.ApprovalV1{Quote: digest, Option: "restore", Means: "telephone", Who: "c-0193", On: "2026-11-26", Note: "He will sign when he comes."})
	log.add(entry.Deposit, job.PaidV1{Amount: "2500.00 EUR", On: "2026-11-27", Means: "transfer"})
	for i, w := range []string{"A wider chain", "Hard seats on the exhaust side, and new guides with them since the old ones were found cracked", "Back to the old ports"} {
		log.add(entry.ChangeOrder, job.ChangeOrderV1{Number: i + 1, Quote: digest, What: w, Why: "The customer asked for it after the machining began.", Low: "-120.00 EUR", High: "1480.50 EUR", Days: 4 - 3*i,
			Waste: []job.WasteV1{{Operation: "plate-hone", Minutes: 215, Amount: "344.00 EUR"}}})
	}
	log.add(entry.Approval, job.ApprovalV1{Quote: digest, Change: 1, Means: "message", Who: "c-0193", On: "2026-12-03"})
	log.add(entry.Invoice, job.InvoiceV1{Number: "R-2026-0117", Amount: "9876.54 EUR", On: "2026-12-20", Note: "without the third change order"})
	log.add(entry.Payment, job.PaidV1{Amount: "5000.00 EUR", On: "2026-12-22", Means: "card", Note: "in two parts"})
	log.add(entry.Payment, job.PaidV1{Amount: "-12.30 EUR", On: "2026-12-23", Means: "cash", Note: "given back"})
	log.add(entry.HandedOver, job.HandedOverV1{To: "c-0193", Note: "with the old shells in a bag"})
	st := log.state()
	for _, l := range st.Lines {
		if !l.Known {
			g.t.Errorf("%s is not understood", l.Kind)
		}
	}
	return g.s.judge(g.t, c.Layout, st, c.Shop)
}

// traded are the pages of options and of money.
func (g *gallery) traded(en, de view.Reader, demo *view.Case) {
	key := strings.Repeat("0", 31) + "7"
	real, heavy := g.offered(demo), g.heavy()
	full := g.bought(demo, real)
	empty := g.empty("brae-05-1")
	for _, k := range []struct {
		name string
		r    view.Reader
		c    *view.Case
		o    *offer.Offer
		why  []string
	}{{"demo", en, demo, real, nil}, {"demo-de", de, demo, real, nil}, {"heavy-de", de, demo, heavy, nil}, {"full", en, full, real, nil}, {"full-de", de, full, real, nil},
		{"none", en, empty, nil, []string{en.T("quote.no-terms")}}} {
		v := k.c.OptionsPage(k.r, k.c.StepOf(k.r, key, "", "options"), k.o, "2026-12-01", k.why)
		g.add("options-"+k.name, k.r.Lang, func(w io.Writer) error { return g.p.Options(w, v) })
		m := k.c.MoneyPage(k.r, k.c.StepOf(k.r, key, "", "money"))
		g.add("money-"+k.name, k.r.Lang, func(w io.Writer) error { return g.p.Money(w, m) })
	}
	for _, act := range []string{"change", "invoice", "paid", "leave", "approve-" + strings.Repeat("f", 64)} {
		back := full.StepOf(de, key, "", "money").Back(act, map[string]string{"low": "viel", "amount": "12.345", "who": "Jane Doe"}, map[string][]string{
			"low": {de.T("money.no-number")}, "amount": {de.T("money.too-fine", "text", "12.345", "currency", "EUR")}, "who": {de.T("quote.who")},
			"reason": {de.T("bench.gate-open", "gate", de.GateName(g.s.lib, "leave"))}, "person": {de.T("bench.no-person")}})
		m := full.MoneyPage(de, back)
		g.add("money-back-"+act[:4]+"-de", "de", func(w io.Writer) error { return g.p.Money(w, m) })
	}
}
