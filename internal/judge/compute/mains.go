package compute

import (
	"fmt"
	"math"
	"strconv"

	"fettle/internal/base/unit"
	"fettle/internal/physics/mains"
)

func mainLoads() procedure {
	l := func(name, what string) field { return field{name: name, dim: unit.Length, what: what} }
	return procedure{name: "main-loads", source: "przemieniecki-1968", run: loadsOfMains, fields: []field{
		{name: "mains", extent: aTable, need: true, least: 2, most: 16, what: "from the free end: name, place of the journal's middle along the crank; diametral clearance; the bore's middle from the line of the tunnel, across x and up y; the journal's run-out from the crank's axis (half of what a clock shows), x and y in the crank at angle 0",
			row: []column{wording("name"), length("place"), length("clearance"), length("offset x"), length("offset y"), length("run-out x"), length("run-out y")}},
		{name: "pieces", extent: aTable, need: true, least: 1, most: 100, row: []column{length("length"), length("diameter")}, what: "of the shaft from the free end, each as the plain round shaft that bends alike"},
		{name: "places", extent: aList, dim: unit.Length, need: true, least: 1, most: 32, what: "where forces act along the crank, the middles of the throws"},
		{name: "forces", extent: aTable, mixed: true, need: true, least: 1, most: 5760, what: "rows of crank angle and, for each place, force across x and up y, of rod and throw on the crank"},
		{name: "modulus", dim: unit.Pressure, what: "of elasticity; left out 206 GPa"},
		{name: "shear", extent: oneWord, words: []string{"yes", "no"}, what: "whether shear bends the shaft as well"},
		{name: "bearing", extent: oneWord, words: []string{"film", "gap", "spring"}, what: "steady short film; clearance with a stiff wall; spring without clearance"},
		{name: "stiffness", dim: unit.Rate, what: "of wall or spring"},
		{name: "housing", dim: unit.Rate, what: "stiffness of block and cap behind each shell; left out, they do not give way"},
		{name: "viscosity", dim: unit.Viscosity, what: "of the film, under shear"}, {name: "speed", dim: unit.Rotation, what: "of the crank, for the film"},
		l("journal", "diameter, for the film"), l("width", "of the shell, for the film"),
		{name: "main", extent: oneText, what: "name of a main whose loads are wanted angle by angle"}},
		example: `{"mains": [["1", "20 mm", "45 µm", "0 µm", "0 µm", "0 µm", "0 µm"], ["2", "111 mm", "50 µm", "5 µm", "-25 µm", "10 µm", "0 µm"], ["3", "202 mm", "45 µm", "0 µm", "0 µm", "0 µm", "0 µm"]],
 "pieces": [["222 mm", "50 mm"]], "places": ["65.5 mm", "156.5 mm"],
 "forces": [["0 °crank", "0 kN", "-30 kN", "0 kN", "9 kN"], ["90 °crank", "8 kN", "-6 kN", "-8 kN", "-5 kN"], ["180 °crank", "0 kN", "9 kN", "0 kN", "-9 kN"], ["360 °crank", "0 kN", "9 kN", "0 kN", "-30 kN"]],
 "bearing": "film", "housing": "1000000 N/mm", "viscosity": "8 mPa·s", "speed": "6000 rpm", "journal": "60 mm", "width": "22 mm", "main": "2"}`}
}

func loadsOfMains(c *call) error {
	modulus := 206e9
	if c.has("modulus") {
		modulus = c.nums["modulus"]
	}
	layout := mains.Layout{Loads: c.lists["places"]}
	var names []string
	for i, row := range c.rows["mains"] {
		layout.Mains, names = append(layout.Mains, row[0]), append(names, c.cells["mains"][i][0])
	}
	for _, row := range c.rows["pieces"] {
		bending, shear := mains.Round(modulus, row[1])
		if c.texts["shear"] == "no" {
			shear = 0
		}
		layout.Pieces = append(layout.Pieces, mains.Piece{Length: row[0], Bending: bending, Shear: shear})
	}
	s, err := mains.NewShaft(layout)
	if err != nil {
		return err
	}
	bearings, err := c.bearings()
	if err != nil {
		return err
	}
	angles, forces, err := c.throws(len(layout.Loads))
	if err != nil {
		return err
	}
	run, err := s.Turn(angles, forces, bearings)
	if err != nil {
		return err
	}
	lever, err := s.Determinate(forces)
	if err != nil {
		return err
	}
	c.puts("mains", names)
	var peak, at, share, out, tilt []float64
	for k, row := range c.rows["mains"] {
		p, i := mains.Peak(run.Load, k)
		q, _ := mains.Peak(lever, k)
		e, _ := mains.Peak(run.Journal, k)
		t, _ := mains.Peak(run.Slope, k)
		if c.has("housing") { // what the housing gives is no eccentricity; both grow with the load
			e -= p / c.nums["housing"]
		}
		peak, at, share, out, tilt = append(peak, p), append(at, angles[i]), append(share, q), append(out, 2*e/row[1]), append(tilt, t)
	}
	c.measures("peak", unit.Force, peak)
	c.measures("peak_at", unit.Angle, at)
	c.measures("peak_by_lever", unit.Force, share)
	c.numbers("peak_over_lever", peak, share)
	if c.texts["bearing"] != "spring" {
		c.puts("eccentricity_ratio", digitsAll(out))
	}
	c.measures("slope", unit.Angle, tilt)
	c.number("steps_an_angle", float64(run.Steps)/float64(len(angles)))
	if err := c.oneMain(names, run, lever); err != nil {
		return err
	}
	c.note("compute.note.mains")
	return nil
}

// oneMain writes the loads of the main that was asked for.
func (c *call) oneMain(names []string, run *mains.Run, lever [][]mains.Vec) error {
	if !c.has("main") {
		return nil
	}
	for k, name := range names {
		if name != c.texts["main"] {
			continue
		}
		for d, axis := range []string{"x", "y"} {
			var load, share []float64
			for i := range run.Load {
				load, share = append(load, run.Load[i][k][d]), append(share, lever[i][k][d])
			}
			c.measures("load_"+axis, unit.Force, load)
			c.measures("load_by_lever_"+axis, unit.Force, share)
		}
		return nil
	}
	return fmt.Errorf("main %q is not in the table", c.texts["main"])
}

func digitsAll(x []float64) []string {
	out := make([]string, len(x))
	for i, v := range x {
		out[i] = digitsOf(v)
	}
	return out
}

// numbers writes ratios, "none" where there is nothing to compare with.
func (c *call) numbers(name string, x, over []float64) {
	out := make([]string, len(x))
	for i := range x {
		if out[i] = "none"; over[i] > 0 {
			out[i] = digitsOf(x[i] / over[i])
		}
	}
	c.puts(name, out)
}

// bearings are the mains as measured.
func (c *call) bearings() ([]mains.Bearing, error) {
	needs := []string{"stiffness"}
	if c.texts["bearing"] == "film" {
		needs = []string{"viscosity", "speed", "journal", "width"}
	}
	for _, n := range needs {
		if !c.has(n) {
			return nil, fmt.Errorf("%s is needed for a %s", n, c.texts["bearing"])
		}
	}
	var out []mains.Bearing
	for i, row := range c.rows["mains"] {
		var law mains.Law
		var err error
		switch c.texts["bearing"] {
		case "film":
			law, err = mains.Short(c.nums["viscosity"], c.nums["speed"], c.nums["journal"]/2, c.nums["width"], row[1]/2)
		case "gap":
			law, err = mains.Gap(row[1]/2, c.nums["stiffness"])
		default:
			law, err = mains.Spring(c.nums["stiffness"])
		}
		if err == nil && c.has("housing") {
			law, err = mains.Behind(law, c.nums["housing"])
		}
		if err != nil {
			return nil, fmt.Errorf("main %s: %w", c.cells["mains"][i][0], err)
		}
		out = append(out, mains.Bearing{Law: law, Offset: mains.Vec{row[2], row[3]}, Runout: mains.Vec{row[4], row[5]}})
	}
	return out, nil
}

// throws are the rows of forces: an angle, then pairs.
func (c *call) throws(places int) (angles []float64, forces [][]mains.Vec, err error) {
	for i, row := range c.rows["forces"] {
		if len(row) != 1+2*places {
			return nil, nil, fmt.Errorf("row %d of forces has %s: an angle and %d forces are expected, x and y for each place", i+1, strconv.Itoa(len(row)), 2*places)
		}
		for j, s := range c.columns["forces"] {
			if want := map[bool]unit.Dim{true: unit.Angle, false: unit.Force}[j == 0]; s.kind != want {
				return nil, nil, fmt.Errorf("column %d of forces is in %s: %s is expected", j+1, s.name, want)
			}
		}
		f := make([]mains.Vec, places)
		for j := range f {
			f[j] = mains.Vec{row[1+2*j], row[2+2*j]}
		}
		if math.Abs(row[0]) > 1e6 {
			return nil, nil, fmt.Errorf("row %d of forces is at %g rad: an angle of a few turns is expected", i+1, row[0])
		}
		angles, forces = append(angles, row[0]), append(forces, f)
	}
	return angles, forces, nil
}
