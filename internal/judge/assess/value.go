package assess

import (
	"math"
	"strconv"
	"time"

	"fettle/internal/base/unit"
	"fettle/internal/facts/job"
	"fettle/internal/judge/rule"
	"fettle/internal/know/family"
	"fettle/internal/maths/gum"
)

// values writes every spot that has a value, and every measured place that has
// none, in order of position and state.
func (e *evaluation) values(a *Assessment) {
	a.Values = make([]Value, 0, len(e.Layout.Places)+len(e.order))
	for _, at := range e.Layout.Named {
		p := &e.Layout.Places[at]
		if !e.inScope(at) {
			continue
		}
		any := false
		for st := range e.states {
			if v, ok := e.value(spot{at, st}, p); ok {
				any = true
				a.Values = append(a.Values, v)
			}
		}
		if !any {
			v := Value{Position: p.ID, State: job.Found, Place: p, Derived: p.Char.Relation != "", Verdict: Unmeasured, Check: p.Char.Quantity == family.Check}
			v.Limit = e.bounds(p, job.Found)
			v.Missing = e.missing[spot{at, 0}]
			v.Why = say("value.not-measured")
			if v.Derived {
				v.Why = say("value.lacks", "n", strconv.Itoa(len(v.Missing)))
			} else if u, left := e.Job.Left(p.ID, job.Found); left {
				v.Why = say("value.left", "because", u.Because)
			}
			a.Values = append(a.Values, v)
		}
	}
	a.index = make(map[string]int, len(a.Values))
	for i := range a.Values {
		a.index[a.Values[i].Position+"\x00"+a.Values[i].State] = i
	}
}

func say(key string, pairs ...string) *Say {
	s := &Say{Key: key}
	for i := 0; i+1 < len(pairs); i += 2 {
		if s.Args == nil {
			s.Args = map[string]string{}
		}
		s.Args[pairs[i]] = pairs[i+1]
	}
	return s
}

// value is one spot; ok is false where nothing was read or derived there.
func (e *evaluation) value(sp spot, p *family.Place) (Value, bool) {
	s := e.series[sp]
	id, has := e.nodes[sp]
	broken, odd := e.broken[sp]
	if !has && s == nil && !odd {
		return Value{}, false
	}
	v := Value{Position: p.ID, State: e.states[sp.state], Place: p, Derived: p.Char.Relation != "", Check: p.Char.Quantity == family.Check}
	v.Limit = e.bounds(p, v.State)
	if s != nil {
		if len(s.all) == 0 && !has {
			v.Verdict, v.Why = Unmeasured, say("value.withdrawn")
			if u, left := e.Job.Left(p.ID, v.State); left {
				v.Why = say("value.left", "because", u.Because)
			}
			return v, len(s.voids) > 0
		}
		v.Readings = e.reads20(s)
	}
	switch {
	case odd:
		v.Verdict, v.Why = Unmeasured, say("value.no-sense", "error", broken)
	case v.Check:
		e.check(&v, s)
	case !has && v.Derived:
		v.Missing = e.missing[sp]
		v.Verdict, v.Why = Unmeasured, say("value.lacks", "n", strconv.Itoa(len(v.Missing)))
	case !has:
		v.Verdict, v.Why = Unmeasured, say("value.condition", "condition", s.lacks[0])
	default:
		e.number(&v, id, p)
		v.Remarks = said(e.remarksOf(sp))
		if s != nil && len(s.lacks) > 0 {
			v.Why = say("value.some-left-out", "condition", s.lacks[0])
		}
	}
	return v, true
}

// check is the verdict of a yes-or-no check: the last reading speaks.
func (e *evaluation) check(v *Value, s *series) {
	if len(s.used) == 0 {
		v.Verdict, v.Why = Unmeasured, say("value.condition", "condition", s.lacks[0])
		return
	}
	last := s.used[len(s.used)-1]
	v.Has, v.Pass, v.Y = true, last.Value == "pass", last.Value
	if v.Limit == nil {
		return
	}
	v.Verdict = Reject
	if v.Pass {
		v.Verdict = Accept
	}
}

// number fills value, doubt, verdict, because and budget.
func (e *evaluation) number(v *Value, id gum.ID, p *family.Place) {
	c := p.Char
	v.Has, v.SI, v.SU = true, e.g.Value(id), e.g.U(id)
	dof := e.g.Dof(id)
	v.Unit, v.UUnit = c.Unit, doubtUnit(c.Unit)
	v.Y = unit.Format(v.SI, c.Unit, c.Decimals+1)
	k := rule.Coverage(dof)
	v.U, v.Expanded = doubt(v.SU, v.UUnit), doubt(k*v.SU, v.UUnit)
	v.K, v.Dof = strconv.FormatFloat(k, 'f', 2, 64), "∞"
	if !math.IsInf(dof, 1) {
		v.Dof = strconv.FormatFloat(dof, 'f', 1, 64)
	}
	v.node = id
	if v.Limit == nil {
		return
	}
	v.Guard = e.by.Guard(dof) * v.SU
	v.Verdict = e.by.Verdict(v.SI, v.SU, dof, v.Limit.Lo, v.Limit.Hi)
	v.Conform = strconv.FormatFloat(rule.Conformance(v.SI, v.SU, dof, v.Limit.Lo, v.Limit.Hi), 'f', 3, 64)
	v.Amount = rule.Past(v.SI, v.Limit.Lo, v.Limit.Hi)
	if v.Verdict == Undecided && v.State != job.Planned { // what is planned cannot be read again
		all := e.acts(v, id, p)
		v.Act, v.Acts = act(all), all[:min(len(all), mostActs)]
	}
}

// bounds is the limit that applies to a place in a state: as found the limits
// for reuse, behind an operation and as built those for new, moved by the step
// that the group was taken to.
func (e *evaluation) bounds(p *family.Place, state string) *Bounds {
	first, second, shift := p.Used, p.New, 0.0
	if state != job.Found {
		first, second = p.New, p.Used
		for st, s := range e.states {
			if s == state {
				shift = e.shift(p, st)
			}
		}
	}
	l := first
	if l == nil {
		l = second
	}
	if l == nil {
		return nil
	}
	b := &Bounds{For: l.For, Must: l.Must, Source: l.Source, Status: l.Status}
	b.Min, b.Lo = moved(l.Min, shift)
	b.Max, b.Hi = moved(l.Max, shift)
	b.Nominal, b.Nom = moved(p.Char.Nominal, shift)
	return b
}

// moved is a bound with a step added, as text and in formula units.
func moved(q unit.Quantity, shift float64) (string, *float64) {
	if q.IsZero() {
		return "", nil
	}
	x := q.SI() + shift
	if shift == 0 {
		return q.String(), &x
	}
	return unit.Format(x, q.Unit, q.Decimals()) + " " + q.Unit, &x
}

func (e *evaluation) reads20(s *series) []Read {
	out := make([]Read, len(s.all))
	at20 := map[int]float64{}
	for _, m := range s.used {
		if m.node != gum.None {
			at20[m.Ordinal] = e.g.Value(m.node)
		}
	}
	for i := range s.all {
		r := &s.all[i]
		out[i] = Read{Typed: r.Typed, Unit: r.Unit, Gauge: r.Gauge, Master: r.Master, PartTemp: r.PartTemp, GaugeTemp: r.GaugeTemp,
			Condition: r.Condition, Person: r.Person, Time: time.UnixMicro(r.Time).UTC().Format(time.RFC3339), Key: r.Key, At20: at20[r.Ordinal]}
	}
	return out
}

// doubtUnit is the unit in which a doubt is read: micrometres for lengths.
func doubtUnit(u string) string {
	if d, _, _ := unit.Of(u); d == unit.Length {
		return "µm"
	}
	return u
}

// doubt writes an uncertainty with two significant digits, at most 6 decimals.
func doubt(si float64, in string) string {
	x := unit.FromSI(si, in)
	if x == 0 {
		return "0"
	}
	decimals := 1 - int(math.Floor(math.Log10(math.Abs(x))))
	return strconv.FormatFloat(x, 'f', min(max(decimals, 0), 9), 64)
}
