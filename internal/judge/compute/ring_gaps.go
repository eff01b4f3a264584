package compute

import (
	"fettle/internal/base/unit"
	"fettle/internal/judge/allocate"
)

func ringGaps() procedure {
	return procedure{name: "ring-gaps", source: "ring-gap-practice", run: gaps, fields: []field{
		{name: "rings", extent: aTable, need: true, least: 1, most: 64, row: []column{wording("name"), length("bore"), length("u"), length("gap"), length("u")}, what: "each ring square in its own bore, both at one temperature"},
		{name: "factor", dim: unit.Number, need: true, what: "gap over bore, by use"},
		{name: "ring_expansion", dim: unit.Expansion, what: "left out where the thermal floor is not asked for"},
		{name: "ring_rise", dim: unit.Temperature, what: "of the hot ring above the gap's temperature"},
		{name: "bore_expansion", dim: unit.Expansion, what: "of the cylinder"},
		{name: "bore_rise", dim: unit.Temperature, what: "of the hot cylinder"},
		{name: "safety", dim: unit.Number, what: "factor of the thermal floor; left out 1"}},
		example: `{"rings": [["top 1", "85.012 mm", "1 µm", "0.30 mm", "10 µm"], ["top 2", "85.008 mm", "1 µm", "0.34 mm", "10 µm"]], "factor": "0.0045",
 "ring_expansion": "11.5 1e-6/K", "ring_rise": "230 °C", "bore_expansion": "11 1e-6/K", "bore_rise": "110 °C"}`}
}

func gaps(c *call) error {
	var rings []allocate.Ring
	for i, row := range c.rows["rings"] {
		rings = append(rings, allocate.Ring{ID: c.cells["rings"][i][0], Bore: c.size(row[0], row[1], "bore"), Gap: c.size(row[2], row[3], "gap")})
	}
	rules := allocate.RingRules{Factor: c.nums["factor"], RingGrowth: c.nums["ring_expansion"], RingRise: c.nums["ring_rise"],
		BoreGrowth: c.nums["bore_expansion"], BoreRise: c.nums["bore_rise"], Safety: 1}
	if c.has("safety") {
		rules.Safety = c.nums["safety"]
	}
	p, err := allocate.RingGaps(rings, rules)
	if err != nil {
		return c.refused(err, "rings")
	}
	type gap = allocate.RingGap
	c.puts("rings", texts(p, func(g gap) string { return g.ID }))
	c.measures("by_use", unit.Length, nanos(wholes(p, func(g gap) int64 { return g.ByUse })))
	c.measures("floor", unit.Length, nanos(wholes(p, func(g gap) int64 { return g.Floor })))
	c.measures("target", unit.Length, nanos(wholes(p, func(g gap) int64 { return g.Target })))
	c.puts("binds", texts(p, func(g gap) string { return g.Binds }))
	c.measures("to_file", unit.Length, nanos(wholes(p, func(g gap) int64 { return g.File })))
	var u []float64
	for _, g := range p {
		u = append(u, g.U/1e9)
	}
	c.measures("u", unit.Length, u)
	return nil
}
