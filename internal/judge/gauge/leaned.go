package gauge

import (
	"time"

	"fettle/internal/judge/assess"
)

// Lean is a verdict that has a gauge among the causes of its doubt.
type Lean struct {
	Position, State string
	Verdict         assess.Verdict
	Part            float64 // of the variance, 0 to 1
}

// Leaned lists the verdicts that leaned on a gauge, by position and state:
// those of readings taken with it or with what was set on it from one time to
// another (µs since 1970, both included; 0 for an open end), and of everything
// worked out from them.
//
// Shapes: assessment -> list.
// Units:  none; parts of the variance.
// Errors: none.
func Leaned(a *assess.Assessment, gauge string, from, to int64) []Lean {
	l := leaning{a: a, gauge: gauge, from: from, to: to, seen: map[*assess.Value]bool{}}
	var out []Lean
	for i := range a.Values {
		v := &a.Values[i]
		if v.Verdict == "" || !v.Has || v.Check || !l.leans(v) {
			continue
		}
		if part := l.part(v); part > rounding {
			out = append(out, Lean{v.Position, v.State, v.Verdict, part})
		}
	}
	return out
}

// rounding is the part of a variance below which a cause has cancelled: what is
// left then comes from the arithmetic.
const rounding = 1e-9

type leaning struct {
	a        *assess.Assessment
	gauge    string
	from, to int64
	seen     map[*assess.Value]bool
}

// part is how much of a doubt comes from the gauge itself; its repeat, which
// every reading has anew, is not its fault.
func (l *leaning) part(v *assess.Value) float64 {
	_, budget := l.a.Explain(v)
	sum := 0.0
	for _, s := range budget {
		if s.Ref == l.gauge && (s.Cause == "gauge" || s.Cause == "linearity" || s.Cause == "master") {
			sum += s.Frac
		}
	}
	return sum
}

// leans reports whether a value rests on a reading of the gauge in the time
// asked for.
func (l *leaning) leans(v *assess.Value) bool {
	if known, ok := l.seen[v]; ok {
		return known
	}
	l.seen[v] = false
	because, _ := l.a.Explain(v)
	if because == nil {
		return false
	}
	if !v.Derived {
		l.seen[v] = l.read(v) && l.part(v) > rounding
		return l.seen[v]
	}
	for _, in := range because.Inputs {
		if in.Position == "" {
			continue
		}
		if q, ok := l.a.Find(in.Position, in.State); ok && l.leans(q) {
			l.seen[v] = true
			break
		}
	}
	return l.seen[v]
}

// read reports whether a measured value has a reading of that time that the
// gauge could have taken, or that was set on it without saying so.
func (l *leaning) read(v *assess.Value) bool {
	for _, r := range v.Readings {
		if r.Gauge != l.gauge && r.Master != "" && r.Master != l.gauge {
			continue
		}
		t, err := time.Parse(time.RFC3339, r.Time)
		if err != nil {
			return true // a reading without a time may have been taken at any
		}
		// Times here are whole seconds.
		if s := t.Unix(); (l.from == 0 || s >= floor(l.from)) && (l.to == 0 || s <= floor(l.to)) {
			return true
		}
	}
	return false
}

func floor(time int64) int64 { return time / 1e6 }

// Change is a value whose verdict is another with other facts.
type Change struct {
	Position, State string
	Before, After   assess.Verdict
	Shift           float64 // value after less before, formula unit
}

// Changes evaluates a job twice, with the facts as they were and as they would
// be, and lists the verdicts that differ: what a new calibration or check
// re-opens before it is entered. moved counts the values that change without
// another verdict.
//
// Errors: as of assess.Evaluate.
func Changes(k assess.Knowledge, before, after assess.Facts, p assess.Plan) (changes []Change, moved int, err error) {
	if before.Job != after.Job {
		panic("gauge: two jobs are no before and after")
	}
	was, err := assess.Evaluate(k, before, p)
	if err != nil {
		return nil, 0, err
	}
	now, err := assess.Evaluate(k, after, p)
	if err != nil {
		return nil, 0, err
	}
	changes, moved = Compare(was, now)
	return changes, moved, nil
}

// Compare lists the verdicts that differ between two assessments of one job.
//
// Shapes: two assessments -> list, count.
// Units:  formula unit of each value.
// Errors: none.
func Compare(was, now *assess.Assessment) (changes []Change, moved int) {
	for i := range now.Values {
		v := &now.Values[i]
		w, ok := was.Find(v.Position, v.State)
		if !ok {
			continue
		}
		switch {
		case v.Verdict != w.Verdict:
			changes = append(changes, Change{v.Position, v.State, w.Verdict, v.Verdict, v.SI - w.SI})
		case v.SI != w.SI || v.SU != w.SU:
			moved++
		}
	}
	return changes, moved
}
