package view

import (
	"net/url"
	"sort"
	"strings"

	"fettle/internal/base/unit"
	"fettle/internal/facts/job"
	"fettle/internal/judge/assess"
	"fettle/internal/know/family"
)

func query(s string) string { return url.QueryEscape(s) }

// At is the page of one value.
type At struct {
	Frame
	Position  string
	Part      Link
	Drawing   Drawing
	States    []Link
	Plate     Plate
	Bar       Drawing
	Value     Number
	Doubt     string
	Standard  string // the standard's word for it
	Chance    string // probability of being inside
	Limits    *Limits
	Why       string
	Remarks   []string // what it leans on that is not as it should be
	Beyond    []string // of the budget: where its gauge was not calibrated
	Act       string
	Missing   []Link
	Relation  string
	Equation  string
	Source    string
	Because   []Because
	Leaned    []Link // values that lean on this one
	Budget    Drawing
	Shares    []Share
	Rest      string // causes too small to draw
	Readings  []Reading
	Questions []Question
	Derived   bool
	Worth     Worth
	Lacks     []Fact // what this page does not tell, with the reason
	Form      Form
	Photos    []Thumb
	Picture   PhotoForm
	Post      string // where the forms of this page go
}

// Reading is one reading as typed.
type Reading struct {
	Typed     string
	As        string // what was understood, where it reads differently
	Gauge     string
	Master    string
	Temps     string
	Condition string
	Who, When string
	Note      string
	Void      string // corrected, withdrawn
	Reason    string
	Correct   string // address of the form, "" once it no longer counts
	Withdraw  string
	Instead   bool
}

// AtPage makes the page of one value; ok is false where the engine has no such
// position.
func (c *Case) AtPage(r Reader, position, state string, form Form) (v At, ok bool) {
	p := c.place(position)
	if p == nil {
		return v, false
	}
	val := c.valueAt(position, state)
	if val == nil {
		val = &assess.Value{Position: position, State: orLast(state, job.Found), Derived: p.Char.Relation != ""}
		if p.New != nil || p.Used != nil {
			val.Verdict = assess.Unmeasured
		}
	}
	comp := componentOf(position)
	v.Frame = c.frame(r, c.Place(r, position), "", comp, val.State)
	v.Position, v.Derived = position, p.Char.Relation != ""
	v.Part = Link{Href: JobHref(c.id(), "part", comp), Text: c.Part(r, comp)}
	v.Drawing = c.part(r, comp, val.State, position)
	for _, s := range c.spots(comp) {
		if s.place.ID == position && len(s.values) > 1 {
			for _, o := range s.values {
				v.States = append(v.States, Link{AtHref(c.id(), position, o.State), r.State(o.State), o.State == val.State})
			}
		}
	}
	c.judged(r, p, val, &v)
	v.Readings = c.readings(r, position, val.State)
	for i := range c.Assessment.Questions {
		if q := &c.Assessment.Questions[i]; q.Position == position && q.State == val.State {
			v.Questions = append(v.Questions, c.question(r, q))
		}
	}
	v.Photos = c.thumbs(r, func(p *job.PhotoV1) bool { return p.Position == position })
	v.Picture = c.PhotoFormFor(r, form.Key, Pictured{Position: position, Person: chosen(form.People)}, nil)
	v.Form, v.Post = form, AtHref(c.id(), position, "")
	return v, true
}

// StateOf is the last state in which a position has a value, else as found.
func (c *Case) StateOf(position string) string {
	if v := c.valueAt(position, ""); v != nil {
		return v.State
	}
	return job.Found
}

// valueAt finds the value in a state; state "" takes the last one.
func (c *Case) valueAt(position, state string) *assess.Value {
	for _, s := range c.spots(componentOf(position)) {
		if s.place.ID == position {
			if state != "" {
				return s.in(state)
			}
			return s.latest()
		}
	}
	return nil
}

// judged fills what the judgement says of a value.
func (c *Case) judged(r Reader, p *family.Place, val *assess.Value, v *At) {
	v.Plate = c.plate(r, val)
	v.Value = r.number(c.check(r, val.Y), val.Unit)
	v.Doubt, v.Standard = r.doubt(val)
	if val.Conform != "" {
		v.Chance = r.T("page.at.chance", "p", r.Num(val.Conform))
	}
	v.Limits = c.limits(r, val)
	v.Why, v.Act = c.Say(r, val.Why), c.Say(r, val.Act)
	for i := range val.Remarks {
		if s := &val.Remarks[i]; s.Key == assess.Beyond {
			v.Beyond = append(v.Beyond, c.Say(r, s))
		} else {
			v.Remarks = append(v.Remarks, c.Say(r, s))
		}
	}
	for _, m := range val.Missing {
		v.Missing = append(v.Missing, Link{Href: AtHref(c.id(), m, ""), Text: c.Place(r, m)})
	}
	if p.Char.Quantity != family.Check && val.Limit != nil {
		v.Bar = c.large(r, val)
	}
	if why, _ := c.Assessment.Explain(val); why != nil {
		v.Relation, v.Equation = r.relation(why.Relation), why.Equation
		v.Source = c.source(string(why.Source))
		v.Because = c.because(r, val, 0)
	}
	v.Budget, v.Shares, v.Rest = c.budget(r, val)
	v.Worth = c.worth(r, val)
	v.Leaned = c.leaned(r, p, val.State)
	v.Lacks = c.lacks(r, val, v)
}

// leaned lists the values that have this one among their inputs.
func (c *Case) leaned(r Reader, p *family.Place, state string) []Link {
	me, _ := c.Layout.Find(p.ID)
	var out []Link
	for i := range c.Layout.Places {
		q := &c.Layout.Places[i]
		for _, in := range q.In {
			if contains(in.Places, me) {
				out = append(out, Link{Href: AtHref(c.id(), q.ID, state), Text: c.Place(r, q.ID)})
				break
			}
		}
	}
	return out
}

func contains(list []int, n int) bool {
	for _, v := range list {
		if v == n {
			return true
		}
	}
	return false
}

// readings lists what was typed for a position, struck out or not.
func (c *Case) readings(r Reader, position, state string) []Reading {
	var out []Reading
	for i := range c.Job.Readings {
		rd := &c.Job.Readings[i]
		if rd.Position == position && rd.State == state {
			out = append(out, c.reading(r, rd))
		}
	}
	return out
}

func (c *Case) reading(r Reader, rd *job.Reading) Reading {
	v := Reading{Typed: rd.Typed, Gauge: c.gauge(r, rd.Gauge), Master: c.gauge(r, rd.Master), Who: c.person(rd.Person), When: r.Day(rd.Time),
		Note: rd.Note, Instead: rd.Instead != ""}
	switch as := r.With(c.check(r, rd.Value), rd.Unit); {
	case rd.Typed == rd.Value:
		v.Typed = as // typed in a column whose unit stood beside it
	case as != rd.Typed && as != r.Text(rd.Typed):
		v.As = as
	}
	var temps []string
	if rd.PartTemp != "" {
		temps = append(temps, r.T("page.temp.part", "t", r.With(rd.PartTemp, "°C")))
	}
	if rd.GaugeTemp != "" {
		temps = append(temps, r.T("page.temp.gauge", "t", r.With(rd.GaugeTemp, "°C")))
	}
	v.Temps = strings.Join(temps, ", ")
	var cond []string
	for _, k := range rd.Condition {
		cond = append(cond, c.arg(r, "condition", k))
	}
	v.Condition = strings.Join(cond, ", ")
	if !rd.Counts() {
		v.Void, v.Reason = r.T("page.void."+rd.Voided), rd.Reason
		return v
	}
	v.Correct, v.Withdraw = JobHref(c.id(), "correct", rd.Key), JobHref(c.id(), "withdraw", rd.Key)
	return v
}

// Choice is one option of a form.
type Choice struct {
	Value, Text string
	Chosen      bool
}

// Form is the reading form: its choices and what was typed.
type Form struct {
	Key      string // of the entry this form will make
	Mark     string // decimal mark the numbers are read with
	MarkName string
	Check    bool
	Value    string
	Units    []Choice
	Gauges   []Choice
	Masters  []Choice
	States   []Choice
	People   []Choice
	Needs    []Choice // conditions
	PartTemp string
	GaugeT   string
	Note     string
	Reason   string
	Reasons  []Choice
	Faults   map[string]string // field -> sentence
	Problems []string          // sentences that belong to no field
	Last     string            // what was typed before, for a correction
}

// Typed is what a person put into the reading form.
type Typed struct {
	Value, Unit, Gauge, Master, PartTemp, GaugeTemp, Person, State, Note, Reason string
	Condition                                                                    []string
	Fresh                                                                        bool // nothing was typed yet
}

// FormFor makes the reading form of a position. faults are sentences by field,
// with "" for those of none.
func (c *Case) FormFor(r Reader, position, key string, t Typed, faults map[string][]string) Form {
	f := Form{Key: key, Mark: string(r.Mark), MarkName: r.T("page.mark." + markName(r.Mark)), Value: t.Value, PartTemp: t.PartTemp, GaugeT: t.GaugeTemp,
		Note: t.Note, Reason: t.Reason, Faults: map[string]string{}}
	for field, list := range faults {
		if field == "" {
			f.Problems = list
			continue
		}
		f.Faults[field] = strings.Join(list, " ")
	}
	p := c.place(position)
	if p == nil {
		return f
	}
	ch := p.Char
	f.Check = ch.Quantity == family.Check
	want := t.Unit
	if want == "" {
		want = ch.Unit
	}
	for _, u := range unit.Names(ch.Dim()) {
		f.Units = append(f.Units, Choice{u, u, u == want})
	}
	f.Gauges, f.Masters = c.gauges(r, ch, t)
	f.States = c.choicesOfState(r, t.State)
	f.People = c.people(r, t.Person)
	for _, k := range ch.Condition {
		f.Needs = append(f.Needs, Choice{k, c.arg(r, "condition", k), indexOf(t.Condition, k) >= 0})
	}
	for _, k := range []string{"mistyped", "place", "slipped", "gauge"} {
		f.Reasons = append(f.Reasons, Choice{Value: r.T("page.reason." + k), Text: r.T("page.reason." + k)})
	}
	return f
}

func markName(m byte) string {
	if m == ',' {
		return "comma"
	}
	return "point"
}

// gauges lists the shop's gauges that suit a characteristic first, then the
// rest; masters are the gauges and rings a comparator can be set on.
func (c *Case) gauges(r Reader, ch *family.Characteristic, t Typed) (gauges, masters []Choice) {
	none := Choice{Text: r.T("page.form.none"), Chosen: t.Gauge == ""}
	if c.Shop == nil {
		return []Choice{none}, []Choice{none}
	}
	ids := make([]string, 0, len(c.Shop.Gauges))
	for id := range c.Shop.Gauges {
		ids = append(ids, id)
	}
	sort.Strings(ids)
	var first, rest []Choice
	for _, id := range ids {
		k := Choice{id, c.gauge(r, id), id == t.Gauge}
		g := c.Shop.Gauges[id]
		if rank := indexOf(ch.Gauges, g.Type); rank >= 0 {
			first = append(first, k)
		} else if in, ok := c.Library.Instruments[g.Type]; ok && in.Quantity == ch.Quantity {
			rest = append(rest, k)
		}
		if in, ok := c.Library.Instruments[g.Type]; !ok || in.Set == "" && in.Quantity == ch.Quantity {
			masters = append(masters, Choice{id, c.gauge(r, id), id == t.Master})
		}
	}
	gauges = append([]Choice{none}, append(first, rest...)...)
	return gauges, append([]Choice{{Text: r.T("page.form.none"), Chosen: t.Master == ""}}, masters...)
}

func (c *Case) choicesOfState(r Reader, chosen string) []Choice {
	list := []string{job.Found}
	for _, op := range []string{"bore", "hone", "grind", "reface", "line-hone", "seat-cut"} {
		list = append(list, job.After(op))
	}
	for _, s := range append(c.states(""), chosen) {
		if s != "" && s != job.Built && indexOf(list, s) < 0 {
			list = append(list, s)
		}
	}
	list = append(list, job.Built)
	var out []Choice
	for _, s := range list {
		out = append(out, Choice{s, r.State(s), s == chosen || chosen == "" && s == job.Found})
	}
	return out
}

func (c *Case) people(r Reader, chosen string) []Choice {
	if c.Shop == nil || r.Person != "" { // whoever is signed in is not asked
		return nil
	}
	ids := make([]string, 0, len(c.Shop.People))
	for id := range c.Shop.People {
		ids = append(ids, id)
	}
	sort.Strings(ids)
	out := []Choice{{Text: r.T("page.form.choose"), Chosen: chosen == ""}}
	for _, id := range ids {
		out = append(out, Choice{id, c.person(id), id == chosen})
	}
	return out
}
