package model

import (
	"math"
	"runtime"
	"strconv"

	"fettle/internal/base/fault"
	"fettle/internal/know/library"
	"fettle/internal/know/lubricant"
	"fettle/internal/physics/crank"
	"fettle/internal/physics/film"
)

// Asked is what a person tries on an engine. What is nought or "" is as the
// running file has it, a clearance as it was read.
type Asked struct {
	Speed   float64 // rad/s
	Inlet   float64 // of the oil at the bearings, °C
	Charge  float64 // absolute pressure before the inlet valves, Pa
	Oil     string  // id of a lubricant
	Main    float64 // diametral clearance of every main, m
	Pin     float64 // of every big end, m
	Bearing string  // id of the bearing to look at, "" for the one with the least film
}

// Looked is what an engine does as it was asked.
type Looked struct {
	Asked      // filled up
	Rig        *Rig
	Pour       *lubricant.Oil
	Duty       Duty
	Gas        *Gas
	Loads      *Loads
	Clearances []float64 // that were run, diametral, m
	Films      []film.Balanced
	Slopes     []float64 // of the least film over the clearance
	At         int       // the bearing looked at, into Bearings
	Load       []crank.Vec
	Worn       *Worn
	Lived      []Lived
}

// Lived is a build that is known to have lived, with the bearing looked at run
// the same way.
type Lived struct {
	Build     string
	Oil       string
	Clearance float64 // diametral, m
	Film      film.Balanced
	Share     float64 // least film of the bearing looked at over that of the build; 0 where there is none
}

// Look runs an engine as it is asked.
//
// Errors: values outside the ranges below, an oil or a bearing that is not there;
// what the rooms refuse. A bearing without an answer has its own error.
// Valid:  500 rpm to a tenth above the limiter; oil at 40 to 160 °C; charge of 0.3
// to 5 bar; clearances of 5 to 300 µm.
func (r *Rig) Look(lib *library.Library, q Asked) (*Looked, error) {
	run := r.Running
	limiter := r.Layout.Family.Engine.Limiter.SI()
	for _, f := range []struct {
		x        *float64
		usual    float64
		lo, hi   float64
		key      string
		readable float64 // formula units in one that is read
	}{
		{&q.Speed, run.Track.Speed.SI(), 500 * math.Pi / 30, 1.1 * limiter, "speed", math.Pi / 30},
		{&q.Inlet, run.Track.Oil.SI(), 40, 160, "inlet", 1},
		{&q.Charge, run.Charge.Pressure.SI(), 0.3e5, 5e5, "charge", 1e5},
		{&q.Main, 0, 5e-6, 300e-6, "main", 1e-6},
		{&q.Pin, 0, 5e-6, 300e-6, "pin", 1e-6},
	} {
		if *f.x == 0 {
			*f.x = f.usual
			continue
		}
		if !(*f.x >= f.lo && *f.x <= f.hi) {
			return nil, fault.New(fault.Invalid, "model.asked."+f.key, "found", short(*f.x/f.readable), "least", short(f.lo/f.readable), "most", short(f.hi/f.readable)).In(f.key)
		}
	}
	if q.Oil == "" {
		q.Oil = run.Oil.Usual
	}
	l := &Looked{Asked: q, Rig: r, Clearances: r.Engine.Clearances()}
	pour, ok := lib.Lubricants().Oil(q.Oil)
	if !ok {
		return nil, fault.New(fault.Invalid, "running.unknown-lubricant", "found", q.Oil).In("oil")
	}
	x, err := Oil(pour)
	if err != nil {
		return nil, err
	}
	l.Pour = pour
	if l.Gas, err = r.Gas(q.Speed, q.Charge); err != nil {
		return nil, err
	}
	l.Duty = Duty{Speed: q.Speed, Oil: x, Inlet: q.Inlet, Supply: r.supply(q.Speed), Gas: l.Gas.Gauge}
	if l.Loads, err = r.Loads(l.Duty); err != nil {
		return nil, err
	}
	for i, b := range r.Bearings() {
		if w := map[string]float64{"shell-main": q.Main, "shell-pin": q.Pin}[b.Component]; w > 0 {
			l.Clearances[i] = w
		}
	}
	l.Films = r.Films(l.Duty, l.Loads, l.Clearances, true)
	return l, l.choose(lib)
}

// supply is the gallery's pressure at a speed: a straight line from hot idle to
// the speed at which bearings are compared, level beyond both.
func (r *Rig) supply(speed float64) float64 {
	a, b := r.Running.Idle, r.Running.Track
	t := (speed - a.Speed.SI()) / (b.Speed.SI() - a.Speed.SI())
	t = max(0, min(t, 1))
	return a.Pressure.SI() + t*(b.Pressure.SI()-a.Pressure.SI())
}

// choose finds the bearing to look at, its load, and what a known build makes of
// it.
func (l *Looked) choose(lib *library.Library) error {
	all := l.Rig.Bearings()
	l.At = -1
	for i, b := range all {
		switch {
		case l.Bearing == b.ID:
			l.At = i
		case l.Bearing == "" && l.Films[i].Err == nil && (l.At < 0 || l.Films[i].Gap < l.Films[l.At].Gap):
			l.At = i
		}
	}
	if l.At < 0 && l.Bearing != "" {
		return fault.New(fault.Missing, "model.no-bearing", "found", l.Bearing).In("bearing")
	}
	if l.At < 0 {
		return fault.New(fault.Refused, "model.no-film", "error", l.Films[0].Err.Error())
	}
	n := len(l.Rig.Mains)
	if l.At < n {
		l.Load = l.Loads.Histories.Mains[l.At]
	} else {
		l.Load = l.Loads.Own[l.At-n].Rod
	}
	l.Slopes = l.Rig.slopes(l.Duty, l.Loads, l.Clearances, l.Films)
	if l.Main == 0 && l.Pin == 0 { // of the engine as it was read
		l.Worn = l.Rig.Worn(l.Films, l.Slopes)
	}
	var cases []film.HeatCase
	for _, b := range l.Rig.Running.Lived {
		o, ok := lib.Lubricants().Oil(b.Lubricant)
		if !ok {
			continue // the running file was refused then
		}
		x, err := Oil(o)
		if err != nil {
			return err
		}
		d, c := l.Duty, b.Main.SI()
		if d.Oil = x; l.At >= n {
			c = b.Pin.SI()
		}
		cases = append(cases, l.Rig.film(l.At, d, l.Loads, c, all[l.At]))
		cases[len(cases)-1].Path = true
		l.Lived = append(l.Lived, Lived{Build: b.ID, Oil: b.Lubricant, Clearance: c})
	}
	for i, f := range film.Balances(cases, runtime.GOMAXPROCS(0)) {
		l.Lived[i].Film = f
		if f.Err == nil && l.Films[l.At].Err == nil {
			l.Lived[i].Share = l.Films[l.At].Gap / f.Gap
		}
	}
	return nil
}

// FilmU is what the doubt of its clearance makes of the least film of the bearing
// looked at, one standard uncertainty, m; 0 where the clearance was not read.
func (l *Looked) FilmU() float64 {
	c := l.Rig.Bearings()[l.At].Clearance
	if !c.Known() {
		return 0
	}
	return math.Abs(l.Slopes[l.At]) * c.U
}

// Ground is the least film of the bearing looked at over clearance and
// viscosity, at a viscosity that does not change.
type Ground struct {
	Clearances  []float64   // diametral, m
	Viscosities []float64   // Pa·s
	Gap         [][]float64 // by viscosity and clearance, m; NaN where there is none
}

// Ground maps the film about where the engine and the builds that lived stand:
// clearances and viscosities from half to twice and somewhat beyond.
//
// Shapes: -> m viscosities by n clearances.
// Errors: none; what has no orbit is NaN.
func (l *Looked) Ground() *Ground {
	c, mu := l.Clearances[l.At], l.Films[l.At].Viscosity
	cs, ms := [2]float64{c / 2, 2 * c}, [2]float64{mu / 2, 2 * mu}
	for _, b := range l.Lived {
		if b.Film.Err == nil {
			cs = [2]float64{min(cs[0], b.Clearance/1.2), max(cs[1], 1.2*b.Clearance)}
			ms = [2]float64{min(ms[0], b.Film.Viscosity/1.2), max(ms[1], 1.2*b.Film.Viscosity)}
		}
	}
	g := &Ground{}
	const nc, nm = 11, 8
	for i := range nc {
		g.Clearances = append(g.Clearances, cs[0]*math.Pow(cs[1]/cs[0], float64(i)/(nc-1)))
	}
	for i := range nm {
		g.Viscosities = append(g.Viscosities, ms[0]*math.Pow(ms[1]/ms[0], float64(i)/(nm-1)))
	}
	shell, load := l.Rig.bearing(l.At, l.Loads)
	g.Gap = make([][]float64, nm)
	spread(nm, func(j int) {
		for _, c := range g.Clearances {
			o, err := film.Run(film.Case{Shell: shell, Load: load, Clearance: c / 2, Viscosity: g.Viscosities[j], Supply: l.Duty.Supply})
			if err != nil {
				o.Gap = math.NaN()
			}
			g.Gap[j] = append(g.Gap[j], o.Gap)
		}
	})
	return g
}

// short writes a number for a sentence.
func short(x float64) string {
	if math.Abs(x) >= 1000 {
		return strconv.FormatFloat(x, 'f', 0, 64)
	}
	return strconv.FormatFloat(x, 'g', 4, 64)
}
