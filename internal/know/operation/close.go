package operation

import (
	"math"
	"slices"
	"strings"
	"time"

	"fettle/internal/base/fault"
	"fettle/internal/know/family"
	"fettle/internal/know/words"
)

// Choice is an operation that somebody wants.
type Choice struct {
	Operation string
	Places    []string // values of the operation's dimensions, with slashes between; none means all
	For       string   // finding or target that asks for it, as id@place; or ""
}

// Why is how a step came into the route.
type Why string

// The ways.
const (
	Chosen  Why = "chosen"  // for a finding, a target, or by a person
	Brought Why = "brought" // by another operation
	Needed  Why = "needed"  // before another operation can be done
)

// Reason says why a step or a part is there.
type Reason struct {
	Why Why        `json:"why"`
	By  string     `json:"by,omitempty"` // finding or operation
	Say words.Text `json:"say,omitempty"`
}

// Step is one operation of a route with its places.
type Step struct {
	*Operation `json:"-"`
	ID         string   `json:"operation"`
	Places     []string `json:"places,omitempty"` // none where the operation has no places
	Reasons    []Reason `json:"reasons"`
	Hours      Hours    `json:"hours"`
}

// Hours is how long a step takes: a person, and a machine by itself.
type Hours struct {
	Low       time.Duration `json:"low"`
	High      time.Duration `json:"high"`
	AloneLow  time.Duration `json:"alone_low,omitempty"`
	AloneHigh time.Duration `json:"alone_high,omitempty"`
}

// Plus adds two spans of hours.
func (h Hours) Plus(o Hours) Hours {
	return Hours{h.Low + o.Low, h.High + o.High, h.AloneLow + o.AloneLow, h.AloneHigh + o.AloneHigh}
}

// Need is parts that a route brings.
type Need struct {
	Goods   string   `json:"goods"`
	Parts   []string `json:"parts"` // component with its indices; one for a set
	Reasons []Reason `json:"reasons"`
}

// Route is what was chosen with all that follows, in the order of the work.
type Route struct {
	Steps []Step `json:"steps"`
	Needs []Need `json:"needs,omitempty"`
}

// Step finds a step by its operation, nil for none.
func (r *Route) Step(id string) *Step {
	for i := range r.Steps {
		if r.Steps[i].ID == id {
			return &r.Steps[i]
		}
	}
	return nil
}

// Hours sums the steps.
func (r *Route) Hours() Hours {
	var sum Hours
	for i := range r.Steps {
		sum = sum.Plus(r.Steps[i].Hours)
	}
	return sum
}

// On reports whether an engine has what the operation works on.
func (o *Operation) On(l *family.Layout) bool { return l.Component(o.Component) != nil }

// Dims are the dimensions of the operation that an engine has. One bank is none.
func (o *Operation) Dims(l *family.Layout) []string {
	var out []string
	for _, d := range o.Per {
		if dim := l.Dims[d]; dim != nil && !(d == "bank" && len(dim.Values) == 1) {
			out = append(out, d)
		}
	}
	return out
}

// Places lists the places of an operation on an engine, none where it has no
// dimensions.
func (o *Operation) Places(l *family.Layout) []string {
	dims := o.Dims(l)
	if len(dims) == 0 {
		return nil
	}
	out := []string{""}
	for _, d := range dims {
		var next []string
		for _, head := range out {
			for _, v := range l.Dims[d].Values {
				next = append(next, strings.TrimPrefix(head+"/"+v, "/"))
			}
		}
		out = next
	}
	return out
}

// Takes works out the hours for so many places.
//
//	t(n) = s + (T - s) n/N
//
// Shapes: count of places -> range.
// Units:  1 -> time.
// Errors: none; n is 0 where the operation has no places, and then T holds.
// Source: common practice, no source: what is set up once does not grow with
// the number of places, the rest does.
func (o *Operation) Takes(n int) Hours {
	l := o.Labour
	part := 1.0
	if n > 0 && l.Of > 0 {
		part = float64(n) / float64(l.Of)
	}
	set := l.Setup.SI()
	span := func(total, once float64) time.Duration {
		return time.Duration(math.Round(once+(total-once)*part)) * time.Second
	}
	return Hours{span(l.Low.SI(), set), span(l.High.SI(), set), span(l.Alone.Low.SI(), l.Alone.Low.SI()), span(l.Alone.High.SI(), l.Alone.High.SI())}
}

// closing works on one route.
type closing struct {
	c     *Catalogue
	l     *family.Layout
	steps map[string]*Step
	needs map[string]*Need
	queue []string
}

// Close makes the route of what was chosen: all that it brings and needs, each
// with its reason, in order. What is brought and works on a part that the engine
// does not have is passed over; what was chosen and does so is a fault.
func (c *Catalogue) Close(l *family.Layout, chosen []Choice) (Route, error) {
	k := &closing{c: c, l: l, steps: map[string]*Step{}, needs: map[string]*Need{}}
	var faults fault.List
	for _, ch := range chosen {
		o := c.Operation(ch.Operation)
		switch {
		case o == nil:
			faults = append(faults, fault.New(fault.Invalid, "operation.no-operation", "found", ch.Operation))
			continue
		case !o.On(l):
			faults = append(faults, fault.New(fault.Invalid, "operation.no-component", "found", o.ID, "component", o.Component, "family", l.Family.ID))
			continue
		}
		all := o.Places(l)
		for _, p := range ch.Places {
			if !slices.Contains(all, p) {
				faults = append(faults, fault.New(fault.Invalid, "operation.no-place", "found", p, "operation", o.ID))
			}
		}
		k.add(o, ch.Places, Reason{Why: Chosen, By: ch.For})
	}
	if len(faults) > 0 {
		return Route{}, faults
	}
	for len(k.queue) > 0 {
		id := k.queue[0]
		k.queue = k.queue[1:]
		k.follow(k.steps[id])
	}
	return k.route(), nil
}

// add puts an operation into the route, or more places of one that is there.
func (k *closing) add(o *Operation, places []string, why Reason) {
	all := o.Places(k.l)
	if o.Whole || len(places) == 0 {
		places = all
	}
	s := k.steps[o.ID]
	if s == nil {
		s = &Step{Operation: o, ID: o.ID}
		k.steps[o.ID] = s
		k.queue = append(k.queue, o.ID)
	}
	if !slices.ContainsFunc(s.Reasons, func(r Reason) bool { return r.Why == why.Why && r.By == why.By }) {
		s.Reasons = append(s.Reasons, why)
	}
	grown := false
	for _, p := range all { // in the order of the engine, whatever order they were chosen in
		if slices.Contains(places, p) && !slices.Contains(s.Places, p) {
			s.Places, grown = append(s.Places, p), true
		}
	}
	if grown {
		slices.SortFunc(s.Places, func(a, b string) int { return slices.Index(all, a) - slices.Index(all, b) })
		k.queue = append(k.queue, o.ID)
	}
}

// follow adds what a step needs and brings, at the places that go with its own.
func (k *closing) follow(s *Step) {
	for _, id := range s.Needs {
		if o := k.c.Operation(id); o.On(k.l) {
			k.add(o, k.across(s, o), Reason{Why: Needed, By: s.ID})
		}
	}
	for _, b := range s.Brings {
		why := Reason{Why: Brought, By: s.ID, Say: b.Why}
		if b.Goods != "" {
			g, _ := k.c.Part(b.Goods)
			k.bring(g, s, why)
			continue
		}
		if o := k.c.Operation(b.Operation); o.On(k.l) {
			k.add(o, k.across(s, o), why)
		}
	}
}

// across finds the places of another operation that go with those of a step.
func (k *closing) across(s *Step, o *Operation) []string {
	var out []string
	for _, p := range o.Places(k.l) {
		if s.Covers(k.l, o.Dims(k.l), strings.Split(p, "/")) {
			out = append(out, p)
		}
	}
	return out
}

// Covers reports whether a place with these dimensions and values is one that
// the step works on.
func (s *Step) Covers(l *family.Layout, per, at []string) bool {
	if len(s.Places) == 0 {
		return true
	}
	dims := s.Dims(l)
	for _, p := range s.Places {
		if l.Joins(dims, strings.Split(p, "/"), per, at) {
			return true
		}
	}
	return false
}

// bring adds parts to what the route needs.
func (k *closing) bring(g Goods, s *Step, why Reason) {
	comp := k.l.Component(g.Component)
	if comp == nil {
		return
	}
	n := k.needs[g.ID]
	if n == nil {
		n = &Need{Goods: g.ID}
		k.needs[g.ID] = n
	}
	if !slices.ContainsFunc(n.Reasons, func(r Reason) bool { return r.Why == why.Why && r.By == why.By }) {
		n.Reasons = append(n.Reasons, why)
	}
	for _, p := range k.parts(comp) {
		at := strings.Split(p, "/")[1:]
		if !g.Set && !s.Covers(k.l, comp.Per, at) {
			continue
		}
		if g.Set {
			p = g.Component
		}
		if !slices.Contains(n.Parts, p) {
			n.Parts = append(n.Parts, p)
		}
	}
}

// parts lists the parts of a component in the order of the engine.
func (k *closing) parts(c *family.Component) []string {
	var out []string
	for i := range k.l.Places {
		p := &k.l.Places[i]
		if p.Char.Component() == c.ID && strings.Count(p.Part, "/") == len(c.Per) && !slices.Contains(out, p.Part) {
			out = append(out, p.Part)
		}
	}
	if len(out) == 0 && len(c.Per) == 0 {
		return []string{c.ID}
	}
	return out
}

// route writes the steps out in the order of the work.
func (k *closing) route() Route {
	var r Route
	for i := range k.c.Operations {
		if s := k.steps[k.c.Operations[i].ID]; s != nil {
			s.Hours = s.Takes(len(s.Places))
			r.Steps = append(r.Steps, *s)
		}
	}
	for i := range k.c.Goods {
		if n := k.needs[k.c.Goods[i].ID]; n != nil {
			r.Needs = append(r.Needs, *n)
		}
	}
	return r
}
