package demo

import (
	"math"
	"strings"

	"fettle/internal/base/fault"
	"fettle/internal/base/unit"
	"fettle/internal/know/family"
)

// nature is how the engine really is: the size of every measured place at
// 20 °C in formula units, which checks fail, which parts are cold.
type nature struct {
	size  map[string]float64
	fail  map[string]bool
	cold  map[string]float64 // position -> °C
	calm  map[string]bool
	again map[string]bool // read at least twice
}

// measured lists the places that somebody measures: all that are not derived
// and not left out, in the order of the family.
func (t *Truth) measured(l *family.Layout) []*family.Place {
	var out []*family.Place
	for i := range l.Places {
		if p := &l.Places[i]; p.Char.Relation == "" && !t.left(p.Char.ID) {
			out = append(out, p)
		}
	}
	return out
}

func (t *Truth) left(id string) bool {
	for _, x := range t.Leave {
		if like(x.Of, id) {
			return true
		}
	}
	return false
}

// draw makes the engine without its faults.
func (t *Truth) draw(l *family.Layout, luck chance) (nature, fault.List) {
	n := nature{map[string]float64{}, map[string]bool{}, map[string]float64{}, map[string]bool{}, map[string]bool{}}
	var faults fault.List
	for _, p := range t.measured(l) {
		if p.Char.Quantity == family.Check {
			continue
		}
		h := t.healthy(l, p)
		if h.same != "" {
			h.centre = math.NaN()
			if x, ok := n.size[h.same]; ok {
				h.centre = x
			}
		}
		if math.IsNaN(h.centre) {
			faults = append(faults, fault.New(fault.Invalid, "demo.no-centre", "position", p.ID))
			continue
		}
		x := h.centre + h.set*luck.natural("set", p.Char.ID) +
			h.part*luck.natural("part", p.Char.ID, h.key) + h.place*luck.natural("place", p.ID)
		n.size[p.ID] = math.Max(x, h.least)
	}
	return n, faults
}

// health is a healthy rule at one place, in formula units.
type health struct {
	centre, set, part, place, least float64
	key                             string
	same                            string // position whose true size is the centre
}

func (t *Truth) healthy(l *family.Layout, p *family.Place) health {
	h := usual(p)
	share := []string(nil)
	if c := l.Component(p.Char.Component()); c != nil {
		share = c.Per
	}
	for i := range t.Healthy {
		r := &t.Healthy[i]
		if !like(r.Of, p.Char.ID) || !covers(l, p, r.Where) {
			continue
		}
		if r.Same != "" {
			h.same = strings.Join(append([]string{r.Same}, p.At...), "/")
		}
		switch {
		case !r.Centre.IsZero():
			h.centre = r.Centre.SI()
		case !p.Char.Nominal.IsZero():
			h.centre = p.Char.Nominal.SI()
		}
		h.centre += si(r.Shift)
		h.set, h.part, h.place = si(r.Set), si(r.Part), si(r.Place)
		if len(r.Share) > 0 {
			share = r.Share
		}
		break
	}
	h.key = key(p, share)
	return h
}

func si(q unit.Quantity) float64 {
	if q.IsZero() {
		return 0
	}
	return q.SI()
}

func key(p *family.Place, share []string) string {
	var b strings.Builder
	for i, name := range p.Char.Per {
		for _, s := range share {
			if s == name {
				b.WriteString(p.At[i] + "/")
			}
		}
	}
	return b.String()
}

// usual is what a part is like of which the truth file says nothing: near its
// nominal, or in the inner part of its limits. Spreads are parts of the way to
// the nearer limit, so that no healthy value comes near it.
func usual(p *family.Place) health {
	lo, hi := bounds(p)
	h := health{centre: math.NaN(), least: math.Inf(-1)}
	if !p.Char.Nominal.IsZero() {
		h.centre = p.Char.Nominal.SI()
	}
	if positive(p) {
		h.least = 0
	}
	both := !math.IsInf(lo, -1) && !math.IsInf(hi, 1)
	switch {
	case both && (math.IsNaN(h.centre) || math.Abs(2*h.centre-lo-hi) > (hi-lo)/3):
		h.centre = (lo + hi) / 2
	case math.IsNaN(h.centre) && !math.IsInf(hi, 1):
		h.centre = 0.35 * hi
	case math.IsNaN(h.centre) && !math.IsInf(lo, -1):
		h.centre = 1.25 * lo
	}
	room := math.Min(h.centre-lo, hi-h.centre)
	if math.IsInf(room, 1) || room <= 0 {
		room = 0
	}
	h.set, h.part, h.place = 0.06*room, 0.06*room, 0.03*room
	return h
}

// positive reports whether a place is of a kind that cannot be less than zero.
func positive(p *family.Place) bool {
	if !p.Char.Nominal.IsZero() {
		return p.Char.Nominal.N > 0
	}
	lo, hi := bounds(p)
	return lo >= 0 || math.IsInf(lo, -1) && hi > 0
}

// bounds are the limits that a used part must keep, open where there is none.
func bounds(p *family.Place) (lo, hi float64) {
	lo, hi = math.Inf(-1), math.Inf(1)
	for _, lim := range []*family.Limit{p.New, p.Used} {
		if lim == nil {
			continue
		}
		if !lim.Min.IsZero() {
			lo = lim.Min.SI()
		}
		if !lim.Max.IsZero() {
			hi = lim.Max.SI()
		}
	}
	return lo, hi
}

// covers reports whether a place agrees with every dimension that is named: its
// own value, or a group of it.
func covers(l *family.Layout, p *family.Place, where map[string][]string) bool {
	for dim, names := range where {
		ok := false
		for i, d := range p.Char.Per {
			if d == dim && among(l.Dims[dim], names, p.At[i]) {
				ok = true
			}
		}
		if !ok {
			return false
		}
	}
	return true
}

func among(d *family.Dim, names []string, v string) bool {
	for _, n := range names {
		if n == v {
			return true
		}
		for _, m := range d.Groups[n] {
			if m == v {
				return true
			}
		}
	}
	return false
}
