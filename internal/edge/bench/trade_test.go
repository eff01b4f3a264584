package bench

import (
	"context"
	"fmt"
	"sync"
	"testing"

	"fettle/internal/base/money"
	"fettle/internal/edge/store"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/facts/shop"
	"fettle/internal/judge/offer"
)

// synthetic terms and an offer with one option.
func traded(t *testing.T) (*Bench, *store.Store, offer.File) {
	t.Helper()
	b, st := open(t)
	v := shop.TermsV1{Currency: "EUR", Rounding: "half-away", Tax: "20", TaxName: "tax", Hours: "6", Hands: 1, Week: []int{1, 2, 3, 4, 5}, Pace: "0.5", Deposit: "30", Valid: 30, Gate: true,
		Rates: []shop.RateV1{{Hour: "60 EUR"}}}
	if _, err := b.SetTerms(context.Background(), step(1, ""), v); err != nil {
		t.Fatal(err)
	}
	sh, err := b.Shop(context.Background())
	if err != nil || sh.Terms == nil {
		t.Fatal("no terms", err)
	}
	o, err := offer.Make(offer.Input{Terms: *sh.Terms, From: "2026-12-01", Routes: []offer.Route{{ID: "restore", Work: []offer.Work{{ID: "hone", Low: 60, High: 120}}}}})
	if err != nil {
		t.Fatal(err)
	}
	return b, st, offer.File{Title: "An engine", Family: "f", Offer: o}
}

// Law: from quote to key: what is not approved or not paid asks before the
// engine leaves; when both are there it leaves without a word.
func TestFromQuoteToHandover(t *testing.T) {
	b, _, f := traded(t)
	ctx := context.Background()
	got, sealed, err := b.IssueQuote(ctx, step(2, ""), f)
	if err != nil {
		t.Fatal(err)
	}
	kept, err := b.QuoteFile(sealed.Digest)
	if err != nil {
		t.Fatal(err)
	}
	back, again, err := offer.Verify(kept)
	if err != nil || again.Digest != sealed.Digest || back.Number != 1 || back.Until != "2026-12-24" {
		t.Fatal(err, back.Until)
	}
	if q := got.Judged.Job.Quotes; len(q) != 1 || q[0].Digest != sealed.Digest {
		t.Fatalf("%+v", q)
	}
	leave := func(n int, reason string) map[string]string {
		_, err := b.HandOver(ctx, step(n, reason), "c-9", "")
		return keysOf(err)
	}
	if k := leave(3, ""); k["reason"] != "bench.gate-open" {
		t.Error(k)
	}
	yes := job.ApprovalV1{Quote: sealed.Digest, Option: "restore", Means: "signature", Who: "c-9", On: "2026-11-25"}
	if _, err := b.Approve(ctx, step(4, ""), yes); err != nil {
		t.Fatal(err)
	}
	if _, err := b.Pay(ctx, Paying{Step: step(5, ""), Kind: entry.Deposit, Amount: "30", Means: "transfer", On: "2026-11-25"}); err != nil {
		t.Fatal(err)
	}
	if _, err := b.Pay(ctx, Paying{Step: step(6, ""), Kind: entry.Invoice, Number: "R-1", Amount: "100 EUR"}); err != nil {
		t.Fatal(err)
	}
	if k := leave(7, ""); k["reason"] != "bench.gate-open" {
		t.Error("unpaid", k)
	}
	if _, err := b.Pay(ctx, Paying{Step: step(8, ""), Kind: entry.Payment, Amount: "69.99", Means: "card"}); err != nil {
		t.Fatal(err)
	}
	if k := leave(9, ""); k["reason"] != "bench.gate-open" {
		t.Error("a cent short", k)
	}
	r, err := b.Pay(ctx, Paying{Step: step(10, ""), Kind: entry.Payment, Amount: "0.01", Means: "cash"})
	if err != nil || r.Judged.Job.Came().String() != "100.00 EUR" || r.Judged.Job.Asked().String() != "100.00 EUR" {
		t.Fatal(err)
	}
	if _, err := b.Change(ctx, Changing{Step: step(11, ""), What: "A wider chain", Why: "The customer wants it", Low: "-5", High: "20.50", Days: "3",
		Waste: []job.WasteV1{{Operation: "hone", Minutes: 40, Amount: "40.00 EUR"}}}); err != nil {
		t.Fatal(err)
	}
	if k := leave(12, ""); k["reason"] != "bench.gate-open" {
		t.Error("a change is pending", k)
	}
	if _, err := b.Approve(ctx, step(13, ""), job.ApprovalV1{Quote: sealed.Digest, Change: 1, Means: "telephone", Who: "c-9"}); err != nil {
		t.Fatal(err)
	}
	if k := leave(14, ""); len(k) != 0 {
		t.Error(k)
	}
	j, _ := b.Judge(ctx, "j-1")
	if n := len(j.Job.Handed); n != 1 || len(j.Job.Overrides) != 0 {
		t.Errorf("%d left, %d overridden", n, len(j.Job.Overrides))
	}
	for _, l := range j.Job.Lines {
		if !l.Known {
			t.Errorf("%s not understood", l.Kind)
		}
	}
}

// Law: whoever lets it go without says why, and that is kept.
func TestLeavesUnpaidWithAReason(t *testing.T) {
	b, _, _ := traded(t)
	got, err := b.HandOver(context.Background(), step(2, "An old friend"), "c-9", "")
	if err != nil || len(got.Judged.Job.Overrides) != 1 || len(got.Judged.Job.Handed) != 1 {
		t.Fatal(err)
	}
}

// Law: what makes no sense is said at its field, and nothing is stored.
func TestWhatCannotBeTraded(t *testing.T) {
	b, _, f := traded(t)
	ctx := context.Background()
	_, s, err := b.IssueQuote(ctx, step(2, ""), f)
	if err != nil {
		t.Fatal(err)
	}
	good := job.ApprovalV1{Quote: s.Digest, Option: "restore", Means: "signature", Who: "c-9", On: "2026-11-25"}
	approve := func(change func(*job.ApprovalV1)) error {
		a := good
		change(&a)
		_, err := b.Approve(ctx, step(3, ""), a)
		return err
	}
	pay := func(kind entry.Kind, amount, means string) error {
		_, err := b.Pay(ctx, Paying{Step: step(3, ""), Kind: kind, Amount: amount, Means: means, Number: "1"})
		return err
	}
	_, nochange := b.Change(ctx, Changing{Step: step(3, ""), What: "w", Why: "y", Low: "1"})
	for _, c := range []struct {
		what       string
		err        error
		field, key string
	}{
		{"another quote", approve(func(a *job.ApprovalV1) { a.Quote = "00" }), "option", "quote.no-quote"},
		{"another option", approve(func(a *job.ApprovalV1) { a.Option = "race" }), "option", "quote.no-option"},
		{"no such change", approve(func(a *job.ApprovalV1) { a.Option, a.Change = "", 1 }), "change", "quote.no-change"},
		{"a nod", approve(func(a *job.ApprovalV1) { a.Means = "nod" }), "means", "quote.means"},
		{"a name", approve(func(a *job.ApprovalV1) { a.Who = "Jane Doe" }), "who", "quote.who"},
		{"no day", approve(func(a *job.ApprovalV1) { a.On = "soon" }), "on", "offer.from"},
		{"no digest", approve(func(a *job.ApprovalV1) { a.Scan = "page 1" }), "scan", "quote.scan"},
		{"too late", approve(func(a *job.ApprovalV1) { a.On = "2026-12-25" }), "reason", "bench.gate-open"},
		{"nothing agreed", nochange, "", "quote.not-agreed"},
		{"no money", pay(entry.Payment, "0", "card"), "amount", "quote.nothing"},
		{"money back as deposit", pay(entry.Deposit, "-1", "card"), "amount", "quote.nothing"},
		{"other money", pay(entry.Payment, "5 CHF", "card"), "amount", "money.two-currencies"},
		{"no number at all", pay(entry.Payment, "much", "card"), "amount", "money.not-a-number"},
		{"shells", pay(entry.Payment, "5", "shells"), "means", "quote.ways"},
	} {
		if got := keysOf(c.err); got[c.field] != c.key {
			t.Errorf("%s: %v, expected %s at %q", c.what, got, c.key, c.field)
		}
	}
	if j, _ := b.Judge(ctx, "j-1"); len(j.Job.Approvals)+len(j.Job.Payments)+len(j.Job.Deposits)+len(j.Job.Changes) != 0 {
		t.Error("something was stored")
	}
	if _, err := b.SetTerms(ctx, step(9, ""), shop.TermsV1{}); keysOf(err)[""] != "money.no-currency" {
		t.Error(err)
	}
}

// Law: change orders written at once get numbers one after the other, and each
// is there once; the same sent again is the first.
func TestChangesAtOnce(t *testing.T) {
	b, _, f := traded(t)
	ctx := context.Background()
	_, s, err := b.IssueQuote(ctx, step(2, ""), f)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := b.Approve(ctx, step(3, ""), job.ApprovalV1{Quote: s.Digest, Option: "restore", Means: "letter", Who: "c-9"}); err != nil {
		t.Fatal(err)
	}
	var all sync.WaitGroup
	for i := range 8 {
		all.Go(func() {
			for range 2 {
				if _, err := b.Change(ctx, Changing{Step: step(20+i, ""), What: fmt.Sprint(i), Why: "y", Low: "1"}); err != nil {
					t.Error(err)
				}
			}
		})
	}
	all.Wait()
	j, err := b.Judge(ctx, "j-1")
	if err != nil || len(j.Job.Changes) != 8 {
		t.Fatal(err, len(j.Job.Changes))
	}
	for i, c := range j.Job.Changes {
		if c.Number != i+1 || c.Low.Currency() != money.Currency("EUR") {
			t.Error(c.Number)
		}
	}
}
