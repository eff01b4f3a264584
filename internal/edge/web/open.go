package web

import (
	"errors"
	"io"
	"net/http"
	"sort"

	"fettle/internal/base/fault"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/show/view"
)

func (s *site) openForm(r *http.Request, rd view.Reader) (answer, error) {
	return s.openPage(r, rd, view.Opening{}, nil, 0)
}

func (s *site) openPage(r *http.Request, rd view.Reader, o view.Opening, faults map[string]string, status int) (answer, error) {
	sh, err := s.Bench.Shop(r.Context())
	if err != nil {
		return answer{}, err
	}
	if o.Key, err = s.newKey(); err != nil {
		return answer{}, err
	}
	lib := s.Bench.Library()
	var ids []string
	for id := range lib.Families {
		ids = append(ids, id)
	}
	sort.Strings(ids)
	v := rd.OpenPage(lib, ids, sh, o, faults)
	return answer{status: status, write: func(w io.Writer) error { return s.pages.Open(w, v) }}, nil
}

// open opens a job and shows its engine.
func (s *site) open(r *http.Request, rd view.Reader) (answer, error) {
	if err := r.ParseForm(); err != nil {
		return answer{}, err
	}
	f := r.PostForm
	o := view.Opening{Job: f.Get("job"), Title: f.Get("title"), Family: f.Get("family"), Use: f.Get("use"), Person: f.Get("person")}
	key, err := entry.ParseKey(f.Get("key"))
	if err != nil {
		return answer{}, err
	}
	_, err = s.Bench.Open(r.Context(), job.OpenedV1{Job: o.Job, Title: o.Title, Family: o.Family, Use: o.Use}, o.Person, deviceOf(r.Context(), device), key)
	var list fault.List
	if errors.As(err, &list) {
		said := map[string]string{}
		for _, x := range list {
			said[x.Path] = rd.Book.Fault(x)
		}
		return s.openPage(r, rd, o, said, http.StatusUnprocessableEntity)
	}
	if err != nil {
		return answer{}, err
	}
	return answer{see: view.JobHref(o.Job)}, nil
}
