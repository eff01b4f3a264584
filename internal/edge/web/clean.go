package web

import (
	"io"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"fettle/internal/edge/bench"
	"fettle/internal/facts/job"
	"fettle/internal/show/view"
)

// mostMarks is how many indications one form of a test takes.
const mostMarks = 3

var cleanPage = arrival{below: []string{"clean"},
	show: func(s *site, c *view.Case, rd view.Reader, v view.Step, q url.Values) (func(io.Writer) error, bool) {
		p := c.CleanPage(rd, v)
		p.Notice = notice(c, rd, q)
		return func(w io.Writer) error { return s.pages.Clean(w, p) }, true
	}, store: storeClean}

var cleanPartPage = arrival{below: []string{"clean"}, part: true,
	show: func(s *site, c *view.Case, rd view.Reader, v view.Step, q url.Values) (func(io.Writer) error, bool) {
		component := v.Post[strings.LastIndexByte(v.Post, '/')+1:]
		p, ok := c.CleanPartPage(rd, component, v)
		p.Notice = notice(c, rd, q)
		return func(w io.Writer) error { return s.pages.Clean(w, p) }, ok
	}, store: storeClean}

func storeClean(s *site, r *http.Request, st bench.Step, act string) (bench.Receipt, error) {
	f := r.PostForm
	switch {
	case strings.HasPrefix(act, "override-"):
		return s.Bench.Override(r.Context(), st, f.Get("gate"), f.Get("part"))
	case act == "cleaned":
		return s.Bench.Clean(r.Context(), st, job.CleanedV1{Part: f.Get("part"), Process: f.Get("process"), Checks: f["checks"], Note: f.Get("note")})
	}
	t := job.TestedV1{Part: f.Get("part"), Method: f.Get("method"), Result: f.Get("result"), By: f.Get("by"), Note: f.Get("note")}
	for i := 1; i <= mostMarks; i++ {
		n := strconv.Itoa(i)
		if at, says := f.Get("at-"+n), f.Get("says-"+n); strings.TrimSpace(at+says) != "" {
			t.Indications = append(t.Indications, job.IndicationV1{At: at, Says: says})
		}
	}
	return s.Bench.Test(r.Context(), st, t)
}
