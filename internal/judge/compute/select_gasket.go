package compute

import (
	"strings"

	"fettle/internal/base/unit"
	"fettle/internal/judge/allocate"
)

func selectGasket() procedure {
	l := func(name string, need bool, what string) field {
		return field{name: name, dim: unit.Length, need: need, what: what}
	}
	return procedure{name: "select-gasket", source: "heywood-1988", run: gasket, fields: []field{
		{name: "chambers", extent: aTable, need: true, least: 1, most: 16, row: []column{wording("name"), {name: "volume", dim: unit.Volume}, {name: "u", dim: unit.Volume}, length("deck"), length("u")},
			what: "of each cylinder the chamber in the head, and the piston below the deck, as they are now"},
		{name: "menu", extent: aTable, need: true, least: 1, most: 100, row: []column{wording("name"), length("thickness, compressed"), length("u")}, what: "gaskets that can be had"},
		l("bore", true, "of the cylinders"), l("stroke", true, "of the crank"), l("hole", true, "bore of the gasket"),
		{name: "crown", dim: unit.Volume, need: true, what: "volume of the piston crown, a dome negative"},
		{name: "crevice", dim: unit.Volume, what: "volume above the top ring; left out 0"},
		l("cut", false, "taken off head and deck together since the gasket before; left out 0"),
		l("thickness_before", true, "compressed thickness of the gasket before, at which timing and valves were taken"),
		l("wheel_radius", false, "pitch radius of the cam wheel; left out where timing is no matter"),
		{name: "slope", dim: unit.Angle, what: "of the taut run against the cylinder; left out 0"},
		{name: "valves", extent: aTable, most: 64, row: []column{wording("name"), length("to piston"), length("u"), length("least"), {name: "angle", dim: unit.Angle}},
			what: "least distance of valve and piston at the worst end stop, with the gasket before; the valve's angle to the cylinder"},
		{name: "ratio", dim: unit.Number, need: true, what: "compression ratio wanted"},
		{name: "ratio_low", dim: unit.Number, what: "lower limit of the ratio"}, {name: "ratio_high", dim: unit.Number, what: "upper limit"},
		l("low", false, "lower limit of piston to head"), l("high", false, "upper limit of piston to head"),
		{name: "retard_most", dim: unit.Angle, what: "most change of cam timing either way, at the crank"}, guardField()},
		example: `{"chambers": [["1", "38.4 cm³", "0.25 cm³", "0.05 mm", "5 µm"], ["2", "38.5 cm³", "0.25 cm³", "0.06 mm", "5 µm"]],
 "menu": [["0.70", "0.70 mm", "10 µm"], ["0.80", "0.80 mm", "10 µm"], ["0.95", "0.95 mm", "10 µm"], ["1.05", "1.05 mm", "10 µm"]],
 "bore": "85 mm", "stroke": "90 mm", "hole": "86.5 mm", "crown": "3.0 cm³", "crevice": "0.6 cm³", "cut": "0.25 mm", "thickness_before": "0.70 mm",
 "wheel_radius": "50 mm", "slope": "10 °", "ratio": "11.69", "ratio_high": "12.2", "low": "0.80 mm", "retard_most": "0.5 °",
 "valves": [["in", "2.2 mm", "50 µm", "2.0 mm", "0 °"], ["ex", "2.9 mm", "50 µm", "2.5 mm", "0 °"]]}`}
}

func gasket(c *call) error {
	volume := func(x float64) int64 { return fine(x, 1e12) }
	var chambers []allocate.Chamber
	for i, row := range c.rows["chambers"] {
		chambers = append(chambers, allocate.Chamber{ID: c.cells["chambers"][i][0], Volume: allocate.Size{N: volume(row[0]), U: row[1] * 1e12}, Deck: c.size(row[2], row[3], "deck")})
	}
	var menu []allocate.Gasket
	for i, row := range c.rows["menu"] {
		menu = append(menu, allocate.Gasket{ID: c.cells["menu"][i][0], Thick: c.size(row[0], row[1], "gasket")})
	}
	head := allocate.Head{Bore: nano(c.nums["bore"]), Stroke: nano(c.nums["stroke"]), Hole: nano(c.nums["hole"]), Crown: volume(c.nums["crown"]), Crevice: volume(c.nums["crevice"]),
		Cut: nano(c.nums["cut"]), Was: nano(c.nums["thickness_before"]), Wheel: nano(c.nums["wheel_radius"]), Slope: c.nums["slope"]}
	for i, row := range c.rows["valves"] {
		head.Valves = append(head.Valves, allocate.NewReach(c.cells["valves"][i][0], c.size(row[0], row[1], "valve"), nano(row[2]), row[3]))
	}
	rules := allocate.MenuRules{Target: c.nums["ratio"], Squish: c.between(), Guard: c.nums["guard"]}
	for name, side := range map[string]**float64{"ratio_low": &rules.Low, "ratio_high": &rules.High, "retard_most": &rules.Retard} {
		if c.has(name) {
			v := c.nums[name]
			*side = &v
		}
	}
	p, err := allocate.GasketMenu(chambers, menu, head, rules)
	if err != nil {
		return c.refused(err, "chambers", "menu")
	}
	type choice = allocate.MenuChoice
	angle, span := c.scale(unit.Angle), c.scale(unit.Length)
	joined := func(list []float64, write func(float64) string) string {
		var out []string
		for _, v := range list {
			out = append(out, write(v))
		}
		return strings.Join(out, "; ")
	}
	c.puts("gaskets", texts(p.Choices, func(x choice) string { return x.ID }))
	c.puts("breaks", texts(p.Choices, func(x choice) string {
		if len(x.Broken) == 0 {
			return "none"
		}
		return strings.Join(x.Broken, "; ")
	}))
	c.puts("ratio", texts(p.Choices, func(x choice) string { return joined(x.Ratio, digitsOf) }))
	c.puts("ratio_u", texts(p.Choices, func(x choice) string { return joined(x.RatioU, digitsOf) }))
	c.puts("ratio_off", texts(p.Choices, func(x choice) string { return digitsOf(x.Off) }))
	c.puts("piston_to_head", texts(p.Choices, func(x choice) string { return joined(nanos(x.Squish), span.write) }))
	c.puts("cam_drop", texts(p.Choices, func(x choice) string { return span.write(si(x.Drop)) }))
	c.puts("retard", texts(p.Choices, func(x choice) string { return angle.write(x.Retard) }))
	c.puts("valve_to_piston", texts(p.Choices, func(x choice) string { return joined(nanos(x.Reach), span.write) }))
	c.puts("within", texts(p.Choices, func(x choice) string { return digitsOf(x.Chance) }))
	c.note("compute.note.timing")
	return nil
}
