package web

import (
	"net"
	"net/http"
	"strings"

	"fettle/internal/edge/bench"
)

// mostForm bounds a form; a file of readings may be larger.
const (
	mostForm = 256 << 10
	mostFile = 12 << 20
)

// guard stands before every page: headers, the names this site answers to,
// forms from elsewhere, and how much may be sent.
func (s *site) guard(next http.Handler) http.Handler {
	origin := http.NewCrossOriginProtection()
	origin.SetDenyHandler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		s.problem(w, r, http.StatusForbidden, "page.problem.bad", s.reader(r).T("page.problem.origin"))
	}))
	inner := origin.Handler(next)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		fixedHeaders(w.Header())
		if !s.answersTo(r.Host) {
			s.problem(w, r, http.StatusMisdirectedRequest, "page.problem.bad",
				s.reader(r).T("page.problem.host", "host", clip(r.Host), "expected", strings.Join(append([]string{"localhost"}, s.Hosts...), ", ")))
			return
		}
		most := int64(mostForm)
		if r.URL.Path == "/import" || r.URL.Path == "/shelf" {
			most = mostFile
		}
		if strings.HasPrefix(r.URL.Path, "/api/v1/compute/") {
			most = mostInput + 1
		}
		if strings.HasPrefix(r.URL.Path, "/api/v1/gauges/") && strings.HasSuffix(r.URL.Path, "/certificates") {
			most = bench.MostCertificate + 1
		}
		if strings.HasPrefix(r.URL.Path, "/gauge/") && strings.HasSuffix(r.URL.Path, "/certificate") {
			most = bench.MostCertificate*4/3 + mostForm // as its preview carries it
		}
		if strings.HasPrefix(r.URL.Path, "/job/") && strings.HasSuffix(r.URL.Path, "/photo") {
			most = bench.MostPhoto + mostForm
		}
		if strings.HasPrefix(r.URL.Path, "/api/v1/jobs/") && strings.HasSuffix(r.URL.Path, "/photos") {
			most = bench.MostPhoto + 1
		}
		r.Body = http.MaxBytesReader(w, r.Body, most)
		inner.ServeHTTP(w, r)
	})
}

// policy lets a page use the site's own files and nothing else: no script and
// no style inside a page, nothing from elsewhere, no frame about it. There is no
// Strict-Transport-Security: doc/decisions/door.md says why.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; font-src 'self'; connect-src 'self'; " +
	"worker-src 'self'; manifest-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'"

// fixedHeaders are the same on every answer.
func fixedHeaders(h http.Header) {
	h.Set("Content-Security-Policy", policy)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Referrer-Policy", "same-origin")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Permissions-Policy", "camera=(), geolocation=(), microphone=()")
}

// answersTo says whether a Host header names this site: a loopback address or
// a name it was started for. Any other would let a page from elsewhere reach it
// under a name of its own.
func (s *site) answersTo(host string) bool {
	name := hostOf(host)
	if loopbackName(name) {
		return true
	}
	for _, h := range s.Hosts {
		if strings.EqualFold(h, name) {
			return true
		}
	}
	return s.Answers != nil && s.Answers(name)
}

// hostOf is a Host header without its port.
func hostOf(host string) string {
	if h, _, err := net.SplitHostPort(host); err == nil {
		host = h
	}
	return strings.TrimSuffix(strings.TrimPrefix(strings.ToLower(host), "["), "]")
}

func loopbackName(name string) bool {
	ip := net.ParseIP(name)
	return name == "localhost" || ip != nil && ip.IsLoopback()
}

func clip(s string) string {
	if len(s) > 80 {
		return s[:80] + "…"
	}
	return s
}
