package job

import (
	"reflect"
	"testing"
	"time"

	"fettle/internal/facts/entry"
	"pgregory.net/rapid"
)

// book writes a log of work, minute by minute.
type workLog struct {
	t    *testing.T
	rows []entry.Row
}

func (b *workLog) put(person string, minute int64, kind entry.Kind, payload any) string {
	b.t.Helper()
	var k entry.Key
	k[0], k[1] = byte(len(b.rows)+1), byte((len(b.rows)+1)>>8)
	e, err := entry.New(entry.JobStream("1"), k, kind, person, "bench", minute*60e6, payload)
	if err != nil {
		b.t.Fatal(err)
	}
	b.rows = append(b.rows, entry.Row{Entry: e, Seq: int64(len(b.rows) + 1)})
	return k.String()
}

func (b *workLog) state() *State { return Replay(b.rows) }

func understood(s *State) (n int) {
	for _, l := range s.Lines {
		if l.Known {
			n++
		}
	}
	return n
}

const day = 1_000_000 // minute from which the tests count

// Law: hours come from start and stop; a second person counts in full, a second
// operation of one person shares; done stops what runs.
func TestLawHours(t *testing.T) {
	b := &workLog{t: t}
	one := b.put("a", day, entry.Started, StartedV1{Operation: "bore"})
	b.put("b", day+30, entry.Started, StartedV1{Operation: "bore"})
	b.put("a", day+60, entry.Started, StartedV1{Operation: "deck"}) // a is at two for an hour
	b.put("a", day+120, entry.Stopped, StoppedV1{Start: one})
	b.put("a", day+150, entry.Done, DoneV1{Operation: "bore"}) // b stops here
	b.put("a", day+180, entry.Done, DoneV1{Operation: "deck"})
	s := b.state()
	h := s.Hours(0)
	// a: 60 alone at bore, 60 shared, 60 alone at deck. b: 120 at bore.
	if got := h["bore"].Hours; got != (60+30+120)*time.Minute {
		t.Errorf("bore took %v", got)
	}
	if got := h["deck"].Hours; got != (30+60)*time.Minute {
		t.Errorf("deck took %v", got)
	}
	if len(h["bore"].Running)+len(h["deck"].Running)+len(h["bore"].Unclear) != 0 || len(h["bore"].People) != 2 {
		t.Errorf("%+v", h["bore"])
	}
	if understood(s) != len(b.rows) {
		t.Errorf("%d of %d understood", understood(s), len(b.rows))
	}
}

// Law: a stop that was forgotten counts for nothing, is named, and is put right
// by a later entry that says when it really was; one that runs counts up to now.
func TestLawForgottenStop(t *testing.T) {
	b := &workLog{t: t}
	key := b.put("a", day, entry.Started, StartedV1{Operation: "bore"})
	if h := b.state().Hours((day + 45) * 60e6)["bore"]; h.Hours != 45*time.Minute || len(h.Running) != 1 {
		t.Errorf("running: %+v", h)
	}
	next := int64(day + 20*60)
	if h := b.state().Hours(next * 60e6)["bore"]; h.Hours != 0 || len(h.Unclear) != 1 {
		t.Errorf("next morning: %+v", h)
	}
	b.put("a", next, entry.Stopped, StoppedV1{Start: key, At: (day + 90) * 60e6, Reason: "forgotten last night"})
	h := b.state().Hours(next * 60e6)["bore"]
	if h.Hours != 90*time.Minute || len(h.Unclear) != 0 || !b.state().Spans[0].Stated {
		t.Errorf("put right: %+v", h)
	}
}

// Law: what cannot be is kept and not understood, and changes nothing.
func TestWorkThatCannotBe(t *testing.T) {
	for name, write := range map[string]func(b *workLog){
		"started twice":           func(b *workLog) { b.put("a", day+1, entry.Started, StartedV1{Operation: "bore"}) },
		"stop of nothing":         func(b *workLog) { b.put("a", day+1, entry.Stopped, StoppedV1{Start: "00"}) },
		"stopped before it began": func(b *workLog) { b.put("a", day-9, entry.Stopped, StoppedV1{Start: b.rows[0].Key.String()}) },
		"stopped later than said": func(b *workLog) {
			b.put("a", day+9, entry.Stopped, StoppedV1{Start: b.rows[0].Key.String(), At: (day + 10) * 60e6, Reason: "r"})
		},
		"a time without a reason": func(b *workLog) {
			b.put("a", day+9, entry.Stopped, StoppedV1{Start: b.rows[0].Key.String(), At: (day + 5) * 60e6})
		},
		"done without a start":       func(b *workLog) { b.put("a", day+1, entry.Done, DoneV1{Operation: "deck"}) },
		"waiting for weather":        func(b *workLog) { b.put("a", day+1, entry.Waiting, WaitingV1{For: "weather"}) },
		"no more wait than there is": func(b *workLog) { b.put("a", day+1, entry.Waiting, WaitingV1{For: ForPart, Over: true}) },
		"nothing":                    func(b *workLog) { b.put("a", day+1, entry.Started, StartedV1{}) },
	} {
		b := &workLog{t: t}
		b.put("a", day, entry.Started, StartedV1{Operation: "bore"})
		was := b.state()
		write(b)
		s := b.state()
		if understood(s) != 1 || !reflect.DeepEqual(s.Work, was.Work) {
			t.Errorf("%s: %+v", name, s.Work)
		}
	}
}

// Law: done again is a run of its own: its state is another, and it asks why.
func TestLawRuns(t *testing.T) {
	b := &workLog{t: t}
	b.put("a", day, entry.Started, StartedV1{Operation: "bore"})
	b.put("a", day+1, entry.Done, DoneV1{Operation: "bore"})
	b.put("a", day+2, entry.Started, StartedV1{Operation: "bore"}) // without a reason
	if s := b.state(); len(s.Spans) != 1 {
		t.Fatal("begun again without a reason")
	}
	b.put("a", day+3, entry.Started, StartedV1{Operation: "bore", Again: "bore 3 was tapered"})
	s := b.state()
	if s.Spans[1].Run != 2 || AfterRun("bore", s.Run("bore")) != "after(bore.2)" {
		t.Errorf("%+v", s.Spans)
	}
	for _, c := range []struct {
		state, op string
		run       int
		ok        bool
	}{{"after(bore)", "bore", 1, true}, {"after(bore.2)", "bore", 2, true}, {"after(plate-hone.12)", "plate-hone", 12, true}, {"after(x.1)", "x.1", 1, true}, {"found", "", 0, false}, {"after()", "", 0, false}} {
		if op, run, ok := OfState(c.state); op != c.op || run != c.run || ok != c.ok {
			t.Errorf("%s: %s %d %v", c.state, op, run, ok)
		}
		if c.ok && AfterRun(c.op, c.run) != c.state {
			t.Errorf("%s is written %s", c.state, AfterRun(c.op, c.run))
		}
	}
}

// Law: a state begins where its operation begins, not where it is first read.
func TestLawTurn(t *testing.T) {
	b := &workLog{t: t}
	read := func(state string) {
		b.put("a", day+9, entry.Reading, ReadingV1{Position: "block/bore/1/H1/T", State: state, Typed: "83", Value: "83", Unit: "mm"})
	}
	b.put("a", day, entry.Started, StartedV1{Operation: "deck"})
	b.put("a", day+1, entry.Started, StartedV1{Operation: "bore"})
	read("after(bore)")
	read("after(deck)")
	read("after(odd)")
	s := b.state()
	if d, o, x := s.Turn("after(deck)"), s.Turn("after(bore)"), s.Turn("after(odd)"); d != 1 || o != 2 || x != 5 || s.Turn("after(none)") != 0 {
		t.Errorf("deck %d, bore %d, odd %d", d, o, x)
	}
}

// Law: what is waited for counts each by itself and together once.
func TestLawWaiting(t *testing.T) {
	b := &workLog{t: t}
	b.put("a", day, entry.Waiting, WaitingV1{For: ForPart, Operation: "plate-hone"})
	b.put("a", day+30, entry.Waiting, WaitingV1{For: ForCustomer})
	b.put("a", day+60, entry.Waiting, WaitingV1{For: ForPart, Over: true})
	by, any := b.state().Waited((day + 100) * 60e6)
	if by[ForPart] != time.Hour || by[ForCustomer] != 70*time.Minute || any != 100*time.Minute {
		t.Errorf("%v, %v", by, any)
	}
}

// Law: With of any split is Replay of the whole, and leaves the old state alone;
// nobody works more hours than the clock shows.
func TestLawWorkReplays(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		b := &workLog{t: t}
		now := int64(day)
		ops, people := []string{"bore", "deck", "wash"}, []string{"a", "b"}
		for range rapid.IntRange(1, 25).Draw(r, "n") {
			now += rapid.Int64Range(0, 90).Draw(r, "gap")
			op, who := rapid.SampledFrom(ops).Draw(r, "op"), rapid.SampledFrom(people).Draw(r, "who")
			switch rapid.IntRange(0, 4).Draw(r, "what") {
			case 0, 1:
				b.put(who, now, entry.Started, StartedV1{Operation: op, Again: "again"})
			case 2:
				key := "00"
				if len(b.rows) > 0 {
					key = b.rows[rapid.IntRange(0, len(b.rows)-1).Draw(r, "of")].Key.String()
				}
				b.put(who, now, entry.Stopped, StoppedV1{Start: key})
			case 3:
				b.put(who, now, entry.Done, DoneV1{Operation: op})
			default:
				b.put(who, now, entry.Waiting, WaitingV1{For: ForPart, Over: rapid.Bool().Draw(r, "over")})
			}
		}
		cut := rapid.IntRange(0, len(b.rows)).Draw(r, "cut")
		head := Replay(b.rows[:cut])
		before := Replay(b.rows[:cut])
		whole := Replay(b.rows)
		if got := head.With(b.rows[cut:]); len(whole.Spans)+len(whole.Dones)+len(whole.Waits) > 0 && !reflect.DeepEqual(normal(got.Work), normal(whole.Work)) {
			r.Fatalf("in two steps %+v\nat once %+v", got.Work, whole.Work)
		}
		if !reflect.DeepEqual(normal(head.Work), normal(before.Work)) {
			r.Fatalf("the old state was changed")
		}
		var sum time.Duration
		for _, h := range whole.Hours(now * 60e6) {
			sum += h.Hours
		}
		if most := time.Duration(now-day) * time.Minute * time.Duration(len(people)); sum > most+time.Millisecond {
			r.Fatalf("%v of %v", sum, most)
		}
	})
}

func normal(w Work) Work {
	return Work{append([]Span{}, w.Spans...), append([]DoneBy{}, w.Dones...), append([]Wait{}, w.Waits...)}
}
