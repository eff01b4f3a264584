package model

import (
	"math"
	"runtime"
	"sync"

	"fettle/internal/base/fault"
	"fettle/internal/know/lubricant"
	"fettle/internal/physics/crank"
	"fettle/internal/physics/film"
	oil "fettle/internal/physics/lubricant"
)

// Rig is an engine with all that does not change while speed, oil and clearances
// are tried: mechanisms, throws, bearings. It is never changed and may be shared.
type Rig struct {
	*Engine
	shaft  *crank.Engine
	tables []*crank.Table // of each cylinder
	mains  []*film.Shell
	pins   []*film.Shell
}

// Rig makes an engine ready.
//
// Errors: a firing order that does not fit; masses or bearings that no engine
// has, in the words of the room that refuses them.
func (e *Engine) Rig() (*Rig, error) {
	l, err := e.layout()
	if err != nil {
		return nil, err
	}
	ms, err := e.mechanisms()
	if err != nil {
		return nil, refused(err)
	}
	r := &Rig{Engine: e}
	if r.shaft, err = crank.NewEngine(l, ms, points); err != nil {
		return nil, refused(err)
	}
	for _, m := range ms {
		t, err := crank.NewTable(m, points, 0)
		if err != nil {
			return nil, refused(err)
		}
		r.tables = append(r.tables, t)
	}
	if r.mains, err = shells(e.Mains, true); err != nil {
		return nil, refused(err)
	}
	if r.pins, err = shells(e.Pins, false); err != nil {
		return nil, refused(err)
	}
	return r, nil
}

// refused gives what a room of physics says a code.
func refused(err error) error { return fault.New(fault.Refused, "model.refused", "error", err.Error()) }

// shells makes bearings ready for the film. A main has its groove in the upper
// half, about the direction of the cylinders; a big end is fed through the hole
// of its pin.
func shells(bs []Bearing, main bool) ([]*film.Shell, error) {
	m, err := film.Maps()
	if err != nil {
		return nil, err
	}
	var out []*film.Shell
	for _, b := range bs {
		s := film.ShellSpec{Diameter: b.Diameter, Length: b.Width, Hole: b.Hole, Width: b.GrooveW, RoughJournal: b.Rough}
		switch {
		case b.Groove == "upper":
			s.Inlet, s.From, s.To = film.PartGroove, -math.Pi/2, math.Pi/2
		case b.Groove == "full":
			s.Inlet = film.RingGroove
		case main:
			s.Inlet = film.SleeveHole
		default:
			s.Inlet = film.JournalHole
		}
		sh, err := m.NewShell(s)
		if err != nil {
			return nil, err
		}
		out = append(out, sh)
	}
	return out, nil
}

// Oil makes an oil of the shelf ready for the film.
func Oil(o *lubricant.Oil) (oil.Oil, error) {
	x, err := oil.NewOil(oil.Datum{Cold: oil.Point{T: 40, V: o.At40.SI()}, Hot: oil.Point{T: 100, V: o.At100.SI()},
		Density: o.Density.SI(), HighShear: o.HighShear.SI()})
	if err != nil {
		return x, refused(err)
	}
	return x, nil
}

// Duty is a state of running.
type Duty struct {
	Speed  float64 // of the crank, rad/s
	Oil    oil.Oil
	Inlet  float64   // of the oil at the bearings, °C
	Supply float64   // gauge pressure in the gallery, Pa
	Gas    []float64 // gauge pressure of one cylinder over its own 720°, points of them, Pa
}

// heat is the specific heat of warm engine oil, J/(kg·K). From memory: 1.9 to 2.3
// kJ/(kg·K) between 60 and 140 °C for mineral oil.
const heat = 2100.0

// hottest is how far a balance of heat is looked for, °C.
const hottest = 280.0

// share is how much of the oil's rise its film sees: the mean of inlet and
// outlet (ISO 7902-1, from memory).
const share = 0.5

// Loads are the loads of every bearing at a duty.
type Loads struct {
	Mains, Pins []*film.Load
	Histories   *crank.Histories
	Own         []crank.Loads // of each cylinder on its own cycle, from its firing top
}

// Steps is the number of steps that an orbit takes through a cycle.
func (l *Loads) Steps() int { return l.Mains[0].Steps }

// Loads works the loads out: each big end in the frame of its rod, each main by
// the determinate throw model in the frame of the block, x towards the cylinders.
//
// Errors: gas of another number of points; what the rooms refuse.
func (r *Rig) Loads(d Duty) (*Loads, error) {
	if len(d.Gas) != points {
		panic("model: gas of another table")
	}
	out := &Loads{Histories: r.shaft.NewHistories()}
	period := 4 * math.Pi / d.Speed
	if err := r.shaft.Loads(d.Speed, [][]float64{d.Gas}, out.Histories); err != nil {
		return nil, refused(err)
	}
	for i := range r.Mains {
		l, err := film.NewLoad(table(out.Histories.Mains[i], []float64{d.Speed}, period))
		if err != nil {
			return nil, refused(err)
		}
		out.Mains = append(out.Mains, l)
	}
	for i, t := range r.tables {
		own := crank.NewLoads(points)
		if err := t.Loads(d.Speed, d.Gas, &own); err != nil {
			return nil, refused(err)
		}
		out.Own = append(out.Own, own)
		if len(r.Pins) == 0 {
			continue
		}
		turn := make([]float64, points) // of the pin seen from the rod: twice the mean of both
		for k, s := range own.Spin {
			turn[k] = 2 * s
		}
		l, err := film.NewLoad(table(out.Own[i].Rod, turn, period))
		if err != nil {
			return nil, refused(err)
		}
		out.Pins = append(out.Pins, l)
	}
	return out, nil
}

// table turns forces of a journal on its shell into the load of a film: the
// journal goes where it presses.
func table(f []crank.Vec, turn []float64, period float64) film.LoadTable {
	x, y := make([]float64, len(f)), make([]float64, len(f))
	for i, v := range f {
		x[i], y[i] = v.X, v.Y
	}
	return film.LoadTable{X: x, Y: y, Turn: turn, Period: period}
}

// Films balances every bearing at a duty: mains first, then big ends, as
// Bearings lists them.
//
// Errors: each answer has its own.
func (r *Rig) Films(d Duty, l *Loads, clearances []float64, path bool) []film.Balanced {
	all := r.Bearings()
	cases := make([]film.HeatCase, len(all))
	for i, b := range all {
		cases[i] = r.film(i, d, l, clearances[i], b)
		cases[i].Path = path
	}
	return film.Balances(cases, runtime.GOMAXPROCS(0))
}

// film is one bearing with its oil. The oil thins by the mean rate of shear
// across the gap, ω·R/c.
func (r *Rig) film(i int, d Duty, l *Loads, clearance float64, b *Bearing) film.HeatCase {
	shell, load := r.bearing(i, l)
	rate := d.Speed * b.Diameter / clearance
	return film.HeatCase{Shell: shell, Load: load, Clearance: clearance / 2,
		Oil: film.Oil{Viscosity: func(t float64) float64 { return d.Oil.Under(t, rate) }, Inlet: d.Inlet, Most: hottest,
			Supply: d.Supply, Density: d.Oil.Weight(d.Inlet), Heat: heat, Share: share}}
}

// bearing finds shell and load of one bearing.
func (r *Rig) bearing(i int, l *Loads) (*film.Shell, *film.Load) {
	if n := len(r.Mains); i >= n {
		return r.pins[i-n], l.Pins[i-n]
	}
	return r.mains[i], l.Mains[i]
}

// spread does n things on all cores.
func spread(n int, do func(i int)) {
	var all sync.WaitGroup
	next := make(chan int)
	for range runtime.GOMAXPROCS(0) {
		all.Go(func() {
			for i := range next {
				do(i)
			}
		})
	}
	for i := range n {
		next <- i
	}
	close(next)
	all.Wait()
}

// Bearings are the plain bearings, mains first.
func (e *Engine) Bearings() []*Bearing {
	var out []*Bearing
	for i := range e.Mains {
		out = append(out, &e.Mains[i])
	}
	for i := range e.Pins {
		out = append(out, &e.Pins[i])
	}
	return out
}

// Clearances are those of the engine as it is, diametral, in the order of
// Bearings.
func (e *Engine) Clearances() []float64 {
	var out []float64
	for _, b := range e.Bearings() {
		out = append(out, b.Clearance.Value)
	}
	return out
}
