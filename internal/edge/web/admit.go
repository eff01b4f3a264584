package web

import (
	"context"
	"encoding/json"
	"io"
	"net"
	"net/http"
	"net/url"
	"strings"

	"fettle/internal/base/fault"
	"fettle/internal/edge/door"
	"fettle/internal/show/view"
)

// visiting is the place of a door.Visit in a request's context.
type visiting struct{}

// visit is who is there; the empty one where nobody has to sign in.
func visit(ctx context.Context) door.Visit {
	v, _ := ctx.Value(visiting{}).(door.Visit)
	return v
}

// guarded says whether people have to sign in.
func (s *site) guarded() bool { return s.Door != nil && s.Door.Owned() }

// admit lets in who is signed in. Everybody else gets the pages of the door;
// where a form was sent from behind a lock, it waits for the PIN.
func (s *site) admit(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !s.guarded() {
			next.ServeHTTP(w, r)
			return
		}
		v, err := s.Door.Look(r.Context(), s.where(r), byHand(r))
		if err != nil {
			s.fault(w, r, s.reader(r), err)
			return
		}
		r = r.WithContext(context.WithValue(r.Context(), visiting{}, v))
		if v.In() || public(r.URL.Path) {
			next.ServeHTTP(w, r)
			return
		}
		s.turnAway(w, r, v)
	})
}

// still says whether whoever began a stream may go on with it: a session that
// has ended, or is locked by now, is told nothing more.
func (s *site) still(r *http.Request) bool {
	if !s.guarded() {
		return true
	}
	v, err := s.Door.Look(r.Context(), s.where(r), false)
	return err == nil && v.In()
}

// public are the addresses that need no session: the door itself, and files
// that hold nothing of the shop.
func public(path string) bool {
	switch path {
	case "/sign-in", "/lock", "/enrol", "/trust", "/authority.crt", "/reader", "/favicon.ico", "/worker.js":
		return true
	}
	return strings.HasPrefix(path, "/static/")
}

// byHand says whether a request shows that a person is there: a form, or a page
// that was gone to. What a page fetches by itself shows nothing.
func byHand(r *http.Request) bool {
	if r.Method != http.MethodGet && r.Method != http.MethodHead {
		return true
	}
	mode := r.Header.Get("Sec-Fetch-Mode")
	return mode == "navigate" || mode == "" && !forProgram(r)
}

// forProgram says whether a script or a program asks, which cannot read a page.
func forProgram(r *http.Request) bool {
	return strings.HasPrefix(r.URL.Path, "/api/") || r.Header.Get("Sec-Fetch-Dest") == "empty" ||
		strings.Contains(r.Header.Get("Accept"), "json") && !strings.Contains(r.Header.Get("Accept"), "text/html")
}

// Why a program is turned away. It keeps what it has to send, and sends it
// again once a person has come in.
const (
	whyOut     = "signed-out"
	whyLocked  = "locked"
	whyEnded   = "ended"
	whyRevoked = "revoked"
)

func why(v door.Visit) string {
	switch {
	case v.Locked():
		return whyLocked
	case v.Gone == door.Revoked:
		return whyRevoked
	case v.Gone == door.Ended:
		return whyEnded
	}
	return whyOut
}

// turnAway answers who is not in.
func (s *site) turnAway(w http.ResponseWriter, r *http.Request, v door.Visit) {
	rd := s.reader(r)
	if forProgram(r) {
		s.unauthorised(w, rd, why(v))
		return
	}
	to := "/sign-in"
	if v.Locked() {
		to = "/lock"
	}
	back := r.URL.RequestURI()
	if r.Method != http.MethodGet && r.Method != http.MethodHead {
		if strings.HasPrefix(r.Header.Get("Content-Type"), "application/x-www-form-urlencoded") && r.ParseForm() == nil {
			s.wait(w, r, rd, v)
			return
		}
		back = backTo(r)
	}
	w.Header().Set("Cache-Control", "no-store")
	http.Redirect(w, r, to+"?"+url.Values{"back": {back}}.Encode(), http.StatusSeeOther)
}

// unauthorised answers a program: a problem document (RFC 9457) with one word
// that says why.
func (s *site) unauthorised(w http.ResponseWriter, rd view.Reader, why string) {
	b, err := json.Marshal(struct {
		Title  string `json:"title"`
		Status int    `json:"status"`
		Detail string `json:"detail"`
		Code   string `json:"code"`
	}{http.StatusText(http.StatusUnauthorized), http.StatusUnauthorized, rd.T("page.door.why." + why), why})
	if err != nil {
		panic("web: a struct of texts is always JSON: " + err.Error())
	}
	h := w.Header()
	h.Set("Content-Type", "application/problem+json")
	h.Set("Cache-Control", "no-store")
	h.Set("WWW-Authenticate", `Session realm="fettle"`)
	w.WriteHeader(http.StatusUnauthorized)
	_, _ = w.Write(b) // a client that has gone cannot be told
}

// wait shows the lock, or the sign-in, with the form that was sent: nothing
// that was typed is lost.
func (s *site) wait(w http.ResponseWriter, r *http.Request, rd view.Reader, v door.Visit) {
	d := view.Door{Back: backTo(r), Acts: r.URL.RequestURI()}
	for name, values := range r.PostForm {
		for _, x := range values {
			d.Carry = append(d.Carry, view.Fact{Name: name, Value: x})
		}
	}
	sortFacts(d.Carry)
	a, err := s.doorPage(r, rd, v, d, false)
	if err != nil {
		s.fault(w, r, rd, err)
		return
	}
	a.status = http.StatusForbidden
	s.send(w, r, rd, a)
}

// backTo is the page that a form stood on, as far as the browser says.
func backTo(r *http.Request) string {
	if u, err := url.Parse(r.Referer()); err == nil && u.Host == r.Host && ours(u.RequestURI()) {
		return u.RequestURI()
	}
	return "/"
}

// ours says whether an address is one of the site's own, behind the door.
func ours(to string) bool {
	if !strings.HasPrefix(to, "/") || strings.HasPrefix(to, "//") || strings.ContainsAny(to, "\\\r\n\t") {
		return false
	}
	u, err := url.Parse(to)
	return err == nil && u.Host == "" && u.Scheme == "" && u.Path != "/sign-in" && u.Path != "/lock" && u.Path != "/enrol"
}

// The cookies of the door. Over TLS they carry the prefix that binds them to
// this host and to TLS; beside it there is only the machine itself.
const (
	deviceCookie  = "device"
	sessionCookie = "session"
	deviceLives   = 400 * 24 * 3600 // s, the most that browsers keep
	sessionLives  = 24 * 3600       // s; the door ends sessions before
)

func cookieName(r *http.Request, name string) string {
	if r.TLS != nil {
		return "__Host-" + name
	}
	return name
}

func cookie(r *http.Request, name, value string, seconds int) *http.Cookie {
	return &http.Cookie{Name: cookieName(r, name), Value: value, Path: "/", MaxAge: seconds, HttpOnly: true, Secure: r.TLS != nil,
		SameSite: http.SameSiteLaxMode}
}

// where is what a request brings to the door.
func (s *site) where(r *http.Request) door.Where {
	w := door.Where{Address: r.RemoteAddr}
	if h, _, err := net.SplitHostPort(r.RemoteAddr); err == nil {
		w.Address = h
	}
	if c, err := r.Cookie(cookieName(r, deviceCookie)); err == nil {
		w.Device = c.Value
	}
	if c, err := r.Cookie(cookieName(r, sessionCookie)); err == nil {
		w.Session = c.Value
	}
	return w
}

// sign puts the person of the session into a form: the form's own word for who
// did it counts only where nobody signs in.
func (s *site) sign(r *http.Request) error {
	v := visit(r.Context())
	if !v.In() || r.Method != http.MethodPost {
		return nil
	}
	var err error
	if strings.HasPrefix(r.Header.Get("Content-Type"), "multipart/form-data") {
		err = r.ParseMultipartForm(mostFile)
	} else {
		err = r.ParseForm()
	}
	if err != nil {
		return asInvalid(err)
	}
	r.Form.Set("person", v.Person)
	r.PostForm.Set("person", v.Person)
	if r.MultipartForm != nil {
		r.MultipartForm.Value["person"] = []string{v.Person}
	}
	return nil
}

// person is who a program's entry is by. A program that names somebody else
// than who is signed in holds an entry of another session: it is refused, and
// kept there until that person is back.
func (s *site) person(ctx context.Context, named string) (string, error) {
	v := visit(ctx)
	if !s.guarded() {
		return named, nil
	}
	if named != "" && named != v.Person {
		return "", fault.List{fault.New(fault.Refused, "door.other-person", "found", named).In("person")}
	}
	return v.Person, nil
}

// deviceOf is the device that an entry names: the enrolled one, or how it came
// in.
func deviceOf(ctx context.Context, otherwise string) string {
	if v := visit(ctx); v.In() && v.Device != nil {
		return v.Device.Device
	}
	return otherwise
}

// act sends the form that waited behind the lock, now that a person is in.
func (s *site) act(w http.ResponseWriter, r *http.Request, v door.Visit) {
	to, form := r.PostForm.Get("acts"), url.Values{}
	for name, values := range r.PostForm {
		if rest, ok := strings.CutPrefix(name, "carry."); ok {
			form[rest] = values
		}
	}
	u, err := url.Parse(to)
	if err != nil {
		s.fault(w, r, s.reader(r), fault.New(fault.Invalid, "bench.bad-form", "error", to))
		return
	}
	again := r.Clone(context.WithValue(r.Context(), visiting{}, v))
	body := form.Encode()
	again.URL.Path, again.URL.RawPath, again.URL.RawQuery, again.RequestURI = u.Path, u.RawPath, u.RawQuery, to
	again.Form, again.PostForm, again.MultipartForm, again.Body = nil, nil, nil, io.NopCloser(strings.NewReader(body))
	again.ContentLength = int64(len(body))
	again.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	s.inner.ServeHTTP(w, again)
}
