package compute

import (
	"fmt"

	"fettle/internal/base/unit"
	"fettle/internal/maths/form"
)

const faceExample = `{"points": [["0 mm", "0 mm", "0.000 mm"], ["200 mm", "0 mm", "0.030 mm"], ["400 mm", "0 mm", "0.010 mm"],
 ["0 mm", "150 mm", "0.020 mm"], ["200 mm", "150 mm", "0.040 mm"], ["400 mm", "150 mm", "0.015 mm"]], "u": "2 µm", "unit": "µm"}`

// flats are the procedures of faces and lines.
func flats() []procedure {
	profile := []field{{name: "x", extent: aList, dim: unit.Length, need: true, least: 3, what: "places along the line"},
		{name: "z", extent: aList, dim: unit.Length, as: "x", need: true, least: 3, what: "height at each"},
		{name: "u", dim: unit.Length, what: "standard uncertainty of each height, independent"}}
	const profileExample = `{"x": ["0 mm", "100 mm", "200 mm", "300 mm", "400 mm"], "z": ["0.000 mm", "0.012 mm", "0.020 mm", "0.014 mm", "0.004 mm"], "unit": "µm"}`
	plane := func(name string, fit func([]form.Point3) (form.Plane, form.Zone, error)) procedure {
		return procedure{name: name, source: "iso-12781-2011", fields: solid(), example: faceExample, run: func(c *call) error {
			p, z, err := fit(points3(c))
			if err == nil {
				c.plane(p)
				c.zone(z)
			}
			return err
		}}
	}
	line := func(name string, fit func(x, z []float64) (form.Line, form.Zone, error)) procedure {
		return procedure{name: name, source: "iso-12780-2011", fields: profile, example: profileExample, run: func(c *call) error {
			l, z, err := fit(c.lists["x"], c.lists["z"])
			if err == nil {
				c.measure("height", unit.Length, l.Intercept)
				c.number("slope", l.Slope)
				c.zone(z)
			}
			return err
		}}
	}
	return []procedure{
		plane("plane-least-squares", form.LeastSquaresPlane),
		plane("plane-minimum-zone", form.MinimumZonePlane),
		line("line-least-squares", form.LeastSquaresLine),
		line("line-minimum-zone", form.MinimumZoneLine),
		{name: "least-cut", source: geometry, run: leastCut, fields: append(solid(),
			field{name: "tilt", extent: oneWord, words: []string{"minimum-zone", "least-squares", "set"}, what: "how the face is set up to be cut"},
			field{name: "slope_x", dim: unit.Number, what: "of a set tilt; left out 0"},
			field{name: "slope_y", dim: unit.Number, what: "of a set tilt; left out 0"},
			field{name: "thickness", extent: aList, dim: unit.Length, what: "thickness at each point before the cut"},
			field{name: "least_thickness", dim: unit.Length, what: "what must be left"},
			field{name: "allowed", dim: unit.Length, what: "depth of a shallower cut, of which the points missed are asked"}),
			example: `{"points": [["0 mm", "0 mm", "0.000 mm"], ["200 mm", "0 mm", "0.030 mm"], ["400 mm", "0 mm", "0.010 mm"],
 ["0 mm", "150 mm", "0.020 mm"], ["200 mm", "150 mm", "0.040 mm"], ["400 mm", "150 mm", "0.015 mm"]],
 "thickness": ["120.10 mm", "120.12 mm", "120.11 mm", "120.10 mm", "120.13 mm", "120.11 mm"], "least_thickness": "120.00 mm"}`},
	}
}

func (c *call) plane(p form.Plane) {
	c.measure("height", unit.Length, p.A)
	c.number("slope_x", p.B)
	c.number("slope_y", p.C)
}

func leastCut(c *call) error {
	pts := points3(c)
	var cut form.Cut
	var err error
	switch c.texts["tilt"] {
	case "least-squares":
		cut, err = form.CutLeastSquares(pts)
	case "set":
		cut, err = form.CutAlong(pts, form.Plane{B: c.nums["slope_x"], C: c.nums["slope_y"]})
	default:
		cut, err = form.CutMinimumZone(pts)
	}
	if err != nil {
		return err
	}
	c.measure("depth", unit.Length, cut.Depth)
	c.doubt("depth_u", unit.Length, cut.RemovalPartials(cut.High))
	c.places("high", []int{cut.High})
	c.places("low", []int{cut.Low})
	c.measures("removal", unit.Length, cut.Removal)
	c.plane(cut.Plane)
	if cut.Tied {
		c.note("compute.note.tied")
	}
	if c.has("allowed") {
		c.places("missed", cut.Missed(c.nums["allowed"]))
	}
	t := c.lists["thickness"]
	if t == nil {
		return nil
	}
	if len(t) != len(pts) {
		return fmt.Errorf("%d thicknesses for %d points", len(t), len(pts))
	}
	left := make([]float64, len(t))
	for i := range t {
		left[i], _ = cut.Left(i, t[i], c.nums["least_thickness"])
	}
	c.measures("left", unit.Length, left)
	return nil
}
