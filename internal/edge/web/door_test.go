package web

import (
	"context"
	"crypto/tls"
	"encoding/json"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"fettle/internal/facts/entry"
	"fettle/internal/show/page"
)

// browsing is one browser with its cookies, over TLS.
type browsing struct {
	*shopFloor
	cookies map[string]*http.Cookie
	from    string
}

func (f *shopFloor) browser(from string) *browsing {
	return &browsing{f, map[string]*http.Cookie{}, from}
}

func (b *browsing) send(method, path string, body io.Reader, header ...string) *httptest.ResponseRecorder {
	b.t.Helper()
	r := httptest.NewRequest(method, path, body)
	r.Host, r.TLS, r.RemoteAddr = "localhost:8430", &tls.ConnectionState{}, b.from+":50000"
	for i := 0; i+1 < len(header); i += 2 {
		r.Header.Set(header[i], header[i+1])
	}
	for _, c := range b.cookies {
		r.AddCookie(&http.Cookie{Name: c.Name, Value: c.Value})
	}
	w := httptest.NewRecorder()
	b.h.ServeHTTP(w, r)
	for _, c := range w.Result().Cookies() {
		if c.MaxAge < 0 {
			delete(b.cookies, c.Name)
		} else {
			b.cookies[c.Name] = c
		}
	}
	return w
}

func (b *browsing) see(path string) *httptest.ResponseRecorder {
	b.t.Helper()
	return b.send(http.MethodGet, path, nil, "Sec-Fetch-Mode", "navigate", "Sec-Fetch-Dest", "document")
}

func (b *browsing) give(path string, form url.Values) *httptest.ResponseRecorder {
	b.t.Helper()
	return b.send(http.MethodPost, path, strings.NewReader(form.Encode()), "Content-Type", "application/x-www-form-urlencoded",
		"Sec-Fetch-Site", "same-origin", "Sec-Fetch-Mode", "navigate", "Sec-Fetch-Dest", "document")
}

// fetch asks as a script of a page does.
func (b *browsing) fetch(method, path, body string) *httptest.ResponseRecorder {
	b.t.Helper()
	return b.send(method, path, strings.NewReader(body), "Content-Type", "application/json", "Idempotency-Key", body[:min(len(body), 20)]+path,
		"Sec-Fetch-Site", "same-origin", "Sec-Fetch-Mode", "cors", "Sec-Fetch-Dest", "empty")
}

const ownersPassword = "blue anvil tuesday"

// owned gives the shop its owner through the first page.
func owned(t *testing.T) (*shopFloor, *browsing) {
	t.Helper()
	f := open(t)
	code, err := f.door.SetupCode()
	if err != nil {
		t.Fatal(err)
	}
	office := f.browser("127.0.0.1")
	wants(t, office.see("/devices"), http.StatusOK, "Setup code")
	form := url.Values{"act": {"first"}, "code": {"2222-2222"}, "name": {"Ada Brown"}, "initials": {"ABX"}, "password": {ownersPassword}, "pin": {"4711"}, "device": {"office"}}
	wants(t, office.give("/devices", form), http.StatusUnprocessableEntity, "not the setup code", `value="Ada Brown"`)
	form.Set("code", code)
	wants(t, office.give("/devices", form), http.StatusSeeOther)
	wants(t, office.see("/devices"), http.StatusOK, "Ada Brown", "office", "The shop got its owner")
	return f, office
}

// tablet enrols a browser, and returns it with the id of a person with a PIN.
func tablet(t *testing.T, f *shopFloor, office *browsing, name, person, pin string) (*browsing, string) {
	t.Helper()
	if person != "" {
		wants(t, office.give("/devices", url.Values{"act": {"person"}, "name": {person}, "pin": {pin}}), http.StatusSeeOther)
	}
	w := office.give("/devices", url.Values{"act": {"offer"}, "device": {name}})
	wants(t, w, http.StatusOK, "works once")
	code := regexp.MustCompile(`<b>([2-9A-Z]{4}-[2-9A-Z]{4})</b>`).FindStringSubmatch(w.Body.String())
	if code == nil {
		t.Fatal("the page shows no code")
	}
	b := f.browser("192.168.7.20")
	wants(t, b.see("/enrol?code="+code[1]), http.StatusOK, code[1])
	wants(t, b.give("/enrol", url.Values{"code": {code[1]}}), http.StatusSeeOther)
	list, err := f.door.Members(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range list {
		if m.Name == person {
			return b, m.Person
		}
	}
	return b, ""
}

func (b *browsing) signIn(person, pin string) *httptest.ResponseRecorder {
	b.t.Helper()
	return b.give("/sign-in", url.Values{"whom": {person}, "pin": {pin}, "back": {"/job/2026-014"}})
}

// code is the word with which a program is turned away.
func code(t *testing.T, w *httptest.ResponseRecorder) string {
	t.Helper()
	var p struct{ Code, Detail string }
	if err := json.Unmarshal(w.Body.Bytes(), &p); err != nil || w.Code != http.StatusUnauthorized || p.Detail == "" ||
		w.Header().Get("Content-Type") != "application/problem+json" || w.Header().Get("WWW-Authenticate") == "" {
		t.Errorf("turned away with %d %s: %.200s", w.Code, w.Header().Get("Content-Type"), w.Body.String())
	}
	return p.Code
}

// Law: with an owner every address of the site, for reading and for writing,
// is behind the door, but for those of the door itself; and every answer has
// the fixed headers.
func TestEverythingIsBehindTheDoor(t *testing.T) {
	f, office := owned(t)
	stranger := f.browser("192.168.7.99")
	for _, p := range page.Routes() {
		p = strings.NewReplacer("{draft}", "d0", "{job}", "2026-014", "{component}", "block", "{position...}", "block/bore/5/H2/T", "{key}", strings.Repeat("0", 32),
			"{id}", "corran-24-5", "{file}", "fettle.css", "{gauge}", "mic-75-100", "{digest}", strings.Repeat("0", 64), "{version}", "0").Replace(p)
		for _, b := range []*browsing{stranger, office} {
			for _, w := range []*httptest.ResponseRecorder{b.see(p), b.give(p, url.Values{"act": {"none"}, "person": {"p-7a03"}}), b.fetch(http.MethodPut, p, "{}")} {
				h := w.Header()
				if csp := h.Get("Content-Security-Policy"); !strings.HasPrefix(csp, "default-src 'none'; ") || strings.Contains(csp, "unsafe") || h.Get("X-Content-Type-Options") != "nosniff" ||
					h.Get("Referrer-Policy") == "" || h.Get("Cross-Origin-Opener-Policy") != "same-origin" || h.Get("Strict-Transport-Security") != "" {
					t.Errorf("%s: status %d with headers %v", p, w.Code, h)
				}
			}
		}
		if public(p) || p == "/devices" {
			continue
		}
		w := stranger.see(p)
		if forProgram(httptest.NewRequest(http.MethodGet, p, nil)) {
			if got := code(t, w); got != whyOut {
				t.Errorf("%s: %q", p, got)
			}
			continue
		}
		if w.Code != http.StatusSeeOther || !strings.HasPrefix(w.Header().Get("Location"), "/sign-in?back=") {
			t.Errorf("%s is open to a stranger: %d", p, w.Code)
		}
		if w := stranger.give(p, url.Values{"act": {"x"}}); w.Code != http.StatusForbidden {
			t.Errorf("%s takes a form from a stranger: %d", p, w.Code)
		}
	}
	if head := stranger.send(http.MethodHead, "/job/2026-014", nil); head.Code != http.StatusSeeOther {
		t.Errorf("HEAD is answered with %d", head.Code)
	}
}

func TestCookies(t *testing.T) {
	f, office := owned(t)
	b, p := tablet(t, f, office, "bench 2", "Bo Carter", "8053")
	wants(t, b.signIn(p, "8053"), http.StatusSeeOther)
	for _, from := range []*browsing{office, b} {
		for _, name := range []string{"__Host-session", "__Host-device"} {
			c := from.cookies[name]
			if c == nil || !c.Secure || !c.HttpOnly || c.SameSite != http.SameSiteLaxMode || c.Path != "/" || c.Domain != "" || len(c.Value) < 43 {
				t.Errorf("%s is %+v", name, c)
			}
		}
	}
	for name, c := range b.cookies {
		if !c.Secure {
			t.Errorf("%s goes over TLS and is not bound to it", name)
		}
	}
	w := f.do(http.MethodPost, "/sign-in", strings.NewReader(url.Values{"password": {ownersPassword}, "with": {"password"}}.Encode()), "Content-Type", "application/x-www-form-urlencoded")
	for _, c := range w.Result().Cookies() {
		if c.Name != "session" || c.Secure || !c.HttpOnly {
			t.Errorf("on the machine itself: %+v", c)
		}
	}
}

func TestEntriesAreByWhoeverIsSignedIn(t *testing.T) {
	f, office := owned(t)
	b, p := tablet(t, f, office, "bench 2", "Bo Carter", "8053")
	wants(t, b.see("/sign-in"), http.StatusOK, "Bo Carter", "bench 2")
	wants(t, b.signIn(p, "8053"), http.StatusSeeOther)
	w := b.see(bore)
	wants(t, w, http.StatusOK, `<a href="/me">BC</a>`)
	if strings.Contains(w.Body.String(), `name="person"`) {
		t.Error("the form asks who")
	}
	in := url.Values{"act": {"reading"}, "key": {key(t, w.Body.String())}, "mark": {"."}, "value": {"83.1234"}, "unit": {"mm"}, "gauge": {"bore-50-150"},
		"master": {"mic-75-100"}, "part_temp": {"19.0"}, "gauge_temp": {"19.0"}, "state": {"found"}, "person": {"p-7a03"}} // somebody else's name
	wants(t, b.give(bore, in), http.StatusSeeOther)
	last := f.last("job/2026-014")
	if last.Person != p || !strings.HasPrefix(last.Device, "d-") || !strings.Contains(string(last.Payload), "83.1234") {
		t.Errorf("the entry is by %q on %q: %s", last.Person, last.Device, last.Payload)
	}
	body := `{"position":"block/bore/5/H2/T","value":"83.0101","unit":"mm","gauge":"bore-50-150","master":"mic-75-100","part_temp":"19.0","gauge_temp":"19.0","person":"p-7a03"}`
	wants(t, b.fetch(http.MethodPost, "/api/v1/jobs/2026-014/readings", body), http.StatusForbidden, "is not signed in here")
	wants(t, b.fetch(http.MethodPost, "/api/v1/jobs/2026-014/readings", strings.Replace(body, `,"person":"p-7a03"`, "", 1)), http.StatusCreated)
	if last := f.last("job/2026-014"); last.Person != p {
		t.Errorf("a program's entry is by %q", last.Person)
	}
}

func (f *shopFloor) last(stream string) entry.Row {
	f.t.Helper()
	rows, err := f.store.Rows(context.Background(), stream, 1)
	if err != nil || len(rows) == 0 {
		f.t.Fatal(err)
	}
	return rows[len(rows)-1]
}

// TestALockKeepsWhatWasTyped: a form sent from behind the lock waits for the PIN
// and is then acted on; a script is told why and keeps what it has.
func TestALockKeepsWhatWasTyped(t *testing.T) {
	f, office := owned(t)
	b, p := tablet(t, f, office, "bench 2", "Bo Carter", "8053")
	wants(t, b.signIn(p, "8053"), http.StatusSeeOther)
	in := url.Values{"act": {"reading"}, "key": {key(t, b.see(bore).Body.String())}, "mark": {"."}, "value": {"83.1234"}, "unit": {"mm"}, "gauge": {"bore-50-150"},
		"master": {"mic-75-100"}, "part_temp": {"19.0"}, "gauge_temp": {"19.0"}, "state": {"found"}, "note": {"burr & dirt"}}
	before := f.last("job/2026-014").Seq
	f.now = f.now.Add(6 * time.Minute)
	w := b.see("/job/2026-014/findings")
	if to := w.Header().Get("Location"); w.Code != http.StatusSeeOther || to != "/lock?back=%2Fjob%2F2026-014%2Ffindings" {
		t.Errorf("a locked page leads to %q", to)
	}
	wants(t, b.see(w.Header().Get("Location")), http.StatusOK, "Bo Carter", `name="pin"`, `value="/job/2026-014/findings"`)
	if got := code(t, b.fetch(http.MethodPost, "/job/2026-014/bench", `{"device":"x","items":[]}`)); got != whyLocked {
		t.Errorf("a script is told %q", got)
	}
	w = b.give(bore, in)
	wants(t, w, http.StatusForbidden, "What was typed is kept", "83.1234", "burr &amp; dirt")
	again := url.Values{"act": {"open"}}
	for _, m := range regexp.MustCompile(`<input type="hidden" name="([^"]+)" value="([^"]*)">`).FindAllStringSubmatch(w.Body.String(), -1) {
		if m[1] == "back" && again.Has("back") {
			break // of the second form
		}
		again.Add(m[1], strings.NewReplacer("&amp;", "&", "&#34;", `"`).Replace(m[2]))
	}
	again.Set("pin", "0000")
	w = b.give("/lock", again)
	wants(t, w, http.StatusForbidden, "This is not right", "83.1234")
	again.Set("pin", "8053")
	w = b.give("/lock", again)
	wants(t, w, http.StatusSeeOther)
	if to := w.Header().Get("Location"); !strings.HasPrefix(to, bore+"?") {
		t.Errorf("after the lock it goes to %s", to)
	}
	if last := f.last("job/2026-014"); last.Seq != before+1 || last.Person != p || !strings.Contains(string(last.Payload), "burr & dirt") {
		t.Errorf("entry %d after %d by %s: %s", last.Seq, before, last.Person, last.Payload)
	}
	wants(t, b.give("/lock", url.Values{"act": {"now"}}), http.StatusSeeOther)
	for _, far := range []string{"//evil.example/", "https://evil.example/", "/\\evil.example", "/lock"} {
		f.now = f.now.Add(6 * time.Minute)
		w := b.give("/lock", url.Values{"act": {"open"}, "pin": {"8053"}, "back": {far}})
		if to := w.Header().Get("Location"); to != "/" {
			t.Errorf("sent on to %q", to)
		}
	}
}

func TestWhoIsShutOutIsTurnedAwayAtOnce(t *testing.T) {
	f, office := owned(t)
	b, p := tablet(t, f, office, "bench 2", "Bo Carter", "8053")
	wants(t, b.signIn(p, "8053"), http.StatusSeeOther)
	wants(t, b.see("/devices"), http.StatusForbidden, "Only the owner")
	wants(t, b.give("/devices", url.Values{"act": {"offer"}, "device": {"mine"}}), http.StatusForbidden)
	wants(t, office.give("/devices", url.Values{"act": {"disable"}, "whom": {p}}), http.StatusSeeOther)
	if got := code(t, b.fetch(http.MethodGet, "/api/v1/jobs", "")); got != whyEnded {
		t.Errorf("a disabled person's script is told %q", got)
	}
	wants(t, b.signIn(p, "8053"), http.StatusForbidden, "This is not right")
	wants(t, office.give("/devices", url.Values{"act": {"enable"}, "whom": {p}}), http.StatusSeeOther)
	wants(t, b.signIn(p, "8053"), http.StatusSeeOther)
	list, _ := f.door.Devices(context.Background())
	for _, d := range list {
		if d.Name == "bench 2" {
			wants(t, office.give("/devices", url.Values{"act": {"revoke"}, "device": {d.Device}}), http.StatusSeeOther)
		}
	}
	if got := code(t, b.fetch(http.MethodGet, "/api/v1/jobs", "")); got != whyRevoked {
		t.Errorf("a revoked device's script is told %q", got)
	}
	wants(t, b.see("/sign-in"), http.StatusOK, "was revoked", "not enrolled")
	wants(t, b.signIn(p, "8053"), http.StatusForbidden, "only on a device")
	// The owner by PIN is asked for the password before changing who may come in.
	list2, _ := f.door.Members(context.Background())
	for _, m := range list2 {
		if m.Owner {
			wants(t, office.give("/lock", url.Values{"act": {"out"}}), http.StatusSeeOther)
			wants(t, office.signIn(m.Person, "4711"), http.StatusSeeOther)
		}
	}
	if to := office.see("/devices").Header().Get("Location"); !strings.HasPrefix(to, "/sign-in?with=password") {
		t.Errorf("an owner by PIN is led to %q", to)
	}
}

func TestWrongPinsWait(t *testing.T) {
	f, office := owned(t)
	b, p := tablet(t, f, office, "bench 2", "Bo Carter", "8053")
	for range 3 {
		wants(t, b.signIn(p, "0001"), http.StatusForbidden, "This is not right")
	}
	w := b.signIn(p, "8053")
	wants(t, w, http.StatusTooManyRequests, "Too many wrong tries")
	if w.Header().Get("Retry-After") != "1" {
		t.Errorf("Retry-After is %q", w.Header().Get("Retry-After"))
	}
	f.now = f.now.Add(time.Second)
	wants(t, b.signIn(p, "8053"), http.StatusSeeOther)
	wants(t, office.see("/devices"), http.StatusOK, "Refused: wrong password, PIN or code", "192.168.7.20")
}

// TestFormsFromElsewhere: neither another site nor a page without an origin
// sends a form, signed in or not.
func TestFormsFromElsewhere(t *testing.T) {
	_, office := owned(t)
	for _, h := range [][]string{{"Sec-Fetch-Site", "cross-site"}, {"Origin", "https://evil.example"}, {"Origin", "null"}} {
		w := office.send(http.MethodPost, "/devices", strings.NewReader("act=offer&device=x"), append([]string{"Content-Type", "application/x-www-form-urlencoded"}, h...)...)
		wants(t, w, http.StatusForbidden, "another site")
	}
}

// Law: the plain port gives its three answers, to names that are the shop's,
// and neither sets nor minds a cookie.
func TestPlainPort(t *testing.T) {
	lib, err := shelf()
	if err != nil {
		t.Fatal(err)
	}
	h, err := Plain(PlainConfig{Library: lib, Answers: func(n string) bool { return n == "shop.test" || n == "192.168.7.5" },
		Trust: Trust{Authority: []byte("-----BEGIN CERTIFICATE-----\n"), Fingerprint: "AB:CD", Secure: "https://shop.test:8430/", Plain: "http://shop.test:8431/"}})
	if err != nil {
		t.Fatal(err)
	}
	ask := func(method, host, path string) *httptest.ResponseRecorder {
		r := httptest.NewRequest(method, path, nil)
		r.Host = host
		r.AddCookie(&http.Cookie{Name: "lang", Value: "de"})
		w := httptest.NewRecorder()
		h.ServeHTTP(w, r)
		if len(w.Result().Cookies()) > 0 {
			t.Errorf("%s sets a cookie", path)
		}
		if !strings.HasPrefix(w.Header().Get("Content-Security-Policy"), "default-src 'none'") || w.Header().Get("Strict-Transport-Security") != "" {
			t.Errorf("%s: headers %v", path, w.Header())
		}
		return w
	}
	w := ask(http.MethodGet, "shop.test:8431", "/")
	wants(t, w, http.StatusOK, "AB:CD", "Android", "iPad", "Windows", "macOS", "Linux", "https://shop.test:8430/", `aria-label="http://shop.test:8431/"`, "/authority.crt")
	if strings.Contains(w.Body.String(), "<script") {
		t.Error("the plain page has a script")
	}
	wants(t, ask(http.MethodGet, "shop.test:8431", "/?lang=de"), http.StatusOK, "vertrauen")
	w = ask(http.MethodGet, "192.168.7.5:8431", "/authority.crt")
	if w.Code != http.StatusOK || w.Header().Get("Content-Type") != "application/x-x509-ca-cert" || !strings.HasPrefix(w.Body.String(), "-----BEGIN CERTIFICATE") {
		t.Errorf("the file: %d %s", w.Code, w.Header().Get("Content-Type"))
	}
	for path, to := range map[string]string{"/job/2026-014?x=1": "https://shop.test:8430/job/2026-014?x=1", "/sign-in": "https://shop.test:8430/sign-in",
		"/static/keys.js": "https://shop.test:8430/static/keys.js", "/api/v1/jobs": "https://shop.test:8430/api/v1/jobs", "/worker.js": "https://shop.test:8430/worker.js"} {
		w := ask(http.MethodGet, "shop.test:8431", path)
		if w.Code != http.StatusTemporaryRedirect || w.Header().Get("Location") != to {
			t.Errorf("%s: %d to %s, want %s", path, w.Code, w.Header().Get("Location"), to)
		}
	}
	if w := ask(http.MethodPost, "shop.test:8431", "/"); w.Code != http.StatusTemporaryRedirect {
		t.Errorf("a form is answered with %d", w.Code)
	}
	for _, host := range []string{"evil.example", "shop.test.evil.example", "10.0.0.9"} {
		if w := ask(http.MethodGet, host, "/"); w.Code != http.StatusMisdirectedRequest {
			t.Errorf("%s: %d", host, w.Code)
		}
	}
	wants(t, ask(http.MethodGet, "shop.test:8431", "/static/fettle.css"), http.StatusOK, "--ground")
}
