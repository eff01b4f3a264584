package assess

import (
	"math"
	"sort"
	"strconv"

	"fettle/internal/know/family"
	"fettle/internal/maths/gum"
)

// mostRepeats is how often a person will read one place again.
const mostRepeats = 4

// act finds the cheapest thing that would decide an undecided value: each
// candidate says what it does to the doubt and how many minutes it takes.
// The value itself is taken to stay where it is.
func (e *evaluation) act(v *Value, id gum.ID, p *family.Place) *Say {
	room := math.Inf(1)
	for _, b := range []*float64{v.Limit.Lo, v.Limit.Hi} {
		if b != nil {
			room = math.Min(room, math.Abs(v.SI-*b))
		}
	}
	need := room * v.SU / v.Guard // the standard uncertainty that would decide
	type candidate struct {
		minutes int
		say     *Say
	}
	var found []candidate
	at := e.leaned(p, v)
	total, minutes := v.SU*v.SU, 0
	for _, q := range at.places {
		minutes += e.minutes(q)
	}
	share, key := e.shares(id)
	repeat := total * share[gum.Repeat]
	for more := 1; more < mostRepeats && repeat > 0; more++ {
		if total-repeat+repeat*at.most/(at.most+float64(more)) <= need*need {
			found = append(found, candidate{minutes * more, say("act.repeat", "times", strconv.Itoa(more), "places", strconv.Itoa(len(at.places)), "minutes", strconv.Itoa(minutes*more))})
			break
		}
	}
	if temp := e.guesses(id); temp > 0.1 && total*(1-temp+temp*sq(thermometer/guessed)) <= need*need {
		found = append(found, candidate{5, say("act.temperature", "minutes", "5")})
	}
	if first, second, ok := e.pair(at.used, key, total, need); ok {
		m := minutes + 5
		found = append(found, candidate{m, say("act.one-gauge", "first", first, "second", second, "minutes", strconv.Itoa(m))})
	}
	rest := total * (1 - share[gum.Repeat] - share[gum.Resolution] - share[gum.Gauge] - share[gum.Master])
	if t, ok := e.better(p, at, v.SI, rest, need); ok {
		m := e.Library.Instruments[t].Minutes + 5
		found = append(found, candidate{m, say("act.better-gauge", "gauge", t, "minutes", strconv.Itoa(m))})
	}
	if len(found) == 0 {
		return say("act.none")
	}
	sort.SliceStable(found, func(i, j int) bool { return found[i].minutes < found[j].minutes })
	return found[0].say
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
// setting the one on the other decides: in the place of the bias of what the
// comparator was set on comes that of the gauge, which the other part has too.
//
//	u² − c_m²u_m² − c_g²u_g² + (c_m + c_g)²u_g²
func (e *evaluation) pair(used []*measured, key map[string]gum.Share, total, need float64) (first, second string, ok bool) {
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
			if left <= need*need {
				return m.gauge, o.gauge, true
			}
		}
	}
	return "", "", false
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

// better names the first gauge type of the characteristic, other than those in
// use, with which one reading would be decided; rest is the variance that stays.
func (e *evaluation) better(p *family.Place, at readAt, y, rest, need float64) (string, bool) {
	if p.Char.Relation != "" {
		return "", false
	}
	for _, name := range p.Char.Gauges {
		t, ok := e.Library.Instruments[name]
		for _, m := range at.used {
			ok = ok && m.kind.ID != name
		}
		if !ok || t.Quantity != p.Char.Quantity {
			continue
		}
		own := sq(t.Repeat.SI()) + sq(t.Bias.SI()) + sq(t.SetRepeat.SI()) + sq(t.Resolution.SI())/12 + sq(t.Relative.SI()*y)
		if t.Set == "master" {
			own += sq(t.Bias.SI()) // of a master that is worth as much
		}
		if own+rest <= need*need {
			return name, true
		}
	}
	return "", false
}

func sq(x float64) float64 { return x * x }
