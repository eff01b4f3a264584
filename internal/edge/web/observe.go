package web

import (
	"io"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"fettle/internal/base/fault"
	"fettle/internal/edge/bench"
	"fettle/internal/facts/entry"
	"fettle/internal/show/view"
)

// part is the page of one component. Its forms carry a key of their own.
func (s *site) part(r *http.Request, rd view.Reader) (answer, error) {
	c, j, err := s.judged(r)
	if err != nil {
		return answer{}, err
	}
	component, q := r.PathValue("component"), r.URL.Query()
	person := known(r, "person")
	return answer{mark: j.Mark() + person, keyed: true, write: func(w io.Writer) error {
		n := view.Noticed{Person: person, Where: q.Get("where"), Open: q.Has("where")}
		v, ok := c.PartPage(rd, component, q.Get("state"), c.SeenFormFor(rd, component, noKey, n, nil))
		if !ok {
			return fault.New(fault.Missing, "page.problem.missing.text", "path", clip(r.URL.Path))
		}
		v.Notice = notice(c, rd, q)
		return s.pages.Part(w, v)
	}}, nil
}

// observe takes the form of an observation.
func (s *site) observe(r *http.Request, rd view.Reader) (answer, error) {
	if err := r.ParseForm(); err != nil {
		return answer{}, err
	}
	c, j, err := s.judged(r)
	if err != nil {
		return answer{}, err
	}
	f, component := r.PostForm, r.PathValue("component")
	key, err := entry.ParseKey(f.Get("key"))
	if err != nil {
		return answer{}, err
	}
	n := view.Noticed{Where: f.Get("where"), Kind: f.Get("kind"), Severity: f.Get("severity"), Within: f.Get("within"), Saw: f.Get("saw"),
		Note: f.Get("note"), Person: f.Get("person"), Absent: f.Get("absent") != "", Others: f.Get("others") != "", Open: true}
	part, at, _ := strings.Cut(n.Where, "@")
	if part == "" {
		part = component
	}
	got, err := s.Bench.Observe(r.Context(), bench.Observation{Job: j.Assessment.Job, Part: part, At: at, Kind: n.Kind, Severity: n.Severity,
		Within: n.Within, Absent: n.Absent, Others: n.Others, Saw: n.Saw, Note: n.Note, Person: n.Person, Device: deviceOf(r.Context(), device), Key: key})
	if err != nil {
		faults, err := s.fields(rd, err)
		if err != nil {
			return answer{}, err
		}
		fresh, err := s.newKey()
		if err != nil {
			return answer{}, err
		}
		v, ok := c.PartPage(rd, component, "", c.SeenFormFor(rd, component, fresh, n, faults))
		if !ok {
			return answer{}, fault.New(fault.Missing, "page.problem.missing.text", "path", clip(r.URL.Path))
		}
		return answer{status: http.StatusUnprocessableEntity, write: func(w io.Writer) error { return s.pages.Part(w, v) }}, nil
	}
	q := url.Values{"stored": {strconv.FormatInt(got.Seq, 10)}}
	return answer{see: view.JobHref(j.Assessment.Job, "part", component) + "?" + q.Encode(), cookie: []*http.Cookie{lastPerson(r, n.Person)}}, nil
}

// lastPerson keeps who stored last, for the next form.
func lastPerson(r *http.Request, id string) *http.Cookie {
	return &http.Cookie{Name: "last-person", Value: id, Path: "/job/", MaxAge: 12 * 3600, HttpOnly: true, Secure: r.TLS != nil, SameSite: http.SameSiteLaxMode}
}
