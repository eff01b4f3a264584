package compute

import (
	"fmt"
	"math"

	"fettle/internal/base/unit"
	"fettle/internal/physics/film"
	"fettle/internal/physics/lubricant"
)

// films are the procedures of the oil film under a bearing.
func films() []procedure {
	bearing := []field{
		{name: "diameter", dim: unit.Length, need: true, what: "of the journal"},
		{name: "length", dim: unit.Length, need: true, what: "of the bearing, groove included"},
		{name: "clearance", dim: unit.Length, need: true, what: "on the diameter"}}
	turning := append(append([]field{}, bearing...),
		field{name: "inlet", extent: oneWord, words: []string{"none", "ring-groove", "part-groove", "sleeve-hole", "journal-hole"}, what: "how oil comes in"},
		field{name: "width", dim: unit.Length, what: "of the groove, or diameter of the hole"},
		field{name: "from", dim: unit.Angle, what: "where a part groove begins, or where the hole is, from x towards y"},
		field{name: "to", dim: unit.Angle, what: "where a part groove ends"},
		field{name: "supply", dim: unit.Pressure, what: "pressure at the inlet; left out 0"},
		field{name: "roughness", dim: unit.Length, what: "combined Rq of journal and shell; left out where unknown"},
		field{name: "speed", dim: unit.Rotation, need: true, what: "of the journal seen from the shell, from x towards y above nought"},
		field{name: "turns", extent: oneWhole, least: 1, most: 100, what: "of the journal in a cycle; left out 2"},
		field{name: "load", extent: aTable, need: true, least: 4, most: 7200, row: []column{{name: "x", dim: unit.Force}, {name: "y", dim: unit.Force}},
			what: "force on the journal through one cycle, evenly spaced, in the frame of the shell"})
	const load = `"load": [["18 kN", "0 kN"], ["6 kN", "5 kN"], ["-4 kN", "3 kN"], ["-7 kN", "0 kN"], ["-4 kN", "-3 kN"], ["5 kN", "-6 kN"], ["9 kN", "0 kN"], ["4 kN", "4 kN"]]}`
	return []procedure{
		{name: "journal-film", source: "raimondi-boyd-1958", run: journalFilm, fields: append(append([]field{}, bearing...),
			field{name: "viscosity", dim: unit.Viscosity, need: true, what: "of the oil in the film"},
			field{name: "speed", dim: unit.Rotation, need: true, what: "of the journal, the shell standing"},
			field{name: "load", dim: unit.Force, need: true, what: "steady"}),
			example: `{"diameter": "60 mm", "length": "60 mm", "clearance": "0.12 mm", "viscosity": "30 mPa·s", "speed": "1440 rpm", "load": "3 kN"}`},
		{name: "bearing-orbit", source: "booker-1965", run: bearingOrbit, fields: append(append([]field{}, turning...),
			field{name: "viscosity", dim: unit.Viscosity, need: true, what: "of the oil in the film"}),
			example: `{"diameter": "48 mm", "length": "18.5 mm", "clearance": "50 µm", "speed": "-5500 rpm", "viscosity": "6 mPa·s", "roughness": "0.3 µm",
 ` + load},
		{name: "film-heat", source: "iso-7902", run: filmHeat, fields: append(append([]field{}, turning...),
			field{name: "at_40", dim: unit.Kinematic, need: true, what: "kinematic viscosity of the oil at 40 °C"},
			field{name: "at_100", dim: unit.Kinematic, need: true, what: "at 100 °C"},
			field{name: "density", dim: unit.Density, need: true, what: "at 15 °C"},
			field{name: "high_shear", dim: unit.Viscosity, what: "at 150 °C and 10⁶/s; left out, the oil does not thin under shear"},
			field{name: "inlet_temperature", dim: unit.Temperature, need: true, what: "of the oil"},
			field{name: "heat_capacity", dim: unit.Number, what: "in J/(kg K); left out 2100"},
			field{name: "share", dim: unit.Number, what: "of the rise that the film's viscosity sees; left out 0.8, from memory; 0.5 in ISO 7902"}),
			example: `{"diameter": "48 mm", "length": "18.5 mm", "clearance": "50 µm", "speed": "-5500 rpm", "at_40": "80.0 mm²/s", "at_100": "13.5 mm²/s", "density": "0.853 g/cm³",
 "high_shear": "3.70 mPa·s", "inlet_temperature": "100 °C", ` + load},
	}
}

func journalFilm(c *call) error {
	d, l, gap, mu, w, f := c.nums["diameter"], c.nums["length"], c.nums["clearance"]/2, c.nums["viscosity"], c.nums["speed"], c.nums["load"]
	if !(d > 0 && l > 0 && gap > 0 && gap < d/2 && mu > 0 && w > 0 && f > 0) {
		return fmt.Errorf("diameter, length, clearance, viscosity, speed and load are expected above 0, and a clearance below the diameter")
	}
	r := d / 2
	turns := w / (2 * math.Pi)
	s := r / gap * (r / gap) * mu * turns / (f / (l * d))
	var v film.Solver
	eps, at, err := v.Carry(l/d, s, film.Fine())
	if err != nil {
		return err
	}
	c.number("sommerfeld", s)
	c.number("eccentricity", eps)
	c.measure("least_film", unit.Length, gap*(1-eps))
	c.measure("attitude", unit.Angle, at.Attitude)
	c.number("friction", at.Friction*gap/r)
	c.number("loss_in_watts", at.Friction*gap/r*f*r*w)
	flow := at.Flow * r * gap * turns * l
	c.measure("flow", unit.Flow, flow)
	c.measure("side_flow", unit.Flow, at.Side*flow)
	peak := f / (l * d) / at.Ratio
	c.measure("greatest_pressure", unit.Pressure, peak)
	if peak > film.RigidTo {
		c.note("compute.note.film-beyond-rigid")
	}
	c.note("compute.note.film-model")
	return nil
}

// shell reads a bearing with its load.
func (c *call) shell() (*film.Shell, *film.Load, error) {
	maps, err := film.Maps()
	if err != nil {
		return nil, nil, err
	}
	inlet := map[string]film.Inlet{"none": film.NoInlet, "": film.NoInlet, "ring-groove": film.RingGroove, "part-groove": film.PartGroove, "sleeve-hole": film.SleeveHole, "journal-hole": film.JournalHole}[c.texts["inlet"]]
	s, err := maps.NewShell(film.ShellSpec{Diameter: c.nums["diameter"], Length: c.nums["length"], Inlet: inlet, Width: c.nums["width"], Hole: c.nums["width"],
		From: c.nums["from"], To: c.nums["to"], HoleAt: c.nums["from"], RoughSleeve: c.nums["roughness"]})
	if err != nil {
		return nil, nil, err
	}
	turns := 2.0
	if c.has("turns") {
		turns = c.nums["turns"]
	}
	w := c.nums["speed"]
	if w == 0 {
		return nil, nil, fmt.Errorf("a speed of 0: a journal that stands has no cycle")
	}
	t := film.LoadTable{Turn: []float64{w}, Period: turns * 2 * math.Pi / math.Abs(w)}
	for _, row := range c.rows["load"] {
		t.X, t.Y = append(t.X, row[0]), append(t.Y, row[1])
	}
	load, err := film.NewLoad(t)
	return s, load, err
}

func bearingOrbit(c *call) error {
	s, load, err := c.shell()
	if err != nil {
		return err
	}
	o, err := film.Run(film.Case{Shell: s, Load: load, Clearance: c.nums["clearance"] / 2, Viscosity: c.nums["viscosity"], Supply: c.nums["supply"]})
	if err != nil {
		return err
	}
	c.orbit(o, load)
	return nil
}

// orbit writes the figures of an orbit; they are kept from the reader where
// the film is not resolved at all, and noted where it is a ranking.
func (c *call) orbit(o film.Orbit, load *film.Load) {
	notes := map[film.Doubt]string{film.BeyondMap: "compute.note.film-beyond-map", film.BeyondRigid: "compute.note.film-beyond-rigid",
		film.BeyondRough: "compute.note.film-beyond-rough", film.NotClosed: "compute.note.film-not-closed"}
	gone := false
	for _, d := range o.Doubt {
		c.note(notes[d])
		gone = gone || d == film.BeyondMap || d == film.NotClosed
	}
	c.note("compute.note.film-model")
	if gone {
		c.put("least_film", "not resolved")
		return
	}
	c.measure("least_film", unit.Length, o.Gap)
	c.number("part_of_cycle", o.Step/float64(load.Steps))
	c.measure("direction", unit.Angle, o.Angle)
	c.number("eccentricity", o.Eps)
	if o.Lambda > 0 {
		c.number("film_over_roughness", o.Lambda)
	}
	c.measure("greatest_pressure", unit.Pressure, o.Peak)
	c.number("loss_in_watts", o.Loss)
	c.measure("side_flow", unit.Flow, o.Side)
	c.measure("feed_flow", unit.Flow, o.Feed)
}

func filmHeat(c *call) error {
	s, load, err := c.shell()
	if err != nil {
		return err
	}
	oil, err := lubricant.NewOil(lubricant.Datum{Cold: lubricant.Point{T: 40, V: c.nums["at_40"]}, Hot: lubricant.Point{T: 100, V: c.nums["at_100"]}, Density: c.nums["density"], HighShear: c.nums["high_shear"]})
	if err != nil {
		return err
	}
	gap := c.nums["clearance"] / 2
	rate := math.Abs(c.nums["speed"]) * c.nums["diameter"] / 2 / gap
	in := c.nums["inlet_temperature"]
	with := film.Oil{Viscosity: func(t float64) float64 { return oil.Under(t, rate) }, Inlet: in, Most: math.Min(in+200, 400), Supply: c.nums["supply"],
		Density: oil.Weight(in), Heat: 2100, Share: 0.8}
	if c.has("heat_capacity") {
		with.Heat = c.nums["heat_capacity"]
	}
	if c.has("share") {
		with.Share = c.nums["share"]
	}
	r, err := film.Balance(film.HeatCase{Shell: s, Load: load, Clearance: gap, Oil: with})
	if err != nil {
		return err
	}
	c.measure("film_temperature", unit.Temperature, r.Celsius)
	c.measure("outlet_temperature", unit.Temperature, r.Outlet)
	c.measure("viscosity", unit.Viscosity, r.Viscosity)
	c.number("shear_rate", rate)
	c.orbit(r.Orbit, load)
	return nil
}
