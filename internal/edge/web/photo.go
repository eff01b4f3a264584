package web

import (
	"bytes"
	"errors"
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

// pictured is what the address of the form of a photo says it is of.
func pictured(r *http.Request) view.Pictured {
	q := r.URL.Query()
	return view.Pictured{Position: q.Get("position"), Where: q.Get("part"), Finding: q.Get("finding"), Person: known(r, "person")}
}

// photoForm is the form of a photo on a page of its own.
func (s *site) photoForm(r *http.Request, rd view.Reader) (answer, error) {
	c, _, err := s.judged(r)
	if err != nil {
		return answer{}, err
	}
	n := pictured(r)
	if n == (view.Pictured{Person: n.Person}) {
		n.Where = "block"
	}
	return s.photoNew(c, rd, n, nil, 0)
}

func (s *site) photoNew(c *view.Case, rd view.Reader, n view.Pictured, faults map[string][]string, status int) (answer, error) {
	key, err := s.newKey()
	if err != nil {
		return answer{}, err
	}
	v, ok := c.PhotoNewPage(rd, n, c.PhotoFormFor(rd, key, n, faults))
	if !ok {
		return answer{}, fault.New(fault.Missing, "bench.no-part", "found", clip(n.Position+n.Where+n.Finding))
	}
	return answer{status: status, write: func(w io.Writer) error { return s.pages.PhotoNew(w, v) }}, nil
}

// addPhoto takes the form of a photo. The file is read from the request into
// memory, never to a place on the disk that nobody cleans up.
func (s *site) addPhoto(r *http.Request, rd view.Reader) (answer, error) {
	c, j, err := s.judged(r)
	if err != nil {
		return answer{}, err
	}
	form, file, err := withFile(r)
	if err != nil {
		return answer{}, err
	}
	key, err := entry.ParseKey(form.Get("key"))
	if err != nil {
		return answer{}, err
	}
	n := view.Pictured{Position: form.Get("position"), Where: form.Get("where"), Finding: form.Get("finding"), Words: form.Get("words"), Person: form.Get("person")}
	part, at, _ := strings.Cut(n.Where, "@")
	got, p, err := s.Bench.AddPhoto(r.Context(), bench.Photo{Job: j.Assessment.Job, Position: n.Position, Part: part, At: at, Finding: n.Finding,
		Words: n.Words, Person: n.Person, Device: deviceOf(r.Context(), device), File: file, Key: key})
	if err != nil {
		faults, err := s.fields(rd, err)
		if err != nil {
			return answer{}, err
		}
		return s.photoNew(c, rd, n, faults, http.StatusUnprocessableEntity)
	}
	to := view.JobHref(j.Assessment.Job, "photo", key.String())
	if p.Position != "" {
		to = view.AtHref(j.Assessment.Job, p.Position, "")
	} else if p.Part != "" {
		to = view.JobHref(j.Assessment.Job, "part", part[:max(0, strings.Index(part+"/", "/"))])
	}
	q := url.Values{"stored": {strconv.FormatInt(got.Seq, 10)}}
	return answer{see: to + "?" + q.Encode(), cookie: []*http.Cookie{lastPerson(r, n.Person)}}, nil
}

// withFile reads a form with one file into memory; the guard has bounded the
// whole. No field may stand twice. Where somebody is signed in the form was read
// before, to put that person into it.
func withFile(r *http.Request) (url.Values, []byte, error) {
	if r.MultipartForm != nil {
		return wasRead(r)
	}
	bad := func(err error) error {
		var big *http.MaxBytesError
		if errors.As(err, &big) {
			return err
		}
		return fault.New(fault.Invalid, "page.photo.broken", "error", err.Error())
	}
	m, err := r.MultipartReader()
	if err != nil {
		return nil, nil, bad(err)
	}
	form := url.Values{}
	var file []byte
	for {
		p, err := m.NextPart()
		if errors.Is(err, io.EOF) {
			return form, file, nil
		}
		if err != nil {
			return nil, nil, bad(err)
		}
		if form.Has(p.FormName()) {
			return nil, nil, bad(errors.New(clip(p.FormName()) + " twice"))
		}
		most := int64(mostForm)
		if p.FormName() == "photo" {
			most = bench.MostPhoto + 1
		}
		b, err := io.ReadAll(io.LimitReader(p, most))
		if err != nil {
			return nil, nil, bad(err)
		}
		if p.FormName() == "photo" {
			file = b
			form.Set("photo", "")
			continue
		}
		form.Set(p.FormName(), string(b))
	}
}

// wasRead takes the fields and the file of a form that was read before.
func wasRead(r *http.Request) (url.Values, []byte, error) {
	form := url.Values{}
	for name, v := range r.MultipartForm.Value {
		if len(v) != 1 {
			return nil, nil, fault.New(fault.Invalid, "page.photo.broken", "error", clip(name)+" twice")
		}
		form.Set(name, v[0])
	}
	files := r.MultipartForm.File["photo"]
	if len(files) == 0 {
		return form, nil, nil
	}
	f, err := files[0].Open()
	if err != nil {
		return nil, nil, fault.New(fault.Broken, "fault.other", "error", err.Error()).Because(err)
	}
	b, err := io.ReadAll(f)
	if err := errors.Join(err, f.Close()); err != nil {
		return nil, nil, fault.New(fault.Broken, "fault.other", "error", err.Error()).Because(err)
	}
	return form, b, nil
}

// photo is the page of one photo.
func (s *site) photo(r *http.Request, rd view.Reader) (answer, error) {
	c, j, err := s.judged(r)
	if err != nil {
		return answer{}, err
	}
	v, ok := c.PhotoPage(rd, r.PathValue("key"))
	if !ok {
		return answer{}, fault.New(fault.Missing, "page.problem.missing.text", "path", clip(r.URL.Path))
	}
	v.Notice = notice(c, rd, r.URL.Query())
	return answer{mark: j.Mark() + v.Notice, write: func(w io.Writer) error { return s.pages.Photo(w, v) }}, nil
}

// original hands out a photo as it came, to whoever says that they need it.
func (s *site) original(r *http.Request, rd view.Reader) (answer, error) {
	if err := r.ParseForm(); err != nil {
		return answer{}, err
	}
	_, j, err := s.judged(r)
	if err != nil {
		return answer{}, err
	}
	if r.PostForm.Get("sure") != "yes" {
		return answer{}, fault.New(fault.Invalid, "page.photo.notsure")
	}
	for i := range j.Job.Photos {
		if p := &j.Job.Photos[i]; p.Key == r.PathValue("key") {
			b, err := s.Bench.Original(p.Original)
			if err != nil {
				return answer{}, err
			}
			return answer{kind: "application/octet-stream", name: p.Original[:12] + ending(p.Type), save: true, alone: true,
				write: func(w io.Writer) error { _, err := io.Copy(w, bytes.NewReader(b)); return err }}, nil
		}
	}
	return answer{}, fault.New(fault.Missing, "page.problem.missing.text", "path", clip(r.URL.Path))
}

func ending(kind string) string {
	switch kind {
	case "image/png":
		return ".png"
	case "image/webp":
		return ".webp"
	}
	return ".jpg"
}

// alone is the policy of a file that somebody handed in: it may do nothing.
const alone = "default-src 'none'; sandbox"

// picture serves a photo as it is shown, by its digest. What stands under a
// digest never changes, so a browser may keep it.
func (s *site) picture(w http.ResponseWriter, r *http.Request) {
	digest := r.PathValue("digest")
	b, err := s.Bench.Photo(digest)
	if err != nil {
		s.fault(w, r, s.reader(r), err)
		return
	}
	h := w.Header()
	h.Set("Content-Type", "image/jpeg")
	h.Set("Content-Security-Policy", alone)
	h.Set("Content-Disposition", `inline; filename="`+digest[:12]+`.jpg"`)
	h.Set("Cache-Control", "private, max-age=31536000, immutable")
	h.Set("ETag", `"`+digest+`"`)
	if holds(r.Header.Get("If-None-Match"), `"`+digest+`"`) {
		w.WriteHeader(http.StatusNotModified)
		return
	}
	h.Set("Content-Length", strconv.Itoa(len(b)))
	_, _ = w.Write(b)
}
