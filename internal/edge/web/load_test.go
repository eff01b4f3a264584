package web

import (
	"context"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"net"
	"net/http"
	"net/url"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"fettle/internal/edge/bench"
	"fettle/internal/edge/store"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
)

// mostRead is how many readings of the demonstration's job a copy keeps.
const mostRead = 1200

// copies makes the demonstration's job n times, each under its own id and with
// keys of its own, one batch of entries a job; the first batch is the shop's.
func copies(t testing.TB, n int) [][]entry.Entry {
	t.Helper()
	all, err := made()
	if err != nil {
		t.Fatal(err)
	}
	var people, list []entry.Entry
	kept, read := map[string]bool{"": true}, 0
	for _, e := range all {
		var about struct{ Target string }
		if err := json.Unmarshal(e.Payload, &about); err != nil {
			t.Fatal(err)
		}
		switch {
		case e.Stream == entry.ShopStream:
			people = append(people, e)
			continue
		case e.Kind == entry.Reading && read >= mostRead, !kept[about.Target]:
			continue
		case e.Kind == entry.Reading:
			read++
		}
		kept[e.Key.String()] = true
		list = append(list, e)
	}
	out := [][]entry.Entry{people}
	for i := range n {
		id := fmt.Sprintf("load-%03d", i)
		swap, batch := map[string]string{}, []entry.Entry(nil)
		for _, e := range list {
			was := e.Key.String()
			binary.BigEndian.PutUint32(e.Key[:4], uint32(i+1))
			swap[was] = e.Key.String()
			e.Stream = entry.JobStream(id)
			var p map[string]any
			if err := json.Unmarshal(e.Payload, &p); err != nil {
				t.Fatal(err)
			}
			if e.Kind == entry.JobOpened {
				p["job"] = id
			}
			if to, ok := p["target"].(string); ok {
				p["target"] = swap[to]
			}
			if e.Payload, err = entry.Canonical(p); err != nil {
				t.Fatal(err)
			}
			batch = append(batch, e)
		}
		out = append(out, batch)
	}
	return out
}

// BenchmarkPages holds 100 jobs of 1,200 readings while 8 clients ask for
// 5 pages a second each, of random jobs and kinds, and one reading is written
// each second. It reports, for each kind of page, the time from asking to the
// last byte, in milliseconds.
func BenchmarkPages(b *testing.B) { underLoad(b, 1) }

// BenchmarkPagesEightWriters is the same with 8 readings written each second,
// one by each of 8 people.
func BenchmarkPagesEightWriters(b *testing.B) { underLoad(b, 8) }

func underLoad(b *testing.B, writers int) {
	lib, err := shelf()
	if err != nil {
		b.Fatal(err)
	}
	ctx := context.Background()
	st, err := store.Open(ctx, b.TempDir(), time.Now)
	if err != nil {
		b.Fatal(err)
	}
	defer st.Close()
	const jobs = 100
	for _, batch := range copies(b, jobs) {
		if _, err := st.Append(ctx, batch); err != nil {
			b.Fatal(err)
		}
	}
	bn := bench.New(st, lib, time.Now)
	start := time.Now()
	all, err := bn.Jobs(ctx)
	if err != nil || len(all) != jobs || all[0].Problem != nil || all[0].Tally.Readings < 1000 {
		b.Fatalf("%d jobs of %d readings: %v", len(all), all[0].Tally.Readings, err)
	}
	warm := time.Since(start)
	var m runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&m)
	h, err := New(Config{Bench: bn, Failed: func(err error) { b.Error(err) }})
	if err != nil {
		b.Fatal(err)
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		b.Fatal(err)
	}
	srv := Server(h)
	go func() { _ = srv.Serve(l) }()
	defer srv.Close()
	b.ResetTimer()
	for range b.N {
		pages, writes := load(b, "http://"+l.Addr().String(), jobs, writers, 10*time.Second)
		at := func(list []time.Duration, q float64) float64 {
			return float64(list[int(q*float64(len(list)-1))].Microseconds()) / 1000
		}
		var times []time.Duration
		for kind, list := range pages {
			slices.Sort(list)
			times = append(times, list...)
			for _, q := range []struct {
				name string
				q    float64
			}{{"p50", 0.50}, {"p90", 0.90}, {"p99", 0.99}, {"max", 1}} {
				b.ReportMetric(at(list, q.q), kind+"-"+q.name+"-ms")
			}
		}
		slices.Sort(times)
		slices.Sort(writes)
		b.ReportMetric(at(times, 0.50), "p50-ms")
		b.ReportMetric(at(times, 0.99), "p99-ms")
		b.ReportMetric(at(times, 1), "max-ms")
		b.ReportMetric(at(writes, 0.50), "write-p50-ms")
		b.ReportMetric(at(writes, 0.99), "write-p99-ms")
		b.ReportMetric(at(writes, 1), "write-max-ms")
		b.ReportMetric(float64(len(times)), "pages")
		b.ReportMetric(warm.Seconds()*1000/jobs, "judge-ms")
		b.ReportMetric(float64(m.HeapAlloc)/(1<<20), "heap-MB")
		b.ReportMetric(0, "ns/op")
	}
}

// asked are the addresses within a job by the kind of page.
func asked() []struct{ kind, path string } {
	return []struct{ kind, path string }{
		{"job", ""}, {"job", ""}, {"part", "/part/block"}, {"part", "/part/valve"}, {"part", "/part/crank"},
		{"value", "/at/block/bore/5/H2/T"}, {"value", "/at/block/bore-out-of-round/5/H2"}, {"value", "/at/valve/stem/3/I1/top"},
		{"findings", "/findings"}, {"findings", "/questions"}, {"findings", "/targets"}, {"log", "/log"},
	}
}

// load asks for pages and writes readings for a while, and returns the times of
// the pages by kind, and of the writes.
func load(b *testing.B, base string, jobs, writers int, long time.Duration) (pages map[string][]time.Duration, writes []time.Duration) {
	pages = map[string][]time.Duration{}
	var mu sync.Mutex
	var wg sync.WaitGroup
	end := time.Now().Add(long)
	for c := range 8 {
		wg.Go(func() {
			reader(b, base, jobs, c, end, func(kind string, d time.Duration) {
				mu.Lock()
				defer mu.Unlock()
				pages[kind] = append(pages[kind], d)
			})
		})
	}
	for c := range writers {
		wg.Go(func() {
			writer(b, base, jobs, c, end, func(d time.Duration) {
				mu.Lock()
				defer mu.Unlock()
				writes = append(writes, d)
			})
		})
	}
	wg.Wait()
	return pages, writes
}

// reader asks for five pages a second as people do, who do not know of one
// another: at random, by the law of chance arrivals (Poisson), so that several
// now and then ask at once.
func reader(b *testing.B, base string, jobs, c int, end time.Time, took func(string, time.Duration)) {
	client := &http.Client{Transport: &http.Transport{}}
	chance := rand.New(rand.NewPCG(1, uint64(c)))
	all := asked()
	const apart = 200 * time.Millisecond
	due := time.Now()
	for {
		due = due.Add(time.Duration(chance.ExpFloat64() * float64(apart)))
		time.Sleep(time.Until(due))
		if !time.Now().Before(end) {
			return
		}
		to := all[chance.IntN(len(all))]
		p := fmt.Sprintf("/job/load-%03d%s", chance.IntN(jobs), to.path)
		if chance.IntN(11) == 0 {
			to.kind, p = "shop", "/"
		}
		start := time.Now()
		r, err := client.Get(base + p)
		if err != nil {
			b.Error(err)
			return
		}
		_, err = io.Copy(io.Discard, r.Body)
		r.Body.Close()
		if err != nil || r.StatusCode != http.StatusOK {
			b.Errorf("%s: %d %v", p, r.StatusCode, err)
			return
		}
		took(to.kind, time.Since(start))
	}
}

// writer writes one reading a second, each into another job.
func writer(b *testing.B, base string, jobs, c int, end time.Time, took func(time.Duration)) {
	client := &http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	time.Sleep(time.Duration(c) * 120 * time.Millisecond)
	tick := time.NewTicker(time.Second)
	defer tick.Stop()
	for i := 0; time.Now().Before(end); i++ {
		form := url.Values{"act": {"reading"}, "key": {fmt.Sprintf("%030x%02x", time.Now().UnixNano(), c)}, "mark": {"."}, "value": {fmt.Sprintf("83.0%d", 10+i%10)},
			"unit": {"mm"}, "gauge": {"bore-50-150"}, "master": {"mic-75-100"}, "state": {job.Found}, "person": {"p-7a03"}}
		start := time.Now()
		r, err := client.Post(fmt.Sprintf("%s/job/load-%03d/at/block/bore/5/H2/T", base, (i*7+c*11)%jobs), "application/x-www-form-urlencoded", strings.NewReader(form.Encode()))
		if err != nil {
			b.Error(err)
			return
		}
		r.Body.Close()
		if r.StatusCode != http.StatusSeeOther {
			b.Errorf("a reading was answered with %d", r.StatusCode)
			return
		}
		took(time.Since(start))
		<-tick.C
	}
}
