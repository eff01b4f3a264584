package web

import (
	"io"
	"net/http"

	"fettle/internal/base/fault"
	"fettle/internal/edge/bench"
	"fettle/internal/facts/entry"
	"fettle/internal/show/view"
)

// amendForm is the page of a correction or of a withdrawal.
func (s *site) amendForm(withdraw bool) func(*http.Request, view.Reader) (answer, error) {
	return func(r *http.Request, rd view.Reader) (answer, error) {
		c, _, err := s.judged(r)
		if err != nil {
			return answer{}, err
		}
		_, t, ok := c.TypedFrom(rd, r.PathValue("key"))
		if !ok {
			return answer{}, fault.New(fault.Missing, "bench.no-reading", "found", clip(r.PathValue("key")))
		}
		t.Person = known(r, "person")
		return s.amendPage(c, rd, r.PathValue("key"), withdraw, t, nil, 0)
	}
}

func (s *site) amendPage(c *view.Case, rd view.Reader, target string, withdraw bool, t view.Typed, faults map[string][]string, status int) (answer, error) {
	key, err := s.newKey()
	if err != nil {
		return answer{}, err
	}
	position, _, ok := c.TypedFrom(rd, target)
	if !ok {
		return answer{}, fault.New(fault.Missing, "bench.no-reading", "found", clip(target))
	}
	v, ok := c.AmendPage(rd, target, withdraw, c.FormFor(rd, position, key, t, faults))
	if !ok {
		return answer{}, fault.New(fault.Missing, "bench.no-reading", "found", clip(target))
	}
	return answer{status: status, write: func(w io.Writer) error { return s.pages.Amend(w, v) }}, nil
}

// amendment reads what every amending form has.
func (s *site) amendment(r *http.Request, target string) (bench.Amendment, error) {
	key, err := entry.ParseKey(r.PostForm.Get("key"))
	return bench.Amendment{Job: r.PathValue("job"), Target: target, Reason: r.PostForm.Get("reason"), Person: r.PostForm.Get("person"),
		Device: deviceOf(r.Context(), device), Key: key}, err
}

func (s *site) correct(r *http.Request, rd view.Reader) (answer, error) { return s.amend(r, rd, false) }

func (s *site) withdraw(r *http.Request, rd view.Reader) (answer, error) { return s.amend(r, rd, true) }

func (s *site) amend(r *http.Request, rd view.Reader, withdraw bool) (answer, error) {
	if err := r.ParseForm(); err != nil {
		return answer{}, err
	}
	c, j, err := s.judged(r)
	if err != nil {
		return answer{}, err
	}
	target := r.PathValue("key")
	a, err := s.amendment(r, target)
	if err != nil {
		return answer{}, err
	}
	in, t, err := readingOf(r, j, "")
	if err != nil {
		return answer{}, err
	}
	var done bench.Done
	if withdraw {
		done, err = s.Bench.Withdraw(r.Context(), a)
	} else {
		done, err = s.Bench.Correct(r.Context(), a, in)
	}
	if err != nil {
		faults, err := s.fields(rd, err)
		if err != nil {
			return answer{}, err
		}
		return s.amendPage(c, rd, target, withdraw, t, faults, http.StatusUnprocessableEntity)
	}
	return answer{see: seeValue(a.Job, done)}, nil
}

// answered takes the answer to a question.
func (s *site) answered(r *http.Request, rd view.Reader) (answer, error) {
	c, _, err := s.judged(r)
	if err != nil {
		return answer{}, err
	}
	f := r.PostForm
	a, err := s.amendment(r, f.Get("target"))
	if err != nil {
		return answer{}, err
	}
	done, err := s.Bench.Answer(r.Context(), a, f.Get("question"), f.Get("answer"))
	if err != nil {
		faults, err := s.fields(rd, err)
		if err != nil {
			return answer{}, err
		}
		// The form of an answer has no place of its own for what is wrong.
		var all []string
		for _, list := range faults {
			all = append(all, list...)
		}
		v, err := s.valueView(c, rd, r.PathValue("position"), f.Get("state"),
			view.Typed{State: f.Get("state"), Person: a.Person, Reason: a.Reason}, map[string][]string{"": all})
		if err != nil {
			return answer{}, err
		}
		return answer{status: http.StatusUnprocessableEntity, write: func(w io.Writer) error { return s.pages.At(w, v) }}, nil
	}
	return answer{see: seeValue(a.Job, done)}, nil
}
