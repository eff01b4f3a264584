package texture

import (
	"fmt"
	"math"
)

// Hatch is the lay that a hone leaves in a bore: two sets of scratches that
// cross. Two angles go by the name of cross-hatch angle, and a number without
// its definition is worth nothing.
type Hatch struct {
	// Included is the angle between the two sets, as it opens to the sides,
	// across the circumference: twice FromHorizontal.
	Included float64
	// FromHorizontal is the angle of either set to the circumference, that is to
	// the horizontal of an upright bore (helix angle).
	FromHorizontal float64
}

// AboutAxis is the angle between the two sets as it opens along the bore, the
// supplement of Included. Some drawings have it.
func (h Hatch) AboutAxis() float64 { return math.Pi - h.Included }

// HatchIncluded is a hatch whose included angle was read.
//
// Errors: an angle that is not between 0 and π.
func HatchIncluded(angle float64) (Hatch, error) {
	if !(angle > 0 && angle < math.Pi) {
		return Hatch{}, fmt.Errorf("texture: included cross-hatch angle of %.4g°: between 0 and 180", angle*180/math.Pi)
	}
	return Hatch{angle, angle / 2}, nil
}

// HatchFromHorizontal is a hatch of which the angle to the horizontal was read.
//
// Errors: an angle that is not between 0 and π/2.
func HatchFromHorizontal(angle float64) (Hatch, error) {
	if !(angle > 0 && angle < math.Pi/2) {
		return Hatch{}, fmt.Errorf("texture: cross-hatch angle of %.4g° from the horizontal: between 0 and 90", angle*180/math.Pi)
	}
	return Hatch{2 * angle, angle}, nil
}

// Honing are the settings of a hone.
type Honing struct {
	Bore, Stroke  float64 // diameter, length of one stroke
	DoubleStrokes float64 // up and down together, a second
	Turns         float64 // of the spindle, a second
}

// Speeds are the mean speeds along and around the bore.
//
//	v_a = 2 s n_d     v_t = π d n
//
// Shapes: settings -> two scalars.
// Units:  m, 1/s -> m/s.
// Errors: none; HatchOf refuses what is not positive.
// Source: geometry.
func (h Honing) Speeds() (axial, tangential float64) {
	return 2 * h.Stroke * h.DoubleStrokes, math.Pi * h.Bore * h.Turns
}

// HatchOf returns the cross-hatch that a hone leaves at mean stroke speed. Near
// the ends of the stroke, where the hone turns round, it is flatter.
//
//	tan(angle to the horizontal) = v_a/v_t,   included angle = 2 atan(v_a/v_t)
//
// Shapes: settings -> both angles.
// Units:  m, 1/s -> rad.
// Errors: a setting that is not a positive number.
// Source: common practice, no source.
func HatchOf(h Honing) (Hatch, error) {
	for _, s := range []struct {
		name string
		v    float64
	}{{"bore", h.Bore}, {"stroke", h.Stroke}, {"rate of strokes", h.DoubleStrokes}, {"rate of turns", h.Turns}} {
		if !(s.v > 0) || math.IsInf(s.v, 1) {
			return Hatch{}, fmt.Errorf("texture: %s of a hone is %v: a positive number is needed", s.name, s.v)
		}
	}
	a, t := h.Speeds()
	return HatchFromHorizontal(math.Atan2(a, t))
}
