package view

import (
	"sort"
	"strings"

	"fettle/internal/base/unit"
	"fettle/internal/facts/job"
	"fettle/internal/judge/assess"
	"fettle/internal/know/family"
	"fettle/internal/show/plot"
)

// Bench is the page at which readings are typed. What its script works with
// comes as a BenchSheet; this is what stands there before and without it.
type Bench struct {
	Frame
	Component string
	Part      Link
	Drawing   Drawing
	Sheet     string // address of the sheet
	Enter     string // where entries go
	Live      string // where changes are told
	Person    string
	State     string
	Version   string // of the scripts
	Mark      string
	Keys      []BenchKey
	Pad       []BenchKey
}

// BenchKey is a button of the bench with the key that does the same.
type BenchKey struct {
	Do, Word, Key string
	Wide          bool
}

// BenchSheet is a part as the bench page works with it, sent as JSON.
type BenchSheet struct {
	Job       string                  `json:"job"`
	Component string                  `json:"component"`
	Part      string                  `json:"part"`
	Heading   string                  `json:"heading"`
	Family    string                  `json:"family"`
	State     string                  `json:"state"`
	Head      string                  `json:"head"`
	Seq       int64                   `json:"seq"`
	Person    string                  `json:"person"`
	Mark      string                  `json:"mark"`
	Lang      string                  `json:"lang"`
	Way       string                  `json:"way"`
	First     []string                `json:"first"`
	At        int                     `json:"at"` // slot at which this person goes on; -1: all is done
	Slots     []BenchSlot             `json:"slots"`
	Marks     map[string]string       `json:"marks"` // position -> verdict, of all that the drawing shows
	Drawing   Drawing                 `json:"drawing,omitempty"`
	Parts     []BenchPart             `json:"parts,omitempty"`
	People    []BenchChoice           `json:"people,omitempty"`
	Gauges    []BenchChoice           `json:"gauges,omitempty"`
	States    []BenchChoice           `json:"states,omitempty"`
	Because   []BenchChoice           `json:"because,omitempty"`
	Reasons   []BenchChoice           `json:"reasons,omitempty"`
	Signs     map[string]BenchVerdict `json:"signs,omitempty"`
	Say       map[string]string       `json:"say,omitempty"`
	Chars     []BenchChoice           `json:"chars,omitempty"`
}

// BenchChoice is one option.
type BenchChoice struct {
	ID   string   `json:"id"`
	Text string   `json:"text"`
	For  []string `json:"for,omitempty"` // quantities it can measure; none for masters alone
}

// BenchVerdict is a verdict's word and sign.
type BenchVerdict struct {
	Word string  `json:"word"`
	Sign Drawing `json:"sign"`
}

// BenchPart is a part of the engine with how much of it is open.
type BenchPart struct {
	ID   string `json:"id"`
	Name string `json:"name"`
	Open int    `json:"open"`
	All  int    `json:"all"`
}

// BenchSlot is one position as the page shows and arms it.
type BenchSlot struct {
	ID        string          `json:"id"`
	Char      string          `json:"char"`
	Name      string          `json:"name"`
	Where     string          `json:"where"`
	Short     string          `json:"short"`
	Check     bool            `json:"check,omitempty"`
	Quantity  string          `json:"quantity"`
	Unit      string          `json:"unit,omitempty"`
	Units     []string        `json:"units,omitempty"`
	Decimals  int             `json:"decimals"`
	Nominal   string          `json:"nominal,omitempty"` // canonical, with unit
	Limits    string          `json:"limits,omitempty"`
	Low       string          `json:"low,omitempty"` // plausible, canonical, in Unit
	High      string          `json:"high,omitempty"`
	Sign      bool            `json:"sign,omitempty"` // a reading may be below nought
	Gauge     string          `json:"gauge,omitempty"`
	Master    string          `json:"master,omitempty"`
	Needs     []BenchChoice   `json:"needs,omitempty"`
	Condition []string        `json:"condition,omitempty"`
	N         int             `json:"n"` // readings that count in this state
	Last      []BenchLast     `json:"last,omitempty"`
	Verdict   string          `json:"verdict"`
	Value     string          `json:"value,omitempty"`
	Toward    string          `json:"toward,omitempty"`
	Amount    string          `json:"amount,omitempty"`
	Bar       Drawing         `json:"bar,omitempty"`
	Left      string          `json:"left,omitempty"` // why it was not measured
	Questions []BenchQuestion `json:"questions,omitempty"`
}

// BenchLast is a reading as typed.
type BenchLast struct {
	Key  string `json:"key"`
	Text string `json:"text"`
	Who  string `json:"who,omitempty"`
	Void string `json:"void,omitempty"`
}

// BenchQuestion is an open question about a reading.
type BenchQuestion struct {
	Key      string `json:"key"` // of the reading
	ID       string `json:"id"`
	Position string `json:"position"`
	Text     string `json:"text"`
}

// Slot makes one position of a sheet.
func (c *Case) Slot(r Reader, place int, state string) BenchSlot {
	p := &c.Layout.Places[place]
	ch := p.Char
	s := BenchSlot{ID: p.ID, Char: ch.ID, Name: ch.Name.In(r.Lang), Where: c.where(r, ch.Per, p.At), Short: short(p.At), Check: ch.Quantity == family.Check,
		Quantity: ch.Quantity, Unit: ch.Unit, Decimals: ch.Decimals, Verdict: string(assess.Unmeasured)}
	if !s.Check {
		s.Units = benchUnits(ch)
		if !ch.Nominal.IsZero() {
			s.Nominal = ch.Nominal.String()
		}
		lo, hi, _ := c.Assessment.Plausible(p.ID, state)
		if lo != nil {
			s.Low = unit.Format(*lo, ch.Unit, ch.Decimals+1)
		}
		if hi != nil {
			s.High = unit.Format(*hi, ch.Unit, ch.Decimals+1)
		}
		s.Sign = lo == nil || *lo < 0
	}
	for _, k := range ch.Condition {
		s.Needs = append(s.Needs, BenchChoice{ID: k, Text: c.arg(r, "condition", k)})
	}
	c.slotValue(r, p, state, &s)
	c.slotReadings(r, p, state, &s)
	for i := range c.Assessment.Questions {
		if q := &c.Assessment.Questions[i]; q.Position == p.ID && q.State == state && q.Answer == "" {
			s.Questions = append(s.Questions, c.benchQuestion(r, q))
		}
	}
	return s
}

// benchUnits are the units that a shop types for a kind of quantity, its own
// first.
func benchUnits(ch *family.Characteristic) []string {
	out := []string{ch.Unit}
	for _, u := range unit.Names(ch.Dim()) {
		switch u {
		case ch.Unit, "nm", "cm", "m":
			continue
		}
		out = append(out, u)
	}
	return out
}

func (c *Case) benchQuestion(r Reader, q *assess.Question) BenchQuestion {
	return BenchQuestion{Key: q.Key, ID: q.ID, Position: q.Position, Text: c.question(r, q).Text}
}

// Asked lists the open questions of a case that another, earlier one did not
// have.
func (c *Case) Asked(r Reader, before *assess.Assessment) []BenchQuestion {
	type name struct{ key, id string }
	old := map[name]bool{}
	for i := range before.Questions {
		if q := &before.Questions[i]; q.Answer == "" {
			old[name{q.Key, q.ID}] = true
		}
	}
	out := []BenchQuestion{}
	for i := range c.Assessment.Questions {
		if q := &c.Assessment.Questions[i]; q.Answer == "" && !old[name{q.Key, q.ID}] {
			out = append(out, c.benchQuestion(r, q))
		}
	}
	return out
}

// slotValue fills what is judged of a position.
func (c *Case) slotValue(r Reader, p *family.Place, state string, s *BenchSlot) {
	v, ok := c.Assessment.Find(p.ID, state)
	if !ok {
		v = &assess.Value{Position: p.ID, State: state, Verdict: assess.Unmeasured, Check: s.Check}
		l := p.Used
		if l == nil || state != job.Found {
			l = p.New
		}
		if l != nil {
			v.Limit = &assess.Bounds{For: l.For, Min: l.Min.String(), Max: l.Max.String(), Must: l.Must}
			s.Limits = r.between(v.Limit.Min, v.Limit.Max, p.Char.Unit, l.Must)
			v.Limit = nil
		}
	}
	s.Verdict = string(v.Verdict)
	if v.Y != "" {
		s.Value = r.With(c.check(r, v.Y), v.Unit)
	}
	if l := c.limits(r, v); l != nil {
		s.Limits = l.Range + ", " + l.For
	}
	if !s.Check && (v.Limit != nil || v.Has) {
		s.Bar = Drawing(c.bar(r, v).RowSVG())
	}
	if v.Verdict == assess.Reject && !v.Check {
		s.Toward, s.Amount = toward(v), c.amountOf(r, v)
	}
	if _, left := c.Job.Left(p.ID, state); left {
		s.Left = c.Say(r, v.Why)
	}
}

// slotReadings fills the last three readings, and what was taken in hand for
// the last one of this characteristic.
func (c *Case) slotReadings(r Reader, p *family.Place, state string, s *BenchSlot) {
	for i := len(c.Job.Readings) - 1; i >= 0; i-- {
		rd := &c.Job.Readings[i]
		if rd.Position != p.ID || rd.State != state {
			continue
		}
		if rd.Counts() {
			s.N++
		}
		if len(s.Last) < 3 {
			s.Last = append(s.Last, c.Last(r, rd))
		}
	}
	u := c.usual()[p.Char.ID]
	s.Gauge, s.Master, s.Condition = u.gauge, u.master, u.condition
	if s.Gauge == "" {
		s.Gauge, s.Master = c.onlyGauge(p.Char)
	}
}

// Last is one reading in brief.
func (c *Case) Last(r Reader, rd *job.Reading) BenchLast {
	l := BenchLast{Key: rd.Key, Text: r.With(c.check(r, rd.Value), rd.Unit), Who: c.person(rd.Person)}
	if !rd.Counts() {
		l.Void = r.T("page.void." + rd.Voided)
	}
	return l
}

// used is what the last reading of a characteristic was taken with.
type used struct {
	gauge, master string
	condition     []string
}

// usual finds what each characteristic was read with last.
func (c *Case) usual() map[string]used {
	c.once.Do(func() {
		c.last = map[string]used{}
		for i := range c.Job.Readings {
			rd := &c.Job.Readings[i]
			if p := c.place(rd.Position); p != nil && rd.Gauge+rd.Master != "" {
				c.last[p.Char.ID] = used{rd.Gauge, rd.Master, rd.Condition}
			}
		}
	})
	return c.last
}

// onlyGauge is the one gauge of the shop of the usual type, if it is one.
func (c *Case) onlyGauge(ch *family.Characteristic) (gauge, master string) {
	if c.Shop == nil || len(ch.Gauges) == 0 {
		return "", ""
	}
	for id, g := range c.Shop.Gauges {
		if g.Type != ch.Gauges[0] {
			continue
		}
		if gauge != "" {
			return "", ""
		}
		gauge, master = id, g.Master
	}
	return gauge, master
}

// Changed lists the verdicts of a component that were others before.
func (c *Case) Changed(before *assess.Assessment, component, state string) map[string]string {
	out := map[string]string{}
	for _, s := range c.spots(component) {
		v := s.in(state)
		if v == nil {
			v = s.latest()
		}
		if old, ok := before.Find(v.Position, v.State); !ok || old.Verdict != v.Verdict {
			out[v.Position] = string(v.Verdict)
		}
	}
	return out
}

// Marks are the verdicts of all positions of a component in a state.
func (c *Case) Marks(component, state string) map[string]string {
	out := map[string]string{}
	for _, s := range c.spots(component) {
		v := s.in(state)
		if v == nil {
			v = s.latest()
		}
		out[s.place.ID] = string(v.Verdict)
	}
	return out
}

// BenchParts lists the parts of a job in the order in which an engine is gone
// through, with how many positions are open in a state.
func (c *Case) BenchParts(r Reader, state string) []BenchPart {
	done := map[string]bool{}
	for i := range c.Job.Readings {
		if rd := &c.Job.Readings[i]; rd.Counts() && rd.State == state {
			done[rd.Position] = true
		}
	}
	open, all := map[string]int{}, map[string]int{}
	for i := range c.Layout.Places {
		p := &c.Layout.Places[i]
		if p.Char.Relation != "" {
			continue
		}
		id := p.Char.Component()
		all[id]++
		if _, left := c.Job.Left(p.ID, state); !done[p.ID] && !left {
			open[id]++
		}
	}
	var out []BenchPart
	for _, system := range systemOrder() {
		for i := range c.Layout.Family.Components {
			k := &c.Layout.Family.Components[i]
			if k.System == system && all[k.ID] > 0 && c.Job.InScope(k.System) {
				out = append(out, BenchPart{k.ID, k.Name.In(r.Lang), open[k.ID], all[k.ID]})
			}
		}
	}
	return out
}

// BenchSheet makes the sheet of a part; places are its positions in the
// person's order. Whole says that choices and words come along, drawn that
// the drawing does.
func (c *Case) BenchSheet(r Reader, component, state string, places []int, whole, drawn bool) BenchSheet {
	v := BenchSheet{Job: c.id(), Component: component, Part: c.Part(r, component), Family: c.Layout.Family.ID, State: state, Head: c.Job.Head.Short(),
		Seq: c.Job.Seq, Mark: string(r.Mark), Lang: r.Lang, Slots: make([]BenchSlot, 0, len(places)), Marks: c.Marks(component, state), First: []string{}}
	v.Heading = r.T("page.bench.title", "part", v.Part)
	for _, p := range places {
		v.Slots = append(v.Slots, c.Slot(r, p, state))
	}
	if !whole {
		return v
	}
	if drawn {
		v.Drawing = c.part(r, component, state, "")
	}
	v.Parts = c.BenchParts(r, state)
	for _, p := range c.people(r, "") {
		if p.Value != "" {
			v.People = append(v.People, BenchChoice{ID: p.Value, Text: p.Text})
		}
	}
	v.Gauges = c.benchGauges(r)
	for _, s := range c.choicesOfState(r, state) {
		v.States = append(v.States, BenchChoice{ID: s.Value, Text: s.Text})
	}
	for _, k := range becauses() {
		v.Because = append(v.Because, BenchChoice{ID: k, Text: r.T("page.because." + k)})
	}
	for _, k := range []string{"mistyped", "place", "slipped", "gauge"} {
		v.Reasons = append(v.Reasons, BenchChoice{ID: r.T("page.reason." + k), Text: r.T("page.reason." + k)})
	}
	v.Signs = map[string]BenchVerdict{}
	all := verdicts()
	for _, vd := range append(all[:], plot.NoLimit) {
		v.Signs[string(vd)] = BenchVerdict{verdictWord(r, assess.Verdict(vd)), Sign(vd)}
	}
	seen := map[string]bool{}
	for _, p := range places {
		if ch := c.Layout.Places[p].Char; !seen[ch.ID] {
			seen[ch.ID] = true
			v.Chars = append(v.Chars, BenchChoice{ID: ch.ID, Text: ch.Name.In(r.Lang)})
		}
	}
	v.Say = map[string]string{}
	for _, k := range c.Library.Book("en").Keys() {
		if rest, ok := strings.CutPrefix(k, "page.bench."); ok {
			v.Say[rest] = r.T(k)
		}
	}
	return v
}

// becauses are the plain words for why a position was not measured.
func becauses() []string {
	return []string{"unreachable", "damaged", "missing", "no-gauge", "not-clean", "other-first"}
}

// benchGauges lists what the shop measures with, and what it can be set on.
func (c *Case) benchGauges(r Reader) []BenchChoice {
	if c.Shop == nil {
		return nil
	}
	var out []BenchChoice
	for id, g := range c.Shop.Gauges {
		k := BenchChoice{ID: id, Text: c.gauge(r, id)}
		if in, ok := c.Library.Instruments[g.Type]; ok {
			k.For = []string{in.Quantity}
		}
		out = append(out, k)
	}
	sort.Slice(out, func(i, k int) bool { return out[i].ID < out[k].ID })
	return out
}

// benchKeys are the keys of the bench, each with the key of its word.
func benchKeys() []BenchKey {
	return []BenchKey{{Do: "store", Word: "enter", Key: "⏎"}, {Do: "back", Word: "back", Key: "/1"}, {Do: "skip", Word: "skip", Key: "/2"},
		{Do: "repeat", Word: "repeat", Key: "∗"}, {Do: "cannot", Word: "cannot", Key: "/3"}, {Do: "undo", Word: "undo", Key: "/4"},
		{Do: "unit", Word: "unit", Key: "/5"}, {Do: "steps", Word: "steps", Key: "/6"}}
}

// BenchPage makes the page of a part; ok is false where the engine has none of
// that name, or nothing is measured on it.
func (c *Case) BenchPage(r Reader, component, person, state, version string) (v Bench, ok bool) {
	comp := c.Layout.Component(component)
	if comp == nil {
		return v, false
	}
	v.Frame = c.frame(r, r.T("page.bench.title", "part", c.Part(r, component)), "bench", component, state)
	v.Component, v.Person, v.State, v.Version, v.Mark = component, person, state, version, string(r.Mark)
	v.Part = Link{Href: JobHref(c.id(), "part", component), Text: c.Part(r, component)}
	v.Drawing = c.part(r, component, state, "")
	base := JobHref(c.id(), "bench")
	v.Sheet, v.Enter, v.Live = base, base, JobHref(c.id(), "live")
	for _, k := range benchKeys() {
		k.Word = r.T("page.bench.do." + k.Word)
		v.Keys = append(v.Keys, k)
	}
	for _, k := range []string{"7", "8", "9", "rub", "4", "5", "6", "sign", "1", "2", "3", "mark", "0"} {
		b := BenchKey{Do: k, Word: k, Wide: k == "0"}
		switch k {
		case "mark":
			b.Word = string(r.Mark)
		case "sign":
			b.Word = "±"
		}
		v.Pad = append(v.Pad, b)
	}
	for i := range c.Layout.Places {
		if ch := c.Layout.Places[i].Char; ch.Component() == component && ch.Relation == "" {
			return v, true
		}
	}
	return v, false
}
