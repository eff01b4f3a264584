package bench

import (
	"context"
	"errors"
	"strconv"
	"strings"

	"fettle/internal/base/fault"
	"fettle/internal/base/unit"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/judge/assess"
	"fettle/internal/know/family"
)

// The kinds of items that a bench sends.
const (
	ItemReading    = "reading"
	ItemCorrection = "correction"
	ItemWithdrawal = "withdrawal"
	ItemAnswer     = "answer"
	ItemLeft       = "left" // could not be measured, because
	ItemSwap       = "swap"
)

// TwoHands is the question whose reading counts where two people read one
// position without knowing of each other.
const TwoHands = "two-hands"

// undoable is how long after a reading it may be taken back without a reason,
// by the writer's own clock and by the bench's, in µs.
const undoable = 10e6

// MostItems bounds what one request may bring.
const MostItems = 100

// Item is one thing that a person did at a bench: what was typed, under a key
// made when it was typed, numbered by the device.
type Item struct {
	Kind    string
	Count   int64 // of this device, rising
	Reading Reading
	Base    string // of digits alone: the value is Base and Steps of Step
	Step    string
	Steps   string
	Seen    int    // readings of the position that the writer knew of
	Target  string // key of the reading that is amended or answered about
	Reason  string
	About   string // the question
	Answer  string
	A, B    string // of a swap
	Because string // of a position that is left
}

// Outcome is what became of one item: a receipt, or what is wrong with it.
type Outcome struct {
	Key      entry.Key
	Receipt  *entry.Receipt // nil: refused
	Again    bool
	Position string
	State    string
	Reading  string // key of the reading that now stands, or of the one that was amended
	Others   []job.Reading
	Faults   fault.List
	Perhaps  []unit.Candidate // of a text that is not one number
}

// Entered is a whole batch. Judged knows all of it.
type Entered struct {
	Outcomes []Outcome
	Before   *Judged
	Judged   *Judged
	Missing  int64 // items of this device that never came, as its numbers tell
}

// Enter takes a batch of a device in its order. Each item is stored or refused
// by itself; the job is judged once behind all of them, and before an answer
// that needs to know what was asked.
//
// Errors: a fault where the batch as a whole cannot be taken: no such job, too
// many items, or numbers that do not rise. What is wrong with one item stands
// in its outcome. A broken store ends the batch; what was stored before it is
// in the log, and the whole batch may be sent again.
func (b *Bench) Enter(ctx context.Context, id, device string, items []Item) (Entered, error) {
	j, err := b.Judge(ctx, id)
	if err != nil {
		return Entered{}, err
	}
	if len(items) > MostItems {
		return Entered{}, fault.New(fault.TooLarge, "bench.too-many-items", "found", strconv.Itoa(len(items)), "most", strconv.Itoa(MostItems))
	}
	for i := 1; i < len(items); i++ {
		if items[i].Count <= items[i-1].Count {
			return Entered{}, fault.New(fault.Invalid, "bench.out-of-order", "found", strconv.FormatInt(items[i].Count, 10),
				"before", strconv.FormatInt(items[i-1].Count, 10))
		}
	}
	s := b.slot(id)
	s.mu.Lock()
	defer s.mu.Unlock()
	n := &entering{b: b, ctx: ctx, job: id, device: device, s: s, j: j, fresh: true}
	out := Entered{Before: j}
	for i := range items {
		o, err := n.item(&items[i], &out.Missing)
		if err != nil {
			return Entered{}, err
		}
		out.Outcomes = append(out.Outcomes, o)
	}
	if err := n.settle(); err != nil {
		return Entered{}, err
	}
	out.Judged = n.j
	return out, nil
}

// entering is a batch on its way into the log; the slot of its job is held.
type entering struct {
	b      *Bench
	ctx    context.Context
	job    string
	device string
	s      *slot
	j      *Judged // as judged last
	fresh  bool    // j knows all that was written
}

// settle judges what was written since.
func (n *entering) settle() error {
	if n.fresh {
		return nil
	}
	j, err := n.b.judge(n.ctx, n.job, n.s)
	if err != nil {
		return err
	}
	n.j, n.fresh = j, true
	return nil
}

// item stores one item, or says what is wrong with it. Only what no person can
// mend is an error.
func (n *entering) item(it *Item, missing *int64) (Outcome, error) {
	key := it.Reading.Key
	o := Outcome{Key: key, Position: it.Reading.Position, State: it.Reading.State}
	st, err := n.b.states.Job(n.ctx, n.job)
	if err != nil {
		return o, err
	}
	known := written(&Judged{Job: st}, key)
	if last, ok := n.s.counts[n.device]; ok && !known {
		if it.Count <= last {
			o.Faults = fault.List{fault.New(fault.Conflict, "bench.came-late", "found", strconv.FormatInt(it.Count, 10), "last", strconv.FormatInt(last, 10))}
			return o, nil
		}
		*missing += it.Count - last - 1
	}
	e, faults, err := n.entry(it, &o, st)
	if err != nil {
		return o, err
	}
	if len(faults) == 0 {
		o.Receipt, o.Again, err = n.append(e)
		if f := mendable(err); f != nil {
			faults, err = fault.List{f}, nil
		}
	}
	if err != nil {
		return o, err
	}
	o.Faults = faults
	if n.s.counts == nil {
		n.s.counts = map[string]int64{}
	}
	if it.Count > n.s.counts[n.device] && len(n.s.counts) < mostDevices {
		n.s.counts[n.device] = it.Count
	}
	return o, nil
}

// mostDevices bounds the devices whose numbers are remembered for one job.
const mostDevices = 1000

// mendable is a fault that belongs to the item, not to the machine.
func mendable(err error) *fault.Fault {
	var f *fault.Fault
	if errors.As(err, &f) && f.Code != fault.Broken {
		return f
	}
	return nil
}

// append writes one entry; the same fact under the same key is answered with
// its first receipt.
func (n *entering) append(e entry.Entry) (*entry.Receipt, bool, error) {
	first, err := n.b.stored(n.ctx, n.job, e)
	if err != nil || first != nil {
		return first, first != nil, err
	}
	got, err := n.b.store.Append(n.ctx, []entry.Entry{e})
	if err != nil {
		return nil, false, err
	}
	n.fresh = false
	return &got[0], false, nil
}

// entry makes the entry of an item; faults are sentences for whoever typed it.
func (n *entering) entry(it *Item, o *Outcome, st *job.State) (entry.Entry, fault.List, error) {
	kind, payload, faults := entry.Kind(""), any(nil), fault.List(nil)
	if it.Reading.Mark == 0 {
		it.Reading.Mark = '.'
	}
	if m := it.Reading.Mark; m != '.' && m != ',' {
		return entry.Entry{}, fault.List{fault.New(fault.Invalid, "bench.bad-mark", "found", string(rune(m))).In("mark")}, nil
	}
	if it.Kind == ItemAnswer {
		if err := n.settle(); err != nil {
			return entry.Entry{}, nil, err
		}
	}
	now := &Judged{Assessment: n.j.Assessment, Layout: n.j.Layout, Newest: n.j.Newest, Job: st, Shop: n.j.Shop}
	switch it.Kind {
	case ItemReading:
		kind = entry.Reading
		payload, faults = n.reading(now, it, o)
	case ItemCorrection:
		kind = entry.Correction
		payload, faults = n.correction(now, it, o)
	case ItemWithdrawal:
		kind = entry.Withdrawal
		payload, faults = n.withdrawal(now, it, o)
	case ItemAnswer:
		kind = entry.Answered
		payload, faults = n.answer(now, it, o)
	case ItemLeft:
		kind = entry.NotMeasured
		payload, faults = n.left(now, it, o)
	case ItemSwap:
		kind = entry.Swapped
		payload, faults = n.swap(now, it)
	default:
		return entry.Entry{}, fault.List{fault.New(fault.Invalid, "bench.unknown-item", "found", it.Kind).In("kind")}, nil
	}
	if len(faults) > 0 {
		return entry.Entry{}, faults, nil
	}
	e, err := entry.New(entry.JobStream(n.job), it.Reading.Key, kind, it.Reading.Person, n.device, n.b.when(it.Reading.Time), payload)
	if err == nil {
		err = e.Check()
	}
	if f := mendable(err); f != nil {
		return e, fault.List{f}, nil
	}
	return e, nil, err
}

// reading checks a reading and finds what others read there meanwhile.
func (n *entering) reading(j *Judged, it *Item, o *Outcome) (any, fault.List) {
	in := it.Reading
	in.Job = n.job
	if faults := stepped(&in, it); faults != nil {
		return nil, faults
	}
	typed := in.Value
	r, faults := check(n.b, j, &in)
	o.Position, o.State, o.Reading = r.Position, r.State, in.Key.String()
	if len(faults) > 0 {
		o.Perhaps = perhaps(j, &in, typed)
		return nil, faults
	}
	if it.Steps != "" {
		r.Typed = strings.TrimSpace(it.Base) + " " + it.Steps + " × " + strings.TrimSpace(it.Step)
	}
	o.Others = others(j.Job, r.Position, r.State, n.device, it.Seen, in.Key.String())
	return r, nil
}

// others lists what other people or devices read at a position that the writer
// did not know of.
func others(s *job.State, position, state, device string, seen int, own string) []job.Reading {
	var there, out []job.Reading
	for i := range s.Readings {
		if r := &s.Readings[i]; r.Position == position && r.State == state && r.Counts() && r.Key != own {
			there = append(there, *r)
		}
	}
	for _, r := range there[min(seen, len(there)):] {
		if deviceOf(s, r.Key) != device {
			out = append(out, r)
		}
	}
	return out
}

// deviceOf is the device that an entry came from.
func deviceOf(s *job.State, key string) string {
	for i := len(s.Lines) - 1; i >= 0; i-- {
		if s.Lines[i].Key == key {
			return s.Lines[i].Device
		}
	}
	return ""
}

// perhaps lists what a text that is no number may stand for.
func perhaps(j *Judged, in *Reading, typed string) []unit.Candidate {
	at, ok := j.Layout.Find(in.Position)
	if !ok || in.Mark != '.' && in.Mark != ',' {
		return nil
	}
	ch := j.Layout.Places[at].Char
	if ch.Quantity == family.Check {
		return nil
	}
	if _, err := unit.Parse(strings.TrimSpace(typed), in.Unit, in.Mark); err == nil {
		return nil
	}
	var out []unit.Candidate
	for _, c := range unit.Readings(typed, in.Unit, in.Mark) {
		if c.Dim == ch.Dim() {
			out = append(out, c)
		}
	}
	return out
}

// stepped works out a value that was typed as steps from a base, and holds it
// against what the page showed for it.
func stepped(in *Reading, it *Item) fault.List {
	if it.Steps == "" {
		return nil
	}
	base, err := unit.Parse(it.Base, "", '.')
	if err != nil {
		return fault.List{fault.New(fault.Invalid, "bench.bad-base", "found", it.Base).In("value")}
	}
	step, err := unit.Parse(it.Step, "", '.')
	if err != nil {
		return fault.List{fault.New(fault.Invalid, "bench.bad-base", "found", it.Step).In("value")}
	}
	steps, err := strconv.ParseInt(it.Steps, 10, 32)
	if err != nil {
		return fault.List{fault.New(fault.Invalid, "bench.bad-steps", "found", it.Steps).In("value")}
	}
	q, ok := unit.Steps(base, step, steps)
	if !ok {
		return fault.List{fault.New(fault.Invalid, "bench.bad-base", "found", it.Base).In("value")}
	}
	if shown, err := unit.Parse(in.Value, in.Unit, in.Mark); err != nil || shown.N != q.N || shown.Dim != q.Dim {
		return fault.List{fault.New(fault.Conflict, "bench.other-value", "shown", in.Value, "found", q.String()).In("value")}
	}
	return nil
}

// correction puts a reading in the place of another.
func (n *entering) correction(j *Judged, it *Item, o *Outcome) (any, fault.List) {
	a := Amendment{Job: n.job, Target: it.Target, Reason: it.Reason, Person: it.Reading.Person, Key: it.Reading.Key}
	old, faults := n.b.target(j, a)
	if old == nil {
		return nil, faults
	}
	in := it.Reading
	in.Job, in.Position = n.job, old.Position
	if in.State == "" {
		in.State = old.State
	}
	more := stepped(&in, it)
	r, wrong := check(n.b, j, &in)
	o.Position, o.State, o.Reading = old.Position, old.State, in.Key.String()
	if faults = dedupe(append(append(faults, more...), wrong...)); len(faults) > 0 {
		o.Perhaps = perhaps(j, &in, in.Value)
		return nil, faults
	}
	return job.CorrectionV1{Target: it.Target, Reading: r, Reason: strings.TrimSpace(it.Reason)}, nil
}

// withdrawal takes a reading back. Within ten seconds nobody asks why.
func (n *entering) withdrawal(j *Judged, it *Item, o *Outcome) (any, fault.List) {
	a := Amendment{Job: n.job, Target: it.Target, Reason: strings.TrimSpace(it.Reason), Person: it.Reading.Person, Key: it.Reading.Key}
	if a.Reason == "" && n.justNow(j.Job, it) {
		a.Reason = "undone"
	}
	old, faults := n.b.target(j, a)
	if old != nil {
		o.Position, o.State, o.Reading = old.Position, old.State, old.Key
	}
	if len(faults) > 0 {
		return nil, faults
	}
	return job.WithdrawalV1{Target: it.Target, Reason: a.Reason}, nil
}

// justNow reports a reading that its own writer takes back within ten seconds.
// Both times are the writer's, so that a queue that waited for the network, or a
// clock that is wrong, does not matter.
func (n *entering) justNow(s *job.State, it *Item) bool {
	for i := len(s.Lines) - 1; i >= 0; i-- {
		if l := &s.Lines[i]; l.Key == it.Target {
			d := n.b.when(it.Reading.Time) - l.Time
			return l.Device == n.device && d >= 0 && d <= undoable
		}
	}
	return false
}

// answer answers a question about a reading.
func (n *entering) answer(j *Judged, it *Item, o *Outcome) (any, fault.List) {
	old, ok := n.j.Job.Find(it.Target)
	if !ok {
		return nil, fault.List{fault.New(fault.Missing, "bench.no-reading", "found", it.Target).In("target")}
	}
	o.Position, o.State, o.Reading = old.Position, old.State, old.Key
	var faults fault.List
	if !written(j, it.Reading.Key) { // an answer may end its question
		faults = answerFaults(n.j, it.Target, it.About, it.Answer)
	}
	faults = append(append(faults, tooLong("reason", it.Reason)...), personFaults(n.j.Shop, it.Reading.Person)...)
	return job.AnsweredV1{Target: it.Target, About: it.About, Answer: it.Answer, Reason: strings.TrimSpace(it.Reason)}, faults
}

// answerFaults says what is wrong with an answer: to a question that nobody
// asked, or none at all.
func answerFaults(j *Judged, target, question, answer string) fault.List {
	var faults fault.List
	asked := question == TwoHands && read(j.Job, target) > 1
	for i := range j.Assessment.Questions {
		q := &j.Assessment.Questions[i]
		asked = asked || q.Key == target && q.ID == question
	}
	if !asked {
		faults = append(faults, fault.New(fault.Conflict, "bench.no-question", "found", question).In("question"))
	}
	switch answer {
	case "keep", "wrong", "corrected", "repeat":
	default:
		faults = append(faults, fault.New(fault.Invalid, "bench.answer", "found", answer).In("answer"))
	}
	return faults
}

// read counts the readings of the position and state of one of them.
func read(s *job.State, key string) int {
	r, ok := s.Find(key)
	if !ok {
		return 0
	}
	n := 0
	for i := range s.Readings {
		if o := &s.Readings[i]; o.Position == r.Position && o.State == r.State {
			n++
		}
	}
	return n
}

// left says why a position was not measured.
func (n *entering) left(j *Judged, it *Item, o *Outcome) (any, fault.List) {
	p := job.NotMeasuredV1{Position: it.Reading.Position, State: it.Reading.State, Because: strings.TrimSpace(it.Because), Note: strings.TrimSpace(it.Reading.Note)}
	if p.State == "" {
		p.State = job.Found
	}
	o.Position, o.State = p.Position, p.State
	var faults fault.List
	at, ok := j.Layout.Find(p.Position)
	switch {
	case !ok:
		faults = append(faults, fault.New(fault.Invalid, "bench.no-position", "found", p.Position).In("position"))
	case j.Layout.Places[at].Char.Relation != "":
		faults = append(faults, fault.New(fault.Invalid, "bench.derived").In("position"))
	}
	if !job.KnownState(p.State) {
		faults = append(faults, fault.New(fault.Invalid, "bench.unknown-state", "found", p.State).In("state"))
	}
	if p.Because == "" {
		faults = append(faults, fault.New(fault.Invalid, "bench.no-because").In("because"))
	}
	faults = append(append(faults, tooLong("because", p.Because)...), tooLong("note", p.Note)...)
	return p, append(faults, personFaults(j.Shop, it.Reading.Person)...)
}

// swap says that the readings of two parts were taken for one another.
func (n *entering) swap(j *Judged, it *Item) (any, fault.List) {
	p := job.SwappedV1{A: it.A, B: it.B, State: it.Reading.State, Reason: strings.TrimSpace(it.Reason)}
	if p.State == "" {
		p.State = job.Found
	}
	var faults fault.List
	if p.Reason == "" {
		faults = append(faults, fault.New(fault.Invalid, "bench.no-reason").In("reason"))
	}
	moved := false
	for i := range j.Job.Readings {
		r := &j.Job.Readings[i]
		if r.State != p.State {
			continue
		}
		for _, way := range [2][2]string{{p.A, p.B}, {p.B, p.A}} {
			rest, in := strings.CutPrefix(r.Position+"/", way[0]+"/")
			if !in || way[0] == "" {
				continue
			}
			to := strings.TrimSuffix(way[1]+"/"+rest, "/")
			if _, ok := j.Layout.Find(to); !ok {
				return nil, append(faults, fault.New(fault.Invalid, "bench.no-position", "found", to).In("b"))
			}
			moved = true
		}
	}
	if !moved || p.A == p.B || strings.HasPrefix(p.A+"/", p.B+"/") || strings.HasPrefix(p.B+"/", p.A+"/") {
		faults = append(faults, fault.New(fault.Invalid, "bench.nothing-to-swap", "a", p.A, "b", p.B).In("a"))
	}
	return p, append(append(faults, tooLong("reason", p.Reason)...), personFaults(j.Shop, it.Reading.Person)...)
}

// Asked lists the open questions about one reading.
func (j *Judged) Asked(key string) []assess.Question {
	var out []assess.Question
	for _, q := range j.Assessment.Questions {
		if q.Key == key && q.Answer == "" {
			out = append(out, q)
		}
	}
	return out
}
