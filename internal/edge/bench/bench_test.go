package bench

import (
	"context"
	"encoding/binary"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"fettle/internal/base/fault"
	"fettle/internal/edge/store"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/facts/shop"
	"fettle/internal/judge/assess"
	"fettle/internal/judge/compute"
	"fettle/internal/know/library"
)

const data = "../../../data"

// shelf is the real knowledge with the smallest family, read once.
var shelf = sync.OnceValues(func() (*library.Library, error) {
	files := library.Files{}
	for _, dir := range []string{"", "words"} {
		list, err := os.ReadDir(filepath.Join(data, dir))
		if err != nil {
			return nil, err
		}
		for _, f := range list {
			if name := filepath.ToSlash(filepath.Join(dir, f.Name())); !f.IsDir() && (strings.HasSuffix(name, ".yaml") || strings.HasSuffix(name, ".csv")) {
				if files[name], err = os.ReadFile(filepath.Join(data, name)); err != nil {
					return nil, err
				}
			}
		}
	}
	lib, faults := library.Read(files, compute.Signature)
	if len(faults) > 0 {
		return nil, faults
	}
	text, err := os.ReadFile(filepath.Join(data, "family/brae-05-1.yaml"))
	if err != nil {
		return nil, err
	}
	if _, faults := lib.Family("family/brae-05-1.yaml", text); len(faults) > 0 {
		return nil, faults
	}
	return lib, nil
})

func key(n int) (k entry.Key) {
	k[0] = 9
	binary.BigEndian.PutUint32(k[12:], uint32(n))
	return k
}

// open makes a bench with one person, two gauges and one job.
func open(t testing.TB) (*Bench, *store.Store) {
	t.Helper()
	lib, err := shelf()
	if err != nil {
		t.Fatal(err)
	}
	ctx := context.Background()
	var mu sync.Mutex
	now := time.Date(2026, 11, 24, 9, 0, 0, 0, time.UTC)
	clock := func() time.Time { mu.Lock(); defer mu.Unlock(); now = now.Add(time.Second); return now }
	st, err := store.Open(ctx, t.TempDir(), clock)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { st.Close() })
	b := New(st, lib, clock)
	var list []entry.Entry
	for i, p := range []struct {
		kind    entry.Kind
		payload any
	}{{entry.PersonKnown, shop.PersonV1{Person: "p-1", Initials: "AK"}}, {entry.GaugeKnown, shop.GaugeV1{Gauge: "mic", Type: "micrometer"}},
		{entry.GaugeKnown, shop.GaugeV1{Gauge: "bore", Type: "bore-gauge"}}, {entry.GaugeKnown, shop.GaugeV1{Gauge: "scale", Type: "balance"}}} {
		e, err := entry.New(entry.ShopStream, key(i+1), p.kind, "", "test", clock().UnixMicro(), p.payload)
		if err != nil {
			t.Fatal(err)
		}
		list = append(list, e)
	}
	if err := b.AppendShop(ctx, list); err != nil {
		t.Fatal(err)
	}
	if _, err := b.Open(ctx, job.OpenedV1{Job: "j-1", Title: "A single", Family: "brae-05-1", Invented: true}, "p-1", "test", key(100)); err != nil {
		t.Fatal(err)
	}
	return b, st
}

const bore = "block/bore/1/H1/T"

func reading(n int, value string) Reading {
	return Reading{Job: "j-1", Position: bore, Value: value, Unit: "mm", Gauge: "bore", Master: "mic", PartTemp: "20.0", GaugeTemp: "20.0",
		Condition: []string{"torque-plate", "caps-tight"}, Person: "p-1", Device: "test", Key: key(n)}
}

// keysOf lists the message keys of an error by field.
func keysOf(err error) map[string]string {
	out := map[string]string{}
	var l fault.List
	if errors.As(err, &l) {
		for _, f := range l {
			out[f.Path] = f.Key
		}
		return out
	}
	var f *fault.Fault
	if errors.As(err, &f) {
		out[f.Path] = f.Key
	}
	return out
}

func TestReadingHasItsConsequence(t *testing.T) {
	b, _ := open(t)
	ctx := context.Background()
	d, err := b.RecordReading(ctx, reading(200, " 89.010 "))
	if err != nil {
		t.Fatal(err)
	}
	if d.Reading.Typed != "89.010 mm" || d.Reading.Value != "89.010" || d.Reading.State != job.Found {
		t.Errorf("understood as %+v", d.Reading)
	}
	if d.Before == nil || d.Before.Verdict != assess.Unmeasured || d.After == nil || !d.After.Has {
		t.Errorf("before %+v, after %+v", d.Before, d.After)
	}
	in := reading(201, "3.5045in")
	in.Mark, in.Unit = '.', "mm"
	if d, err = b.RecordReading(ctx, in); err != nil || d.Reading.Unit != "in" || d.Reading.Typed != "3.5045in" {
		t.Errorf("a unit in the text gives %+v, %v", d.Reading, err)
	}
	in = reading(202, "89,011")
	in.Mark, in.PartTemp, in.GaugeTemp = ',', "20,5", ""
	if d, err = b.RecordReading(ctx, in); err != nil || d.Reading.Value != "89.011" || d.Reading.PartTemp != "20.5" {
		t.Errorf("a comma gives %+v, %v", d.Reading, err)
	}
}

// Law: text that is not one number comes back with every number it may be, in
// the person's own mark; nothing is stored.
func TestPerhaps(t *testing.T) {
	b, _ := open(t)
	for i, c := range []struct {
		value string
		mark  byte
		want  string
	}{
		{"89,012", '.', "89.012 mm, 89012 mm"},
		{"89.012", ',', "89,012 mm, 89012 mm"},
		{"8O.012", '.', "80.012 mm"},
		{"89.01.0", '.', "8901.0 mm, 89.010 mm"},
		{"worn", '.', ""},
	} {
		in := Reading{Job: "j-1", Position: bore, Value: c.value, Unit: "mm", Mark: c.mark, Person: "p-1", Key: key(230 + i)}
		_, err := b.RecordReading(context.Background(), in)
		var list fault.List
		if !errors.As(err, &list) || len(list) != 1 || list[0].Path != "value" || list[0].Args["perhaps"] != c.want {
			t.Errorf("%s: %v, want perhaps %q", c.value, err, c.want)
		}
	}
}

func TestEveryProblemAtOnce(t *testing.T) {
	b, st := open(t)
	in := Reading{Job: "j-1", Position: bore, State: "later", Value: "89.01.0", Unit: "mm", Gauge: "scale", Master: "none", PartTemp: "200",
		GaugeTemp: "warm", Condition: []string{"moon"}, Note: strings.Repeat("ä", 401), Person: "p-9", Key: key(210)}
	_, err := b.RecordReading(context.Background(), in)
	want := map[string]string{"state": "bench.unknown-state", "value": "unit.two-marks", "gauge": "bench.wrong-gauge", "master": "bench.unknown-master",
		"part_temp": "bench.temperature", "gauge_temp": "unit.no-number", "condition": "bench.unknown-condition", "note": "bench.too-long", "person": "bench.unknown-person"}
	got := keysOf(err)
	for field, k := range want {
		if got[field] != k {
			t.Errorf("%s: %q, want %q", field, got[field], k)
		}
	}
	if len(got) != len(want) {
		t.Errorf("found %v", got)
	}
	for field, in := range map[string]Reading{
		"position": {Job: "j-1", Position: "block/bore/2/H1/T", Value: "95", Unit: "mm", Person: "p-1", Key: key(211)},
		"unit":     {Job: "j-1", Position: bore, Value: "95", Unit: "g", Person: "p-1", Key: key(212)},
		"master":   {Job: "j-1", Position: bore, Value: "95", Unit: "mm", Gauge: "bore", Person: "p-1", Key: key(213)},
		"person":   {Job: "j-1", Position: bore, Value: "95", Unit: "mm", Key: key(214)},
		"value":    {Job: "j-1", Position: bore, Value: "95", Person: "p-1", Key: key(215)},
		"mark":     {Job: "j-1", Position: bore, Value: "95", Unit: "mm", Mark: ';', Person: "p-1", Key: key(216)},
		"":         {Job: "none", Position: bore, Value: "95", Unit: "mm", Person: "p-1", Key: key(217)},
	} {
		if _, err := b.RecordReading(context.Background(), in); keysOf(err)[field] == "" {
			t.Errorf("%s: %v", field, err)
		}
	}
	if h, err := st.Head(context.Background(), "job/j-1"); err != nil || h.Seq != 1 {
		t.Errorf("a refused reading was stored: %d entries, %v", h.Seq, err)
	}
}

func TestTheSameFactOnce(t *testing.T) {
	b, st := open(t)
	ctx := context.Background()
	first, err := b.RecordReading(ctx, reading(220, "89.010"))
	if err != nil {
		t.Fatal(err)
	}
	again, err := b.RecordReading(ctx, reading(220, "89.010"))
	if err != nil || again.Receipt.Receipt != first.Receipt.Receipt || !again.Again || first.Again {
		t.Errorf("the repeat got %+v, %v", again.Receipt, err)
	}
	if _, err := b.RecordReading(ctx, reading(220, "89.011")); keysOf(err)[""] != "bench.other-content" {
		t.Errorf("the same key with other content: %v", err)
	}
	if h, _ := st.Head(ctx, "job/j-1"); h.Seq != 2 {
		t.Errorf("%d entries", h.Seq)
	}
}

// TestManyWriters: what 8 people enter at once is all there, each entry once,
// and whoever has a receipt sees its reading.
func TestManyWriters(t *testing.T) {
	b, st := open(t)
	ctx := context.Background()
	const people, each = 8, 12
	var wg sync.WaitGroup
	for p := range people {
		wg.Go(func() {
			for i := range each {
				n := 1000 + p*each + i
				d, err := b.RecordReading(ctx, reading(n, "89.010"))
				if err != nil {
					t.Error(err)
					return
				}
				if j, err := b.Judge(ctx, "j-1"); err != nil || j.Job.Seq < d.Seq {
					t.Errorf("after receipt %d the bench knows %d entries, %v", d.Seq, j.Job.Seq, err)
				}
				if _, err := b.RecordReading(ctx, reading(n, "89.010")); err != nil {
					t.Error(err)
				}
			}
		})
	}
	wg.Wait()
	if h, _ := st.Head(ctx, "job/j-1"); h.Seq != people*each+1 {
		t.Errorf("%d entries, want %d", h.Seq, people*each+1)
	}
	if _, err := st.Verify(ctx); err != nil {
		t.Error(err)
	}
}

// TestJudgedOnce: who asks meanwhile waits for the one judgement, and a change
// in the shop makes it old.
func TestJudgedOnce(t *testing.T) {
	b, _ := open(t)
	ctx := context.Background()
	var wg sync.WaitGroup
	got := make([]*Judged, 16)
	for i := range got {
		wg.Go(func() { got[i], _ = b.Judge(ctx, "j-1") })
	}
	wg.Wait()
	for _, j := range got {
		if j == nil || j != got[0] {
			t.Fatal("the job was judged more than once")
		}
	}
	e, err := entry.New(entry.ShopStream, key(50), entry.PersonKnown, "", "test", 1, shop.PersonV1{Person: "p-2", Initials: "RS"})
	if err != nil {
		t.Fatal(err)
	}
	if err := b.AppendShop(ctx, []entry.Entry{e}); err != nil {
		t.Fatal(err)
	}
	j, err := b.Judge(ctx, "j-1")
	if err != nil || j == got[0] || j.Shop.People["p-2"].Initials != "RS" || j.Mark() == got[0].Mark() {
		t.Errorf("the change in the shop is not seen: %v", err)
	}
}

func TestSetAsideIsJudgedAgain(t *testing.T) {
	b, _ := open(t)
	b.most = 2
	ctx := context.Background()
	for i, id := range []string{"j-2", "j-3", "j-4"} {
		if _, err := b.Open(ctx, job.OpenedV1{Job: id, Title: id, Family: "brae-05-1"}, "p-1", "test", key(300+i)); err != nil {
			t.Fatal(err)
		}
	}
	held := 0
	for _, s := range b.slots {
		if s.now != nil {
			held++
		}
	}
	if held > 3 {
		t.Errorf("%d judgements are held where %d may be", held, b.most)
	}
	all, err := b.Jobs(ctx)
	if err != nil || len(all) != 4 {
		t.Errorf("%d jobs, %v", len(all), err)
	}
	if j, err := b.Judge(ctx, "j-1"); err != nil || j.Assessment.Job != "j-1" {
		t.Errorf("what was set aside is not judged again: %v", err)
	}
	for range 200 {
		_, _ = b.Judge(ctx, "never-opened")
	}
	if len(b.slots) != 4 {
		t.Errorf("asking for what is not there left %d slots", len(b.slots))
	}
}

func TestAmendments(t *testing.T) {
	b, _ := open(t)
	ctx := context.Background()
	if _, err := b.RecordReading(ctx, reading(400, "89.513")); err != nil {
		t.Fatal(err)
	}
	a := Amendment{Job: "j-1", Target: key(400).String(), Person: "p-1", Device: "test", Key: key(401)}
	if _, err := b.Correct(ctx, a, reading(0, "89.010")); keysOf(err)["reason"] != "bench.no-reason" {
		t.Errorf("a correction without a reason: %v", err)
	}
	a.Reason = "  thimble one turn off "
	d, err := b.Correct(ctx, a, reading(0, "89.010"))
	if err != nil {
		t.Fatal(err)
	}
	old, _ := d.Judged.Job.Find(key(400).String())
	if old.Counts() || old.Reason != "thimble one turn off" || d.After.Y[:5] != "89.01" {
		t.Errorf("after the correction the old reading is %+v and the value %s", old, d.After.Y)
	}
	if again, err := b.Correct(ctx, a, reading(0, "89.010")); err != nil || !again.Again {
		t.Errorf("the same correction again: %v", err)
	}
	a.Key = key(402)
	if _, err := b.Correct(ctx, a, reading(0, "89.020")); keysOf(err)["target"] != "bench.gone" {
		t.Errorf("correcting what was corrected: %v", err)
	}
	w := Amendment{Job: "j-1", Target: key(401).String(), Reason: "wrong bore", Person: "p-1", Device: "test", Key: key(403)}
	if d, err = b.Withdraw(ctx, w); err != nil || d.After.Verdict != assess.Unmeasured {
		t.Errorf("after the withdrawal the value is %+v, %v", d.After, err)
	}
	w.Target, w.Key = strings.Repeat("0", 32), key(404)
	if _, err := b.Withdraw(ctx, w); keysOf(err)["target"] != "bench.no-reading" {
		t.Errorf("withdrawing what is not there: %v", err)
	}
}

func TestOpeningRefuses(t *testing.T) {
	b, _ := open(t)
	ctx := context.Background()
	for field, o := range map[string]job.OpenedV1{"job": {Job: "j-1", Title: "again", Family: "brae-05-1"}, "title": {Job: "j-9", Family: "brae-05-1"},
		"family": {Job: "j-9", Title: "t", Family: "none"}} {
		if _, err := b.Open(ctx, o, "p-1", "test", key(500)); keysOf(err)[field] == "" {
			t.Errorf("%s: %v", field, err)
		}
	}
	if _, err := b.Open(ctx, job.OpenedV1{Job: "../x", Title: "t", Family: "brae-05-1"}, "p-1", "test", key(501)); keysOf(err)["job"] != "bench.bad-job" {
		t.Errorf("a job of a bad name: %v", err)
	}
}
