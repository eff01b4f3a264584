package compute

import (
	"fmt"
	"math"

	"fettle/internal/base/unit"
	"fettle/internal/maths/gum"
)

// doubts are the procedures of distributions and coverage.
func doubts() []procedure {
	return []procedure{
		{name: "distribution", source: "gum-s1-2008", doubted: true, run: distribution,
			fields: []field{{name: "at", extent: aList, what: "values of which the part below is asked"},
				{name: "p", extent: aList, dim: unit.Number, what: "parts of which the quantile is asked; left out 2.5 %, 50 % and 97.5 %"}},
			example: `{"value": "0 mm", "half": "5 µm", "distribution": "trapezoid", "beta": "0.5", "at": ["2 µm"], "p": ["2.5 %", "97.5 %"], "unit": "µm"}`},
		{name: "coverage-factor", source: "gum-2008", run: coverageFactor,
			fields: []field{{name: "p", dim: unit.Number, need: true, what: "probability covered"}, {name: "dof", dim: unit.Number, what: "degrees of freedom; left out for infinite"},
				{name: "beta", dim: unit.Number, what: "top over base, where the law is a trapezoid"}},
			example: `{"p": "95 %", "dof": "16"}`},
		{name: "effective-dof", source: "gum-2008", run: effectiveDof,
			fields: []field{{name: "u", extent: aList, need: true, least: 1, what: "components of the standard uncertainty, in the unit of the result"},
				{name: "dof", extent: aList, as: "u", dim: unit.Number, need: true, least: 1, what: "degrees of freedom of each; 0 for infinite"}},
			example: `{"u": ["25 nm", "9.7 nm", "2.9 nm", "16.6 nm"], "dof": ["18", "25.6", "50", "2"]}`},
		{name: "joint-readings", source: "gum-2008", run: joint,
			fields:  []field{{name: "rows", extent: aTable, mixed: true, need: true, least: 2, what: "what each reading gave for every value; a column has one kind, columns may differ"}},
			example: `{"rows": [["5.007 V", "19.663 mA"], ["4.994 V", "19.639 mA"], ["5.005 V", "19.640 mA"], ["4.990 V", "19.685 mA"], ["4.999 V", "19.678 mA"]]}`},
	}
}

func distribution(c *call) error {
	g := c.given
	s := g.own
	if s.IsZero() {
		if len(g.doubts) != 1 {
			return fmt.Errorf("a doubt is expected: u, half, expanded, or low and high")
		}
		var err error
		if s, err = g.doubts[0].shape(g.si, g.doubts[0].u); err != nil {
			return err
		}
		c.put("distribution", g.doubts[0].named())
	}
	c.scaled("mean", c.unitOf(g.scale), s.Mean())
	if sd, ok := s.Deviation(); ok {
		c.scaled("deviation", c.unitOf(g.scale), sd)
	} else {
		c.note("compute.note.no-deviation")
	}
	p := c.lists["p"]
	if p == nil {
		p = []float64{0.025, 0.5, 0.975}
	}
	var quantiles, below []string
	for _, v := range p {
		if !(v > 0 && v < 1) {
			return fmt.Errorf("p must lie between 0 and 1, got %v", v)
		}
		q := c.unitOf(g.scale)
		quantiles = append(quantiles, q.write(s.Quantile(v)))
	}
	for _, x := range c.lists["at"] {
		below = append(below, digitsOf(s.Below(x)))
	}
	c.puts("quantiles", quantiles)
	if c.has("at") {
		c.puts("below", below)
	}
	return nil
}

// unitOf is the unit asked for where it is of the kind, else the one given.
func (c *call) unitOf(s scale) scale {
	if c.asked.name != "" && c.asked.powers.same(s.powers) {
		return c.asked
	}
	return s
}

func coverageFactor(c *call) error {
	dof := math.Inf(1)
	if c.has("dof") {
		dof = c.nums["dof"]
	}
	k, err := gum.Factor(c.nums["p"], dof)
	if c.has("beta") {
		k, err = gum.TrapezoidFactor(c.nums["p"], c.nums["beta"])
	}
	if err == nil {
		c.number("k", k)
	}
	return err
}

func effectiveDof(c *call) error {
	u, dof := c.lists["u"], append([]float64{}, c.lists["dof"]...)
	var s float64
	for i, v := range u {
		s += v * v
		if i < len(dof) && dof[i] == 0 {
			dof[i] = math.Inf(1)
		}
	}
	nu, err := gum.EffectiveDof(math.Sqrt(s), u, dof)
	if err == nil {
		c.measure("u", unit.None, math.Sqrt(s))
		c.number("dof", nu)
	}
	return err
}

func joint(c *call) error {
	rows := c.rows["rows"]
	m, cov, err := gum.Joint(rows)
	if err != nil {
		return err
	}
	var means, us []string
	for i := range m {
		s := c.columns["rows"][i]
		means, us = append(means, s.write(m[i])), append(us, s.write(math.Sqrt(cov[i][i])))
	}
	c.puts("mean", means)
	c.puts("u", us)
	c.whole("dof", len(rows)-1)
	for i := range cov {
		var r []string
		for j := range cov {
			x := 0.0
			if d := math.Sqrt(cov[i][i] * cov[j][j]); d > 0 {
				x = cov[i][j] / d
			}
			r = append(r, digitsOf(x))
		}
		c.puts(fmt.Sprintf("correlation_%d", i+1), r)
	}
	return nil
}
