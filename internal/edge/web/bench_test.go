package web

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"strings"
	"testing"
	"time"

	"fettle/internal/show/view"
)

const atBore = "block/bore/4/H2/T"

// typed is a batch of readings of one position as the page sends them.
func typed(device string, from int, values ...string) string {
	var items []string
	for i, v := range values {
		items = append(items, fmt.Sprintf(`{"n":%d,"key":"%032x","kind":"reading","time":1790000000000000,"person":"p-7a03","position":%q,"value":%q,"unit":"mm","mark":".",
"gauge":"bore-50-150","master":"mic-75-100","condition":["torque-plate","caps-tight"],"seen":2}`, from+i, 77000+from+i, atBore, v))
	}
	return fmt.Sprintf(`{"device":%q,"person":"p-7a03","component":"block","state":"found","at":%q,"items":[%s]}`, device, atBore, strings.Join(items, ","))
}

func (f *shopFloor) enter(body string, header ...string) (told, int) {
	f.t.Helper()
	w := f.do(http.MethodPost, "/job/2026-014/bench", strings.NewReader(body), append([]string{"Content-Type", "application/json"}, header...)...)
	var out told
	if err := json.Unmarshal(w.Body.Bytes(), &out); err != nil {
		f.t.Fatalf("%v: %.300s", err, w.Body)
	}
	return out, w.Code
}

// Law: what the page sends comes back with its receipt, the position as it now
// stands, and what is asked; sent again it is the same entry.
func TestEnterIsAnswered(t *testing.T) {
	f := open(t)
	out, code := f.enter(typed("d-1", 1, "83.031", "38.012", "83,0.1"))
	if code != http.StatusOK || len(out.Items) != 3 || len(out.Slots) != 1 {
		t.Fatalf("status %d: %+v", code, out)
	}
	if a, b, c := out.Items[0], out.Items[1], out.Items[2]; a.Seq == 0 || b.Seq != a.Seq+1 || c.Seq != 0 || len(c.Refused) == 0 || len(c.Perhaps) == 0 || len(a.Head) != 64 {
		t.Errorf("%+v", out.Items)
	}
	if s := out.Slots[0]; s.ID != atBore || s.Verdict == "" || s.Value == "" || s.N != 4 || len(s.Last) != 3 || !strings.HasPrefix(s.Last[0].Text, "38.012") || !strings.Contains(string(s.Bar), "<svg") {
		t.Errorf("%+v", s)
	}
	asked := false
	for _, q := range out.Asked {
		asked = asked || q.Position == atBore && q.Key == out.Items[1].Reading && q.Text != ""
	}
	if !asked || len(out.Marks) == 0 {
		t.Errorf("asked %v, marks %v", out.Asked, out.Marks)
	}
	again, _ := f.enter(typed("d-1", 1, "83.031"))
	if !again.Items[0].Again || again.Items[0].Seq != out.Items[0].Seq {
		t.Errorf("sent again: %+v", again.Items)
	}
}

// Law: a batch that cannot be read is refused in words, as JSON, and stores
// nothing.
func TestEnterRefuses(t *testing.T) {
	f := open(t)
	before := f.seq()
	for name, c := range map[string]struct {
		body   string
		status int
		header []string
	}{
		"no JSON":      {"hello", http.StatusUnprocessableEntity, nil},
		"a form":       {typed("d-1", 1, "83.031"), http.StatusUnprocessableEntity, []string{"Content-Type", "text/plain"}},
		"a stranger":   {typed("d-1", 1, "83.031"), http.StatusForbidden, []string{"Origin", "https://elsewhere.test", "Sec-Fetch-Site", "cross-site"}},
		"no device":    {typed("", 1, "83.031"), http.StatusUnprocessableEntity, nil},
		"a field more": {strings.Replace(typed("d-1", 1, "83.031"), `"seen"`, `"sen"`, 1), http.StatusUnprocessableEntity, nil},
		"a bad key":    {strings.Replace(typed("d-1", 1, "83.031"), `"key":"0`, `"key":"x`, 1), http.StatusUnprocessableEntity, nil},
		"another mark": {strings.Replace(typed("d-1", 1, "83.031"), `"mark":"."`, `"mark":"x"`, 1), http.StatusOK, nil},
	} {
		w := f.do(http.MethodPost, "/job/2026-014/bench", strings.NewReader(c.body), append([]string{"Content-Type", "application/json"}, c.header...)...)
		if w.Code != c.status || name != "a stranger" && w.Header().Get("Content-Type") != "application/json" {
			t.Errorf("%s: status %d, want %d: %.200s", name, w.Code, c.status, w.Body)
		}
	}
	if f.seq() != before {
		t.Errorf("%d entries were stored", f.seq()-before)
	}
}

func (f *shopFloor) seq() int64 {
	f.t.Helper()
	j, err := f.bench.Judge(f.t.Context(), "2026-014")
	if err != nil {
		f.t.Fatal(err)
	}
	return j.Job.Seq
}

// TestSheet holds the list of positions to what the page needs.
func TestSheet(t *testing.T) {
	f := open(t)
	var v view.BenchSheet
	w := f.get("/job/2026-014/bench/block/sheet?person=p-7a03")
	if err := json.Unmarshal(w.Body.Bytes(), &v); err != nil {
		t.Fatal(err)
	}
	if len(v.Slots) < 200 || v.At < -1 || v.Person != "p-7a03" || len(v.People) != 2 || len(v.Gauges) < 10 || len(v.Parts) < 10 || v.Way != "hand" ||
		!strings.Contains(string(v.Drawing), "<svg") || v.Say["stored"] == "" || len(v.Signs) != 5 {
		t.Fatalf("%d slots, at %d, %d parts, way %q", len(v.Slots), v.At, len(v.Parts), v.Way)
	}
	for i := range v.Slots {
		s := &v.Slots[i]
		if s.Name == "" || !s.Check && (s.Unit == "" || len(s.Units) == 0) || v.Marks[s.ID] != s.Verdict {
			t.Errorf("%+v", s)
		}
	}
	s := v.Slots[0]
	if s.ID != "block/bore/1/H1/T" || s.Gauge != "bore-50-150" || s.Master != "mic-75-100" || s.Low == "" || s.High == "" || s.Decimals != 3 || len(s.Needs) == 0 {
		t.Errorf("%+v", s)
	}
	w = f.do(http.MethodPost, "/job/2026-014/bench/block/order", strings.NewReader(`{"person":"p-7a03","way":"back","first":["block/tunnel"]}`), "Content-Type", "application/json")
	if err := json.Unmarshal(w.Body.Bytes(), &v); err != nil || w.Code != http.StatusOK && w.Code != http.StatusUnprocessableEntity {
		t.Fatal(w.Code, err)
	}
}

// Law: a stream tells of a change within a second; it outlives the server's
// write timeout; a reader who has gone leaves nothing behind.
func TestLive(t *testing.T) {
	f := open(t)
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	srv := Server(f.h)
	srv.WriteTimeout, srv.ReadTimeout = 300*time.Millisecond, 300*time.Millisecond
	go func() { _ = srv.Serve(l) }()
	t.Cleanup(func() { srv.Close() })
	r, err := http.Get("http://" + l.Addr().String() + "/job/2026-014/live")
	if err != nil || r.Header.Get("Content-Type") != "text/event-stream" {
		t.Fatal(err, r.Header)
	}
	defer r.Body.Close()
	events := make(chan change, 8)
	go func() {
		defer close(events)
		in := bufio.NewScanner(r.Body)
		for in.Scan() {
			if text, ok := strings.CutPrefix(in.Text(), "data: "); ok {
				var c change
				if json.Unmarshal([]byte(text), &c) == nil {
					events <- c
				}
			}
		}
	}()
	first := <-events
	time.Sleep(700 * time.Millisecond) // longer than the server's own deadlines
	began := time.Now()
	f.enter(typed("d-7", 1, "83.031"))
	select {
	case c, ok := <-events:
		if !ok || c.Seq != first.Seq+1 || len(c.Lines) != 1 || c.Lines[0].About != atBore || c.Lines[0].Device != "d-7" || c.Lines[0].Who != "p-7a03" {
			t.Errorf("%+v after %+v, still open %v", c, first, ok)
		}
		if took := time.Since(began); took > time.Second {
			t.Errorf("told after %v", took)
		}
	case <-time.After(3 * time.Second):
		t.Fatal("nobody was told")
	}
	wants(t, f.get("/job/none/live"), http.StatusNotFound)
}

// Law: a reader who stops reading is let go within the deadline of an event,
// and the writer never waits.
func TestLiveStalled(t *testing.T) {
	f := open(t)
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	srv := Server(f.h)
	go func() { _ = srv.Serve(l) }()
	t.Cleanup(func() { srv.Close() })
	c, err := net.Dial("tcp", l.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	_ = c.(*net.TCPConn).SetReadBuffer(1 << 10)
	fmt.Fprintf(c, "GET /job/2026-014/live HTTP/1.1\r\nHost: localhost\r\n\r\n")
	if _, err := io.ReadFull(c, make([]byte, 200)); err != nil {
		t.Fatal(err)
	}
	worst := time.Duration(0)
	for i := range 40 {
		began := time.Now()
		f.enter(typed("d-8", 10+i, "83.031"))
		worst = max(worst, time.Since(began))
	}
	if worst > 2*time.Second {
		t.Errorf("a write waited %v behind a reader who does not read", worst)
	}
}

// Law: the worker keeps every script of the page under an address that its
// bytes give, and the page asks for those.
func TestShell(t *testing.T) {
	f := open(t)
	worker := f.get("/worker.js").Body.String()
	page := f.get("/job/2026-014/bench/block").Body.String()
	_, list, ok := strings.Cut(worker, "const SHELL = ")
	if !ok {
		t.Fatalf("%.200s", worker)
	}
	list, _, _ = strings.Cut(list, ";")
	var shell []string
	if err := json.Unmarshal([]byte(list), &shell); err != nil || len(shell) < 8 {
		t.Fatal(shell, err)
	}
	main := ""
	for _, s := range shell {
		w := f.get(s)
		wants(t, w, http.StatusOK)
		if !strings.Contains(w.Header().Get("Cache-Control"), "immutable") {
			t.Errorf("%s may not be kept", s)
		}
		if strings.HasSuffix(s, "/bench.js") {
			main = s
			for _, line := range strings.Split(w.Body.String(), "\n") {
				if _, from, ok := strings.Cut(line, ` from "./`); ok {
					name, _, _ := strings.Cut(from, `"`)
					if want := strings.TrimSuffix(s, "bench.js") + name; !strings.Contains(list, want) {
						t.Errorf("bench.js wants %s, which is not kept", want)
					}
				}
			}
		}
	}
	if main == "" || !strings.Contains(page, `src="`+main+`"`) {
		t.Errorf("the page asks for another script than %s", main)
	}
}

func (f *shopFloor) sheet(query string) (out view.BenchSheet) {
	f.t.Helper()
	w := f.get("/job/2026-014/bench/block/sheet?" + query)
	if err := json.Unmarshal(w.Body.Bytes(), &out); err != nil || w.Code != http.StatusOK {
		f.t.Fatalf("%d %v: %.200s", w.Code, err, w.Body)
	}
	return out
}

// Law: read blind, a sheet tells nothing of what others read until one has read
// oneself, and offers only what others read; the reading then stands beside
// theirs.
func TestBlindSheetHidesOthers(t *testing.T) {
	f := open(t)
	seeing := f.sheet("person=p-5c1e&state=found")
	s := f.sheet("person=p-5c1e&state=found&blind=yes")
	told := map[string]view.BenchSlot{}
	for _, x := range seeing.Slots {
		told[x.ID] = x
	}
	hidden := 0
	for _, x := range s.Slots {
		was := told[x.ID]
		if was.N == 0 {
			t.Errorf("%s is offered, and nobody read it", x.ID)
		}
		if len(was.Last) > 0 && was.Last[0].Who == "AK" {
			hidden++
			if x.Value != "" || x.Bar != "" || len(x.Last) > 0 || x.Verdict != "unmeasured" || len(x.Questions) > 0 {
				t.Errorf("%s tells %+v", x.ID, x)
			}
		}
	}
	for id, m := range s.Marks {
		if m != "" {
			t.Errorf("the drawing tells %s at %s", m, id)
		}
	}
	if hidden < 20 || s.At != 0 || len(seeing.Slots) < len(s.Slots) {
		t.Fatalf("%d hidden of %d, begins at %d", hidden, len(s.Slots), s.At)
	}
	body := strings.NewReplacer("p-7a03", "p-5c1e").Replace(typed("d-9", 1, "83.017"))
	if out, _ := f.enter(body); out.Items[0].Seq == 0 || len(out.Items[0].Others) > 0 {
		t.Fatalf("%+v", out.Items)
	}
	for _, x := range f.sheet("person=p-5c1e&state=found&blind=yes&only=" + atBore).Slots {
		if x.Value == "" || len(x.Last) < 2 {
			t.Errorf("after reading it oneself: %+v", x)
		}
	}
	wants(t, f.get("/gauge/bore-50-150"), http.StatusOK, `id="twice"`)
	wants(t, f.get("/job/2026-014/questions"), http.StatusOK, "?blind=yes")
	wants(t, f.get("/job/2026-014/bench/block?person=p-5c1e&blind=yes"), http.StatusOK, "Read blind")
	wants(t, f.get("/job/2026-014/bench/block?person=p-5c1e&blind=yes&state=after(hone)"), http.StatusNotFound, "nothing to read blind")
}
