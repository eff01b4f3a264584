package study

import (
	"fmt"
	"math"
	"slices"

	"fettle/internal/maths/summary"
)

// Check is one reading of a master at the start of a session.
type Check struct {
	Person, Day string
	// Error is the reading less the value of the master.
	Error float64
}

// Bias is by how much a gauge shows too much, and the standard uncertainty of
// that from scatter alone. What the master is worth comes on top, once for all.
type Bias struct{ Value, SU float64 }

// Sessions is what daily checks of one gauge on one master tell.
type Sessions struct {
	// Persons and Days in the order of their first check.
	Persons, Days []string
	// Repeat is the standard deviation of one person on one day with DF degrees
	// of freedom (repeatability).
	Repeat float64
	DF     int
	// Hands is the standard deviation between persons, Drift that between days.
	// Reproduced is that of a reading by anybody on any day, the three
	// together (intermediate precision).
	Hands, Drift, Reproduced float64
	// Negative says that Hands or Drift came out below nought and counts as
	// nought.
	Negative bool
	// Today is the bias of the gauge on the day asked for: the mean over the
	// persons who checked it that day, as a guess for anybody's hands.
	Today Bias
	// Each is the bias today in the hands of each person in turn, from all
	// checks together: persons keep their difference from day to day.
	Each []Bias
	// Shift is the bias of today less the mean of the other days, in the same
	// hands. A shift beyond what its uncertainty explains is a changed gauge.
	Shift Bias
}

// CheckSessions splits the daily checks of a gauge, each person reading the
// master once a day, into persons, days and repeat. Somebody may be missing on
// a day.
//
//	e_pd = μ + P_p + D_d + ε_pd
//	σ²_ε = SS_residual/(N − a − b + 1)
//	σ²_P = [SS(P | D) − (a − 1) σ²_ε]/(N − b)    σ²_D = [SS(D | P) − (b − 1) σ²_ε]/(N − a)
//
// for a persons and b days, SS(P | D) being what persons explain beyond days. With nobody missing these are the mean squares of
// the two-way table without repeats: σ²_P = (MS_P − MS_ε)/b. Where each person
// reads the master several times a day, take a Crossed study with the days in
// the place of the parts instead: then the repeat is seen apart from persons
// who change from day to day, which here it is not.
//
// Shapes: N checks of a ≥ 2 persons on b ≥ 2 days -> components, one Bias a
// person.
// Units:  any, kept.
// Errors: fewer than 2 persons or days; a person twice on one day; a value that
// is not finite; today without a check; checks that leave no degree of freedom,
// or that fall into groups of persons who never read on the same day.
// Source: C.R. Henderson, Biometrics 9 (1953) 226-252, method 3, from memory;
// ISO 5725-3 (from memory) for the words.
func CheckSessions(checks []Check, today string) (Sessions, error) {
	var s Sessions
	seen := map[[2]string]bool{}
	for i, c := range checks {
		if math.IsNaN(c.Error) || math.IsInf(c.Error, 0) {
			return Sessions{}, fmt.Errorf("study: check %d is %v: a finite number is needed", i, c.Error)
		}
		key := [2]string{c.Person, c.Day}
		if seen[key] {
			return Sessions{}, fmt.Errorf("study: %q checks twice on %q: one check a person and day, or a crossed study", c.Person, c.Day)
		}
		seen[key] = true
		s.Persons, s.Days = known(s.Persons, c.Person), known(s.Days, c.Day)
	}
	a, b := len(s.Persons), len(s.Days)
	if a < 2 || b < 2 {
		return Sessions{}, fmt.Errorf("study: %d persons on %d days: at least 2 persons on 2 days are needed to tell hands, drift and repeat apart", a, b)
	}
	if !slices.Contains(s.Days, today) {
		return Sessions{}, fmt.Errorf("study: nobody checked the gauge on %q", today)
	}
	if len(checks) < a+b {
		return Sessions{}, fmt.Errorf("study: %d checks of %d persons on %d days: at least %d are needed to see the repeat", len(checks), a, b, a+b)
	}
	m := sessionModel{s.Persons, s.Days, checks}
	full, err := m.fit(true, true)
	if err != nil {
		return Sessions{}, fmt.Errorf("study: persons or days cannot be compared: let two persons who both check on one day link the groups")
	}
	s.Repeat, s.DF = full.StdDev, full.DF
	ss := squares(full.Residuals)
	component := func(persons, days bool, df int, n float64) (float64, error) {
		part, err := m.fit(persons, days)
		v := (squares(part.Residuals) - ss - float64(df)*s.Repeat*s.Repeat) / n
		if v < 0 {
			s.Negative, v = true, 0
		}
		return math.Sqrt(v), err
	}
	if s.Hands, err = component(false, true, a-1, float64(len(checks)-b)); err != nil {
		return Sessions{}, err
	}
	if s.Drift, err = component(true, false, b-1, float64(len(checks)-a)); err != nil {
		return Sessions{}, err
	}
	s.Reproduced = math.Sqrt(s.Repeat*s.Repeat + s.Hands*s.Hands + s.Drift*s.Drift)
	s.biases(m, full, today)
	return s, nil
}

func known(list []string, name string) []string {
	if slices.Contains(list, name) {
		return list
	}
	return append(list, name)
}

// biases fills in what holds today.
func (s *Sessions) biases(m sessionModel, full summary.Regression, today string) {
	var errs []float64
	for _, c := range m.checks {
		if c.Day == today {
			errs = append(errs, c.Error)
		}
	}
	s.Today = Bias{mean(errs), math.Sqrt((s.Hands*s.Hands + s.Repeat*s.Repeat) / float64(len(errs)))}
	for _, p := range s.Persons {
		s.Each = append(s.Each, contrast(full, m.row(p, today, true, true)))
	}
	shift := m.row(s.Persons[0], today, true, true)
	for _, d := range s.Days {
		if d == today {
			continue
		}
		for i, x := range m.row(s.Persons[0], d, true, true) {
			shift[i] -= x / float64(len(s.Days)-1)
		}
	}
	s.Shift = contrast(full, shift)
}

// contrast is a sum of coefficients and its standard uncertainty.
func contrast(r summary.Regression, w []float64) Bias {
	var value, v float64
	for i := range w {
		value += w[i] * r.Coefficients[i]
		for j := range w {
			v += w[i] * w[j] * r.Covariance[i][j]
		}
	}
	return Bias{value, math.Sqrt(math.Max(0, v))}
}

// sessionModel sets up the checks for least squares; the first person and the
// first day are the level from which the others differ.
type sessionModel struct {
	persons, days []string
	checks        []Check
}

func (m sessionModel) row(person, day string, persons, days bool) []float64 {
	out := []float64{1}
	is := func(yes bool, list []string, name string) {
		for _, n := range list[1:] {
			if x := 0.0; yes {
				if n == name {
					x = 1
				}
				out = append(out, x)
			}
		}
	}
	is(persons, m.persons, person)
	is(days, m.days, day)
	return out
}

func (m sessionModel) fit(persons, days bool) (summary.Regression, error) {
	x, y := make([][]float64, len(m.checks)), make([]float64, len(m.checks))
	for i, c := range m.checks {
		x[i], y[i] = m.row(c.Person, c.Day, persons, days), c.Error
	}
	return summary.Regress(x, y, false)
}
