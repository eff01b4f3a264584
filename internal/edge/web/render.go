package web

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"net/http"
	"strconv"
	"strings"

	"github.com/klauspost/compress/gzip"

	"fettle/internal/base/fault"
	"fettle/internal/show/view"
)

// answer is what a page hands back: something to write, or a place to go.
type answer struct {
	status int
	kind   string // content type; "" is HTML
	mark   string // tells two versions apart; "" says never keep it
	write  func(io.Writer) error
	keyed  bool   // its form stands with noKey; every reader gets a key of their own
	see    string // address to see instead, after a form
	cookie []*http.Cookie
	name   string // file name of a download
	alone  bool   // it was handed in by somebody: it may do nothing where it is opened
	save   bool   // the download is to be saved, not shown
}

// page turns a function into a handler: renders into memory first, so that a
// failure is a page of its own and never half of one.
func (s *site) page(f func(*http.Request, view.Reader) (answer, error)) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		rd := s.reader(r)
		if err := s.sign(r); err != nil {
			s.fault(w, r, rd, err)
			return
		}
		a, err := f(r, rd)
		if err != nil {
			s.fault(w, r, rd, err)
			return
		}
		for _, c := range a.cookie {
			c.Secure = r.TLS != nil // what goes over TLS goes nowhere else
			http.SetCookie(w, c)
		}
		if a.see != "" {
			w.Header().Set("Cache-Control", "no-store")
			http.Redirect(w, r, a.see, http.StatusSeeOther)
			return
		}
		s.send(w, r, rd, a)
	}
}

// sheet is an empty buffer, one that was used before where there is one.
func (s *site) sheet() *bytes.Buffer {
	if b, ok := s.sheets.Get().(*bytes.Buffer); ok {
		b.Reset()
		return b
	}
	return bytes.NewBuffer(make([]byte, 0, 256<<10))
}

func (s *site) send(w http.ResponseWriter, r *http.Request, rd view.Reader, a answer) {
	h := w.Header()
	h.Set("Cache-Control", "no-store")
	tag := ""
	if a.mark != "" {
		tag = s.tag(r, rd, a.mark)
		if !a.keyed {
			h.Set("Cache-Control", "private, no-cache")
			h.Set("ETag", tag)
			h.Set("Vary", "Cookie, Accept-Encoding")
			if holds(r.Header.Get("If-None-Match"), tag) {
				w.WriteHeader(http.StatusNotModified)
				return
			}
		}
	}
	body, zipped, err := s.body(r, a, tag)
	if err != nil {
		h.Del("ETag")
		s.fault(w, r, rd, err)
		return
	}
	if a.kind == "" {
		a.kind = "text/html; charset=utf-8"
	}
	h.Set("Content-Type", a.kind)
	if a.alone {
		h.Set("Content-Security-Policy", alone)
	}
	if a.name != "" {
		how := "inline"
		if a.save {
			how = "attachment"
		}
		h.Set("Content-Disposition", how+`; filename="`+a.name+`"`)
	}
	if zipped {
		h.Set("Content-Encoding", "gzip")
	}
	h.Set("Content-Length", strconv.Itoa(len(body)))
	if a.status != 0 {
		w.WriteHeader(a.status)
	}
	if r.Method != http.MethodHead {
		_, _ = w.Write(body) // a client that has gone cannot be told
	}
}

// body is the page's bytes, kept from before where nothing has changed since.
// A page that carries a key is kept without it and given a new one each time.
func (s *site) body(r *http.Request, a answer, tag string) (body []byte, zipped bool, err error) {
	keep := tag != "" && a.status == 0 && !r.URL.Query().Has("stored")
	zipped = keep && !a.keyed && takesGzip(r)
	slot := tag
	if zipped {
		slot += "z"
	}
	if keep {
		body = s.kept.get(slot)
	}
	if body == nil {
		b := s.sheet()
		defer s.sheets.Put(b)
		if err := a.write(b); err != nil {
			return nil, false, err
		}
		if body, err = s.copied(b.Bytes(), zipped); err != nil {
			return nil, false, err
		}
		if keep {
			s.kept.put(slot, body)
		}
	}
	if a.keyed {
		k, err := s.newKey()
		if err != nil {
			return nil, false, err
		}
		body = bytes.ReplaceAll(body, []byte(noKey), []byte(k))
	}
	return body, zipped, nil
}

// copied takes a page out of a buffer that will be used again.
func (s *site) copied(b []byte, zip bool) ([]byte, error) {
	if !zip {
		return bytes.Clone(b), nil
	}
	var out bytes.Buffer
	out.Grow(len(b) / 6)
	z, used := s.zips.Get().(*gzip.Writer)
	if used {
		z.Reset(&out)
	} else {
		z, _ = gzip.NewWriterLevel(&out, gzip.BestSpeed) // the level is one of those there are
	}
	defer s.zips.Put(z)
	_, err := z.Write(b)
	if err == nil {
		err = z.Close()
	}
	return out.Bytes(), err
}

// takesGzip says whether a client takes a compressed page; one that weighs it
// with q=0 does not.
func takesGzip(r *http.Request) bool {
	for _, part := range strings.Split(r.Header.Get("Accept-Encoding"), ",") {
		name, weight, _ := strings.Cut(strings.TrimSpace(part), ";")
		if strings.TrimSpace(name) == "gzip" {
			return strings.Trim(strings.TrimPrefix(strings.TrimSpace(weight), "q="), "0.") != "" || !strings.Contains(weight, "q=")
		}
	}
	return false
}

// tag is the ETag: what was known, how it is read, which page.
func (s *site) tag(r *http.Request, rd view.Reader, mark string) string {
	sum := sha256.Sum256([]byte(strings.Join([]string{mark, s.pages.Version(), rd.Lang, string(rd.Mark), rd.Theme, rd.Person, rd.Signed, r.URL.RequestURI()}, "\x00")))
	return `W/"` + hex.EncodeToString(sum[:12]) + `"`
}

func holds(list, tag string) bool {
	for _, t := range strings.Split(list, ",") {
		if strings.TrimPrefix(strings.TrimSpace(t), "W/") == strings.TrimPrefix(tag, "W/") {
			return true
		}
	}
	return false
}

// statusOf is the HTTP status of a fault.
func statusOf(c fault.Code) int {
	switch c {
	case fault.Invalid:
		return http.StatusUnprocessableEntity
	case fault.Missing:
		return http.StatusNotFound
	case fault.Conflict:
		return http.StatusConflict
	case fault.Refused:
		return http.StatusForbidden
	case fault.TooLarge:
		return http.StatusRequestEntityTooLarge
	}
	return http.StatusInternalServerError
}

// fault answers with one clear sentence a problem.
func (s *site) fault(w http.ResponseWriter, r *http.Request, rd view.Reader, err error) {
	var big *http.MaxBytesError
	if errors.As(err, &big) {
		s.problem(w, r, http.StatusRequestEntityTooLarge, "page.problem.bad", rd.T("page.problem.large", "most", strconv.FormatInt(big.Limit>>10, 10)+" KiB"))
		return
	}
	var f *fault.Fault
	list := fault.List{}
	if errors.As(err, &list) || errors.As(err, &f) {
		if f != nil {
			list = fault.List{f}
		}
		var said []string
		for _, f := range list {
			said = append(said, rd.Book.Fault(f))
		}
		code := list[0].Code
		heading := "page.problem.bad"
		switch code {
		case fault.Missing:
			heading = "page.problem.missing"
		case fault.Broken:
			heading = "page.problem.broken"
			s.failed(err)
		}
		s.problem(w, r, statusOf(code), heading, said...)
		return
	}
	s.failed(err)
	s.problem(w, r, http.StatusInternalServerError, "page.problem.broken", rd.T("page.problem.broken.text", "error", err.Error()))
}

func (s *site) failed(err error) {
	if s.Failed != nil {
		s.Failed(err)
	}
}

// problem writes the page of a problem.
func (s *site) problem(w http.ResponseWriter, r *http.Request, status int, heading string, sentences ...string) {
	rd := s.reader(r)
	v := rd.Problem(rd.T(heading), sentences)
	s.send(w, r, rd, answer{status: status, write: func(w io.Writer) error { return s.pages.Problem(w, v) }})
}

func (s *site) nothing(r *http.Request, _ view.Reader) (answer, error) {
	return answer{}, fault.New(fault.Missing, "page.problem.missing.text", "path", clip(r.URL.Path))
}
