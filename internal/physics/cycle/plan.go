package cycle

import (
	"fmt"
	"math"
	"slices"
)

// station is what geometry, timing and burn give at an angle, whatever the gas.
type station struct {
	v, dv    float64 // volume and slope
	in, ex   float64 // flow areas with the discharge in them
	burn     float64 // dx/dθ of Wiebe's law
	wall     float64 // Σ area of the walls
	wallT    float64 // Σ area · temperature
	motored  float64 // (V_r/V)^1.3
	band, hc float64 // see linear; C₁ of the speed in Woschni's law times the piston's
}

// step leads from one station to the next over a middle one.
type step struct {
	at, h  float64
	closed bool // Woschni's constants for shut valves
	fired  bool // and after ignition
}

// plan is a cycle ready to be run: from inlet closing to inlet closing.
type plan struct {
	set          Setup
	fresh, burnt Gas
	steps        []step
	stations     []station // three a step: begin, middle, end
	vr, swept    float64   // volume at inlet closing; swept
	hc           float64   // constant part of the heat transfer
	exponent     float64
	sp           float64
	fire         int // step with which the burn begins
}

// newPlan lays the steps: each event is the end of one, no step is longer than
// the one asked for, and where valves are open steps are short enough for the
// flow to be stable.
func newPlan(s Setup, degrees float64) (*plan, error) {
	s = s.filled()
	if err := s.check(); err != nil {
		return nil, err
	}
	fresh, burnt, err := s.Fuel.Charge(s.Lambda)
	if err != nil {
		return nil, err
	}
	p := &plan{set: s, fresh: fresh, burnt: burnt}
	start := s.Inlet.Closes - 4*math.Pi
	return p, p.lay(start, s.Inlet.Closes, degrees)
}

// bounds of the volume that a setup may have, m³.
const (
	leastVolume = 1e-9
	mostVolume  = 10
)

// swept is the difference of the extremes of the volume over a turn.
func swept(volume func(float64) (float64, float64)) (float64, error) {
	const n = 90
	least, most, down, up := math.Inf(1), 0.0, 0.0, 0.0
	for i := range n {
		a := float64(i) * 2 * math.Pi / n
		v, dv := volume(a)
		if !(v >= leastVolume && v <= mostVolume && math.Abs(dv) <= mostVolume) {
			return 0, fmt.Errorf("cycle: volume %g m³ with slope %g m³/rad at %.0f°; it must be from %g to %g m³", v, dv, a*180/math.Pi, leastVolume, float64(mostVolume))
		}
		if v < least {
			least, down = v, a
		}
		if v > most {
			most, up = v, a
		}
	}
	if most < 1.01*least {
		return 0, fmt.Errorf("cycle: the volume stays between %g and %g m³; nothing moves", least, most)
	}
	// The slope passes nought within a step of each.
	extreme := func(at, sign float64) float64 {
		lo, hi := at-2*math.Pi/n, at+2*math.Pi/n
		for range 40 {
			mid := (lo + hi) / 2
			if _, dv := volume(mid); sign*dv < 0 {
				lo = mid
			} else {
				hi = mid
			}
		}
		v, _ := volume(lo)
		return v
	}
	return math.Max(most, extreme(up, -1)) - math.Min(least, extreme(down, 1)), nil
}

func (p *plan) lay(from, to, degrees float64) error {
	s := &p.set
	var err error
	if p.swept, err = swept(s.Volume); err != nil {
		return err
	}
	p.vr, _ = s.Volume(from)
	p.exponent = float64(s.Heat)
	p.sp = s.Stroke * s.Speed / math.Pi
	if p.exponent == 0.53 {
		p.hc = 129.8 * math.Pow(1e-5, 0.8)
	} else {
		p.hc = 3.26 * math.Pow(1e-3, 0.8)
	}
	p.hc *= math.Pow(s.Bore, -0.2) / s.Speed
	fire, end := -s.Burn.Start, -s.Burn.Start+s.Burn.Duration
	events := []float64{from, to}
	for _, a := range []float64{fire, end, fire + s.Burn.Duration/8, s.Exhaust.Opens, s.Exhaust.Closes, s.Inlet.Opens} {
		if a > from+1e-6 && a < to-1e-6 {
			events = append(events, a)
		}
	}
	for _, v := range []*Valves{&s.Inlet, &s.Exhaust} {
		events = append(events, v.kinks(from, to)...)
	}
	slices.Sort(events)
	for i := 1; i < len(events); i++ {
		a, b := events[i-1], events[i]
		if b-a < 1e-9 {
			continue
		}
		burning := a >= fire-1e-9 && a < end-1e-9
		open := s.opening(s.Inlet, (a+b)/2) || s.opening(s.Exhaust, (a+b)/2)
		h := degrees * math.Pi / 180
		switch {
		case burning:
			h = math.Min(h, s.Burn.Duration/20)
		case !open:
			h *= 2
		}
		if burning && p.fire == 0 {
			p.fire = len(p.steps)
		}
		n := int(math.Ceil((b-a)/h - 1e-9))
		h = (b - a) / float64(n)
		for k := range n {
			p.parts(step{at: a + float64(k)*h, h: h, closed: !open, fired: a >= fire-1e-9 && a < s.Exhaust.Opens-1e-9})
			if len(p.steps) > 1<<20 {
				return fmt.Errorf("cycle: more than a million steps")
			}
		}
	}
	return nil
}

// kinks are the angles at which a valve's throat begins and ceases to bound the
// flow, and steps end there.
func (v *Valves) kinks(from, to float64) []float64 {
	const n = 180
	var out []float64
	full := 0.9 * 0.9 * v.Diameter / 4
	over := func(a float64) float64 { return v.Lift(a) - full }
	last := v.Opens
	for i := 1; i <= n; i++ {
		a := v.Opens + (v.Closes-v.Opens)*float64(i)/n
		if f, g := over(last), over(a); (f < 0) != (g < 0) {
			lo, hi := last, a
			for range 40 {
				if mid := (lo + hi) / 2; (over(mid) < 0) == (f < 0) {
					lo = mid
				} else {
					hi = mid
				}
			}
			if lo > from+1e-6 && lo < to-1e-6 {
				out = append(out, lo)
			}
		}
		last = a
	}
	if len(out) > 16 { // a ragged table is taken as it is
		return out[:16]
	}
	return out
}

func (s *Setup) opening(v Valves, a float64) bool { return a > v.Opens && a < v.Closes }

// parts puts a step down, in as many as the flow needs: a quarter turn of gas
// through an open valve must not pass in one.
func (p *plan) parts(st step) {
	const stable, most = 1.6, 12
	rate := 0.0
	var whole [3]station
	for q := range whole {
		a := &whole[q]
		*a = p.station(st.at+st.h*float64(q)/2, st)
		a.band = linear
		rate = math.Max(rate, (a.in+a.ex)/a.v)
	}
	// Slope of the linear part: c γ √(2/band) A/(V ω); c of warm and of hot gas.
	c := 330.0
	if p.set.opening(p.set.Exhaust, st.at+st.h/2) {
		c = 550
	}
	rate *= 1.35 * c * math.Sqrt(2/linear) / p.set.Speed
	n := math.Ceil(rate * st.h / stable)
	band := linear
	if n > most {
		band *= (n / most) * (n / most)
		n = most
	}
	if n <= 1 {
		p.steps, p.stations = append(p.steps, st), append(p.stations, whole[:]...)
		return
	}
	h := st.h / n
	for k := range int(n) {
		part := step{at: st.at + float64(k)*h, h: h, closed: st.closed, fired: st.fired}
		p.steps = append(p.steps, part)
		for q := range 3 {
			x := p.station(part.at+h*float64(q)/2, part)
			x.band = math.Min(band, 0.1)
			p.stations = append(p.stations, x)
		}
	}
}

// station works one angle out.
func (p *plan) station(a float64, st step) station {
	s := &p.set
	var x station
	x.v, x.dv = s.Volume(a)
	for _, v := range []struct {
		v    *Valves
		area *float64
	}{{&s.Inlet, &x.in}, {&s.Exhaust, &x.ex}} {
		if a > v.v.Opens && a < v.v.Closes {
			lift := v.v.Lift(a)
			if !(lift >= 0 && lift <= s.Bore) {
				lift = 0
			}
			*v.area = v.v.Discharge * float64(v.v.Count) * Curtain(v.v.Diameter, lift)
		}
	}
	if z := (a + s.Burn.Start) / s.Burn.Duration; st.at >= -s.Burn.Start-1e-9 && st.at < -s.Burn.Start+s.Burn.Duration-1e-9 && z > 0 {
		zm := math.Pow(z, s.Burn.M)
		x.burn = s.Burn.A * (s.Burn.M + 1) * zm * math.Exp(-s.Burn.A*zm*z) / s.Burn.Duration
	}
	disc := math.Pi / 4 * s.Bore * s.Bore
	liner := 4 * x.v / s.Bore
	if s.Walls.Adiabatic {
		disc, liner = 0, 0
	}
	x.wall = disc*(1+s.Walls.HeadArea) + liner
	x.wallT = disc*(s.Walls.Piston+s.Walls.HeadArea*s.Walls.Head) + liner*s.Walls.Liner
	x.motored = math.Exp(1.3 * math.Log(p.vr/x.v))
	x.hc = 6.18 * p.sp
	if st.closed {
		x.hc = 2.28 * p.sp
	}
	return x
}
