package compute

import (
	"fmt"

	"fettle/internal/base/unit"
	"fettle/internal/maths/study"
)

const studyExample = `{"readings": [[["50.001 mm", "50.002 mm"], ["50.002 mm", "50.003 mm"]], [["50.010 mm", "50.009 mm"], ["50.011 mm", "50.012 mm"]],
 [["49.995 mm", "49.996 mm"], ["49.997 mm", "49.996 mm"]]], "tolerance": "40 µm", "unit": "µm"}`

// studies are the procedures of gauges in several hands and of processes.
func studies() []procedure {
	crossed := []field{{name: "readings", extent: aCube, need: true, least: 2, most: 1000, what: "for each part, for each person, the trials"},
		{name: "tolerance", what: "upper less lower limit, of which the share is asked"}}
	groups := field{name: "subgroups", extent: aTable, need: true, least: 2, what: "equal subgroups in the order they were made"}
	const subgroups = `{"subgroups": [["74.002 mm", "74.000 mm", "73.998 mm"], ["74.001 mm", "73.999 mm", "74.003 mm"], ["73.997 mm", "74.001 mm", "74.002 mm"]]`
	return []procedure{
		{name: "gauge-study-variances", source: "aiag-msa-2010", run: byVariances, example: studyExample,
			fields: append(crossed, field{name: "alpha", dim: unit.Number, what: "the interaction is pooled where its P exceeds this; left out 0.05, 1 never pools"})},
		{name: "gauge-study-ranges", source: "aiag-msa-2010", run: byRanges, example: studyExample, fields: crossed},
		{name: "session-check", source: "iso-5725-3", run: sessions, fields: []field{
			{name: "checks", extent: aTable, need: true, least: 4, row: []column{{"person", 0, true}, {"day", 0, true}, {"error", unit.Length, false}}, what: "reading of the master less its value, one a person and day"},
			{name: "today", extent: oneText, need: true, what: "the day whose bias is asked"}},
			example: `{"checks": [["AB", "2026-02-02", "1.0 µm"], ["CD", "2026-02-02", "2.5 µm"], ["AB", "2026-02-03", "0.5 µm"], ["CD", "2026-02-03", "1.5 µm"],
 ["AB", "2026-02-04", "3.0 µm"], ["CD", "2026-02-04", "4.0 µm"]], "today": "2026-02-04"}`},
		{name: "capability", source: "montgomery-1991", run: capability, fields: []field{groups,
			{name: "low", need: true, what: "lower limit"}, {name: "high", need: true, what: "upper limit"}, {name: "target", what: "left out the middle"},
			{name: "confidence", dim: unit.Number, what: "of the interval of Cp; left out 95 %"}},
			example: subgroups + `, "low": "73.95 mm", "high": "74.05 mm"}`},
		{name: "control-chart", source: "montgomery-1991", run: chart, fields: []field{groups}, example: subgroups + `}`},
	}
}

func (c *call) gauge(g study.Gauge) error {
	var total float64
	for _, s := range []struct {
		name string
		study.Spread
	}{{"repeatability", g.Repeat}, {"reproducibility", g.Hands}, {"interaction", g.Interaction}, {"gauge", g.Gauge}, {"part", g.Part}, {"total", g.Total}} {
		c.measure(s.name+"_sd", unit.None, s.SD)
		c.number(s.name+"_contribution", s.Contribution)
		c.number(s.name+"_variation", s.Variation)
		total = s.SD
	}
	if total == 0 {
		return fmt.Errorf("the readings do not differ")
	}
	c.number("distinct", g.Distinct)
	c.whole("categories", g.Categories)
	if g.Perfect {
		c.note("compute.note.perfect")
	}
	if !c.has("tolerance") {
		return nil
	}
	p, err := g.OfTolerance(c.nums["tolerance"])
	if err == nil {
		c.number("of_tolerance", p)
	}
	return err
}

func byVariances(c *call) error {
	alpha := 0.05
	if c.has("alpha") {
		alpha = c.nums["alpha"]
	}
	v, err := study.StudyByVariances(c.cubes["readings"], alpha)
	if err != nil {
		return err
	}
	square := squared(c.scale(unit.None))
	for _, s := range []struct {
		name string
		study.Source
	}{{"parts", v.Parts}, {"persons", v.Persons}, {"interaction", v.Interaction}, {"repeat", v.Repeat}, {"total", v.Total}} {
		c.whole(s.name+"_df", s.DF)
		c.scaled(s.name+"_ss", square, s.SumOfSquares)
		if s.name != "total" {
			c.scaled(s.name+"_ms", square, s.MeanSquare)
		}
		if s.F > 0 {
			c.number(s.name+"_f", s.F)
			c.number(s.name+"_p", s.P)
		}
	}
	c.put("pooled", yes(v.Pooled))
	if v.Negative {
		c.note("compute.note.negative")
	}
	return c.gauge(v.Gauge)
}

func yes(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

// squared is the square of a unit.
func squared(s scale) scale {
	if s.kind == unit.Number {
		return s
	}
	return scale{name: s.name + "^2", factor: s.factor * s.factor, powers: s.powers.times(s.powers, 1)}
}

func byRanges(c *call) error {
	r, err := study.StudyByRanges(c.cubes["readings"])
	if err != nil {
		return err
	}
	c.measures("mean_ranges", unit.None, r.MeanRange)
	c.measure("grand_range", unit.None, r.GrandRange)
	c.measure("difference", unit.None, r.Difference)
	c.measure("part_range", unit.None, r.PartRange)
	c.number("k1", r.K1)
	c.number("k2", r.K2)
	c.number("k3", r.K3)
	if r.Negative {
		c.note("compute.note.negative")
	}
	return c.gauge(r.Gauge)
}

func sessions(c *call) error {
	var checks []study.Check
	for i, row := range c.rows["checks"] {
		checks = append(checks, study.Check{Person: c.cells["checks"][i][0], Day: c.cells["checks"][i][1], Error: row[0]})
	}
	s, err := study.CheckSessions(checks, c.texts["today"])
	if err != nil {
		return err
	}
	c.measure("bias", unit.Length, s.Today.Value)
	c.measure("bias_u", unit.Length, s.Today.SU)
	c.measure("repeat", unit.Length, s.Repeat)
	c.whole("repeat_df", s.DF)
	c.measure("persons", unit.Length, s.Hands)
	c.measure("days", unit.Length, s.Drift)
	c.measure("reproduced", unit.Length, s.Reproduced)
	c.measure("shift", unit.Length, s.Shift.Value)
	c.measure("shift_u", unit.Length, s.Shift.SU)
	c.puts("person_names", s.Persons)
	var bias, su []float64
	for _, e := range s.Each {
		bias, su = append(bias, e.Value), append(su, e.SU)
	}
	c.measures("person_bias", unit.Length, bias)
	c.measures("person_bias_u", unit.Length, su)
	if s.Negative {
		c.note("compute.note.negative")
	}
	return nil
}

func capability(c *call) error {
	tol := study.Tolerance{Lower: c.nums["low"], Upper: c.nums["high"], Target: (c.nums["low"] + c.nums["high"]) / 2}
	if c.has("target") {
		tol.Target = c.nums["target"]
	}
	confidence := 0.95
	if c.has("confidence") {
		confidence = c.nums["confidence"]
	}
	k, err := study.CapabilityOf(c.rows["subgroups"], tol, confidence)
	if err != nil {
		return err
	}
	for _, f := range []struct {
		name string
		x    float64
	}{{"cp", k.Cp}, {"cpl", k.Cpl}, {"cpu", k.Cpu}, {"cpk", k.Cpk}, {"cpm", k.Cpm}, {"cp_low", k.CpLow}, {"cp_high", k.CpHigh}, {"pp", k.Pp}, {"ppk", k.Ppk}} {
		c.number(f.name, f.x)
	}
	c.measure("overall_sd", unit.None, k.Overall)
	c.whole("n", k.N)
	return chart(c)
}

func chart(c *call) error {
	h, err := study.ChartOf(c.rows["subgroups"])
	if err != nil {
		return err
	}
	for _, f := range []struct {
		name string
		x    float64
	}{{"mean", h.Mean}, {"mean_range", h.MeanRange}, {"sigma", h.Sigma}, {"mean_low", h.MeanLow}, {"mean_high", h.MeanHigh}, {"range_low", h.RangeLow}, {"range_high", h.RangeHigh}} {
		c.measure(f.name, unit.None, f.x)
	}
	c.places("means_out", h.MeansOut)
	c.places("ranges_out", h.RangesOut)
	return nil
}
