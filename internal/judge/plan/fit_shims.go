package plan

import (
	"strconv"
	"strings"

	"fettle/internal/judge/allocate"
	"fettle/internal/know/route"
)

// far is from how many standard deviations on a noted shim or lash is asked about.
const far = 3.5

// shims chooses a shim for each valve of an engine that is set by shims; one with
// screws or hydraulic followers has none to choose.
func (m *maker) shims(f route.Fit, places []int) error {
	train := m.lay.Family.Engine.Valvetrain
	if train.Adjust != "shim" {
		return nil
	}
	ratio, doubt := train.LashRatio.SI(), 0.0
	if ratio == 0 {
		ratio = 1
	}
	if ratio != 1 {
		doubt = f.Ratio.SI()
	}
	var valves []allocate.Valve
	var notes []allocate.LashNote
	var at [][]int
	rules := allocate.ShimRules{Guard: guard}
	for _, i := range places {
		p := &m.lay.Places[i]
		k, ok := m.lay.Find(strings.Join(append([]string{f.With}, p.At...), "/"))
		if !ok {
			continue
		}
		lash, lacks := m.mean([]int{i}, nm)
		var shim allocate.Size
		if lacks == "" {
			shim, lacks = m.mean([]int{k}, nm)
		}
		if lacks != "" {
			m.lacks(f, p.ID, lacks)
			continue
		}
		l := limits(p, nm)
		valves = append(valves, allocate.Valve{ID: p.ID, Shim: shim, Lash: lash, Ratio: ratio, RatioU: doubt, Target: middle(l), Limits: l})
		notes = append(notes, allocate.LashNote{ID: p.ID, Group: group(p.At), Shim: shim, Lash: lash, Ratio: ratio})
		at = append(at, []int{i, k})
		if made := limits(&m.lay.Places[k], nm); made.Low != nil && made.High != nil && !f.Step.IsZero() {
			rules.Ladder = allocate.Rungs{From: *made.Low, To: *made.High, Step: nano(f.Step.SI()), U: f.Made.SI() * nm}
		}
	}
	if len(valves) == 0 {
		return nil
	}
	part := map[string]Part{}
	var spares []allocate.Spare
	for _, x := range m.Shelf.of(f.Part, 0, Thickness) {
		part[x.ID] = x
		spares = append(spares, allocate.Spare{ID: x.ID, Size: x.Sizes[Thickness], Count: x.Count, Buy: x.Buy})
		if x.Buy {
			rules.Ladder = allocate.Rungs{} // suppliers say what sizes there are
		}
	}
	p, err := allocate.Shims(valves, spares, rules)
	if err == nil && len(p.Without) > 0 {
		rules.Guard = 0
		p, err = allocate.Shims(valves, spares, rules)
	}
	if err != nil {
		return err
	}
	out := Fit{ID: f.ID, Kind: f.Kind, Unit: "mm", Target: millimetres.write(valves[0].Target), Choices: []Choice{}, Mean: millimetres.said(p.Mean), Within: chance(p.Within)}
	for i, c := range p.Choices {
		n := Choice{Position: c.ID, Waits: m.waits(at[i]...), Why: say("plan.why.shims."+c.Binds, "from", c.From, "part", c.Part, "shim", millimetres.write(c.Shim), "unit", "mm",
			"low", millimetres.write(c.Low), "high", millimetres.write(c.High), "wanted", millimetres.write(c.Wanted), "off", millimetres.said(float64(abs(c.Off))))}
		if c.From == allocate.FromNone {
			out.Choices = append(out.Choices, n)
			continue
		}
		n.Parts = []Chosen{{Role: "shim", ID: c.Part, From: map[string]string{allocate.FromBench: FromEngine, allocate.FromShelf: FromShelf, allocate.FromShop: FromShop}[c.From],
			Size: millimetres.write(c.Shim) + " mm", Item: part[c.Part].Item}}
		millimetres.settle(&n, c.Lash, valves[i].Limits)
		n.Instead = nextShim(c.Next)
		m.undecided(f, &n)
		out.Choices = append(out.Choices, n)
	}
	for _, b := range p.Buy {
		x, ok := part[b.ID]
		if !ok {
			x = Part{ID: b.ID, Kind: f.Part, Item: "shim " + b.ID, Buy: true}
		}
		m.need(x, b.Count, f.ID)
	}
	out.Notes = append(out.Notes, say("plan.note.shims", "reused", strconv.Itoa(p.Bench), "shelf", strconv.Itoa(p.Shelf), "bought", strconv.Itoa(p.Bought),
		"found", strconv.Itoa(p.InSpec), "swaps", strconv.Itoa(p.InSpecBySwaps), "n", strconv.Itoa(len(valves))))
	out.prove(p.Proof, millimetres)
	m.unguarded(&out, rules.Guard)
	m.waiting(&out)
	m.plan.Fits = append(m.plan.Fits, out)
	for _, id := range p.Without {
		m.plan.Conflicts = append(m.plan.Conflicts, blameShim(f, id, valves, rules))
	}
	return m.suspects(f, notes)
}

// group is the valves that are made alike: inlet or exhaust by the first letter of
// the valve's place.
func group(at []string) string {
	if len(at) > 1 && strings.HasPrefix(at[1], "E") {
		return "exhaust"
	}
	return "inlet"
}

func nextShim(x *allocate.ShimNext) *Say {
	out := say("plan.next.none")
	if x != nil {
		key := "plan.next.shims"
		switch {
		case x.Without > 0:
			key += ".without"
		case x.Fewer > 0:
			key += ".fewer"
		case x.More > 0:
			key += ".more"
		}
		out = say(key, "part", x.Part, "shim", millimetres.write(x.Shim), "value", millimetres.write(x.Lash), "unit", "mm", "more", strconv.Itoa(x.More), "fewer", strconv.Itoa(x.Fewer), "mean", millimetres.said(x.Mean))
	}
	return &out
}

// suspects asks about shims and lashes that were perhaps noted wrong.
func (m *maker) suspects(f route.Fit, notes []allocate.LashNote) error {
	if len(notes) < 4 {
		return nil
	}
	c, err := allocate.CheckLash(notes, far)
	if err != nil {
		return err
	}
	for _, s := range c.Suspects {
		m.plan.Open = append(m.plan.Open, Open{Position: s.ID, Say: say("plan.open.suspect", "what", s.What, "noted", millimetres.write(s.Noted), "perhaps", millimetres.write(s.Perhaps), "unit", "mm", "times", number(s.Times, 1))})
	}
	return nil
}

// blameShim explains a valve for which nothing fits: its own limits against the
// sizes there are. Shims of any size, or a wider lash, would do.
func blameShim(f route.Fit, id string, valves []allocate.Valve, rules allocate.ShimRules) Conflict {
	var l allocate.Limits
	for _, v := range valves {
		if v.ID == id {
			l = v.Limits
		}
	}
	members := []Member{{DemandPlace, id, say("plan.member.place", "place", id)},
		{DemandLimits, id, say("plan.member.limits", append([]string{"place", id}, spoken(l, millimetres)...)...)},
		{DemandStock, f.Part, say("plan.member.shims", "low", millimetres.write(rules.Ladder.From), "high", millimetres.write(rules.Ladder.To), "unit", "mm")}}
	return conflict(f.ID, "plan.conflict.shims", members, []int{0, 1, 2}, func(k int) (Say, bool) {
		switch k {
		case 1:
			return say("plan.way.limits", "place", id), true
		case 2:
			return say("plan.way.buy", "part", f.Part), true
		}
		return Say{}, false
	})
}
