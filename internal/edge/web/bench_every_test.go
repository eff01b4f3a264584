package web

import (
	"bytes"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"fettle/internal/facts/entry"
	"fettle/internal/facts/readings"
)

// shortParts are what the test enters where the whole would take too long.
var shortParts = []string{"phaser", "pin", "oil-pump", "flywheel", "damper", "tensioner", "shell-pin"}

// TestEveryKeystroke enters the readings of the demonstration's job at the bench
// page by keyboard alone: the real server in a process of its own, over HTTPS
// under the shop's name; the network cut and restored twenty times, half of them while the server's answer
// was on its way; two tabs;
// a reload while the network is dead; a kill -9 of the server in the middle.
// Afterwards the log holds exactly those readings, each once, and the assessment
// is the one of the same readings taken in as a file, byte for byte.
func TestEveryKeystroke(t *testing.T) {
	if testing.Short() {
		t.Skip("short: a browser and a server")
	}
	browser(t)
	whole := os.Getenv(wholeRun) != ""
	s, truth, _ := sheetOf(t, "2026-014")
	usual(&s)
	if !whole {
		s.Readings = slices.DeleteFunc(s.Readings, func(r readings.Row) bool {
			c, _, _ := strings.Cut(r.Position, "/")
			return !slices.Contains(shortParts, c)
		})
	}
	first := begun(t, s, truth.Family)
	batches := [][]entry.Entry{first}
	if whole {
		batches = append(batches, copies(t, 99)[1:]...)
	}
	srv := newShopServer(t, batches...)
	ctx, base := browserAt(t, srv, 40*time.Minute)
	one := newHand(t, ctx)
	other, end := chromedp.NewContext(ctx)
	defer end()
	two := newHand(t, other)

	todo, parts := map[string][]*readings.Row{}, []string{}
	for i := range s.Readings {
		r := &s.Readings[i]
		c, _, _ := strings.Cut(r.Position, "/")
		if len(todo) == 0 || !slices.Contains(parts, c) {
			parts = append(parts, c)
		}
		todo[r.Position] = append(todo[r.Position], r)
	}
	run := &keystrokes{t: t, srv: srv, todo: todo, all: len(s.Readings), cuts: 20}
	for k, h := range []*hand{one, two} {
		do(t, h.ctx, "open", chromedp.Navigate(base+"/job/2026-014/bench/block")) // the largest
		h.wait(ready, 20*time.Second)
		if k == 0 && !ask[bool](t, h.ctx, `isSecureContext && location.hostname === "shop.test"`) {
			t.Fatal("the page is not in a secure context under the shop's name")
		}
		if n := h.bytes.Load(); n > 150_000 {
			t.Errorf("the page took %d bytes over the wire", n)
		} else if k == 0 {
			run.page = n
		}
	}
	one.wait(`document.getElementById("bench").dataset.ahead === "yes"`, 60*time.Second) // what is not on the device cannot be measured without the network
	one.wait(`navigator.serviceWorker.controller !== null`, 10*time.Second)
	began := time.Now()
	for i, p := range parts {
		h := one
		if i%2 == 1 {
			h = two
		}
		run.part(h, p)
	}
	srv.wire.cut(false)
	for _, h := range []*hand{one, two} {
		h.wait(`document.getElementById("bench").dataset.unsent === "0" && document.getElementById("bench").dataset.refused === "0"`, 60*time.Second)
	}
	took := time.Since(began)
	run.again = max(one.knew+one.again(), two.knew+two.again()) // both tabs hear of each
	srv.kill()

	j, got := logOf(t, srv, s.Job)
	count := map[string]int{}
	for i := range s.Readings {
		r := &s.Readings[i]
		count[line(r.ReadingV1, r.Person, r.Time)]++
	}
	made, lost, doubled := len(s.Readings), 0, 0
	for i := range j.Job.Readings {
		r := &j.Job.Readings[i]
		count[line(r.ReadingV1, r.Person, r.Time)]--
	}
	for l, n := range count {
		switch {
		case n > 0:
			lost += n
			t.Errorf("lost: %s", l)
		case n < 0:
			doubled -= n
			t.Errorf("doubled or changed: %s", l)
		}
	}
	want := imported(t, s, first)
	if !bytes.Equal(got, want) {
		i := 0
		for i < min(len(got), len(want)) && got[i] == want[i] {
			i++
		}
		t.Errorf("the assessment is another than that of the file: %.200s\nagainst\n%.200s", got[max(0, i-100):], want[max(0, i-100):])
	}
	slices.Sort(run.times)
	q := func(p float64) float64 { return run.times[min(len(run.times)-1, int(p*float64(len(run.times))))] }
	jobs := 1
	if whole {
		jobs = 100
	}
	fmt.Printf("bench: made %d, delivered %d, lost %d, doubled %d, in %.1f minutes; network cut %d times, %d answers lost on the way and given again, two tabs, %d reload, %d kill -9; %d jobs in the store\n",
		made, len(j.Job.Readings), lost, doubled, took.Minutes(), run.cut, run.again, run.reloads, run.kills, jobs)
	fmt.Printf("bench: from Enter to the verdict on the page: p50 %.0f ms, p95 %.0f ms, of %d readings; the page takes %.0f kB over the wire\n",
		q(0.5), q(0.95), len(run.times), float64(run.page)/1000)
	if !whole {
		fmt.Printf("bench: a shorter job of %d parts; all of it: %s=1 go test ./internal/edge/web -run EveryKeystroke -v -timeout 60m\n", len(parts), wholeRun)
	}
	if run.cut != run.cuts || run.reloads != 1 || run.kills != 1 || run.again == 0 {
		t.Errorf("the network was cut %d times, %d answers given again, %d reloads, %d kills", run.cut, run.again, run.reloads, run.kills)
	}
}

// keystrokes is one run over all parts.
type keystrokes struct {
	t       *testing.T
	srv     *shopServer
	todo    map[string][]*readings.Row
	all     int
	done    int
	cuts    int // wanted
	cut     int
	reloads int
	kills   int
	dead    int // readings still to be typed while the wire is cut
	wasDead bool
	muted   bool
	again   int
	times   []float64
	page    int64
}

// part enters every reading of a part in the order in which the page arms its
// positions.
func (k *keystrokes) part(h *hand, part string) {
	k.t.Helper()
	left := 0
	for p, rows := range k.todo {
		if strings.HasPrefix(p, part+"/") {
			left += len(rows)
		}
	}
	enter := func(r *readings.Row) {
		k.trouble(h)
		h.enter(r)
		if k.muted {
			time.Sleep(200 * time.Millisecond) // the server stores it, and its answer is lost
			k.srv.wire.cut(true)
			k.muted = false
		}
		left--
		k.done++
		if k.dead == 0 {
			h.seen()
			if !k.wasDead { // what stood behind others in the queue says nothing of the pace
				k.times = append(k.times, ask[float64](k.t, h.ctx, `globalThis.benchTimes.at(-1)`))
			}
		}
		k.wasDead = k.dead > 0
	}
	for skipped := 0; left > 0; {
		at := h.at()
		rows := k.todo[at]
		if !strings.HasPrefix(at, part+"/") || skipped > 400 {
			for p, rest := range k.todo {
				if strings.HasPrefix(p, part+"/") && len(rest) > 0 {
					h.keys("/at " + p + "\r")
					h.wait(fmt.Sprintf(`document.getElementById("bench").dataset.at === %q`, p), 20*time.Second)
					break
				}
			}
			skipped = 0
			continue
		}
		if len(rows) == 0 {
			skipped++
			h.keys("/2")
			h.wait(fmt.Sprintf(`document.getElementById("bench").dataset.at !== %q`, at), 20*time.Second) // behind the last comes another part
			continue
		}
		enter(rows[0])
		for _, r := range rows[1:] {
			h.keys("*")
			h.wait(fmt.Sprintf(`document.getElementById("bench").dataset.at === %q`, at), 5*time.Second)
			enter(r)
		}
		k.todo[at] = nil
	}
}

// trouble cuts and mends the network, reloads and kills, at its times.
func (k *keystrokes) trouble(h *hand) {
	k.t.Helper()
	if k.dead > 0 {
		if k.dead--; k.dead == 0 {
			if k.kills == 0 && k.cut >= k.cuts/2 {
				k.kills++
				k.srv.kill()
				k.srv.start()
			}
			k.srv.wire.cut(false)
		} else if k.reloads == 0 && k.cut >= 5 {
			k.reload(h)
		}
		return
	}
	if k.cut < k.cuts && k.done >= (k.cut+1)*k.all/(k.cuts+2) {
		if k.cut++; k.cut%2 == 0 {
			k.srv.wire.silence()
			k.muted = true
		} else {
			k.srv.wire.cut(true)
		}
		k.dead = 3
	}
}

// reload loads the page anew while the network is dead, with half a number
// typed: the worker shows the page, the draft stands where it stood.
func (k *keystrokes) reload(h *hand) {
	k.t.Helper()
	k.reloads++
	h.knew += h.again()
	at := h.at()
	h.wait(`document.getElementById("bench").dataset.unsent !== "0"`, 5*time.Second) // the last one is on the disk
	unsent := ask[string](k.t, h.ctx, `document.getElementById("bench").dataset.unsent`)
	h.keys("8")
	do(k.t, h.ctx, "reload", chromedp.Reload())
	h.wait(ready, 20*time.Second)
	h.keys("/at " + at + "\r")
	h.wait(fmt.Sprintf(`document.getElementById("bench").dataset.at === %q`, at), 5*time.Second)
	if v := ask[string](k.t, h.ctx, `document.getElementById("b-value").value`); v != "8" {
		k.t.Errorf("after the reload the field holds %q, not the draft", v)
	}
	if now := ask[string](k.t, h.ctx, `document.getElementById("bench").dataset.unsent`); now != unsent || unsent == "0" {
		k.t.Errorf("%s entries were unsent before the reload, %s after it", unsent, now)
	}
	h.keys("/0")
	h.made = 0
	clear(h.chars) // the page begins with what the log says
}

// again is how many entries were stored already when they were sent once more,
// as far as the page has heard since it was loaded.
func (h *hand) again() int {
	return ask[int](h.t, h.ctx, `Number(document.getElementById("bench").dataset.again ?? 0)`)
}
