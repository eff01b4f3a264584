package compute

import (
	"fmt"
	"math"
	"strconv"

	"fettle/internal/base/unit"
	"fettle/internal/maths/gum"
	"fettle/internal/maths/summary"
)

// samples are the procedures of readings without an engine behind them.
func samples() []procedure {
	return []procedure{
		{name: "summary", source: "nist-strd", run: describe, fields: []field{{name: "values", extent: aList, need: true, least: 2, what: "readings in their order"}},
			example: `{"values": ["59.991 mm", "59.993 mm", "59.992 mm", "59.994 mm"]}`},
		{name: "one-way-anova", source: "nist-strd", run: oneWay, fields: []field{{name: "groups", extent: aTable, need: true, least: 2, what: "readings of each group"}},
			example: `{"groups": [["59.991 mm", "59.993 mm"], ["59.996 mm", "59.997 mm"], ["59.992 mm", "59.990 mm"]]}`},
		{name: "regression", source: "nist-strd", run: regress, fields: []field{
			{name: "rows", extent: aTable, mixed: true, need: true, least: 2, what: "rows of y, x₁, x₂ …; each column has its kind"},
			{name: "degree", extent: oneWhole, least: 1, most: 12, what: "of a polynomial in one x; left out 1"},
			{name: "intercept", extent: oneWord, words: []string{"yes", "no"}, what: "whether the model has one"}},
			example: `{"rows": [["0.10 mm", "0 °C"], ["0.22 mm", "10 °C"], ["0.31 mm", "20 °C"], ["0.42 mm", "30 °C"]]}`},
		{name: "calibration-line", source: "gum-2008", run: calibration, fields: []field{
			{name: "rows", extent: aTable, mixed: true, need: true, least: 3, row: nil, what: "rows of x, y, such as size and correction"},
			{name: "from", extent: oneText, what: "x₀ of the line, in the unit of x; left out the mean"},
			{name: "read_at", extent: oneText, what: "x at which the line is read"}},
			example: `{"rows": [["21.521 °C", "-0.171 °C"], ["22.012 °C", "-0.169 °C"], ["22.512 °C", "-0.166 °C"], ["23.003 °C", "-0.159 °C"], ["23.507 °C", "-0.164 °C"]], "from": "20 °C", "read_at": "30 °C"}`},
	}
}

func describe(c *call) error {
	m, err := summary.Describe(c.lists["values"])
	if err != nil {
		return err
	}
	c.whole("n", m.N)
	c.measure("mean", unit.None, m.Mean)
	c.measure("sd", unit.None, m.StdDev)
	c.measure("mean_u", unit.None, m.StdDev/math.Sqrt(float64(m.N)))
	c.number("lag_1", m.Lag1)
	return nil
}

func oneWay(c *call) error {
	a, err := summary.Analyse(c.rows["groups"])
	if err != nil {
		return err
	}
	square := squared(c.scale(unit.None))
	for _, s := range []struct {
		name string
		summary.Share
	}{{"between", a.Between}, {"within", a.Within}} {
		c.whole(s.name+"_df", s.DF)
		c.scaled(s.name+"_ss", square, s.SumOfSquares)
		c.scaled(s.name+"_ms", square, s.MeanSquare)
	}
	c.number("f", a.F)
	c.number("p", a.P)
	c.number("r_squared", a.RSquared)
	return nil
}

// over is the unit of y per x to a power.
func over(y, x scale, n int) scale {
	if n == 0 || x.kind == unit.Number && x.factor == 1 {
		return y
	}
	name := y.name + "/" + x.name
	if n > 1 {
		name += "^" + strconv.Itoa(n)
	}
	return scale{name: name, factor: y.factor / math.Pow(x.factor, float64(n)), powers: y.powers.times(x.powers, -float64(n))}
}

func regress(c *call) error {
	rows, units := c.rows["rows"], c.columns["rows"]
	degree := 1
	if c.has("degree") {
		degree = int(c.nums["degree"])
	}
	if len(units) < 2 || degree > 1 && len(units) != 2 {
		return fmt.Errorf("rows of y and x are expected, of one x where there is a degree")
	}
	// Values go in the units given, so that figures keep the digits typed.
	y, x := make([]float64, len(rows)), make([][]float64, len(rows))
	for i, r := range rows {
		if len(r) != len(units) {
			return fmt.Errorf("row %d has %d values, expected %d", i+1, len(r), len(units))
		}
		y[i] = r[0] / units[0].factor
		for j, v := range r[1:] {
			x[i] = append(x[i], v/units[j+1].factor)
		}
	}
	per := []scale{}
	if c.texts["intercept"] == "yes" {
		per = append(per, units[0])
	}
	for j := range units[1:] {
		per = append(per, over(units[0], units[j+1], 1))
	}
	if degree > 1 {
		one := make([]float64, len(x))
		for i := range x {
			one[i] = x[i][0]
		}
		x = summary.Powers(one, degree)
		for n := 2; n <= degree; n++ {
			per = append(per, over(units[0], units[1], n))
		}
	}
	r, err := summary.Regress(x, y, c.texts["intercept"] == "yes")
	if err != nil {
		return err
	}
	write := func(v float64, s scale) string { return scale{name: s.name, factor: 1}.write(v) }
	var coefficients, errs []string
	for i, s := range per {
		coefficients, errs = append(coefficients, write(r.Coefficients[i], s)), append(errs, write(r.StdErrs[i], s))
	}
	c.puts("coefficients", coefficients)
	c.puts("standard_errors", errs)
	c.put("residual_sd", write(r.StdDev, units[0]))
	c.whole("df", r.DF)
	c.number("r_squared", r.RSquared)
	return nil
}

func calibration(c *call) error {
	var x, y []float64
	for i, r := range c.rows["rows"] {
		if len(r) != 2 {
			return fmt.Errorf("row %d has %d values, expected x and y", i+1, len(r))
		}
		x, y = append(x, r[0]), append(y, r[1])
	}
	units := c.columns["rows"]
	from, err := c.along("from", units[0], mean(x))
	if err != nil {
		return err
	}
	l, err := gum.FitLine(x, y, from)
	if err != nil {
		return err
	}
	slope := over(units[1], units[0], 1)
	if units[0].powers.same(units[1].powers) {
		slope, _ = scaleOf("1")
	}
	c.scaled("intercept", units[1], l.Intercept)
	c.scaled("intercept_u", units[1], l.UA)
	c.scaled("slope", slope, l.Slope)
	c.scaled("slope_u", slope, l.UB)
	c.number("correlation", l.R)
	c.scaled("residual_sd", units[1], l.Residual)
	c.number("dof", l.Dof)
	if !c.has("read_at") {
		return nil
	}
	at, err := c.along("read_at", units[0], 0)
	if err != nil {
		return err
	}
	d := at - from
	c.scaled("value", units[1], l.Intercept+l.Slope*d)
	c.scaled("value_u", units[1], math.Sqrt(l.UA*l.UA+d*d*l.UB*l.UB+2*d*l.R*l.UA*l.UB))
	return nil
}

// along reads an x of a line.
func (c *call) along(name string, like scale, other float64) (float64, error) {
	if !c.has(name) {
		return other, nil
	}
	a, err := amountOf(c.texts[name], like.name)
	if err != nil || !a.powers.same(like.powers) {
		return 0, fmt.Errorf("%s must be a number in %s, got %s", name, like.name, c.texts[name])
	}
	return a.si, nil
}
