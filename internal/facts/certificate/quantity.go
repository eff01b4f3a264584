package certificate

import (
	"regexp"
	"strings"

	"fettle/internal/base/fault"
	"fettle/internal/base/unit"
)

// units are the names of D-SI for the units that this program has. A kelvin
// stands for a difference of temperature only: a temperature in kelvin is given
// beside one in degrees Celsius or not read at all.
//
// Source: D-SI notation, after the BIPM SI brochure, 9th ed. (2019), names of
// units and prefixes.
var units = map[string]string{
	`\one`: "1", `\percent`: "%",
	`\metre`: "m", `\centi\metre`: "cm", `\milli\metre`: "mm", `\micro\metre`: "µm", `\nano\metre`: "nm",
	`\degreecelsius`: "°C", `\degree`: "°",
	`\kilogram`: "kg", `\kilo\gram`: "kg", `\gram`: "g", `\milli\gram`: "mg",
	`\newton`: "N", `\kilo\newton`: "kN", `\newton\metre`: "N·m",
	`\pascal`: "Pa", `\kilo\pascal`: "kPa", `\mega\pascal`: "MPa", `\bar`: "bar",
	`\second`: "s", `\milli\second`: "ms",
	`\litre`: "l", `\milli\litre`: "ml", `\ohm`: "Ω", `\milli\tesla`: "mT",
}

const kelvin = `\kelvin`

// unitOf finds the unit of a D-SI name; difference says that the quantity is
// one.
func unitOf(name string, difference bool) (string, bool) {
	if name == kelvin && difference {
		return "°C", true
	}
	u, ok := units[name]
	return u, ok
}

// decimal is the form of numbers in D-SI: digits with a point, an exponent
// perhaps.
var decimal = regexp.MustCompile(`^([+-]?)([0-9]*)(?:\.([0-9]*))?(?:[eE]([+-]?[0-9]{1,2}))?$`)

// exact turns a number of D-SI into the plain digits that unit.Parse reads, by
// moving the point in the text. ok is false for what is no number.
func exact(s string) (string, bool) {
	m := decimal.FindStringSubmatch(s)
	if m == nil || m[2]+m[3] == "" {
		return "", false
	}
	whole, part, shift := m[2], m[3], small(m[4])
	for ; shift > 0; shift-- {
		if part == "" {
			part = "0"
		}
		whole, part = whole+part[:1], part[1:]
	}
	for ; shift < 0; shift++ {
		if whole == "" {
			whole = "0"
		}
		whole, part = whole[:len(whole)-1], whole[len(whole)-1:]+part
	}
	// Zeros in front say nothing; those behind the point are digits.
	if whole = strings.TrimLeft(whole, "0"); whole == "" {
		whole = "0"
	}
	if part != "" {
		whole += "." + part
	}
	if m[1] == "-" {
		whole = "-" + whole
	}
	return whole, true
}

// small reads an exponent of at most two digits.
func small(s string) int {
	n := 0
	for _, c := range strings.TrimLeft(s, "+-") {
		n = 10*n + int(c-'0')
	}
	if strings.HasPrefix(s, "-") {
		return -n
	}
	return n
}

// number reads one number in a unit of ours.
func (r *reader) number(at *node, text, unitName string) unit.Quantity {
	switch strings.ToLower(strings.TrimLeft(text, "+-")) {
	case "nan", "inf", "infinity":
		r.bad(at, fault.New(fault.Invalid, "certificate.nan", "found", clip(text)))
		return unit.Quantity{}
	}
	digits, ok := exact(text)
	if !ok {
		r.bad(at, fault.New(fault.Invalid, "certificate.number", "found", clip(text)))
		return unit.Quantity{}
	}
	q, err := unit.Parse(digits, unitName, '.')
	if err != nil {
		for _, f := range fault.All(err) {
			r.bad(at, f)
		}
	}
	return q
}
