package web

import (
	"bytes"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"fettle/internal/facts/job"
)

// sent fills a form of one of these pages and sends it.
func (f *shopFloor) sent(path, act string, pairs ...string) (to string, page string, code int) {
	f.t.Helper()
	in := url.Values{"act": {act}, "key": {key(f.t, f.get(path).Body.String())}, "mark": {"point"}, "person": {"p-7a03"}}
	for i := 0; i < len(pairs); i += 2 {
		in.Add(pairs[i], pairs[i+1])
	}
	w := f.post(path, in)
	return w.Header().Get("Location"), w.Body.String(), w.Code
}

const aJob = "/job/2026-100"

// fresh opens a job of its own on the demonstration's family.
func (f *shopFloor) fresh() {
	f.t.Helper()
	w := f.post("/open", url.Values{"key": {key(f.t, f.get("/open").Body.String())}, "job": {"2026-100"}, "title": {"A fresh one"}, "family": {"corran-24-5"}, "person": {"p-7a03"}})
	if w.Code != http.StatusSeeOther {
		f.t.Fatal(w.Code, w.Body.String())
	}
}

// Law: an engine goes from the door to the bench by forms alone: noted, signed,
// drained behind a gate, a low cylinder marked, taken out behind a gate, cleaned,
// tested; and every line stands in the log.
func TestFromTheDoorToTheBench(t *testing.T) {
	f := open(t)
	f.fresh()
	stored := func(path, act, says string, pairs ...string) {
		t.Helper()
		to, page, code := f.sent(path, act, pairs...)
		if code != http.StatusSeeOther {
			t.Fatalf("%s: %d %s", act, code, regexp.MustCompile(`role="alert">[^<]*`).FindAllString(page, -1))
		}
		wants(t, f.get(to), http.StatusOK, "Stored as entry", says)
	}
	asked := func(path, act, says string, pairs ...string) {
		t.Helper()
		_, page, code := f.sent(path, act, pairs...)
		if code != http.StatusUnprocessableEntity || !strings.Contains(page, says) {
			t.Errorf("%s: %d, and not %q", act, code, says)
		}
	}
	in, strip, clean := aJob+"/intake", aJob+"/strip", aJob+"/clean"
	stored(in, "history", "123456", "km", "123456", "symptoms", "knocks when hot")
	stored(in, "item", "Bolts in a jar", "name", "Bolts in a jar", "count", "214")
	stored(in, "said", "It had a sensor", "text", "It had a sensor")
	stored(in, "saw", "No sensor", "text", "No sensor", "part", "block")
	digest := regexp.MustCompile(`name="digest" value="([0-9a-f]{64})"`).FindStringSubmatch(f.get(in).Body.String())
	stored(in, "sign", "Signed by A. Customer (customer)", "name", "A. Customer", "role", "customer", "digest", digest[1])
	stored(in, "item", "The list has changed since", "name", "Starter", "count", "1")
	asked(in, "drained", "Still open: oil sample and filter before draining", "amount", "4 l")
	stored(in, "drained", "Passed open: came dry", "amount", "none", "reason", "came dry")
	stored(in, "panel-compression", "<strong>low</strong>", "test", "compression", "unit", "bar", "v-1", "12.1", "v-2", "12.3", "v-3", "9.6", "v-4", "12.0", "v-5", "12.2")
	asked(in, "panel-leak", "not a plain number", "test", "leak", "unit", "%", "v-1", "4", "v-2", "1e3")
	wants(t, f.get(in), http.StatusOK, `<span class="num">4</span>`) // what could be read is stored
	asked(strip, "tag-rod", "Still open: Side float of the rods", "part", "rod/3")
	stored(strip, "override-rod-float", "the rods were out", "gate", "rod-float", "reason", "the rods were out when it came")
	labels := job.Labels("2026-100", []string{"rod/2", "rod/3"})
	asked(strip, "tag-rod", "belongs to rod/2", "part", "rod/3", "tag", labels["rod/2"])
	stored(strip, "tag-rod", "Carries", "part", "rod/3", "tag", "http://shop/l/2026-100/"+labels["rod/2"], "reason", "lay in the other tray")
	asked(clean+"/head", "cleaned", "Hard stop", "part", "head", "process", "hot-caustic", "reason", "we always do")
	stored(clean+"/head", "cleaned", "Ultrasonic bath, neutral", "part", "head", "process", "ultrasonic", "checks", "white-cloth")
	stored(clean+"/crank", "tested", "zone C5, two lines", "part", "crank", "method", "magnetic", "result", "recordable", "at-1", "c5", "says-1", "two lines")
	log := f.get(aJob + "/log")
	wants(t, log, http.StatusOK, "Bolts in a jar", "A. Customer", "gate overridden", "lay in the other tray", "two lines")
	if strings.Contains(log.Body.String(), "not understood") {
		t.Error("the log does not understand its own entries")
	}
}

// Law: a label, however it is scanned, opens the first place of its part that is
// still to be measured; one of nobody is said.
func TestScannedLabels(t *testing.T) {
	f := open(t)
	f.fresh()
	l := job.Labels("2026-100", []string{"rod/3"})["rod/3"]
	for _, path := range []string{aJob + "/find?label=" + l, aJob + "/find?label=" + url.QueryEscape("http://shop.lan:8430/l/2026-100/"+strings.ToLower(l)), "/l/2026-100/" + l} {
		w := f.get(path)
		if to := w.Header().Get("Location"); !regexp.MustCompile(`^/job/2026-100/at/rod/[a-z-]+/3`).MatchString(to) {
			t.Errorf("%s leads to %q", path, to)
		}
	}
	w := f.get(aJob + "/find?label=K7M3QQ")
	wants(t, f.get(w.Header().Get("Location")), http.StatusOK, "K7M3QQ")
	for _, paper := range []string{"a4", "roll", "small"} {
		if w := f.get(aJob + "/labels.pdf?of=rod&paper=" + paper); w.Code != http.StatusOK || !bytes.HasPrefix(w.Body.Bytes(), []byte("%PDF")) {
			t.Errorf("%s: %d", paper, w.Code)
		}
	}
	wants(t, f.get(aJob+"/labels.pdf?paper=a0"), http.StatusNotFound, "a0")
}

// Law: what is typed from paper counts as read when the sheet was written, and
// is marked; what cannot be read comes back alone.
func TestTypedFromPaper(t *testing.T) {
	f := open(t)
	path := "/job/2026-014/transcribe/crank"
	if w := f.get("/job/2026-014/paper.pdf?part=crank&paper=Letter"); w.Code != http.StatusOK || !bytes.HasPrefix(w.Body.Bytes(), []byte("%PDF")) {
		t.Fatal(w.Code)
	}
	wants(t, f.get(path+"?version=00000000"), http.StatusOK, "bears version 00000000")
	pair := []string{"state", "after(grind)", "gauge-crank/main-journal", "mic-50-75", "master-crank/main-journal", "rod-50", "part_temp", "20", "gauge_temp", "20"}
	a := "v-crank/main-journal/1/1/T"
	form := f.get(path).Body.String()
	if !strings.Contains(form, a) {
		a = regexp.MustCompile(`v-crank/main-journal/[^"]+`).FindString(form)
	}
	_, page, code := f.sent(path, "paper", append(pair, a, "57.74", "when", "2099-01-01 10:00")...)
	if code != http.StatusUnprocessableEntity || !strings.Contains(page, "still to come") {
		t.Errorf("a sheet from the future: %d", code)
	}
	to, page, code := f.sent(path, "paper", append(pair, a, "57.741", "when", "2026-11-23 16:05")...)
	if code != http.StatusSeeOther {
		t.Fatalf("%d %s", code, regexp.MustCompile(`role="alert">[^<]*`).FindAllString(page, -1))
	}
	wants(t, f.get(to), http.StatusOK, "Stored as entry")
	j, err := f.bench.Judge(t.Context(), "2026-014")
	if err != nil {
		t.Fatal(err)
	}
	r := j.Job.Readings[len(j.Job.Readings)-1]
	if !r.Transcript || r.Time != 1795449900000000 || r.Value != "57.741" || r.State != "after(grind)" {
		t.Errorf("%+v at %d", r.ReadingV1, r.Time)
	}
}
