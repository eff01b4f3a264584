package plan

import (
	"fettle/internal/judge/allocate"
	"fettle/internal/know/route"
)

// rings works out the gap to which each ring is filed in its own bore, and asks
// for the sets. Oil rings are fitted as they come.
func (m *maker) rings(f route.Fit, places []int) error {
	use, ok := m.cat.Use(m.plan.Wish.Use)
	if !ok {
		return nil
	}
	out := Fit{ID: f.ID, Kind: f.Kind, Unit: "mm", Proof: "each by itself", Choices: []Choice{}}
	fine := scale{"mm", 3, nm}
	cyls := map[string]bool{}
	for _, i := range places {
		p := &m.lay.Places[i]
		cyls[p.At[0]] = true
		factor := use.Top.SI()
		switch p.At[len(p.At)-1] {
		case "top":
		case "second":
			factor = use.Second.SI()
		default:
			continue
		}
		var at []int
		for _, k := range m.lay.Of(f.With) {
			if q := &m.lay.Places[k]; q.At[0] == p.At[0] && q.At[1] == m.lay.Dims["height"].Values[0] {
				at = append(at, k)
			}
		}
		bore, lacks := m.mean(at, nm)
		if lacks != "" {
			m.lacks(f, p.ID, lacks)
			continue
		}
		g, err := allocate.RingGaps([]allocate.Ring{{ID: p.ID, Bore: bore}}, allocate.RingRules{Factor: factor,
			RingGrowth: m.growth(i), RingRise: float64(use.RingRise), BoreGrowth: m.growth(at[0]), BoreRise: float64(use.BoreRise), Safety: 1})
		if err != nil {
			return err
		}
		// What is filed is read with a feeler, to half a step of 0.02 mm.
		// Source: common practice, no source.
		st, err := allocate.Fit(allocate.Size{N: g[0].Target + mostRing, U: 6_000}, allocate.Size{N: mostRing}, limits(p, nm))
		if err != nil {
			return err
		}
		c := Choice{Position: p.ID, Parts: []Chosen{}, Why: say("plan.why.rings."+g[0].Binds, "use", use.ID, "value", fine.write(g[0].Target), "floor", fine.write(g[0].Floor), "unit", "mm", "bore", fine.write(bore.N))}
		c.Instead = only("plan.next.rings")
		fine.settle(&c, st, limits(p, nm))
		m.undecided(f, &c)
		out.Choices = append(out.Choices, c)
	}
	m.take(f.Part, m.stepOf(f.Group), len(cyls), f.ID)
	m.plan.Fits = append(m.plan.Fits, out)
	return nil
}

// mostRing lifts a gap to a clearance of two sizes.
const mostRing = 10_000_000

// growth is the expansion of the material of a place for one kelvin.
func (m *maker) growth(at int) float64 {
	return m.Knowledge.Library.Materials[m.lay.Material(&m.lay.Places[at])].Expansion.SI()
}
