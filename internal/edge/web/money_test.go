package web

import (
	"context"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"fettle/internal/edge/bench"
	"fettle/internal/facts/entry"
	"fettle/internal/judge/offer"
)

// quote is a quote of the demonstration's first job that left the shop.
func (f *shopFloor) quote(t *testing.T) offer.Sealed {
	t.Helper()
	q, err := f.bench.QuoteOf(context.Background(), "2026-014", "2026-12-01")
	if err != nil {
		t.Fatal(err)
	}
	_, s, err := f.bench.IssueQuote(context.Background(), bench.Step{Job: "2026-014", Person: "p-7a03", Device: "test", Key: entry.Key{9, 9}}, q)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// Law: from the options to a quote that left the shop, its file and its sheet, an
// approval, a deposit and the gate before the engine leaves: all by plain forms.
func TestFromOptionsToMoney(t *testing.T) {
	f := open(t)
	const at, ledger = "/job/2026-014/options", "/job/2026-014/money"
	w := f.get(at + "?from=2026-12-01")
	wants(t, w, http.StatusOK, "Refresh", "Restore", "Upgrade", "Price with tax", "In four of five cases", "Trial assembly", `value="2026-12-01"`)
	form := func(page, act string, more ...string) url.Values {
		v := url.Values{"key": {key(t, f.get(page).Body.String())}, "act": {act}, "person": {"p-7a03"}, "mark": {"point"}}
		for i := 0; i < len(more); i += 2 {
			v.Set(more[i], more[i+1])
		}
		return v
	}
	wants(t, f.post(at, form(at, "issue", "from", "some day")), http.StatusUnprocessableEntity, "is no day")
	wants(t, f.post(at, form(at, "issue", "from", "2026-12-01")), http.StatusSeeOther)
	j, err := f.bench.Judge(context.Background(), "2026-014")
	if err != nil || len(j.Job.Quotes) != 1 {
		t.Fatal(err)
	}
	digest := j.Job.Quotes[0].Digest
	w = f.get("/job/2026-014/quote/" + digest + "/json")
	wants(t, w, http.StatusOK)
	file, sealed, err := offer.Verify(w.Body.Bytes())
	if err != nil || sealed.Digest != digest || file.Job != "2026-014" || file.Number != 1 {
		t.Fatal(err)
	}
	w = f.get("/job/2026-014/quote/" + digest + "/pdf")
	wants(t, w, http.StatusOK)
	if !strings.HasPrefix(w.Body.String(), "%PDF-") {
		t.Error("no PDF")
	}
	wants(t, f.get("/job/2026-014/quote/"+strings.Repeat("0", 64)+"/pdf"), http.StatusNotFound)
	wants(t, f.get("/job/2026-014/quote/"+digest+"/exe"), http.StatusNotFound)
	wants(t, f.get(ledger), http.StatusOK, sealed.Code, digest, "no quote is approved")
	yes := form(ledger, "approve-"+digest, "quote", digest, "option", "restore", "means", "signature", "who", "c-0193", "on", "2026-11-25")
	bad := form(ledger, "approve-"+digest, "quote", digest, "option", "restore", "means", "signature", "who", "Jane Doe")
	wants(t, f.post(ledger, bad), http.StatusUnprocessableEntity, "names lie beside the log", `value="Jane Doe"`)
	wants(t, f.post(ledger, yes), http.StatusSeeOther)
	wants(t, f.post(ledger, form(ledger, "paid", "kind", "deposit", "amount", "1.500,00", "means", "transfer")), http.StatusUnprocessableEntity, "no plain amount")
	wants(t, f.post(ledger, form(ledger, "paid", "kind", "deposit", "amount", "1500", "means", "transfer")), http.StatusSeeOther)
	wants(t, f.post(ledger, form(ledger, "leave", "who", "c-0193")), http.StatusUnprocessableEntity, "Still open")
	wants(t, f.get(ledger), http.StatusOK, "Restore: approved by signature, c-0193, 2026-11-25", "500.00", "nothing was asked for")
}
