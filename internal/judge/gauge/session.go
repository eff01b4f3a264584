// Package gauge judges the gauges of a shop by what people read with them on
// known masters: the bias of today in each pair of hands, how well readings
// repeat and how far hands and days differ, and which verdicts leaned on a gauge
// that is found to be wrong. It changes no value: a calibration does that.
package gauge

import (
	"math"
	"slices"
	"strconv"

	"fettle/internal/base/unit"
	"fettle/internal/facts/shop"
	"fettle/internal/judge/assess"
	"fettle/internal/know/instrument"
	"fettle/internal/know/library"
	"fettle/internal/maths/study"
)

// The methods by which a session's spread is split.
const (
	ByVariances = "variances" // each person several times on each day: analysis of variance, ranges beside it
	ByDays      = "days"      // each person once a day: analysis of variance of persons and days
	ByType      = "type"      // too few checks: what the type of the gauge says
)

// drift is the least shift of a length gauge that is always told, m.
// Source: common practice, no source.
const drift = 3e-6

// pooling is the probability above which persons who differ from day to day are
// taken for repeat. Source: common practice, no source.
const pooling = 0.25

// Session is what the checks of one gauge on one master say up to a day.
// Numbers are in the formula unit of the gauge's quantity; uncertainties are
// standard uncertainties.
type Session struct {
	Gauge, Master string
	Day           int64 // counted from 1970, UTC
	Unit          string
	Checks        int
	Method        string // ByVariances, ByDays or ByType
	Why           string // key: why a better method could not be used; "" where none is missing
	Hands         []Hand // who checked that day, in order
	// Repeat is the standard deviation of one person on one day, with degrees of
	// freedom; nought of those where the type of the gauge says it.
	Repeat float64
	Dof    int
	// Persons is the standard deviation between persons, Days that between days,
	// Reproduced the three together; nought where the method cannot tell.
	Persons, Days, Reproduced float64
	// Negative says that one of them came out below nought and counts as nought.
	Negative bool
	// ByRange are the same by average and range, where the checks allow it.
	ByRange *Spread
	Alerts  []Alert
}

// Spread are the standard deviations by one method.
type Spread struct{ Repeat, Persons, Days, Reproduced float64 }

// Hand is a gauge in the hands of one person on the day.
type Hand struct {
	Person string
	Checks int
	// Bias is what the gauge shows too much, SU its uncertainty from repeat.
	Bias, SU float64
	// Shift is the bias less that of the person's earlier days; Days how many
	// there were, nought where there is no shift to tell.
	Shift, ShiftSU float64
	Days           int
	// Off is the bias less what the calibration in force takes off there, OffSU
	// with the doubt of certificate, master and type; Known tells whether there
	// is a calibration.
	Off, OffSU float64
	Known      bool
}

// The kinds of alert.
const (
	Shifted = "shifted" // not as on earlier days
	Off     = "off"     // not as the calibration says
	Beyond  = "beyond"  // the check lies outside what was calibrated
)

// Alert is a reason not to trust a gauge.
type Alert struct {
	Kind, Person string
	Value, Doubt float64 // Doubt is expanded, about 95 %
}

// Say is an alert of a session as a sentence by key.
func (s *Session) Say(a Alert) assess.Say {
	u := SmallUnit(s.Unit)
	value := unit.Format(a.Value, u, 2) + " " + u
	if a.Kind == Beyond {
		value = unit.Format(a.Value, s.Unit, 3) + " " + s.Unit
	}
	return assess.Say{Key: "gauge." + a.Kind, Args: map[string]string{"person": a.Person, "value": value, "doubt": unit.Format(a.Doubt, u, 2) + " " + u}}
}

// Judge judges the checks of one gauge on one master up to the end of a day.
// ok is false where there is none on that day.
//
// Shapes: checks -> one session.
// Units:  formula unit of the gauge's quantity.
// Errors: none; what cannot be told is said in Method and Why.
// Source: the split into persons, days and repeat as in maths/study; limits of
// 3 µm and of about 95 % are common practice, no source. One gauge in twenty
// that is as it was raises an alert on any one day.
func Judge(sh *shop.State, lib *library.Library, of shop.Study, day int64) (s Session, ok bool) {
	s = Session{Gauge: of.Gauge, Master: of.Master, Day: day}
	checks := until(of.Checks, day)
	s.Checks = len(checks)
	j := judge{sh: sh, lib: lib, s: &s, cells: map[cell][]float64{}}
	for i := range checks {
		j.add(&checks[i])
	}
	if !slices.Contains(j.days, day) {
		return s, false
	}
	j.split()
	j.hands(checks)
	j.alert(checks)
	return s, true
}

// until drops the checks after a day, and those that are of another kind of
// quantity than the last one.
func until(all []shop.Check, day int64) []shop.Check {
	var out []shop.Check
	for i := range all {
		if all[i].Day() <= day {
			out = append(out, all[i])
		}
	}
	if len(out) == 0 {
		return nil
	}
	dim := out[len(out)-1].TrueQ.Dim
	return slices.DeleteFunc(out, func(c shop.Check) bool { return c.TrueQ.Dim != dim })
}

// cell is one person on one day.
type cell struct {
	person string
	day    int64
}

type judge struct {
	sh      *shop.State
	lib     *library.Library
	s       *Session
	persons []string
	days    []int64
	cells   map[cell][]float64
}

func (j *judge) add(c *shop.Check) {
	if !slices.Contains(j.persons, c.Person) {
		j.persons = append(j.persons, c.Person)
	}
	if !slices.Contains(j.days, c.Day()) {
		j.days = append(j.days, c.Day())
	}
	at := cell{c.Person, c.Day()}
	j.cells[at] = append(j.cells[at], c.Error())
	j.s.Unit = c.Unit
}

// split tells repeat, persons and days apart by the best method that the checks
// allow.
func (j *judge) split() {
	s := j.s
	s.Method, s.Repeat = ByType, j.typical()
	if len(j.persons) < 2 || len(j.days) < 2 {
		s.Why = "gauge.few"
		return
	}
	if c, ok := j.crossed(); ok {
		v, err := study.StudyByVariances(c, pooling)
		if err == nil {
			s.Method, s.Repeat, s.Dof = ByVariances, v.Gauge.Repeat.SD, v.Repeat.DF
			if v.Pooled {
				s.Dof += v.Interaction.DF
			}
			s.Persons, s.Days, s.Negative = math.Hypot(v.Hands.SD, v.Gauge.Interaction.SD), v.Part.SD, v.Negative
			s.Reproduced = v.Gauge.Total.SD
			if r, err := study.StudyByRanges(c); err == nil {
				s.ByRange = &Spread{r.Gauge.Repeat.SD, r.Hands.SD, r.Part.SD, r.Total.SD}
			}
			return
		}
		s.Why = "gauge.coarse" // no cell has readings that differ
		return
	}
	out, err := study.CheckSessions(j.first(), name(s.Day))
	if err != nil || out.Repeat == 0 {
		s.Why = "gauge.few"
		return
	}
	s.Method, s.Repeat, s.Dof = ByDays, out.Repeat, out.DF
	s.Persons, s.Days, s.Reproduced, s.Negative = out.Hands, out.Drift, out.Reproduced, out.Negative
}

// crossed is the checks with the days in the place of parts, where everybody
// checked every day equally often, twice or more.
func (j *judge) crossed() (study.Crossed, bool) {
	n := len(j.cells[cell{j.persons[0], j.days[0]}])
	if n < 2 {
		return nil, false
	}
	c := make(study.Crossed, len(j.days))
	for d, day := range j.days {
		for _, p := range j.persons {
			v := j.cells[cell{p, day}]
			if len(v) != n {
				return nil, false
			}
			c[d] = append(c[d], v)
		}
	}
	return c, true
}

// first is the first check of each person and day.
func (j *judge) first() []study.Check {
	var out []study.Check
	for _, day := range j.days {
		for _, p := range j.persons {
			if v := j.cells[cell{p, day}]; len(v) > 0 {
				out = append(out, study.Check{Person: p, Day: name(day), Error: v[0]})
			}
		}
	}
	return out
}

// kind is the type of a gauge that the shop knows.
func (j *judge) kind(id string) (instrument.Instrument, bool) {
	g := j.sh.Gauges[id]
	if g == nil {
		return instrument.Instrument{}, false
	}
	k, ok := j.lib.Instruments[g.Type]
	return k, ok
}

// name is a day as maths/study tells days apart.
func name(day int64) string { return strconv.FormatInt(day, 10) }

// SmallUnit is the unit in which what a gauge is off is read: micrometres for
// lengths, else the gauge's own.
func SmallUnit(of string) string {
	if d, _, ok := unit.Of(of); ok && d == unit.Length {
		return "µm"
	}
	return of
}
