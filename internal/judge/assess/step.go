package assess

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"fettle/internal/base/unit"
	"fettle/internal/facts/job"
	"fettle/internal/know/family"
)

// classReach is how far the middle of a group may lie from a step of the ladder
// and still be meant for it: a bore that was bored and waits for its hone.
// Source: common practice, no source.
const classReach = 0.05e-3

// ladder is a group that takes one size: its design size, the steps on diameter
// for which parts exist, and the direction of the cut.
type ladder struct {
	name  string
	base  unit.Quantity
	steps []unit.Quantity
	sign  float64 // 1: material leaves and the diameter grows, −1: it shrinks
	allow float64
}

func (e *evaluation) ladders() []ladder {
	eng := &e.Layout.Family.Engine
	return []ladder{
		{"bore", eng.Bore, rising(eng.Oversizes), 1, boreAllowance},
		{"main", eng.MainJournal, rising(eng.Undersizes.Main), -1, journalAllowance},
		{"pin", eng.PinJournal, rising(eng.Undersizes.Pin), -1, journalAllowance},
	}
}

// rising is a ladder from its smallest step, whatever order the file has.
func rising(steps []unit.Quantity) []unit.Quantity {
	out := slices.Clone(steps)
	slices.SortStableFunc(out, func(a, b unit.Quantity) int { return cmp.Compare(a.N, b.N) })
	return out
}

// classed is a group in a state.
type classed struct {
	group string
	state int
}

// classify finds the step of its ladder that each group stands at behind an
// operation and as built: all bores of an engine take one size, so the middle of
// them tells. As found an engine is measured against its design size.
func (e *evaluation) classify() {
	e.classes = map[classed]float64{}
	sizes := map[classed][]float64{}
	for sp, id := range e.nodes {
		c := e.Layout.Places[sp.place].Char
		if c.Target != "" && c.Relation == "" && e.states[sp.state] != job.Found {
			k := classed{c.Target, sp.state}
			sizes[k] = append(sizes[k], e.g.Value(id))
		}
	}
	for _, l := range e.ladders() {
		for st := range e.states {
			k := classed{l.name, st}
			x := sizes[k]
			if len(x) == 0 {
				continue
			}
			sort.Float64s(x)
			cut, best := l.sign*(middle(x)-l.base.SI()), classReach
			for _, q := range l.steps {
				if d := math.Abs(cut - q.SI()); d <= best && d < math.Abs(cut) {
					e.classes[k], best = l.sign*q.SI(), d
				}
			}
		}
	}
}

// shift is how far the limits of a place move with the step of its group.
func (e *evaluation) shift(p *family.Place, state int) float64 {
	if p.Char.Target == "" || p.Char.Relation != "" {
		return 0
	}
	return e.classes[classed{p.Char.Target, state}]
}
