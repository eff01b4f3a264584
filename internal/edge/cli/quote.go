package cli

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"strings"

	"fettle/internal/base/fault"
	"fettle/internal/edge/bench"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/shop"
	"fettle/internal/judge/offer"
)

// quoteCmd is what the command line does with quotes.
type quoteCmd struct {
	Offer  quoteOfferCmd  `cmd:"" help:"quote_offer"`
	Verify quoteVerifyCmd `cmd:"" help:"quote_verify"`
}

// quoteOfferCmd lays the options of a job side by side.
type quoteOfferCmd struct {
	Job  string `arg:"" help:"plan_job"`
	Dir  string `default:"shop" help:"gauge_dir"`
	From string `required:"" help:"quote_from"`
	JSON bool   `name:"json" help:"json"`
}

// Run works them out.
func (c *quoteOfferCmd) Run(s *shell) error {
	return s.at(c.Dir, func(ctx context.Context, b *bench.Bench) error {
		o, err := b.Offer(ctx, c.Job, c.From)
		if err != nil {
			return err
		}
		if c.JSON {
			return s.print(o)
		}
		for i := range o.Options {
			p := &o.Options[i]
			fmt.Fprintln(s.Out, s.book.Say("cli.quote.option", "name", p.Name.In("en"), "p50", p.Likely.String(), "p80", p.Safe.String(), "low", p.Gross.Low.String(),
				"high", p.Gross.High.String(), "half", p.Date.Half, "four", p.Date.Four))
		}
		return nil
	})
}

// quoteVerifyCmd reads a quote that came back.
type quoteVerifyCmd struct {
	File string `arg:"" help:"quote_file"`
	Code string `help:"quote_code"`
	JSON bool   `name:"json" help:"json"`
}

// Run works out every sum anew and compares the code, if one is given.
func (c *quoteVerifyCmd) Run(s *shell) error {
	text, err := os.ReadFile(c.File)
	if err != nil {
		return unread(c.File, err)
	}
	f, sealed, err := offer.Verify(text)
	if err != nil {
		return err
	}
	if given := strings.ToUpper(strings.ReplaceAll(c.Code, " ", "")); given != "" && given != sealed.Code {
		return fault.New(fault.Conflict, "quote.other-code", "found", sealed.Code, "expected", c.Code)
	}
	if c.JSON {
		return s.print(map[string]any{"job": f.Job, "number": f.Number, "on": f.On, "until": f.Until, "digest": sealed.Digest, "code": sealed.Code})
	}
	fmt.Fprintln(s.Out, s.book.Say("cli.quote.verified", "number", fmt.Sprint(f.Number), "job", f.Job, "on", f.On, "code", sealed.Code, "digest", sealed.Digest))
	return nil
}

// termsCmd says what the shop asks and when it works.
type termsCmd struct {
	File   string `arg:"" help:"terms_file"`
	Dir    string `default:"shop" help:"gauge_dir"`
	Person string `help:"gauge_person"`
	JSON   bool   `name:"json" help:"json"`
}

// Run stores the terms.
func (c *termsCmd) Run(s *shell) error {
	text, err := os.ReadFile(c.File)
	if err != nil {
		return unread(c.File, err)
	}
	var t shop.TermsV1
	d := json.NewDecoder(bytes.NewReader(text))
	d.DisallowUnknownFields()
	if err := d.Decode(&t); err != nil {
		return fault.New(fault.Invalid, "entry.not-json", "error", err.Error())
	}
	return s.at(c.Dir, func(ctx context.Context, b *bench.Bench) error {
		key, err := keyOf("terms", text)
		if err != nil {
			return err
		}
		got, err := b.SetTerms(ctx, bench.Step{Person: c.Person, Device: "cli", Key: key}, t)
		if err != nil {
			return err
		}
		if c.JSON {
			return s.print(got)
		}
		fmt.Fprintln(s.Out, s.book.Say("cli.terms.stored", "seq", fmt.Sprint(got.Seq)))
		return nil
	})
}

// keyOf is the key of what a file says: the same file is one entry.
func keyOf(what string, text []byte) (entry.Key, error) {
	return entry.ParseKey(offer.Sum(append([]byte(what+"\x00"), text...))[:32])
}
