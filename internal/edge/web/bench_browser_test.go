package web

import (
	"bytes"
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/base64"
	"encoding/json"
	"encoding/pem"
	"fmt"
	"io"
	"math/big"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"fettle/internal/demo"
	"fettle/internal/edge/bench"
	"fettle/internal/edge/store"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/facts/readings"
)

// wholeRun names the variable under which the browser test enters every
// reading of the demonstration's job, with 100 jobs in the store.
const wholeRun = "FETTLE_TEST_WHOLE"

// childRun names the variable that turns this test binary into a server.
const childRun = "FETTLE_TEST_SERVER"

const host = "shop.test"

// TestServerProcess is no test: it is the server that TestEveryKeystroke
// starts, kills and starts again.
func TestServerProcess(t *testing.T) {
	dir, addr, ok := strings.Cut(os.Getenv(childRun), "|")
	if !ok {
		t.Skip("the server of another test")
	}
	lib, err := shelf()
	if err != nil {
		t.Fatal(err)
	}
	st, err := store.Open(context.Background(), filepath.Join(dir, "shop"), time.Now)
	if err != nil {
		t.Fatal(err)
	}
	h, err := New(Config{Bench: bench.New(st, lib, time.Now), Hosts: []string{host}, Failed: func(err error) { fmt.Fprintln(os.Stderr, err) }})
	if err != nil {
		t.Fatal(err)
	}
	l, err := net.Listen("tcp", addr)
	if err != nil {
		t.Fatal(err)
	}
	t.Fatal(Server(h).ServeTLS(l, filepath.Join(dir, "cert.pem"), filepath.Join(dir, "key.pem")))
}

// shopServer is the real server in a process of its own, behind a wire that
// can be cut.
type shopServer struct {
	t     *testing.T
	dir   string
	addr  string // of the process
	spki  string // of its certificate
	child *exec.Cmd
	wire  *wire
}

// newShopServer makes the folder of a workshop; entries are written first.
func newShopServer(t *testing.T, batches ...[]entry.Entry) *shopServer {
	t.Helper()
	s := &shopServer{t: t, dir: t.TempDir()}
	st, err := store.Open(t.Context(), filepath.Join(s.dir, "shop"), time.Now)
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range batches {
		if _, err := st.Append(t.Context(), b); err != nil {
			t.Fatal(err)
		}
	}
	if err := st.Close(); err != nil {
		t.Fatal(err)
	}
	s.certify()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	s.addr = l.Addr().String()
	l.Close()
	s.start()
	s.wire = newWire(t, s.addr)
	t.Cleanup(s.kill)
	return s
}

// certify makes a certificate for the shop's name.
func (s *shopServer) certify() {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		s.t.Fatal(err)
	}
	c := &x509.Certificate{SerialNumber: big.NewInt(1), Subject: pkix.Name{CommonName: host}, DNSNames: []string{host},
		NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(24 * time.Hour), KeyUsage: x509.KeyUsageDigitalSignature,
		ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}}
	der, err := x509.CreateCertificate(rand.Reader, c, c, &key.PublicKey, key)
	if err != nil {
		s.t.Fatal(err)
	}
	spki, err := x509.MarshalPKIXPublicKey(&key.PublicKey)
	if err != nil {
		s.t.Fatal(err)
	}
	sum := sha256.Sum256(spki)
	s.spki = base64.StdEncoding.EncodeToString(sum[:])
	private, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		s.t.Fatal(err)
	}
	for name, b := range map[string]*pem.Block{"cert.pem": {Type: "CERTIFICATE", Bytes: der}, "key.pem": {Type: "PRIVATE KEY", Bytes: private}} {
		if err := os.WriteFile(filepath.Join(s.dir, name), pem.EncodeToMemory(b), 0o600); err != nil {
			s.t.Fatal(err)
		}
	}
}

// start starts the process and waits until it answers.
func (s *shopServer) start() {
	s.t.Helper()
	s.child = exec.Command(os.Args[0], "-test.run=^TestServerProcess$", "-test.timeout=30m")
	s.child.Env = append(os.Environ(), childRun+"="+s.dir+"|"+s.addr)
	said := &bytes.Buffer{}
	s.child.Stdout, s.child.Stderr = said, said
	if err := s.child.Start(); err != nil {
		s.t.Fatal(err)
	}
	for end := time.Now().Add(20 * time.Second); time.Now().Before(end); time.Sleep(20 * time.Millisecond) {
		c, err := tls.Dial("tcp", s.addr, &tls.Config{InsecureSkipVerify: true}) // only whether it answers
		if err == nil {
			c.Close()
			return
		}
	}
	s.kill()
	s.t.Fatalf("the server does not answer: %s", said)
}

// kill ends the process the way a power cut does.
func (s *shopServer) kill() {
	_ = s.child.Process.Kill()
	_ = s.child.Wait()
}

// wire is what lies between browser and server. Cut, it drops what runs over it
// and takes nothing new.
type wire struct {
	mu   sync.Mutex
	down bool
	mute bool // what the server answers is lost
	open map[net.Conn]bool
	addr string
}

func newWire(t *testing.T, to string) *wire {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { l.Close() })
	w := &wire{open: map[net.Conn]bool{}, addr: l.Addr().String()}
	go func() {
		for {
			c, err := l.Accept()
			if err != nil {
				return
			}
			go w.carry(c, to)
		}
	}()
	return w
}

func (w *wire) carry(c net.Conn, to string) {
	defer c.Close()
	s, err := net.Dial("tcp", to)
	if err != nil {
		return
	}
	defer s.Close()
	w.mu.Lock()
	if w.down {
		w.mu.Unlock()
		return
	}
	w.open[c], w.open[s] = true, true
	w.mu.Unlock()
	done := make(chan struct{}, 2)
	for _, way := range [][2]io.ReadWriter{{quiet{w, c}, s}, {s, c}} {
		go func() {
			_, _ = io.Copy(way[0], way[1])
			done <- struct{}{}
		}()
	}
	<-done
	w.mu.Lock()
	delete(w.open, c)
	delete(w.open, s)
	w.mu.Unlock()
}

// quiet is the way back to the browser.
type quiet struct {
	w *wire
	net.Conn
}

func (q quiet) Write(b []byte) (int, error) {
	q.w.mu.Lock()
	mute := q.w.mute
	q.w.mu.Unlock()
	if mute {
		return len(b), nil
	}
	return q.Conn.Write(b)
}

// silence loses what the server answers from now until the wire is cut.
func (w *wire) silence() {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.mute = true
}

func (w *wire) cut(down bool) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.down, w.mute = down, false
	if down {
		for c := range w.open {
			c.Close()
		}
	}
}

// hand types at one tab.
type hand struct {
	t      *testing.T
	ctx    context.Context
	person string
	part   string // temperatures as they stand
	gauge  string
	chars  map[string]string // characteristic -> gauge, master and conditions as they stand
	made   int               // numbers entered at this tab since it was loaded
	knew   int               // answers given again that it had heard of before
	bytes  atomic.Int64      // that this tab took over the wire
}

// browserAt starts a browser that takes shop.test for this machine.
func browserAt(t *testing.T, s *shopServer, limit time.Duration) (ctx context.Context, base string) {
	t.Helper()
	chromium := browser(t)
	over, stop := context.WithTimeout(context.Background(), limit)
	t.Cleanup(stop)
	alloc, free := chromedp.NewExecAllocator(over, append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(chromium), chromedp.DisableGPU,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true), chromedp.UserDataDir(t.TempDir()),
		chromedp.Flag("host-resolver-rules", "MAP "+host+" 127.0.0.1"), chromedp.Flag("ignore-certificate-errors-spki-list", s.spki))...)
	t.Cleanup(free)
	ctx, end := chromedp.NewContext(alloc)
	t.Cleanup(end)
	_, port, err := net.SplitHostPort(s.wire.addr)
	if err != nil {
		t.Fatal(err)
	}
	return ctx, "https://" + host + ":" + port
}

// newHand opens a tab whose clock the test holds: the time of a reading is a
// claim of the device, and the file that is compared with claims others.
func newHand(t *testing.T, ctx context.Context) *hand {
	t.Helper()
	h := &hand{t: t, ctx: ctx, chars: map[string]string{}}
	if _, err := chromedp.Call(ctx, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{
		Source: `{const real = Date.now; Date.now = () => Number(sessionStorage.getItem("test-clock")) || real();}`}); err != nil {
		t.Fatal(err)
	}
	if _, err := chromedp.Call(ctx, network.Enable, network.EnableParams{}); err != nil {
		t.Fatal(err)
	}
	err := chromedp.Listen(ctx, func(ev any) {
		if e, ok := ev.(*network.EventLoadingFinished); ok {
			h.bytes.Add(int64(e.EncodedDataLength))
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	return h
}

// keys presses one key after the other.
func (h *hand) keys(text string) {
	h.t.Helper()
	for _, r := range text {
		p := input.DispatchKeyEventParams{Type: input.DispatchKeyEventTypeKeyDown, Text: string(r), UnmodifiedText: string(r), Key: string(r)}
		if r == '\r' {
			p.Key, p.Code, p.WindowsVirtualKeyCode = "Enter", "Enter", 13
		}
		if _, err := chromedp.Call(h.ctx, input.DispatchKeyEvent, p); err != nil {
			h.t.Fatalf("key %q: %v", r, err)
		}
		p.Type, p.Text, p.UnmodifiedText = input.DispatchKeyEventTypeKeyUp, "", ""
		if _, err := chromedp.Call(h.ctx, input.DispatchKeyEvent, p); err != nil {
			h.t.Fatalf("key %q: %v", r, err)
		}
	}
}

func (h *hand) at() string {
	return ask[string](h.t, h.ctx, `document.getElementById("bench").dataset.at`)
}

// wait waits for something to be so on the page; it asks often, for times are
// measured around it.
func (h *hand) wait(expr string, long time.Duration) {
	h.t.Helper()
	var err error
	for end := time.Now().Add(long); time.Now().Before(end); time.Sleep(3 * time.Millisecond) {
		var ok bool
		if ok, err = chromedp.Run(h.ctx, chromedp.Evaluate[bool](expr)); ok && err == nil {
			return
		}
	}
	told, _ := chromedp.Run(h.ctx, chromedp.Evaluate[string](`JSON.stringify({...document.getElementById("bench").dataset, say: document.getElementById("b-say").textContent, done: document.getElementById("b-done").textContent, queue: document.getElementById("b-queue").textContent, refused: document.getElementById("b-refused").textContent, value: document.getElementById("b-value").value, sheet: "", enter: "", nostore: "", nosheet: ""})`))
	h.t.Fatalf("not so after %v: %s (%v): %s", long, expr, err, told)
}

const ready = `document.getElementById("bench")?.dataset.ready !== undefined`

// circumstances says what a reading is taken with, as far as it is not so
// already, in commands as a scanned label holds them.
func (h *hand) circumstances(r *readings.Row) {
	if r.Person != h.person {
		h.keys("/w " + r.Person + "\r")
		h.person = r.Person
	}
	if r.PartTemp != h.part {
		h.keys("/t " + r.PartTemp + "\r")
		h.part = r.PartTemp
	}
	if r.GaugeTemp != h.gauge {
		h.keys("/u " + r.GaugeTemp + "\r")
		h.gauge = r.GaugeTemp
	}
	char := strings.Join(strings.SplitN(r.Position, "/", 3)[:2], "/")
	with := r.Gauge + "|" + r.Master + "|" + strings.Join(r.Condition, " ")
	if was, ok := h.chars[char]; !ok || was != with {
		h.keys("/g " + r.Gauge + "\r")
		h.keys("/m " + r.Master + "\r")
		h.keys("/c " + strings.Join(r.Condition, " ") + "\r")
		h.chars[char] = with
	}
	if r.Note != "" {
		h.keys("/n " + r.Note + "\r")
	}
}

// enter types one reading at the armed position.
func (h *hand) enter(r *readings.Row) {
	h.t.Helper()
	h.circumstances(r)
	ask[bool](h.t, h.ctx, fmt.Sprintf(`(sessionStorage.setItem("test-clock", %d), true)`, r.Time/1000))
	text := map[string]string{"pass": "1", "fail": "0"}[r.Value]
	if text == "" {
		text = r.Value
		if u := ask[string](h.t, h.ctx, `document.getElementById("bench").dataset.unit`); u != r.Unit {
			text += " " + r.Unit
		}
	}
	h.keys(text + "\r")
	h.wait(`document.getElementById("b-value").value === "" || !document.getElementById("b-panel").hidden`, 5*time.Second)
	if ask[bool](h.t, h.ctx, `!document.getElementById("b-panel").hidden`) { // it can be two numbers: the first is what was typed
		h.keys("/1")
		h.wait(`document.getElementById("b-value").value === ""`, 5*time.Second)
	}
	h.made++
}

// seen waits until the verdict of everything entered is on the page.
func (h *hand) seen() {
	h.t.Helper()
	h.wait(fmt.Sprintf(`Number(document.getElementById("bench").dataset.took ?? 0) >= %d`, h.made), 10*time.Second)
}

// sheetOf is the demonstration's job as a sheet of readings, each with the
// master that an empty field stands for.
func sheetOf(t testing.TB, id string) (readings.Sheet, demo.Truth, demo.Made) {
	t.Helper()
	lib, err := shelf()
	if err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile(filepath.Join(data, "demo", id+".yaml"))
	if err != nil {
		t.Fatal(err)
	}
	shopText, err := os.ReadFile(filepath.Join(data, "demo/shop.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	truth, faults := demo.Load(id+".yaml", text, "shop.yaml", shopText)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	m, faults := demo.Make(truth, lib.Families[truth.Family], lib, uint64(truth.Seed), nil)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	return demo.Sheet(truth, m), truth, m
}

// usual fills the masters that the gauges of a sheet are usually set on: what
// an empty field means, and what a bench writes down.
func usual(s *readings.Sheet) {
	set := map[string]string{}
	for _, g := range s.Gauges {
		set[g.Gauge] = g.Master
	}
	for i := range s.Readings {
		if r := &s.Readings[i]; r.Master == "" {
			r.Master = set[r.Gauge]
		}
	}
}

// begun are the entries of a workshop in which the sheet's job was opened and
// nothing was read yet.
func begun(t testing.TB, s readings.Sheet, family string) []entry.Entry {
	t.Helper()
	list, err := s.ShopEntries()
	if err != nil {
		t.Fatal(err)
	}
	lib, err := shelf()
	if err != nil {
		t.Fatal(err)
	}
	e, err := entry.New(entry.JobStream(s.Job), entry.Key{1}, entry.JobOpened, "", "test", 1, job.OpenedV1{Job: s.Job, Title: s.Title, Family: family,
		Digest: lib.Families[family].Digest})
	if err != nil {
		t.Fatal(err)
	}
	out := append(slices.Clone(list), e)
	for i := range out {
		if out[i].Time == 0 {
			out[i].Time = 1
		}
	}
	return out
}

// imported is the assessment of the same sheet taken in as a file by a
// workshop of its own.
func imported(t testing.TB, s readings.Sheet, first []entry.Entry) []byte {
	t.Helper()
	lib, err := shelf()
	if err != nil {
		t.Fatal(err)
	}
	st, err := store.Open(t.Context(), t.TempDir(), time.Now)
	if err != nil {
		t.Fatal(err)
	}
	defer st.Close()
	if _, err := st.Append(t.Context(), first); err != nil {
		t.Fatal(err)
	}
	b := bench.New(st, lib, time.Now)
	got, err := b.Take(t.Context(), s.Job, "readings.csv", readings.Write(s))
	if err != nil {
		t.Fatal(err)
	}
	out, err := json.Marshal(got.Judged.Assessment)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// logOf opens the log that a killed server left.
func logOf(t testing.TB, s *shopServer, id string) (*bench.Judged, []byte) {
	t.Helper()
	lib, err := shelf()
	if err != nil {
		t.Fatal(err)
	}
	st, err := store.Open(t.Context(), filepath.Join(s.dir, "shop"), time.Now)
	if err != nil {
		t.Fatal(err)
	}
	defer st.Close()
	j, err := bench.New(st, lib, time.Now).Judge(t.Context(), id)
	if err != nil {
		t.Fatal(err)
	}
	out, err := json.Marshal(j.Assessment)
	if err != nil {
		t.Fatal(err)
	}
	return j, out
}

// line is a reading as it is compared: everything but its key.
func line(r job.ReadingV1, person string, time int64) string {
	return fmt.Sprint(r.Position, "|", r.State, "|", r.Value, r.Unit, "|", r.Gauge, "|", r.Master, "|", r.PartTemp, "|", r.GaugeTemp, "|", r.Condition, "|", r.Note, "|", person, "|", time)
}
