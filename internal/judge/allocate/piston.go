package allocate

import (
	"errors"
	"math"
	"slices"

	"fettle/internal/maths/assign"
)

// Hole is a bore that takes a shaft: a cylinder its piston, a piston its pin.
type Hole struct {
	ID     string
	Size   Size
	Limits Limits // of the clearance
}

// Shaft is a part that goes into a hole.
type Shaft struct {
	ID   string
	Size Size
}

// PairRules say what is wanted of clearances.
type PairRules struct {
	Target int64
	Aim    Aim
	Guard  float64 // standard uncertainties that a clearance keeps off its limits
}

// PairChoice is the shaft of one hole.
type PairChoice struct {
	ID, Shaft string
	Clearance Standing
	Off       int64
	Binds     string // "engine" where a nearer shaft serves another hole, "none"
	Next      *PairNext
}

// PairNext is the best that could be done without this choice, over all holes.
type PairNext struct {
	Shaft     string
	Clearance int64
	Worst     int64   // how much farther off the worst would be
	Spread    int64   // how much wider the spread
	Mean      float64 // how much the root mean square deviation would grow
}

// PairPlan is the choice for all holes.
type PairPlan struct {
	Choices []PairChoice
	Worst   int64
	Spread  int64
	Squares int64
	Mean    float64
	Within  float64
	Left    []string // shafts without a hole
	Proof   Proof
}

const mostPairs = 400

// Pairs chooses a shaft for each hole.
//
//	c = D − d
//
// Least sum of squares, least worst deviation or least spread, as the aim says;
// the sum of squares decides between equals.
//
// Shapes: n holes, m ≥ n shafts -> n choices.
// Units:  nm.
// Errors: names that are missing or stand twice; sizes that are none; fewer shafts
// than holes; holes that cannot all be served within limits, with a smallest set
// of them and the shafts that these could take.
// Source: common practice, no source; assign.Min, Bottleneck and Closest for the
// proof.
func Pairs(holes []Hole, shafts []Shaft, rules PairRules) (PairPlan, error) {
	w, err := newPairWork(holes, shafts, rules)
	if err != nil {
		return PairPlan{}, err
	}
	best, err := w.solve(-1, -1)
	if err != nil {
		return PairPlan{}, tooFew(err, func(i int) string { return w.holes[i].ID }, func(j int) string { return w.shafts[j].ID })
	}
	return w.plan(best), nil
}

type pairWork struct {
	holes  []Hole
	shafts []Shaft
	rules  PairRules
	order  []int
}

type pairAnswer struct {
	col           []int
	worst, spread int64
	squares       int64
}

func newPairWork(holes []Hole, shafts []Shaft, rules PairRules) (*pairWork, error) {
	w := &pairWork{rules: rules, order: ordered(holes, func(h Hole) string { return h.ID })}
	var names, kinds []string
	for _, i := range w.order {
		w.holes, names = append(w.holes, holes[i]), append(names, holes[i].ID)
		if err := sound(holes[i].ID, holes[i].Size); err != nil {
			return nil, err
		}
	}
	for _, i := range ordered(shafts, func(s Shaft) string { return s.ID }) {
		w.shafts, kinds = append(w.shafts, shafts[i]), append(kinds, shafts[i].ID)
		if err := sound(shafts[i].ID, shafts[i].Size); err != nil {
			return nil, err
		}
	}
	if err := errors.Join(named("hole", names), named("shaft", kinds)); err != nil {
		return nil, err
	}
	if len(holes) == 0 || len(holes) > mostBearings || len(shafts) < len(holes) || len(shafts) > mostPairs {
		return nil, refuse("fits.enough", "holes", digits(len(holes)), "shafts", digits(len(shafts)))
	}
	if !(rules.Guard >= 0) || !slices.Contains(Aims(), string(rules.Aim)) {
		return nil, refuse("fits.rules")
	}
	return w, nil
}

func (w *pairWork) clearance(i, j int) (int64, float64) {
	h, s := w.holes[i], w.shafts[j]
	return h.Size.N - s.Size.N, doubt(term{1, h.Size}, term{-1, s.Size})
}

// matrix holds a figure of each pair within limits, but for one that is left out.
func (w *pairWork) matrix(hole, shaft int, figure func(c int64) int64) assign.Matrix {
	rows := make([][]int64, len(w.holes))
	for i, h := range w.holes {
		for j := range w.shafts {
			c, u := w.clearance(i, j)
			if i == hole && j == shaft || !h.Limits.inside(c, w.rules.Guard*u) {
				rows[i] = append(rows[i], assign.Never)
			} else {
				rows[i] = append(rows[i], figure(c))
			}
		}
	}
	m, err := assign.NewMatrix(rows)
	if err != nil {
		panic("allocate: " + err.Error())
	}
	return m
}

func (w *pairWork) off(c int64) int64 { return max(c-w.rules.Target, w.rules.Target-c) }

// solve finds the best choice without one pair; −1 for none.
func (w *pairWork) solve(hole, shaft int) (pairAnswer, error) {
	type window struct{ low, high int64 }
	all := []window{{math.MinInt64, math.MaxInt64}}
	switch w.rules.Aim {
	case Worst:
		b, err := assign.Bottleneck(w.matrix(hole, shaft, w.off))
		if err != nil {
			return pairAnswer{}, err
		}
		all = []window{{w.rules.Target - b.Cost, w.rules.Target + b.Cost}}
	case Spread:
		b, err := assign.Closest(w.matrix(hole, shaft, func(c int64) int64 { return c }))
		if err != nil {
			return pairAnswer{}, err
		}
		all = nil
		for _, low := range b.Lows {
			all = append(all, window{low, low + b.Width})
		}
	}
	var best pairAnswer
	for k, in := range all {
		m := w.matrix(hole, shaft, func(c int64) int64 {
			if c < in.low || c > in.high {
				return assign.Never
			}
			return square(w.off(c))
		})
		l, err := assign.Min(m)
		if err == nil && l.Certify(m) != nil {
			panic("allocate: an assignment does not prove itself")
		}
		if err != nil {
			return pairAnswer{}, err
		}
		if k == 0 || l.Cost < best.squares {
			best = pairAnswer{col: l.Col, squares: l.Cost}
		}
	}
	low, high := int64(math.MaxInt64), int64(math.MinInt64)
	for i, j := range best.col {
		c, _ := w.clearance(i, j)
		best.worst, low, high = max(best.worst, w.off(c)), min(low, c), max(high, c)
	}
	best.spread = high - low
	return best, nil
}

func (w *pairWork) plan(best pairAnswer) PairPlan {
	n := len(w.holes)
	p := PairPlan{Choices: make([]PairChoice, n), Worst: best.worst, Spread: best.spread, Squares: best.squares, Mean: mean(best.squares, n), Proof: Proof{Method: "dual"}}
	if w.rules.Aim == Spread {
		p.Proof.Method = "sweep"
	}
	var chances []float64
	for i, j := range best.col {
		y, u := w.clearance(i, j)
		c := PairChoice{ID: w.holes[i].ID, Shaft: w.shafts[j].ID, Clearance: w.holes[i].Limits.standing(y, u), Off: y - w.rules.Target, Binds: "none"}
		for k := range w.shafts {
			if y2, _ := w.clearance(i, k); w.off(y2) < w.off(y) {
				c.Binds = "engine"
			}
		}
		if other, err := w.solve(i, j); err == nil {
			y2, _ := w.clearance(i, other.col[i])
			c.Next = &PairNext{Shaft: w.shafts[other.col[i]].ID, Clearance: y2, Worst: other.worst - best.worst,
				Spread: other.spread - best.spread, Mean: mean(other.squares, n) - p.Mean}
		}
		chances = append(chances, c.Clearance.Chance)
		p.Choices[w.order[i]] = c
	}
	p.Within = together(chances)
	for j, s := range w.shafts {
		if !slices.Contains(best.col, j) {
			p.Left = append(p.Left, s.ID)
		}
	}
	return p
}

// Fit is the clearance of one part in one bore, with its chance and its verdict.
//
//	c = D − d
//
// Shapes: two sizes -> standing.
// Units:  nm.
// Errors: sizes that are none.
// Source: common practice, no source.
func Fit(hole, shaft Size, limits Limits) (Standing, error) {
	if err := errors.Join(sound("hole", hole), sound("shaft", shaft)); err != nil {
		return Standing{}, err
	}
	return limits.standing(hole.N-shaft.N, doubt(term{1, hole}, term{-1, shaft})), nil
}
