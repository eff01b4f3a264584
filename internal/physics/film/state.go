package film

import (
	"errors"
	"fmt"
	"math"
)

// State is a journal in its bearing at one moment, without dimensions. In the
// frame that turns with the mean angular speed of journal and sleeve there is
// no wedge: all motion is squeeze, and two numbers say which.
type State struct {
	Ratio float64 // L/D of the land
	Eps   float64 // eccentricity over radial clearance
	Beta  float64 // from the eccentricity to the journal's velocity in that frame, rad
	// Feed is where pressure is held at nought beside the ends of the land.
	Feed Feed
}

// Feed is an inlet of oil in the surface, or none.
type Feed struct {
	// Widest holds a line along the largest gap at nought, as the tables of
	// Raimondi and Boyd do.
	Widest bool
	// From and To bound a groove, angles from the least gap, rad, counted the
	// way of Beta; the same twice for none. It runs from From upwards to To.
	From, To float64
	// Width of that groove over the length of the land.
	Width float64
}

// Groove reports whether a groove runs round a part of the land.
func (f Feed) Groove() bool { return f.To > f.From && f.Width > 0 }

// covers reports whether the groove lies at an angle.
func (f Feed) covers(theta float64) bool {
	if !f.Groove() {
		return false
	}
	a := math.Mod(theta-f.From, 2*math.Pi)
	if a < 0 {
		a += 2 * math.Pi
	}
	return a <= f.To-f.From
}

// Mesh says on how many points the reference is solved.
type Mesh struct {
	Around int // steps around the bearing, 24 to 2000
	Across int // steps from the middle of the land to its end, 2 to 100, even
	// Even spaces the points evenly; otherwise they crowd where the gap is
	// least and at the end of the land.
	Even bool
}

// Fine is the mesh of the maps and of the checks.
func Fine() Mesh { return Mesh{Around: 240, Across: 16} }

// ErrUnsettled says that the edge of the film was not found within the cap of
// solves. It does not happen for states that pass; it is never silent.
var ErrUnsettled = errors.New("film: the edge of the film did not settle")

// mostEps is the greatest eccentricity that the reference takes.
const mostEps = 0.9995

func (s State) check(m Mesh) error {
	f := s.Feed
	switch {
	case !finite(s.Ratio, s.Eps, s.Beta, f.From, f.To, f.Width):
		return errors.New("film: a state is of finite numbers")
	case s.Ratio < 0.01 || s.Ratio > 10:
		return fmt.Errorf("film: length over diameter is %g, expected 0.01 to 10", s.Ratio)
	case s.Eps < 0 || s.Eps > mostEps:
		return fmt.Errorf("film: eccentricity is %g of the clearance, expected 0 to %g", s.Eps, mostEps)
	case math.Abs(s.Beta) > 1000 || math.Abs(f.From) > 1000 || math.Abs(f.To) > 1000:
		return errors.New("film: an angle is beyond 1000 rad")
	case f.Width < 0 || f.Width > 0.95 || f.To-f.From > 2*math.Pi:
		return fmt.Errorf("film: the groove is %g of the land wide over %g rad, expected up to 0.95 and once around", f.Width, f.To-f.From)
	case m.Around < 24 || m.Around > 2000 || m.Across < 2 || m.Across > 100 || m.Across%2 != 0:
		return fmt.Errorf("film: a mesh of %d by %d, expected 24 to 2000 around and an even 2 to 100 across", m.Around, m.Across)
	}
	return nil
}
