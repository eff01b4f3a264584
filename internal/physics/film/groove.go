package film

import "math"

// A part groove has no map of its own: a film under the groove is that of two
// lands, one away from it that of the whole, and between the two the mobilities
// are mixed by where the load points. doc/model/film.md has the error of this.

// share is how much of the film lies under the part groove: nought where the
// load points away from it, one where it points into it, and in between over an
// angle that shrinks with the width of the pressure, √(1 - ε).
func (s *Shell) share(fx, fy, ex, ey float64) float64 {
	c := fx*s.gx + fy*s.gy
	room := math.Max(1-math.Sqrt(ex*ex+ey*ey), 1-Beyond)
	half := grooveBlend * math.Sqrt(room)
	x := (c-s.gcos)/half + grooveShift
	switch {
	case x <= -1:
		return 0
	case x >= 1:
		return 1
	}
	return 0.5 + 0.75*x - 0.25*x*x*x
}

// Of the mixing: half its angle at ε = 0, as a cosine, and how far into the
// plain part it is moved, in halves. Fitted to the reference.
const (
	grooveBlend = 1.0
	grooveShift = 0.0
)
