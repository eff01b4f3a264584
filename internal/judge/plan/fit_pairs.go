package plan

import (
	"slices"
	"strconv"
	"strings"

	"fettle/internal/judge/allocate"
	"fettle/internal/know/family"
	"fettle/internal/know/route"
)

// pairTask is the parts of one kind with the bores that take them.
type pairTask struct {
	fit    route.Fit
	target int64
}

// pairs puts a part into each bore. A part of this engine that is good stays
// where it ran; where it is replaced one is chosen from the shelf; where the bore
// is cut, the parts are new ones, and the bore is honed to its own.
func (m *maker) pairs(f route.Fit, places []int) error {
	t := &pairTask{fit: f, target: middle(limits(&m.lay.Places[places[0]], nm))}
	out := Fit{ID: f.ID, Kind: f.Kind, Unit: "mm", Target: millimetres.write(t.target), Choices: []Choice{}}
	_, cut := m.steps[f.Group]
	if f.Group != "" && cut {
		m.honed(f, t, places, &out)
		m.plan.Fits = append(m.plan.Fits, out)
		return nil
	}
	var open []int
	var stay []allocate.Hole
	var own []allocate.Shaft
	for _, i := range places {
		p := &m.lay.Places[i]
		shafts := input(p, "shaft")
		if len(shafts) > 0 && m.gone[m.lay.Places[shafts[0]].Part] || !f.Reuse {
			open = append(open, i)
			continue
		}
		if len(shafts) > 0 && m.newPistons(m.lay.Places[shafts[0]].Part) {
			out.Choices = append(out.Choices, Choice{Position: p.ID, Parts: []Chosen{}, Why: say("plan.why.with-piston"), Instead: only("plan.next.none")})
			continue
		}
		hole, lacks := m.mean(input(p, "hole"), nm)
		var shaft allocate.Size
		if lacks == "" {
			shaft, lacks = m.mean(shafts, nm)
		}
		if lacks != "" {
			m.lacks(f, p.ID, lacks)
			continue
		}
		l := limits(p, nm)
		if l2 := used(p); l2 != nil {
			l = *l2
		}
		stay, own = append(stay, allocate.Hole{ID: p.ID, Size: hole, Limits: l}), append(own, allocate.Shaft{ID: p.ID, Size: shaft})
		c := Choice{Position: p.ID, Parts: []Chosen{{Role: f.Part, ID: m.lay.Places[shafts[0]].Part, From: FromEngine, Size: millimetres.write(shaft.N) + " mm"}},
			Instead: only("plan.next.stays"), Why: say("plan.why.stays", "value", millimetres.write(hole.N-shaft.N), "unit", "mm"), Waits: m.waits(append(slices.Clone(input(p, "hole")), shafts...)...)}
		st, err := allocate.Fit(hole, shaft, l)
		if err != nil {
			return err
		}
		millimetres.settle(&c, st, l)
		m.undecided(f, &c)
		out.Choices = append(out.Choices, c)
	}
	if err := m.swaps(&out, stay, own, t.target); err != nil {
		return err
	}
	if err := m.fill(f, t, open, &out); err != nil {
		return err
	}
	order(out.Choices, m.lay)
	m.waiting(&out)
	if out.Proof == "" {
		out.Proof = "stays"
	}
	m.plan.Fits = append(m.plan.Fits, out)
	return nil
}

// order puts choices in the order of the pattern.
func order(list []Choice, l *family.Layout) {
	slices.SortStableFunc(list, func(a, b Choice) int {
		i, _ := l.Find(a.Position)
		j, _ := l.Find(b.Position)
		return i - j
	})
}

// used are the limits for parts that stay.
func used(p *family.Place) *allocate.Limits {
	if p.Used == nil {
		return nil
	}
	q := *p
	q.New = p.Used
	l := limits(&q, nm)
	return &l
}

// newPistons reports whether a part belongs to a piston that this plan replaces.
func (m *maker) newPistons(part string) bool {
	_, cyl, ok := strings.Cut(part, "/")
	_, cut := m.steps["bore"]
	return ok && strings.HasPrefix(part, "pin/") && (cut || m.gone["piston/"+cyl])
}

// swaps notes what exchanging parts among the bores they fit could bring.
func (m *maker) swaps(out *Fit, holes []allocate.Hole, own []allocate.Shaft, target int64) error {
	if len(holes) < 2 {
		return nil
	}
	low, high := int64(1)<<60, -int64(1)<<60
	for i := range holes {
		c := holes[i].Size.N - own[i].Size.N
		low, high = min(low, c), max(high, c)
	}
	out.Spread = millimetres.said(float64(high - low))
	p, err := allocate.Pairs(holes, own, allocate.PairRules{Target: target, Aim: allocate.Spread})
	if refused(err) {
		return nil
	}
	if err != nil {
		return err
	}
	if p.Spread < high-low {
		out.Notes = append(out.Notes, say("plan.note.swaps", "now", out.Spread, "then", millimetres.said(float64(p.Spread))))
	}
	return nil
}

// fill chooses parts of the shelf for bores whose own is replaced.
func (m *maker) fill(f route.Fit, t *pairTask, open []int, out *Fit) error {
	parts := m.Shelf.of(f.Part, m.stepOf(f.Group), Diameter)
	if len(open) == 0 {
		return nil
	}
	var holes []allocate.Hole
	for _, i := range open {
		p := &m.lay.Places[i]
		hole, lacks := m.mean(input(p, "hole"), nm)
		if lacks != "" {
			m.lacks(f, p.ID, lacks)
			continue
		}
		holes = append(holes, allocate.Hole{ID: p.ID, Size: hole, Limits: limits(p, nm)})
	}
	part := map[string]Part{}
	var shafts []allocate.Shaft
	for _, x := range parts {
		for k := range min(x.Count, len(holes)) {
			id := x.ID
			if k > 0 {
				id += "#" + strconv.Itoa(k+1)
			}
			part[id] = x
			shafts = append(shafts, allocate.Shaft{ID: id, Size: x.Sizes[Diameter]})
		}
	}
	for len(holes) > 0 {
		rules := allocate.PairRules{Target: t.target, Aim: allocate.Target, Guard: guard}
		ok, err := allocate.Fills(holes, shafts, rules)
		if err == nil && !ok {
			rules.Guard = 0
			ok, err = allocate.Fills(holes, shafts, rules)
		}
		if err != nil {
			return err
		}
		if !ok {
			c, err := blamePairs(f, holes, shafts)
			if err != nil {
				return err
			}
			m.plan.Conflicts = append(m.plan.Conflicts, c)
			holes = slices.DeleteFunc(holes, func(h allocate.Hole) bool {
				return slices.ContainsFunc(c.Members, func(m Member) bool { return m.Kind == DemandPlace && m.Ref == h.ID })
			})
			continue
		}
		p, err := allocate.Pairs(holes, shafts, rules)
		if err != nil {
			return err
		}
		for i, c := range p.Choices {
			x := part[c.Shaft]
			n := Choice{Position: c.ID, Parts: []Chosen{chosen(f.Part, x, Diameter, millimetres)},
				Why: say("plan.why.pairs."+c.Binds, "part", x.ID, "value", millimetres.write(c.Clearance.Value), "unit", "mm", "off", millimetres.said(float64(abs(c.Off))))}
			millimetres.settle(&n, c.Clearance, holes[i].Limits)
			if c.Next != nil {
				n.Instead = next("plan.next.pairs", 0, c.Next.Mean, millimetres, "part", part[c.Next.Shaft].ID, "value", millimetres.write(c.Next.Clearance), "unit", "mm")
			}
			if x.Buy {
				m.need(x, 1, f.ID)
			}
			m.undecided(f, &n)
			out.Choices = append(out.Choices, n)
		}
		out.prove(p.Proof, millimetres)
		out.Within = chance(p.Within)
		m.unguarded(out, rules.Guard)
		return nil
	}
	return nil
}

// blamePairs explains bores that cannot all be filled.
func blamePairs(f route.Fit, holes []allocate.Hole, shafts []allocate.Shaft) (Conflict, error) {
	var members []Member
	for _, h := range holes {
		members = append(members, Member{DemandLimits, h.ID, say("plan.member.limits", append([]string{"place", h.ID}, spoken(h.Limits, millimetres)...)...)})
	}
	members = append(members, Member{DemandStock, f.Part, say("plan.member.stock", "part", f.Part, "n", strconv.Itoa(len(shafts)))})
	for _, h := range holes {
		members = append(members, Member{DemandPlace, h.ID, say("plan.member.place", "place", h.ID)})
	}
	var failed error
	met := func(active []bool) bool {
		if !active[len(holes)] {
			return true // parts of any size could be had
		}
		var h []allocate.Hole
		for i, x := range holes {
			if !active[len(holes)+1+i] {
				continue
			}
			if !active[i] {
				x.Limits = allocate.Limits{}
			}
			h = append(h, x)
		}
		ok, err := allocate.Fills(h, shafts, allocate.PairRules{Aim: allocate.Target})
		if err != nil {
			failed = err
		}
		return ok
	}
	at := smallest(len(members), met)
	return conflict(f.ID, "plan.conflict.pairs", members, at, func(k int) (Say, bool) {
		if !alone(len(members), k, met) {
			return Say{}, false
		}
		switch d := members[k]; d.Kind {
		case DemandStock:
			return say("plan.way.buy", "part", d.Ref), true
		case DemandLimits:
			return say("plan.way.limits", "place", d.Ref), true
		}
		return Say{}, false
	}), failed
}

// honed gives each bore its new piston, chosen by mass, and the size that the
// bore is honed to.
//
//	D* = d + c*
func (m *maker) honed(f route.Fit, t *pairTask, places []int, out *Fit) {
	for _, i := range places {
		p := &m.lay.Places[i]
		x, ok := m.pistons[p.At[0]]
		if !ok {
			continue // the conflict of the pistons says why
		}
		d := x.Sizes[Diameter]
		l := limits(p, nm)
		bore := allocate.Size{N: d.N + t.target, U: honeU}
		st, err := allocate.Fit(bore, d, l)
		if err != nil {
			continue
		}
		c := Choice{Position: p.ID, Parts: []Chosen{chosen(f.Part, x, Diameter, millimetres)},
			Instead: only("plan.next.honed"), Why: say("plan.why.honed", "part", x.ID, "size", millimetres.write(bore.N), "value", millimetres.write(t.target), "unit", "mm")}
		millimetres.settle(&c, st, l)
		m.undecided(f, &c)
		out.Choices = append(out.Choices, c)
		for k := range m.lay.Places {
			q := &m.lay.Places[k]
			if q.Char.Target == "bore" && q.Char.Relation == "" && len(q.At) > 0 && q.At[0] == p.At[0] && q.Char.Quantity != family.Check {
				m.set[k] = bore
			}
		}
	}
	out.Proof = "honed"
}
