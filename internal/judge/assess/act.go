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
	parts, places := e.parts(id), e.leaned(p, v)
	total := v.SU * v.SU
	repeat := total * (parts[gum.Repeat] + parts[gum.Resolution])
	minutes := 0
	for _, q := range places {
		minutes += e.minutes(q)
	}
	for m := 2; m <= mostRepeats && repeat > 0; m++ {
		if total-repeat+repeat/float64(m) <= need*need {
			found = append(found, candidate{minutes * (m - 1), say("act.repeat", "times", strconv.Itoa(m-1), "places", strconv.Itoa(len(places)), "minutes", strconv.Itoa(minutes*(m-1)))})
			break
		}
	}
	if temp := total * parts[gum.PartTemp]; temp > 0 && parts[gum.PartTemp] > 0.1 {
		left := temp * math.Pow(thermometer/guessed, 2)
		if total-temp+left <= need*need {
			found = append(found, candidate{5, say("act.temperature", "minutes", "5")})
		}
	}
	if ids := e.gauges(id); len(ids) > 1 {
		if bias := total * (parts[gum.Gauge] + parts[gum.Master]); total-bias <= need*need {
			m := minutes + 5
			found = append(found, candidate{m, say("act.one-gauge", "first", ids[0], "second", ids[1], "minutes", strconv.Itoa(m))})
		}
	}
	if t, ok := e.better(p, places, v.SU, need); ok {
		m := minutes + 5
		found = append(found, candidate{m, say("act.better-gauge", "gauge", t, "minutes", strconv.Itoa(m))})
	}
	if len(found) == 0 {
		return say("act.none")
	}
	sort.SliceStable(found, func(i, j int) bool { return found[i].minutes < found[j].minutes })
	return found[0].say
}

// parts is how the variance of a node divides by kind of cause.
func (e *evaluation) parts(id gum.ID) map[gum.Kind]float64 {
	out := map[gum.Kind]float64{}
	for _, s := range e.g.Budget(id) {
		out[s.Kind] += s.Part
	}
	return out
}

// gauges lists the gauges whose biases reach a node, largest part first.
func (e *evaluation) gauges(id gum.ID) []string {
	var out []string
	for _, s := range e.g.Budget(id) {
		if s.Kind == gum.Gauge && !contains(out, s.Ref) {
			out = append(out, s.Ref)
		}
	}
	return out
}

// leaned lists the measured places that a value leans on.
func (e *evaluation) leaned(p *family.Place, v *Value) []*family.Place {
	seen := map[string]bool{}
	var out []*family.Place
	var walk func(q *family.Place)
	walk = func(q *family.Place) {
		if seen[q.ID] {
			return
		}
		seen[q.ID] = true
		if q.Char.Relation == "" {
			out = append(out, q)
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

// better names the first gauge type of the characteristic with which the same
// reading would be decided.
func (e *evaluation) better(p *family.Place, places []*family.Place, u, need float64) (string, bool) {
	if len(places) != 1 || p.Char.Relation != "" {
		return "", false
	}
	for _, name := range p.Char.Gauges {
		t, ok := e.Library.Instruments[name]
		if !ok {
			continue
		}
		own := math.Sqrt(sq(t.Repeat.SI()) + sq(t.Bias.SI()) + sq(t.SetRepeat.SI()) + sq(t.Resolution.SI())/12)
		if own > 0 && own < u*0.9 && own <= need {
			return name, true
		}
	}
	return "", false
}

func sq(x float64) float64 { return x * x }
