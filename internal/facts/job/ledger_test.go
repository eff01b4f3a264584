package job

import (
	"reflect"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"fettle/internal/facts/entry"
)

// ledgers is one of each payload of the ledger, every field filled, in an order
// in which each is understood.
func ledgers() []struct {
	kind entry.Kind
	p    any
} {
	digest := strings.Repeat("ab", 32)
	return []struct {
		kind entry.Kind
		p    any
	}{
		{entry.QuoteIssued, QuoteV1{Number: 1, Digest: digest, Until: "2026-12-24", Options: []QuotedV1{{Option: "restore", Low: "10.00 EUR", Safe: "12.00 EUR", High: "13.00 EUR",
			Deposit: "3.00 EUR", Half: "2027-01-05", Four: "2027-01-15"}}}},
		{entry.Approval, ApprovalV1{Quote: digest, Option: "restore", Means: "letter", Who: "c-1", On: "2026-12-01", Scan: digest, Note: "n"}},
		{entry.ChangeOrder, ChangeOrderV1{Number: 1, Quote: digest, What: "w", Why: "y", Low: "-1.00 EUR", High: "2.00 EUR", Days: 3, Waste: []WasteV1{{Operation: "o", Minutes: 5, Amount: "1.00 EUR"}}}},
		{entry.Approval, ApprovalV1{Quote: digest, Change: 1, Means: "letter", Who: "c-1", On: "2026-12-01"}},
		{entry.Deposit, PaidV1{Amount: "3.00 EUR", On: "2026-12-02", Means: "cash", Note: "n"}},
		{entry.Invoice, InvoiceV1{Number: "7", Amount: "10.00 EUR", On: "2026-12-03", Note: "n"}},
		{entry.Payment, PaidV1{Amount: "7.00 EUR", On: "2026-12-04", Means: "card", Note: "n"}},
		{entry.HandedOver, HandedOverV1{To: "c-1", Note: "n"}},
	}
}

// Law: each payload comes back from its canonical bytes, all are understood in
// this order, and the sums are exact.
func TestLedgerRoundTrip(t *testing.T) {
	l := &log{t: t}
	for i, c := range ledgers() {
		l.add(c.kind, c.p)
		back := reflect.New(reflect.TypeOf(c.p))
		if !decode(l.rows[i].Payload, back.Interface()) {
			t.Fatalf("%s: not understood", c.kind)
		}
		if d := cmp.Diff(c.p, back.Elem().Interface()); d != "" {
			t.Errorf("%s: %s", c.kind, d)
		}
	}
	s := Replay(l.rows)
	for _, line := range s.Lines {
		if !line.Known {
			t.Errorf("%s is not understood", line.Kind)
		}
	}
	if s.Asked().String() != "10.00 EUR" || s.Came().String() != "10.00 EUR" || s.Agreed().Option != "restore" || len(s.Pending()) != 0 || len(s.Handed) != 1 {
		t.Errorf("%s %s %+v", s.Asked(), s.Came(), s.Ledger)
	}
}

// Law: an entry that names what is not there, a number out of turn or money of
// another currency is kept and changes nothing.
func TestLedgerKeepsOut(t *testing.T) {
	for name, change := range map[string]func(i int, p any) any{
		"second number": func(i int, p any) any {
			if q, ok := p.(QuoteV1); ok {
				q.Number = 2
				return q
			}
			return p
		},
		"no currency": func(i int, p any) any {
			if q, ok := p.(InvoiceV1); ok {
				q.Amount = "10.00"
				return q
			}
			return p
		},
		"other currency": func(i int, p any) any {
			if q, ok := p.(PaidV1); ok {
				q.Amount = "10.00 CHF"
				return q
			}
			return p
		},
		"other option": func(i int, p any) any {
			if q, ok := p.(ApprovalV1); ok && q.Change == 0 {
				q.Option = "race"
				return q
			}
			return p
		},
		"change out of turn": func(i int, p any) any {
			if q, ok := p.(ChangeOrderV1); ok {
				q.Number = 3
				return q
			}
			return p
		},
	} {
		l := &log{t: t}
		for i, c := range ledgers() {
			l.add(c.kind, change(i, c.p))
		}
		odd := 0
		for _, line := range Replay(l.rows).Lines {
			if !line.Known {
				odd++
			}
		}
		if odd == 0 {
			t.Errorf("%s: all understood", name)
		}
	}
}
