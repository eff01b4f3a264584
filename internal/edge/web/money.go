package web

import (
	"context"
	"io"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"time"

	"fettle/internal/base/fault"
	"fettle/internal/edge/bench"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/judge/offer"
	"fettle/internal/show/sheet"
	"fettle/internal/show/view"
)

// tomorrow is the day after today by the shop's clock: the first on which work
// could begin.
func (s *site) tomorrow() string {
	zone := s.Zone
	if zone == nil {
		zone = time.UTC
	}
	return time.UnixMicro(s.Bench.Now()).In(zone).AddDate(0, 0, 1).Format(time.DateOnly)
}

var optionsPage = arrival{below: []string{"options"}, daily: true,
	show: func(s *site, c *view.Case, rd view.Reader, v view.Step, q url.Values) (func(io.Writer) error, bool) {
		from := orText(q.Get("from"), s.tomorrow())
		o, err := s.Bench.Offer(context.Background(), c.Assessment.Job, from)
		var why []string
		for _, f := range fault.All(err) {
			why = append(why, rd.Book.Fault(f))
		}
		p := c.OptionsPage(rd, v, o, from, why)
		p.Notice = notice(c, rd, q)
		return func(w io.Writer) error { return s.pages.Options(w, p) }, true
	},
	store: func(s *site, r *http.Request, st bench.Step, _ string) (bench.Receipt, error) {
		f, err := s.Bench.QuoteOf(r.Context(), st.Job, r.PostForm.Get("from"))
		if err != nil {
			return bench.Receipt{}, err
		}
		got, _, err := s.Bench.IssueQuote(r.Context(), st, f)
		return got, err
	}}

var moneyPage = arrival{below: []string{"money"},
	show: func(s *site, c *view.Case, rd view.Reader, v view.Step, q url.Values) (func(io.Writer) error, bool) {
		p := c.MoneyPage(rd, v)
		p.Notice = notice(c, rd, q)
		return func(w io.Writer) error { return s.pages.Money(w, p) }, true
	},
	store: func(s *site, r *http.Request, st bench.Step, act string) (bench.Receipt, error) {
		f, ctx := r.PostForm, r.Context()
		switch {
		case strings.HasPrefix(act, "approve-"), strings.HasPrefix(act, "change-"):
			change, _ := strconv.Atoi(f.Get("change")) // anything else is the quote itself
			return s.Bench.Approve(ctx, st, job.ApprovalV1{Quote: f.Get("quote"), Option: f.Get("option"), Change: change, Means: f.Get("means"), Who: f.Get("who"),
				On: f.Get("on"), Scan: f.Get("scan"), Note: f.Get("note")})
		case act == "change":
			return s.Bench.Change(ctx, bench.Changing{Step: st, What: f.Get("what"), Why: f.Get("why"), Low: f.Get("low"), High: f.Get("high"), Days: f.Get("days")})
		case act == "leave":
			return s.Bench.HandOver(ctx, st, f.Get("who"), f.Get("note"))
		}
		kind := entry.Payment
		if act == "invoice" {
			kind = entry.Invoice
		} else if f.Get("kind") == "deposit" {
			kind = entry.Deposit
		}
		return s.Bench.Pay(ctx, bench.Paying{Step: st, Kind: kind, Number: f.Get("number"), Amount: f.Get("amount"), On: f.Get("on"), Means: f.Get("means"), Note: f.Get("note")})
	}}

// draftQuote is the quote as it would be issued now.
func (s *site) draftQuote(r *http.Request, rd view.Reader) (answer, error) {
	c, j, err := s.judged(r)
	if err != nil {
		return answer{}, err
	}
	from := orText(r.URL.Query().Get("from"), s.tomorrow())
	o, err := s.Bench.Offer(r.Context(), j.Assessment.Job, from)
	if err != nil {
		return answer{}, err
	}
	return s.quotePDF(c, rd, j.Mark()+from, c.Quote(rd, o)), nil
}

func (s *site) quotePDF(c *view.Case, rd view.Reader, mark string, q view.Quote) answer {
	return answer{kind: "application/pdf", mark: mark, name: c.Assessment.Job + "-quote" + q.Number + ".pdf", write: func(w io.Writer) error {
		pdf, err := sheet.Quote(sheet.Input{Case: c, Reader: rd, Program: s.Program}, q)
		if err == nil {
			_, err = w.Write(pdf)
		}
		return err
	}}
}

// issuedQuote is a quote that left the shop, as PDF or as its file.
func (s *site) issuedQuote(r *http.Request, rd view.Reader) (answer, error) {
	c, j, err := s.judged(r)
	if err != nil {
		return answer{}, err
	}
	digest, form := r.PathValue("digest"), r.PathValue("form")
	missing := fault.New(fault.Missing, "page.problem.missing.text", "path", clip(r.URL.Path))
	if j.Job.Quote(digest) == nil || form != "pdf" && form != "json" {
		return answer{}, missing
	}
	text, err := s.Bench.QuoteFile(digest)
	if err != nil {
		return answer{}, err
	}
	if form == "json" {
		return answer{kind: "application/json", mark: digest, name: c.Assessment.Job + "-quote.json", save: true, write: func(w io.Writer) error {
			_, err := w.Write(text)
			return err
		}}, nil
	}
	f, sealed, err := offer.Verify(text)
	if err != nil {
		return answer{}, err
	}
	q := c.Quote(rd, f.Offer)
	q.Number, q.Code, q.Digest, q.On, q.Until = strconv.Itoa(f.Number), sealed.Code, sealed.Digest, f.On, f.Until
	return s.quotePDF(c, rd, j.Mark()+digest, q), nil
}
