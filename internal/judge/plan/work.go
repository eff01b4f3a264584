package plan

import (
	"slices"
	"strings"
	"time"

	"fettle/internal/judge/assess"
	"fettle/internal/know/operation"
)

// Work is one operation of the plan.
type Work struct {
	Operation string             `json:"operation"`
	Stage     string             `json:"stage"`
	Machine   string             `json:"machine"`
	Fixtures  []string           `json:"fixtures,omitempty"`
	Places    []string           `json:"places,omitempty"`
	Reasons   []operation.Reason `json:"reasons"`
	Hours     Hours              `json:"hours"`
	Weeks     [2]int             `json:"weeks_outside,omitzero"`
	Reopens   []string           `json:"opens_again,omitempty"`
	Cautions  []string           `json:"cautions,omitempty"`
}

// Hours is how long work takes, as decimals of an hour: a person, and a machine
// by itself.
type Hours struct {
	Low       string `json:"low"`
	High      string `json:"high"`
	AloneLow  string `json:"alone_low,omitempty"`
	AloneHigh string `json:"alone_high,omitempty"`
}

// Aim is a size to cut to.
type Aim struct {
	Part string `json:"part"`
	To   string `json:"to"`
	Unit string `json:"unit"`
	U    string `json:"u"` // standard uncertainty of where the process puts it
	From string `json:"from,omitempty"`
}

// work closes what was chosen over all that follows, and notes what it opens
// again.
func (m *maker) work() error {
	cat := m.Knowledge.Library.Operations()
	if len(cat.Operations) == 0 {
		return nil
	}
	var chosen []operation.Choice
	for i := range m.plan.Findings {
		d := &m.plan.Findings[i]
		if d.Leaves && d.Outcome != "hold" {
			continue
		}
		f := &m.a.Findings[i]
		if o := cat.For(m.lay, d.Finding, d.Outcome, m.restsOn(f)); o != nil && m.Facts.Job.InScope(m.lay.Component(o.Component).System) {
			chosen = append(chosen, operation.Choice{Operation: o.ID, Places: m.where(o, f), For: Ref(f)})
		}
	}
	for _, c := range m.plan.Cuts {
		for _, o := range cat.Sizing(c.Group) {
			if o.On(m.lay) {
				chosen = append(chosen, operation.Choice{Operation: o.ID, For: c.Group})
			}
		}
	}
	for _, id := range m.cat.Always {
		if o := cat.Operation(id); o != nil && o.On(m.lay) && m.Facts.Job.InScope(m.lay.Component(o.Component).System) {
			chosen = append(chosen, operation.Choice{Operation: id})
		}
	}
	r, err := cat.Close(m.lay, chosen)
	if err != nil {
		return err
	}
	m.todo = r
	for _, s := range r.Steps {
		w := Work{Operation: s.ID, Stage: string(s.Stage), Machine: s.Machine, Fixtures: s.Fixtures, Places: s.Places, Reasons: s.Reasons, Hours: hours(s.Hours),
			Reopens: s.Reopens, Cautions: s.Cautions}
		if s.Outside.High > 0 {
			w.Weeks = [2]int{s.Outside.Low, s.Outside.High}
		}
		m.plan.Work = append(m.plan.Work, w)
		for _, c := range s.Reopens {
			m.opens[c] = true
		}
	}
	m.plan.Hours = hours(r.Hours())
	return nil
}

// restsOn is the characteristic that a finding rests on.
func (m *maker) restsOn(f *assess.Finding) string {
	if len(f.Evidence) == 0 {
		return ""
	}
	if i, ok := m.lay.Find(f.Evidence[f.Worst].Position); ok {
		return m.lay.Places[i].Char.ID
	}
	return ""
}

func hours(h operation.Hours) Hours {
	write := func(d time.Duration) string { return number(d.Hours(), 2) }
	out := Hours{Low: write(h.Low), High: write(h.High)}
	if h.AloneHigh > 0 {
		out.AloneLow, out.AloneHigh = write(h.AloneLow), write(h.AloneHigh)
	}
	return out
}

// where are the places of an operation that a finding is about; none, which means
// all, where the finding does not say.
func (m *maker) where(o *operation.Operation, f *assess.Finding) []string {
	dims := o.Dims(m.lay)
	all := o.Places(m.lay)
	var out []string
	for _, e := range f.Evidence {
		i, ok := m.lay.Find(e.Position)
		if !ok {
			return nil
		}
		p := &m.lay.Places[i]
		var at []string
		for _, d := range dims {
			if k := slices.Index(p.Char.Per, d); k >= 0 {
				at = append(at, p.At[k])
			}
		}
		place := strings.Join(at, "/")
		if len(at) < len(dims) || !slices.Contains(all, place) {
			return nil
		}
		if !slices.Contains(out, place) {
			out = append(out, place)
		}
	}
	return out
}

// goods takes what the work brings and no fit has chosen: of the shelf first.
func (m *maker) goods() {
	cat := m.Knowledge.Library.Operations()
	fitted := map[string]bool{"valvetrain": true, "ring": true, "pin": m.newPins()}
	for _, f := range m.plan.Fits {
		for _, x := range m.cat.Fits {
			if x.ID == f.ID {
				fitted[x.Part] = true
			}
		}
	}
	for _, n := range m.todo.Needs {
		g, ok := cat.Part(n.Goods)
		if !ok || fitted[g.Component] {
			continue
		}
		m.take(g.Component, 0, len(n.Parts), "work")
	}
}

// newPins reports whether pins come with new pistons.
func (m *maker) newPins() bool { return m.pistons != nil }

// aims lists the sizes that machines have to reach, part by part.
func (m *maker) aims() {
	seen := map[string]bool{}
	for i := range m.lay.Places {
		s, ok := m.set[i]
		p := &m.lay.Places[i]
		if !ok || len(p.At) == 0 {
			continue
		}
		part := p.Char.ID + "/" + p.At[0]
		if seen[part] {
			continue
		}
		seen[part] = true
		a := Aim{Part: part, To: millimetres.write(s.N), Unit: "mm", U: millimetres.doubt(s.U)}
		if v, ok := m.a.Latest(p.ID); ok {
			a.From = v.Y
		}
		m.plan.Aims = append(m.plan.Aims, a)
	}
}
