package crank

import "math"

// Rod is a connecting rod as a rigid body, cap, bolts and shells with it.
type Rod struct {
	Mass    float64 // kg
	Gravity float64 // distance of the centre of gravity from the big end, m
	Inertia float64 // about the centre of gravity, kg·m²
}

// PointInertia is the inertia that a rod would have as two points of mass in its
// eyes, m a (l − a); real rods have somewhat less. With it the forces are those
// of the two-mass rule, and without it they need no weighing scale at all.
//
// Units:  m -> kg·m².
// Errors: none.
// Source: static equivalence of two masses, any text on dynamics.
func (r Rod) PointInertia(length float64) float64 { return r.Mass * r.Gravity * (length - r.Gravity) }

// Parts are the moving parts of one cylinder.
type Parts struct {
	Piston float64 // piston, pin, locks and rings, kg
	Rod    Rod
	Bore   float64 // m
}

// Mechanism is a slider-crank with its masses.
type Mechanism struct {
	Slider
	parts Parts
	area  float64
}

// NewMechanism puts masses on a slider-crank.
//
// Units:  see Parts.
// Errors: a mass not from 0 to 1000 kg; a centre of gravity that is not between
// the eyes; an inertia not from 0 to m l²; a bore not from 1 mm to 10 m.
func NewMechanism(s Slider, p Parts) (Mechanism, error) {
	for _, c := range []struct {
		what         string
		x, low, high float64
	}{
		{"the mass of the piston in kg", p.Piston, 0, 1000},
		{"the mass of the rod in kg", p.Rod.Mass, 0, 1000},
		{"the rod's centre of gravity from the big end in m", p.Rod.Gravity, 0, s.l},
		{"the rod's inertia in kg·m²", p.Rod.Inertia, 0, p.Rod.Mass * s.l * s.l},
		{"the bore in m", p.Bore, 1e-3, 10},
	} {
		if err := within(c.what, c.x, c.low, c.high); err != nil {
			return Mechanism{}, err
		}
	}
	return Mechanism{s, p, math.Pi / 4 * p.Bore * p.Bore}, nil
}

// Parts are the masses that the mechanism was made from.
func (m Mechanism) Parts() Parts { return m.parts }

// share is what one angle contributes to every load: loads are
// gauge·A times the gas part plus ω² times the inertia part.
type share struct {
	motion
	tan    float64 // lateral part of the gas force
	px, py float64 // inertia, force of the rod on the piston
	bx, by float64 // inertia, force of the crankpin on the rod
}

// share solves piston and rod at one angle. P is the force of the rod on the
// piston, B that of the crankpin on the rod, G the rod's centre of gravity, u
// the direction of the rod, × the turning part of a product:
//
//	P_x = (p − p_k) A + m_p ẍ
//	l (u × P) = −(I β̈ + a m (u × G̈)),  u × P = P_y cos β − P_x sin β
//	B = P + m G̈
func (m Mechanism) share(theta float64) share {
	u := share{motion: m.at(theta)}
	rod := m.parts.Rod
	u.tan = u.s / u.c
	b1b1 := u.b1 * u.b1
	gx := -m.r*u.cos - rod.Gravity*(u.s*u.b2+u.c*b1b1)
	gy := -m.r*u.sin + rod.Gravity*(u.c*u.b2-u.s*b1b1)
	turn := -(rod.Inertia*u.b2 + rod.Gravity*rod.Mass*(u.c*gy-u.s*gx)) / m.l
	u.px = m.parts.Piston * u.x2
	u.py = (turn + u.s*u.px) / u.c
	u.bx = u.px + rod.Mass*gx
	u.by = u.py + rod.Mass*gy
	return u
}

// Forces are the loads of one cylinder at one angle.
type Forces struct {
	Pin    Vec     // gudgeon pin on the small-end bush, cylinder frame, N
	BigEnd Vec     // crankpin on the big-end shell, cylinder frame, N
	Rod    Vec     // the same in the frame of the rod, N
	Thrust float64 // piston on the bore wall, positive towards y, N
	Torque float64 // on the crank, positive with its rotation, N·m
}

// At gives the loads of one cylinder at one angle. For whole cycles see Table.
//
// Shapes: angle, speed, gauge pressure -> forces.
// Units:  rad, rad/s, Pa above the crankcase -> N, N·m.
// Errors: a speed over MostSpeed or a pressure over MostPressure in either
// direction; a number that is not finite.
// Source: Newton and Euler for piston and rod; J. J. Uicker, G. R. Pennock,
// J. E. Shigley, Theory of Machines and Mechanisms, dynamic force analysis (from
// memory, no page). Left out: friction, weight, clearances, elastic parts,
// unsteady speed.
func (m Mechanism) At(theta, omega, gauge float64) (Forces, error) {
	if err := within("the angle in rad", theta, -1e6, 1e6); err != nil {
		return Forces{}, err
	}
	if err := m.asked(omega); err != nil {
		return Forces{}, err
	}
	if err := within("the pressure in Pa", gauge, -MostPressure, MostPressure); err != nil {
		return Forces{}, err
	}
	u, ww, g := m.share(theta), omega*omega, gauge*m.area
	px, py := g+ww*u.px, g*u.tan+ww*u.py
	b := Vec{g + ww*u.bx, g*u.tan + ww*u.by}
	return Forces{
		Pin:    Vec{-px, -py},
		BigEnd: b,
		Rod:    Vec{u.c*b.X + u.s*b.Y, u.c*b.Y - u.s*b.X},
		Thrust: py,
		Torque: m.r * (u.sin*b.X - u.cos*b.Y),
	}, nil
}

func (m Mechanism) asked(omega float64) error {
	if m.area == 0 {
		panic("crank: a Mechanism that NewMechanism did not make")
	}
	return within("the speed in rad/s", omega, -MostSpeed, MostSpeed)
}
