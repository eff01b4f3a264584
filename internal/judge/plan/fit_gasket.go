package plan

import (
	"math"
	"slices"
	"strings"

	"fettle/internal/base/unit"
	"fettle/internal/judge/allocate"
	"fettle/internal/know/family"
	"fettle/internal/know/route"
)

// cubic is the base of volumes in selections: 0.001 mm³.
const cubic = 1e12

// gasket tries every gasket of the family's menu on what the cylinders are.
func (m *maker) gasket(f route.Fit, places []int) error {
	eng := &m.lay.Family.Engine
	var chambers []allocate.Chamber
	var found []float64
	for _, i := range places {
		p := &m.lay.Places[i]
		c, lacks := m.chamber(p)
		if lacks != "" {
			m.lacks(f, p.ID, lacks)
			continue
		}
		chambers = append(chambers, c)
		if v, ok := m.a.Latest(p.ID); ok {
			found = append(found, v.SI)
		}
	}
	if len(chambers) == 0 || len(eng.Gaskets) == 0 {
		return nil
	}
	pl := &m.lay.Places[places[0]]
	rules := allocate.MenuRules{Target: m.plan.Wish.Ratio, Guard: 0}
	lo, hi := sides(pl)
	if rules.Target == 0 {
		for _, r := range found {
			rules.Target += r / float64(len(found))
		}
	} else if lo != nil && hi != nil { // what is wanted takes its limits with it
		half := (*hi - *lo) / 2
		a, b := rules.Target-half, rules.Target+half
		lo, hi = &a, &b
	}
	rules.Low, rules.High = lo, hi
	if k := m.lay.Of("cylinder/squish"); len(k) > 0 {
		rules.Squish = limits(&m.lay.Places[k[0]], nm)
	}
	for _, name := range []string{"phaser/timing", "cam/timing"} {
		if k := m.lay.Of(name); len(k) > 0 {
			if _, most := sides(&m.lay.Places[k[0]]); most != nil {
				rules.Retard = most
			}
		}
	}
	head := allocate.Head{Bore: m.base("bore") + m.stepOf("bore"), Stroke: nano(eng.Stroke.SI()), Was: nano(eng.Gaskets[0].Thickness.SI()), Slope: eng.Drive.Inclination.SI()}
	if !eng.Drive.Pitch.IsZero() {
		head.Wheel = nano(eng.Drive.Pitch.SI() / (2 * math.Sin(math.Pi/float64(eng.Drive.CamTeeth))))
	}
	var all []allocate.MenuChoice
	for _, g := range eng.Gaskets {
		head.Hole = nano(g.Bore.SI())
		p, err := allocate.GasketMenu(chambers, []allocate.Gasket{{ID: g.ID, Thick: allocate.Size{N: nano(g.Thickness.SI()), U: f.Made.SI() * nm}}}, head, rules)
		if err != nil {
			return err
		}
		all = append(all, p.Choices...)
	}
	slices.SortStableFunc(all, func(a, b allocate.MenuChoice) int {
		switch {
		case len(a.Broken) != len(b.Broken):
			return len(a.Broken) - len(b.Broken)
		case a.Off < b.Off-1e-9:
			return -1
		case a.Off > b.Off+1e-9:
			return 1
		}
		return 0
	})
	var made []allocate.MenuChoice
	if len(all[0].Broken) > 0 {
		var any []allocate.Gasket
		for n := leastMade; n <= mostMade; n += stepMade {
			any = append(any, allocate.Gasket{ID: millimetres.write(n), Thick: allocate.Size{N: n, U: f.Made.SI() * nm}})
		}
		p, err := allocate.GasketMenu(chambers, any, head, rules)
		if err != nil {
			return err
		}
		made = p.Choices
	}
	m.tellGasket(f, chambers, all, made, rules)
	return nil
}

// What a gasket can be made to, nm. Source: common practice, no source.
const (
	leastMade = int64(300_000)
	mostMade  = int64(3_000_000)
	stepMade  = int64(50_000)
)

// blameGasket explains that no gasket keeps all limits: limits, and that it is one
// of the menu, given up one by one.
func blameGasket(f route.Fit, menu, made []allocate.MenuChoice) Conflict {
	limits := []string{"ratio", "squish", "retard", "valve"}
	members := []Member{{DemandStock, f.Part, say("plan.member.menu")}}
	for _, l := range limits {
		members = append(members, Member{DemandLimits, l, say("plan.member.limit." + l)})
	}
	met := func(active []bool) bool {
		list := menu
		if !active[0] {
			list = append(slices.Clone(menu), made...)
		}
		return slices.ContainsFunc(list, func(c allocate.MenuChoice) bool {
			return !slices.ContainsFunc(c.Broken, func(b string) bool { return active[1+slices.Index(limits, b)] })
		})
	}
	c := conflict(f.ID, "plan.conflict.gasket", members, smallest(len(members), met), func(k int) (Say, bool) {
		if !alone(len(members), k, met) {
			return Say{}, false
		}
		if k == 0 {
			return say("plan.way.gasket"), true
		}
		return say("plan.way.limit." + members[k].Ref), true
	})
	c.Args = map[string]string{"gasket": menu[0].ID, "breaks": strings.Join(menu[0].Broken, ", ")}
	return c
}

func (m *maker) tellGasket(f route.Fit, chambers []allocate.Chamber, all, made []allocate.MenuChoice, rules allocate.MenuRules) {
	best := all[0]
	out := Fit{ID: f.ID, Kind: f.Kind, Unit: "1", Target: number(rules.Target, 2), Proof: "every one was tried", Choices: []Choice{}, Within: chance(best.Chance)}
	words := func(c allocate.MenuChoice) []string {
		low, high := slices.Min(c.Ratio), slices.Max(c.Ratio)
		return []string{"gasket", c.ID, "low", number(low, 2), "high", number(high, 2), "squish", scale{"mm", 2, nm}.write(slices.Min(c.Squish)), "unit", "mm",
			"retard", number(unit.FromSI(c.Retard, "°crank"), 2), "breaks", strings.Join(c.Broken, ", ")}
	}
	instead := say("plan.next.none")
	if len(all) > 1 {
		key := "plan.next.gasket"
		if len(all[1].Broken) > 0 {
			key += ".breaks"
		}
		instead = say(key, words(all[1])...)
	}
	for i, c := range chambers {
		n := Choice{Position: c.ID, Parts: []Chosen{{Role: "gasket", ID: best.ID, From: FromShelf}}, Value: number(best.Ratio[i], 2), U: number(best.RatioU[i], 3), SI: best.Ratio[i], SU: best.RatioU[i],
			Lo: rules.Low, Hi: rules.High, Why: say("plan.why.gasket", words(best)...), Instead: &instead}
		if at, ok := m.lay.Find(c.ID); ok {
			n.Waits = m.waits(at)
		}
		if rules.Low != nil {
			n.Low = number(*rules.Low, 2)
		}
		if rules.High != nil {
			n.High = number(*rules.High, 2)
		}
		out.Choices = append(out.Choices, n)
	}
	if len(best.Broken) > 0 {
		m.plan.Conflicts = append(m.plan.Conflicts, blameGasket(f, all, made))
	}
	m.takeNamed(f.Part, best.ID, f.ID)
	m.waiting(&out)
	m.plan.Fits = append(m.plan.Fits, out)
}

// sides are the limits for new parts as they stand, formula units.
func sides(p *family.Place) (lo, hi *float64) {
	l := p.New
	if l == nil {
		l = p.Used
	}
	if l == nil {
		return nil, nil
	}
	if !l.Min.IsZero() {
		x := l.Min.SI()
		lo = &x
	}
	if !l.Max.IsZero() {
		x := l.Max.SI()
		hi = &x
	}
	return lo, hi
}

// chamber is what a cylinder has beside gasket and deck, and how far the piston
// stays below the deck, found by following the relations of its ratio.
func (m *maker) chamber(p *family.Place) (allocate.Chamber, string) {
	out := allocate.Chamber{ID: p.ID}
	volume := input(p, "clearance")
	if len(volume) == 0 {
		return out, p.ID
	}
	v := &m.lay.Places[volume[0]]
	head, lacks := m.mean(input(v, "chamber"), cubic)
	if lacks != "" {
		return out, lacks
	}
	crown, lacks := m.mean(input(v, "crown"), cubic)
	if lacks != "" {
		return out, lacks
	}
	out.Volume = together(head, crown)
	for _, in := range v.In {
		for _, g := range in.Given {
			if in.Symbol == "crevice" {
				out.Volume.N += int64(math.Round(g.Value * cubic))
			}
		}
	}
	deck := input(v, "deck")
	if len(deck) == 0 {
		return out, v.ID
	}
	out.Deck, lacks = m.mean(input(&m.lay.Places[deck[0]], "clearance"), nm)
	return out, lacks
}

// together is the sum of two sizes.
func together(a, b allocate.Size) allocate.Size {
	out := allocate.Size{N: a.N + b.N, U: math.Hypot(a.U, b.U)}
	joint := map[string]float64{}
	for _, s := range append(slices.Clone(a.Shared), b.Shared...) {
		joint[s.Cause] += s.U
	}
	for _, k := range sorted(joint) {
		out.Shared = append(out.Shared, allocate.Share{Cause: k, U: joint[k]})
	}
	return out
}
