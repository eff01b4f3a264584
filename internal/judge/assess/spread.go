package assess

import (
	"math"
	"strconv"

	"fettle/internal/base/unit"
	"fettle/internal/judge/rule"
	"fettle/internal/maths/gum"
)

// Interval is the coverage interval of a value, of about 95 %, with one place
// more than the value; ok is false for what has no doubt.
//
//	y − k·u … y + k·u
//
// Shapes: value -> two decimals.
// Units:  that of the value.
// Errors: none.
// Source: JCGM 100:2008, 6.2 and G.3.
func (a *Assessment) Interval(v *Value) (low, high string, ok bool) {
	if !v.Has || v.Check || a.e == nil || !(v.SU > 0) {
		return "", "", false
	}
	reach, places := rule.Coverage(a.e.g.Dof(v.node))*v.SU, v.Place.Char.Decimals+1
	return unit.Format(v.SI-reach, v.Unit, places), unit.Format(v.SI+reach, v.Unit, places), true
}

// Spread is how a value is spread, from a modest number of draws with a seed of
// its own: a picture, not the figure that a verdict rests on.
type Spread struct {
	Draws     int
	Low, High string // between which 95 % of them lie, in Unit
	Within    string // the part inside the limits, decimal; "" without a limit
	Unit      string
	Curved    bool // the first order alone would not do here

	// From the first to the last class, and the density in each; the limits and
	// the value, all in Unit, for drawing.
	From, To float64
	Bars     []float64
	Lo, Hi   *float64
	LowAt    float64 // of Low and High
	HighAt   float64
	Y        float64
}

// The draws of a picture.
const (
	pictureDraws = 20000
	fittedDraws  = 1000 // where each draw is a fit of its own
	pictureSeed  = 20261
	pictureBars  = 48
)

// Spread draws the distribution of one value; ok is false for what has no doubt.
// The same value gives the same picture.
//
// Source: JCGM 101:2008, clause 7.
func (a *Assessment) Spread(v *Value) (s Spread, ok bool) {
	if !v.Has || v.Check || a.e == nil || !(v.SU > 0) {
		return s, false
	}
	draws := pictureDraws
	switch v.Place.Char.Relation {
	case "flatness", "straightness", "adjacent-misalignment":
		draws = fittedDraws
	}
	c, err := a.e.g.Draw([]gum.ID{v.node}, gum.Sampling{Seed: pictureSeed, Draws: draws})
	if err != nil {
		return s, false
	}
	of := &c.Of[0]
	places := v.Place.Char.Decimals + 1
	s = Spread{Draws: draws, Unit: v.Unit, Low: unit.Format(of.Low, v.Unit, places), High: unit.Format(of.High, v.Unit, places),
		Curved: a.e.g.SecondOrder(v.node).Curved, Y: unit.FromSI(v.SI, v.Unit)}
	lo, hi := of.Quantile(0.0005), of.Quantile(0.9995)
	if !(hi > lo) {
		return s, false
	}
	s.From, s.To = unit.FromSI(lo, v.Unit), unit.FromSI(hi, v.Unit)
	s.LowAt, s.HighAt = unit.FromSI(of.Low, v.Unit), unit.FromSI(of.High, v.Unit)
	s.Bars = of.Bars(lo, hi, pictureBars)
	if v.Limit == nil {
		return s, true
	}
	from, to := math.Inf(-1), math.Inf(1)
	if v.Limit.Lo != nil {
		from = *v.Limit.Lo
		x := unit.FromSI(from, v.Unit)
		s.Lo = &x
	}
	if v.Limit.Hi != nil {
		to = *v.Limit.Hi
		x := unit.FromSI(to, v.Unit)
		s.Hi = &x
	}
	s.Within = strconv.FormatFloat(of.Within(from, to), 'f', 3, 64)
	return s, true
}
