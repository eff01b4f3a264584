package demo

import (
	"sort"
	"strconv"
	"strings"
	"time"

	"fettle/internal/base/fault"
	"fettle/internal/base/unit"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/know/family"
	"fettle/internal/know/library"
)

// Made is a job and its shop as their logs would hold them, in the order of
// time, and what a reader of these logs ought to find.
type Made struct {
	Job    []entry.Entry
	Shop   []entry.Entry
	Expect []Expectation
	True   map[string]float64 // size of each measured place at 20 °C, formula units
}

// Make draws the engine, plants its faults and measures it. move puts plants
// elsewhere: from the id of a plant to its new place. The same arguments give
// the same bytes.
func Make(t Truth, l *family.Layout, lib *library.Library, seed uint64, move map[string]string) (Made, fault.List) {
	luck := chance{seed, "job/" + t.Job}
	faults := t.patterns(l)
	plants, fl := t.plants(l, move)
	faults = append(faults, fl...)
	n, fl := t.draw(l, luck)
	faults = append(faults, fl...)
	slips, fl := t.spoil(l, n, plants)
	faults = append(faults, fl...)
	b, fl := equip(&t.Shop, lib, chance{seed, "shop"})
	faults = append(faults, fl...)
	w := &walk{t: &t, l: l, lib: lib, luck: luck, n: n, slips: slips, bench: b, keys: map[string]string{}}
	faults = append(faults, w.sessions()...)
	if len(faults) > 0 {
		return Made{}, faults
	}
	w.open()
	if faults := w.arrive(); len(faults) > 0 {
		return Made{}, faults
	}
	for i := range t.Sessions {
		w.session(i, plants)
	}
	sort.SliceStable(w.job, func(i, j int) bool { return w.job[i].Time < w.job[j].Time })
	return Made{Job: w.job, Shop: append(t.Shop.entries(b, chance{seed, "shop"}), w.shop...),
		Expect: expectations(plants), True: n.size}, nil
}

// walk is one job being measured.
type walk struct {
	t     *Truth
	l     *family.Layout
	lib   *library.Library
	luck  chance
	n     nature
	slips map[string]*Wrote
	bench *bench
	turns [][]*family.Place // places by session
	keys  map[string]string // position -> key of its first reading
	job   []entry.Entry
	shop  []entry.Entry
}

// sessions deals every measured place to the session that measures it and
// checks that there is a gauge for each.
func (w *walk) sessions() fault.List {
	w.turns = make([][]*family.Place, len(w.t.Sessions))
	var faults fault.List
	said := map[string]bool{}
	for _, p := range w.t.measured(w.l) {
		i := w.turn(p)
		if i < 0 && !said[p.Char.ID] {
			said[p.Char.ID] = true
			faults = append(faults, fault.New(fault.Invalid, "demo.no-session", "characteristic", p.Char.ID))
		}
		if p.Char.Quantity != family.Check {
			if g, _ := w.bench.pick(w.t, p, w.n.size[p.ID]); g == nil && !said[p.Char.ID] {
				said[p.Char.ID] = true
				faults = append(faults, fault.New(fault.Invalid, "demo.no-gauge", "position", p.ID))
			}
		}
		if i >= 0 {
			w.turns[i] = append(w.turns[i], p)
		}
	}
	return faults
}

func (w *walk) turn(p *family.Place) int {
	for i, s := range w.t.Sessions {
		if anyLike(s.Of, p.Char.ID) {
			return i
		}
	}
	c := w.l.Component(p.Char.Component())
	for i, s := range w.t.Sessions {
		if c != nil && contains(s.Systems, c.System) {
			return i
		}
	}
	return -1
}

// day is midnight before the first day, in µs since 1970.
func (w *walk) start() time.Time {
	t, err := time.Parse(time.RFC3339, w.t.Start)
	if err != nil {
		panic("demo: Load has checked the start: " + err.Error())
	}
	return t
}

func (w *walk) open() {
	w.put(entry.JobOpened, w.t.Opened, w.start().UnixMicro(), job.OpenedV1{
		Job: w.t.Job, Title: w.t.Title, Family: w.t.Family, Digest: w.lib.Digests[w.t.Family],
		Engine: w.t.Engine, Customer: w.t.Customer, Note: w.t.Note, Use: w.t.Use, Invented: true}, "opened")
}

// put appends an entry to the job; name makes its key, the same for the same
// fact in every run.
func (w *walk) put(kind entry.Kind, by By, at int64, payload any, name ...string) string {
	e := made(entry.JobStream(w.t.Job), w.luck, kind, by, at, payload, name...)
	w.job = append(w.job, e)
	return e.Key.String()
}

func made(stream string, luck chance, kind entry.Kind, by By, at int64, payload any, name ...string) entry.Entry {
	r := luck.stream(append([]string{"key", string(kind)}, name...)...)
	var k entry.Key
	for i := range k {
		k[i] = byte(r.Uint32())
	}
	e, err := entry.New(stream, k, kind, by.Person, by.Device, at, payload)
	if err != nil {
		panic("demo: a payload of text is always written: " + err.Error())
	}
	if _, ok := payload.(job.ObservationV2); ok {
		e.Version = 2
	}
	return e
}

// session measures what is its turn, place after place, characteristic after
// characteristic; repeats are a second walk.
func (w *walk) session(i int, plants []planted) {
	s := &w.t.Sessions[i]
	at, _ := clock(s.At)
	day := w.start().Truncate(24*time.Hour).AddDate(0, 0, s.Day-1)
	m := &measuring{walk: w, s: s, no: strconv.Itoa(i), now: day.Add(at).UnixMicro(), checked: map[string]bool{}}
	for from := 0; from < len(w.turns[i]); {
		to := from
		for to < len(w.turns[i]) && w.turns[i][to].Char == w.turns[i][from].Char {
			to++
		}
		m.characteristic(w.turns[i][from:to])
		from = to
	}
	m.seen(plants)
	m.answer(plants)
	for k, r := range w.t.Remarks {
		if r.After == i+1 {
			m.pass(240)
			w.put(entry.Remark, By{r.Person, s.Device}, m.now, job.RemarkV1{Text: r.Text}, strconv.Itoa(k))
		}
	}
}

// seen writes down the observations on parts that belong to this session.
func (m *measuring) seen(plants []planted) {
	for i := range plants {
		p := &plants[i]
		for k, o := range p.Saw {
			part := p.text(o.Part)
			if m.owner(part) != m.no {
				continue
			}
			m.pass(90)
			m.put(entry.Observation, m.by(), m.now,
				job.ObservationV2{Part: part, At: p.text(o.At), Kind: o.Kind, Severity: o.Severity, Within: o.Within, Absent: o.Absent,
					Others: o.Others, Saw: o.Saw, Note: o.Note}, p.ID, strconv.Itoa(k))
		}
	}
}

// answer answers the questions that a reading of this session will raise, after
// a second look.
func (m *measuring) answer(plants []planted) {
	for i := range plants {
		p := &plants[i]
		for k, a := range p.Answers {
			at := p.text(a.At)
			if !m.mine(at) {
				continue
			}
			m.pass(120)
			m.put(entry.Answered, m.by(), m.now,
				job.AnsweredV1{Target: m.keys[at], About: a.Question, Answer: a.Answer, Reason: a.Reason}, p.ID, strconv.Itoa(k))
		}
	}
}

// mine reports whether a position is measured in this session.
func (m *measuring) mine(position string) bool {
	i, _ := strconv.Atoi(m.no)
	for _, p := range m.turns[i] {
		if p.ID == position {
			return true
		}
	}
	return false
}

// owner is the session that measures a part first, or a whole component last:
// by then it lies on the bench.
func (w *walk) owner(part string) string {
	last := 0
	for i, turn := range w.turns {
		for _, p := range turn {
			if p.Part == part && strings.Contains(part, "/") {
				return strconv.Itoa(i)
			}
			if p.Char.Component() == part {
				last = i
			}
		}
	}
	return strconv.Itoa(last)
}

// celsius writes a temperature as a thermometer shows it.
func celsius(x float64) string { return unit.Format(x, "°C", 1) }
