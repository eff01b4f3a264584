package sheet

import (
	"bytes"
	"os"
	"testing"

	"fettle/internal/judge/assess"
	"fettle/internal/judge/offer"
	"fettle/internal/judge/plan"
)

// Law: the quote of the demonstration is a PDF that says the same twice; a draft
// says that it is one. With FETTLE_SHOTS=dir it is written there, to be looked at.
func TestQuoteIsSet(t *testing.T) {
	for _, lang := range []string{"en", "de"} {
		given := demoInput(t, "2026-014", lang)
		c, lib := given.Case, given.Case.Library
		basis := offer.Basis{Library: lib, Layout: c.Layout, Terms: *c.Shop.Terms, Machines: func(id string) bool { return len(c.Shop.MachinesOf(id)) > 0 }}
		in := offer.Input{Terms: *c.Shop.Terms, From: "2026-12-01"}
		for _, r := range lib.Routes().Routes {
			p, err := plan.Make(plan.Input{Knowledge: assess.Knowledge{Library: lib, Layout: c.Layout}, Facts: assess.Facts{Job: c.Job, Shop: c.Shop}, Assessment: c.Assessment,
				Shelf: plan.Shelf{Currency: "EUR"}, Route: r.ID})
			if err != nil {
				t.Fatal(err)
			}
			route, err := basis.FromPlan(p)
			if err != nil {
				t.Fatal(err)
			}
			in.Routes = append(in.Routes, route)
		}
		o, err := offer.Make(in)
		if err != nil {
			t.Fatal(err)
		}
		r := given.Reader
		q := c.Quote(r, o)
		draft, err := Quote(Input{Case: c, Reader: r, Program: "fettle test"}, q)
		if err != nil {
			t.Fatal(err)
		}
		q.Number, q.Code, q.Digest, q.On, q.Until = "1", "26KN-CTWB", "0123456789abcdef0123456789abcdef0123456789abcdef0123456789abcdef", "2026-11-24", "2026-12-24"
		once, err := Quote(Input{Case: c, Reader: r, Program: "fettle test"}, q)
		if err != nil {
			t.Fatal(err)
		}
		twice, err := Quote(Input{Case: c, Reader: r, Program: "fettle test"}, q)
		if err != nil || !bytes.Equal(once, twice) || bytes.Equal(once, draft) || len(once) < 20_000 {
			t.Errorf("%s: %d bytes, %v", lang, len(once), err)
		}
		if dir := os.Getenv("FETTLE_SHOTS"); dir != "" {
			if err := os.WriteFile(dir+"/quote-"+lang+".pdf", once, 0o600); err != nil {
				t.Fatal(err)
			}
		}
	}
}
