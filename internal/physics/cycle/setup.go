// Package cycle is one cylinder of a four-stroke petrol engine over 720°: one
// zone of uniform pressure and temperature, fresh and burnt gas of variable heat
// capacity, a burn of Wiebe's form, heat to the walls after Woschni, and flow
// through the valves between plenums of constant pressure.
//
// There is no wave tuning in it: lengths and diameters of pipes are unknown here
// and change nothing. What was checked against which source stands in
// doc/model/cycle.md.
//
// Angles are of the crank, rad, from firing top dead centre. The gas exchange
// lies from 0 to 4π; the burn begins a little before 0.
package cycle

import (
	"fmt"
	"math"
)

// Setup is one cylinder and how it is run.
type Setup struct {
	// Volume is the volume above the piston at an angle and its slope, m³ and
	// m³/rad; it repeats after a turn. The room of the crank has one.
	Volume func(angle float64) (volume, slope float64)
	Bore   float64 // m
	Stroke float64 // m, for the mean piston speed
	Speed  float64 // of the crank, rad/s

	Inlet, Exhaust Valves

	Pressure    float64 // before the inlet valves, absolute, Pa: boost is in it
	Temperature float64 // of the charge there, K
	Back        float64 // behind the exhaust valves, absolute, Pa

	Fuel   Fuel
	Lambda float64
	Burn   Burn
	Walls  Walls
	Heat   Woschni // the form of the correlation; nought is Woschni53
}

// Valves are those of one side of a cylinder.
type Valves struct {
	Count     int
	Diameter  float64 // of the seat, m
	Discharge float64 // coefficient, of the curtain's area
	Opens     float64 // angle at which lift begins, 0 to 4π
	Closes    float64 // angle at which it ends, after it
	// Lift is the lift at an angle between, m; it is read there only, and below
	// nought is nought.
	Lift func(angle float64) float64
}

// Burn is the share that has burnt, after Wiebe.
type Burn struct {
	Start    float64 // before the firing top: how far, rad
	Duration float64 // rad
	A, M     float64 // form; nought are 6.908 (99.9 % at the end) and 2
}

// Walls are the mean temperatures of the walls, K, and the area of the head.
type Walls struct {
	Piston, Head, Liner float64
	HeadArea            float64 // of the chamber in bores; nought is 1.2, common practice, no source
	Adiabatic           bool    // no heat to the walls: for limits that have a closed answer
}

// check refuses what no engine can be.
func (s *Setup) check() error {
	if s.Volume == nil {
		return fmt.Errorf("cycle: the volume as a function of the angle is missing")
	}
	for _, c := range []struct {
		what         string
		x, low, high float64
	}{
		{"the bore in m", s.Bore, 1e-3, 10}, {"the stroke in m", s.Stroke, 1e-3, 20}, {"the speed in rad/s", s.Speed, 20, 3000},
		{"the charge's pressure in Pa", s.Pressure, 1e4, 1e6}, {"the charge's temperature in K", s.Temperature, 220, 500},
		{"the pressure behind the exhaust in Pa", s.Back, 3e4, 1e6},
		{"the start of the burn before top in rad", s.Burn.Start, -1.5, 1.5}, {"the duration of the burn in rad", s.Burn.Duration, 0.01, 3},
		{"a of the burn", s.Burn.A, 1, 20}, {"m of the burn", s.Burn.M, 0.5, 10},
		{"the piston's wall temperature in K", s.Walls.Piston, 250, 900}, {"the head's wall temperature in K", s.Walls.Head, 250, 900},
		{"the liner's wall temperature in K", s.Walls.Liner, 250, 900}, {"the head's area in bores", s.Walls.HeadArea, 0.5, 5},
	} {
		if err := within(c.what, c.x, c.low, c.high); err != nil {
			return err
		}
	}
	if s.Heat != Woschni53 && s.Heat != Woschni55 {
		return fmt.Errorf("cycle: Woschni's form with T^−%g is not known; 0.53 and 0.55 are", float64(s.Heat))
	}
	for _, v := range []struct {
		what string
		v    *Valves
	}{{"inlet", &s.Inlet}, {"exhaust", &s.Exhaust}} {
		if err := v.v.check(v.what, s.Bore); err != nil {
			return err
		}
	}
	in, ex := &s.Inlet, &s.Exhaust
	if !(ex.Opens < in.Opens && ex.Closes < in.Closes && in.Closes-4*math.Pi < -s.Burn.Start-0.05 && -s.Burn.Start < ex.Opens) {
		return fmt.Errorf("cycle: events in the order exhaust opens %.0f°, inlet opens %.0f°, exhaust closes %.0f°, inlet closes %.0f°, burn %.0f° before top; each side must open and close in turn and the burn begin between inlet closing and exhaust opening",
			ex.Opens*180/math.Pi, in.Opens*180/math.Pi, ex.Closes*180/math.Pi, in.Closes*180/math.Pi, s.Burn.Start*180/math.Pi)
	}
	return nil
}

func (v *Valves) check(what string, bore float64) error {
	if v.Count < 1 || v.Count > 8 {
		return fmt.Errorf("cycle: %d %s valves; 1 to 8 are taken", v.Count, what)
	}
	if v.Lift == nil {
		return fmt.Errorf("cycle: the lift of the %s valves is missing", what)
	}
	for _, err := range []error{within("the "+what+" valve's diameter in m", v.Diameter, 1e-3, bore), within("the "+what+" valve's discharge coefficient", v.Discharge, 0.05, 1),
		within("the "+what+" valve's opening in rad", v.Opens, 0, 4*math.Pi), within("the "+what+" valve's closing in rad", v.Closes, v.Opens+0.2, 4*math.Pi)} {
		if err != nil {
			return err
		}
	}
	return nil
}

// filled puts the usual in for what was left at nought.
func (s Setup) filled() Setup {
	if s.Burn.A == 0 {
		s.Burn.A = 6.908
	}
	if s.Burn.M == 0 {
		s.Burn.M = 2
	}
	if s.Walls.HeadArea == 0 {
		s.Walls.HeadArea = 1.2
	}
	if s.Heat == 0 {
		s.Heat = Woschni53
	}
	return s
}

// Lobe is the lift of a lobe of which only timing and lift are known: smooth, its
// acceleration without jumps at the ends.
//
//	L = L₀ sin³(π (θ − θ_o)/(θ_c − θ_o))
//
// Units:  rad, rad, m -> m at rad.
// Errors: none; Setup refuses timing that cannot be.
// Source: own form, no source. It is slimmer than a modern lobe; a measured
// table is better.
func Lobe(opens, closes, most float64) func(float64) float64 {
	return func(angle float64) float64 {
		if angle <= opens || angle >= closes {
			return 0
		}
		s := math.Sin(math.Pi * (angle - opens) / (closes - opens))
		return most * s * s * s
	}
}

// LiftTable reads a measured lift between its points by cubics of Hermite's form
// with slopes from neighbours, and is nought outside.
//
// Shapes: angles rising, as many lifts, at least four.
// Units:  rad, m.
// Errors: fewer than four points, another number of lifts, angles that do not
// rise or do not lie in 0 to 4π, lifts not from −1 to 50 mm.
// Source: interpolation; see a text on numerical analysis.
func LiftTable(angles, lifts []float64) (func(float64) float64, error) {
	if len(angles) < 4 || len(angles) != len(lifts) {
		return nil, fmt.Errorf("cycle: a lift table of %d angles and %d lifts; as many of each are needed, at least 4", len(angles), len(lifts))
	}
	for i := range angles {
		if err := within(fmt.Sprintf("angle %d of the lift table in rad", i+1), angles[i], 0, 4*math.Pi); err != nil {
			return nil, err
		}
		if err := within(fmt.Sprintf("lift %d of the table in m", i+1), lifts[i], -1e-3, 0.05); err != nil {
			return nil, err
		}
		if i > 0 && angles[i]-angles[i-1] < 1e-6 {
			return nil, fmt.Errorf("cycle: angle %d of the lift table is not beyond the one before", i+1)
		}
	}
	a, l := append([]float64(nil), angles...), append([]float64(nil), lifts...)
	return func(x float64) float64 {
		if !(x > a[0] && x < a[len(a)-1]) {
			return 0
		}
		lo, hi := 0, len(a)-1
		for hi-lo > 1 {
			if mid := (lo + hi) / 2; a[mid] <= x {
				lo = mid
			} else {
				hi = mid
			}
		}
		slope := func(i int) float64 {
			if i == 0 || i == len(a)-1 {
				return 0
			}
			return (l[i+1] - l[i-1]) / (a[i+1] - a[i-1])
		}
		h := a[hi] - a[lo]
		return math.Max(0, hermite((x-a[lo])/h, l[lo], l[hi], slope(lo)*h, slope(hi)*h))
	}, nil
}

// hermite is the cubic with two values and two slopes over a unit step.
func hermite(q, y0, y1, d0, d1 float64) float64 {
	return y0 + q*(d0+q*(3*(y1-y0)-2*d0-d1+q*(d0+d1-2*(y1-y0))))
}
