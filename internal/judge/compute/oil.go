package compute

import (
	"math"

	"fettle/internal/base/unit"
	"fettle/internal/physics/lubricant"
)

// oils are the procedures of the oil and what it does.
func oils() []procedure {
	point := func(name, what string) field {
		return field{name: name, dim: unit.Kinematic, need: true, what: what}
	}
	return []procedure{
		{name: "oil-viscosity", source: "astm-d341", run: oilViscosity, fields: []field{
			point("at_40", "kinematic viscosity at 40 °C"), point("at_100", "at 100 °C"),
			{name: "density", dim: unit.Density, need: true, what: "at 15 °C"},
			{name: "high_shear", dim: unit.Viscosity, what: "at 150 °C and 10⁶/s; left out, the floor of the grade"},
			{name: "grade", extent: oneText, what: "of SAE J300, such as 5W-40"},
			{name: "temperatures", extent: aList, dim: unit.Temperature, need: true, least: 1, most: 1000, what: "at which it is asked"},
			{name: "shear_rate", dim: unit.Number, what: "for a second, such as 1000000; left out 0"},
			{name: "fuel", dim: unit.Number, what: "part of the volume that is fuel, to 30 %; left out 0"},
			{name: "fuel_at_20", dim: unit.Kinematic, what: "kinematic viscosity of that fuel at 20 °C"},
			{name: "fuel_at_100", dim: unit.Kinematic, what: "at 100 °C"},
			{name: "fuel_density", dim: unit.Density, what: "its density at 15 °C"}},
			example: `{"at_40": "80.0 mm²/s", "at_100": "13.5 mm²/s", "density": "0.853 g/cm³", "high_shear": "3.70 mPa·s", "grade": "5W-40",
 "temperatures": ["20 °C", "90 °C", "120 °C", "150 °C"], "shear_rate": "1000000", "fuel": "4 %", "fuel_at_20": "1.10 mm²/s", "fuel_at_100": "0.45 mm²/s", "fuel_density": "0.790 g/cm³"}`},
		{name: "viscosity-index", source: "astm-d2270", run: viscosityIndex, fields: []field{
			point("at_40", "kinematic viscosity at 40 °C"), point("at_100", "at 100 °C")},
			example: `{"at_40": "73.3 mm²/s", "at_100": "8.86 mm²/s"}`},
		mainLoads(),
		oilPressure(),
	}
}

func oilViscosity(c *call) error {
	d := lubricant.Datum{Cold: lubricant.Point{T: 40, V: c.nums["at_40"]}, Hot: lubricant.Point{T: 100, V: c.nums["at_100"]}, Density: c.nums["density"], HighShear: c.nums["high_shear"]}
	var grade lubricant.Grade
	if c.has("grade") {
		g, err := lubricant.GradeOf(c.texts["grade"])
		if err != nil {
			return err
		}
		grade = g
	}
	switch {
	case c.has("high_shear") && !(d.HighShear > 0):
		d.HighShear = math.NaN() // nought is no viscosity, and refused as such
	case !c.has("high_shear") && grade.Hot.Floor > 0:
		d.HighShear = grade.Hot.Floor
		c.note("compute.note.floor-stands-in")
	case !c.has("high_shear"):
		c.note("compute.note.one-plateau")
	}
	o, err := lubricant.NewOil(d)
	if err != nil {
		return err
	}
	fresh := o
	if c.nums["fuel"] != 0 {
		f, err := lubricant.NewOil(lubricant.Datum{Cold: lubricant.Point{T: 20, V: c.nums["fuel_at_20"]}, Hot: lubricant.Point{T: 100, V: c.nums["fuel_at_100"]}, Density: c.nums["fuel_density"]})
		if err != nil {
			return err
		}
		if o, err = o.Diluted(f, c.nums["fuel"]); err != nil {
			return err
		}
	}
	at, rate := c.lists["temperatures"], c.nums["shear_rate"]
	var kin, dyn, under, dens []float64
	outside := false
	for _, t := range at {
		kin, dyn, under, dens = append(kin, o.Line.Kinematic(t)), append(dyn, o.Dynamic(t)), append(under, o.Under(t, rate)), append(dens, o.Weight(t))
		outside = outside || t < lubricant.Coldest || t > lubricant.Hottest || o.Line.Kinematic(t) < 0.21e-6
	}
	c.measures("temperatures", unit.Temperature, at)
	c.measures("kinematic", unit.Kinematic, kin)
	c.measures("density", unit.Density, dens)
	c.measures("dynamic", unit.Viscosity, dyn)
	c.measures("under_shear", unit.Viscosity, under)
	c.number("line_a", o.Line.A)
	c.number("line_b", o.Line.B)
	c.measure("high_shear", unit.Viscosity, o.Under(lubricant.ShearTest, lubricant.ShearRate))
	c.number("second_plateau", o.Second)
	c.puts("grades_at_100", lubricant.Within(o.Line.Kinematic(100)))
	if c.has("grade") {
		c.put("grade", grade.Name)
		c.measure("floor", unit.Viscosity, grade.Hot.Floor)
		misses := func(o lubricant.Oil) []string {
			out := []string{}
			for _, s := range grade.Misses(lubricant.Tested{At100: o.Line.Kinematic(100), HighShear: o.Under(lubricant.ShearTest, lubricant.ShearRate)}) {
				out = append(out, string(s))
			}
			return out
		}
		c.puts("misses_fresh", misses(fresh))
		c.puts("misses", misses(o))
	}
	if outside {
		c.note("compute.note.thin-end")
	}
	return nil
}

func viscosityIndex(c *call) error {
	i, err := lubricant.IndexOf(c.nums["at_40"], c.nums["at_100"])
	if err != nil {
		return err
	}
	c.number("index", i.Value)
	c.whole("reported", i.Reported())
	c.measure("l", unit.Kinematic, i.L)
	c.measure("h", unit.Kinematic, i.H)
	c.put("procedure", map[bool]string{true: "B", false: "A"}[i.Above])
	return nil
}
