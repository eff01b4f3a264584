package web

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
)

// TestBenchTypes goes through what may be typed at one position besides plain
// numbers: another mark, digits alone, text that is not one number, a position
// that is left, undo, and a device that has no room.
func TestBenchTypes(t *testing.T) {
	if testing.Short() {
		t.Skip("short: a browser")
	}
	f := open(t)
	ctx, base := tab(t, f)
	h := newHand(t, ctx)
	do(t, h.ctx, "open", chromedp.Navigate(base+"/job/2026-014/bench/block?person=p-7a03"))
	h.wait(ready, 20*time.Second)
	go2 := func(p string) {
		h.keys("/at " + p + "\r")
		h.wait(fmt.Sprintf(`document.getElementById("bench").dataset.at === %q`, p), 10*time.Second)
	}
	last := func() job.Reading {
		h.wait(`document.getElementById("bench").dataset.unsent === "0"`, 10*time.Second)
		j, err := f.bench.Judge(context.Background(), "2026-014")
		if err != nil {
			t.Fatal(err)
		}
		return j.Job.Readings[len(j.Job.Readings)-1]
	}
	stored := func(n int) {
		h.made = n
		h.seen()
	}
	go2("block/bore/1/H1/T")
	h.keys("83,031\r")
	stored(1)
	if r := last(); r.Position != "block/bore/1/H1/T" || r.Value != "83.031" || r.Typed != "83,031 mm" {
		t.Errorf("with a comma: %+v", r.ReadingV1)
	}

	go2("block/bore/1/H2/T")
	h.keys("/6")
	h.wait(`!document.getElementById("b-base").hidden`, 5*time.Second)
	h.keys("12\r") // above or below is not said
	h.wait(`document.getElementById("b-say").textContent.includes("+")`, 5*time.Second)
	h.keys("/0+12")
	if full := ask[string](t, h.ctx, `document.getElementById("b-full").textContent`); !strings.Contains(full, "83.022") {
		t.Errorf("the page shows %q for 12 steps above 83.010", full)
	}
	h.keys("\r")
	stored(2)
	if r := last(); r.Position != "block/bore/1/H2/T" || r.Value != "83.022" || r.Typed != "83.010 mm 12 × 0.001 mm" {
		t.Errorf("digits alone: %+v", r.ReadingV1)
	}
	go2("block/bore/1/H2/T")
	h.keys("/6")

	go2("block/bore/1/H3/T")
	h.keys("1.500,25\r")
	h.wait(`document.querySelectorAll("#b-panel button").length === 2`, 10*time.Second)
	if v := ask[string](t, h.ctx, `document.getElementById("b-value").value`); v != "1.500,25" {
		t.Errorf("the draft %q was not kept", v)
	}
	h.keys("/0")
	h.keys("/4")
	h.wait(`document.getElementById("bench").dataset.at === "block/bore/1/H2/T"`, 10*time.Second)
	h.wait(`document.getElementById("b-say").textContent.includes("Taken back")`, 10*time.Second)
	if r := last(); r.Voided != "withdrawn" || r.Reason != "undone" {
		t.Errorf("after undo: %+v", r)
	}

	go2("block/bore/1/H3/T")
	h.keys("/3")
	h.wait(`!document.getElementById("b-panel").hidden`, 5*time.Second)
	h.keys("/1")
	h.wait(`document.getElementById("b-panel").hidden`, 5*time.Second)
	j, err := f.bench.Judge(context.Background(), "2026-014")
	for end := time.Now().Add(10 * time.Second); err == nil && time.Now().Before(end) && j.Job.Lines[len(j.Job.Lines)-1].Kind != entry.NotMeasured; time.Sleep(20 * time.Millisecond) {
		j, err = f.bench.Judge(context.Background(), "2026-014")
	}
	if err != nil {
		t.Fatal(err)
	}
	if l := j.Job.Lines[len(j.Job.Lines)-1]; l.Kind != entry.NotMeasured || l.About != "block/bore/1/H3/T" || l.Reason != "unreachable" {
		t.Errorf("left: %+v", l)
	}

	go2("block/bore/2/H1/T")
	before := f.seq()
	ask[bool](t, h.ctx, `(IDBObjectStore.prototype.put = () => { throw new DOMException("no room", "QuotaExceededError"); }, true)`)
	h.keys("83.012\r")
	h.wait(`document.getElementById("b-say").textContent.includes("NOT KEPT")`, 5*time.Second)
	if v := ask[string](t, h.ctx, `document.getElementById("b-value").value + " " + document.getElementById("bench").dataset.at`); v != "83.012 block/bore/2/H1/T" {
		t.Errorf("a device without room holds %q", v)
	}
	if f.seq() != before {
		t.Error("a reading that was not kept is in the log")
	}
}
