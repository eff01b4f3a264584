package readings

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/facts/shop"
)

func sheet(t *testing.T, text string) Sheet {
	t.Helper()
	s, faults := Parse("r", []byte(text), layout(t), nil)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	return s
}

// Law: a sheet becomes the state that its readings would have made one by one.
func TestToState(t *testing.T) {
	s := sheet(t, head+good+row(colState, "built")+row(colTime, "2026-11-24T09:30:00Z"))
	j, sh, err := s.ToState(job.OpenedV1{Family: "test-single", Digest: "d"})
	if err != nil {
		t.Fatal(err)
	}
	if j.Job != "2026-014" || j.Title != "Hillclimb five" || j.Family != "test-single" || j.Seq != 4 || len(j.Readings) != 3 {
		t.Errorf("job %+v", j.OpenedV1)
	}
	for _, l := range j.Lines {
		if !l.Known {
			t.Errorf("not understood: %+v", l)
		}
	}
	r := j.Readings[2]
	if r.ReadingV1.Value != "83.012" || r.Quantity.N != 83_012_000_000 || r.Ordinal != 2 || r.Person != "AK" || r.Time != s.Readings[2].Time {
		t.Errorf("reading %+v", r)
	}
	want := &shop.State{People: map[string]shop.PersonV1{"AK": s.People[0]},
		Gauges: map[string]*shop.Gauge{"M07": {GaugeV1: s.Gauges[0]}, "B02": {GaugeV1: s.Gauges[1]}}, Seq: 3}
	if d := cmp.Diff(want, sh, cmpopts.IgnoreFields(shop.State{}, "Head")); d != "" {
		t.Error(d)
	}
	again := sheet(t, head+good+row(colState, "built")+row(colTime, "2026-11-24T09:30:00Z"))
	j2, sh2, _ := again.ToState(job.OpenedV1{Family: "test-single", Digest: "d"})
	if j2.Head != j.Head || sh2.Head != sh.Head || j.Head == (entry.Hash{}) {
		t.Error("the same sheet gave other heads")
	}
}

// Law: entries pass the store's own check, their rows chain, and keys follow
// content alone.
func TestEntries(t *testing.T) {
	s := sheet(t, head+good+row(colState, "built")+row(colTime, "2026-11-24T09:30:00Z")+row(colPerson, ""))
	stream := entry.JobStream("2026-014")
	es, err := s.Entries(stream, s.Keys(stream))
	if err != nil {
		t.Fatal(err)
	}
	sh, err := s.ShopEntries()
	if err != nil {
		t.Fatal(err)
	}
	for _, list := range [][]entry.Entry{es, sh} {
		seen := map[entry.Key]bool{}
		for i := range list {
			if err := list[i].Check(); err != nil || seen[list[i].Key] {
				t.Errorf("entry %d: %v", i, err)
			}
			seen[list[i].Key] = true
		}
		if head, err := entry.Chain(rows(list)); err != nil || head == (entry.Hash{}) {
			t.Error(err)
		}
	}
	other := sheet(t, head+row(colState, "built")+good)
	keys := other.Keys(stream)
	if keys(1) != es[0].Key || keys(0) != es[1].Key || keys(0) == keys(1) || other.Keys("job/b")(1) == es[0].Key {
		t.Error("keys do not follow content alone")
	}
}

// Law: who reads without being declared is still known by initials.
func TestUndeclaredPerson(t *testing.T) {
	s := Sheet{Readings: []Row{{Person: "KL"}, {Person: "KL"}, {}}}
	es, err := s.ShopEntries()
	if err != nil || len(es) != 1 || string(es[0].Payload) != `{"initials":"KL","person":"KL"}` {
		t.Errorf("%v, %v", es, err)
	}
}
