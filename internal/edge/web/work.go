package web

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"strings"
	"time"

	"fettle/internal/base/fault"
	"fettle/internal/edge/bench"
	"fettle/internal/facts/job"
	"fettle/internal/judge/plan"
	"fettle/internal/judge/route"
	"fettle/internal/show/sheet"
	"fettle/internal/show/view"
)

var workPage = arrival{below: []string{"work"},
	show: func(s *site, c *view.Case, rd view.Reader, v view.Step, q url.Values) (func(io.Writer) error, bool) {
		p := c.WorkPage(rd, v)
		p.Notice = notice(c, rd, q)
		return func(w io.Writer) error { return s.pages.Work(w, p) }, true
	}, store: storeWork}

func storeWork(s *site, r *http.Request, st bench.Step, act string) (bench.Receipt, error) {
	f := r.PostForm
	switch {
	case strings.HasPrefix(act, "start-"):
		return s.Bench.Start(r.Context(), st, f.Get("operation"), nil)
	case strings.HasPrefix(act, "stop-"):
		at, err := s.moment(f.Get("at"))
		if err != nil {
			return bench.Receipt{}, err
		}
		return s.Bench.Stop(r.Context(), st, f.Get("start"), at)
	case strings.HasPrefix(act, "done-"):
		return s.Bench.Finish(r.Context(), st, f.Get("operation"), f.Get("note"))
	}
	return s.Bench.Wait(r.Context(), st, job.WaitingV1{For: f.Get("for"), Over: f.Get("over") != "", Text: f.Get("text"), Operation: f.Get("operation")})
}

// moment reads a time as a form sends it, in the zone of the shop; 0 where
// nothing was typed.
func (s *site) moment(text string) (int64, error) {
	if strings.TrimSpace(text) == "" {
		return 0, nil
	}
	zone := s.Zone
	if zone == nil {
		zone = time.UTC
	}
	for _, form := range []string{"2006-01-02T15:04", "2006-01-02T15:04:05", "2006-01-02 15:04"} {
		if t, err := time.ParseInLocation(form, strings.TrimSpace(text), zone); err == nil {
			return t.UnixMicro(), nil
		}
	}
	return 0, fault.List{fault.New(fault.Invalid, "bench.stop-time").In("at")}
}

// workNames puts the reader's words in the place of the ids of operations,
// machines and fixtures.
func (s *site) workNames(rd view.Reader, f *fault.Fault) *fault.Fault {
	c := s.Bench.Library().Operations()
	if o := c.Operation(f.Args["operation"]); o != nil {
		f = f.With("operation", o.Name.In(rd.Lang))
	}
	if m, ok := c.Machine(f.Args["machine"]); ok {
		f = f.With("machine", m.Name.In(rd.Lang))
	}
	if x, ok := c.Fixture(f.Args["fixture"]); ok {
		f = f.With("fixture", x.Name.In(rd.Lang))
	}
	return f
}

// ticket is the route ticket of one stage.
func (s *site) ticket(r *http.Request, rd view.Reader) (answer, error) {
	c, j, err := s.judged(r)
	if err != nil {
		return answer{}, err
	}
	aims, mark := s.aims(r, j.Assessment.Job)
	v, ok := c.TicketPage(rd, r.PathValue("stage"), aims)
	if !ok {
		return answer{}, fault.New(fault.Missing, "page.problem.missing.text", "path", clip(r.URL.Path))
	}
	return answer{mark: j.Mark() + mark, write: func(w io.Writer) error { return s.pages.Ticket(w, v) }}, nil
}

// ticketSheet is the same on paper.
func (s *site) ticketSheet(r *http.Request, rd view.Reader) (answer, error) {
	c, j, err := s.judged(r)
	if err != nil {
		return answer{}, err
	}
	stage := r.PathValue("stage")
	aims, mark := s.aims(r, j.Assessment.Job)
	v, ok := c.TicketPage(rd, stage, aims)
	if !ok {
		return answer{}, fault.New(fault.Missing, "page.problem.missing.text", "path", clip(r.URL.Path))
	}
	return answer{kind: "application/pdf", mark: j.Mark() + mark, name: j.Assessment.Job + "-" + stage + ".pdf", write: func(w io.Writer) error {
		pdf, err := sheet.Ticket(sheet.Input{Case: c, Reader: rd, Program: s.Program}, &v)
		if err == nil {
			_, err = w.Write(pdf)
		}
		return err
	}}, nil
}

// aims are the sizes that the plan of a job asks for, with what tells them from
// others; none where no plan can be made, and then the ticket leaves them open.
func (s *site) aims(r *http.Request, job string) (aims []route.Aim, mark string) {
	p, _, err := s.Bench.Plan(r.Context(), job, "", plan.Wish{})
	if err != nil {
		return nil, ""
	}
	h := sha256.New()
	for _, a := range p.Aims {
		aims = append(aims, route.Aim{Part: a.Part, To: a.To, Unit: a.Unit})
		fmt.Fprintln(h, a.Part, a.To, a.Unit)
	}
	return aims, hex.EncodeToString(h.Sum(nil)[:6])
}
