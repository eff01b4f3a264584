package web

import (
	"encoding/json"
	"errors"
	"io"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"fettle/internal/base/fault"
	"fettle/internal/edge/bench"
	"fettle/internal/judge/plan"
	"fettle/internal/show/view"
)

// findingsPage is the findings of a job, each with the form of a decision on it.
var findingsPage = arrival{below: []string{"findings"},
	show: func(s *site, c *view.Case, rd view.Reader, v view.Step, q url.Values) (func(io.Writer) error, bool) {
		p := c.FindingsPage(rd, v)
		p.Notice = notice(c, rd, q)
		return func(w io.Writer) error { return s.pages.Findings(w, p) }, true
	},
	store: func(s *site, r *http.Request, st bench.Step, _ string) (bench.Receipt, error) {
		return s.Bench.Decide(r.Context(), st, r.PostForm.Get("finding"), r.PostForm.Get("outcome"))
	}}

// wish reads the form of wishes.
func (s *site) wish(r *http.Request) (a view.Asked, w plan.Wish, err error) {
	q := r.URL.Query()
	a = view.Asked{Route: clip(q.Get("route")), Ratio: clip(strings.TrimSpace(q.Get("ratio"))), Use: clip(q.Get("use")), Days: clip(strings.TrimSpace(q.Get("days")))}
	w.Use = a.Use
	if a.Ratio != "" {
		if w.Ratio, err = strconv.ParseFloat(strings.Replace(a.Ratio, ",", ".", 1), 64); err != nil {
			return a, w, fault.New(fault.Invalid, "page.plan.bad-ratio", "found", a.Ratio)
		}
	}
	if a.Days != "" {
		if w.Days, err = strconv.Atoi(a.Days); err != nil {
			return a, w, fault.New(fault.Invalid, "page.plan.bad-ratio", "found", a.Days)
		}
	}
	return a, w, nil
}

// plan is the page of a plan. A wish that is none is said beside the form, with
// the plan that goes without it.
func (s *site) plan(r *http.Request, rd view.Reader) (answer, error) {
	c, _, err := s.judged(r)
	if err != nil {
		return answer{}, err
	}
	asked, wish, wrong := s.wish(r)
	p, _, err := s.Bench.Plan(r.Context(), r.PathValue("job"), asked.Route, wish)
	if wrong == nil {
		wrong = err
	}
	if wrong != nil {
		var f *fault.Fault
		if !errors.As(wrong, &f) || f.Code != fault.Invalid && f.Code != fault.Missing {
			return answer{}, wrong
		}
		if p, _, err = s.Bench.Plan(r.Context(), r.PathValue("job"), "", plan.Wish{}); err != nil {
			return answer{}, err
		}
		v := c.PlanPage(rd, p, asked, rd.Book.Fault(f))
		return answer{status: http.StatusUnprocessableEntity, write: func(w io.Writer) error { return s.pages.Plan(w, v) }}, nil
	}
	v := c.PlanPage(rd, p, asked, "")
	return answer{write: func(w io.Writer) error { return s.pages.Plan(w, v) }}, nil
}

// planJSON is a plan as plan/1.
func (s *site) planJSON(r *http.Request, _ view.Reader) (answer, error) {
	asked, wish, err := s.wish(r)
	if err != nil {
		return answer{}, err
	}
	p, _, err := s.Bench.Plan(r.Context(), r.PathValue("job"), asked.Route, wish)
	if err != nil {
		return answer{}, err
	}
	b, err := json.Marshal(p)
	if err != nil {
		return answer{}, err
	}
	return answer{kind: "application/json", write: func(w io.Writer) error { _, err := w.Write(append(b, '\n')); return err }}, nil
}
