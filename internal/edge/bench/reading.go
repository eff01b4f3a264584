package bench

import (
	"context"
	"strconv"
	"strings"
	"unicode/utf8"

	"fettle/internal/base/fault"
	"fettle/internal/base/unit"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/facts/shop"
	"fettle/internal/judge/assess"
	"fettle/internal/know/family"
)

// Reading is a reading as a person or a program gives it: texts, as typed.
type Reading struct {
	Job, Position, State string
	Value, Unit          string // a unit inside Value wins over Unit
	Mark                 byte   // decimal mark of every number here
	Gauge, Master        string
	PartTemp, GaugeTemp  string // °C
	Condition            []string
	Note                 string
	Transcribed          bool
	Person, Device       string
	Key                  entry.Key
	Time                 int64 // writer's clock, µs; 0 takes the bench's
}

// Bounds of what a workshop can mean.
const (
	coldest, hottest = -20, 80 // °C, of a part or a gauge while measuring
	mostNote         = 400     // letters of a remark or a reason
)

// Done is what became of a reading, with the value before and after it.
type Done struct {
	Receipt
	Reading       job.ReadingV1
	Before, After *assess.Value // nil where there is none
}

// RecordReading checks a reading against family and shop, stores it and says
// what it changed.
//
// Errors: every problem at once, each with the field it belongs to as its path.
func (b *Bench) RecordReading(ctx context.Context, in Reading) (Done, error) {
	j, err := b.Judge(ctx, in.Job)
	if err != nil {
		return Done{}, err
	}
	s := b.slot(in.Job)
	s.mu.Lock()
	defer s.mu.Unlock()
	r, faults := check(b, j, &in)
	if err := faults.OrNil(); err != nil {
		return Done{}, err
	}
	e, err := entry.New(entry.JobStream(in.Job), in.Key, entry.Reading, in.Person, in.Device, b.when(in.Time), r)
	if err != nil {
		return Done{}, err
	}
	return b.done(ctx, j, s, e, r)
}

func (b *Bench) done(ctx context.Context, j *Judged, s *slot, e entry.Entry, r job.ReadingV1) (Done, error) {
	d := Done{Reading: r}
	d.Before, _ = j.Assessment.Find(r.Position, r.State)
	var err error
	if d.Receipt, err = b.write(ctx, j.Assessment.Job, s, e); err != nil {
		return Done{}, err
	}
	d.After, _ = d.Judged.Assessment.Find(r.Position, r.State)
	return d, nil
}

func (b *Bench) when(t int64) int64 {
	if t != 0 {
		return t
	}
	return b.now()
}

// checker gathers what is wrong with one reading.
type checker struct {
	b      *Bench
	j      *Judged
	in     *Reading
	faults fault.List
}

func (c *checker) say(field string, f *fault.Fault) { c.faults = append(c.faults, f.In(field)) }

// check turns a reading as given into the payload of its entry.
func check(b *Bench, j *Judged, in *Reading) (job.ReadingV1, fault.List) {
	c := &checker{b: b, j: j, in: in}
	r := job.ReadingV1{Position: in.Position, State: in.State, Note: strings.TrimSpace(in.Note), Transcript: in.Transcribed}
	if r.State == "" {
		r.State = job.Found
	}
	if in.Mark == 0 {
		in.Mark = '.'
	}
	if in.Mark != '.' && in.Mark != ',' {
		c.say("mark", fault.New(fault.Invalid, "bench.bad-mark", "found", string(rune(in.Mark))))
		return r, c.faults
	}
	at, ok := j.Layout.Find(in.Position)
	if !ok {
		c.say("position", fault.New(fault.Invalid, "bench.no-position", "found", in.Position))
		return r, c.faults
	}
	ch := j.Layout.Places[at].Char
	if ch.Relation != "" {
		c.say("position", fault.New(fault.Invalid, "bench.derived"))
		return r, c.faults
	}
	if comp := j.Layout.Component(ch.Component()); comp != nil && !j.Job.InScope(comp.System) {
		c.say("position", fault.New(fault.Refused, "bench.out-of-scope"))
	}
	if !job.KnownState(r.State) {
		c.say("state", fault.New(fault.Invalid, "bench.unknown-state", "found", r.State))
	}
	if ch.Quantity == family.Check {
		c.pass(&r)
	} else {
		c.number(&r, ch)
	}
	c.gauge(&r, ch)
	r.PartTemp, r.GaugeTemp = c.temperature("part_temp", in.PartTemp), c.temperature("gauge_temp", in.GaugeTemp)
	c.condition(&r)
	c.person(in.Person)
	c.length("note", r.Note)
	return r, c.faults
}

func (c *checker) pass(r *job.ReadingV1) {
	r.Typed = strings.TrimSpace(c.in.Value)
	r.Value = r.Typed
	if r.Value != "pass" && r.Value != "fail" {
		c.say("value", fault.New(fault.Invalid, "bench.check-value"))
	}
	if c.in.Unit != "" {
		c.say("unit", fault.New(fault.Invalid, "bench.check-unit", "found", c.in.Unit))
	}
}

// number reads a value; what was typed stays beside what was understood.
func (c *checker) number(r *job.ReadingV1, ch *family.Characteristic) {
	text := strings.TrimSpace(c.in.Value)
	if text == "" {
		c.say("value", fault.New(fault.Invalid, "bench.no-value"))
		return
	}
	q, err := unit.Parse(text, c.in.Unit, c.in.Mark)
	if err != nil {
		perhaps := unit.Perhaps(text, c.in.Unit, c.in.Mark, ch.Dim())
		for _, f := range fault.All(err) {
			if perhaps != "" {
				f = f.With("perhaps", perhaps)
			}
			c.say("value", f)
		}
		return
	}
	if q.Dim != ch.Dim() {
		c.say("unit", fault.New(fault.Invalid, "bench.wrong-unit", "found", q.Unit, "expected", strings.Join(unit.Names(ch.Dim()), ", ")))
		return
	}
	r.Value, r.Unit, r.Typed = q.Text, q.Unit, text
	if strings.Trim(text, "+-−.,0123456789") == "" { // the unit was chosen, not typed
		r.Typed = text + " " + q.Unit
	}
}

// gauge checks gauge and master against the shop and the kind of quantity.
func (c *checker) gauge(r *job.ReadingV1, ch *family.Characteristic) {
	in := c.in
	if in.Gauge == "" {
		if in.Master != "" && c.j.Shop.Gauges[in.Master] == nil {
			c.say("master", fault.New(fault.Invalid, "bench.unknown-master", "found", in.Master))
		}
		r.Master = in.Master
		return
	}
	g := c.j.Shop.Gauges[in.Gauge]
	if g == nil {
		c.say("gauge", fault.New(fault.Invalid, "bench.unknown-gauge", "found", in.Gauge))
		return
	}
	r.Gauge, r.Master = in.Gauge, in.Master
	kind, ok := c.b.library.Instruments[g.Type]
	if ok && kind.Quantity != ch.Quantity && ch.Quantity != family.Check {
		c.say("gauge", fault.New(fault.Invalid, "bench.wrong-gauge", "found", in.Gauge, "kind", kind.Quantity, "expected", ch.Quantity))
	}
	if r.Master == "" {
		r.Master = g.Master
	}
	if ok && kind.Set == "master" && r.Master == "" {
		c.say("master", fault.New(fault.Invalid, "bench.needs-master", "found", in.Gauge))
	}
	if in.Master != "" && c.j.Shop.Gauges[in.Master] == nil && in.Master != g.Master {
		c.say("master", fault.New(fault.Invalid, "bench.unknown-master", "found", in.Master))
	}
}

func (c *checker) temperature(field, text string) string {
	text = strings.TrimSpace(text)
	if text == "" {
		return ""
	}
	q, err := unit.Parse(text, "°C", c.in.Mark)
	if err != nil {
		perhaps := unit.Perhaps(text, "°C", c.in.Mark, unit.Temperature)
		for _, f := range fault.All(err) {
			if perhaps != "" {
				f = f.With("perhaps", perhaps)
			}
			c.say(field, f)
		}
		return ""
	}
	if t := q.SI(); q.Dim != unit.Temperature || t < coldest || t > hottest {
		c.say(field, fault.New(fault.Invalid, "bench.temperature", "found", q.String(), "least", strconv.Itoa(coldest), "most", strconv.Itoa(hottest)))
	}
	return q.Text
}

func (c *checker) condition(r *job.ReadingV1) {
	for _, k := range c.in.Condition {
		if _, ok := c.b.library.Conditions[k]; !ok {
			c.say("condition", fault.New(fault.Invalid, "bench.unknown-condition", "found", k))
			continue
		}
		r.Condition = append(r.Condition, k)
	}
}

func (c *checker) person(id string) {
	c.faults = append(c.faults, personFaults(c.j.Shop, id)...)
}

// personFaults checks who stands for an entry; a shop without people knows
// nobody and takes any id that is one.
func personFaults(s *shop.State, id string) fault.List {
	if len(s.People) == 0 {
		return nil
	}
	if id == "" {
		return fault.List{fault.New(fault.Invalid, "bench.no-person").In("person")}
	}
	if _, ok := s.People[id]; !ok {
		return fault.List{fault.New(fault.Invalid, "bench.unknown-person", "found", id).In("person")}
	}
	return nil
}

func (c *checker) length(field, text string) {
	c.faults = append(c.faults, tooLong(field, text)...)
}

func tooLong(field, text string) fault.List {
	if n := utf8.RuneCountInString(text); n > mostNote {
		return fault.List{fault.New(fault.TooLarge, "bench.too-long", "found", strconv.Itoa(n), "most", strconv.Itoa(mostNote)).In(field)}
	}
	return nil
}
