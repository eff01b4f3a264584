package compute

import (
	"fmt"
	"math"

	"fettle/internal/base/unit"
	"fettle/internal/physics/crank"
)

// engines are the procedures of crank and gas.
func engines() []procedure {
	return []procedure{sliderCrank(), crankLoads(), engineCycle(), knockMargin()}
}

func slider() []field {
	return []field{
		{name: "throw", dim: unit.Length, need: true, what: "radius of the throw, half the stroke where the pin has no offset"},
		{name: "rod", dim: unit.Length, need: true, what: "between its eyes"},
		{name: "offset", dim: unit.Length, what: "of the gudgeon pin, positive towards the side the throw moves to at its top; the thrust side is the other; left out 0"}}
}

func (c *call) slider() (crank.Slider, error) {
	return crank.NewSlider(c.nums["throw"], c.nums["rod"], c.nums["offset"])
}

func sliderCrank() procedure {
	return procedure{name: "slider-crank", source: "uicker-theory-of-machines", run: motionOfSlider, fields: append(slider(),
		field{name: "speed", dim: unit.Rotation, need: true, what: "of the crank, constant"},
		field{name: "angles", extent: aList, dim: unit.Angle, need: true, least: 1, most: 1440, what: "of the throw past its top"},
		field{name: "bore", dim: unit.Length, what: "for the volume, with ratio"},
		field{name: "ratio", dim: unit.Number, what: "compression ratio, with bore"}),
		example: `{"throw": "45 mm", "rod": "144 mm", "speed": "6500 rpm", "angles": ["0 °crank", "30 °crank", "75 °crank", "180 °crank"], "bore": "90 mm", "ratio": "11"}`}
}

func motionOfSlider(c *call) error {
	s, err := c.slider()
	if err != nil {
		return err
	}
	w := c.nums["speed"]
	if math.Abs(w) > crank.MostSpeed {
		return fmt.Errorf("a speed up to 95,000 rpm is taken")
	}
	var drop, speed, rod []float64
	var acceleration []string
	for _, a := range c.lists["angles"] {
		b, _, _ := s.RodAngle(a, w)
		drop, speed, rod = append(drop, s.Drop(a)), append(speed, s.Speed(a, w)), append(rod, b)
		acceleration = append(acceleration, digitsOf(s.Acceleration(a, w))+" m/s²")
	}
	c.measure("stroke", unit.Length, s.Stroke())
	c.measure("mean_piston_speed", unit.Speed, s.MeanSpeed(w))
	c.measures("drop", unit.Length, drop)
	c.measures("piston_speed", unit.Speed, speed)
	c.puts("acceleration", acceleration)
	c.measures("rod_angle", unit.Angle, rod)
	if c.has("bore") != c.has("ratio") {
		return fmt.Errorf("bore and ratio go together")
	}
	if !c.has("bore") {
		return nil
	}
	cyl, err := crank.OfRatio(s, c.nums["bore"], c.nums["ratio"])
	if err != nil {
		return err
	}
	var volume []float64
	for _, a := range c.lists["angles"] {
		v, _ := cyl.Volume(a)
		volume = append(volume, v)
	}
	c.measure("swept_volume", unit.Volume, cyl.Swept())
	c.measure("clearance_volume", unit.Volume, cyl.Clearance())
	c.measures("volume", unit.Volume, volume)
	return nil
}

func crankLoads() procedure {
	return procedure{name: "crank-loads", source: "uicker-theory-of-machines", run: loadsOfCrank, fields: append(slider(),
		field{name: "bore", dim: unit.Length, need: true, what: "of the cylinders"},
		field{name: "piston", dim: unit.Mass, need: true, what: "with pin, locks and rings"},
		field{name: "rod_mass", dim: unit.Mass, need: true, what: "with cap, bolts and shells"},
		field{name: "rod_gravity", dim: unit.Length, need: true, what: "centre of gravity from the big end"},
		field{name: "gyration", dim: unit.Length, what: "radius of gyration about it; left out that of two masses in the eyes"},
		field{name: "speed", dim: unit.Rotation, need: true, what: "of the crank, constant"},
		field{name: "throws", extent: aTable, need: true, least: 1, most: 64, what: "from the free end: phase ahead of the crank's mark in the sense of rotation, place along the crank, mass at the crankpin's radius of pin, webs and counterweights without rods, below nought where counterweights outweigh",
			row: []column{{name: "phase", dim: unit.Angle}, length("place"), {name: "unbalance", dim: unit.Mass}}},
		field{name: "cylinders", extent: aTable, need: true, least: 1, most: 64, what: "throw that the rod is on, from 1; bank angle in the sense of rotation", row: []column{number("throw"), {name: "bank", dim: unit.Angle}}},
		field{name: "order", extent: aList, dim: unit.Number, need: true, least: 1, most: 64, what: "in which the cylinders fire, from 1"},
		field{name: "mains", extent: aList, dim: unit.Length, need: true, least: 2, most: 64, what: "places of the main bearings along the crank"},
		field{name: "pressures", extent: aList, dim: unit.Pressure, need: true, least: 8, most: 14400, what: "in a cylinder above those in the crankcase, at even steps over 720° from firing top dead centre, an even number"},
		field{name: "histories", extent: oneWord, words: []string{"no", "yes"}, what: "whether loads are wanted angle by angle"}),
		example: `{"throw": "43 mm", "rod": "143 mm", "bore": "86 mm", "piston": "420 g", "rod_mass": "600 g", "rod_gravity": "40 mm", "speed": "6000 rpm",
 "throws": [["0 °crank", "50 mm", "-200 g"], ["180 °crank", "150 mm", "-200 g"]], "cylinders": [["1", "0 °"], ["2", "0 °"]], "order": ["1", "2"], "mains": ["0 mm", "100 mm", "200 mm"],
 "pressures": ["45 bar", "42 bar", "14 bar", "7 bar", "4 bar", "2 bar", "1 bar", "0 bar", "0 bar", "0 bar", "0 bar", "0 bar", "0 bar", "0 bar", "0 bar", "0 bar", "0 bar", "0 bar", "0 bar", "0 bar", "1 bar", "2 bar", "5 bar", "14 bar"]}`}
}

func loadsOfCrank(c *call) error {
	s, err := c.slider()
	if err != nil {
		return err
	}
	rod := crank.Rod{Mass: c.nums["rod_mass"], Gravity: c.nums["rod_gravity"]}
	rod.Inertia = rod.PointInertia(s.Rod())
	if c.has("gyration") {
		rod.Inertia = rod.Mass * c.nums["gyration"] * c.nums["gyration"]
	}
	m, err := crank.NewMechanism(s, crank.Parts{Piston: c.nums["piston"], Bore: c.nums["bore"], Rod: rod})
	if err != nil {
		return err
	}
	l := crank.Layout{Mains: c.lists["mains"]}
	for _, row := range c.rows["throws"] {
		l.Throws = append(l.Throws, crank.Throw{Phase: row[0], At: row[1], Unbalance: crank.Vec{X: row[2] * s.Radius()}})
	}
	for i, row := range c.rows["cylinders"] {
		l.Cylinders = append(l.Cylinders, crank.Place{Throw: c.count(row[0], "cylinders", i) - 1, Bank: row[1]})
	}
	var order []int
	for _, x := range c.lists["order"] {
		if x != math.Trunc(x) || math.Abs(x) > 64 {
			return fmt.Errorf("an order of whole numbers is expected")
		}
		order = append(order, int(x))
	}
	if l, err = l.Firing(order); err != nil {
		return err
	}
	gauge, n := c.lists["pressures"], len(c.lists["pressures"])
	e, err := crank.NewEngine(l, []crank.Mechanism{m}, n)
	if err != nil {
		return err
	}
	h := e.NewHistories()
	if err := e.Loads(c.nums["speed"], [][]float64{gauge}, h); err != nil {
		return err
	}
	t, err := crank.NewTable(m, n, 0)
	if err != nil {
		return err
	}
	one := crank.NewLoads(n)
	if err := t.Loads(c.nums["speed"], gauge, &one); err != nil {
		return err
	}
	firing, gaps := l.Intervals()
	c.places("fires", before(firing))
	c.measures("intervals", unit.Angle, gaps)
	angle := func(i int) float64 { return 4 * math.Pi * float64(i) / float64(n) }
	peak := func(name string, of []crank.Vec) {
		k := 0
		for i, v := range of {
			if v.Length() > of[k].Length() {
				k = i
			}
		}
		c.measure(name, unit.Force, of[k].Length())
		c.measure(name+"_at", unit.Angle, angle(k))
	}
	peak("gudgeon_pin", one.Pin)
	peak("big_end", one.BigEnd)
	low, high, mean, top := 0.0, 0.0, 0.0, 0.0
	for i, v := range one.Thrust {
		low, high = math.Min(low, v), math.Max(high, v)
		mean += h.Torque[i] / float64(n)
		top = math.Max(top, h.Torque[i])
	}
	c.measure("thrust_least", unit.Force, low)
	c.measure("thrust_most", unit.Force, high)
	c.measure("torque_mean", unit.Torque, mean)
	c.measure("torque_most", unit.Torque, top)
	var most, at []float64
	for _, load := range h.Mains {
		k := 0
		for i, v := range load {
			if v.Length() > load[k].Length() {
				k = i
			}
		}
		most, at = append(most, load[k].Length()), append(at, angle(k))
	}
	c.measures("mains", unit.Force, most)
	c.measures("mains_at", unit.Angle, at)
	if c.texts["histories"] == "yes" {
		xs, ys := parts(one.Rod)
		c.measures("big_end_along_rod", unit.Force, xs)
		c.measures("big_end_across_rod", unit.Force, ys)
		c.measures("thrust", unit.Force, one.Thrust)
		c.measures("torque", unit.Torque, h.Torque)
		for k, load := range h.Mains {
			xs, ys := parts(load)
			c.measures(fmt.Sprintf("main_%d_x", k+1), unit.Force, xs)
			c.measures(fmt.Sprintf("main_%d_y", k+1), unit.Force, ys)
		}
	}
	c.note("compute.note.determinate")
	return nil
}

// before are places counted from nought.
func before(from1 []int) []int {
	out := make([]int, len(from1))
	for i, k := range from1 {
		out[i] = k - 1
	}
	return out
}

func parts(v []crank.Vec) (x, y []float64) {
	for _, f := range v {
		x, y = append(x, f.X), append(y, f.Y)
	}
	return x, y
}
