package compute

import (
	"strconv"

	"fettle/internal/base/unit"
	"fettle/internal/judge/allocate"
)

func selectShells() procedure {
	return procedure{name: "select-shells", source: "common-practice", run: shells, fields: []field{
		{name: "bearings", extent: aTable, need: true, least: 1, most: 40, row: []column{wording("name"), length("housing"), length("u"), length("journal"), length("u")},
			what: "the places; housing without shells, journal"},
		{name: "shells", extent: aTable, need: true, least: 1, most: 1000, row: []column{wording("name"), wording("class"), wording("role: either, upper or lower"), length("undersize"), length("wall"), length("u"), number("count"), wording("shelf or buy")},
			what: "half shells, one row a class, or one a piece that was measured"},
		{name: "target", dim: unit.Length, need: true, what: "clearance wanted"},
		{name: "low", dim: unit.Length, what: "lower limit of the clearance; left out where open"},
		{name: "high", dim: unit.Length, what: "upper limit"},
		{name: "undersize", dim: unit.Length, what: "that all these journals are ground to; left out 0"},
		{name: "classes", extent: aTable, row: []column{wording("class")}, what: "from thin to thick; left out where classes do not count"},
		{name: "steps", extent: oneWhole, least: 0, most: 100, what: "classes that two halves may be apart; left out 1"},
		guardField(), aimField(), sharedField("housing, journal or wall")},
		example: `{"bearings": [["main 1", "66.004 mm", "1.5 µm", "61.978 mm", "1 µm"], ["main 2", "66.001 mm", "1.5 µm", "61.981 mm", "1 µm"],
  ["main 3", "66.006 mm", "1.5 µm", "61.975 mm", "1 µm"], ["main 4", "66.000 mm", "1.5 µm", "61.980 mm", "1 µm"], ["main 5", "66.003 mm", "1.5 µm", "61.979 mm", "1 µm"],
  ["main 6", "66.005 mm", "1.5 µm", "61.974 mm", "1 µm"], ["main 7", "66.002 mm", "1.5 µm", "61.982 mm", "1 µm"]],
 "shells": [["R", "R", "either", "0 mm", "1.986 mm", "1 µm", 3, "shelf"], ["Y", "Y", "either", "0 mm", "1.990 mm", "1 µm", 9, "shelf"],
  ["G", "G", "either", "0 mm", "1.994 mm", "1 µm", 2, "shelf"]],
 "classes": [["R"], ["Y"], ["G"]], "steps": 1, "target": "45 µm", "low": "35 µm", "high": "60 µm",
 "shared": [["micrometer", "journal", "1 µm"], ["micrometer", "housing", "1 µm"]], "unit": "µm"}`}
}

func shells(c *call) error {
	c.sharing("housing", "journal", "wall")
	limits, under := c.between(), nano(c.nums["undersize"])
	var bearings []allocate.Bearing
	for i, row := range c.rows["bearings"] {
		bearings = append(bearings, allocate.Bearing{ID: c.cells["bearings"][i][0], Undersize: under, Limits: limits,
			Housing: c.size(row[0], row[1], "housing"), Journal: c.size(row[2], row[3], "journal")})
	}
	var shells []allocate.Shell
	for i, row := range c.rows["shells"] {
		cells := c.cells["shells"][i]
		s := allocate.Shell{ID: cells[0], Class: cells[1], Role: cells[2], Undersize: nano(row[0]), Wall: c.size(row[1], row[2], "wall"),
			Count: c.count(row[3], "shells", i), Buy: c.onOf(cells[3], "shells", i, "shelf", "buy")}
		if s.Role == "either" {
			s.Role = ""
		}
		shells = append(shells, s)
	}
	rules := allocate.ShellRules{Target: nano(c.nums["target"]), Aim: allocate.Aim(c.texts["aim"]), Steps: 1, Guard: c.nums["guard"]}
	if c.has("steps") {
		rules.Steps = int(c.nums["steps"])
	}
	for _, cells := range c.cells["classes"] {
		rules.Ladder = append(rules.Ladder, cells[0])
	}
	if len(c.faults) > 0 {
		return nil
	}
	p, err := allocate.Shells(bearings, shells, rules)
	if err != nil {
		return c.refused(err, "shells", "bearings")
	}
	c.shellPlan(p)
	return nil
}

func (c *call) shellPlan(p allocate.ShellPlan) {
	type choice = allocate.ShellChoice
	c.puts("places", texts(p.Choices, func(x choice) string { return x.ID }))
	c.puts("upper", texts(p.Choices, func(x choice) string { return x.Upper }))
	c.puts("lower", texts(p.Choices, func(x choice) string { return x.Lower }))
	var all []allocate.Standing
	for _, x := range p.Choices {
		all = append(all, x.Clearance)
	}
	c.standings("clearance", all)
	c.measures("off", unit.Length, nanos(wholes(p.Choices, func(x choice) int64 { return x.Off })))
	c.puts("binds", texts(p.Choices, func(x choice) string { return x.Binds }))
	next := func(name string, one func(n *allocate.ShellNext) string) {
		c.puts(name, texts(p.Choices, func(x choice) string {
			if x.Next == nil {
				return "none"
			}
			return one(x.Next)
		}))
	}
	s := c.scale(unit.Length)
	next("next", func(n *allocate.ShellNext) string { return n.Upper + " + " + n.Lower })
	next("next_clearance", func(n *allocate.ShellNext) string { return s.write(si(n.Clearance)) })
	next("next_more_to_buy", func(n *allocate.ShellNext) string { return strconv.Itoa(n.More) })
	next("next_worst", func(n *allocate.ShellNext) string { return s.write(si(n.Worst)) })
	next("next_mean", func(n *allocate.ShellNext) string { return s.write(n.Mean / 1e9) })
	c.measure("worst", unit.Length, si(p.Worst))
	c.measure("mean", unit.Length, p.Mean/1e9)
	c.measure("spread", unit.Length, si(p.Spread))
	c.number("within", p.Within)
	c.bought("buy", p.Buy)
	c.bought("left", p.Left)
	c.proof(p.Proof, 1e9, unit.Length)
}
