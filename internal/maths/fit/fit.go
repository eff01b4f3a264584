// Package fit knows limits and fits of the ISO 286 code system and rounds
// decimals by the two rules of ISO 80000-1.
//
// Sizes and results are metres; the tables are whole micrometres, as printed.
// Valid: sizes over 10 mm up to 180 mm, holes H, shafts f g h k p s, grades
// IT5 to IT9. What was checked against which source stands in
// doc/model/form.md.
package fit

import (
	"fmt"
	"math"
	"strconv"
)

// Micrometres is a whole number of micrometres, the unit of the tables.
type Micrometres int

// Metres returns the length in metres.
func (m Micrometres) Metres() float64 { return float64(m) / 1e6 }

// Deviations are the limits of a size, as distances from the nominal.
type Deviations struct{ Upper, Lower Micrometres }

// Class is a tolerance class: the letter of the fundamental deviation (capital
// for holes) and the grade.
type Class struct {
	Letter byte
	Grade  int
}

// String returns the class as written on a drawing.
func (c Class) String() string { return string(c.Letter) + strconv.Itoa(c.Grade) }

// ParseClass reads a class such as "H7" or "k6".
//
// Shapes: text -> class.
// Errors: a letter other than H f g h k p s; a grade outside 5 … 9.
// Source: ISO 286-1:2010, designation of tolerance classes.
func ParseClass(text string) (Class, error) {
	if len(text) != 2 {
		return Class{}, fmt.Errorf("fit: class %q: one letter and one grade such as H7 or k6 are needed", text)
	}
	c := Class{text[0], int(text[1]) - '0'}
	switch c.Letter {
	case 'H', 'f', 'g', 'h', 'k', 'p', 's':
	default:
		return Class{}, fmt.Errorf("fit: class %q: letter %q is not in the tables; holes H and shafts f g h k p s are", text, text[0])
	}
	if c.Grade < 5 || c.Grade > 9 {
		return Class{}, fmt.Errorf("fit: class %q: grade %q is not in the tables; 5 to 9 are", text, text[1])
	}
	return c, nil
}

// Grade returns the standard tolerance of a grade at a size.
//
// A size on the border of two steps belongs to the lower: 50 mm is in the step
// over 30 up to 50.
//
// Shapes: size, grade -> tolerance.
// Units:  size m -> whole µm.
// Errors: size not over 0.010 m up to 0.180 m; grade outside 5 … 9.
// Source: ISO 286-1:2010 Table 1.
func Grade(size float64, it int) (Micrometres, error) {
	step, err := stepOf(size, grades[:])
	if err != nil {
		return 0, err
	}
	if it < 5 || it > 9 {
		return 0, fmt.Errorf("fit: grade IT%d is not in the table; IT5 to IT9 are", it)
	}
	return step.it[it-5], nil
}

// Limits returns the limit deviations of a class at a size.
//
//	H: lower = 0,          upper = IT
//	h: upper = 0,          lower = −IT
//	f, g: upper = −table,  lower = upper − IT
//	k, p, s: lower = +table, upper = lower + IT
//
// The deviation of k in the table holds for grades 4 to 7; for coarser grades
// it is nought.
//
// Shapes: size, class -> deviations.
// Units:  size m -> whole µm.
// Errors: as Grade; as ParseClass.
// Source: ISO 286-1:2010 Tables 1 to 5; ISO 286-2:2010.
func Limits(size float64, class string) (Deviations, error) {
	c, err := ParseClass(class)
	if err != nil {
		return Deviations{}, err
	}
	it, err := Grade(size, c.Grade)
	if err != nil {
		return Deviations{}, err
	}
	step, err := stepOf(size, shafts[:])
	if err != nil {
		return Deviations{}, err
	}
	switch c.Letter {
	case 'H':
		return Deviations{it, 0}, nil
	case 'h':
		return Deviations{0, -it}, nil
	case 'f':
		return Deviations{-step.f, -step.f - it}, nil
	case 'g':
		return Deviations{-step.g, -step.g - it}, nil
	case 'k':
		if c.Grade > 7 {
			return Deviations{it, 0}, nil
		}
		return Deviations{step.k + it, step.k}, nil
	case 'p':
		return Deviations{step.p + it, step.p}, nil
	default: // ParseClass left only s
		return Deviations{step.s + it, step.s}, nil
	}
}

// Clearance is the range of a fit; negative is interference.
type Clearance struct{ Max, Min Micrometres }

// Fit returns the extremes of clearance between a hole and a shaft of one
// nominal size.
//
//	max = upper(hole) − lower(shaft)      min = lower(hole) − upper(shaft)
//
// Shapes: size, hole class, shaft class -> clearance.
// Units:  size m -> whole µm.
// Errors: as Limits; a shaft class for the hole or the reverse.
// Source: ISO 286-1:2010, definitions of clearance and interference.
func Fit(size float64, hole, shaft string) (Clearance, error) {
	h, err := Limits(size, hole)
	if err != nil {
		return Clearance{}, err
	}
	s, err := Limits(size, shaft)
	if err != nil {
		return Clearance{}, err
	}
	if hole[0] != 'H' || shaft[0] == 'H' {
		return Clearance{}, fmt.Errorf("fit: %s/%s: a hole class (capital) over a shaft class (small) is needed", hole, shaft)
	}
	return Clearance{Max: h.Upper - s.Lower, Min: h.Lower - s.Upper}, nil
}

// bounded is a row of a table with its size step.
type bounded interface{ upTo() (over, up int) }

// stepOf finds the row of a size, compared in whole nanometres so that 0.0501
// typed as 50.1 mm falls where it should.
func stepOf[R bounded](size float64, rows []R) (R, error) {
	var none R
	if !math.IsNaN(size) && math.Abs(size) < 1 {
		nm := int(math.Round(size * 1e9))
		for _, r := range rows {
			if over, up := r.upTo(); nm > over*1e6 && nm <= up*1e6 {
				return r, nil
			}
		}
	}
	return none, fmt.Errorf("fit: size %g m is outside the tables: over 0.010 m up to 0.180 m is needed", size)
}
