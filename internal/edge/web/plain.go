package web

import (
	"net"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"fettle/internal/know/library"
	"fettle/internal/show/page"
	"fettle/internal/show/view"
)

// PlainConfig is what the plain port needs.
type PlainConfig struct {
	Library *library.Library
	Trust   Trust
	Answers func(host string) bool
	Lang    string // of who has not chosen; "" is English
}

// Plain makes the handler of the plain port. It gives three answers: the page
// that says how to trust the shop's authority, with its stylesheet and type;
// the authority's file; and for everything else the way to the same address
// over TLS. It sets no cookie and reads none.
func Plain(c PlainConfig) (http.Handler, error) {
	if c.Lang == "" {
		c.Lang = "en"
	}
	pages, err := page.New(c.Library.Words)
	if err != nil {
		return nil, err
	}
	secure, err := url.Parse(c.Trust.Secure)
	if err != nil {
		return nil, err
	}
	p := &plain{c, &site{pages: pages, Config: Config{Lang: c.Lang}}, secure.Port()}
	return p, nil
}

type plain struct {
	PlainConfig
	site *site // for writing pages; nothing lies behind it
	port string
}

func (p *plain) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	fixedHeaders(w.Header())
	host := hostOf(r.Host)
	if !loopbackName(host) && !p.Answers(host) {
		http.Error(w, http.StatusText(http.StatusMisdirectedRequest), http.StatusMisdirectedRequest)
		return
	}
	read := r.Method == http.MethodGet || r.Method == http.MethodHead
	switch {
	case !read || p.Trust.Authority == nil:
	case r.URL.Path == "/":
		p.page(w, r)
		return
	case r.URL.Path == "/authority.crt":
		p.site.send(w, r, p.reader(r), authorityFile(&p.Trust))
		return
	case strings.HasPrefix(r.URL.Path, "/static/"):
		r.SetPathValue("file", strings.TrimPrefix(r.URL.Path, "/static/"))
		if p.site.has(r.PathValue("file")) {
			p.site.static(w, r)
			return
		}
	}
	to := url.URL{Scheme: "https", Host: host, Path: r.URL.Path, RawPath: r.URL.RawPath, RawQuery: r.URL.RawQuery}
	if strings.Contains(host, ":") {
		to.Host = "[" + host + "]"
	}
	if p.port != "" && p.port != "443" {
		to.Host = net.JoinHostPort(host, p.port)
	}
	w.Header().Set("Cache-Control", "no-store")
	http.Redirect(w, r, to.String(), http.StatusTemporaryRedirect)
}

// reader reads in the language that the address names.
func (p *plain) reader(r *http.Request) view.Reader {
	rd := view.Reader{Lang: p.Lang, Mark: '.'}
	if l := r.URL.Query().Get("lang"); p.Library.Words[l] != nil {
		rd.Lang = l
	}
	rd.Book = p.Library.Book(rd.Lang)
	return rd
}

func (p *plain) page(w http.ResponseWriter, r *http.Request) {
	rd := p.reader(r)
	v, err := rd.TrustPage(p.Trust.served(), true)
	if err == nil {
		b := p.site.sheet()
		defer p.site.sheets.Put(b)
		if err = p.site.pages.Trust(b, v); err == nil {
			h := w.Header()
			h.Set("Content-Type", "text/html; charset=utf-8")
			h.Set("Cache-Control", "no-store")
			h.Set("Content-Length", strconv.Itoa(b.Len()))
			if r.Method == http.MethodGet {
				_, _ = w.Write(b.Bytes()) // a client that has gone cannot be told
			}
			return
		}
	}
	http.Error(w, http.StatusText(http.StatusInternalServerError), http.StatusInternalServerError)
}
