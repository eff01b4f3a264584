package web

import (
	"context"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"io"
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

// copies makes the demonstration's job n times, each under its own id and with
// keys of its own.
func copies(t testing.TB, n int) []entry.Entry {
	t.Helper()
	list, err := made()
	if err != nil {
		t.Fatal(err)
	}
	var out []entry.Entry
	for _, e := range list {
		if e.Stream == entry.ShopStream {
			out = append(out, e)
		}
	}
	for i := range n {
		id := fmt.Sprintf("load-%03d", i)
		swap := map[string]string{}
		for _, e := range list {
			if e.Stream == entry.ShopStream {
				continue
			}
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
			out = append(out, e)
		}
	}
	return out
}

// BenchmarkPages holds 100 jobs of some 1,200 readings while 8 clients ask for
// 5 pages a second each and one reading is written each second. It reports the
// times of pages in milliseconds.
func BenchmarkPages(b *testing.B) {
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
	if _, err := st.Append(ctx, copies(b, jobs)); err != nil {
		b.Fatal(err)
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
		times, writes := load(b, "http://"+l.Addr().String(), jobs, 10*time.Second)
		slices.Sort(times)
		slices.Sort(writes)
		at := func(list []time.Duration, q float64) float64 {
			return float64(list[int(q*float64(len(list)-1))].Microseconds()) / 1000
		}
		b.ReportMetric(at(times, 0.50), "p50-ms")
		b.ReportMetric(at(times, 0.99), "p99-ms")
		b.ReportMetric(at(times, 1), "max-ms")
		b.ReportMetric(at(writes, 0.50), "write-p50-ms")
		b.ReportMetric(at(writes, 1), "write-max-ms")
		b.ReportMetric(float64(len(times)), "pages")
		b.ReportMetric(warm.Seconds()*1000/jobs, "judge-ms")
		b.ReportMetric(float64(m.HeapAlloc)/(1<<20), "heap-MB")
		b.ReportMetric(0, "ns/op")
	}
}

// load asks for pages and writes readings for a while.
func load(b *testing.B, base string, jobs int, long time.Duration) (pages, writes []time.Duration) {
	var mu sync.Mutex
	var wg sync.WaitGroup
	end := time.Now().Add(long)
	paths := []string{"", "/part/block", "/part/valve", "/at/block/bore/5/H2/T", "/findings", "/questions", "/targets", "/part/crank", "/at/block/bore-out-of-round/5/H2", "/log"}
	for c := range 8 {
		wg.Add(1)
		go func() {
			defer wg.Done()
			client := &http.Client{Transport: &http.Transport{}}
			tick := time.NewTicker(200 * time.Millisecond)
			defer tick.Stop()
			time.Sleep(time.Duration(c) * 25 * time.Millisecond)
			for i := c; time.Now().Before(end); i++ {
				p := fmt.Sprintf("/job/load-%03d%s", (i*13)%jobs, paths[i%len(paths)])
				if i%11 == 0 {
					p = "/"
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
				d := time.Since(start)
				mu.Lock()
				pages = append(pages, d)
				mu.Unlock()
				<-tick.C
			}
		}()
	}
	client := &http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	tick := time.NewTicker(time.Second)
	defer tick.Stop()
	for i := 0; time.Now().Before(end); i++ {
		form := url.Values{"act": {"reading"}, "key": {fmt.Sprintf("%032x", time.Now().UnixNano())}, "mark": {"."}, "value": {fmt.Sprintf("83.0%d", 10+i%10)},
			"unit": {"mm"}, "gauge": {"bore-50-150"}, "master": {"mic-75-100"}, "state": {job.Found}, "person": {"p-7a03"}}
		start := time.Now()
		r, err := client.Post(fmt.Sprintf("%s/job/load-%03d/at/block/bore/5/H2/T", base, (i*7)%jobs), "application/x-www-form-urlencoded", strings.NewReader(form.Encode()))
		if err != nil {
			b.Fatal(err)
		}
		r.Body.Close()
		if r.StatusCode != http.StatusSeeOther {
			b.Fatalf("a reading was answered with %d", r.StatusCode)
		}
		writes = append(writes, time.Since(start))
		<-tick.C
	}
	wg.Wait()
	return pages, writes
}
