package plan

import (
	"errors"
	"slices"
	"strconv"

	"fettle/internal/base/fault"
	"fettle/internal/base/unit"
	"fettle/internal/judge/allocate"
	"fettle/internal/know/family"
	"fettle/internal/know/route"
)

// guard is how many standard uncertainties a choice keeps off its limits where
// that can be done: the band of the default rule.
const guard = 1.645

// shellTask is the shells of one group with all that they are chosen from.
type shellTask struct {
	fit      route.Fit
	bearings []allocate.Bearing
	at       []int // place of each bearing
	parts    []Part
	rules    allocate.ShellRules
}

func (m *maker) shells(f route.Fit, places []int) error {
	t := &shellTask{fit: f, parts: m.Shelf.of(f.Part, m.stepOf(f.Group), Wall)}
	for _, i := range places {
		p := &m.lay.Places[i]
		house, lacks := m.mean(input(p, "housing"), nm)
		if lacks == "" {
			var journal allocate.Size
			if journal, lacks = m.mean(input(p, "journal"), nm); lacks == "" {
				t.bearings = append(t.bearings, allocate.Bearing{ID: p.ID, Undersize: m.stepOf(f.Group), Housing: house, Journal: journal, Limits: limits(p, nm)})
				t.at = append(t.at, i)
				continue
			}
		}
		m.lacks(f, p.ID, lacks)
	}
	if len(t.bearings) == 0 {
		return nil
	}
	if len(t.parts) == 0 { // there is nothing to choose from: ask for it
		m.take(f.Part, m.stepOf(f.Group), 2*len(t.bearings), f.ID)
		return nil
	}
	t.rules = allocate.ShellRules{Target: middle(t.bearings[0].Limits), Aim: allocate.Target, Ladder: m.classes(f), Steps: f.Apart, Guard: guard}
	out := Fit{ID: f.ID, Kind: f.Kind, Unit: "mm", Target: millimetres.write(t.rules.Target), Choices: []Choice{}}
	if len(t.parts) == 0 {
		m.plan.Conflicts = append(m.plan.Conflicts, m.bare(f, t))
		m.plan.Fits = append(m.plan.Fits, out)
		return nil
	}
	for len(t.bearings) > 0 {
		p, err := t.choose()
		if err == nil {
			m.tellShells(&out, t, p)
			break
		}
		if !refused(err) {
			return err
		}
		c, err := m.blameShells(t)
		if err != nil {
			return err
		}
		m.plan.Conflicts = append(m.plan.Conflicts, c)
		t.without(c)
	}
	m.plan.Fits = append(m.plan.Fits, out)
	return nil
}

// bare is the conflict of the first bearing with a shelf that has none for it, and
// nobody who offers any; the others are asked for as well.
func (m *maker) bare(f route.Fit, t *shellTask) Conflict {
	part := f.Part
	if s := m.stepOf(f.Group); s > 0 {
		part += " −" + scale{"mm", 2, nm}.write(s) + " mm"
	}
	m.need(Part{ID: part}, 2*len(t.bearings), f.ID)
	members := []Member{{DemandPlace, t.bearings[0].ID, say("plan.member.place", "place", t.bearings[0].ID)}, {DemandStock, part, say("plan.member.stock", "part", part, "n", "0")}}
	return conflict(f.ID, "plan.conflict.shells", members, []int{0, 1}, func(k int) (Say, bool) { return say("plan.way.buy", "part", part), k == 1 })
}

// choose keeps the guard where that can be done, and does without it where not.
func (t *shellTask) choose() (allocate.ShellPlan, error) {
	p, err := allocate.Shells(t.bearings, t.shelf(), t.rules)
	if refused(err) {
		t.rules.Guard = 0
		p, err = allocate.Shells(t.bearings, t.shelf(), t.rules)
	}
	return p, err
}

// refused reports that nothing serves, which is an answer; other faults are of
// what was handed over.
func refused(err error) bool {
	var f *fault.Fault
	return errors.As(err, &f) && f.Code == fault.Refused
}

func (t *shellTask) shelf() []allocate.Shell {
	var out []allocate.Shell
	for _, p := range t.parts {
		out = append(out, allocate.Shell{ID: p.ID, Class: p.Class, Role: p.Role, Undersize: p.Step, Wall: p.Sizes[Wall], Count: p.Count, Buy: p.Buy})
	}
	return out
}

// without leaves out the places of a conflict.
func (t *shellTask) without(c Conflict) {
	var b []allocate.Bearing
	var at []int
	for i, x := range t.bearings {
		if !slices.ContainsFunc(c.Members, func(m Member) bool { return m.Kind == DemandPlace && m.Ref == x.ID }) {
			b, at = append(b, x), append(at, t.at[i])
		}
	}
	if len(b) == len(t.bearings) {
		b, at = nil, nil // nothing to leave out: no place can be served
	}
	t.bearings, t.at = b, at
}

// classes are those of the family, thin to thick.
func (m *maker) classes(f route.Fit) []string {
	var out []string
	for _, c := range m.ladderOf(f) {
		out = append(out, c.Class)
	}
	return out
}

func (m *maker) ladderOf(f route.Fit) []family.ShellClass {
	if f.Group == "main" {
		return m.lay.Family.Engine.Shells.Main
	}
	return m.lay.Family.Engine.Shells.Pin
}

func (m *maker) tellShells(out *Fit, t *shellTask, p allocate.ShellPlan) {
	s := millimetres
	part := map[string]Part{}
	for _, x := range t.parts {
		part[x.ID] = x
	}
	for i, c := range p.Choices {
		u, l := part[c.Upper], part[c.Lower]
		pl := &m.lay.Places[t.at[i]]
		n := Choice{Position: c.ID, Parts: []Chosen{chosen("upper", u, Wall, s), chosen("lower", l, Wall, s)},
			Waits: m.waits(append(slices.Clone(input(pl, "housing")), input(pl, "journal")...)...),
			Why:   say("plan.why.shells."+c.Binds, "upper", label(u), "lower", label(l), "value", s.write(c.Clearance.Value), "unit", s.unit, "off", s.said(float64(abs(c.Off))))}
		s.settle(&n, c.Clearance, t.bearings[i].Limits)
		if x := c.Next; x != nil {
			n.Instead = next("plan.next.shells", x.More, x.Mean, s, "upper", label(part[x.Upper]), "lower", label(part[x.Lower]), "value", s.write(x.Clearance), "unit", s.unit)
		} else {
			alone := say("plan.next.none")
			n.Instead = &alone
		}
		m.undecided(t.fit, &n)
		out.Choices = append(out.Choices, n)
	}
	for _, b := range p.Buy {
		m.need(part[b.ID], b.Count, t.fit.ID)
	}
	out.Spread, out.Mean, out.Within = s.said(float64(p.Spread)), s.said(p.Mean), chance(p.Within)
	out.prove(p.Proof, s)
	m.unguarded(out, t.rules.Guard)
	m.waiting(out)
}

// prove says how good a choice is known to be.
func (f *Fit) prove(p allocate.Proof, s scale) {
	f.Proof = p.Method
	if p.Gap > 0 {
		f.Gap = s.said(p.Gap)
	}
}

// unguarded notes that the guard could not be kept.
func (m *maker) unguarded(f *Fit, kept float64) {
	if kept == 0 {
		f.Notes = append(f.Notes, say("plan.note.unguarded"))
	}
}

// waiting notes once what a fit has to wait for.
func (m *maker) waiting(f *Fit) {
	var chars []string
	n := 0
	for _, c := range f.Choices {
		for _, w := range c.Waits {
			if !slices.Contains(chars, w) {
				chars = append(chars, w)
			}
		}
		if len(c.Waits) > 0 {
			n++
		}
	}
	if n > 0 {
		slices.Sort(chars)
		m.plan.Open = append(m.plan.Open, Open{Say: say("plan.open.waits", "fit", f.ID, "n", strconv.Itoa(n), "readings", list(chars))})
	}
}

// next is the sentence of a runner-up: what it would be, and what it would cost
// the engine.
func next(key string, more int, mean float64, s scale, pairs ...string) *Say {
	if more > 0 {
		key += ".more"
	}
	out := say(key, append(pairs, "more", strconv.Itoa(more), "mean", s.said(mean))...)
	return &out
}

// only is a runner-up that needs no figures.
func only(key string) *Say { s := say(key); return &s }

// label is the name of a part as a person calls it: its class, and which piece of
// it where pieces were measured one by one.
func label(p Part) string {
	switch {
	case p.Class == "":
		return p.ID
	case p.Buy:
		return p.Class
	}
	return p.Class + " (" + p.ID + ")"
}

func chosen(role string, p Part, size string, s scale) Chosen {
	c := Chosen{Role: role, ID: p.ID, From: FromShelf, Item: p.Item}
	if p.Buy {
		c.From = FromShop
	}
	if x, ok := p.Sizes[size]; ok {
		c.Size = s.write(x.N) + " " + s.unit
	}
	return c
}

func abs(n int64) int64 { return max(n, -n) }

// blameShells explains bearings that cannot all be served.
func (m *maker) blameShells(t *shellTask) (Conflict, error) {
	var members []Member
	var relaxed []func(b []allocate.Bearing, s []allocate.Shell, r *allocate.ShellRules) ([]allocate.Bearing, []allocate.Shell)
	add := func(kind, ref string, says Say, relax func(b []allocate.Bearing, s []allocate.Shell, r *allocate.ShellRules) ([]allocate.Bearing, []allocate.Shell)) {
		members, relaxed = append(members, Member{kind, ref, says}), append(relaxed, relax)
	}
	base, most := t.shelf(), 2*len(t.bearings)
	rules := t.rules
	rules.Guard = 0
	// What is relaxed first stays out of the set where it can.
	for i, step := range m.deeper(t.fit.Group) {
		if i > 0 {
			break
		}
		parts := m.Shelf.of(t.fit.Part, nano(step.SI()), Wall)
		add(DemandStep, t.fit.Group, say("plan.member.step", "group", t.fit.Group),
			func(b []allocate.Bearing, s []allocate.Shell, r *allocate.ShellRules) ([]allocate.Bearing, []allocate.Shell) {
				for k := range b {
					b[k].Undersize = nano(step.SI())
					b[k].Journal = allocate.Graded(m.base(t.fit.Group)-nano(step.SI())-groundSpan, m.base(t.fit.Group)-nano(step.SI()))
				}
				return b, (&shellTask{parts: parts}).shelf()
			})
	}
	if len(rules.Ladder) > 0 {
		add(DemandClasses, t.fit.ID, say("plan.member.classes", "n", strconv.Itoa(rules.Steps)),
			func(b []allocate.Bearing, s []allocate.Shell, r *allocate.ShellRules) ([]allocate.Bearing, []allocate.Shell) {
				r.Steps = len(r.Ladder)
				return b, s
			})
	}
	for _, b := range t.bearings {
		add(DemandLimits, b.ID, say("plan.member.limits", append([]string{"place", b.ID}, spoken(b.Limits, millimetres)...)...),
			func(all []allocate.Bearing, s []allocate.Shell, r *allocate.ShellRules) ([]allocate.Bearing, []allocate.Shell) {
				for k := range all {
					if all[k].ID == b.ID {
						all[k].Limits = allocate.Limits{}
					}
				}
				return all, s
			})
	}
	for _, k := range m.kinds(t, base) {
		add(DemandStock, k.ID, say("plan.member.stock", "part", k.ID, "n", strconv.Itoa(k.Count)),
			func(b []allocate.Bearing, s []allocate.Shell, r *allocate.ShellRules) ([]allocate.Bearing, []allocate.Shell) {
				more := k
				more.ID, more.Count = "more "+k.ID, most
				return b, append(s, more)
			})
	}
	for _, b := range t.bearings {
		add(DemandPlace, b.ID, say("plan.member.place", "place", b.ID),
			func(all []allocate.Bearing, s []allocate.Shell, r *allocate.ShellRules) ([]allocate.Bearing, []allocate.Shell) {
				return slices.DeleteFunc(all, func(x allocate.Bearing) bool { return x.ID == b.ID }), s
			})
	}
	var failed error
	met := func(active []bool) bool {
		b, s, r := slices.Clone(t.bearings), slices.Clone(base), rules
		for k, on := range active {
			if !on {
				b, s = relaxed[k](b, s, &r)
			}
		}
		ok, err := allocate.Serves(b, s, r)
		if err != nil && failed == nil {
			failed = err
		}
		return ok
	}
	at := smallest(len(members), met)
	if failed != nil {
		return Conflict{}, failed
	}
	return conflict(t.fit.ID, "plan.conflict.shells", members, at, func(k int) (Say, bool) {
		if !alone(len(members), k, met) {
			return Say{}, false
		}
		switch d := members[k]; d.Kind {
		case DemandStock:
			return say("plan.way.buy", "part", d.Ref), true
		case DemandClasses:
			return say("plan.way.classes", "n", strconv.Itoa(rules.Steps+1)), true
		case DemandLimits:
			return say("plan.way.limits", "place", d.Ref), true
		case DemandStep:
			return say("plan.way.step", "group", d.Ref, "step", m.deeper(d.Ref)[0].String()), true
		}
		return Say{}, false
	}), nil
}

// deeper are the steps of a group beyond the one it stands at, that shells exist
// for.
func (m *maker) deeper(group string) []unit.Quantity {
	e := &m.lay.Family.Engine
	var out []unit.Quantity
	for _, q := range map[string][]unit.Quantity{"main": e.Undersizes.Main, "pin": e.Undersizes.Pin}[group] {
		if nano(q.SI()) > m.stepOf(group) {
			out = append(out, q)
		}
	}
	slices.SortFunc(out, func(a, b unit.Quantity) int { return int(a.N - b.N) })
	return out
}

// kinds lists the classes of half shells that there are or could be, with what is
// there of each: of a class that the shelf has not, there are none.
func (m *maker) kinds(t *shellTask, shelf []allocate.Shell) []allocate.Shell {
	var out []allocate.Shell
	seen := map[string]int{}
	key := func(class, role string) string { return class + " " + role }
	add := func(s allocate.Shell) {
		k := key(s.Class, s.Role)
		if at, ok := seen[k]; ok {
			out[at].Count += s.Count
			return
		}
		seen[k] = len(out)
		s.ID = k
		if s.Role == "" {
			s.ID = s.Class
		}
		out = append(out, s)
	}
	for _, s := range shelf {
		add(s)
	}
	grow := m.stepOf(t.fit.Group) / 2
	for _, c := range m.ladderOf(t.fit) {
		_, either := seen[key(c.Class, "")]
		for _, role := range []string{"upper", "lower"} {
			if _, there := seen[key(c.Class, role)]; !there && !either {
				add(allocate.Shell{Class: c.Class, Role: role, Undersize: m.stepOf(t.fit.Group), Wall: allocate.Graded(nano(c.Min.SI())+grow, nano(c.Max.SI())+grow)})
			}
		}
	}
	return out
}

// spoken are limits as arguments of a sentence.
func spoken(l allocate.Limits, s scale) []string {
	low, high := "…", "…"
	if l.Low != nil {
		low = s.write(*l.Low)
	}
	if l.High != nil {
		high = s.write(*l.High)
	}
	return []string{"low", low, "high", high, "unit", s.unit}
}
