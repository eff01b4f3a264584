package cli

import (
	"bytes"
	"context"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"encoding/base64"
	"encoding/pem"
	"io"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"os/exec"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"fettle/internal/edge/bench"
	"fettle/internal/edge/door"
	"fettle/internal/edge/store"
	"fettle/internal/edge/web"
	"fettle/internal/judge/compute"
)

// far is a workshop served to a network of one: TLS and plain port on loopback,
// under the name shop.test.
type farShop struct {
	t             *testing.T
	door          *door.Door
	secure, plain string // host:port
	out           string
	pool          *x509.CertPool
}

func serveFar(t *testing.T) *farShop {
	t.Helper()
	var out, errs bytes.Buffer
	s := &shell{World: World{Out: &out, Err: &errs, Files: os.DirFS("../../../data")}, reg: compute.NewRegister()}
	if err := s.load(); err != nil {
		t.Fatal(err)
	}
	if err := s.know(); err != nil {
		t.Fatal(err)
	}
	if faults := s.lib.AllFamilies(s.files); len(faults) > 0 {
		t.Fatal(faults)
	}
	made, err := s.invent(0)
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	dir := t.TempDir()
	st, err := store.Open(ctx, dir, time.Now)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := st.Append(ctx, made); err != nil {
		t.Fatal(err)
	}
	b := bench.New(st, s.lib, time.Now)
	d, err := door.New(ctx, door.Config{Store: st, Bench: b, Clock: time.Now})
	if err != nil {
		t.Fatal(err)
	}
	c := web.Config{Bench: b, Door: d, Lang: "en", Failed: func(err error) { t.Errorf("the site reports: %v", err) }}
	at := site{dir: dir, addr: "127.0.0.1:0", plain: "127.0.0.1:0", say: "cli.serving-at", hosts: []string{"shop.test"}, door: true}
	if _, err := s.far(ctx, at, c); err == nil {
		t.Fatal("it listens to the network before there is an owner")
	}
	code, err := d.SetupCode()
	if err != nil {
		t.Fatal(err)
	}
	if _, err := d.SetUp(ctx, door.First{NewPerson: door.NewPerson{Name: "Ada Brown", Initials: "ABX", Pin: "4711"}, Code: code, Password: "blue anvil tuesday", Device: "office"}, "127.0.0.1"); err != nil {
		t.Fatal(err)
	}
	servers, err := s.far(ctx, at, c)
	if err != nil {
		t.Fatal(err)
	}
	done := make(chan error, 1)
	go func() { done <- s.serve(ctx, servers) }()
	t.Cleanup(func() {
		stop()
		if err := <-done; err != nil {
			t.Error(err)
		}
		st.Close()
	})
	f := &farShop{t: t, door: d, secure: servers[0].on.Addr().String(), plain: servers[1].on.Addr().String(), out: out.String()}
	f.trust()
	return f
}

// trust takes the authority's file from the plain port, as a tablet does.
func (f *farShop) trust() {
	f.t.Helper()
	r, err := http.Get("http://" + f.plain + "/authority.crt")
	if err != nil {
		f.t.Fatal(err)
	}
	defer r.Body.Close()
	file, err := io.ReadAll(r.Body)
	block, _ := pem.Decode(file)
	if err != nil || block == nil || r.Header.Get("Content-Type") != "application/x-x509-ca-cert" {
		f.t.Fatalf("the authority's file: %v %s", err, file)
	}
	f.pool = x509.NewCertPool()
	f.pool.AppendCertsFromPEM(file)
	sum := sha256.Sum256(block.Bytes)
	told := strings.ReplaceAll(f.out, ":", "")
	if !strings.Contains(told, strings.ToUpper(hexOf(sum[:]))) {
		f.t.Errorf("the console does not say the fingerprint of the file: %s", f.out)
	}
}

func hexOf(b []byte) string {
	const digits = "0123456789abcdef"
	var out []byte
	for _, c := range b {
		out = append(out, digits[c>>4], digits[c&15])
	}
	return string(out)
}

// client is a browser that trusts the shop and finds it under its name.
func (f *farShop) client() *http.Client {
	jar, _ := cookiejar.New(nil)
	return &http.Client{Jar: jar, Timeout: 30 * time.Second, Transport: &http.Transport{TLSClientConfig: &tls.Config{RootCAs: f.pool}, ForceAttemptHTTP2: true,
		DialContext: func(ctx context.Context, network, _ string) (net.Conn, error) {
			return (&net.Dialer{}).DialContext(ctx, network, f.secure)
		}}}
}

func (f *farShop) ask(c *http.Client, path string, form url.Values, header ...string) (int, string) {
	f.t.Helper()
	method, body := http.MethodGet, io.Reader(nil)
	if form != nil {
		method, body = http.MethodPost, strings.NewReader(form.Encode())
	}
	r, err := http.NewRequest(method, "https://shop.test"+path, body)
	if err != nil {
		f.t.Fatal(err)
	}
	if form != nil {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.Header.Set("Sec-Fetch-Site", "same-origin")
	}
	for i := 0; i+1 < len(header); i += 2 {
		if header[i] == "Host" {
			r.Host = header[i+1]
		} else {
			r.Header.Set(header[i], header[i+1])
		}
	}
	a, err := c.Do(r)
	if err != nil {
		f.t.Fatal(err)
	}
	defer a.Body.Close()
	text, err := io.ReadAll(a.Body)
	if err != nil {
		f.t.Fatal(err)
	}
	return a.StatusCode, string(text)
}

// TestFar goes the way of a tablet over real connections: trust, code, PIN,
// page; and shows who is kept out.
func TestFar(t *testing.T) {
	f := serveFar(t)
	for _, host := range []string{"shop.test", "localhost", "127.0.0.1"} {
		c, err := tls.Dial("tcp", f.secure, &tls.Config{RootCAs: f.pool, ServerName: host})
		if err != nil {
			t.Errorf("%s: %v", host, err)
			continue
		}
		if v := c.ConnectionState().Version; v < tls.VersionTLS12 {
			t.Errorf("TLS %x", v)
		}
		c.Close()
	}
	if c, err := tls.Dial("tcp", f.secure, &tls.Config{RootCAs: f.pool, ServerName: "shop.test", MaxVersion: tls.VersionTLS11}); err == nil {
		c.Close()
		t.Error("TLS 1.1 is spoken")
	}
	office, tablet := f.client(), f.client()
	code, text := f.ask(tablet, "/job/2026-014", nil)
	if code != http.StatusOK || !strings.Contains(text, "not enrolled") {
		t.Fatalf("a stranger sees %d %.300s", code, text)
	}
	if code, text = f.ask(office, "/sign-in", url.Values{"password": {"blue anvil tuesday"}, "with": {"password"}, "back": {"/devices"}}); code != http.StatusOK || !strings.Contains(text, "Connect a tablet") {
		t.Fatalf("the owner sees %d %.300s", code, text)
	}
	_, text = f.ask(office, "/devices", url.Values{"act": {"offer"}, "device": {"bench 2"}})
	m := regexp.MustCompile(`<b>([2-9A-Z]{4}-[2-9A-Z]{4})</b>`).FindStringSubmatch(text)
	if m == nil {
		t.Fatal("no code")
	}
	if code, text = f.ask(tablet, "/enrol", url.Values{"code": {m[1]}}); code != http.StatusOK || !strings.Contains(text, "This device is bench 2.") {
		t.Fatalf("after the code: %d %.300s", code, text)
	}
	whom := regexp.MustCompile(`name="whom" value="(p-[0-9a-f]+)"`).FindStringSubmatch(text)
	if whom == nil {
		t.Fatal("nobody may come in")
	}
	if code, text = f.ask(tablet, "/sign-in", url.Values{"whom": {whom[1]}, "pin": {"4711"}, "back": {"/job/2026-014"}}); code != http.StatusOK || !strings.Contains(text, `<a href="/me">ABX</a>`) {
		t.Fatalf("after the PIN: %d %.300s", code, text)
	}
	for _, host := range []string{"evil.example", "shop.test.evil.example", "192.0.2.7"} {
		if code, _ := f.ask(tablet, "/", nil, "Host", host); code != http.StatusMisdirectedRequest {
			t.Errorf("%s is answered with %d", host, code)
		}
	}
	for _, h := range [][]string{{"Sec-Fetch-Site", "cross-site"}, {"Sec-Fetch-Site", "", "Origin", "null"}, {"Sec-Fetch-Site", "", "Origin", "https://evil.example"}} {
		if code, _ := f.ask(tablet, "/me", url.Values{"act": {"pin"}}, h...); code != http.StatusForbidden {
			t.Errorf("a form with %v is answered with %d", h, code)
		}
	}
	list, err := f.door.Devices(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range list {
		if d.Name == "bench 2" {
			f.ask(office, "/devices", url.Values{"act": {"revoke"}, "device": {d.Device}})
		}
	}
	if code, text = f.ask(tablet, "/job/2026-014", nil); !strings.Contains(text, "was revoked") {
		t.Errorf("a revoked tablet sees %d %.300s", code, text)
	}
}

// TestFarInABrowser goes from the sign-in to a job's page in a browser that
// finds the shop under its name, and asks whether that is a secure context: on
// loopback everything is, which would hide what a tablet lacks.
func TestFarInABrowser(t *testing.T) {
	path := os.Getenv("FETTLE_BROWSER")
	if path == "" {
		for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
			if p, err := exec.LookPath(name); err == nil && path == "" {
				path = p
			}
		}
	}
	if path == "" {
		if os.Getenv("CI") != "" {
			t.Fatal("no Chromium: set FETTLE_BROWSER or put chromium on the path")
		}
		t.Skip("no Chromium on the path and FETTLE_BROWSER is not set: the browser test is passed over")
	}
	f := serveFar(t)
	c, err := tls.Dial("tcp", f.secure, &tls.Config{RootCAs: f.pool, ServerName: "shop.test"})
	if err != nil {
		t.Fatal(err)
	}
	spki := sha256.Sum256(c.ConnectionState().PeerCertificates[0].RawSubjectPublicKeyInfo)
	c.Close()
	limit, stop := context.WithTimeout(context.Background(), 90*time.Second)
	defer stop()
	alloc, free := chromedp.NewExecAllocator(limit, append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.DisableGPU,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true), chromedp.UserDataDir(t.TempDir()),
		chromedp.Flag("host-resolver-rules", "MAP shop.test 127.0.0.1"),
		chromedp.Flag("ignore-certificate-errors-spki-list", base64.StdEncoding.EncodeToString(spki[:])))...)
	defer free()
	ctx, end := chromedp.NewContext(alloc)
	defer end()
	_, port, _ := net.SplitHostPort(f.secure)
	base := "https://shop.test:" + port
	step := func(what string, actions ...chromedp.Action[chromedp.Void]) {
		t.Helper()
		if err := chromedp.Do(ctx, actions...); err != nil {
			t.Fatalf("%s: %v", what, err)
		}
	}
	so := func(expr string) {
		t.Helper()
		var last error
		for limit := time.Now().Add(20 * time.Second); time.Now().Before(limit); time.Sleep(50 * time.Millisecond) {
			var ok bool
			if ok, last = chromedp.Run(ctx, chromedp.Evaluate[bool](expr)); ok && last == nil {
				return
			}
		}
		t.Fatalf("not so: %s (%v)", expr, last)
	}
	code, _, err := f.door.Offer("", "bench 2")
	if err != nil {
		t.Fatal(err)
	}
	step("scan the code", chromedp.Navigate(base+"/enrol?code="+code))
	so(`isSecureContext && document.querySelector("#f-code").value !== ""`)
	so(`document.querySelector("form.reading button").click() || true`)
	so(`location.pathname === "/sign-in" && document.querySelector("[data-pad]")?.hidden === false`)
	so(`document.querySelector("input[name=whom]").click() || true`)
	for _, d := range "4711" {
		so(`document.querySelector('[data-pad] button[value="` + string(d) + `"]').click() || true`)
	}
	so(`document.querySelector("#f-pin").value === "4711"`)
	so(`document.querySelector("form.reading button.main").click() || true`)
	so(`location.pathname === "/" && document.querySelector(".present a")?.textContent === "ABX"`)
	step("open a job", chromedp.Navigate(base+"/job/2026-014"))
	so(`document.querySelector(".drawing svg") !== null && isSecureContext && "serviceWorker" in navigator && !!crypto.subtle`)
	so(`document.fonts.size > 0 && document.styleSheets[0].cssRules.length > 10`)
	if !must[bool](t, ctx, `document.cookie === ""`) {
		t.Error("a script can read a cookie")
	}
}

func must[T any](t *testing.T, ctx context.Context, expr string) T {
	t.Helper()
	v, err := chromedp.Run(ctx, chromedp.Evaluate[T](expr))
	if err != nil {
		t.Fatalf("%s: %v", expr, err)
	}
	return v
}
