package compute

import (
	"strings"

	"fettle/internal/base/unit"
	"fettle/internal/judge/allocate"
	"fettle/internal/maths/assign"
)

func selectPairs() procedure {
	rows := func(name, what string) field {
		return field{name: name, extent: aTable, need: true, least: 1, most: 400, row: []column{wording("name"), length("size"), length("u")}, what: what}
	}
	return procedure{name: "select-pairs", source: "common-practice", run: pairs, fields: []field{
		rows("holes", "bores of cylinders, or of pistons for pins"), rows("shafts", "pistons, or pins; as many at least"),
		{name: "target", dim: unit.Length, need: true, what: "clearance wanted"},
		{name: "low", dim: unit.Length, what: "lower limit of the clearance; left out where open"},
		{name: "high", dim: unit.Length, what: "upper limit"},
		guardField(), aimField(), sharedField("hole or shaft")},
		example: `{"holes": [["1", "85.012 mm", "1 µm"], ["2", "85.008 mm", "1 µm"], ["3", "85.010 mm", "1 µm"], ["4", "85.015 mm", "1 µm"], ["5", "85.009 mm", "1 µm"], ["6", "85.011 mm", "1 µm"]],
 "shafts": [["A", "84.948 mm", "1 µm"], ["B", "84.952 mm", "1 µm"], ["C", "84.946 mm", "1 µm"], ["D", "84.950 mm", "1 µm"], ["E", "84.953 mm", "1 µm"], ["F", "84.947 mm", "1 µm"]],
 "target": "62 µm", "low": "55 µm", "high": "70 µm", "aim": "spread", "unit": "µm"}`}
}

func pairs(c *call) error {
	c.sharing("hole", "shaft")
	limits := c.between()
	var holes []allocate.Hole
	for i, row := range c.rows["holes"] {
		holes = append(holes, allocate.Hole{ID: c.cells["holes"][i][0], Size: c.size(row[0], row[1], "hole"), Limits: limits})
	}
	var shafts []allocate.Shaft
	for i, row := range c.rows["shafts"] {
		shafts = append(shafts, allocate.Shaft{ID: c.cells["shafts"][i][0], Size: c.size(row[0], row[1], "shaft")})
	}
	if len(c.faults) > 0 {
		return nil
	}
	p, err := allocate.Pairs(holes, shafts, allocate.PairRules{Target: nano(c.nums["target"]), Aim: allocate.Aim(c.texts["aim"]), Guard: c.nums["guard"]})
	if err != nil {
		return c.refused(err, "holes", "shafts")
	}
	type choice = allocate.PairChoice
	c.puts("places", texts(p.Choices, func(x choice) string { return x.ID }))
	c.puts("shafts", texts(p.Choices, func(x choice) string { return x.Shaft }))
	var all []allocate.Standing
	for _, x := range p.Choices {
		all = append(all, x.Clearance)
	}
	c.standings("clearance", all)
	c.measures("off", unit.Length, nanos(wholes(p.Choices, func(x choice) int64 { return x.Off })))
	c.puts("binds", texts(p.Choices, func(x choice) string { return x.Binds }))
	s := c.scale(unit.Length)
	next := func(name string, one func(n *allocate.PairNext) string) {
		c.puts(name, texts(p.Choices, func(x choice) string {
			if x.Next == nil {
				return "none"
			}
			return one(x.Next)
		}))
	}
	next("next", func(n *allocate.PairNext) string { return n.Shaft })
	next("next_clearance", func(n *allocate.PairNext) string { return s.write(si(n.Clearance)) })
	next("next_worst", func(n *allocate.PairNext) string { return s.write(si(n.Worst)) })
	next("next_spread", func(n *allocate.PairNext) string { return s.write(si(n.Spread)) })
	next("next_mean", func(n *allocate.PairNext) string { return s.write(n.Mean / 1e9) })
	c.measure("worst", unit.Length, si(p.Worst))
	c.measure("spread", unit.Length, si(p.Spread))
	c.measure("mean", unit.Length, p.Mean/1e9)
	c.number("within", p.Within)
	c.puts("left", p.Left)
	c.proof(p.Proof, 1e9, unit.Length)
	return nil
}

// masses are in milligrams inside.
func grams(mg int64) float64 { return float64(mg) / 1e6 }

func selectSets() procedure {
	return procedure{name: "select-sets", source: "common-practice", run: sets, fields: []field{
		{name: "pieces", extent: aTable, need: true, least: 4, most: 96, row: []column{wording("kind"), wording("name"), {name: "mass", dim: unit.Mass}, {name: "u", dim: unit.Mass}},
			what: "pistons, pins, clips, rods' small ends; two to four kinds, the first kind makes the sets"}},
		example: `{"pieces": [["piston", "P1", "386.4 g", "0.1 g"], ["piston", "P2", "385.1 g", "0.1 g"], ["piston", "P3", "387.2 g", "0.1 g"], ["piston", "P4", "386.0 g", "0.1 g"], ["piston", "P5", "385.7 g", "0.1 g"], ["piston", "P6", "386.8 g", "0.1 g"],
  ["pin", "N1", "98.6 g", "0.1 g"], ["pin", "N2", "97.9 g", "0.1 g"], ["pin", "N3", "98.9 g", "0.1 g"], ["pin", "N4", "98.2 g", "0.1 g"], ["pin", "N5", "98.0 g", "0.1 g"], ["pin", "N6", "98.8 g", "0.1 g"]], "unit": "g"}`}
}

func sets(c *call) error {
	var pieces []allocate.Piece
	for i, row := range c.rows["pieces"] {
		cells := c.cells["pieces"][i]
		pieces = append(pieces, allocate.Piece{Kind: cells[0], ID: cells[1], Mass: allocate.Size{N: fine(row[0], 1e6), U: row[1] * 1e6}})
	}
	p, err := allocate.Sets(pieces)
	if err != nil {
		return c.refused(err, "pieces")
	}
	c.puts("kinds", p.Kinds)
	c.puts("sets", texts(p.Sets, func(s allocate.Set) string { return strings.Join(s.Parts, " + ") }))
	var mass, u, above []float64
	for _, s := range p.Sets {
		mass, u, above = append(mass, grams(s.Mass)), append(u, s.U/1e6), append(above, grams(s.Above))
	}
	c.measures("mass", unit.Mass, mass)
	c.measures("u", unit.Mass, u)
	c.measures("to_take_off", unit.Mass, above)
	s := c.scale(unit.Mass)
	c.puts("next_spread", texts(p.Sets, func(x allocate.Set) string {
		if x.Next < 0 {
			return "none"
		}
		return s.write(grams(x.Next))
	}))
	c.measure("spread", unit.Mass, grams(p.Spread))
	c.measure("spread_as_dealt", unit.Mass, grams(p.Dealt))
	c.measure("to_take_off_in_all", unit.Mass, grams(p.Off))
	c.puts("left", p.Left)
	c.proof(p.Proof, 1e6, unit.Mass)
	return nil
}

func splitHalves() procedure {
	return procedure{name: "split-halves", source: "common-practice", run: halves, fields: []field{
		{name: "masses", extent: aList, dim: unit.Mass, need: true, least: 2, most: 40, what: "of parts that are shared out between two sides"}},
		example: `{"masses": ["8 g", "7 g", "6 g", "5 g", "4 g"], "unit": "g"}`}
}

func halves(c *call) error {
	var x []int64
	for _, v := range c.lists["masses"] {
		x = append(x, fine(v, 1e6))
	}
	h, err := assign.Split(x, 200_000)
	if err != nil {
		return err
	}
	var first, second []int
	for i, in := range h.First {
		if in {
			first = append(first, i)
		} else {
			second = append(second, i)
		}
	}
	c.places("first", first)
	c.places("second", second)
	c.measure("difference", unit.Mass, grams(h.Difference))
	c.measure("gap", unit.Mass, grams(h.Gap()))
	c.measure("largest_first", unit.Mass, grams(h.Greedy))
	c.measure("by_pairs", unit.Mass, grams(h.Paired))
	return nil
}
