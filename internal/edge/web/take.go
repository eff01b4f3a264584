package web

import (
	"errors"
	"io"
	"net/http"
	"strings"

	"fettle/internal/base/fault"
	"fettle/internal/edge/bench"
	"fettle/internal/show/view"
)

func (s *site) importForm(r *http.Request, rd view.Reader) (answer, error) {
	jobs, err := s.entered(r, rd)
	if err != nil {
		return answer{}, err
	}
	v := rd.ImportPage(jobs, r.URL.Query().Get("job"))
	return answer{write: func(w io.Writer) error { return s.pages.Import(w, v) }}, nil
}

// take checks a file and shows how it was understood; with a confirmation it
// stores it. The preview carries the file's own text, so nothing is kept here
// between the two.
func (s *site) take(r *http.Request, rd view.Reader) (answer, error) {
	if err := r.ParseMultipartForm(mostFile); err != nil {
		return answer{}, asInvalid(err)
	}
	jobs, err := s.entered(r, rd)
	if err != nil {
		return answer{}, err
	}
	id, confirm := r.FormValue("job"), r.FormValue("confirm") == "yes"
	v := rd.ImportPage(jobs, id)
	name, text, err := fileOf(r)
	if err != nil {
		return answer{}, err
	}
	var t bench.Taken
	if confirm {
		t, err = s.Bench.Take(r.Context(), id, name, text)
	} else {
		t, err = s.Bench.Preview(r.Context(), id, name, text)
	}
	status := 0
	var list fault.List
	switch {
	case errors.As(err, &list):
		v.Tell(rd, list)
		status = http.StatusUnprocessableEntity
	case err != nil:
		return answer{}, err
	case confirm:
		v.Done(rd, id, t.Fresh)
	default:
		v.Show(rd, s.caseOf(id, t.Judged), t.Sheet, name, string(text))
	}
	return answer{status: status, write: func(w io.Writer) error { return s.pages.Import(w, v) }}, nil
}

// fileOf is the file of a form, or its text where the preview carried it.
func fileOf(r *http.Request) (name string, text []byte, err error) {
	if t := r.FormValue("text"); t != "" {
		return r.FormValue("name"), []byte(strings.ReplaceAll(t, "\r\n", "\n")), nil
	}
	f, h, err := r.FormFile("file")
	if err != nil {
		return "readings.csv", nil, nil // an empty file says so itself
	}
	defer f.Close()
	text, err = io.ReadAll(f)
	return clip(h.Filename), text, err
}

// asInvalid says that a form could not be read, unless it was too large.
func asInvalid(err error) error {
	var big *http.MaxBytesError
	if errors.As(err, &big) {
		return err
	}
	return fault.New(fault.Invalid, "bench.bad-form", "error", err.Error())
}
