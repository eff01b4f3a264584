package compute

import (
	"fettle/internal/base/unit"
	"fettle/internal/judge/allocate"
)

func selectSprings() procedure {
	force := func(name string) column { return column{name: name, dim: unit.Force} }
	return procedure{name: "select-springs", source: "common-practice", run: springs, fields: []field{
		{name: "seats", extent: aTable, need: true, least: 1, most: 64, row: []column{wording("name"), length("height"), length("u")}, what: "height between seat and retainer without a shim"},
		{name: "springs", extent: aTable, need: true, least: 1, most: 400, row: []column{wording("name"), force("load"), force("u"), length("at height"), {name: "rate", dim: unit.Rate}, length("coils touch")},
			what: "load of each at a height near the one wanted, rate, and height at which its coils touch"},
		{name: "target", dim: unit.Force, need: true, what: "load wanted with the valve shut"},
		{name: "low", dim: unit.Force, what: "lower limit of the load"}, {name: "high", dim: unit.Force, what: "upper limit"},
		{name: "shims", extent: aList, dim: unit.Length, most: 99, what: "thicknesses that can be laid under a spring"},
		{name: "lift", dim: unit.Length, need: true, what: "of the valve"},
		{name: "spare", dim: unit.Length, need: true, what: "that has to be left before the coils touch at full lift"}, guardField()},
		example: `{"seats": [["in 1", "36.4 mm", "20 µm"], ["in 2", "36.1 mm", "20 µm"], ["ex 1", "36.7 mm", "20 µm"]],
 "springs": [["A", "292 N", "3 N", "36.2 mm", "42 N/mm", "24.6 mm"], ["B", "301 N", "3 N", "36.2 mm", "42 N/mm", "24.6 mm"], ["C", "296 N", "3 N", "36.2 mm", "42 N/mm", "24.6 mm"]],
 "target": "300 N", "low": "285 N", "high": "320 N", "shims": ["0.25 mm", "0.50 mm"], "lift": "10 mm", "spare": "0.8 mm"}`}
}

func springs(c *call) error {
	milli := func(x float64) int64 { return fine(x, 1e3) }
	var seats []allocate.Seat
	for i, row := range c.rows["seats"] {
		seats = append(seats, allocate.Seat{ID: c.cells["seats"][i][0], Height: c.size(row[0], row[1], "seat")})
	}
	var list []allocate.Spring
	for i, row := range c.rows["springs"] {
		list = append(list, allocate.Spring{ID: c.cells["springs"][i][0], Load: allocate.Size{N: milli(row[0]), U: row[1] * 1e3}, At: nano(row[2]), Rate: row[3] * 1e-6, Bind: nano(row[4])})
	}
	rules := allocate.SpringRules{Target: milli(c.nums["target"]), Lift: nano(c.nums["lift"]), Spare: nano(c.nums["spare"]), Guard: c.nums["guard"]}
	if c.has("low") {
		v := milli(c.nums["low"])
		rules.Limits.Low = &v
	}
	if c.has("high") {
		v := milli(c.nums["high"])
		rules.Limits.High = &v
	}
	for _, v := range c.lists["shims"] {
		rules.Shims = append(rules.Shims, nano(v))
	}
	p, err := allocate.Springs(seats, list, rules)
	if err != nil {
		return c.refused(err, "springs", "seats")
	}
	type choice = allocate.SpringChoice
	var load, u, off []float64
	for _, x := range p.Choices {
		load, u, off = append(load, float64(x.Load.Value)/1e3), append(u, x.Load.U/1e3), append(off, float64(x.Off)/1e3)
	}
	f := c.scale(unit.Force)
	c.puts("places", texts(p.Choices, func(x choice) string { return x.ID }))
	c.puts("springs", texts(p.Choices, func(x choice) string { return x.Spring }))
	c.measures("shim", unit.Length, nanos(wholes(p.Choices, func(x choice) int64 { return x.Shim })))
	c.measures("load", unit.Force, load)
	c.measures("u", unit.Force, u)
	c.measures("off", unit.Force, off)
	c.puts("chance", texts(p.Choices, func(x choice) string { return digitsOf(x.Load.Chance) }))
	c.puts("verdict", texts(p.Choices, func(x choice) string { return string(x.Load.Verdict) }))
	c.measures("left_before_coils_touch", unit.Length, nanos(wholes(p.Choices, func(x choice) int64 { return x.Left })))
	c.puts("next", texts(p.Choices, func(x choice) string {
		if x.Next == "" {
			return "none"
		}
		return x.Next
	}))
	c.puts("next_mean", texts(p.Choices, func(x choice) string { return f.write(x.NextMean / 1e3) }))
	c.measure("mean", unit.Force, p.Mean/1e3)
	c.measure("spread", unit.Force, float64(p.Spread)/1e3)
	c.number("within", p.Within)
	c.puts("left", p.Left)
	c.put("proof", p.Proof.Method)
	return nil
}
