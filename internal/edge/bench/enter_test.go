package bench

import (
	"context"
	"reflect"
	"testing"

	"fettle/internal/base/fault"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/judge/assess"
)

// item is a reading as a bench sends it.
func item(n int, value string) Item {
	return Item{Kind: ItemReading, Count: int64(n), Reading: reading(n, value)}
}

func enter(t *testing.T, b *Bench, device string, items ...Item) Entered {
	t.Helper()
	e, err := b.Enter(context.Background(), "j-1", device, items)
	if err != nil {
		t.Fatal(err)
	}
	if len(e.Outcomes) != len(items) {
		t.Fatalf("%d outcomes of %d items", len(e.Outcomes), len(items))
	}
	return e
}

func readingsAt(t *testing.T, b *Bench) []job.Reading {
	t.Helper()
	j, err := b.Judge(context.Background(), "j-1")
	if err != nil {
		t.Fatal(err)
	}
	return j.Readings(bore, job.Found)
}

func faultKeys(l fault.List) map[string]string { return keysOf(l) }

// Law: an item that is refused does not hold up the others; what was stored is
// answered with its first receipt however often it comes.
func TestEnterEachByItself(t *testing.T) {
	b, _ := open(t)
	bad, odd := item(1002, "1.500,25"), item(1003, "83.010")
	odd.Reading.Position = "block/bore/9/H1/T"
	batch := []Item{item(1001, "83.011"), bad, odd, item(1004, "83.012")}
	first := enter(t, b, "d-1", batch...)
	for i, want := range []string{"", "value", "position", ""} {
		o := &first.Outcomes[i]
		if _, wrong := faultKeys(o.Faults)[want]; (want == "") != (o.Receipt != nil) || want != "" && !wrong {
			t.Errorf("item %d: %v %v", i, o.Receipt, o.Faults)
		}
	}
	if p := first.Outcomes[1].Perhaps; len(p) != 2 || p[0].Text != "1500.25" || p[1].Text != "1.50025" {
		t.Errorf("the refused text may be %v", p)
	}
	again := enter(t, b, "d-1", batch[0], batch[3])
	for i, k := range []int{0, 3} {
		o := &again.Outcomes[i]
		if !o.Again || o.Receipt == nil || *o.Receipt != *first.Outcomes[k].Receipt {
			t.Errorf("sent again: %+v, first %+v", o.Receipt, first.Outcomes[k].Receipt)
		}
	}
	other := batch[0]
	other.Reading.Value = "83.019"
	if o := enter(t, b, "d-1", other).Outcomes[0]; o.Receipt != nil || faultKeys(o.Faults)[""] != "bench.other-content" {
		t.Errorf("other content under the same key: %+v %v", o.Receipt, o.Faults)
	}
	if got := readingsAt(t, b); len(got) != 2 || got[0].Value != "83.011" || got[1].Value != "83.012" {
		t.Errorf("the log holds %v", got)
	}
	if v, ok := first.Judged.Assessment.Find(bore, job.Found); !ok || len(v.Readings) != 2 {
		t.Errorf("the judgement of the batch does not know both readings: %+v", v)
	}
}

// Law: items of a device are taken in the order of its numbers; what is missing
// between them is told; one that comes late is not slipped in.
func TestEnterKeepsOrder(t *testing.T) {
	b, _ := open(t)
	if _, err := b.Enter(context.Background(), "j-1", "d-1", []Item{item(12, "83.010"), item(11, "83.011")}); keysOf(err)[""] != "bench.out-of-order" {
		t.Errorf("numbers that fall: %v", err)
	}
	if e := enter(t, b, "d-1", item(10, "83.010"), item(13, "83.013")); e.Missing != 2 {
		t.Errorf("%d items are missing, want 2", e.Missing)
	}
	if o := enter(t, b, "d-1", item(11, "83.011")).Outcomes[0]; o.Receipt != nil || faultKeys(o.Faults)[""] != "bench.came-late" {
		t.Errorf("a late item: %+v", o)
	}
	if o := enter(t, b, "d-2", item(203, "83.011")).Outcomes[0]; o.Receipt == nil {
		t.Errorf("another device has numbers of its own: %v", o.Faults)
	}
}

// Law: two people who read one position keep both readings, and the second is
// told of the first unless it knew of it.
func TestEnterTwoHands(t *testing.T) {
	b, _ := open(t)
	first := enter(t, b, "d-1", item(20, "83.010")).Outcomes[0]
	second := enter(t, b, "d-2", item(21, "83.014")).Outcomes[0]
	if len(second.Others) != 1 || second.Others[0].Key != first.Reading || second.Receipt == nil {
		t.Fatalf("told of %v", second.Others)
	}
	knows := item(22, "83.012")
	knows.Seen = 2
	if o := enter(t, b, "d-1", knows).Outcomes[0]; len(o.Others) != 0 {
		t.Errorf("told of readings it knew: %v", o.Others)
	}
	answer := Item{Kind: ItemAnswer, Count: 23, Target: second.Reading, About: TwoHands, Answer: "keep", Reading: Reading{Key: key(23), Person: "p-1"}}
	if o := enter(t, b, "d-2", answer).Outcomes[0]; o.Receipt == nil {
		t.Errorf("the answer: %v", o.Faults)
	}
	answer.Count, answer.About, answer.Reading.Key = 24, assess.WrongUnit, key(24)
	if o := enter(t, b, "d-2", answer).Outcomes[0]; o.Receipt != nil {
		t.Error("an answer to a question that nobody asked is stored")
	}
}

// Law: within ten seconds of its writer a reading is taken back without a
// reason, later not, and never by another device.
func TestEnterUndo(t *testing.T) {
	for _, c := range []struct {
		device string
		after  int64 // s
		ok     bool
	}{{"d-1", 0, true}, {"d-1", 10, true}, {"d-1", 11, false}, {"d-2", 1, false}, {"d-1", -1, false}} {
		b, _ := open(t)
		r := item(30, "83.010")
		r.Reading.Time = 1.7e15
		o := enter(t, b, "d-1", r).Outcomes[0]
		undo := Item{Kind: ItemWithdrawal, Count: 31, Target: o.Reading, Reading: Reading{Key: key(31), Person: "p-1", Time: 1.7e15 + c.after*1e6}}
		u := enter(t, b, c.device, undo).Outcomes[0]
		if (u.Receipt != nil) != c.ok {
			t.Errorf("%+v: %v %v", c, u.Receipt, u.Faults)
		}
		if got := readingsAt(t, b); len(got) != 1 || got[0].Counts() == c.ok {
			t.Errorf("%+v: the log holds %+v", c, got)
		}
	}
}

// Law: a position that is left is unmeasured and says why, until it is read.
func TestEnterLeft(t *testing.T) {
	b, _ := open(t)
	left := Item{Kind: ItemLeft, Count: 40, Because: "unreachable", Reading: Reading{Key: key(40), Person: "p-1", Position: bore}}
	e := enter(t, b, "d-1", left)
	v, _ := e.Judged.Assessment.Find(bore, job.Found)
	if v.Verdict != assess.Unmeasured || v.Why == nil || v.Why.Key != "value.left" || v.Why.Args["because"] != "unreachable" {
		t.Errorf("left: %s %+v", v.Verdict, v.Why)
	}
	none := left
	none.Because, none.Count, none.Reading.Key = " ", 41, key(41)
	if o := enter(t, b, "d-1", none).Outcomes[0]; faultKeys(o.Faults)["because"] != "bench.no-because" {
		t.Errorf("without a word: %v", o.Faults)
	}
	e = enter(t, b, "d-1", item(42, "83.010"))
	if v, _ := e.Judged.Assessment.Find(bore, job.Found); v.Verdict == assess.Unmeasured || v.Why != nil {
		t.Errorf("read after all: %s %+v", v.Verdict, v.Why)
	}
	if _, still := e.Judged.Job.Left(bore, job.Found); still {
		t.Error("it is still left")
	}
}

// Law: digits alone mean base and steps exactly; a page that showed another
// value is not believed.
func TestEnterSteps(t *testing.T) {
	b, _ := open(t)
	it := item(50, "83.012")
	it.Base, it.Step, it.Steps = "83.000 mm", "0.001 mm", "12"
	if o := enter(t, b, "d-1", it).Outcomes[0]; o.Receipt == nil {
		t.Fatalf("%v", o.Faults)
	}
	if r := readingsAt(t, b)[0]; r.Value != "83.012" || r.Typed != "83.000 mm 12 × 0.001 mm" {
		t.Errorf("stored %q, typed %q", r.Value, r.Typed)
	}
	it.Count, it.Reading.Key, it.Steps = 51, key(51), "-12"
	if o := enter(t, b, "d-1", it).Outcomes[0]; faultKeys(o.Faults)["value"] != "bench.other-value" {
		t.Errorf("the page showed another value: %v", o.Faults)
	}
}

// Law: a correction and an answer may come in one batch with what they are
// about.
func TestEnterAnswersWithinABatch(t *testing.T) {
	b, _ := open(t)
	r := item(60, "38.010")
	k := r.Reading.Key.String()
	j := enter(t, b, "d-1", r).Judged
	asked := j.Asked(k)
	if len(asked) == 0 {
		t.Fatal("nothing is asked about 38.010")
	}
	put := item(62, "83.010")
	put.Kind, put.Target, put.Reason = ItemCorrection, k, "mistyped"
	said := Item{Kind: ItemAnswer, Count: 61, Target: k, About: asked[0].ID, Answer: "corrected", Reading: Reading{Key: key(61), Person: "p-1"}}
	e := enter(t, b, "d-1", said, put)
	for _, o := range e.Outcomes {
		if o.Receipt == nil {
			t.Errorf("%v", o.Faults)
		}
	}
	var kinds []entry.Kind
	for _, l := range e.Judged.Job.Lines[1:] {
		kinds = append(kinds, l.Kind)
	}
	if want := []entry.Kind{entry.Reading, entry.Answered, entry.Correction}; !reflect.DeepEqual(kinds, want) {
		t.Errorf("the log holds %v, want %v", kinds, want)
	}
	if again := enter(t, b, "d-1", said, put); !again.Outcomes[0].Again || !again.Outcomes[1].Again {
		t.Errorf("sent again: %+v", again.Outcomes)
	}
}

// Law: watchers are told of every change by whichever road; one that does not
// listen is let go and holds nobody up.
func TestWatch(t *testing.T) {
	b, _ := open(t)
	ctx := context.Background()
	ears, now, stop, err := b.Watch(ctx, "j-1")
	if err != nil || now.Seq != 1 {
		t.Fatal(now, err)
	}
	defer stop()
	enter(t, b, "d-1", item(70, "83.010"))
	if _, err := b.RecordReading(ctx, reading(71, "83.011")); err != nil {
		t.Fatal(err)
	}
	for seq, device := range map[int64]string{2: "d-1", 3: "test"} {
		_ = seq
		c := <-ears
		if len(c.Lines) != 1 || c.Lines[0].About != bore || c.Lines[0].Device != map[int64]string{2: "d-1", 3: "test"}[c.Seq] {
			t.Errorf("told %+v (%s)", c, device)
		}
	}
	for i := range mostBehind + 2 {
		enter(t, b, "d-1", item(400+i, "83.010"))
	}
	n := 0
	for range ears {
		n++
	}
	if n != mostBehind {
		t.Errorf("a deaf watcher was told %d times before it was let go, want %d", n, mostBehind)
	}
	if _, _, _, err := b.Watch(ctx, "none"); err == nil {
		t.Error("a job that is not there can be watched")
	}
}

// Law: a person's order and place are the same for every device, and survive
// the program.
func TestHandIsRemembered(t *testing.T) {
	b, st := open(t)
	ctx := context.Background()
	j, err := b.Judge(ctx, "j-1")
	if err != nil {
		t.Fatal(err)
	}
	hand, _, at, err := b.Slots(j, "block", "p-1", job.Found)
	if err != nil || at != 0 || len(hand) < 6 {
		t.Fatal(hand, at, err)
	}
	second := j.Layout.Places[hand[3]].ID
	enter(t, b, "d-1", Item{Kind: ItemLeft, Count: 1, Because: "damaged", Reading: Reading{Key: key(301), Person: "p-1", Position: j.Layout.Places[hand[0]].ID}})
	j, _ = b.Judge(ctx, "j-1")
	if _, _, at, _ := b.Slots(j, "block", "p-1", job.Found); at != 1 {
		t.Errorf("after the first reading one goes on at %d", at)
	}
	if err := b.StopAt(ctx, "j-1", "p-1", second, true); err != nil {
		t.Fatal(err)
	}
	if err := b.Reorder(ctx, "j-1", "p-1", "block", Order{Way: WayBack}); err != nil {
		t.Fatal(err)
	}
	if err := b.Reorder(ctx, "j-1", "p-1", "block", Order{Way: "sideways"}); keysOf(err)["way"] != "bench.no-way" {
		t.Errorf("an order that is none: %v", err)
	}
	anew := New(st, b.Library(), b.clock)
	back, order, at, err := anew.Slots(j, "block", "p-1", job.Found)
	if err != nil || order.Way != WayBack || j.Layout.Places[back[at]].ID != second {
		t.Errorf("after a new start: %+v at %d, %v", order, at, err)
	}
	if len(back) != len(hand) || back[0] == hand[0] {
		t.Errorf("from the far end it begins with the same position")
	}
}
