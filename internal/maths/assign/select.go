package assign

import (
	"fmt"
	"slices"
)

// Option is one thing a position may be given: its cost and the kinds of which
// it takes one piece each. A kind that stands there twice gives two.
type Option struct {
	Cost  int64
	Takes []int
}

// Task is a choice of one option for each position from a shelf that holds so
// many pieces of each kind.
type Task struct {
	Stock   []int
	Options [][]Option // of each position
	// Start is a selection that is known, option by option, or nil: a better one
	// is looked for, and without one it stands.
	Start []int
}

// Selection is what was chosen, with the proof.
type Selection struct {
	Option []int // of each position
	Cost   int64
	Bound  int64 // no selection costs less
	// Dual is what a piece of each kind is worth; with these the bound of the
	// first look was found. Search says whether branches had to be tried besides.
	Dual  []int64
	Root  int64 // bound from the dual values alone
	Nodes int
}

// Gap is what the cost may be too large by; nought where it is proved.
func (s Selection) Gap() int64 { return s.Cost - s.Bound }

// Scarce is the error of positions that cannot all be served from the shelf;
// without any one of them the others can be.
type Scarce struct{ Positions []int }

func (s Scarce) Error() string {
	return "assign: positions " + places(s.Positions) + " cannot all be served from the shelf"
}

// mostCost bounds a single cost, so that sums and worths cannot run over.
const mostCost = int64(1) << 52

// Select finds the selection of least sum.
//
//	min Σᵢ c(i, oᵢ)  so that  Σᵢ q(k, oᵢ) ≤ Sₖ for each kind k
//
//	B(λ) = Σᵢ minₒ [c(i, o) + Σₖ λₖ q(k, o)] − Σₖ λₖ Sₖ,  λ ≥ 0
//
// B(λ) is no more than the cost of any selection, whatever λ: whole numbers are
// taken, so the bound is exact. Options whose place in it exceeds what has been
// found are struck out; what is left is searched depth first with the same
// bound, for so many nodes at most. Where the search ends by itself the answer
// is proved, else the gap is what is left between it and the bound.
//
// Shapes: p positions with o options each, s kinds -> p options.
// Units:  those of the costs.
// Errors: no positions; a cost above 2⁵² in size; stock below nought; a kind
// that is none; Scarce, with a smallest set to blame, if no selection exists; if
// none was found within the nodes allowed, an error that says so.
// Source: Lagrangian bounds, M. L. Fisher, Management Science 27 (1981) 1-18,
// subgradient steps after M. Held, P. Wolfe, H. P. Crowder, Mathematical
// Programming 6 (1974) 62-88; both from memory.
func Select(t Task, most int) (Selection, error) {
	if err := t.check(); err != nil {
		return Selection{}, err
	}
	s := newPicker(t, most)
	if t.Start != nil {
		s.begin(t.Start)
	}
	return s.selectAll(t)
}

// Below finds the selection of least sum among those that cost less than some
// amount, and reports whether the question was settled; without any, Option is
// nil. It is quicker than Select where nothing so cheap exists.
//
// Shapes: as Select.
// Units:  as Select.
// Errors: as Select, but for Scarce.
// Source: as Select.
func Below(t Task, limit int64, most int) (Selection, bool, error) {
	if err := t.check(); err != nil {
		return Selection{}, false, err
	}
	s := newPicker(t, most)
	s.upper = limit
	s.run()
	if s.best == nil {
		return Selection{Nodes: s.nodes}, !s.stopped, nil
	}
	return s.selection(), !s.stopped, nil
}

func (s *picker) selectAll(t Task) (Selection, error) {
	s.run()
	if s.best == nil && s.stopped {
		return Selection{}, fmt.Errorf("assign: no selection was found within %d nodes, and none was ruled out", s.most)
	}
	if s.best == nil {
		return Selection{}, Scarce{t.scarce(s.most)}
	}
	return s.selection(), nil
}

func (s *picker) selection() Selection {
	out := Selection{Option: s.best, Cost: s.upper, Bound: s.upper, Dual: s.dual, Root: min(s.root, s.upper), Nodes: s.nodes}
	if s.stopped {
		out.Bound = min(s.open, s.upper)
	}
	return out
}

func (t Task) check() error {
	if len(t.Options) == 0 {
		return fmt.Errorf("assign: no positions")
	}
	for k, n := range t.Stock {
		if n < 0 {
			return fmt.Errorf("assign: kind %d has a stock of %d", k+1, n)
		}
	}
	for i, list := range t.Options {
		for _, o := range list {
			if o.Cost > mostCost || o.Cost < -mostCost {
				return fmt.Errorf("assign: position %d has a cost of %d: at most %d in size", i+1, o.Cost, mostCost)
			}
			for _, k := range o.Takes {
				if k < 0 || k >= len(t.Stock) {
					return fmt.Errorf("assign: position %d takes of kind %d, and there are %d", i+1, k+1, len(t.Stock))
				}
			}
		}
	}
	if t.Start != nil && !newPicker(t, 1).begin(t.Start) {
		return fmt.Errorf("assign: the selection to start from is none")
	}
	return nil
}

// scarce leaves out one position after the other as long as the rest still
// cannot be served: what remains is to blame, and no part of it alone.
func (t Task) scarce(most int) []int {
	keep := make([]int, len(t.Options))
	for i := range keep {
		keep[i] = i
	}
	for k := len(keep) - 1; k >= 0; k-- {
		if len(keep) == 1 {
			break
		}
		fewer := slices.Delete(slices.Clone(keep), k, k+1)
		part := Task{Stock: t.Stock}
		for _, i := range fewer {
			part.Options = append(part.Options, t.Options[i])
		}
		if s := newPicker(part, most); !s.served() && !s.stopped {
			keep = fewer
		}
	}
	return keep
}

// served reports whether any selection exists at all.
func (s *picker) served() bool {
	for i := range s.t.Options {
		s.t.Options[i] = slices.Clone(s.t.Options[i])
		for k := range s.t.Options[i] {
			s.t.Options[i][k].Cost = 0
		}
	}
	s.run()
	return s.best != nil
}
