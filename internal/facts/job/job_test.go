package job

import (
	"fmt"
	"reflect"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"fettle/internal/facts/entry"
)

// log is a job's stream in the making. Everything in these tests is synthetic.
type log struct {
	t    testing.TB
	rows []entry.Row
}

// add appends an entry and returns its key.
func (l *log) add(kind entry.Kind, payload any) string {
	l.t.Helper()
	n := int64(len(l.rows) + 1)
	key := entry.Key{0: 0xaa, 14: byte(n >> 8), 15: byte(n)}
	e, err := entry.New(entry.JobStream("7"), key, kind, "p-1", "bench-1", 1_700_000_000_000_000+n, payload)
	if err != nil {
		l.t.Fatal(err)
	}
	if err := e.Check(); err != nil {
		l.t.Fatal(err)
	}
	r := entry.Row{Entry: e, Seq: n, Received: e.Time + 5}
	if n > 1 {
		r.Prev = l.rows[n-2].Hash
	}
	r.Hash = r.Digest()
	l.rows = append(l.rows, r)
	return key.String()
}

func at(position, value string) ReadingV1 {
	return ReadingV1{Position: position, State: Found, Typed: value, Value: value, Unit: "mm"}
}

// full is one of each payload with every field filled.
func full() map[entry.Kind]any {
	reading := ReadingV1{Position: "block/bore/1/H1/T", State: After("hone"), Typed: "83,012", Value: "83.012", Unit: "mm", Gauge: "g-1",
		Master: "g-2", PartTemp: "20.5", GaugeTemp: "21", Condition: []string{"torque plate fitted"}, Note: "a <b> & ü\u2028", Transcript: true}
	return map[entry.Kind]any{
		entry.JobOpened: OpenedV1{Job: "7", Title: "t", Family: "corran-24-5", Digest: "ab", Engine: "e-1", Customer: "c-1",
			Scope: []string{"block"}, Note: "n", Use: "u", Invented: true},
		entry.FamilyRepinned: RepinnedV1{Old: "ab", New: "cd", Reason: "r"},
		entry.Reading:        reading,
		entry.Correction:     CorrectionV1{Target: "k", Reading: reading, Reason: "r"},
		entry.Withdrawal:     WithdrawalV1{Target: "k", Reason: "r"},
		entry.Swapped:        SwappedV1{A: "piston/skirt/1", B: "piston/skirt/2", State: Found, Reason: "r"},
		entry.Answered:       AnsweredV1{Target: "k", About: "q", Answer: "keep", Reason: "r"},
		entry.Observation:    ObservationV1{Part: "block/bore/1", Saw: "scuffed", Note: "n"},
		entry.Decision:       DecisionV1{Finding: "f", Outcome: "o", Reason: "r"},
		entry.Remark:         RemarkV1{Text: "x"},
		entry.Issued:         IssuedV1{Record: "ab", Head: "cd"},
	}
}

// Law: each payload comes back from its canonical bytes as it went in, and no
// field of it is left empty in this test.
func TestPayloadsRoundTrip(t *testing.T) {
	for kind, p := range full() {
		v := reflect.ValueOf(p)
		for i := range v.NumField() {
			if v.Field(i).IsZero() {
				t.Errorf("%s: the test leaves %s empty", kind, v.Type().Field(i).Name)
			}
		}
		l := &log{t: t}
		l.add(kind, p)
		back := reflect.New(v.Type())
		if !decode(l.rows[0].Payload, back.Interface()) {
			t.Fatalf("%s: not understood: %s", kind, l.rows[0].Payload)
		}
		if d := cmp.Diff(p, back.Elem().Interface()); d != "" {
			t.Errorf("%s: %s", kind, d)
		}
	}
}

// Law: each kind leaves its payload in the state.
func TestReplayKeepsEachPayload(t *testing.T) {
	l := &log{t: t}
	f := full()
	l.add(entry.JobOpened, f[entry.JobOpened])
	k := l.add(entry.Reading, f[entry.Reading])
	l.add(entry.Answered, AnsweredV1{Target: k, About: "q", Answer: "keep"})
	for _, kind := range []entry.Kind{entry.Swapped, entry.Observation, entry.Decision, entry.Remark, entry.Issued} {
		l.add(kind, f[kind])
	}
	s := Replay(l.rows)
	for _, line := range s.Lines {
		if !line.Known {
			t.Errorf("%s: not understood", line.Kind)
		}
	}
	last := l.rows[len(l.rows)-1]
	if s.Head != last.Hash || s.Seq != last.Seq || s.First != l.rows[0].Time || s.Last != last.Time || len(s.Lines) != len(l.rows) {
		t.Errorf("head %s at %d, times %d to %d, %d lines", s.Head.Short(), s.Seq, s.First, s.Last, len(s.Lines))
	}
	r := s.Readings[0]
	if d := cmp.Diff(f[entry.Reading], r.ReadingV1); d != "" {
		t.Error(d)
	}
	if r.Key != k || r.Seq != 2 || r.Person != "p-1" || r.Ordinal != 1 || r.Quantity.N != 83_012_000_000 || r.Answers["q"].Answer != "keep" {
		t.Errorf("%+v", r)
	}
	got := []any{s.OpenedV1, s.Swaps[0], ObservationV1{Part: s.Observations[0].Part, Saw: s.Observations[0].Saw, Note: s.Observations[0].Note}, s.Decisions[0].DecisionV1, s.Remarks[0].RemarkV1}
	want := []any{f[entry.JobOpened], f[entry.Swapped], f[entry.Observation], f[entry.Decision], f[entry.Remark]}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
	if !s.InScope("block") || s.InScope("head") || !new(State).InScope("head") {
		t.Error("scope")
	}
}

// Law: what is not understood is kept, named and changes nothing else.
func TestNotUnderstood(t *testing.T) {
	type m = map[string]any
	for name, add := range map[string]func(l *log, target string){
		"a kind of a later release":     func(l *log, _ string) { l.add("polished", m{"how": "well"}) },
		"a reserved kind":               func(l *log, _ string) { l.add(entry.Tightened, m{"angle": "90"}) },
		"a later version":               func(l *log, _ string) { l.add(entry.Remark, m{"text": "x"}); l.rows[len(l.rows)-1].Version = 2 },
		"a field of no version":         func(l *log, _ string) { l.add(entry.Remark, m{"text": "x", "not": true}) },
		"a field of another type":       func(l *log, _ string) { l.add(entry.Remark, m{"text": 1}) },
		"a second opening":              func(l *log, _ string) { l.add(entry.JobOpened, m{"job": "8", "family": "tarn-32-6"}) },
		"a half-readable opening":       func(l *log, _ string) { l.add(entry.JobOpened, m{"job": "8", "title": 3}) },
		"a reading without a position":  func(l *log, _ string) { l.add(entry.Reading, m{"state": "found", "value": "1", "unit": "mm"}) },
		"a reading in no state":         func(l *log, _ string) { l.add(entry.Reading, m{"position": "a/b", "value": "1", "unit": "mm"}) },
		"a value that is no number":     func(l *log, _ string) { l.add(entry.Reading, at("a/b", "1e3")) },
		"a check that says maybe":       func(l *log, _ string) { l.add(entry.Reading, m{"position": "a/b", "state": "found", "value": "maybe"}) },
		"a correction of nothing":       func(l *log, _ string) { l.add(entry.Correction, CorrectionV1{Target: "00", Reading: at("a/b", "2")}) },
		"a correction without a number": func(l *log, k string) { l.add(entry.Correction, CorrectionV1{Target: k, Reading: at("a/b", "2,0")}) },
		"a withdrawal of nothing":       func(l *log, _ string) { l.add(entry.Withdrawal, WithdrawalV1{Target: "00"}) },
		"an answer about nothing":       func(l *log, _ string) { l.add(entry.Answered, AnsweredV1{Target: "00", About: "q", Answer: "keep"}) },
		"a swap with itself":            func(l *log, _ string) { l.add(entry.Swapped, SwappedV1{A: "a", B: "a", State: Found}) },
		"a swap with what it holds":     func(l *log, _ string) { l.add(entry.Swapped, SwappedV1{A: "a", B: "a/b", State: Found}) },
		"a swap in no state":            func(l *log, _ string) { l.add(entry.Swapped, SwappedV1{A: "a", B: "c"}) },
	} {
		t.Run(name, func(t *testing.T) {
			l := &log{t: t}
			l.add(entry.JobOpened, OpenedV1{Job: "7", Family: "corran-24-5", Title: "t"})
			k := l.add(entry.Reading, at("a/b", "1"))
			before := Replay(l.rows)
			add(l, k)
			after := Replay(l.rows)
			line := after.Lines[len(after.Lines)-1]
			if line.Known || line.Kind != l.rows[2].Kind || line.Key != l.rows[2].Key.String() {
				t.Errorf("line %+v", line)
			}
			ignore := cmpopts.IgnoreFields(State{}, "Lines", "Head", "Seq", "Last")
			if d := cmp.Diff(before, after, ignore, cmp.AllowUnexported(State{}), cmpopts.EquateEmpty()); d != "" {
				t.Error(d)
			}
		})
	}
}

// Law: a corrected reading stays readable, its successor counts in its place.
func TestCorrection(t *testing.T) {
	l := &log{t: t}
	k1 := l.add(entry.Reading, at("block/bore/1/H1/T", "83.512"))
	l.add(entry.Reading, at("block/bore/1/H1/T", "83.013"))
	k3 := l.add(entry.Correction, CorrectionV1{Target: k1, Reading: at("block/bore/1/H1/T", "83.012"), Reason: "a turn off"})
	s := Replay(l.rows)
	old, ok := s.Find(k1)
	if !ok || old.Counts() || old.Voided != "corrected" || old.Reason != "a turn off" || old.Value != "83.512" {
		t.Errorf("old %+v", old)
	}
	now, ok := s.Find(k3)
	if !ok || !now.Counts() || now.Instead != k1 || now.Ordinal != 1 || now.Value != "83.012" {
		t.Errorf("new %+v", now)
	}
	if got := values(s.Sorted()); !slices.Equal(got, []string{"1 83.012", "2 83.013"}) {
		t.Errorf("sorted %v", got)
	}

	// Only a reading that counts can be corrected; the chain goes on at its end.
	l.add(entry.Correction, CorrectionV1{Target: k1, Reading: at("block/bore/1/H1/T", "83.0")})
	if s = Replay(l.rows); s.Lines[3].Known || len(s.Readings) != 3 {
		t.Error("a corrected reading was corrected again")
	}
	l.add(entry.Correction, CorrectionV1{Target: k3, Reading: at("block/bore/2/H1/T", "83.012"), Reason: "it was bore 2"})
	s = Replay(l.rows)
	if got := values(s.Sorted()); !slices.Equal(got, []string{"1 83.013", "1 83.012"}) {
		t.Errorf("sorted %v", got)
	}
}

func TestWithdrawal(t *testing.T) {
	l := &log{t: t}
	k := l.add(entry.Reading, at("a/b", "1"))
	l.add(entry.Reading, at("a/b", "2"))
	l.add(entry.Withdrawal, WithdrawalV1{Target: k, Reason: "gauge dropped"})
	l.add(entry.Withdrawal, WithdrawalV1{Target: k, Reason: "again"})
	l.add(entry.Reading, at("a/b", "3"))
	s := Replay(l.rows)
	if r, _ := s.Find(k); r.Voided != "withdrawn" || r.Reason != "gauge dropped" || s.Lines[2].About != "a/b" || s.Lines[3].Known {
		t.Errorf("%+v, lines %+v", r, s.Lines)
	}
	if got := values(s.Sorted()); !slices.Equal(got, []string{"1 2", "2 3"}) {
		t.Errorf("sorted %v", got)
	}
	if s.Readings[2].Ordinal != 3 {
		t.Errorf("the third reading at the spot is number %d", s.Readings[2].Ordinal)
	}
}

// Law: a swap exchanges what was taken so far in its state, part by part; what
// comes later is numbered as if it had been so from the start.
func TestSwap(t *testing.T) {
	l := &log{t: t}
	for _, v := range []string{"1", "2", "3"} {
		l.add(entry.Reading, at("piston/skirt/1/T", v))
	}
	l.add(entry.Reading, at("piston/skirt/2/T", "4"))
	l.add(entry.Reading, at("piston/skirt/12/T", "5")) // begins like 1, but is another part
	built := at("piston/skirt/1/T", "6")
	built.State = Built
	l.add(entry.Reading, built)
	l.add(entry.Swapped, SwappedV1{A: "piston/skirt/1", B: "piston/skirt/2", State: Found, Reason: "labels"})
	l.add(entry.Reading, at("piston/skirt/1/T", "7"))
	l.add(entry.Reading, at("piston/skirt/2/T", "8"))
	s := Replay(l.rows)
	var got []string
	for _, r := range s.Readings {
		got = append(got, fmt.Sprintf("%s %s %d %s was %q", r.Position, r.State, r.Ordinal, r.Value, r.Was))
	}
	want := []string{
		`piston/skirt/2/T found 1 1 was "piston/skirt/1/T"`,
		`piston/skirt/2/T found 2 2 was "piston/skirt/1/T"`,
		`piston/skirt/2/T found 3 3 was "piston/skirt/1/T"`,
		`piston/skirt/1/T found 1 4 was "piston/skirt/2/T"`,
		`piston/skirt/12/T found 1 5 was ""`,
		`piston/skirt/1/T built 1 6 was ""`,
		`piston/skirt/1/T found 2 7 was ""`,
		`piston/skirt/2/T found 4 8 was ""`,
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}

	// Twice exchanged is not exchanged.
	l = &log{t: t}
	l.add(entry.Reading, at("piston/skirt/1/T", "1"))
	for range 2 {
		l.add(entry.Swapped, SwappedV1{A: "piston/skirt/1", B: "piston/skirt/2", State: Found})
	}
	if r := Replay(l.rows).Readings[0]; r.Position != "piston/skirt/1/T" || r.Was != "" {
		t.Errorf("%s was %q", r.Position, r.Was)
	}
}

// Law: With on any split of a log gives what Replay of the whole gives, and the
// states before it do not change.
func TestWithIsReplay(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		l := &log{t: t}
		l.add(entry.JobOpened, OpenedV1{Job: "7", Scope: []string{"block"}})
		var keys []string
		positions := rapid.SampledFrom([]string{"a/1/T", "a/2/T", "a/1/L", "b"})
		for range rapid.IntRange(0, 30).Draw(rt, "entries") {
			target := "00"
			if len(keys) > 0 {
				target = rapid.SampledFrom(keys).Draw(rt, "target")
			}
			switch rapid.SampledFrom([]string{"read", "read", "correct", "withdraw", "swap", "answer", "note", "odd"}).Draw(rt, "kind") {
			case "read":
				keys = append(keys, l.add(entry.Reading, at(positions.Draw(rt, "position"), "1.5")))
			case "correct":
				keys = append(keys, l.add(entry.Correction, CorrectionV1{Target: target, Reading: at(positions.Draw(rt, "position"), "2.5")}))
			case "withdraw":
				l.add(entry.Withdrawal, WithdrawalV1{Target: target})
			case "swap":
				l.add(entry.Swapped, SwappedV1{A: "a/1", B: "a/2", State: Found})
			case "answer":
				l.add(entry.Answered, AnsweredV1{Target: target, About: rapid.SampledFrom([]string{"q", "r"}).Draw(rt, "question"), Answer: "keep"})
			case "note":
				l.add(entry.Remark, RemarkV1{Text: "x"})
			case "odd":
				l.add("polished", map[string]string{})
			}
		}
		opts := cmp.Options{cmp.AllowUnexported(State{}), cmpopts.EquateEmpty()}
		s, done := Replay(nil), 0
		var states []*State
		var ends []int
		for done < len(l.rows) {
			n := rapid.IntRange(1, len(l.rows)-done).Draw(rt, "rows")
			s = s.With(l.rows[done : done+n])
			done += n
			states, ends = append(states, s), append(ends, done)
		}
		for i, s := range states {
			if d := cmp.Diff(Replay(l.rows[:ends[i]]), s, opts); d != "" {
				rt.Fatalf("after %d rows: %s", ends[i], d)
			}
		}
		// Ordinals at a spot are a gapless count among those that count.
		last := map[string]int{}
		for _, r := range s.Sorted() {
			k := r.Position + " " + r.State
			if last[k]++; r.Ordinal != last[k] || !r.Counts() {
				rt.Fatalf("%s: ordinal %d, want %d", k, r.Ordinal, last[k])
			}
		}
	})
}

func TestStates(t *testing.T) {
	for s, want := range map[string]int{Found: 0, After("hone"): 1, Built: 2} {
		if !KnownState(s) || RankState(s) != want {
			t.Errorf("%s: known %v, rank %d", s, KnownState(s), RankState(s))
		}
	}
	for _, s := range []string{"", "after()", "after(hone", "planned(1)", "Found"} {
		if KnownState(s) {
			t.Errorf("%q passes as a state", s)
		}
	}
}

func values(rs []Reading) []string {
	var out []string
	for _, r := range rs {
		out = append(out, fmt.Sprintf("%d %s", r.Ordinal, r.Value))
	}
	return out
}

// thousand is a log of 1,300 entries such as a job of 1,200 readings leaves.
func thousand(t testing.TB) []entry.Row {
	l := &log{t: t}
	l.add(entry.JobOpened, OpenedV1{Job: "7", Title: "t", Family: "corran-24-5"})
	for i := range 1299 {
		r := at(fmt.Sprintf("block/bore/%d/H%d/T", i%5+1, i%40+1), "83.012")
		r.Gauge, r.Master, r.PartTemp, r.GaugeTemp = "g-1", "g-2", "20.5", "20.5"
		l.add(entry.Reading, r)
	}
	return l.rows
}

func BenchmarkReplay(b *testing.B) {
	rows := thousand(b)
	for b.Loop() {
		Replay(rows)
	}
}

// BenchmarkWith is one more reading on a job of 1,300 entries.
func BenchmarkWith(b *testing.B) {
	rows := thousand(b)
	s := Replay(rows[:1299])
	b.ReportAllocs()
	for b.Loop() {
		s.With(rows[1299:])
	}
}
