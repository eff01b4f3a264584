package revise

import (
	"strings"

	"fettle/internal/base/fault"
	"fettle/internal/base/unit"
	"fettle/internal/know/family"
)

// Bounds are what a limit says of a value.
type Bounds struct {
	Min, Max unit.Quantity
	Must     bool // pass, of a check
}

// Of are the bounds of a limit.
func Of(l *family.Limit) Bounds { return Bounds{l.Min, l.Max, l.Must != ""} }

// String writes bounds as a patch has them: "min 82.995 mm, max 83.025 mm",
// one of the two alone, or "must pass".
func (b Bounds) String() string {
	var out []string
	if b.Must {
		out = append(out, "must pass")
	}
	if !b.Min.IsZero() {
		out = append(out, "min "+b.Min.String())
	}
	if !b.Max.IsZero() {
		out = append(out, "max "+b.Max.String())
	}
	return strings.Join(out, ", ")
}

// bounds reads what String writes, and nothing else.
func bounds(text string) (Bounds, error) {
	var b Bounds
	if text == "must pass" {
		return Bounds{Must: true}, nil
	}
	for _, part := range strings.Split(text, ", ") {
		which, value, _ := strings.Cut(part, " ")
		q, err := exact(value)
		if err != nil {
			return b, err
		}
		switch which {
		case "min":
			b.Min = q
		case "max":
			b.Max = q
		default:
			return b, fault.New(fault.Invalid, "revise.bad-bounds", "found", clip(text))
		}
	}
	if b.String() != text {
		return b, fault.New(fault.Invalid, "revise.bad-bounds", "found", clip(text))
	}
	return b, nil
}

// exact reads a quantity that is written as files write it.
func exact(text string) (unit.Quantity, error) {
	q, err := unit.Parse(text, "", '.')
	if err == nil && q.String() != text {
		err = fault.New(fault.Invalid, "revise.not-plain", "found", clip(text), "expected", q.String())
	}
	return q, err
}
