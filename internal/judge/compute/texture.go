package compute

import (
	"fmt"
	"math"
	"strconv"

	"fettle/internal/base/unit"
	"fettle/internal/maths/texture"
)

const traceExample = `{"heights": ["0.4 µm", "-0.2 µm", "0.1 µm", "0.3 µm", "-0.9 µm", "0.2 µm", "0.0 µm", "0.3 µm", "-0.1 µm", "-0.4 µm", "0.2 µm", "0.1 µm"]`

// textures are the procedures of surface texture.
func textures() []procedure {
	trace := []field{{name: "heights", extent: aList, dim: unit.Length, need: true, least: 2, what: "heights of the profile, evenly spaced"},
		{name: "step", dim: unit.Length, what: "distance from height to height, with a cutoff"},
		{name: "cutoff", dim: unit.Length, what: "λc; left out, the heights are taken as the roughness profile"},
		{name: "short_cutoff", dim: unit.Length, what: "λs; left out, none"},
		{name: "level", extent: oneWord, words: []string{"no", "yes"}, what: "whether the least-squares line is taken out first"}}
	return []procedure{
		{name: "roughness", source: "iso-21920-2-2021", run: roughness, fields: append(trace,
			field{name: "sampling_lengths", extent: oneWhole, least: 1, most: 1000, what: "equal parts for Rz, Rp and Rv; left out 1, with a cutoff as many as fit"}),
			example: traceExample + `, "sampling_lengths": 2}`},
		{name: "roughness-core", source: "iso-13565-2-1996", run: core, fields: append(trace,
			field{name: "levels", extent: aList, dim: unit.Length, what: "heights of which the material ratio is asked"}),
			example: traceExample + `, "levels": ["0 µm"]}`},
		{name: "texture-setting", source: "iso-4288-1996", run: setting, fields: []field{{name: "ra", dim: unit.Length, need: true, what: "Ra about as expected"}}, example: `{"ra": "0.5 µm"}`},
		{name: "gaussian-transmission", source: "iso-16610-21-2011", run: transmission, fields: []field{{name: "wavelength", dim: unit.Length, need: true, what: "of a sine"},
			{name: "cutoff", dim: unit.Length, need: true, what: "λc"}}, example: `{"wavelength": "0.8 mm", "cutoff": "0.8 mm"}`},
		{name: "cross-hatch", source: "common-practice", run: hatch, fields: []field{
			{name: "included", dim: unit.Angle, what: "angle between the two sets, across the circumference"}, {name: "from_horizontal", dim: unit.Angle, what: "angle of a set to the circumference"},
			{name: "bore", dim: unit.Length, what: "settings of the hone in the place of an angle"}, {name: "stroke", dim: unit.Length, what: "length of one stroke"},
			{name: "double_strokes", dim: unit.Rotation, what: "up and down, a minute; in rpm"}, {name: "spindle", dim: unit.Rotation, what: "turns of the spindle"}},
			example: `{"bore": "84 mm", "stroke": "110 mm", "double_strokes": "60 rpm", "spindle": "120 rpm"}`},
	}
}

// profile is the roughness profile of the heights given; n is how many cutoffs
// it is long, 0 without one.
func (c *call) profile(filter func(texture.Profile, float64, float64) (texture.Profile, error)) (z []float64, n int, err error) {
	p := texture.Profile{Step: c.nums["step"], Z: c.lists["heights"]}
	if c.has("cutoff") != c.has("step") {
		return nil, 0, fmt.Errorf("step and cutoff go together")
	}
	if !c.has("step") {
		p.Step = 1
	}
	if c.texts["level"] == "yes" {
		if p, err = texture.Level(p); err != nil {
			return nil, 0, err
		}
	}
	if !c.has("cutoff") {
		return p.Z, 0, nil
	}
	if per := c.nums["cutoff"] / p.Step; !(per >= 2) || per*float64(len(p.Z)) > 2e8 {
		return nil, 0, fmt.Errorf("a cutoff of two steps or more is expected, and no more than 2·10⁸ over steps and heights")
	}
	if p, err = filter(p, c.nums["cutoff"], c.nums["short_cutoff"]); err != nil {
		return nil, 0, err
	}
	return p.Z, int(math.Floor(p.Length()/c.nums["cutoff"] + 1e-9)), nil
}

func roughness(c *call) error {
	z, n, err := c.profile(texture.Roughness)
	if err != nil {
		return err
	}
	m := max(1, n)
	if c.has("sampling_lengths") {
		m = int(c.nums["sampling_lengths"])
	} else if n > 0 { // whole sampling lengths, from the middle
		per := int(math.Round(c.nums["cutoff"] / c.nums["step"]))
		m = max(1, len(z)/per)
		cut := len(z) - m*min(per, len(z))
		z = z[cut/2 : len(z)-(cut-cut/2)]
	}
	h, err := texture.HeightsOf(z, m)
	if err != nil {
		return err
	}
	for _, f := range []struct {
		name string
		x    float64
	}{{"ra", h.Ra}, {"rq", h.Rq}, {"rp", h.Rp}, {"rv", h.Rv}, {"rz", h.Rz}, {"rzx", h.Rzx}, {"rt", h.Rt}} {
		c.measure(f.name, unit.Length, f.x)
	}
	c.number("rsk", h.Rsk)
	c.number("rku", h.Rku)
	c.whole("sampling_lengths", m)
	c.whole("heights", len(z))
	return nil
}

func core(c *call) error {
	z, _, err := c.profile(texture.PlateauRoughness)
	if err != nil {
		return err
	}
	k, err := texture.CoreOf(z)
	if err != nil {
		return err
	}
	c.measure("rk", unit.Length, k.Rk)
	c.measure("rpk", unit.Length, k.Rpk)
	c.measure("rvk", unit.Length, k.Rvk)
	c.number("mr1", k.Mr1)
	c.number("mr2", k.Mr2)
	var ratios []string
	for _, level := range c.lists["levels"] {
		r, err := texture.MaterialRatio(z, level)
		if err != nil {
			return err
		}
		ratios = append(ratios, strconv.FormatFloat(r, 'g', 12, 64))
	}
	if ratios != nil {
		c.puts("material_ratios", ratios)
	}
	return nil
}

func setting(c *call) error {
	s, err := texture.SettingFor(c.nums["ra"])
	if err == nil {
		c.measure("cutoff", unit.Length, s.Long)
		c.measure("short_cutoff", unit.Length, s.Short)
		c.measure("evaluation", unit.Length, s.Evaluation)
		c.measure("trace", unit.Length, s.Trace)
	}
	return err
}

func transmission(c *call) error {
	if !(c.nums["wavelength"] > 0) || !(c.nums["cutoff"] > 0) {
		return fmt.Errorf("lengths above zero are expected")
	}
	t := texture.Transmission(c.nums["wavelength"], c.nums["cutoff"])
	c.number("mean_line", t)
	c.number("roughness", 1-t)
	return nil
}

func hatch(c *call) error {
	var h texture.Hatch
	var err error
	settings := c.has("bore") && c.has("stroke") && c.has("double_strokes") && c.has("spindle")
	switch {
	case c.has("included") && !c.has("from_horizontal") && !c.has("bore"):
		h, err = texture.HatchIncluded(c.nums["included"])
	case c.has("from_horizontal") && !c.has("included") && !c.has("bore"):
		h, err = texture.HatchFromHorizontal(c.nums["from_horizontal"])
	case settings && !c.has("included") && !c.has("from_horizontal"):
		// Rotation comes in rad/s, the hone's in turns a second.
		o := texture.Honing{Bore: c.nums["bore"], Stroke: c.nums["stroke"], DoubleStrokes: c.nums["double_strokes"] / (2 * math.Pi), Turns: c.nums["spindle"] / (2 * math.Pi)}
		if h, err = texture.HatchOf(o); err == nil {
			axial, around := o.Speeds()
			c.measure("axial_speed", unit.Speed, axial)
			c.measure("tangential_speed", unit.Speed, around)
		}
	default:
		return fmt.Errorf("one angle, or bore, stroke, double_strokes and spindle are expected")
	}
	if err != nil {
		return err
	}
	c.measure("included", unit.Angle, h.Included)
	c.measure("from_horizontal", unit.Angle, h.FromHorizontal)
	c.measure("about_axis", unit.Angle, h.AboutAxis())
	return nil
}
