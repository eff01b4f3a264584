package plan

import (
	"strings"

	"fettle/internal/judge/allocate"
	"fettle/internal/know/route"
)

var newtons = scale{"N", 1, 1e3}

// springs chooses a spring for each seat whose own is replaced, with what is laid
// under it; the others keep theirs.
func (m *maker) springs(f route.Fit, places []int) error {
	out := Fit{ID: f.ID, Kind: f.Kind, Unit: "N", Proof: "stays", Choices: []Choice{}}
	var seats []allocate.Seat
	var at []int
	for _, i := range places {
		p := &m.lay.Places[i]
		if !m.gone[p.Part] {
			x, lacks := m.mean([]int{i}, 1e3)
			if lacks != "" {
				m.lacks(f, p.ID, lacks)
				continue
			}
			c := Choice{Position: p.ID, Parts: []Chosen{{Role: "spring", ID: p.Part, From: FromEngine}}, Instead: only("plan.next.stays"), Why: say("plan.why.stays", "value", newtons.write(x.N), "unit", "N"), Waits: m.waits(i)}
			l := limits(p, 1e3)
			if l2 := p.Used; l2 != nil {
				q := *p
				q.New = l2
				l = limits(&q, 1e3)
			}
			st, err := allocate.Fit(allocate.Size{N: x.N + mostRing, U: x.U, Shared: x.Shared}, allocate.Size{N: mostRing}, l)
			if err != nil {
				return err
			}
			newtons.settle(&c, st, l)
			out.Choices = append(out.Choices, c)
			continue
		}
		k, ok := m.lay.Find(strings.Join(append([]string{"spring/installed-height"}, p.At...), "/"))
		if !ok {
			continue
		}
		h, lacks := m.mean([]int{k}, nm)
		if lacks != "" {
			m.lacks(f, p.ID, lacks)
			continue
		}
		seats, at = append(seats, allocate.Seat{ID: p.ID, Height: h}), append(at, i, k)
	}
	if err := m.newSprings(f, seats, at, &out); err != nil {
		return err
	}
	order(out.Choices, m.lay)
	m.waiting(&out)
	m.plan.Fits = append(m.plan.Fits, out)
	return nil
}

func (m *maker) newSprings(f route.Fit, seats []allocate.Seat, at []int, out *Fit) error {
	if len(seats) == 0 {
		return nil
	}
	lift := nano(m.lay.Family.Engine.Valves.Lift.SI())
	height := nano(m.lay.Places[at[1]].Char.Nominal.SI())
	bind := int64(0)
	if k := m.lay.Of("spring/bind"); len(k) > 0 {
		bind = nano(m.lay.Places[k[0]].Char.Nominal.SI())
	}
	part := map[string]Part{}
	var springs []allocate.Spring
	for _, x := range m.Shelf.of(f.Part, 0, Load, Opened) {
		for k := range min(x.Count, len(seats)) {
			id := x.ID + strings.Repeat("'", k)
			part[id] = x
			springs = append(springs, allocate.Spring{ID: id, Load: x.Sizes[Load], At: height, Rate: float64(x.Sizes[Opened].N-x.Sizes[Load].N) / float64(lift), Bind: height - lift - bind})
		}
	}
	l := limits(&m.lay.Places[at[0]], 1e3)
	var under []int64
	for _, q := range f.Under {
		under = append(under, nano(q.SI()))
	}
	rules := allocate.SpringRules{Target: middle(l), Limits: l, Shims: under, Lift: lift, Spare: nano(f.Spare.SI())}
	var p allocate.SpringPlan
	var err error
	if len(springs) >= len(seats) {
		p, err = allocate.Springs(seats, springs, rules)
	}
	if len(springs) < len(seats) || refused(err) {
		c := Conflict{ID: f.ID, Members: []Member{{DemandStock, f.Part, say("plan.member.stock", "part", f.Part, "n", number(float64(len(springs)), 0))}}, Ways: []Say{say("plan.way.buy", "part", f.Part)}}
		for _, s := range seats[:min(len(seats), len(springs)+1)] {
			c.Members = append(c.Members, Member{DemandPlace, s.ID, say("plan.member.place", "place", s.ID)})
		}
		c.Say = say("plan.conflict.springs", "n", number(float64(len(springs)), 0), "of", number(float64(len(seats)), 0))
		m.plan.Conflicts = append(m.plan.Conflicts, c)
		return nil
	}
	if err != nil {
		return err
	}
	out.Target = newtons.write(rules.Target)
	for _, c := range p.Choices {
		x := part[c.Spring]
		n := Choice{Position: c.ID, Parts: []Chosen{chosen("spring", x, Load, newtons)}, Waits: m.waits(at...),
			Why: say("plan.why.springs", "part", x.ID, "shim", scale{"mm", 2, nm}.write(c.Shim), "value", newtons.write(c.Load.Value), "unit", "N", "left", scale{"mm", 2, nm}.write(c.Left))}
		newtons.settle(&n, c.Load, l)
		alone := say("plan.next.none")
		if n.Instead = &alone; c.Next != "" {
			n.Instead = next("plan.next.springs", 0, c.NextMean, newtons, "part", part[c.Next].ID)
		}
		if x.Buy {
			m.need(x, 1, f.ID)
		}
		m.undecided(f, &n)
		out.Choices = append(out.Choices, n)
	}
	out.prove(p.Proof, newtons)
	return nil
}
