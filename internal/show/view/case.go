package view

import (
	"sort"
	"strings"
	"sync"

	"fettle/internal/facts/job"
	"fettle/internal/facts/shop"
	"fettle/internal/judge/assess"
	"fettle/internal/judge/model"
	"fettle/internal/know/family"
	"fettle/internal/know/library"
)

// Case is one job with all that a page needs to speak of it.
type Case struct {
	Assessment *assess.Assessment
	Layout     *family.Layout
	Library    *library.Library
	Job        *job.State
	Shop       *shop.State
	Sketch     Sketch

	spotted map[string][]spot // by component, "" for all
	amount  map[string]Number // by position and state
	once    sync.Once         // guards last
	last    map[string]used   // by characteristic
	rig     func() (*model.Rig, error)
}

// NewCase puts a case together. It does not change afterwards, so that any
// number of pages may read it at once.
func NewCase(a *assess.Assessment, l *family.Layout, lib *library.Library, j *job.State, s *shop.State, sketch Sketch) *Case {
	c := &Case{Assessment: a, Layout: l, Library: lib, Job: j, Shop: s, Sketch: sketch}
	c.find()
	c.amounts()
	c.rig = sync.OnceValues(func() (*model.Rig, error) {
		run, _ := lib.Running(l.Family.ID)
		e, err := model.Build(l, run, a, "")
		if err != nil {
			return nil, err
		}
		return e.Rig()
	})
	return c
}

// Rig is the engine of this job made ready to be run, once for all who ask.
//
// Errors: a family of which nothing says how it runs; what the rooms refuse.
func (c *Case) Rig() (*model.Rig, error) { return c.rig() }

// id is the job's id as it stands in addresses.
func (c *Case) id() string { return c.Assessment.Job }

// Place names a position in words: what, then where.
func (c *Case) Place(r Reader, id string) string {
	p := c.place(id)
	if p == nil {
		return id
	}
	name := p.Char.Name.In(r.Lang)
	if where := c.where(r, p.Char.Per, p.At); where != "" {
		return name + ", " + where
	}
	return name
}

func (c *Case) place(id string) *family.Place {
	if i, ok := c.Layout.Find(id); ok {
		return &c.Layout.Places[i]
	}
	return nil
}

// where names indices in words, in the order of the pattern.
func (c *Case) where(r Reader, per, at []string) string {
	out := make([]string, 0, len(per))
	for i, d := range per {
		if i < len(at) {
			out = append(out, c.index(r, d, at[i]))
		}
	}
	return strings.Join(out, ", ")
}

// index names one value of a dimension: from the words, else the dimension's
// own name with the value, else both as they are.
func (c *Case) index(r Reader, dim, v string) string {
	if key := "page.at." + dim + "." + v; r.Book.Has(key) {
		return r.T(key)
	}
	if key := "page.dim." + dim; r.Book.Has(key) {
		return r.T(key, "at", v)
	}
	if d := c.Layout.Dims[dim]; d != nil && len(d.Words) > 0 {
		return d.Words.In(r.Lang) + " " + v
	}
	if strings.HasPrefix(v, dim) {
		return v
	}
	return dim + " " + v
}

// Part names a component, or one part of it such as piston/2.
func (c *Case) Part(r Reader, part string) string {
	id, rest, _ := strings.Cut(part, "/")
	comp := c.Layout.Component(id)
	if comp == nil {
		return part
	}
	name := comp.Name.In(r.Lang)
	if rest == "" {
		return name
	}
	return name + ", " + c.where(r, comp.Per, strings.Split(rest, "/"))
}

// has says whether the component of an id exists.
func (c *Case) has(component string) bool { return c.Layout.Component(component) != nil }

// componentOf is the part of a position before its first slash.
func componentOf(position string) string {
	id, _, _ := strings.Cut(position, "/")
	return id
}

// spot is one position with every state it has a value in.
type spot struct {
	place  *family.Place
	values []*assess.Value
}

// latest is the value in the state that came last.
func (s spot) latest() *assess.Value { return s.values[len(s.values)-1] }

// in returns the value in a state, or nil.
func (s spot) in(state string) *assess.Value {
	for _, v := range s.values {
		if v.State == state {
			return v
		}
	}
	return nil
}

// spots lists the positions of one component in pattern order with their
// values; component "" takes all.
func (c *Case) spots(component string) []spot { return c.spotted[component] }

func (c *Case) find() {
	byID := map[string][]*assess.Value{}
	for i := range c.Assessment.Values {
		v := &c.Assessment.Values[i]
		byID[v.Position] = append(byID[v.Position], v)
	}
	c.spotted = map[string][]spot{}
	for i := range c.Layout.Places {
		p := &c.Layout.Places[i]
		vs := byID[p.ID]
		if vs == nil {
			continue
		}
		sort.SliceStable(vs, func(a, b int) bool { return job.RankState(vs[a].State) < job.RankState(vs[b].State) })
		id := componentOf(p.ID)
		c.spotted[id] = append(c.spotted[id], spot{p, vs})
		c.spotted[""] = append(c.spotted[""], spot{p, vs})
	}
}

// State names a state in words.
func (r Reader) State(s string) string {
	if op, ok := strings.CutPrefix(s, "after("); ok {
		op = strings.TrimSuffix(op, ")")
		return r.T("page.state.after", "operation", r.or("page.operation."+op, op))
	}
	return r.or("page.state."+s, s)
}

// gauge names a gauge by its id and type.
func (c *Case) gauge(r Reader, id string) string {
	if id == "" {
		return ""
	}
	if c.Shop != nil {
		if g := c.Shop.Gauges[id]; g != nil {
			if t, ok := c.Library.Instruments[g.Type]; ok {
				return id + " · " + t.Name.In(r.Lang)
			}
		}
	}
	return id
}

// person is the initials of a person, else the opaque id.
func (c *Case) person(id string) string {
	if c.Shop != nil {
		if p, ok := c.Shop.People[id]; ok && p.Initials != "" {
			return p.Initials
		}
	}
	return id
}

// source names a source key and its status.
func (c *Case) status(r Reader, s string) string {
	return r.or("page.status."+strings.ReplaceAll(s, " ", "-"), s)
}

// say fills a sentence of the judgement: positions and parts become words,
// numbers get the reader's mark.
func (c *Case) say(r Reader, key string, args map[string]string) string {
	mine := make(map[string]string, len(args))
	for k, v := range args {
		mine[k] = c.arg(r, k, v)
	}
	return r.Book.Args(key, mine)
}

// arg turns one argument of the judgement into words.
func (c *Case) arg(r Reader, name, v string) string {
	if c.place(v) != nil {
		return c.Place(r, v)
	}
	if strings.Contains(v, "/") && c.has(componentOf(v)) || name == "part" && c.has(v) {
		return c.Part(r, v)
	}
	switch name {
	case "state":
		return r.State(v)
	case "gauge", "instrument":
		if t, ok := c.Library.Instruments[v]; ok {
			return t.Name.In(r.Lang)
		}
		return c.gauge(r, v)
	case "because":
		return r.or("page.because."+v, v)
	case "cause":
		return r.or("page.cause."+v, v)
	case "group":
		return r.or("page.group."+v, v)
	case "material":
		if m, ok := c.Library.Materials[v]; ok {
			return m.Name.In(r.Lang)
		}
	case "condition":
		if k, ok := c.Library.Conditions[v]; ok {
			return k.Name.In(r.Lang)
		}
	case "person":
		return c.person(v)
	}
	return r.Text(v)
}

// Say is say for one optional sentence.
func (c *Case) Say(r Reader, s *assess.Say) string {
	if s == nil {
		return ""
	}
	return c.say(r, s.Key, s.Args)
}
