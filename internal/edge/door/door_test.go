package door

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"fettle/internal/base/fault"
	"fettle/internal/edge/bench"
	"fettle/internal/edge/store"
	facts "fettle/internal/facts/door"
	"fettle/internal/facts/entry"
	"fettle/internal/judge/compute"
	"fettle/internal/know/library"
)

// shelf is the knowledge without families; a door needs no engine.
var shelf = sync.OnceValues(func() (*library.Library, error) {
	files := library.Files{}
	for _, dir := range []string{"", "words"} {
		list, err := os.ReadDir(filepath.Join("../../../data", dir))
		if err != nil {
			return nil, err
		}
		for _, f := range list {
			if name := filepath.ToSlash(filepath.Join(dir, f.Name())); strings.HasSuffix(name, ".yaml") || strings.HasSuffix(name, ".csv") {
				if files[name], err = os.ReadFile(filepath.Join("../../../data", name)); err != nil {
					return nil, err
				}
			}
		}
	}
	lib, faults := library.Read(files, compute.Signature)
	if len(faults) > 0 {
		return nil, faults
	}
	return lib, nil
})

// hall is a door over a store of its own, with a clock that is set by hand.
type hall struct {
	t   *testing.T
	d   *Door
	st  *store.Store
	dir string
	now time.Time
}

const (
	password = "blue anvil tuesday"
	pin      = "4711"
)

func open(t *testing.T) *hall {
	t.Helper()
	h := &hall{t: t, dir: t.TempDir(), now: time.Date(2026, 11, 24, 8, 0, 0, 0, time.UTC)}
	h.start()
	return h
}

func (h *hall) start() {
	h.t.Helper()
	lib, err := shelf()
	if err != nil {
		h.t.Fatal(err)
	}
	clock := func() time.Time { return h.now }
	if h.st, err = store.Open(context.Background(), h.dir, clock); err != nil {
		h.t.Fatal(err)
	}
	st := h.st
	h.t.Cleanup(func() { st.Close() })
	if h.d, err = New(context.Background(), Config{Store: h.st, Bench: bench.New(h.st, lib, clock), Clock: clock}); err != nil {
		h.t.Fatal(err)
	}
}

func (h *hall) pass(d time.Duration) { h.now = h.now.Add(d) }

// setUp makes Ada the owner, with the office as the first device.
func (h *hall) setUp() Came {
	h.t.Helper()
	code, err := h.d.SetupCode()
	if err != nil {
		h.t.Fatal(err)
	}
	c, err := h.d.SetUp(context.Background(), First{NewPerson: NewPerson{Name: "Ada Brown", Pin: pin}, Code: code, Password: password, Device: "office"}, "127.0.0.1")
	if err != nil {
		h.t.Fatal(err)
	}
	return c
}

// tablet enrols a device.
func (h *hall) tablet(name string) string {
	h.t.Helper()
	code, _, err := h.d.Offer("p-1", name)
	if err != nil {
		h.t.Fatal(err)
	}
	got, cookie, err := h.d.Enrol(context.Background(), code, "192.168.7.20")
	if err != nil || got != name {
		h.t.Fatalf("enrolled as %q: %v", got, err)
	}
	return cookie
}

func (h *hall) person(name, pin string) string {
	h.t.Helper()
	if err := h.d.AddPerson(context.Background(), "p-1", NewPerson{Name: name, Pin: pin}); err != nil {
		h.t.Fatal(err)
	}
	list, err := h.d.Members(context.Background())
	if err != nil {
		h.t.Fatal(err)
	}
	for _, m := range list {
		if m.Name == name {
			return m.Person
		}
	}
	h.t.Fatalf("%s is not known", name)
	return ""
}

func (h *hall) look(w Where, use bool) Visit {
	h.t.Helper()
	v, err := h.d.Look(context.Background(), w, use)
	if err != nil {
		h.t.Fatal(err)
	}
	return v
}

func (h *hall) try(t Try) (string, error) { return h.d.SignIn(context.Background(), t) }

func (h *hall) refuses(err error, key string) {
	h.t.Helper()
	var f *fault.Fault
	if list := (fault.List{}); errors.As(err, &list) && len(list) > 0 {
		f = list[0]
	} else if !errors.As(err, &f) {
		h.t.Fatalf("no fault but %v, want %s", err, key)
	}
	if f.Key != key {
		h.t.Fatalf("%s, want %s", f.Key, key)
	}
}

// wait is how long the door makes a try wait.
func wait(err error) time.Duration {
	var w *Wait
	if errors.As(err, &w) {
		return w.For
	}
	return 0
}

func (h *hall) kinds() string {
	h.t.Helper()
	list, err := h.d.Events(context.Background(), 1000)
	if err != nil {
		h.t.Fatal(err)
	}
	var out []string
	for i := len(list) - 1; i >= 0; i-- {
		out = append(out, string(list[i].Kind))
	}
	return strings.Join(out, ", ")
}

func TestFirstStart(t *testing.T) {
	h := open(t)
	ctx := context.Background()
	h.refuses(h.d.Ready(ctx), "door.no-owner")
	code, _ := h.d.SetupCode()
	first := First{NewPerson: NewPerson{Name: "Ada Brown", Pin: pin}, Code: "2222-2222", Password: password, Device: "office"}
	_, err := h.d.SetUp(ctx, first, "127.0.0.1")
	h.refuses(err, "door.bad-setup-code")

	first.Code = strings.ToLower(strings.ReplaceAll(code, "-", " "))
	bad := first
	bad.Name, bad.Password, bad.Pin, bad.Device = "", "short", "12", ""
	_, err = h.d.SetUp(ctx, bad, "127.0.0.1")
	var list fault.List
	if !errors.As(err, &list) || len(list) < 4 {
		t.Fatalf("of four mistakes it says %v", err)
	}
	if h.d.Owned() {
		t.Fatal("a refused first start made an owner")
	}
	c, err := h.d.SetUp(ctx, first, "127.0.0.1")
	if err != nil {
		t.Fatal(err)
	}
	v := h.look(Where{Device: c.Device, Session: c.Session}, true)
	if !v.In() || !v.Owner || !v.Session.Strong || v.Device == nil || v.Device.Name != "office" {
		t.Errorf("after the first start: %+v", v)
	}
	if err := h.d.Ready(ctx); err != nil {
		t.Errorf("with owner, device and PIN: %v", err)
	}
	if list, _ := h.d.Members(ctx); len(list) != 1 || list[0].Initials != "AB" || list[0].Name != "Ada Brown" || !list[0].Owner {
		t.Errorf("the owner as a person of the shop: %+v", list)
	}
	_, err = h.d.SetUp(ctx, first, "127.0.0.1")
	h.refuses(err, "store.owner-there")
	if got, want := h.kinds(), "sign-in failed, owner set up, signed in"; got != want {
		t.Errorf("events: %s; want %s", got, want)
	}
	if err := h.d.Revoke(ctx, "", v.Device.Device); err != nil {
		t.Fatal(err)
	}
	h.refuses(h.d.Ready(ctx), "door.no-device")
}

// Law: what is kept holds no secret: neither the file of the log nor an event
// has the password, a PIN or what a cookie holds.
func TestNothingSecretIsKept(t *testing.T) {
	h := open(t)
	c := h.setUp()
	tablet := h.tablet("bench 2")
	p := h.person("Bo Carter", "8053")
	s, err := h.try(Try{Where: Where{Device: tablet, Address: "192.168.7.20"}, Person: p, Pin: "8053"})
	if err != nil {
		t.Fatal(err)
	}
	_, _ = h.try(Try{Where: Where{Device: tablet}, Person: p, Pin: "999888777666"})
	h.st.Close()
	err = filepath.WalkDir(h.dir, func(name string, e os.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		b, err := os.ReadFile(name)
		for _, secret := range []string{password, c.Device, c.Session, tablet, s, "999888777666"} {
			if strings.Contains(string(b), secret) {
				t.Errorf("%s holds %q", name, secret)
			}
		}
		if strings.HasSuffix(name, "fettle.db") && !strings.Contains(string(b), "$argon2id$v=19$m=19456,t=2,p=1$") {
			t.Errorf("%s holds no hash by argon2id of 19 MiB, two passes, one lane", name)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

func TestPinNeedsItsDevice(t *testing.T) {
	h := open(t)
	h.setUp()
	p := h.person("Bo Carter", "8053")
	_, err := h.try(Try{Where: Where{Address: "192.168.7.31"}, Person: p, Pin: "8053"})
	h.refuses(err, "door.not-enrolled")
	_, err = h.try(Try{Where: Where{Device: "made up", Address: "192.168.7.31"}, Person: p, Pin: "8053"})
	h.refuses(err, "door.not-enrolled")
	tablet := h.tablet("bench 2")
	s, err := h.try(Try{Where: Where{Device: tablet}, Person: p, Pin: "8053"})
	if err != nil {
		t.Fatal(err)
	}
	if v := h.look(Where{Device: tablet, Session: s}, true); !v.In() || v.Person != p || v.Owner || v.Session.Strong {
		t.Errorf("signed in by PIN: %+v", v)
	}
	if v := h.look(Where{Session: s}, true); v.In() || v.Gone != Ended {
		t.Error("a session of one device goes on without it")
	}
	_, err = h.try(Try{Where: Where{Device: tablet}, Person: p, Password: "8053"})
	h.refuses(err, "door.wrong") // a PIN is no password
	_, err = h.try(Try{Where: Where{Device: tablet}, Person: p, Pin: ""})
	h.refuses(err, "door.wrong")
}

// Law: each wait is at least as long as the one before and at most its bound;
// after it the right secret is taken. Nobody is ever shut out.
func TestGuessingIsSlow(t *testing.T) {
	h := open(t)
	h.setUp()
	p := h.person("Bo Carter", "8053")
	tablet := Where{Device: h.tablet("bench 2"), Address: "192.168.7.20"}
	var waits []time.Duration
	for range 12 {
		_, err := h.try(Try{Where: tablet, Person: p, Pin: "0000"})
		h.refuses(err, "door.wrong")
		_, err = h.try(Try{Where: tablet, Person: p, Pin: "8053"})
		w := wait(err)
		if w == 0 && len(waits) >= 1 {
			t.Fatalf("after %d wrong tries there is no wait: %v", len(waits)+1, err)
		}
		if w == 0 { // let in; begin anew with two wrong tries in a row
			_, _ = h.try(Try{Where: tablet, Person: p, Pin: "0000"})
			_, _ = h.try(Try{Where: tablet, Person: p, Pin: "0000"})
			_, err = h.try(Try{Where: tablet, Person: p, Pin: "0000"})
			h.refuses(err, "door.wrong")
			_, err = h.try(Try{Where: tablet, Person: p, Pin: "8053"})
			w = wait(err)
		}
		waits = append(waits, w)
		h.pass(w)
	}
	for i, w := range waits {
		if w > time.Minute || i > 0 && w < waits[i-1] {
			t.Errorf("the waits are %v", waits)
			break
		}
	}
	if waits[len(waits)-1] != time.Minute {
		t.Errorf("the longest wait is %v, want a minute", waits[len(waits)-1])
	}
	if _, err := h.try(Try{Where: tablet, Person: p, Pin: "8053"}); err != nil {
		t.Errorf("after the wait the right PIN is refused: %v", err)
	}
}

// Law: guesses at a person from elsewhere never keep the person out at a device
// where that person came in before.
func TestAPranksterLocksNobodyOut(t *testing.T) {
	h := open(t)
	h.setUp()
	p := h.person("Bo Carter", "8053")
	own := Where{Device: h.tablet("bench 2"), Address: "192.168.7.20"}
	other := Where{Device: h.tablet("bench 3"), Address: "192.168.7.21"}
	if _, err := h.try(Try{Where: own, Person: p, Pin: "8053"}); err != nil {
		t.Fatal(err)
	}
	for range 20 {
		h.pass(70 * time.Second)
		_, err := h.try(Try{Where: other, Person: p, Pin: "0000"})
		h.refuses(err, "door.wrong")
	}
	if _, err := h.try(Try{Where: own, Person: p, Pin: "8053"}); err != nil {
		t.Errorf("kept out by another's guesses: %v", err)
	}
	// Nor does coming in oneself buy guesses at somebody else.
	mine := h.person("Cy Dunn", "6174")
	wrong := 0
	for range 20 {
		if _, err := h.try(Try{Where: own, Person: p, Pin: "0000"}); wait(err) == 0 {
			wrong++
		}
		_, _ = h.try(Try{Where: own, Person: mine, Pin: "6174"})
		h.pass(3 * time.Second)
	}
	if wrong > 9 { // 3 at once, then after 1, 2, 4, 8, 16 s
		t.Errorf("%d guesses in a minute beside sign-ins of one's own", wrong)
	}
}

// Law: coming in oneself forgives a place nothing: who guesses at many people
// there waits all the same.
func TestComingInForgivesNoPlace(t *testing.T) {
	var d delays
	now := time.Unix(0, 0)
	own := []rule{{"me at d", 2, time.Minute}, {"d", 8, time.Minute}}
	for i := range 20 {
		if d.take(now, []rule{{itoa(i) + " at d", 2, time.Minute}, {"d", 8, time.Minute}}) > 0 {
			return
		}
		if d.take(now, own) == 0 {
			d.right(own)
		}
	}
	t.Error("twenty guesses at one place, and no wait")
}

// Law: a hundred guesses at the same moment are no more than the free ones.
func TestGuessesAtOnce(t *testing.T) {
	var d delays
	now := time.Unix(0, 0)
	let := 0
	var mu sync.Mutex
	var all sync.WaitGroup
	for range 100 {
		all.Go(func() {
			if d.take(now, []rule{{"p at d", 2, time.Minute}}) == 0 {
				mu.Lock()
				let++
				mu.Unlock()
			}
		})
	}
	all.Wait()
	if let != 3 {
		t.Errorf("%d of 100 were looked at, want 3", let)
	}
}

func TestALockKeepsTheSession(t *testing.T) {
	h := open(t)
	h.setUp()
	p := h.person("Bo Carter", "8053")
	w := Where{Device: h.tablet("bench 2")}
	var err error
	if w.Session, err = h.try(Try{Where: w, Person: p, Pin: "8053"}); err != nil {
		t.Fatal(err)
	}
	for range 10 { // used again and again, it stays open
		h.pass(4 * time.Minute)
		if !h.look(w, true).In() {
			t.Fatal("a session in use locked")
		}
	}
	h.pass(4 * time.Minute)
	h.look(w, false) // what a page asks by itself
	h.pass(2 * time.Minute)
	v := h.look(w, true)
	if v.In() || !v.Locked() || v.Person != p {
		t.Fatalf("after 6 minutes without use: %+v", v.Session)
	}
	old := w.Session
	if w.Session, err = h.try(Try{Where: w, Person: p, Pin: "8053"}); err != nil {
		t.Fatal(err)
	}
	if w.Session == old || !h.look(w, true).In() {
		t.Error("after the PIN the session is not open under a new secret")
	}
	if v := h.look(Where{Device: w.Device, Session: old}, true); v.In() || v.Locked() {
		t.Error("the old secret still opens")
	}
	if err := h.d.Lock(context.Background(), w); err != nil || !h.look(w, true).Locked() {
		t.Error("locked by hand, it is open", err)
	}
	if got := strings.Count(h.kinds(), "locked"); got != 2 {
		t.Errorf("%d locks in the log, want 2: %s", got, h.kinds())
	}
	if err := h.d.SetLimits(context.Background(), "p-1", 1, 1); err != nil {
		t.Fatal(err)
	}
	if w.Session, err = h.try(Try{Where: w, Person: p, Pin: "8053"}); err != nil {
		t.Fatal(err)
	}
	for range 61 {
		h.pass(59 * time.Second)
		h.look(w, true)
	}
	if !h.look(w, true).In() {
		t.Fatal("ended before an hour was over")
	}
	h.pass(59 * time.Second)
	if v := h.look(w, true); v.In() || v.Gone != Ended {
		t.Error("a session outlives its longest time")
	}
}

func TestWhoIsShutOutIsOutAtOnce(t *testing.T) {
	h := open(t)
	h.setUp()
	ctx := context.Background()
	p := h.person("Bo Carter", "8053")
	w := Where{Device: h.tablet("bench 2")}
	var err error
	in := func() {
		t.Helper()
		if w.Session, err = h.try(Try{Where: w, Person: p, Pin: "8053"}); err != nil {
			t.Fatal(err)
		}
		if !h.look(w, true).In() {
			t.Fatal("not in")
		}
	}
	in()
	if err := h.d.Disable(ctx, "p-1", p, true); err != nil {
		t.Fatal(err)
	}
	if v := h.look(w, true); v.In() || v.Locked() || v.Gone != Ended {
		t.Error("a disabled person goes on")
	}
	_, err = h.try(Try{Where: w, Person: p, Pin: "8053"})
	h.refuses(err, "door.wrong")
	if err := h.d.Disable(ctx, "p-1", p, false); err != nil {
		t.Fatal(err)
	}
	if v := h.look(w, true); v.In() {
		t.Error("an ended session came back")
	}
	in()
	if err := h.d.Revoke(ctx, "p-1", h.look(w, true).Device.Device); err != nil {
		t.Fatal(err)
	}
	if v := h.look(w, true); v.In() || v.Gone != Revoked {
		t.Error("a revoked device goes on")
	}
	_, err = h.try(Try{Where: w, Person: p, Pin: "8053"})
	h.refuses(err, "door.not-enrolled")
	list, _ := h.d.Members(ctx)
	for _, m := range list {
		if m.Owner {
			h.refuses(h.d.Disable(ctx, "p-1", m.Person, true), "door.owner-stays")
		}
	}
}

func TestACodeWorksOnceAndForAWhile(t *testing.T) {
	h := open(t)
	h.setUp()
	ctx := context.Background()
	code, until, err := h.d.Offer("p-1", "bench 2")
	if err != nil || until.Sub(h.now) != 10*time.Minute {
		t.Fatal(until, err)
	}
	if _, _, err := h.d.Enrol(ctx, " "+strings.ToLower(code), "192.168.7.20"); err != nil {
		t.Fatal(err)
	}
	_, _, err = h.d.Enrol(ctx, code, "192.168.7.20")
	h.refuses(err, "door.bad-code")
	late, _, _ := h.d.Offer("p-1", "bench 3")
	h.pass(10*time.Minute + time.Second)
	_, _, err = h.d.Enrol(ctx, late, "192.168.7.20")
	h.refuses(err, "door.bad-code")
	wrong := 0
	for range 1000 {
		if _, _, err := h.d.Enrol(ctx, "AAAA-AAAA", "192.168.7.20"); wait(err) == 0 {
			wrong++
		}
	}
	if wrong > 5 {
		t.Errorf("%d codes tried at one moment", wrong)
	}
}

// Law: sessions and devices outlive the process; codes do not.
func TestSessionsOutliveTheProcess(t *testing.T) {
	h := open(t)
	c := h.setUp()
	code, _, _ := h.d.Offer("p-1", "bench 2")
	h.st.Close()
	h.start()
	if !h.d.Owned() || !h.look(Where{Device: c.Device, Session: c.Session}, true).In() {
		t.Error("after a new start nobody is signed in")
	}
	_, _, err := h.d.Enrol(context.Background(), code, "192.168.7.20")
	h.refuses(err, "door.bad-code")
	if _, err := h.st.Verify(context.Background()); err != nil {
		t.Errorf("the chain with the door's stream: %v", err)
	}
}

// Law: refusals beyond a number an hour are counted and not written, and the
// next one that is written says how many.
func TestRefusalsDoNotFillTheDisk(t *testing.T) {
	h := open(t)
	h.setUp()
	for range mostRefusals + 30 {
		h.pass(5 * time.Second)
		if err := h.d.refused(context.Background(), facts.EventV1{Address: "10.0.0.9", Way: "password"}); err != nil {
			t.Fatal(err)
		}
	}
	if got := strings.Count(h.kinds(), string(entry.SignInFailed)); got != mostRefusals {
		t.Fatalf("%d refusals written, want %d", got, mostRefusals)
	}
	h.pass(time.Hour)
	_, _ = h.try(Try{Where: Where{Address: "10.0.0.9"}, Password: "wrong wrong"})
	list, _ := h.d.Events(context.Background(), 1)
	if list[0].Unsaid != 30 {
		t.Errorf("the next one says %d before it, want 30", list[0].Unsaid)
	}
}

func TestPasswords(t *testing.T) {
	for p, key := range map[string]string{
		"seven77": "door.password-short", "Passwort123": "door.password-common", "aaaaaaaaaa": "door.password-common", "abcdefghij": "door.password-common",
		"87654321": "door.password-common", "AdaBrown!!": "door.password-common", strings.Repeat("long ", 60): "door.password-long",
		"blue anvil": "", "ölwanne1": "", strings.Repeat("xy", 64): "", "correct horse": "", "        8": "door.password-common",
	} {
		f := passwordFault(p, "Ada Brown", "AdaBrown")
		if f != nil {
			if f.Key != key {
				t.Errorf("%q: %s, want %q", p, f.Key, key)
			}
		} else if key != "" {
			t.Errorf("%q is taken, want %s", p, key)
		}
	}
	for p, ok := range map[string]bool{"4711": true, "471": false, "0000": false, "1234": false, "4321": false, "47a1": false, "1234567890123": false, "20261124": true, "": false, "١٢٣٤": false} {
		if (pinFault(p) == nil) != ok {
			t.Errorf("PIN %q: %v", p, pinFault(p))
		}
	}
}

// Law: no more than two hashes are made at a time, and a burst is refused
// rather than queued without end.
func TestHashesHaveTheirTurn(t *testing.T) {
	h := newHashing(nil)
	if cap(h.turns) != 2 {
		t.Fatalf("%d hashes at a time take %d MiB", cap(h.turns), cap(h.turns)*memory>>10)
	}
	var turns []func()
	for range atOnce {
		done, err := h.turn(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		turns = append(turns, done)
	}
	ctx, stop := context.WithCancel(context.Background())
	var refused, all sync.WaitGroup
	refused.Add(30 - mostWaiting)
	var mu sync.Mutex
	n := 0
	for range 30 {
		all.Go(func() {
			done, err := h.turn(ctx)
			if err == nil {
				done()
				return
			}
			mu.Lock()
			defer mu.Unlock()
			if n++; n <= 30-mostWaiting {
				refused.Done()
			}
		})
	}
	refused.Wait()
	turns[0]()
	turns[1]()
	all.Wait()
	stop()
	if n != 30-mostWaiting {
		t.Errorf("%d of 30 were refused, want %d", n, 30-mostWaiting)
	}
}
