package web

import (
	"io"
	"net/http"
	"net/url"
	"strings"

	"fettle/internal/base/fault"
	"fettle/internal/edge/bench"
	"fettle/internal/show/sheet"
	"fettle/internal/show/view"
)

var stripPage = arrival{below: []string{"strip"},
	show: func(s *site, c *view.Case, rd view.Reader, v view.Step, q url.Values) (func(io.Writer) error, bool) {
		p := c.StripPage(rd, v)
		p.Notice = notice(c, rd, q)
		if text := q.Get("unknown"); text != "" {
			p.FindBad = rd.T("bench.other-label", "found", clip(text))
		}
		return func(w io.Writer) error { return s.pages.Strip(w, p) }, true
	},
	store: func(s *site, r *http.Request, st bench.Step, act string) (bench.Receipt, error) {
		f := r.PostForm
		if strings.HasPrefix(act, "override-") {
			return s.Bench.Override(r.Context(), st, f.Get("gate"), f.Get("part"))
		}
		return s.Bench.Tag(r.Context(), st, f.Get("part"), f.Get("tag"))
	}}

// find opens what a scanned label stands for.
func (s *site) find(r *http.Request, _ view.Reader) (answer, error) {
	c, j, err := s.judged(r)
	if err != nil {
		return answer{}, err
	}
	text := r.URL.Query().Get("label")
	if l := r.PathValue("label"); l != "" {
		text = l
	}
	if to, ok := c.Find(text); ok {
		return answer{see: to}, nil
	}
	return answer{see: view.JobHref(j.Assessment.Job, "strip") + "?" + url.Values{"unknown": {clip(text)}}.Encode()}, nil
}

// labels are the labels of a job, to be printed.
func (s *site) labels(r *http.Request, rd view.Reader) (answer, error) {
	c, j, err := s.judged(r)
	if err != nil {
		return answer{}, err
	}
	q := r.URL.Query()
	paper := orText(q.Get("paper"), "a4")
	list := c.Labels(rd, q.Get("of"), baseOf(r))
	if len(list) == 0 {
		return answer{}, fault.New(fault.Missing, "sheet.no-labels")
	}
	return answer{kind: "application/pdf", mark: j.Mark() + baseOf(r), name: j.Assessment.Job + "-labels.pdf", write: func(w io.Writer) error {
		pdf, err := sheet.Labels(list, paper, j.Job.Last, s.Program)
		if err == nil {
			_, err = w.Write(pdf)
		}
		return err
	}}, nil
}

// baseOf is the address of this site as its reader reached it.
func baseOf(r *http.Request) string {
	if r.TLS != nil {
		return "https://" + r.Host
	}
	return "http://" + r.Host
}
