package rule

import (
	"math"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/stat/distuv"

	"fettle/internal/base/cite"
	"fettle/internal/base/fault"
)

// The decision rules by name.
const (
	// Guarded is guarded acceptance and guarded rejection with a one-sided band
	// that leaves the stated risk: ISO 14253-1:2017, the default.
	Guarded = "guarded"
	// GuardedOlder takes the whole expanded uncertainty, k = 2, as band, as the
	// editions of ISO 14253-1 before 2017 do.
	GuardedOlder = "guarded-older"
	// Simple accepts what reads inside and rejects what reads outside: JCGM
	// 106:2012, 8.2. Nothing is ever undecided.
	Simple = "simple"
	// ByConformance looks at the probability of lying inside both limits at
	// once: JCGM 106:2012, 8.3.2 with a chosen consumer risk.
	ByConformance = "conformance"
)

// Names lists the names of the decision rules, the default first.
func Names() []string { return []string{Guarded, GuardedOlder, Simple, ByConformance} }

// Rule is a decision rule with its risk. Its JSON stands in every assessment.
type Rule struct {
	Name   string   `json:"name"` // message key of its sentence
	Source cite.Key `json:"source"`
	Risk   float64  `json:"-"`
	Text   string   `json:"risk"`    // e.g. "5 %"
	K      float64  `json:"-"`       // guard band in standard uncertainties
	KText  string   `json:"guard_k"` // e.g. "1.645"
	kind   string
}

// defaultRisk is the probability of error that the default rule allows on one
// side of one limit.
const defaultRisk = 0.05

// Named makes a decision rule; "" is the default rule, risk 0 its default.
//
// Shapes: name and scalar -> rule.
// Units:  risk is a probability.
// Errors: an unknown name; a risk outside 0.0001 to 0.5.
// Source: ISO 14253-1:2017 and JCGM 106:2012, as the names say.
func Named(name string, risk float64) (Rule, error) {
	if risk == 0 {
		risk = defaultRisk
	}
	if !(risk >= 0.0001 && risk <= 0.5) {
		return Rule{}, fault.New(fault.Invalid, "assess.risk", "found", strconv.FormatFloat(risk, 'g', -1, 64))
	}
	r := Rule{kind: name, Risk: risk, K: distuv.UnitNormal.Quantile(1 - risk), Source: "jcgm-106-2012"}
	switch name {
	case "", Guarded:
		r.kind, r.Source = Guarded, cite.Key("iso-14253-1-2017")
	case GuardedOlder:
		r.K, r.Risk, r.Source = 2, 1-distuv.UnitNormal.CDF(2), cite.Key("iso-14253-1-2013")
	case Simple:
		r.K, r.Risk = 0, 0.5
	case ByConformance:
	default:
		return Rule{}, fault.New(fault.Invalid, "assess.rule", "found", name, "expected", strings.Join(Names(), ", "))
	}
	r.Name = "rule." + r.kind
	r.Text, r.KText = strconv.FormatFloat(r.Risk*100, 'f', -1, 64)+" %", strconv.FormatFloat(r.K, 'f', 3, 64)
	if r.kind == GuardedOlder {
		r.Text = strconv.FormatFloat(r.Risk*100, 'f', 1, 64) + " %"
	}
	return r, nil
}

// Verdict of a value by this rule.
//
// Shapes: scalars; lo, hi nil where open; dof > 0, +Inf for a normal law.
// Units:  y, u, lo, hi in one unit.
// Errors: none.
// Source: ISO 14253-1:2017; JCGM 106:2012, clause 8.
func (r Rule) Verdict(y, u, dof float64, lo, hi *float64) Verdict {
	switch r.kind {
	case Simple:
		if Past(y, lo, hi) == 0 {
			return Accept
		}
		return Reject
	case ByConformance:
		switch p := Conformance(y, u, dof, lo, hi); {
		case p >= 1-r.Risk:
			return Accept
		case p <= r.Risk && Past(y, lo, hi) != 0: // a doubt wider than the limits rejects nothing that reads inside
			return Reject
		}
		return Undecided
	}
	return Decide(y, u, r.Guard(dof), lo, hi)
}

// Guard is the factor of the guard band for a value with dof degrees of
// freedom; for a rule without a band, the factor that would leave its risk at
// one limit.
func (r Rule) Guard(dof float64) float64 {
	switch {
	case r.kind == Simple:
		return 0
	case r.kind == GuardedOlder:
		return Coverage(dof)
	case math.IsInf(dof, 1) || dof > 1000:
		return r.K
	}
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: math.Max(1, dof)}.Quantile(1 - r.Risk)
}
