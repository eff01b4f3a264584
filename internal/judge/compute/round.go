package compute

import (
	"fmt"
	"math"

	"fettle/internal/base/unit"
	"fettle/internal/maths/form"
)

// mostRound bounds the points of fits that look at every pair.
const mostRound = 2000

// circleFields are points of a section, as places or as angles with radii; u is
// the standard uncertainty of each reading, along the radius.
func circleFields() []field {
	return []field{
		{name: "points", extent: aTable, most: mostRound, row: []column{{"x", unit.Length, false}, {"y", unit.Length, false}}, what: "places of the points"},
		{name: "angles", extent: aList, dim: unit.Angle, most: mostRound, what: "directions, in the place of points"},
		{name: "radii", extent: aList, as: "angles", dim: unit.Length, most: mostRound, what: "radius in each direction"},
		{name: "u", dim: unit.Length, what: "standard uncertainty of each radius, independent"},
	}
}

const circleExample = `{"angles": ["0 °", "45 °", "90 °", "135 °", "180 °", "225 °", "270 °", "315 °"], "radii": ["25.004 mm", "24.999 mm", "24.997 mm", "25.001 mm", "25.003 mm", "24.998 mm", "24.996 mm", "25.002 mm"], "u": "0.5 µm"}`

// rounds are the procedures of round features.
func rounds() []procedure {
	circle := func(name string, fit func([]form.Point) (form.Round, error)) procedure {
		return procedure{name: name, source: "iso-12181-2011", fields: circleFields(), example: circleExample,
			run: func(c *call) error { return circle(c, fit) }}
	}
	return []procedure{
		circle("circle-least-squares", form.LeastSquaresCircle),
		circle("circle-minimum-zone", form.MinimumZoneCircle),
		circle("circle-inscribed", form.MaximumInscribedCircle),
		circle("circle-circumscribed", form.MinimumCircumscribedCircle),
		{name: "harmonics", source: "iso-12181-2011", run: harmonics,
			fields: append(turn("radii", unit.Length), field{name: "highest", extent: oneWhole, least: 1, most: 500, need: true, what: "highest order"}),
			example: `{"angles": ["0 °", "45 °", "90 °", "135 °", "180 °", "225 °", "270 °", "315 °"],
 "radii": ["25.004 mm", "24.999 mm", "24.997 mm", "25.001 mm", "25.003 mm", "24.998 mm", "24.996 mm", "25.002 mm"], "highest": 3}`},
		{name: "run-out-split", source: "iso-1101-2017", run: runOut, fields: append(turn("readings", unit.Length), field{name: "u", dim: unit.Length, what: "standard uncertainty of each reading, independent"}),
			example: `{"angles": ["0 °", "60 °", "120 °", "180 °", "240 °", "300 °"], "readings": ["0.020 mm", "0.016 mm", "0.005 mm", "-0.001 mm", "0.004 mm", "0.015 mm"], "unit": "µm"}`},
		{name: "vee-factor", source: "iso-4292-1985", run: vee,
			fields:  []field{{name: "order", extent: oneWhole, least: 1, most: 500, need: true, what: "undulations a turn"}, {name: "included_angle", dim: unit.Angle, need: true, what: "included angle of the vee"}},
			example: `{"order": 3, "included_angle": "90 °"}`},
		{name: "diameter-grid", source: "common-practice", run: grid,
			fields: []field{{name: "diameters", extent: aTable, dim: unit.Length, least: 1, most: 500, need: true, what: "a row for each height, in the same directions"},
				{name: "u", dim: unit.Length, what: "standard uncertainty of each diameter, independent"}},
			example: `{"diameters": [["55.980 mm", "55.978 mm"], ["55.983 mm", "55.979 mm"], ["55.976 mm", "55.975 mm"]], "unit": "µm"}`},
		{name: "cylinder-least-squares", source: "iso-12180-2011", fields: solid(), example: cylinderExample, run: func(c *call) error { return cylinder(c, form.LeastSquaresCylinder) }},
		{name: "cylinder-minimum-zone", source: "iso-12180-2011", fields: solid(), example: cylinderExample, run: func(c *call) error { return cylinder(c, form.MinimumZoneCylinder) }},
		{name: "cone-least-squares", source: "common-practice", fields: solid(), example: cylinderExample, run: func(c *call) error { return cylinder(c, form.LeastSquaresCone) }},
	}
}

const cylinderExample = `{"points": [["40.004 mm", "0 mm", "0 mm"], ["0 mm", "40.001 mm", "0 mm"], ["-39.996 mm", "0 mm", "0 mm"], ["0 mm", "-39.999 mm", "0 mm"],
 ["40.009 mm", "0 mm", "80 mm"], ["0 mm", "40.003 mm", "80 mm"], ["-40.001 mm", "0 mm", "80 mm"], ["0 mm", "-40.002 mm", "80 mm"]]}`

func turn(name string, d unit.Dim) []field {
	return []field{{name: "angles", extent: aList, dim: unit.Angle, need: true, least: 3, what: "directions"},
		{name: name, extent: aList, dim: d, as: "angles", need: true, least: 3, what: "the value in each direction"}}
}

func solid() []field {
	return []field{{name: "points", extent: aTable, least: 4, most: mostRound, need: true, what: "places of the points",
		row: []column{{"x", unit.Length, false}, {"y", unit.Length, false}, {"z", unit.Length, false}}},
		{name: "u", dim: unit.Length, what: "standard uncertainty of each height or radius, independent"}}
}

// section reads the points of a section.
func section(c *call) ([]form.Point, error) {
	if c.has("points") == (c.has("angles") && c.has("radii")) || len(c.lists["angles"]) != len(c.lists["radii"]) {
		return nil, fmt.Errorf("either points or as many angles as radii are expected")
	}
	var pts []form.Point
	for _, p := range c.rows["points"] {
		pts = append(pts, form.Point{X: p[0], Y: p[1]})
	}
	for i, a := range c.lists["angles"] {
		sin, cos := math.Sincos(a)
		pts = append(pts, form.Point{X: c.lists["radii"][i] * cos, Y: c.lists["radii"][i] * sin})
	}
	return pts, nil
}

func circle(c *call, fit func([]form.Point) (form.Round, error)) error {
	pts, err := section(c)
	if err != nil {
		return err
	}
	r, err := fit(pts)
	if err != nil {
		return err
	}
	c.measure("x", unit.Length, r.X)
	c.measure("y", unit.Length, r.Y)
	c.measure("radius", unit.Length, r.R)
	c.measure("inner", unit.Length, r.Inner)
	c.measure("outer", unit.Length, r.Outer)
	if r.RadiusPartials != nil {
		c.doubt("radius_u", unit.Length, r.RadiusPartials)
	}
	c.zone(r.Zone)
	return nil
}

// zone adds the width of a zone and what holds it.
func (c *call) zone(z form.Zone) {
	c.measure("width", unit.Length, z.Width)
	c.doubt("width_u", unit.Length, z.Partials)
	c.places("high", z.High)
	c.places("low", z.Low)
	if z.Tied {
		c.note("compute.note.tied")
	}
}

// doubt adds the standard uncertainty that independent readings of one u give.
//
//	u²(w) = Σ (∂w/∂xᵢ)² u²
func (c *call) doubt(name string, d unit.Dim, partials []float64) {
	if !c.has("u") {
		return
	}
	var s float64
	for _, p := range partials {
		s += p * p
	}
	c.measure(name, d, math.Sqrt(s)*c.nums["u"])
}

func harmonics(c *call) error {
	mean, all, err := form.Harmonics(c.lists["angles"], c.lists["radii"], int(c.nums["highest"]))
	if err != nil {
		return err
	}
	c.measure("mean", unit.Length, mean)
	var amplitude, phase []float64
	for _, h := range all {
		if h.Amplitude < 1e-14*math.Abs(mean) {
			h.Amplitude, h.Phase = 0, 0 // what rounding leaves
		}
		amplitude, phase = append(amplitude, h.Amplitude), append(phase, h.Phase)
	}
	c.measures("amplitudes", unit.Length, amplitude)
	c.measures("crests", unit.Angle, phase)
	return nil
}

func runOut(c *call) error {
	r, err := form.SplitRunOut(c.lists["angles"], c.lists["readings"])
	if err != nil {
		return err
	}
	c.measure("total", unit.Length, r.Total.Width)
	c.doubt("total_u", unit.Length, r.Total.Partials)
	c.measure("eccentricity", unit.Length, r.Eccentricity)
	c.doubt("eccentricity_u", unit.Length, r.EccentricityPartials)
	c.measure("direction", unit.Angle, r.Direction)
	c.measure("form", unit.Length, r.Form.Width)
	c.doubt("form_u", unit.Length, r.Form.Partials)
	return nil
}

func vee(c *call) error {
	order := int(c.nums["order"])
	k, err := form.VeeFactor(order, c.nums["included_angle"]/2)
	if err != nil {
		return err
	}
	c.number("factor", k)
	c.number("two_point_factor", form.TwoPointFactor(order))
	if math.Abs(k) < 1e-9 {
		c.note("compute.note.blind")
	}
	return nil
}

func grid(c *call) error {
	g := form.Grid(c.rows["diameters"])
	if len(g[0]) > 1 {
		o, err := form.OutOfRound(g)
		if err != nil {
			return err
		}
		c.gridZone("out_of_round", o)
		c.whole("out_of_round_at_height", o.Level+1)
		c.note("compute.note.odd-lobes")
	}
	if len(g) > 1 {
		t, err := form.Taper(g)
		if err != nil {
			return err
		}
		c.gridZone("taper", t)
		c.whole("taper_in_direction", t.Direction+1)
	}
	if len(g) < 2 && len(g[0]) < 2 {
		return fmt.Errorf("two diameters at least are expected")
	}
	return nil
}

func (c *call) gridZone(name string, z form.GridZone) {
	c.measure(name, unit.Length, z.Width)
	var all []float64
	for _, row := range z.Partials {
		all = append(all, row...)
	}
	c.doubt(name+"_u", unit.Length, all)
}

func points3(c *call) []form.Point3 {
	var pts []form.Point3
	for _, p := range c.rows["points"] {
		pts = append(pts, form.Point3{X: p[0], Y: p[1], Z: p[2]})
	}
	return pts
}

func cylinder(c *call, fit func([]form.Point3) (form.Cylinder, error)) error {
	y, err := fit(points3(c))
	if err != nil {
		return err
	}
	c.measure("x", unit.Length, y.X)
	c.measure("y", unit.Length, y.Y)
	c.number("slope_x", y.DX)
	c.number("slope_y", y.DY)
	c.measure("radius", unit.Length, y.R)
	c.number("taper", y.Taper)
	c.zone(y.Zone)
	return nil
}
