package web

import (
	"io"
	"net/http"

	"fettle/internal/base/unit"
	"fettle/internal/judge/foresee"
	"fettle/internal/show/view"
)

// consequences is the page of what a cut will do, or only what changes on it with
// a move of a slider.
func (s *site) consequences(r *http.Request, rd view.Reader) (answer, error) {
	c, j, err := s.judged(r)
	if err != nil {
		return answer{}, err
	}
	cut, err := thought(r)
	if err != nil {
		return answer{}, err
	}
	e := c.Foresee()
	p, err := e.Look(cut)
	if err != nil {
		return answer{}, err
	}
	ways, err := e.Ways(cut)
	if err != nil {
		return answer{}, err
	}
	if r.URL.Query().Get("part") == "moved" {
		v := c.ConsequencesPart(rd, p, ways)
		return answer{mark: j.Mark(), write: func(w io.Writer) error { return s.pages.ConsequencesPart(w, rd.Lang, v) }}, nil
	}
	v := c.ConsequencesPage(rd, p, ways)
	return answer{mark: j.Mark(), write: func(w io.Writer) error { return s.pages.Consequences(w, v) }}, nil
}

// thought reads what is thought of from an address; what is missing is nought.
func thought(r *http.Request) (foresee.Cut, error) {
	v := r.URL.Query()
	c := foresee.Cut{Gasket: clip(v.Get("gasket")), Oversize: clip(v.Get("oversize"))}
	for _, f := range []struct {
		name string
		into *float64
	}{{"head", &c.Head}, {"block", &c.Block}, {"tunnel", &c.Tunnel}} {
		if text := v.Get(f.name); text != "" {
			n, err := unit.Parse(text, "mm", '.')
			if err != nil {
				return c, err
			}
			*f.into = n.SI()
		}
	}
	return c, nil
}
