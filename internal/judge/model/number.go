package model

import (
	"maps"
	"math"
	"slices"

	"fettle/internal/facts/job"
	"fettle/internal/judge/assess"
	"fettle/internal/know/family"
	"fettle/internal/know/running"
)

type builder struct {
	lay   *family.Layout
	last  map[string]*assess.Value // by position
	drawn map[string]bool
}

// latest finds the value of each position in its latest state up to the one
// named. Values of a judgement are in the order of positions and states.
func latest(a *assess.Assessment, state string) map[string]*assess.Value {
	out := map[string]*assess.Value{}
	if a == nil {
		return out
	}
	for i := range a.Values {
		v := &a.Values[i]
		if !v.Has || v.Check || state != "" && job.RankState(v.State) > job.RankState(state) {
			continue
		}
		out[v.Position] = v
	}
	return out
}

// number is the mean of a characteristic at the places that touch one place, or
// what the drawing says where none has been read. Its doubt is that of one place:
// readings of one gauge share most of it.
func (b *builder) number(char, dim, place string) Number {
	var sum, doubt float64
	var n int
	var first *assess.Value
	var drawing *family.Place
	for _, i := range b.lay.Of(char) {
		p := &b.lay.Places[i]
		if !b.lay.Joins(p.Char.Per, p.At, []string{dim}, []string{place}) {
			continue
		}
		if drawing == nil {
			drawing = p
		}
		if v := b.last[p.ID]; v != nil {
			if first == nil {
				first = v
			}
			sum, doubt, n = sum+v.SI, max(doubt, v.SU), n+1
		}
	}
	if n > 0 {
		return Number{Value: sum / float64(n), U: doubt, Position: first.Position, State: first.State}
	}
	if drawing == nil {
		return Number{} // nobody reads it there
	}
	b.drawn[char] = true
	return Number{Value: b.design(drawing)}
}

// design is what the drawing says: the nominal, or the middle of the limits for
// new, NaN where it says neither.
func (b *builder) design(p *family.Place) float64 {
	if q := p.Char.Nominal; !q.IsZero() {
		return q.SI()
	}
	l := p.New
	if l == nil {
		l = p.Used
	}
	if l == nil || l.Max.IsZero() {
		return math.NaN()
	}
	return (l.Min.SI() + l.Max.SI()) / 2
}

// bearing takes one bearing. Roughness: σ = √(Rq_j² + Rq_s²), Rq = 1.25·Ra, that
// of a Gaussian profile.
func (b *builder) bearing(component, dim, place string, diameter float64, r running.Bearing, rough string) Bearing {
	const gauss = 1.2533141373155001 // √(π/2)
	ra := b.number(rough, dim, place).Value
	if math.IsNaN(ra) {
		ra = r.ShellRa.SI()
	}
	return Bearing{ID: component + "/" + place, Component: component, Place: place, Diameter: diameter,
		Width: r.Width.SI(), Groove: r.Groove, GrooveW: r.GrooveWidth.SI(), Hole: r.Hole.SI(),
		Clearance: b.number(component+"/oil-clearance", dim, place), Rough: gauss * math.Hypot(ra, r.ShellRa.SI())}
}

func sorted(m map[string]bool) []string { return slices.Sorted(maps.Keys(m)) }
