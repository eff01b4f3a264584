package compute

import (
	"fmt"
	"math"

	"fettle/internal/base/unit"
	"fettle/internal/judge/rule"
	"fettle/internal/maths/risk"
)

// rules are the procedures of decisions and their risks.
func rules() []procedure {
	limits := []field{{name: "low", what: "lower limit; left out where open"}, {name: "high", what: "upper limit; left out where open"}}
	doubt := field{name: "u", need: true, what: "standard uncertainty"}
	process := append([]field{{name: "process", extent: oneWord, words: []string{"normal", "gamma"}, what: "what the process makes"},
		{name: "mean", need: true, what: "mean of the process"}, {name: "sd", what: "standard deviation of a normal process"},
		{name: "shape", dim: unit.Number, what: "shape of a gamma process"}, doubt}, limits...)
	return []procedure{
		{name: "decide", source: "iso-14253-1-2017", run: decide, fields: append([]field{{name: "value", need: true, what: "the value"}, doubt,
			{name: "dof", dim: unit.Number, what: "degrees of freedom of u; left out for infinite"},
			{name: "rule", extent: oneWord, words: rule.Names(), what: "the decision rule"},
			{name: "risk", dim: unit.Number, what: "risk that the rule leaves; left out 5 %"}}, limits...),
			example: `{"value": "59.9921 mm", "u": "1.2 µm", "low": "59.990 mm", "high": "60.006 mm", "rule": "guarded", "risk": "5 %"}`},
		{name: "risk-specific", source: "jcgm-106-2012", run: specific, fields: append([]field{{name: "value", what: "the value whose risk is asked"}, doubt,
			{name: "risk", dim: unit.Number, what: "risk for which a guard band is asked"}}, limits...),
			example: `{"value": "60.0055 mm", "u": "1.2 µm", "low": "59.990 mm", "high": "60.006 mm", "risk": "5 %"}`},
		{name: "risk-global", source: "jcgm-106-2012", run: global, fields: append([]field{{name: "accept_low", what: "lower limit of acceptance; left out that of the tolerance"},
			{name: "accept_high", what: "upper limit of acceptance"}, {name: "value", what: "a value measured, whose conformance is asked"}}, process...),
			example: `{"process": "normal", "mean": "0 mm", "sd": "0.5 mm", "u": "0.25 mm", "low": "-1 mm", "high": "1 mm", "accept_low": "-0.91 mm", "accept_high": "0.91 mm"}`},
		{name: "guard-global", source: "jcgm-106-2012", run: guard, fields: append([]field{{name: "risk", dim: unit.Number, need: true, what: "global consumer's risk that is allowed"}}, process...),
			example: `{"process": "normal", "mean": "0 mm", "sd": "0.5 mm", "u": "0.25 mm", "low": "-1 mm", "high": "1 mm", "risk": "0.8 %"}`},
	}
}

// limits are those given; nil where open.
func (c *call) limits() (lo, hi *float64, err error) {
	if c.has("low") {
		v := c.nums["low"]
		lo = &v
	}
	if c.has("high") {
		v := c.nums["high"]
		hi = &v
	}
	if lo == nil && hi == nil || lo != nil && hi != nil && !(*lo < *hi) {
		return nil, nil, fmt.Errorf("low, high or both are expected, and low below high")
	}
	return lo, hi, nil
}

func (c *call) tolerance() (risk.Range, error) {
	lo, hi, err := c.limits()
	return opened(lo, hi), err
}

func opened(lo, hi *float64) risk.Range {
	r := risk.Range{Low: math.Inf(-1), High: math.Inf(1)}
	if lo != nil {
		r.Low = *lo
	}
	if hi != nil {
		r.High = *hi
	}
	return r
}

func decide(c *call) error {
	lo, hi, err := c.limits()
	if err != nil {
		return err
	}
	y, u, dof := c.nums["value"], c.nums["u"], math.Inf(1)
	if c.has("dof") {
		dof = c.nums["dof"]
	}
	if !(u >= 0) || !(dof > 0) {
		return fmt.Errorf("u is zero or more, and degrees of freedom are above zero")
	}
	if c.has("risk") && !(c.nums["risk"] > 0) {
		return fmt.Errorf("risk lies above 0")
	}
	r, err := rule.Named(c.texts["rule"], c.nums["risk"])
	if err != nil {
		return err
	}
	g := r.Guard(dof)
	c.put("verdict", string(r.Verdict(y, u, dof, lo, hi)))
	c.put("rule", c.texts["rule"])
	c.put("rule_source", string(r.Source))
	c.number("risk", r.Risk)
	c.number("guard_k", g)
	c.measure("guard_band", unit.None, g*u)
	if lo != nil {
		c.measure("accept_from", unit.None, *lo+g*u)
	}
	if hi != nil {
		c.measure("accept_to", unit.None, *hi-g*u)
	}
	c.number("conformance", rule.Conformance(y, u, dof, lo, hi))
	c.measure("past_limit", unit.None, rule.Past(y, lo, hi))
	return nil
}

func specific(c *call) error {
	t, err := c.tolerance()
	if err != nil {
		return err
	}
	if !c.has("value") && !c.has("risk") {
		return fmt.Errorf("a value or a risk is expected")
	}
	if c.has("value") {
		p, err := risk.Specific(t, c.nums["value"], c.nums["u"])
		if err != nil {
			return err
		}
		c.number("risk", p)
		c.number("conformance", 1-p)
	}
	if c.has("risk") {
		w, err := risk.SpecificGuard(t, c.nums["u"], c.nums["risk"])
		if err != nil {
			return err
		}
		c.measure("guard_band", unit.None, w)
	}
	return nil
}

// prior is what the process makes.
func (c *call) prior() (risk.Prior, risk.Range, error) {
	t, err := c.tolerance()
	if err != nil {
		return risk.Prior{}, t, err
	}
	var p risk.Prior
	switch {
	case c.texts["process"] == "gamma" && c.has("shape") && !c.has("sd"):
		p, err = risk.Gamma(c.nums["shape"], c.nums["mean"])
	case c.texts["process"] == "normal" && c.has("sd") && !c.has("shape"):
		p, err = risk.Normal(c.nums["mean"], c.nums["sd"])
	default:
		err = fmt.Errorf("a normal process takes sd, a gamma process shape")
	}
	return p, t, err
}

func (c *call) global(p risk.Prior, t risk.Range, g risk.Global) error {
	n, err := p.Nonconforming(t)
	if err != nil {
		return err
	}
	c.number("consumer", g.Consumer)
	c.number("producer", g.Producer)
	c.number("accepted", g.Accepted)
	c.number("outgoing", g.Outgoing())
	c.number("nonconforming", n)
	return nil
}

func global(c *call) error {
	p, t, err := c.prior()
	if err != nil {
		return err
	}
	a := t
	if c.has("accept_low") {
		a.Low = c.nums["accept_low"]
	}
	if c.has("accept_high") {
		a.High = c.nums["accept_high"]
	}
	g, err := p.GlobalRisks(t, a, c.nums["u"])
	if err == nil {
		err = c.global(p, t, g)
	}
	if err == nil && c.has("value") {
		var q float64
		if q, err = p.Conformance(t, c.nums["value"], c.nums["u"]); err == nil {
			c.number("conformance", q)
		}
	}
	return err
}

func guard(c *call) error {
	p, t, err := c.prior()
	if err != nil {
		return err
	}
	w, g, err := p.GlobalGuard(t, c.nums["u"], c.nums["risk"])
	if err != nil {
		return err
	}
	c.measure("guard_band", unit.None, w)
	return c.global(p, t, g)
}
