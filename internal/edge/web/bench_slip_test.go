package web

import (
	"context"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"fettle/internal/demo"
	"fettle/internal/edge/bench"
	"fettle/internal/edge/store"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/facts/readings"
	"fettle/internal/judge/assess"
)

// slipJob is one engine of the demonstration read without a slip, and the
// numbers that were then written down wrong.
type slipJob struct {
	id    string
	rest  []entry.Entry  // its entries without the wrong ones
	wrong []entry.Entry  // all of them, the wrong ones wrong
	typed []readings.Row // as they are typed
	was   []string       // what the gauge showed
	slips []demo.Slip
}

// slipped makes a job of the slip mix under an id of its own.
func slipped(t *testing.T, seed uint64, many int) slipJob {
	t.Helper()
	lib, err := shelf()
	if err != nil {
		t.Fatal(err)
	}
	_, truth, _ := sheetOf(t, "2026-014")
	truth.Planted, truth.Repeats = nil, []demo.Repeat{{Of: "*/*", N: 1}}
	text, err := os.ReadFile(filepath.Join(data, "demo/slips.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	mix, faults := demo.LoadSlips("slips.yaml", text)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	clean, faults := demo.Make(truth, lib.Families[truth.Family], lib, seed, nil)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	wrong, slips := mix.Spoil(clean, lib.Families[truth.Family], &truth.Shop, lib, seed, many)
	out := slipJob{id: fmt.Sprintf("slips-%d", seed), slips: slips}
	hit := map[string]bool{}
	for _, x := range slips {
		hit[x.Position], hit[x.Other] = true, true
	}
	delete(hit, "")
	for i, e := range wrong.Job {
		var r, w job.ReadingV1
		if e.Kind == entry.Reading {
			if json.Unmarshal(e.Payload, &r) != nil || json.Unmarshal(clean.Job[i].Payload, &w) != nil {
				t.Fatal("own entry")
			}
		}
		e = moved(t, e, out.id, uint32(seed))
		full := e
		full.Stream = entry.JobStream(out.id + "-all")
		full = moved(t, full, out.id+"-all", uint32(seed)+1<<16)
		out.wrong = append(out.wrong, full)
		if !hit[r.Position] {
			out.rest = append(out.rest, e)
			continue
		}
		out.typed = append(out.typed, readings.Row{ReadingV1: r, Person: e.Person, Time: e.Time})
		out.was = append(out.was, w.Value+" "+w.Unit)
	}
	return out
}

// moved gives an entry to another job, under a key of that one.
func moved(t *testing.T, e entry.Entry, id string, n uint32) entry.Entry {
	t.Helper()
	e.Stream = entry.JobStream(id)
	binary.BigEndian.PutUint32(e.Key[:4], n)
	if e.Kind == entry.JobOpened {
		var p map[string]any
		if err := json.Unmarshal(e.Payload, &p); err != nil {
			t.Fatal(err)
		}
		p["job"] = id
		b, err := entry.Canonical(p)
		if err != nil {
			t.Fatal(err)
		}
		e.Payload = b
	}
	return e
}

// aboutNumber are the questions about a number itself, those that slips are
// scored by.
func aboutNumber(j *bench.Judged, position string) bool {
	for i := range j.Assessment.Questions {
		q := &j.Assessment.Questions[i]
		if q.Position == position && q.ID != assess.NoGauge && q.ID != assess.NotSoaked && q.ID != assess.SecondReading {
			return true
		}
	}
	return false
}

// TestSlipsAreAskedAtTheBench types slips of the mix at the page and answers
// what is asked, with keep, correct and repeat in turn. What a judgement of the
// whole sheet asks about is asked at the bench too, when it is typed; each answer
// is in the log. The share itself is held by the score in judge/assess.
func TestSlipsAreAskedAtTheBench(t *testing.T) {
	if testing.Short() {
		t.Skip("short: a browser")
	}
	browser(t)
	seeds, many := uint64(2), 12
	if os.Getenv(wholeRun) != "" {
		seeds = 10
	}
	f := open(t)
	lib, _ := shelf()
	ctx := context.Background()
	st, err := store.Open(ctx, t.TempDir(), time.Now)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { st.Close() })
	list, err := made()
	if err != nil {
		t.Fatal(err)
	}
	var people []entry.Entry
	for _, e := range list {
		if e.Stream == entry.ShopStream {
			people = append(people, e)
		}
	}
	var jobs []slipJob
	batches := [][]entry.Entry{people}
	for seed := uint64(101); seed < 101+seeds; seed++ {
		k := slipped(t, seed, many)
		jobs, batches = append(jobs, k), append(batches, k.rest, k.wrong)
	}
	for _, b := range batches {
		if _, err := st.Append(ctx, b); err != nil {
			t.Fatal(err)
		}
	}
	f.bench = bench.New(st, lib, time.Now)
	if f.h, err = New(Config{Bench: f.bench, Failed: func(err error) { t.Errorf("the site reports: %v", err) }}); err != nil {
		t.Fatal(err)
	}
	tabCtx, base := tab(t, f)
	h := newHand(t, tabCtx)
	all, asked, whole, answers := 0, 0, 0, map[string]int{}
	for _, k := range jobs {
		full, err := f.bench.Judge(ctx, k.id+"-all")
		if err != nil {
			t.Fatal(err)
		}
		do(t, h.ctx, "open", chromedp.Navigate(base+"/job/"+k.id+"/bench/block"))
		h.wait(ready, 20*time.Second)
		h.made, h.person, h.part, h.gauge = 0, "", "", ""
		clear(h.chars)
		ask[bool](t, h.ctx, `(sessionStorage.removeItem("fettle-with"), true)`)
		pressed := 0
		said, questioned := map[string]int{}, map[string]bool{}
		for i := range k.typed {
			r := &k.typed[i]
			h.keys("/at " + r.Position + "\r")
			h.wait(fmt.Sprintf(`document.getElementById("bench").dataset.at === %q`, r.Position), 10*time.Second)
			r.Time = time.Now().UnixMicro()
			h.enter(r)
			h.seen()
			j, err := f.bench.Judge(ctx, k.id)
			if err != nil {
				t.Fatal(err)
			}
			questioned[r.Position] = aboutNumber(j, r.Position)
			open := 0
			if got := j.Readings(r.Position, job.Found); len(got) > 0 {
				open = len(j.Asked(got[len(got)-1].Key))
			}
			on := ask[int](t, h.ctx, `Number(document.getElementById("bench").dataset.asks)`)
			if on < open {
				t.Errorf("%s %s %s: %d questions are open about it, the page asks %d", r.Position, r.Value, r.Unit, open, on)
			}
			for n := 0; on > 0 && n < 12; n++ {
				// Once in three each: it stands, it is corrected, it is read again.
				answer := []string{"keep", "corrected", "repeat"}[(said["keep"]+said["corrected"]+said["repeat"])%3]
				if n > 0 {
					answer = "keep"
				}
				h.keys(map[string]string{"keep": "/7", "corrected": "/8", "repeat": "/9"}[answer])
				said[answer]++
				pressed++
				h.wait(fmt.Sprintf(`Number(document.getElementById("bench").dataset.answered) === %d`, pressed), 10*time.Second)
				if answer != "keep" {
					again := *r
					again.Position = h.at()
					if again.Position == r.Position {
						again.Value, again.Unit, _ = strings.Cut(k.was[i], " ")
					} else if p := h.lastAt(); p != "" {
						again.Value, again.Unit, _ = strings.Cut(p, " ")
					}
					h.enter(&again)
					h.seen()
				}
				h.wait(`document.getElementById("bench").dataset.unsent === "0"`, 10*time.Second)
				on = ask[int](t, h.ctx, `Number(document.getElementById("bench").dataset.asks)`)
			}
		}
		for _, x := range k.slips {
			all++
			byPage := questioned[x.Position] || x.Other != "" && questioned[x.Other]
			bySheet := aboutNumber(full, x.Position) || x.Other != "" && aboutNumber(full, x.Other)
			if byPage {
				asked++
			}
			if bySheet {
				whole++
			}
			if bySheet && !byPage {
				t.Errorf("%s at %s: %s for %s is asked about on the whole sheet, not at the bench", x.Kind, x.Position, x.Is, x.Was)
			}
		}
		j, err := f.bench.Judge(ctx, k.id)
		if err != nil {
			t.Fatal(err)
		}
		logged := map[string]int{}
		for i := range j.Job.Lines {
			if l := &j.Job.Lines[i]; l.Kind == entry.Answered {
				logged[l.Text]++
			}
		}
		for a, n := range said {
			answers[a] += n
			if logged[a] != n {
				t.Errorf("%s: %d answers %q were given, %d are in the log", k.id, n, a, logged[a])
			}
		}
	}
	fmt.Printf("bench: %d slips typed, %d asked about when they were typed (%.1f %%), %d by a judgement of the whole sheet (%.1f %%); answers in the log: keep %d, corrected %d, repeat %d\n",
		all, asked, 100*float64(asked)/float64(all), whole, 100*float64(whole)/float64(all), answers["keep"], answers["corrected"], answers["repeat"])
	if asked < whole || asked*2 < all || answers["keep"]*answers["corrected"]*answers["repeat"] == 0 {
		t.Errorf("%d of %d were asked about; answers %v", asked, all, answers)
	}
}

// lastAt is the last reading of the armed position as the page shows it.
func (h *hand) lastAt() string {
	return ask[string](h.t, h.ctx, `(document.querySelector("#b-last li:not(.none) .num")?.textContent ?? "").replace("\u202f", " ").replace("−", "-")`)
}
