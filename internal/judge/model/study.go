package model

import (
	"math"
	"runtime"

	"fettle/internal/know/library"
	"fettle/internal/physics/film"
	oil "fettle/internal/physics/lubricant"
)

// Pour is an oil by its name.
type Pour struct {
	ID  string
	Oil oil.Oil
}

// Cell is one clearance with one oil: the bearing that comes off worst.
type Cell struct {
	Clearance float64 // diametral, m
	Oil       string
	Bearing   int     // into Bearings, −1 where none has an answer
	Gap       float64 // its least film, m
	U         float64 // from the doubt of a clearance, m; shared doubts leave a comparison
	Celsius   float64
	Lambda    float64
	Peak      float64
	Doubt     []film.Doubt
}

// Study is one kind of bearing tried with clearances and oils; the other kind
// stays as it is and is not asked.
type Study struct {
	Component  string
	Clearances []float64
	Oils       []string
	Cells      [][]Cell // by oil and clearance
	Best, Next *Cell    // largest film of the worst bearing, and the one after it
	More, U    float64  // by which the best is better, and the doubt of that, m
	Chance     float64  // that it is better, normal law
}

// slopeStep is the step on clearance from which the slope of a film is taken, m.
const slopeStep = 2e-6

// Study tries clearances and oils at a duty whose oil and gas are given; u is the
// standard uncertainty with which a clearance can be made and read.
//
// Of each combination it takes the bearing with the least film. Its doubt is that
// of the clearance through the slope of the film; doubts of load, inlet
// temperature and model are alike in all combinations and are left out of the
// comparison.
//
// Shapes: n clearances, m oils -> m rows of n cells.
// Units:  m.
// Errors: what the rooms refuse.
func (r *Rig) Study(d Duty, component string, clearances []float64, oils []Pour, u float64) (*Study, error) {
	l, err := r.Loads(d)
	if err != nil {
		return nil, err
	}
	all := r.Bearings()
	var of []int
	for i, b := range all {
		if b.Component == component {
			of = append(of, i)
		}
	}
	s := &Study{Component: component, Clearances: clearances}
	var cases []film.HeatCase
	for _, p := range oils {
		s.Oils = append(s.Oils, p.ID)
		d.Oil = p.Oil
		for _, c := range clearances {
			for _, i := range of {
				cases = append(cases, r.film(i, d, l, c, all[i]), r.film(i, d, l, c+slopeStep, all[i]))
			}
		}
	}
	got := film.Balances(cases, runtime.GOMAXPROCS(0))
	for _, p := range oils {
		var row []Cell
		for _, c := range clearances {
			cell := Cell{Clearance: c, Oil: p.ID, Bearing: -1, Gap: math.Inf(1)}
			for _, i := range of {
				at, beside := got[0], got[1]
				got = got[2:]
				if at.Err != nil || at.Gap >= cell.Gap {
					continue
				}
				cell.Bearing, cell.Gap, cell.Celsius, cell.Lambda, cell.Peak, cell.Doubt = i, at.Gap, at.Celsius, at.Lambda, at.Peak, at.Doubt
				cell.U = 0
				if beside.Err == nil {
					cell.U = math.Abs(beside.Gap-at.Gap) / slopeStep * u
				}
			}
			row = append(row, cell)
		}
		s.Cells = append(s.Cells, row)
	}
	s.rank()
	return s, nil
}

// Usual tries the clearances about the middle of what the family asks for when
// new, 5 µm apart, with the oils that the running file compares, on the kind of
// the bearing looked at.
//
// Errors: as Study; nil where nothing is compared.
func (l *Looked) Usual(lib *library.Library) (*Study, error) {
	var pours []Pour
	for _, id := range l.Rig.Running.Oil.Compared {
		o, ok := lib.Lubricants().Oil(id)
		if !ok {
			continue // the running file was refused then
		}
		x, err := Oil(o)
		if err != nil {
			return nil, err
		}
		pours = append(pours, Pour{id, x})
	}
	b := l.Rig.Bearings()[l.At]
	mid := l.middle(b.Component + "/oil-clearance")
	if len(pours) == 0 || math.IsNaN(mid) {
		return nil, nil
	}
	const step = 5e-6
	mid = step * math.Round(mid/step)
	var clearances []float64
	for i := -2; i <= 2; i++ {
		clearances = append(clearances, mid+step*float64(i))
	}
	var us []float64
	for _, x := range l.Rig.Bearings() {
		if x.Component == b.Component {
			us = append(us, x.Clearance.U)
		}
	}
	return l.Rig.Study(l.Duty, b.Component, clearances, pours, median(us))
}

// middle is the middle of a characteristic's limits for new, NaN where it has
// none on both sides.
func (l *Looked) middle(char string) float64 {
	for _, i := range l.Rig.Layout.Of(char) {
		if n := l.Rig.Layout.Places[i].New; n != nil && !n.Min.IsZero() && !n.Max.IsZero() {
			return (n.Min.SI() + n.Max.SI()) / 2
		}
	}
	return math.NaN()
}

// rank finds the best cell and the one after it.
func (s *Study) rank() {
	for i := range s.Cells {
		for k := range s.Cells[i] {
			c := &s.Cells[i][k]
			switch {
			case c.Bearing < 0:
			case s.Best == nil || c.Gap > s.Best.Gap:
				s.Best, s.Next = c, s.Best
			case s.Next == nil || c.Gap > s.Next.Gap:
				s.Next = c
			}
		}
	}
	if s.Next != nil {
		s.More, s.U = s.Best.Gap-s.Next.Gap, math.Hypot(s.Best.U, s.Next.U)
		s.Chance = normal(s.More / s.U)
	}
}

// normal is the standard normal distribution; one half where nothing is known.
func normal(z float64) float64 {
	if math.IsNaN(z) {
		return 0.5
	}
	return 0.5 * math.Erfc(-z/math.Sqrt2)
}
