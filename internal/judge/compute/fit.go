package compute

import (
	"fmt"
	"strings"

	"fettle/internal/base/unit"
	"fettle/internal/maths/fit"
)

// fits are the procedures of limits, fits and rounding.
func fits() []procedure {
	size := field{name: "size", dim: unit.Length, need: true, what: "nominal size, over 10 mm up to 180 mm"}
	return []procedure{
		{name: "limits-of-size", source: "iso-286-2010", run: limitsOfSize, fields: []field{size, {name: "class", extent: oneText, need: true, what: "such as H7 or g6"}},
			example: `{"size": "50 mm", "class": "g6"}`},
		{name: "fit", source: "iso-286-2010", run: fitOf, fields: []field{size, {name: "hole", extent: oneText, need: true, what: "class of the hole"},
			{name: "shaft", extent: oneText, need: true, what: "class of the shaft"}}, example: `{"size": "50 mm", "hole": "H7", "shaft": "g6"}`},
		{name: "round", source: "iso-80000-1", run: roundTo, fields: []field{{name: "value", extent: oneText, need: true, what: "a decimal number, its unit where multiple has one"},
			{name: "multiple", extent: oneText, need: true, what: "the rounding range"}, {name: "rule", extent: oneWord, words: []string{"even", "larger"}, what: "where a tie goes: rule A or rule B"}},
			example: `{"value": "12.25 mm", "multiple": "0.1 mm", "rule": "even"}`},
	}
}

func limitsOfSize(c *call) error {
	d, err := fit.Limits(c.nums["size"], c.texts["class"])
	if err != nil {
		return err
	}
	c.deviation("upper", d.Upper)
	c.deviation("lower", d.Lower)
	c.measure("largest", unit.Length, c.nums["size"]+d.Upper.Metres())
	c.measure("smallest", unit.Length, c.nums["size"]+d.Lower.Metres())
	return nil
}

// deviation is a whole number of micrometres, unless another unit is asked for.
func (c *call) deviation(name string, m fit.Micrometres) {
	s, _ := scaleOf("µm")
	c.scaled(name, c.unitOf(s), m.Metres())
}

func fitOf(c *call) error {
	f, err := fit.Fit(c.nums["size"], c.texts["hole"], c.texts["shaft"])
	if err != nil {
		return err
	}
	c.deviation("max_clearance", f.Max)
	c.deviation("min_clearance", f.Min)
	kind := "transition"
	switch {
	case f.Min >= 0:
		kind = "clearance"
	case f.Max <= 0:
		kind = "interference"
	}
	c.put("kind", kind)
	return nil
}

func roundTo(c *call) error {
	value, unitOfValue, _ := strings.Cut(strings.TrimSpace(c.texts["value"]), " ")
	multiple, unitOfMultiple, _ := strings.Cut(strings.TrimSpace(c.texts["multiple"]), " ")
	if unitOfValue != unitOfMultiple {
		return fmt.Errorf("value is in %q, multiple in %q; the same unit is expected", unitOfValue, unitOfMultiple)
	}
	if unitOfValue != "" {
		s, ok := scaleOf(unitOfValue)
		if !ok {
			return fmt.Errorf("%q is no known unit", unitOfValue)
		}
		unitOfValue = " " + s.name
	}
	r := fit.EvenMultiple
	if c.texts["rule"] == "larger" {
		r = fit.LargerMultiple
	}
	v, err := fit.Round(value, multiple, r)
	if err == nil {
		c.put("rounded", v+unitOfValue)
	}
	return err
}
