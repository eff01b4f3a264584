package compute

import (
	"sort"
	"strconv"

	"fettle/internal/base/unit"
	"fettle/internal/judge/allocate"
)

func selectShims() procedure {
	return procedure{name: "select-shims", source: "common-practice", run: shims, fields: []field{
		{name: "valves", extent: aTable, need: true, least: 1, most: 64, row: []column{wording("name"), length("shim"), length("u"), length("lash"), length("u")},
			what: "shim taken out, measured, and lash found with it"},
		{name: "ratio", dim: unit.Number, need: true, what: "R, movement at the shim for one at the feeler; 1 for a shim on a bucket"},
		{name: "ratio_u", dim: unit.Number, what: "its standard uncertainty; left out 0"},
		{name: "target", dim: unit.Length, need: true, what: "lash wanted"},
		{name: "low", dim: unit.Length, need: true, what: "lower limit of the lash"},
		{name: "high", dim: unit.Length, need: true, what: "upper limit"},
		{name: "spares", extent: aTable, most: 2000, row: []column{wording("name"), length("size"), length("u"), number("count"), wording("shelf or buy")}, what: "shims at hand, or that can be bought one by one"},
		{name: "from", dim: unit.Length, what: "thinnest shim of the ladder that can be bought"},
		{name: "to", dim: unit.Length, what: "thickest"},
		{name: "step", dim: unit.Length, what: "step of the ladder"},
		{name: "ladder_u", dim: unit.Length, what: "standard uncertainty of a shim as bought; left out 0"},
		guardField(), sharedField("shim, lash or spare")},
		example: `{"valves": [["in 1", "2.30 mm", "1 µm", "0.21 mm", "10 µm"], ["in 2", "2.36 mm", "1 µm", "0.28 mm", "10 µm"], ["in 3", "2.42 mm", "1 µm", "0.33 mm", "10 µm"],
  ["in 4", "2.34 mm", "1 µm", "0.24 mm", "10 µm"], ["in 5", "2.40 mm", "1 µm", "0.19 mm", "10 µm"], ["in 6", "2.38 mm", "1 µm", "0.31 mm", "10 µm"]],
 "ratio": "1.5", "ratio_u": "0.02", "target": "0.275 mm", "low": "0.25 mm", "high": "0.30 mm", "from": "2.00 mm", "to": "3.00 mm", "step": "0.05 mm", "ladder_u": "3 µm"}`}
}

func shims(c *call) error {
	c.sharing("shim", "lash", "spare")
	limits := c.between()
	var valves []allocate.Valve
	for i, row := range c.rows["valves"] {
		valves = append(valves, allocate.Valve{ID: c.cells["valves"][i][0], Shim: c.size(row[0], row[1], "shim"), Lash: c.size(row[2], row[3], "lash"),
			Ratio: c.nums["ratio"], RatioU: c.nums["ratio_u"], Target: nano(c.nums["target"]), Limits: limits})
	}
	var spares []allocate.Spare
	for i, row := range c.rows["spares"] {
		cells := c.cells["spares"][i]
		spares = append(spares, allocate.Spare{ID: cells[0], Size: c.size(row[0], row[1], "spare"), Count: c.count(row[2], "spares", i), Buy: c.onOf(cells[1], "spares", i, "shelf", "buy")})
	}
	rules := allocate.ShimRules{Guard: c.nums["guard"]}
	if c.has("from") || c.has("to") || c.has("step") {
		rules.Ladder = allocate.Rungs{From: nano(c.nums["from"]), To: nano(c.nums["to"]), Step: nano(c.nums["step"]), U: c.nums["ladder_u"] * 1e9}
		if rules.Ladder.Step == 0 {
			rules.Ladder.Step = -1 // a ladder without a step is refused as such
		}
	}
	if len(c.faults) > 0 {
		return nil
	}
	p, err := allocate.Shims(valves, spares, rules)
	if err != nil {
		return c.refused(err, "spares", "valves")
	}
	c.shimPlan(p)
	return nil
}

func (c *call) shimPlan(p allocate.ShimPlan) {
	type choice = allocate.ShimChoice
	c.puts("places", texts(p.Choices, func(x choice) string { return x.ID }))
	c.puts("from", texts(p.Choices, func(x choice) string { return x.From }))
	s := c.scale(unit.Length)
	c.puts("part", texts(p.Choices, func(x choice) string {
		if x.From == allocate.FromNone {
			return "none"
		}
		return x.Part
	}))
	c.measures("shim", unit.Length, nanos(wholes(p.Choices, func(x choice) int64 { return x.Shim })))
	c.measures("wanted", unit.Length, nanos(wholes(p.Choices, func(x choice) int64 { return x.Wanted })))
	c.measures("window_from", unit.Length, nanos(wholes(p.Choices, func(x choice) int64 { return x.Low })))
	c.measures("window_to", unit.Length, nanos(wholes(p.Choices, func(x choice) int64 { return x.High })))
	var all []allocate.Standing
	for _, x := range p.Choices {
		if x.From == allocate.FromNone {
			x.Lash.Verdict = "unmeasured"
		}
		all = append(all, x.Lash)
	}
	c.standings("lash", all)
	c.measures("off", unit.Length, nanos(wholes(p.Choices, func(x choice) int64 { return x.Off })))
	c.puts("binds", texts(p.Choices, func(x choice) string { return x.Binds }))
	next := func(name string, one func(n *allocate.ShimNext) string) {
		c.puts(name, texts(p.Choices, func(x choice) string {
			if x.Next == nil {
				return "none"
			}
			return one(x.Next)
		}))
	}
	next("next", func(n *allocate.ShimNext) string { return n.From + " " + n.Part })
	next("next_lash", func(n *allocate.ShimNext) string { return s.write(si(n.Lash)) })
	next("next_fewer_reused", func(n *allocate.ShimNext) string { return strconv.Itoa(n.Fewer) })
	next("next_more_to_buy", func(n *allocate.ShimNext) string { return strconv.Itoa(n.More) })
	next("next_without", func(n *allocate.ShimNext) string { return strconv.Itoa(n.Without) })
	next("next_mean", func(n *allocate.ShimNext) string { return s.write(n.Mean / 1e9) })
	c.whole("in_limits_as_found", p.InSpec)
	c.whole("in_limits_by_swaps", p.InSpecBySwaps)
	c.whole("reused", p.Bench)
	c.whole("from_shelf", p.Shelf)
	c.whole("to_buy", p.Bought)
	c.puts("without", p.Without)
	c.bought("buy", p.Buy)
	c.puts("left_over", p.Spare)
	c.measure("mean", unit.Length, p.Mean/1e9)
	c.number("within", p.Within)
	c.proof(p.Proof, 1e9, unit.Length)
}

func checkLash() procedure {
	return procedure{name: "check-lash", source: "common-practice", run: lashes, fields: []field{
		{name: "valves", extent: aTable, need: true, least: 1, most: 64, row: []column{wording("name"), wording("group"), length("shim"), length("u"), length("lash"), length("u")},
			what: "shim and lash noted; valves of one group are made alike"},
		{name: "after", extent: aTable, most: 64, row: []column{wording("name"), length("fitted"), length("u"), length("lash"), length("u")},
			what: "shim fitted and lash measured after it, where that has been done"},
		{name: "ratio", dim: unit.Number, need: true, what: "R, movement at the shim for one at the feeler"},
		{name: "far", dim: unit.Number, what: "standard deviations from which on a number is suspect; left out 3.5"}},
		example: `{"valves": [["in 1", "in", "2.40 mm", "1 µm", "0.20 mm", "8 µm"], ["in 2", "in", "2.43 mm", "1 µm", "0.18 mm", "8 µm"], ["in 3", "in", "2.38 mm", "1 µm", "0.22 mm", "8 µm"],
  ["in 4", "in", "2.14 mm", "1 µm", "0.19 mm", "8 µm"], ["in 5", "in", "2.42 mm", "1 µm", "0.19 mm", "8 µm"], ["in 6", "in", "2.39 mm", "1 µm", "0.20 mm", "8 µm"]], "ratio": "1"}`}
}

func lashes(c *call) error {
	far := 3.5
	if c.has("far") {
		far = c.nums["far"]
	}
	var notes []allocate.LashNote
	for i, row := range c.rows["valves"] {
		cells := c.cells["valves"][i]
		notes = append(notes, allocate.LashNote{ID: cells[0], Group: cells[1], Shim: c.size(row[0], row[1], "shim"), Lash: c.size(row[2], row[3], "lash"), Ratio: c.nums["ratio"]})
	}
	for i, row := range c.rows["after"] {
		name, known := c.cells["after"][i][0], false
		for k := range notes {
			if notes[k].ID == name && notes[k].Fitted == nil {
				fitted, after := c.size(row[0], row[1], "shim"), c.size(row[2], row[3], "lash")
				notes[k].Fitted, notes[k].After, known = &fitted, &after, true
			}
		}
		if !known {
			c.on(c.t.get("after").list[i].at, "after["+strconv.Itoa(i)+"]").say("fits.name", "kind", "valve", "found", name)
			return nil
		}
	}
	p, err := allocate.CheckLash(notes, far)
	if err != nil {
		return c.refused(err, "valves", "after")
	}
	type suspect = allocate.Suspect
	c.puts("suspects", texts(p.Suspects, func(s suspect) string { return s.ID }))
	c.puts("what", texts(p.Suspects, func(s suspect) string { return s.What }))
	c.puts("slip", texts(p.Suspects, func(s suspect) string {
		if s.Slip == "" {
			return "none"
		}
		return s.Slip
	}))
	c.puts("with", texts(p.Suspects, func(s suspect) string { return s.With }))
	c.measures("noted", unit.Length, nanos(wholes(p.Suspects, func(s suspect) int64 { return s.Noted })))
	c.measures("perhaps", unit.Length, nanos(wholes(p.Suspects, func(s suspect) int64 { return s.Perhaps })))
	c.measures("by", unit.Length, nanos(wholes(p.Suspects, func(s suspect) int64 { return s.By })))
	c.puts("deviations", texts(p.Suspects, func(s suspect) string { return digitsOf(s.Times) }))
	var groups []string
	for g := range p.Scatter {
		groups = append(groups, g)
	}
	sort.Strings(groups)
	var scatter, left []float64
	for _, g := range groups {
		scatter = append(scatter, p.Scatter[g]/1e9)
	}
	for _, v := range p.Left {
		left = append(left, v/1e9)
	}
	c.puts("groups", groups)
	c.measures("scatter", unit.Length, scatter)
	c.measures("left", unit.Length, left)
	if p.Ratio > 0 {
		c.number("ratio_shown", p.Ratio)
		c.number("ratio_shown_u", p.RatioU)
		c.put("ratio_doubtful", yes(p.Doubtful))
	}
	return nil
}
