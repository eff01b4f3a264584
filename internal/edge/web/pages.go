package web

import (
	"encoding/json"
	"io"
	"net/http"
	"strconv"

	"fettle/internal/base/fault"
	"fettle/internal/edge/bench"
	"fettle/internal/show/view"
)

func (s *site) entered(r *http.Request, rd view.Reader) ([]view.Entered, error) {
	jobs, err := s.Bench.Jobs(r.Context())
	if err != nil {
		return nil, err
	}
	out := make([]view.Entered, len(jobs))
	for i, j := range jobs {
		out[i] = entered(rd, j)
	}
	return out, nil
}

func entered(rd view.Reader, j bench.Summary) view.Entered {
	t := j.Tally
	e := view.Entered{Job: j.Job, Title: j.Title, Family: j.Family, Invented: j.Invented, Findings: j.Findings, Open: j.Open, Last: j.Last,
		Readings: t.Readings, Counts: view.Counts{Accept: t.Accept, Undecided: t.Undecided, Reject: t.Reject, Unmeasured: t.Unmeasured}}
	if j.Problem != nil {
		e.Problem = rd.Book.Fault(j.Problem)
	}
	return e
}

func (s *site) shop(r *http.Request, rd view.Reader) (answer, error) {
	jobs, err := s.entered(r, rd)
	if err != nil {
		return answer{}, err
	}
	v := rd.Shop(jobs)
	return answer{write: func(w io.Writer) error { return s.pages.Shop(w, v) }}, nil
}

// ofJob is a page of a job that a head of its log tells apart.
func (s *site) ofJob(r *http.Request, make func(*view.Case) (func(io.Writer) error, bool)) (answer, error) {
	c, j, err := s.judged(r)
	if err != nil {
		return answer{}, err
	}
	return answer{mark: j.Mark(), write: func(w io.Writer) error {
		write, ok := make(c)
		if !ok {
			return fault.New(fault.Missing, "page.problem.missing.text", "path", clip(r.URL.Path))
		}
		return write(w)
	}}, nil
}

func (s *site) job(r *http.Request, rd view.Reader) (answer, error) {
	return s.ofJob(r, func(c *view.Case) (func(io.Writer) error, bool) {
		v := c.JobPage(rd)
		return func(w io.Writer) error { return s.pages.Job(w, v) }, true
	})
}

func (s *site) questions(r *http.Request, rd view.Reader) (answer, error) {
	return s.ofJob(r, func(c *view.Case) (func(io.Writer) error, bool) {
		v := c.QuestionsPage(rd)
		return func(w io.Writer) error { return s.pages.Questions(w, v) }, true
	})
}

func (s *site) targets(r *http.Request, rd view.Reader) (answer, error) {
	return s.ofJob(r, func(c *view.Case) (func(io.Writer) error, bool) {
		v := c.TargetsPage(rd)
		return func(w io.Writer) error { return s.pages.Targets(w, v) }, true
	})
}

func (s *site) causes(r *http.Request, rd view.Reader) (answer, error) {
	return s.ofJob(r, func(c *view.Case) (func(io.Writer) error, bool) {
		v := c.CausesPage(rd)
		return func(w io.Writer) error { return s.pages.Causes(w, v) }, true
	})
}

func (s *site) log(r *http.Request, rd view.Reader) (answer, error) {
	return s.ofJob(r, func(c *view.Case) (func(io.Writer) error, bool) {
		before, _ := strconv.ParseInt(r.URL.Query().Get("before"), 10, 64) // anything else is the newest
		v := c.LogPage(rd, before)
		return func(w io.Writer) error { return s.pages.Log(w, v) }, true
	})
}

// record is the build record as a PDF.
func (s *site) record(r *http.Request, rd view.Reader) (answer, error) {
	c, j, err := s.judged(r)
	if err != nil {
		return answer{}, err
	}
	if s.Record == nil {
		return answer{}, fault.New(fault.Missing, "page.problem.record")
	}
	return answer{kind: "application/pdf", mark: j.Mark(), name: j.Assessment.Job + "-record.pdf", write: func(w io.Writer) error {
		pdf, err := s.Record(c, rd)
		if err == nil {
			_, err = w.Write(pdf)
		}
		return err
	}}, nil
}

// assessment is the judgement as a program reads it.
func (s *site) assessment(r *http.Request, _ view.Reader) (answer, error) {
	_, j, err := s.judged(r)
	if err != nil {
		return answer{}, err
	}
	return answer{kind: "application/json", mark: j.Mark(), write: func(w io.Writer) error { return json.NewEncoder(w).Encode(j.Assessment) }}, nil
}

func (s *site) legend(_ *http.Request, rd view.Reader) (answer, error) {
	v := rd.Legend()
	return answer{mark: "legend", write: func(w io.Writer) error { return s.pages.Legend(w, v) }}, nil
}

func (s *site) cautions(_ *http.Request, rd view.Reader) (answer, error) {
	v := rd.Cautions(s.Bench.Library())
	return answer{mark: "cautions", write: func(w io.Writer) error { return s.pages.Cautions(w, v) }}, nil
}

func (s *site) family(r *http.Request, rd view.Reader) (answer, error) {
	id := r.PathValue("id")
	lib := s.Bench.Library()
	l := lib.Families[id]
	if l == nil {
		return answer{}, fault.New(fault.Missing, "bench.no-family", "family", clip(id))
	}
	v := rd.FamilyPage(l, lib, sketch())
	if r.URL.Query().Get("adopted") == l.Digest {
		v.Notice = rd.AdoptedNotice(l)
	}
	return answer{mark: lib.Digests[id], write: func(w io.Writer) error { return s.pages.Family(w, v) }}, nil
}
