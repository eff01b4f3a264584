package assess

import (
	"math"

	"fettle/internal/base/unit"
	"fettle/internal/know/family"
)

// agreeing is the part of a tolerance within which two readings of one place
// agree. Source: common practice, no source.
const agreeing = 0.25

// costly are the outcomes after which there is no way back.
var costly = [...]string{"reject", "rework", "replace"}

// confirmed reports whether another reading of the place agrees with reading n
// within a quarter of the tolerance.
func (s *series) confirmed(e *evaluation, n int) bool {
	var own *measured
	for _, m := range s.used {
		if m.Ordinal == n {
			own = m
		}
	}
	if own == nil || own.node < 0 {
		return false
	}
	for _, m := range s.used {
		if m != own && m.node >= 0 && math.Abs(e.g.Value(m.node)-e.g.Value(own.node)) <= e.alike(s) {
			return true
		}
	}
	return false
}

// alike is how far apart two readings of a place may lie and agree: a quarter
// of the tolerance, or the repeatability limit of the gauge where nothing tells
// the tolerance.
//
// Source: common practice, no source; ISO 5725-6:1994, 4.1.1 for the limit.
func (e *evaluation) alike(s *series) float64 {
	if w := e.width[s.place]; w > 0 {
		return agreeing * w
	}
	limit := 0.0
	for _, m := range s.used {
		limit = math.Max(limit, 2.8*math.Hypot(m.kind.Repeat.SI(), m.step/math.Sqrt(12)))
	}
	return limit
}

// Agreed reports whether a measured value rests on two readings that agree
// within a quarter of its tolerance, as is asked for before scrap, machining or
// a signature; where nothing tells the tolerance, within the repeatability limit
// of the gauge.
//
// Shapes: one value -> yes or no.
// Units:  none.
// Errors: none; a value that is derived or unmeasured has no two readings.
// Source: common practice, no source.
func (a *Assessment) Agreed(v *Value) bool {
	at, ok := a.e.Layout.Find(v.Position)
	return ok && a.e.agreed[spot{at, a.e.rankOf(v.State)}]
}

// seconds asks for an agreeing second reading where a verdict leads to scrap or
// to machining and rests on one reading: once a finding, at the place that
// governs it, and at the place that governs a cut.
func (e *evaluation) seconds(a *Assessment) {
	asked := map[spot]bool{}
	for i := range a.Questions {
		if q := &a.Questions[i]; q.ID == Disagrees {
			if at, ok := e.Layout.Find(q.Position); ok {
				asked[spot{at, e.rankOf(q.State)}] = true // it asks for the same thing
			}
		}
	}
	for i := range a.Targets {
		t := &a.Targets[i]
		if at, ok := e.Layout.Find(t.Governs); ok && t.Needed && len(e.latest[at]) > 0 {
			state := e.latest[at][len(e.latest[at])-1]
			if v, ok := a.Find(t.Governs, e.states[state]); ok {
				e.second(a, v, asked)
			}
		}
	}
	for i := range a.Findings {
		f := &a.Findings[i]
		if f.Verdict != Reject || !leadsOn(f.Options) {
			continue
		}
		w := &f.Evidence[f.Worst]
		if v, ok := a.Find(w.Position, w.State); ok && !v.Check && w.Verdict == Reject && !e.touches(f, asked) {
			e.second(a, v, asked)
		}
	}
	e.arrange(a)
}

// touches reports whether a question already stands at what a finding rests on.
func (e *evaluation) touches(f *Finding, asked map[spot]bool) bool {
	for i := range f.Evidence {
		at, ok := e.Layout.Find(f.Evidence[i].Position)
		if ok && f.Evidence[i].Verdict == Reject && asked[spot{at, e.rankOf(f.Evidence[i].State)}] {
			return true
		}
	}
	return false
}

func leadsOn(options []string) bool {
	for _, o := range costly {
		if contains(options, o) {
			return true
		}
	}
	return false
}

// second asks for a second reading of what a value leans on: where that is
// several places, of the one that lies farthest from what is expected there. If
// that was read twice alike, the value stands.
func (e *evaluation) second(a *Assessment, v *Value, asked map[spot]bool) {
	at, _ := e.Layout.Find(v.Position)
	best, far := spot{-1, 0}, -1.0
	for _, sp := range e.beneath(spot{at, e.rankOf(v.State)}) {
		if asked[sp] {
			return // one question a finding
		}
		x := e.expect(sp.place, sp.state, e.medians)
		d := math.Abs(e.g.Value(e.nodes[sp])-x.centre()) / e.alike(e.series[sp])
		if math.IsNaN(d) || math.IsInf(d, 0) {
			d = 0
		}
		if d > far {
			best, far = sp, d
		}
	}
	if best.place < 0 || e.agreed[best] {
		return
	}
	asked[best] = true
	s := e.series[best]
	r := s.used[len(s.used)-1].Reading
	a.Questions = append(a.Questions, question(SecondReading, r, map[string]string{"typed": r.Value, "unit": r.Unit,
		"value": v.Position, "within": unit.Format(e.alike(s), r.Unit, r.Quantity.Decimals()+1)}, ""))
}

// beneath lists the measured spots that a value leans on, itself if it is one;
// what is planned has not been measured.
func (e *evaluation) beneath(from spot) []spot {
	var out []spot
	seen := map[int]bool{}
	var walk func(at int)
	walk = func(at int) {
		p := &e.Layout.Places[at]
		if seen[at] || p.Char.Quantity == family.Check {
			return
		}
		seen[at] = true
		if p.Char.Relation != "" {
			for _, in := range p.In {
				for _, q := range in.Places {
					walk(q)
				}
			}
			return
		}
		if st, ok := e.stateOf(at, from.state); ok && e.series[spot{at, st}] != nil {
			out = append(out, spot{at, st})
		}
	}
	walk(from.place)
	return out
}

// rankOf is the place of a state among those of the job.
func (e *evaluation) rankOf(state string) int {
	for i, s := range e.states {
		if s == state {
			return i
		}
	}
	return 0
}

// silenced are the questions that a second look answers: what was read twice
// alike was not mistyped. A turn or a unit can be wrong twice over.
func silenced(id string) bool {
	return id == Outlier || id == DigitSwap || id == MarkMoved || id == Decimals
}
