package compute

import (
	"math"
	"regexp"
	"strconv"
	"strings"

	"fettle/internal/base/fault"
	"fettle/internal/base/unit"
)

// powers are the exponents of metre, kilogram, second, kelvin, ampere, and of
// the scale of hardness, which is a dimension of its own. Angles have none.
type powers [6]float64

func (p powers) times(q powers, n float64) powers {
	for i := range p {
		p[i] += n * q[i]
	}
	return p
}

func (p powers) same(q powers) bool {
	for i := range p {
		if math.Abs(p[i]-q[i]) > 1e-9 {
			return false
		}
	}
	return true
}

func powersOf(d unit.Dim) powers {
	switch d {
	case unit.Length:
		return powers{1}
	case unit.Area:
		return powers{2}
	case unit.Volume:
		return powers{3}
	case unit.Temperature:
		return powers{3: 1}
	case unit.Mass:
		return powers{1: 1}
	case unit.Force:
		return powers{1, 1, -2}
	case unit.Torque:
		return powers{2, 1, -2}
	case unit.Pressure:
		return powers{-1, 1, -2}
	case unit.Time:
		return powers{2: 1}
	case unit.Speed:
		return powers{1, 0, -1}
	case unit.Rotation:
		return powers{2: -1}
	case unit.Expansion:
		return powers{3: -1}
	case unit.Rate:
		return powers{0, 1, -2}
	case unit.Flow:
		return powers{3, 0, -1}
	case unit.Resistance:
		return powers{2, 1, -3, 0, -2}
	case unit.FluxDensity:
		return powers{0, 1, -2, 0, -1}
	case unit.Hardness:
		return powers{5: 1}
	case unit.Density:
		return powers{-3, 1}
	case unit.Viscosity:
		return powers{-1, 1, -1}
	case unit.Kinematic:
		return powers{2, 0, -1}
	}
	return powers{}
}

// scale is a unit: one of the closed list, with its kind, or a product of such,
// without.
type scale struct {
	name   string
	factor float64 // formula units in one
	kind   unit.Dim
	powers powers
}

// amount is a value with its unit.
type amount struct {
	si float64
	scale
}

// further are units that only products of units are made of.
func further() []scale {
	return []scale{{"K", 1, unit.None, powers{3: 1}}, {"rad", 1, unit.Angle, powers{}}, {"mrad", 1e-3, unit.Angle, powers{}},
		{"V", 1, unit.None, powers{2, 1, -3, 0, -1}}, {"mV", 1e-3, unit.None, powers{2, 1, -3, 0, -1}},
		{"A", 1, unit.None, powers{4: 1}}, {"mA", 1e-3, unit.None, powers{4: 1}},
		{"J", 1, unit.None, powers{2, 1, -2}}, {"W", 1, unit.None, powers{2, 1, -3}}}
}

// scaleOf reads a unit: a name of the closed list, or names with powers joined
// by · and /, such as mm/K, N/mm² or mm^0.5.
func scaleOf(text string) (scale, bool) {
	if d, name, ok := unit.Of(text); ok {
		return scale{name, unit.ToSI(1, name), d, powersOf(d)}, true
	}
	for _, c := range further() {
		if c.name == text {
			return c, true
		}
	}
	out, sign := scale{name: text, factor: 1}, 1.0
	for rest := text; ; {
		s, n, ok := symbol(rest)
		if !ok {
			return scale{}, false
		}
		rest = rest[n:]
		e := 1.0
		if m := exponent.FindString(rest); m != "" {
			if e, ok = exponentOf(m); !ok {
				return scale{}, false
			}
			rest = rest[len(m):]
		}
		out.factor *= math.Pow(s.factor, sign*e)
		out.powers = out.powers.times(s.powers, sign*e)
		switch {
		case rest == "":
			return out, len(text) <= 40 && out.factor > 0 && !math.IsInf(out.factor, 1)
		case strings.HasPrefix(rest, "·"):
			rest, sign = rest[len("·"):], 1
		case rest[0] == '*':
			rest, sign = rest[1:], 1
		case rest[0] == '/':
			rest, sign = rest[1:], -1
		default:
			return scale{}, false
		}
	}
}

var exponent = regexp.MustCompile(`^(\^-?[0-9]+(\.[0-9]+)?|⁻?[¹²³⁴])`)

func exponentOf(text string) (float64, bool) {
	text = strings.NewReplacer("^", "", "⁻", "-", "¹", "1", "²", "2", "³", "3", "⁴", "4").Replace(text)
	e, err := strconv.ParseFloat(text, 64)
	return e, err == nil && math.Abs(e) <= 12
}

// symbol is the longest unit name at the head of a text that ends there.
func symbol(text string) (s scale, n int, ok bool) {
	try := func(c scale) {
		rest, has := strings.CutPrefix(text, c.name)
		if has && len(c.name) > n && (rest == "" || strings.HasPrefix(rest, "·") || strings.IndexByte("*/^", rest[0]) >= 0 || exponent.MatchString(rest)) {
			s, n, ok = c, len(c.name), true
		}
	}
	for _, d := range append([]string{"number"}, unit.DimNames()...) {
		kind, _ := unit.DimOf(d)
		for _, name := range unit.Names(kind) {
			try(scale{name, unit.ToSI(1, name), kind, powersOf(kind)})
		}
	}
	for _, c := range further() {
		try(c)
	}
	return s, n, ok
}

var decimal = regexp.MustCompile(`^[+-]?[0-9]{1,30}(\.[0-9]{1,30})?$`)

// amountOf reads a value: a decimal number, a space and a unit; a number alone
// has the unit lone, "" where it must have its own. What has more digits than a
// reading can have is taken as it is.
func amountOf(text, lone string) (amount, error) {
	text = strings.ReplaceAll(strings.TrimSpace(text), "−", "-")
	number, name, _ := strings.Cut(text, " ")
	if name = strings.TrimSpace(name); name == "" {
		name = lone
	}
	q, err := unit.Parse(text, lone, '.')
	if err == nil {
		s, _ := scaleOf(q.Unit)
		return amount{q.SI(), s}, nil
	}
	s, ok := scaleOf(name)
	if !ok || !decimal.MatchString(number) {
		return amount{}, err
	}
	x, perr := strconv.ParseFloat(number, 64)
	if perr != nil || math.IsInf(x*s.factor, 0) {
		return amount{}, fault.New(fault.Invalid, "unit.too-large", "text", number, "unit", name)
	}
	return amount{x * s.factor, s}, nil
}

// write gives a value in a unit, twelve significant digits, such that amountOf
// can read it.
func (s scale) write(si float64) string { return plainDigits(si/s.factor) + " " + s.name }

// digitsOf is a pure number with twelve significant digits.
func digitsOf(x float64) string {
	if math.IsInf(x, 1) {
		return "∞"
	}
	return strconv.FormatFloat(x+0, 'g', 12, 64)
}

func plainDigits(x float64) string {
	s := digitsOf(x)
	if strings.ContainsAny(s, "eE") {
		y, _ := strconv.ParseFloat(s, 64)
		s = strconv.FormatFloat(y, 'f', -1, 64)
	}
	if point := strings.IndexByte(s, '.'); len(s) > 32 && point >= 0 && point < 32 {
		s = s[:32]
	}
	if strings.Trim(s, "-0.") == "" {
		return "0"
	}
	return s
}

// Short is a written figure with five significant digits, for people.
func Short(figure string) string {
	number, name, _ := strings.Cut(figure, " ")
	x, err := strconv.ParseFloat(number, 64)
	if err != nil {
		return figure
	}
	short := strconv.FormatFloat(x, 'g', 5, 64)
	if y, _ := strconv.ParseFloat(short, 64); math.Abs(y) >= 1e-4 && math.Abs(y) < 1e15 {
		short = strconv.FormatFloat(y, 'f', -1, 64)
	}
	return strings.TrimSpace(short + " " + name)
}
