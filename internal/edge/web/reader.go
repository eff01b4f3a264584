package web

import (
	"io"
	"net/http"
	"strings"

	"fettle/internal/show/view"
)

// reader is how this browser's person reads: three settings of their own, kept
// in cookies, never guessed from the browser.
func (s *site) reader(r *http.Request) view.Reader {
	rd := view.Reader{Lang: s.Lang, Mark: '.', Zone: s.Zone}
	if c, err := r.Cookie("lang"); err == nil && s.Bench.Library().Words[c.Value] != nil {
		rd.Lang = c.Value
	}
	if c, err := r.Cookie("mark"); err == nil && c.Value == "comma" {
		rd.Mark = ','
	}
	if c, err := r.Cookie("theme"); err == nil && (c.Value == "paper" || c.Value == "blueprint") {
		rd.Theme = c.Value
	}
	rd.Book = s.Bench.Library().Book(rd.Lang)
	if v := visit(r.Context()); v.In() {
		rd.Person, rd.Signed = v.Person, v.Person
		if sh, err := s.Bench.Shop(r.Context()); err == nil && sh.People[v.Person].Initials != "" {
			rd.Signed = sh.People[v.Person].Initials
		}
	}
	return rd
}

func (s *site) settings(r *http.Request, rd view.Reader) (answer, error) {
	v := rd.Settings(back(r.Referer(), r.Host))
	return answer{write: func(w io.Writer) error { return s.pages.Settings(w, v) }}, nil
}

// set keeps the settings for a year and goes back to where they were asked for.
func (s *site) set(r *http.Request, _ view.Reader) (answer, error) {
	if err := r.ParseForm(); err != nil {
		return answer{}, err
	}
	a := answer{see: "/"}
	if to := r.PostForm.Get("back"); strings.HasPrefix(to, "/") && !strings.HasPrefix(to, "//") && !strings.Contains(to, "\\") {
		a.see = to
	}
	for _, name := range []string{"lang", "mark", "theme"} {
		a.cookie = append(a.cookie, &http.Cookie{Name: name, Value: plainWord(r.PostForm.Get(name)), Path: "/", MaxAge: 365 * 24 * 3600,
			HttpOnly: true, Secure: r.TLS != nil, SameSite: http.SameSiteLaxMode})
	}
	return a, nil
}

func plainWord(s string) string {
	for _, c := range s {
		if c < 'a' || c > 'z' {
			return ""
		}
	}
	return s[:min(len(s), 16)]
}

// back is the path of the page a reader came from, if it was one of ours.
func back(referer, host string) string {
	_, rest, ok := strings.Cut(referer, "://"+host)
	if !ok || !strings.HasPrefix(rest, "/") || strings.HasPrefix(rest, "/reader") {
		return "/"
	}
	return rest
}
