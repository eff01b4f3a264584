// Package stock is what a shelf and a job both say of parts that are bought:
// which sort a part is of, what is measured of it when it comes in, and what a
// piece must measure to be taken.
package stock

import (
	"strings"

	"fettle/internal/base/unit"
)

// Kind is a kind of part, with what must be measured of every piece before it
// can be used in a job.
type Kind struct {
	ID    string
	Needs []string // measures
	// Goes is the component of a family that a piece becomes a part of.
	Goes string
}

// The measures of a piece.
const (
	Wall      = "wall"
	Thickness = "thickness"
	Diameter  = "diameter"
	Width     = "width"
	Length    = "length"
	Mass      = "mass"
	Load      = "load" // of a spring at its installed height
	Open      = "open" // of a spring at full lift
	Seen      = "seen" // looked over and sound: pass or fail
)

// Kinds lists the kinds of part that a shelf can hold. What is to be measured is
// common practice, no source.
func Kinds() []Kind {
	return []Kind{
		{"shell-main", []string{Wall}, "shell-main"},
		{"shell-pin", []string{Wall}, "shell-pin"},
		{"thrust-washer", []string{Thickness}, "thrust-washer"},
		{"shim", []string{Thickness}, "valvetrain"},
		{"piston", []string{Diameter, Mass}, "piston"},
		{"pin", []string{Diameter, Mass}, "pin"},
		{"ring-set", []string{Width}, "ring"},
		{"rod", []string{Mass}, "rod"},
		{"gasket", []string{Thickness}, "gasket"},
		{"spring", []string{Load, Open}, "spring"},
		{"spring-shim", []string{Thickness}, "spring"},
		{"valve", []string{Diameter}, "valve"},
		{"guide", []string{Diameter}, "guide"},
		{"head-bolt", []string{Length}, "head-bolt"},
		{"rod-bolt", []string{Length}, "rod"},
		{"phaser-bolt", []string{Length}, "phaser-bolt"},
		{"main-stud", []string{Length}, "main-stud"},
		{"chain", []string{Seen}, "chain"},
		{"seal", []string{Seen}, "seal"},
		{"other", []string{Seen}, ""},
	}
}

// Each is how many pieces go into one place at most; 0 is any number.
func (k Kind) Each() int {
	switch k.ID {
	case "rod-bolt", "spring-shim", "thrust-washer", "seal", "other":
		return 0
	}
	return 1
}

// KindOf finds a kind by its id.
func KindOf(id string) (Kind, bool) {
	for _, k := range Kinds() {
		if k.ID == id {
			return k, true
		}
	}
	return Kind{}, false
}

// Measures lists every measure there is.
func Measures() []string {
	return []string{Wall, Thickness, Diameter, Width, Length, Mass, Load, Open, Seen}
}

// Dim is the quantity of a measure; ok is false for a check and for what is no
// measure.
func Dim(measure string) (d unit.Dim, ok bool) {
	switch measure {
	case Wall, Thickness, Diameter, Width, Length:
		return unit.Length, true
	case Mass:
		return unit.Mass, true
	case Load, Open:
		return unit.Force, true
	}
	return d, false
}

// SortV1 says which sort a part is of: two pieces of one sort may stand for one
// another in an order.
type SortV1 struct {
	Kind   string `json:"kind"`
	Family string `json:"family,omitempty"` // none where it fits any
	Class  string `json:"class,omitempty"`  // colour or letter of a size class
	Role   string `json:"role,omitempty"`   // upper or lower half
	Step   string `json:"step,omitempty"`   // over- or undersize, decimal with unit; none for standard
	Size   string `json:"size,omitempty"`   // nominal size it is sold by, decimal with unit
}

// Item names a sort in one word: kind:family:class:role:step:size, without what
// is empty at the end.
func (s SortV1) Item() string {
	clean := func(t string) string { return strings.ReplaceAll(t, " ", "") }
	return strings.TrimRight(strings.Join([]string{s.Kind, s.Family, s.Class, s.Role, clean(s.Step), clean(s.Size)}, ":"), ":")
}

// Sound reports whether a sort says something that can be: a known kind, a role
// that is one, and lengths that are lengths above nought.
func (s SortV1) Sound() bool {
	_, ok := KindOf(s.Kind)
	if !ok || s.Role != "" && s.Role != "upper" && s.Role != "lower" {
		return false
	}
	for _, t := range []string{s.Step, s.Size} {
		if q, ok := LengthOf(t); t != "" && (!ok || q.N <= 0) {
			return false
		}
	}
	return true
}

// LengthOf reads a length with its unit.
func LengthOf(text string) (unit.Quantity, bool) {
	q, err := unit.Parse(text, "", '.')
	return q, err == nil && q.Dim == unit.Length
}

// CriterionV1 is what a piece must measure to be taken: between the limits, one
// of which may be missing. For a check there are none.
type CriterionV1 struct {
	Measure string `json:"measure"`
	Min     string `json:"min,omitempty"` // decimal
	Max     string `json:"max,omitempty"`
	Unit    string `json:"unit,omitempty"`
}

// Limits reads a criterion; ok is false where it cannot be one.
func (c CriterionV1) Limits() (low, high *unit.Quantity, ok bool) {
	d, sized := Dim(c.Measure)
	if !sized {
		return nil, nil, c.Measure == Seen && c.Min == "" && c.Max == ""
	}
	if c.Min == "" && c.Max == "" {
		return nil, nil, false
	}
	read := func(t string) *unit.Quantity {
		if t == "" {
			return nil
		}
		q, err := unit.Parse(t, c.Unit, '.')
		if err != nil || q.Dim != d {
			ok = false
			return nil
		}
		return &q
	}
	ok = true
	low, high = read(c.Min), read(c.Max)
	if ok && low != nil && high != nil && low.N > high.N {
		ok = false
	}
	return low, high, ok
}
