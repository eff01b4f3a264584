package assess

import (
	"math"
	"sort"
	"strconv"

	"gonum.org/v1/gonum/stat/distuv"

	"fettle/internal/judge/rule"
	"fettle/internal/know/family"
	"fettle/internal/know/instrument"
	"fettle/internal/maths/gum"
)

// mostRepeats is how often a person will read one place again.
const mostRepeats = 4

// leastChance is the chance of deciding below which an act is not worth naming.
const leastChance = 0.1

// chance is the probability that an undecided value is decided once its
// standard uncertainty has come down from u to w: the new value is expected
// where the old one is, spread by what the act can still move it.
//
//	p = P(accept) + P(reject),  y′ ~ N(y, s²),  s² = u² − w²
//
// after more of the same, and s² = u² + w² where another gauge reads anew.
//
// Shapes: scalars; lo, hi nil where open.
// Units:  one unit for all but k.
// Errors: none.
// Source: JCGM 106:2012, 7.2 (a posterior normal law); the law of the posterior
// mean before the data (preposterior analysis, H. Raiffa, R. Schlaifer, Applied
// Statistical Decision Theory, 1961, 5.3; from memory).
func chance(y, s, w, k float64, lo, hi *float64) float64 {
	below := func(x float64) float64 {
		if s == 0 {
			if y <= x {
				return 1
			}
			return 0
		}
		return distuv.UnitNormal.CDF((x - y) / s)
	}
	g, p := k*w, 0.0
	from, to := 0.0, 1.0 // of acceptance
	if lo != nil {
		p += below(*lo - g)
		from = below(*lo + g)
	}
	if hi != nil {
		p += 1 - below(*hi+g)
		to = below(*hi - g)
	}
	return p + math.Max(0, to-from)
}

// acts lists what would help an undecided value to a verdict: each says what it
// does to the doubt, how many minutes it takes and how likely it decides. They
// come in order of minutes for their chance.
func (e *evaluation) acts(v *Value, id gum.ID, p *family.Place) []Act {
	var found []Act
	k, total := v.Guard/v.SU, v.SU*v.SU
	add := func(w2, s2 float64, minutes int, say *Say) {
		c := chance(v.SI, math.Sqrt(math.Max(0, s2)), math.Sqrt(w2), k, v.Limit.Lo, v.Limit.Hi)
		if w2 < total*0.98 && c >= leastChance {
			found = append(found, Act{Say: *say, Minutes: minutes, Chance: strconv.FormatFloat(c, 'f', 2, 64), chance: c,
				decides: rule.Decide(v.SI, math.Sqrt(w2), k, v.Limit.Lo, v.Limit.Hi) != Undecided})
		}
	}
	at := e.leaned(p, v)
	minutes := 0
	for _, q := range at.places {
		minutes += e.minutes(q)
	}
	share, key := e.shares(id)
	again := share[gum.Repeat] + share[gum.Meniscus] + share[gum.Drop] // what another reading has anew
	repeat := total * again
	for more := 1; more < mostRepeats && repeat > 0; more++ {
		w2 := total - repeat + repeat*at.most/(at.most+float64(more))
		add(w2, total-w2, minutes*more, say("act.repeat", "times", strconv.Itoa(more), "places", strconv.Itoa(len(at.places)), "minutes", strconv.Itoa(minutes*more)))
	}
	if temp := e.guesses(id); temp > 0 {
		w2 := total * (1 - temp + temp*sq(thermometer/guessed))
		add(w2, total-w2, 5, say("act.temperature", "minutes", "5"))
	}
	if first, second, w2, ok := e.pair(at.used, key, total); ok {
		m := minutes + 5
		add(w2, total-w2, m, say("act.one-gauge", "first", first, "second", second, "minutes", strconv.Itoa(m)))
	}
	rest := total * (1 - again - share[gum.Resolution] - share[gum.Gauge] - share[gum.Linearity] - share[gum.Master])
	for _, t := range e.others(p, at) {
		w2, m := t.own(v.SI)+rest, t.Minutes+5
		add(w2, total+w2, m, say("act.better-gauge", "gauge", t.ID, "minutes", strconv.Itoa(m)))
	}
	sort.SliceStable(found, func(i, j int) bool {
		return float64(found[i].Minutes)/found[i].chance < float64(found[j].Minutes)/found[j].chance
	})
	return found
}

// mostActs is how many acts are named.
const mostActs = 4

// act is the cheapest of the acts that decide if the value stays where it is.
func act(acts []Act) *Say {
	best := say("act.none")
	least := math.MaxInt
	for i := range acts {
		if acts[i].decides && acts[i].Minutes < least {
			best, least = &acts[i].Say, acts[i].Minutes
		}
	}
	return best
}

// shares is how the variance of a node divides by kind of cause, and its causes
// by their keys.
func (e *evaluation) shares(id gum.ID) (map[gum.Kind]float64, map[string]gum.Share) {
	kind, key := map[gum.Kind]float64{}, map[string]gum.Share{}
	for _, s := range e.g.Budget(id) {
		kind[s.Kind] += s.Part
		if s.Key != "" {
			key[s.Key] = s
		}
	}
	return kind, key
}

// guesses is the part of a variance that comes from temperatures nobody took.
func (e *evaluation) guesses(id gum.ID) float64 {
	sum := 0.0
	for _, s := range e.g.Budget(id) {
		if s.Kind == gum.PartTemp && s.U == guessed {
			sum += s.Part
		}
	}
	return sum
}

// pair finds a comparator and a gauge that read the other part, such that
// setting the one on the other leaves the least variance: in the place of the
// bias of what the comparator was set on comes that of the gauge, which the
// other part has too.
//
//	u² − c_m²u_m² − c_g²u_g² + (c_m + c_g)²u_g²
func (e *evaluation) pair(used []*measured, key map[string]gum.Share, total float64) (first, second string, least float64, ok bool) {
	for _, m := range used {
		if m.master == gum.None {
			continue
		}
		master := key[e.keyOf(m.master)]
		for _, o := range used {
			g, known := key[e.keyOf(o.bias)]
			if o.master != gum.None || o.Gauge == "" || !known || g.Key == master.Key {
				continue
			}
			left := total - sq(master.Sensitivity*master.U) - sq(g.Sensitivity*g.U) + sq((master.Sensitivity+g.Sensitivity)*g.U)
			if !ok || left < least {
				first, second, least, ok = m.gauge, o.gauge, left, true
			}
		}
	}
	return first, second, least, ok
}

func (e *evaluation) keyOf(id gum.ID) string {
	_, _, l := e.g.Because(id)
	return l.Key
}

// readAt is what a value leans on: the measured places, their readings, and the
// most readings that any of them has.
type readAt struct {
	places []*family.Place
	used   []*measured
	most   float64
}

// leaned lists what a value leans on, each place in the state it is taken in.
func (e *evaluation) leaned(p *family.Place, v *Value) readAt {
	seen, st := map[string]bool{}, 0
	for i, s := range e.states {
		if s == v.State {
			st = i
		}
	}
	out := readAt{most: 1}
	var walk func(q *family.Place)
	walk = func(q *family.Place) {
		if seen[q.ID] {
			return
		}
		seen[q.ID] = true
		if q.Char.Relation == "" {
			out.places = append(out.places, q)
			at, _ := e.Layout.Find(q.ID)
			if k, ok := e.stateOf(at, st); ok {
				used := e.series[spot{at, k}].used
				out.used, out.most = append(out.used, used...), math.Max(out.most, float64(len(used)))
			}
			return
		}
		for _, in := range q.In {
			for _, at := range in.Places {
				walk(&e.Layout.Places[at])
			}
		}
	}
	walk(p)
	return out
}

// minutes to take one reading of a place again.
func (e *evaluation) minutes(p *family.Place) int {
	if len(p.Char.Gauges) > 0 {
		if t, ok := e.Library.Instruments[p.Char.Gauges[0]]; ok {
			return t.Minutes
		}
	}
	return 2
}

// others lists the gauge types of a measured characteristic that were not in
// use.
func (e *evaluation) others(p *family.Place, at readAt) []kindOf {
	if p.Char.Relation != "" {
		return nil
	}
	var out []kindOf
	for _, name := range p.Char.Gauges {
		t, ok := e.Library.Instruments[name]
		for _, m := range at.used {
			ok = ok && m.kind.ID != name
		}
		if ok && t.Quantity == p.Char.Quantity {
			out = append(out, kindOf{t})
		}
	}
	return out
}

// kindOf is a gauge type with what one reading of it is worth.
type kindOf struct{ instrument.Instrument }

// own is the variance of one reading of size y, formula units squared.
func (t kindOf) own(y float64) float64 {
	v := sq(t.Repeat.SI()) + sq(t.Bias.SI()) + sq(t.SetRepeat.SI()) + sq(t.Resolution.SI())/12 + sq(t.Relative.SI()*y)
	if t.Set == "master" {
		v += sq(t.Bias.SI()) // of a master that is worth as much
	}
	return v
}

func sq(x float64) float64 { return x * x }
