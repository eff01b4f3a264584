package compute

import (
	"math"
	"strconv"

	"fettle/internal/base/unit"
	"fettle/internal/maths/gum"
)

// Bounds of what one run may ask of the machine.
const (
	mostDraws  = 10_000_000
	mostDigits = 4
)

// options are the members that every budget takes.
func options() []string {
	return []string{"unit", "coverage", "degrees", "law", "draws", "adaptive", "seed", "correlation"}
}

// asked is what a budget is asked for.
type asked struct {
	p      float64
	whole  bool
	law    string
	draws  int
	digits int
	seed   int
}

func (b *budget) asked(t *tree) asked {
	a := asked{law: b.choice(t, "", "law", "auto", "student-t", "normal")}
	p, ok := b.pure(t, "", "coverage", 0.95)
	if ok && !(p > 0 && p < 1) {
		b.on(t.where("coverage"), "coverage").say("compute.probability", "name", "coverage", "found", t.get("coverage").text)
	}
	a.p = p
	a.whole = b.choice(t, "", "degrees", "unrounded", "whole") == "whole"
	a.draws = b.whole(t, "", "draws", 0, gum.LeastDraws, mostDraws)
	a.digits = b.whole(t, "", "adaptive", 0, 1, mostDigits)
	a.seed = b.whole(t, "", "seed", 1, 0, math.MaxInt32)
	return a
}

// Coverage is an expanded uncertainty.
type Coverage struct {
	P        string `json:"p"`
	K        string `json:"k"`
	Expanded string `json:"expanded"`
	Law      string `json:"law"`
	Dof      string `json:"dof"` // that k was taken from
	Low      string `json:"low"`
	High     string `json:"high"`
}

func (b *budget) coverage(n node, a asked) (*Coverage, error) {
	e, err := b.g.Expanded(n.id, a.p)
	if err != nil {
		return nil, err
	}
	if a.law == "normal" {
		e.Law, e.Dof = gum.ByNormal, math.Inf(1)
	}
	if a.law == "student-t" {
		e.Law = gum.ByStudent
	}
	if a.whole && !math.IsInf(e.Dof, 1) {
		e.Dof = math.Max(1, math.Floor(e.Dof))
	}
	if e.Law != gum.ByTrapezoid {
		if e.K, err = gum.Factor(a.p, e.Dof); err != nil {
			return nil, err
		}
		e.U = e.K * b.g.U(n.id)
	}
	y := b.g.Value(n.id)
	return &Coverage{P: percent(a.p), K: digitsOf(e.K), Expanded: n.write(e.U), Law: string(e.Law), Dof: digitsOf(e.Dof),
		Low: n.write(y - e.U), High: n.write(y + e.U)}, nil
}

func percent(p float64) string { return strconv.FormatFloat(100*p, 'g', 10, 64) + " %" }

// Second is what the terms after the first order do.
type Second struct {
	U      string `json:"u"`
	Shift  string `json:"shift"`
	Curved bool   `json:"curved"` // the first order cannot be relied on
}

// Draws is the distribution that Monte Carlo gave.
type Draws struct {
	Draws     int    `json:"draws"`
	Seed      int    `json:"seed"`
	P         string `json:"p"`
	Mean      string `json:"mean"`
	Deviation string `json:"deviation"`
	Low       string `json:"low"`
	High      string `json:"high"`
	ShortLow  string `json:"shortest_low"`
	ShortHigh string `json:"shortest_high"`
	Undefined int    `json:"undefined"`
	Heavy     bool   `json:"heavy"` // a cause has no deviation; only the intervals hold
	Stable    bool   `json:"stable"`
	Tolerance string `json:"tolerance,omitempty"`
}

func (b *budget) draw(n node, a asked) (*Draws, error) {
	s := gum.Sampling{Seed: uint64(a.seed), Draws: a.draws, Cover: a.p, Digits: a.digits}
	if a.digits > 0 && a.draws == 0 {
		s.Draws = mostDraws
	}
	cloud, err := b.g.Draw([]gum.ID{n.id}, s)
	if err != nil {
		return nil, err
	}
	c := cloud.Of[0]
	d := &Draws{Draws: cloud.Draws, Seed: a.seed, P: percent(a.p), Mean: n.write(c.Mean), Deviation: n.write(c.Deviation), Low: n.write(c.Low),
		High: n.write(c.High), ShortLow: n.write(c.ShortLow), ShortHigh: n.write(c.ShortHigh), Undefined: c.Undefined, Heavy: c.Heavy, Stable: cloud.Stable}
	if a.digits > 0 {
		d.Tolerance = n.write(c.Tolerance)
	}
	return d, nil
}

// usual is the unit of a result nobody chose: that of the input where it fits,
// else the first of its kind.
func usual(d unit.Dim, first string) string {
	if fd, _, ok := unit.Of(first); ok && fd == d {
		return first
	}
	if d == unit.Volume {
		return "cm³"
	}
	if d == unit.Speed {
		return "m/s"
	}
	return unit.Names(d)[0]
}
