package compute

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"fettle/internal/base/unit"
	"fettle/internal/physics/oilway"
)

func oilPressure() procedure {
	v := func(name string, d unit.Dim, need bool, what string) field {
		return field{name: name, dim: d, need: need, what: what}
	}
	of := func(name string, d unit.Dim) column { return column{name: name, dim: d} }
	u, count := number("relative u of the flow"), number("count")
	return procedure{name: "oil-pressure", source: "cameron-1976", run: pressureOfOil, fields: []field{
		v("pump", unit.Volume, true, "what the pump displaces in one turn"), v("fill", unit.Number, false, "part of it that fills; left out 1"), v("pump_u", unit.Number, false, "its relative standard uncertainty"),
		v("slip", unit.Flow, false, "what slips back in the pump …"), v("slip_pressure", unit.Pressure, false, "… at this pressure"), v("slip_viscosity", unit.Viscosity, false, "… with this oil"), v("slip_u", unit.Number, false, "its relative standard uncertainty"),
		v("relief_opens", unit.Pressure, false, "where the relief valve opens"), v("relief_full", unit.Pressure, false, "where it is full open"), v("relief_flow", unit.Flow, false, "what it lets off there"),
		v("relief_u", unit.Pressure, false, "standard uncertainty of both"), {name: "relief_feels", extent: oneWord, words: []string{"pump", "gallery"}, what: "which pressure it feels"},
		v("filter_drop", unit.Pressure, false, "what filter and cooler take …"), v("filter_flow", unit.Flow, false, "… at this flow"), v("filter_viscosity", unit.Viscosity, false, "… with this oil"), v("filter_u", unit.Number, false, "its relative standard uncertainty"),
		{name: "grooved", extent: aTable, most: 40, what: "bearings fed from a groove; land: width beside it",
			row: []column{wording("name"), length("diameter"), length("land"), length("diametral clearance"), length("u"), number("eccentricity ratio"), number("part of the way round that is grooved"), count}},
		{name: "holed", extent: aTable, most: 40, what: "bearings fed from a hole, in a crank from one radius to another",
			row: []column{wording("name"), length("hole"), length("width"), length("diametral clearance"), length("u"), length("from radius"), length("to radius"), count}},
		{name: "holes", extent: aTable, most: 40, what: "jets and other plain holes", row: []column{wording("name"), wording("jet, phaser, lash or leak"), length("bore"), number("discharge coefficient"), of("opens", unit.Pressure), u, count}},
		{name: "films", extent: aTable, most: 40, what: "what seeps: seen flow, at a pressure, with an oil", row: []column{wording("name"), wording("bearing, phaser, lash or leak"), of("flow", unit.Flow), of("at", unit.Pressure), of("with", unit.Viscosity), u, count}},
		{name: "states", extent: aTable, need: true, least: 1, most: 6, what: "in which the pressure is asked", row: []column{wording("name"), of("pump", unit.Rotation), of("crank", unit.Rotation), of("viscosity", unit.Viscosity), number("relative u"), of("density", unit.Density)}},
		{name: "gauge", extent: aTable, most: 6, what: "what a gauge shows in some of them", row: []column{wording("state"), of("pressure", unit.Pressure), of("u", unit.Pressure)}},
		{name: "priors", extent: aTable, most: 13, what: "weights of suspicions in the place of this house's own; those not named keep theirs", row: []column{wording("suspicion"), number("weight")}},
		{name: "draws", extent: oneWhole, least: 100, most: 20_000, what: "for the interval; left out 2000"}, {name: "seed", extent: oneWhole, least: 0, most: 1<<31 - 1, what: "of the draws; left out 0"}},
		example: `{"pump": "15.5 cm³", "fill": "94 %", "pump_u": "2 %", "slip": "3.6 l/min", "slip_pressure": "4.6 bar", "slip_viscosity": "6 mPa·s", "slip_u": "20 %",
 "relief_opens": "4.6 bar", "relief_full": "5.6 bar", "relief_flow": "90 l/min", "relief_u": "0.1 bar", "filter_drop": "0.5 bar", "filter_flow": "40 l/min", "filter_viscosity": "6 mPa·s", "filter_u": "20 %",
 "grooved": [["mains", "60 mm", "9.25 mm", "45 µm", "2 µm", "0.7", "0.5", "7"]], "holed": [["big ends", "5 mm", "20.5 mm", "45 µm", "2 µm", "30 mm", "46 mm", "6"]],
 "holes": [["piston jets", "jet", "1.45 mm", "0.7", "1.6 bar", "5 %", "6"], ["phasers", "phaser", "1.0 mm", "0.7", "0 bar", "10 %", "2"], ["cams", "leak", "1.8 mm", "0.7", "0 bar", "10 %", "2"]],
 "films": [["lash adjusters", "lash", "0.02 l/min", "3 bar", "10 mPa·s", "30 %", "24"]],
 "states": [["hot idle", "800 rpm", "800 rpm", "10 mPa·s", "5 %", "0.805 g/cm³"], ["at speed", "6800 rpm", "6800 rpm", "6 mPa·s", "5 %", "0.792 g/cm³"]],
 "gauge": [["hot idle", "1.6 bar", "0.1 bar"], ["at speed", "4.9 bar", "0.1 bar"]], "unit": "bar"}`}
}

func pressureOfOil(c *call) error {
	s, err := c.oilSystem()
	if err != nil {
		return err
	}
	e, err := oilway.NewEngine(s)
	if err != nil {
		return err
	}
	var states []oilway.State
	var names []string
	for i, row := range c.rows["states"] {
		x := oilway.State{Name: c.cells["states"][i][0], Turns: row[0] / (2 * math.Pi), Crank: row[1], Viscosity: row[2], U: row[3], Density: row[4]}
		states, names = append(states, x), append(names, x.Name)
	}
	first, err := e.FirstOrder(states)
	if err != nil {
		return err
	}
	draws := 2000
	if c.has("draws") {
		draws = int(c.nums["draws"])
	}
	drawn, err := e.Draws(states, draws, uint64(c.nums["seed"]))
	if err != nil {
		return err
	}
	var p, pu, low, high, out, used, relieved []float64
	starved := false
	for k, d := range first {
		p, pu, low, high = append(p, d.Pressure), append(pu, d.U), append(low, drawn[k].Low), append(high, drawn[k].High)
		out, used, relieved = append(out, d.Outlet), append(used, d.Used), append(relieved, d.Relieved)
		starved = starved || d.Starved
	}
	c.puts("states", names)
	c.measures("pressure", unit.Pressure, p)
	c.measures("pressure_u", unit.Pressure, pu)
	c.measures("low", unit.Pressure, low)
	c.measures("high", unit.Pressure, high)
	c.measures("at_pump", unit.Pressure, out)
	c.measures("used", unit.Flow, used)
	c.measures("relieved", unit.Flow, relieved)
	c.puts("budget", texts(first, budgetLine))
	c.puts("outlets", texts(s.Outlets, func(o oilway.Outlet) string { return o.Name }))
	flow := c.scale(unit.Flow)
	c.puts("flows", texts(first, func(d oilway.Doubted) string {
		return strings.Join(texts(d.Each, flow.write), "; ")
	}))
	if starved {
		c.note("compute.note.starved")
	}
	return c.suspects(e, s, states)
}

// budgetLine is who makes up the doubt of a pressure, in parts of a hundred.
func budgetLine(d oilway.Doubted) string {
	if len(d.Parts) == 0 {
		return "none"
	}
	return strings.Join(texts(d.Parts, func(p oilway.Part) string { return p.Cause + " " + strconv.FormatFloat(100*p.Share, 'f', 1, 64) }), "; ")
}

func (c *call) oilSystem() (oilway.System, error) {
	s := oilway.System{Pump: oilway.Pump{Displacement: c.nums["pump"], Fill: 1, U: c.nums["pump_u"], SlipU: c.nums["slip_u"]}, WayU: c.nums["filter_u"],
		Relief: oilway.Relief{Opens: c.nums["relief_opens"], Full: c.nums["relief_full"], Flow: c.nums["relief_flow"], U: c.nums["relief_u"], Far: c.texts["relief_feels"] == "gallery"}}
	if c.has("fill") {
		s.Pump.Fill = c.nums["fill"]
	}
	for _, together := range [][]string{{"slip", "slip_pressure", "slip_viscosity"}, {"relief_opens", "relief_full", "relief_flow"}, {"filter_drop", "filter_flow", "filter_viscosity"}} {
		for _, n := range together {
			if c.has(n) != c.has(together[0]) {
				return s, fmt.Errorf("%s go together", strings.Join(together, ", "))
			}
		}
	}
	var err error
	if c.has("slip") {
		if s.Pump.Slip, err = oilway.Seep(c.nums["slip"], c.nums["slip_pressure"], c.nums["slip_viscosity"]); err != nil {
			return s, err
		}
	}
	if c.has("filter_drop") {
		if s.Way, err = oilway.Seep(c.nums["filter_flow"], c.nums["filter_drop"], c.nums["filter_viscosity"]); err != nil {
			return s, err
		}
	}
	for i, row := range c.rows["grooved"] {
		film, err := oilway.Grooved(row[0], row[1], row[2]/2, row[4], row[5])
		if err != nil {
			return s, err
		}
		s.Outlets = append(s.Outlets, oilway.Outlet{Name: c.cells["grooved"][i][0], Kind: oilway.Bearing, Film: film, U: 3 * row[3] / row[2], Count: c.count(row[6], "grooved", i)})
	}
	for i, row := range c.rows["holed"] {
		film, err := oilway.Holed(row[0], row[1], row[2]/2)
		if err != nil {
			return s, err
		}
		s.Outlets = append(s.Outlets, oilway.Outlet{Name: c.cells["holed"][i][0], Kind: oilway.Bearing, Film: film, U: 3 * row[3] / row[2], From: row[4], To: row[5], Count: c.count(row[6], "holed", i)})
	}
	for i, row := range c.rows["holes"] {
		hole, err := oilway.Orifice(row[0], row[1])
		if err != nil {
			return s, err
		}
		s.Outlets = append(s.Outlets, oilway.Outlet{Name: c.cells["holes"][i][0], Kind: c.kindOfOutlet("holes", i), Hole: hole, Opens: row[2], U: row[3], Count: c.count(row[4], "holes", i)})
	}
	for i, row := range c.rows["films"] {
		film, err := oilway.Seep(row[0], row[1], row[2])
		if err != nil {
			return s, err
		}
		s.Outlets = append(s.Outlets, oilway.Outlet{Name: c.cells["films"][i][0], Kind: c.kindOfOutlet("films", i), Film: film, U: row[3], Count: c.count(row[4], "films", i)})
	}
	return s, nil
}

func (c *call) kindOfOutlet(table string, row int) oilway.Kind {
	words := []string{"bearing", "jet", "phaser", "lash", "leak"}
	for k, w := range words {
		if w == c.cells[table][row][1] {
			return oilway.Kind(k)
		}
	}
	c.onOf(c.cells[table][row][1], table, row, words...)
	return oilway.Leak
}

// suspects ranks what may be behind the gauge.
func (c *call) suspects(e *oilway.Engine, s oilway.System, states []oilway.State) error {
	var at []oilway.State
	var readings []oilway.Reading
	for i, row := range c.rows["gauge"] {
		found := false
		for _, x := range states {
			if x.Name == c.cells["gauge"][i][0] {
				at, readings, found = append(at, x), append(readings, oilway.Reading{Pressure: row[0], U: row[1]}), true
			}
		}
		if !found {
			return fmt.Errorf("the gauge was read in %q, which is no state of the table", c.cells["gauge"][i][0])
		}
	}
	if len(at) == 0 {
		return nil
	}
	priors := oilway.UsualPriors()
	for i, row := range c.rows["priors"] {
		what, ok := oilway.SuspicionOf(c.cells["priors"][i][0])
		if !ok {
			return fmt.Errorf("%q is no suspicion; expected one of %s", c.cells["priors"][i][0], strings.Join(texts(priors, func(p oilway.Prior) string { return p.Suspicion.String() }), ", "))
		}
		for k := range priors {
			if priors[k].Suspicion == what {
				priors[k].Chance = row[0]
			}
		}
	}
	list, err := e.Suspects(at, readings, priors)
	if err != nil {
		return err
	}
	type candidate = oilway.Candidate
	span, bar := c.scale(unit.Length), c.scale(unit.Pressure)
	c.puts("suspects", texts(list, func(x candidate) string {
		if x.Outlet < 0 {
			return x.Suspicion.String()
		}
		return x.Suspicion.String() + ": " + s.Outlets[x.Outlet].Name
	}))
	c.puts("likely", texts(list, func(x candidate) string { return digitsOf(x.After) }))
	c.puts("before", texts(list, func(x candidate) string { return digitsOf(x.Prior) }))
	c.puts("size", texts(list, func(x candidate) string {
		switch x.Suspicion {
		case oilway.Nothing:
			return "none"
		case oilway.Plug, oilway.JetMissing:
			return span.write(x.Size)
		case oilway.GaugeOff:
			return bar.write(x.Size)
		}
		return digitsOf(x.Size)
	}))
	c.puts("predicted", texts(list, func(x candidate) string { return strings.Join(texts(x.Predicted, bar.write), "; ") }))
	c.puts("explains", texts(list, func(x candidate) string { return digitsOf(x.Explains) }))
	c.puts("misfit", texts(list, func(x candidate) string { return digitsOf(x.Misfit) }))
	c.note("compute.note.suspects")
	return nil
}
