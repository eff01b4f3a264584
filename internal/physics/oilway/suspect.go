package oilway

import (
	"fmt"
	"math"
	"sort"
)

// Suspicion is a kind of thing that may be behind a pressure.
type Suspicion uint8

// The kinds of suspicion. Nothing is that the figures and their doubts are
// enough.
const (
	Nothing Suspicion = iota
	Plug
	JetMissing
	ClearanceLarge
	PumpWorn
	PumpAir
	ReliefWeak
	ReliefHeld
	ReliefShut
	WayBlocked
	OilThin
	OilThick
	GaugeOff
)

var names = [...]string{"nothing", "plug", "jet-missing", "clearance-large", "pump-worn", "pump-draws-air", "relief-weak", "relief-held-open", "relief-shut",
	"filter-blocked", "oil-thin", "oil-thick", "gauge-off"}

// String is its id.
func (s Suspicion) String() string {
	if int(s) < len(names) {
		return names[s]
	}
	return "unknown"
}

// SuspicionOf finds a suspicion by its id.
func SuspicionOf(id string) (Suspicion, bool) {
	for i, n := range names {
		if n == id {
			return Suspicion(i), true
		}
	}
	return Nothing, false
}

// Prior is what is thought of a suspicion before the gauge is read: how likely
// it is, and between which sizes it may lie, evenly in the logarithm. The size is
//
//	Plug            diameter of the hole left open, m
//	JetMissing      diameter of the hole of one jet left out, m
//	ClearanceLarge  one bearing's clearance over what was taken; its flow goes with
//	                the third power
//	PumpWorn        the pump's clearances over what was taken, likewise its slip
//	PumpAir         part of the displacement that it still gives
//	ReliefWeak      its pressures over what was taken
//	ReliefHeld      part of the full opening that does not shut
//	ReliefShut      part of the full opening that is left
//	WayBlocked      resistance of filter and cooler over what was taken
//	OilThin, Thick  viscosity over what was taken
//	GaugeOff        Pa, either way
type Prior struct {
	Suspicion Suspicion
	Chance    float64 // a weight; those of a list are brought to one
	From, To  float64
}

// UsualPriors are this house's own judgement of an engine just built, no source:
// three of four gauges that differ are nothing but doubt. A shop that counts its
// own puts them in their place.
func UsualPriors() []Prior {
	return []Prior{{Nothing, 0.40, 1, 1}, {Plug, 0.08, 2e-3, 10e-3}, {JetMissing, 0.05, 3e-3, 8e-3}, {ClearanceLarge, 0.10, 1.3, 4},
		{PumpWorn, 0.08, 1.2, 3}, {PumpAir, 0.06, 0.3, 0.9}, {ReliefWeak, 0.06, 0.3, 0.9}, {ReliefHeld, 0.06, 0.02, 0.5}, {ReliefShut, 0.02, 0.01, 0.3},
		{WayBlocked, 0.03, 2, 20}, {OilThin, 0.08, 0.5, 0.9}, {OilThick, 0.03, 1.1, 2}, {GaugeOff, 0.07, 0.2e5, 2e5}}
}

// Reading is a gauge read in a state.
type Reading struct{ Pressure, U float64 }

// Candidate is what a suspicion makes of the readings.
type Candidate struct {
	Suspicion Suspicion
	Outlet    int // of it, −1 for none
	Prior     float64
	After     float64   // how likely it is once the gauge is read
	Size      float64   // that fits best, see Prior
	Predicted []float64 // with that size, Pa
	Explains  float64   // of the squared mismatch, 0 to 1
	Misfit    float64   // what is left: squared mismatch over its variance, summed
}

// coefficient of a plain hole left open.
const coefficient = 0.6

// sizes tried between From and To.
const sizes = 41

// model is the relative doubt of the whole model beside the doubts of its
// figures; own judgement, no source.
const model = 0.05

// Suspects ranks what may be behind readings that differ from what is predicted.
//
// Each suspicion has a size that nobody knows; for each of 41 sizes the
// pressures follow anew, and the likelihood of all readings together is normal
// with their joint doubt: gauges, figures shared between the states, and 5 % of
// the model. The mean over the sizes, times the prior, brought to one over the
// list, is how likely the suspicion is after the readings. It is a ranking for
// where to look first, never a finding.
//
// Shapes: n states, n readings, priors -> list, likeliest first.
// Units:  Pa.
// Errors: as FirstOrder; lists of other lengths; a reading that is not from 0 to
// 10⁸ Pa, an uncertainty not from 10 Pa to 10⁷; a prior that is no suspicion,
// negative, or without range; nothing with a chance.
// Source: theorem of Bayes; the priors are the caller's.
func (e *Engine) Suspects(states []State, readings []Reading, priors []Prior) ([]Candidate, error) {
	if err := e.several(states); err != nil {
		return nil, err
	}
	if err := readable(states, readings, priors); err != nil {
		return nil, err
	}
	var out []Candidate
	var logs []float64
	total := 0.0
	for _, p := range priors {
		total += p.Chance
	}
	if !(total > 0) {
		return nil, fmt.Errorf("oilway: no suspicion has a chance: one above nought is expected")
	}
	plain, _, err := e.weigh(states, readings, Prior{Nothing, 1, 1, 1}, -1)
	if err != nil {
		return nil, err
	}
	for _, p := range priors {
		on := e.on(p.Suspicion)
		for _, i := range on {
			if p.Chance == 0 {
				continue
			}
			c, log, err := e.weigh(states, readings, p, i)
			if err != nil {
				return nil, err
			}
			c.Prior = p.Chance / total / float64(len(on))
			c.Explains = math.Max(0, 1-c.Misfit/math.Max(plain.Misfit, 1e-300))
			out, logs = append(out, c), append(logs, log+math.Log(c.Prior))
		}
	}
	most := math.Inf(-1)
	for _, l := range logs {
		most = math.Max(most, l)
	}
	sum := 0.0
	for i := range out {
		out[i].After = math.Exp(logs[i] - most)
		sum += out[i].After
	}
	for i := range out {
		out[i].After /= sum
	}
	sort.SliceStable(out, func(a, b int) bool { return out[a].After > out[b].After })
	return out, nil
}

func readable(states []State, readings []Reading, priors []Prior) error {
	if len(readings) != len(states) {
		return fmt.Errorf("oilway: %d readings of %d states: as many of each are expected", len(readings), len(states))
	}
	for i, r := range readings {
		if !(r.Pressure >= 0 && r.Pressure <= 1e8) || !(r.U >= 10 && r.U <= 1e7) {
			return fmt.Errorf("oilway: reading %d of %g Pa with %g: 0 to 10⁸ with 10 to 10⁷ Pa is expected", i+1, r.Pressure, r.U)
		}
	}
	for i, p := range priors {
		lo, hi := p.From, p.To
		if p.Suspicion == Nothing {
			lo, hi = 1, 1
		}
		if p.Suspicion > GaugeOff || !(p.Chance >= 0 && p.Chance <= 1e6) || !(lo >= 1e-6 && hi >= lo && hi <= 1e8) {
			return fmt.Errorf("oilway: prior %d of %g, from %g to %g: a weight of 0 or more and sizes from 10⁻⁶ to 10⁸ are expected", i+1, p.Chance, p.From, p.To)
		}
	}
	return nil
}

// on lists the outlets that a suspicion may lie on; −1 for none of them. A
// suspicion that this engine cannot have has an empty list.
func (e *Engine) on(s Suspicion) []int {
	var out []int
	kind := map[Suspicion]Kind{JetMissing: Jet, ClearanceLarge: Bearing}
	if k, ok := kind[s]; ok {
		for i, o := range e.s.Outlets {
			if o.Kind == k {
				out = append(out, i)
			}
		}
		return out
	}
	switch {
	case s == PumpWorn && e.s.Pump.Slip == 0, s == WayBlocked && e.s.Way == 0,
		(s == ReliefWeak || s == ReliefHeld || s == ReliefShut) && e.s.Relief.Flow == 0:
		return nil
	}
	return []int{-1}
}

// weigh is one suspicion on one outlet: its best size, and the logarithm of its
// likelihood.
func (e *Engine) weigh(states []State, readings []Reading, p Prior, outlet int) (Candidate, float64, error) {
	c := Candidate{Suspicion: p.Suspicion, Outlet: outlet, Misfit: math.Inf(1)}
	n := sizes
	if p.Suspicion == Nothing {
		n = 1
	}
	signs := []float64{0}
	if p.Suspicion == GaugeOff {
		signs = []float64{-1, 1}
	}
	var logs []float64
	best := math.Inf(-1)
	for i := range n {
		size := p.From * math.Pow(p.To/p.From, (float64(i)+0.5)/float64(n))
		for _, sign := range signs {
			s, moved := e.s.with(p.Suspicion, outlet, size), states
			if p.Suspicion == OilThin || p.Suspicion == OilThick {
				moved = append([]State(nil), states...)
				for k := range moved {
					moved[k].Viscosity *= size
				}
			}
			at, j, err := s.slopes(moved, s.causes(moved))
			if err != nil {
				at, j = nil, nil // pressure beyond all bounds explains no reading
			}
			log, misfit := math.Inf(-1), math.Inf(1)
			if at != nil {
				for k := range at {
					at[k] = math.Max(at[k]+sign*size, 0)
				}
				log, misfit = likelihood(at, j, readings)
			}
			if logs = append(logs, log); log > best {
				best, c.Size, c.Predicted, c.Misfit = log, math.Copysign(size, sign+0.5), at, misfit
			}
		}
	}
	if math.IsInf(best, -1) {
		return c, -1e300, fmt.Errorf("oilway: no size of a suspicion leads to a pressure")
	}
	sum := 0.0
	for _, l := range logs {
		sum += math.Exp(l - best)
	}
	return c, best + math.Log(sum/float64(len(logs))), nil
}

// likelihood of all readings together, and their squared mismatch over its
// variance.
func likelihood(at []float64, j [][]float64, readings []Reading) (log, misfit float64) {
	n := len(at)
	l := make([][]float64, n) // Cholesky's of the joint variance
	for a := range n {
		l[a] = make([]float64, n)
		for b := range a + 1 {
			v := 0.0
			for i := range j[a] {
				v += j[a][i] * j[b][i]
			}
			if a == b {
				v += readings[a].U*readings[a].U + model*model*at[a]*at[a]
			}
			for k := range b {
				v -= l[a][k] * l[b][k]
			}
			if a == b {
				l[a][a] = math.Sqrt(math.Max(v, readings[a].U*readings[a].U/2)) // rounding
			} else {
				l[a][b] = v / l[b][b]
			}
		}
	}
	z := make([]float64, n)
	for a := range n {
		v := readings[a].Pressure - at[a]
		for b := range a {
			v -= l[a][b] * z[b]
		}
		z[a] = v / l[a][a]
		misfit += z[a] * z[a]
		log -= z[a]*z[a]/2 + math.Log(l[a][a])
	}
	return log, misfit
}

// with is the system with something wrong.
func (s *System) with(what Suspicion, outlet int, size float64) *System {
	out := *s
	out.Outlets = append([]Outlet(nil), s.Outlets...)
	open := func(o Outlet) { out.Outlets = append(out.Outlets, o) }
	hole := coefficient * math.Pi * size * size / 4
	switch what {
	case Plug:
		open(Outlet{Name: "plug", Kind: Leak, Count: 1, Hole: hole})
	case JetMissing, ClearanceLarge: // one of those alike
		o := out.Outlets[outlet]
		rest, one := o, o
		rest.Count, one.Count = o.Count-1, 1
		if what == JetMissing {
			one = Outlet{Name: o.Name, Kind: Leak, Count: 1, Hole: hole}
		} else {
			one.Film *= size * size * size
			one.more *= size * size * size
			flow := append([]float64(nil), o.Given.Flow...)
			for i := range flow {
				flow[i] *= size * size * size
			}
			one.Given.Flow = flow
		}
		out.Outlets[outlet] = rest
		open(one)
	case PumpWorn:
		out.Pump.Slip *= size * size * size
	case PumpAir:
		out.Pump.Fill *= size
		out.Pump.Most *= size
	case ReliefWeak:
		out.Relief.Opens *= size
		out.Relief.Full *= size
	case ReliefHeld:
		// a film, as the valve is straight, from the pressure where it is full
		out.Pump.held = size * s.Relief.Flow / s.Relief.Full
	case ReliefShut:
		out.Relief.Flow *= size
	case WayBlocked:
		out.Way /= size
	}
	return &out
}
