package form

import (
	"fmt"
	"math"
)

// VeeFactor returns how an undulation shows on an indicator over a vee-block:
// total indicator reading over the crest-to-trough height of the undulation.
//
//	k = 1 + cos(n(π/2 + α)) / sin α      total reading = 2c·|k|
//
// Derivation. The vee stands open upward, its flanks at ±α from the vertical,
// 2α the included angle; the indicator points down the bisector. Seen from the
// centre of the part, with angles from the indicator, a flank is perpendicular
// to the direction ±(π/2 + α): for α = π/2 both flanks lie flat below, and for
// α → 0 they close in from the sides.
//
// The profile is r(φ) = R + δ(φ), δ = c cos n(φ + ψ), ψ the angle turned. A
// flank is a tangent, and to first order in c/R it touches at its own
// perpendicular. It stays where it is, so the centre gives way by v = (x, y):
//
//	v·( cos α, −sin α) = −δ(+(π/2 + α))
//	v·(−cos α, −sin α) = −δ(−(π/2 + α))
//
// The sum of both gives the rise y = [δ(π/2 + α) + δ(−π/2 − α)]/(2 sin α), and
// with cos(A + B) + cos(A − B) = 2 cos A cos B
//
//	y = c cos nψ · cos(n(π/2 + α)) / sin α.
//
// The indicator shows δ(0) + y = c cos nψ · k. The sign of k says whether the
// reading is high or low under a crest. k = 0 for n = 1: a vee does not see
// eccentricity. k = 0 elsewhere means that this vee is blind to that order.
//
// Shapes: order, α scalar -> k scalar.
// Units:  α rad, half the included angle of the vee.
// Errors: order < 1; α outside (0, π/2).
// Valid:  c·n² ≪ R, so that the profile stays convex; symmetric vee, indicator
// on the bisector opposite the vee.
// Source: derived above; ISO 4292:1985 tabulates the same factors (from memory).
func VeeFactor(order int, alpha float64) (float64, error) {
	if order < 1 {
		return 0, fmt.Errorf("form: vee-block factor for %d undulations a turn: at least 1 is needed", order)
	}
	if !(alpha > 0 && alpha < math.Pi/2) {
		return 0, fmt.Errorf("form: half angle of the vee is %v rad: it must lie between 0 and π/2", alpha)
	}
	return 1 + math.Cos(float64(order)*(math.Pi/2+alpha))/math.Sin(alpha), nil
}
