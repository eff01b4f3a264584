// Package crank is the slider-crank with an offset pin, the rod as a rigid
// body, and the loads that pistons, rods and throws put on their bearings over
// the 720° of a four-stroke cycle. What was checked against which source, and
// what is left out, stands in doc/model/crank.md.
//
// Notation, the same in every file:
//
//	θ  angle of the throw past its top, the axis of the cylinder; positive in
//	   the sense of rotation, constant speed ω = dθ/dt
//	r  radius of the throw, l length of the rod between its eyes
//	e  offset of the gudgeon pin's path, positive towards the side to which the
//	   throw moves at its top
//	β  angle of the rod, from big end to small end against the axis of the
//	   cylinder, positive in the sense of rotation: sin β = (e − r sin θ)/l
//	a  distance of the rod's centre of gravity from the big end
//
// Frames. Cylinder: x along the axis away from the crank, y a quarter turn on
// in the sense of rotation. Rod: x from big end to small end, y likewise. Block:
// as the cylinder frame of bank angle zero. All are seen from the end from which
// the crank turns from x towards y.
//
// A bearing load is the force of the journal on its shell; under it the journal
// moves in its own direction, which is what an oil film model wants. The big
// end's journal is the crankpin, its shell sits in the rod; the main's journal
// belongs to the crank, its shell to the block; the small end's journal is the
// gudgeon pin, its bush sits in the rod.
package crank

import (
	"fmt"
	"math"
)

// Vec is a force or another vector of the plane of a throw.
type Vec struct{ X, Y float64 }

// Plus is the sum of two vectors.
func (v Vec) Plus(w Vec) Vec { return Vec{v.X + w.X, v.Y + w.Y} }

// Times is a vector times a number.
func (v Vec) Times(k float64) Vec { return Vec{k * v.X, k * v.Y} }

// Length is the length of a vector.
func (v Vec) Length() float64 { return math.Hypot(v.X, v.Y) }

// Turned is the vector turned by an angle in the sense of rotation. What is
// known in a frame that stands at an angle is Turned(angle) in the frame below.
//
// Units: angle rad.
func (v Vec) Turned(angle float64) Vec {
	s, c := math.Sincos(angle)
	return Vec{c*v.X - s*v.Y, s*v.X + c*v.Y}
}

// within refuses a number that is not in a range, with what and which range.
func within(what string, x, low, high float64) error {
	if x >= low && x <= high { // false for NaN
		return nil
	}
	return fmt.Errorf("crank: %s is %g; it must be from %g to %g", what, x, low, high)
}

// MostSpeed is the highest speed that is taken, rad/s: 95,000 rpm.
const MostSpeed = 1e4

// MostPressure is the highest pressure that is taken, Pa.
const MostPressure = 1e9
