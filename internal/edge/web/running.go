package web

import (
	"errors"
	"io"
	"net/http"

	"fettle/internal/base/fault"
	"fettle/internal/base/unit"
	"fettle/internal/judge/model"
	"fettle/internal/show/view"
)

// running is the page of an engine as it runs, or only what changes on it with a
// move of a slider.
func (s *site) running(r *http.Request, rd view.Reader) (answer, error) {
	c, j, err := s.judged(r)
	if err != nil {
		return answer{}, err
	}
	q, err := trial(r)
	if err != nil {
		return answer{}, err
	}
	rig, err := c.Rig()
	if err != nil {
		return s.cannotRun(c, rd, j.Mark(), err)
	}
	looked, err := rig.Look(c.Library, q)
	if err != nil {
		return answer{}, err
	}
	ground := looked.Ground()
	if r.URL.Query().Get("part") == "moved" {
		v := c.RunningPart(rd, looked, ground)
		return answer{mark: j.Mark(), write: func(w io.Writer) error { return s.pages.RunningPart(w, rd.Lang, v) }}, nil
	}
	study, err := looked.Usual(c.Library)
	if err != nil {
		return answer{}, err
	}
	v := c.RunningPage(rd, looked, ground, study, "")
	return answer{mark: j.Mark(), write: func(w io.Writer) error { return s.pages.Running(w, v) }}, nil
}

// cannotRun is the page of an engine of which too little is known.
func (s *site) cannotRun(c *view.Case, rd view.Reader, mark string, err error) (answer, error) {
	var f *fault.Fault
	if !errors.As(err, &f) {
		return answer{}, err
	}
	v := c.RunningPage(rd, nil, nil, nil, rd.Book.Fault(f))
	return answer{mark: mark, write: func(w io.Writer) error { return s.pages.Running(w, v) }}, nil
}

// trial reads what is tried from an address. What is missing is as it is.
func trial(r *http.Request) (model.Asked, error) {
	v := r.URL.Query()
	q := model.Asked{Oil: clip(v.Get("oil")), Bearing: clip(v.Get("bearing"))}
	for _, f := range []struct {
		name, unit string
		into       *float64
	}{{"speed", "rpm", &q.Speed}, {"inlet", "°C", &q.Inlet}, {"charge", "bar", &q.Charge}, {"main", "µm", &q.Main}, {"pin", "µm", &q.Pin}} {
		text := v.Get(f.name)
		if text == "" || v.Get("clear") != "try" && f.unit == "µm" {
			continue
		}
		n, err := unit.Parse(text, f.unit, '.')
		if err != nil {
			return q, err
		}
		*f.into = n.SI()
	}
	return q, nil
}
