package crank

import (
	"fmt"
	"math"
)

// Slider is the geometry of one throw, rod and gudgeon pin.
type Slider struct {
	r, l, e float64
	top     float64 // distance of the pin from the crank's axis at top dead centre
}

// slant is the most that (r + |e|)/l may be: the sine of the rod's largest
// angle. Rods of engines keep to 0.2 to 0.4.
const slant = 0.95

// NewSlider makes the geometry of one cylinder.
//
// Units:  all m.
// Errors: a radius not from 0.1 mm to 10 m; a rod not longer than (r + |e|)/0.95;
// an offset as large as that; a number that is not finite.
func NewSlider(radius, rod, offset float64) (Slider, error) {
	if err := within("the throw's radius in m", radius, 1e-4, 10); err != nil {
		return Slider{}, err
	}
	if err := within("the rod's length in m", rod, 1e-4, 100); err != nil {
		return Slider{}, err
	}
	if !(radius+math.Abs(offset) <= slant*rod) {
		return Slider{}, fmt.Errorf("crank: a rod of %g m with a throw of %g m and a pin offset of %g m; throw and offset together must be at most %g of the rod",
			rod, radius, offset, slant)
	}
	return Slider{r: radius, l: rod, e: offset, top: reach(radius+rod, offset)}, nil
}

// reach is √(a² − e²), without loss where e is near a.
func reach(a, e float64) float64 { return math.Sqrt((a - e) * (a + e)) }

// Radius, Rod and Offset are what the geometry was made from, m.
func (s Slider) Radius() float64 { return s.r }

// Rod is the length of the rod, m.
func (s Slider) Rod() float64 { return s.l }

// Offset is that of the pin, m.
func (s Slider) Offset() float64 { return s.e }

// Stroke is the way of the pin between its dead centres; with an offset it is
// more than twice the radius.
//
//	S = √((l+r)² − e²) − √((l−r)² − e²)
//
// Units:  m.
// Errors: none.
// Source: geometry of the two straight positions.
func (s Slider) Stroke() float64 { return s.top - reach(s.l-s.r, s.e) }

// TopAngle is the angle at which the pin stands highest, 0 without offset.
//
//	sin θ = e/(l + r)
//
// Units:  rad.
// Errors: none.
func (s Slider) TopAngle() float64 { return math.Asin(s.e / (s.l + s.r)) }

// BottomAngle is the angle at which the pin stands lowest, π without offset.
//
//	sin(θ − π) = e/(l − r)
//
// Units:  rad.
// Errors: none.
func (s Slider) BottomAngle() float64 { return math.Pi + math.Asin(s.e/(s.l-s.r)) }

// motion is everything at one angle, derivatives by θ.
type motion struct {
	sin, cos  float64 // of θ
	s, c      float64 // of β
	b1, b2    float64 // β′, β″
	x, x1, x2 float64 // pin above the crank's axis
}

// at is the closed form, differentiated.
//
//	sin β = (e − r sin θ)/l
//	β′ = −(r/l) cos θ/cos β
//	β″ = ((r/l) sin θ + β′² sin β)/cos β
//	x  = r cos θ + l cos β
//	x′ = −r sin θ − l β′ sin β
//	x″ = −r cos θ − l (β′² cos β + β″ sin β)
func (s Slider) at(theta float64) motion {
	var m motion
	m.sin, m.cos = math.Sincos(theta)
	m.s = (s.e - s.r*m.sin) / s.l
	m.c = math.Sqrt((1 - m.s) * (1 + m.s))
	k := s.r / s.l
	m.b1 = -k * m.cos / m.c
	m.b2 = (k*m.sin + m.b1*m.b1*m.s) / m.c
	m.x = s.r*m.cos + s.l*m.c
	m.x1 = -s.r*m.sin - s.l*m.b1*m.s
	m.x2 = -s.r*m.cos - s.l*(m.b1*m.b1*m.c+m.b2*m.s)
	return m
}

// Drop is how far the piston stands below its top dead centre.
//
//	√((l+r)² − e²) − r cos θ − √(l² − (e − r sin θ)²)
//
// Shapes: one angle -> one length.
// Units:  rad -> m.
// Errors: none; NaN or infinite angles are refused where they enter a table.
// Source: geometry; checked against finite differences and a printed example.
func (s Slider) Drop(theta float64) float64 {
	sin, cos := math.Sincos(theta)
	return s.top - s.r*cos - reach(s.l, s.e-s.r*sin)
}

// Speed is that of the piston, positive away from top dead centre.
//
//	−ω x′ = ω (r sin θ + l β′ sin β)
//
// Units:  rad, rad/s -> m/s.
// Errors: none.
// Source: derivative of Drop.
func (s Slider) Speed(theta, omega float64) float64 { return -omega * s.at(theta).x1 }

// Acceleration is that of the piston, positive towards the crank, as it is just
// past top dead centre.
//
//	−ω² x″; without offset r ω² (1 + r/l) at the top, −r ω² (1 − r/l) at the bottom
//
// Units:  rad, rad/s -> m/s².
// Errors: none.
// Source: second derivative of Drop. Textbooks print r ω² (cos θ + (r/l) cos 2θ),
// the first two terms of its series; at r/l = 0.3 they are up to 1.1 % of the peak off.
func (s Slider) Acceleration(theta, omega float64) float64 { return -omega * omega * s.at(theta).x2 }

// RodAngle is β with its first and second derivative in time at constant speed.
//
// Units:  rad, rad/s -> rad, rad/s, rad/s².
// Errors: none.
func (s Slider) RodAngle(theta, omega float64) (beta, rate, acceleration float64) {
	m := s.at(theta)
	return math.Asin(m.s), omega * m.b1, omega * omega * m.b2
}

// MeanSpin is the mean angular speed of crankpin and rod seen from the rod,
// which carries the film of the big end about in a mobility orbit.
//
//	(ω − dβ/dt)/2
//
// Units:  rad, rad/s -> rad/s.
// Errors: none.
// Source: J. F. Booker, J. Basic Eng. 87 (1965) 537-546: mean of journal and
// sleeve in the frame in which the load is given.
func (s Slider) MeanSpin(theta, omega float64) float64 { return omega * (1 - s.at(theta).b1) / 2 }

// MeanSpeed is the mean speed of the piston, two strokes a turn.
//
//	2 S n = S ω/π
//
// Units:  rad/s -> m/s.
// Errors: none.
func (s Slider) MeanSpeed(omega float64) float64 { return s.Stroke() * omega / math.Pi }
