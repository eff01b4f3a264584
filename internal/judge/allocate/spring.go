package allocate

import (
	"errors"
	"math"
	"slices"

	"fettle/internal/maths/assign"
)

// Seat is a valve's place for a spring: the height between seat and retainer
// without a shim.
type Seat struct {
	ID     string
	Height Size
}

// Spring is one spring with its load at a height and its rate there. Loads are in
// whole millinewtons.
type Spring struct {
	ID   string
	Load Size
	At   int64   // height at which the load was read
	Rate float64 // millinewtons for one nanometre, which is kN/mm
	Bind int64   // height at which the coils touch
}

// SpringRules say what is wanted of a spring with the valve shut.
type SpringRules struct {
	Target int64
	Limits Limits  // of the load
	Shims  []int64 // thicknesses that can be laid under; none is always one of them
	Lift   int64
	Spare  int64 // that has to be left before the coils touch at full lift
	Guard  float64
}

// SpringChoice is the spring of one seat.
type SpringChoice struct {
	ID, Spring string
	Shim       int64
	Load       Standing
	Off        int64
	Left       int64 // before the coils touch at full lift
	NextMean   float64
	Next       string // spring that would be here without this one; "" if there is none
}

// SpringPlan is the choice for all seats.
type SpringPlan struct {
	Choices []SpringChoice
	Mean    float64 // root mean square deviation of the load
	Spread  int64
	Within  float64
	Left    []string
	Proof   Proof
}

// Springs chooses a spring and what is laid under it for each seat, so that the
// loads with the valve shut come nearest to the target.
//
//	F = F₀ + k·(H₀ − (H − s))
//	e = H − s − L − H_bind
//
// Shapes: n seats, m ≥ n springs -> n choices.
// Units:  nm, mN.
// Errors: names that are missing or stand twice; sizes, rates and shims that are
// none; fewer springs than seats; seats that cannot all be served.
// Source: common practice, no source; assign.Min for the proof.
func Springs(seats []Seat, springs []Spring, rules SpringRules) (SpringPlan, error) {
	w := &springWork{rules: rules, order: ordered(seats, func(s Seat) string { return s.ID })}
	var names, kinds []string
	for _, i := range w.order {
		w.seats, names = append(w.seats, seats[i]), append(names, seats[i].ID)
		if err := sound(seats[i].ID, seats[i].Height); err != nil {
			return SpringPlan{}, err
		}
	}
	for _, i := range ordered(springs, func(s Spring) string { return s.ID }) {
		s := springs[i]
		w.springs, kinds = append(w.springs, s), append(kinds, s.ID)
		if err := sound(s.ID, s.Load); err != nil || s.At <= 0 || s.At > mostSize || s.Bind <= 0 || s.Bind >= s.At || !(s.Rate > 0 && s.Rate < 10) {
			return SpringPlan{}, errors.Join(err, refuse("fits.spring", "name", s.ID))
		}
	}
	if err := errors.Join(named("seat", names), named("spring", kinds)); err != nil {
		return SpringPlan{}, err
	}
	if len(seats) == 0 || len(seats) > mostValves || len(springs) < len(seats) || len(springs) > mostPairs {
		return SpringPlan{}, refuse("fits.enough", "holes", digits(len(seats)), "shafts", digits(len(springs)))
	}
	w.shims = append([]int64{0}, rules.Shims...)
	slices.Sort(w.shims)
	w.shims = slices.Compact(w.shims)
	if w.shims[0] < 0 || w.shims[len(w.shims)-1] > mostOff*10 || len(w.shims) > 100 || rules.Lift < 0 || rules.Spare < 0 || !(rules.Guard >= 0) {
		return SpringPlan{}, refuse("fits.spring-rules")
	}
	return w.plan()
}

type springWork struct {
	seats   []Seat
	springs []Spring
	rules   SpringRules
	shims   []int64
	order   []int
}

// load with a shim, its doubt, and what is left before the coils touch.
func (w *springWork) load(i, j int, shim int64) (int64, float64, int64) {
	s, h := w.springs[j], w.seats[i].Height
	f := float64(s.Load.N) + s.Rate*float64(s.At-h.N+shim)
	return int64(math.Round(f)), doubt(term{1, s.Load}, term{-s.Rate, h}), h.N - shim - w.rules.Lift - s.Bind
}

// best is the shim that brings a spring nearest to the target; −1 if none will do.
// Of two equal ones it is the thinner.
func (w *springWork) best(i, j int) (shim, off int64) {
	shim, off = -1, math.MaxInt64
	for _, s := range w.shims {
		f, u, left := w.load(i, j, s)
		if d := max(f-w.rules.Target, w.rules.Target-f); left >= w.rules.Spare && w.rules.Limits.inside(f, w.rules.Guard*u) && d < off {
			shim, off = s, d
		}
	}
	return shim, off
}

func (w *springWork) plan() (SpringPlan, error) {
	rows := make([][]int64, len(w.seats))
	for i := range w.seats {
		for j := range w.springs {
			c := int64(assign.Never)
			if shim, off := w.best(i, j); shim >= 0 {
				c = square(off)
			}
			rows[i] = append(rows[i], c)
		}
	}
	m, err := assign.NewMatrix(rows)
	if err != nil {
		panic("allocate: " + err.Error())
	}
	l, err := assign.Min(m)
	if err != nil {
		return SpringPlan{}, tooFew(err, func(i int) string { return w.seats[i].ID }, func(j int) string { return w.springs[j].ID })
	}
	if err := l.Certify(m); err != nil {
		panic("allocate: " + err.Error())
	}
	n := len(w.seats)
	p := SpringPlan{Choices: make([]SpringChoice, n), Mean: mean(l.Cost, n), Proof: Proof{Method: "dual"}}
	low, high := int64(math.MaxInt64), int64(math.MinInt64)
	var chances []float64
	for i, j := range l.Col {
		shim, _ := w.best(i, j)
		f, u, left := w.load(i, j, shim)
		c := SpringChoice{ID: w.seats[i].ID, Spring: w.springs[j].ID, Shim: shim, Load: w.rules.Limits.standing(f, u), Off: f - w.rules.Target, Left: left}
		if other, err := l.Without(m, i, []int{j}); err == nil {
			c.Next, c.NextMean = w.springs[other.Col[i]].ID, mean(other.Cost, n)-p.Mean
		}
		low, high, chances = min(low, f), max(high, f), append(chances, c.Load.Chance)
		p.Choices[w.order[i]] = c
	}
	p.Spread, p.Within = high-low, together(chances)
	for j, s := range w.springs {
		if !slices.Contains(l.Col, j) {
			p.Left = append(p.Left, s.ID)
		}
	}
	return p, nil
}
