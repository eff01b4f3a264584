package compute

import (
	"math"

	"fettle/internal/base/unit"
	"fettle/internal/physics/crank"
	"fettle/internal/physics/cycle"
)

func cycleFields() []field {
	out := append(slider(),
		field{name: "bore", dim: unit.Length, need: true, what: "of the cylinder"},
		field{name: "ratio", dim: unit.Number, need: true, what: "compression ratio"},
		field{name: "speed", dim: unit.Rotation, need: true, what: "of the crank"})
	for _, side := range []string{"inlet", "exhaust"} {
		out = append(out,
			field{name: side + "_valves", extent: oneWhole, need: true, least: 1, most: 8, what: "a cylinder"},
			field{name: side + "_diameter", dim: unit.Length, need: true, what: "of the valve's seat"},
			field{name: side + "_lift", dim: unit.Length, need: true, what: "at the top of the lobe"},
			field{name: side + "_opens", dim: unit.Angle, need: true, what: "past firing top dead centre"},
			field{name: side + "_closes", dim: unit.Angle, need: true, what: "likewise"},
			field{name: side + "_discharge", dim: unit.Number, what: "coefficient, of the area under the seat; left out 0.62, common practice"})
	}
	return append(out,
		field{name: "pressure", dim: unit.Pressure, need: true, what: "before the inlet valves, absolute"},
		field{name: "temperature", dim: unit.Temperature, need: true, what: "of the charge there"},
		field{name: "back_pressure", dim: unit.Pressure, need: true, what: "behind the exhaust valves, absolute"},
		field{name: "lambda", dim: unit.Number, need: true, what: "air over the air that burns the fuel, petrol"},
		field{name: "burn_start", dim: unit.Angle, need: true, what: "before firing top dead centre"},
		field{name: "burn_duration", dim: unit.Angle, need: true, what: "until 99.9 % has burnt"},
		field{name: "piston", dim: unit.Temperature, what: "of its crown; left out 250 °C"},
		field{name: "head", dim: unit.Temperature, what: "of the chamber; left out 190 °C"},
		field{name: "liner", dim: unit.Temperature, what: "of the bore; left out 150 °C"},
		field{name: "walls", extent: oneWord, words: []string{"woschni-0.53", "woschni-0.55"}, what: "printed form of the law of heat to the walls, by its exponent of temperature"})
}

const cycleExample = `{"throw": "43 mm", "rod": "143 mm", "bore": "87 mm", "ratio": "11", "speed": "6500 rpm",
 "inlet_valves": 2, "inlet_diameter": "34 mm", "inlet_lift": "10.5 mm", "inlet_opens": "335 °crank", "inlet_closes": "600 °crank",
 "exhaust_valves": 2, "exhaust_diameter": "29.5 mm", "exhaust_lift": "9.8 mm", "exhaust_opens": "120 °crank", "exhaust_closes": "385 °crank",
 "pressure": "1 bar", "temperature": "37 °C", "back_pressure": "1.05 bar", "lambda": "0.88", "burn_start": "25 °crank", "burn_duration": "58 °crank"`

func engineCycle() procedure {
	return procedure{name: "engine-cycle", source: "heywood-1988", run: gasOfCycle, fields: append(cycleFields(),
		field{name: "points", extent: oneWhole, least: 8, most: 14400, what: "of pressure over 720° from firing top dead centre; left out none"}),
		example: cycleExample + `}`}
}

// setup is the cycle of the input, with what a baseline has otherwise.
func (c *call) setup(baseline bool) (cycle.Setup, error) {
	num := func(name string) float64 {
		if baseline && c.has("baseline_"+name) {
			return c.nums["baseline_"+name]
		}
		return c.nums[name]
	}
	or := func(name string, usual float64) float64 {
		if c.has(name) {
			return c.nums[name]
		}
		return usual
	}
	const zero = 273.15
	s, err := c.slider()
	if err != nil {
		return cycle.Setup{}, err
	}
	cyl, err := crank.OfRatio(s, c.nums["bore"], num("ratio"))
	if err != nil {
		return cycle.Setup{}, err
	}
	// The cycle counts from the piston's top, the crank from the throw's.
	top := s.TopAngle()
	side := func(name string) cycle.Valves {
		opens, closes := c.nums[name+"_opens"], c.nums[name+"_closes"]
		return cycle.Valves{Count: int(c.nums[name+"_valves"]), Diameter: c.nums[name+"_diameter"], Discharge: or(name+"_discharge", 0.62),
			Opens: opens, Closes: closes, Lift: cycle.Lobe(opens, closes, c.nums[name+"_lift"])}
	}
	out := cycle.Setup{Volume: func(a float64) (float64, float64) { return cyl.Volume(a + top) },
		Bore: c.nums["bore"], Stroke: s.Stroke(), Speed: num("speed"), Inlet: side("inlet"), Exhaust: side("exhaust"),
		Pressure: num("pressure"), Temperature: num("temperature") + zero, Back: num("back_pressure"), Fuel: cycle.Petrol(), Lambda: num("lambda"),
		Burn:  cycle.Burn{Start: num("burn_start"), Duration: num("burn_duration")},
		Walls: cycle.Walls{Piston: or("piston", 250) + zero, Head: or("head", 190) + zero, Liner: or("liner", 150) + zero}}
	if c.texts["walls"] == "woschni-0.55" {
		out.Heat = cycle.Woschni55
	}
	return out, nil
}

func gasOfCycle(c *call) error {
	s, err := c.setup(false)
	if err != nil {
		return err
	}
	r, imep, peak, err := cycle.Checked(s, cycle.Options{})
	if err != nil {
		return err
	}
	c.measure("mean_effective_pressure", unit.Pressure, r.IMEP)
	c.measure("pumping", unit.Pressure, r.Pumping)
	c.measure("peak_pressure", unit.Pressure, r.Peak)
	c.measure("peak_at", unit.Angle, r.PeakAt)
	c.measure("hottest", unit.Temperature, r.Hottest-273.15)
	c.measure("exhaust", unit.Temperature, r.Exhaust-273.15)
	c.measure("trapped", unit.Mass, r.Trapped)
	c.number("filling", r.Filling)
	c.number("residual", r.Residual)
	c.number("efficiency", r.Efficiency)
	c.number("to_the_walls", r.Heat/(r.Fuel*s.Fuel.Heating))
	c.number("power_kW_a_cylinder", r.Work*s.Speed/(4*math.Pi)/1000)
	c.number("error_of_steps_mean_effective_pressure", math.Abs(imep))
	c.number("error_of_steps_peak", math.Abs(peak))
	c.number("energy_lost", math.Abs(r.Closure))
	c.whole("cycles", r.Cycles)
	if c.has("points") {
		out := make([]float64, int(c.nums["points"]))
		r.Pressure(out)
		c.measures("pressure", unit.Pressure, out)
	}
	c.note("compute.note.no-waves")
	return nil
}

// apart are the members that a baseline may have otherwise.
func apart() []field {
	return []field{
		{name: "baseline_ratio", dim: unit.Number, what: "of the baseline, where it is another"}, {name: "baseline_speed", dim: unit.Rotation, what: "likewise"},
		{name: "baseline_pressure", dim: unit.Pressure, what: "likewise"}, {name: "baseline_temperature", dim: unit.Temperature, what: "likewise"},
		{name: "baseline_back_pressure", dim: unit.Pressure, what: "likewise"}, {name: "baseline_lambda", dim: unit.Number, what: "likewise"},
		{name: "baseline_burn_start", dim: unit.Angle, what: "likewise"}, {name: "baseline_burn_duration", dim: unit.Angle, what: "likewise"},
		{name: "baseline_octane", dim: unit.Number, what: "likewise"}}
}

func knockMargin() procedure {
	return procedure{name: "knock-margin", source: "douaud-eyzat-1978", run: marginOfKnock, fields: append(append(cycleFields(),
		field{name: "octane", dim: unit.Number, need: true, what: "research octane number of the fuel"},
		field{name: "baseline", extent: oneText, need: true, what: "what the cycle is held against: a build and a fuel that are known to live"}), apart()...),
		example: cycleExample + `, "octane": "95", "baseline": "as it ran before, on 95", "baseline_ratio": "10", "baseline_burn_start": "28 °crank"}`}
}

func marginOfKnock(c *call) error {
	var index [2]cycle.KnockIndex
	for i, baseline := range []bool{false, true} {
		s, err := c.setup(baseline)
		if err != nil {
			return err
		}
		r, err := cycle.Run(s, cycle.Options{})
		if err != nil {
			return err
		}
		octane := c.nums["octane"]
		if baseline && c.has("baseline_octane") {
			octane = c.nums["baseline_octane"]
		}
		if index[i], err = r.Knock(octane); err != nil {
			return err
		}
	}
	m := index[0].Against(index[1])
	c.put("against", c.texts["baseline"])
	c.number("index_over_baseline", m.Ratio)
	c.number("octane_numbers_to_spare", m.Octane)
	c.note("compute.note.knock")
	c.note("compute.note.no-waves")
	return nil
}
