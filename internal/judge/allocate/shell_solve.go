package allocate

import (
	"slices"

	"fettle/internal/maths/assign"
)

// piece is what one bought half weighs where nothing but their number counts;
// worths below it are whole numbers too.
const piece = 1_000_000

// solve finds the best selection of the pairs that a filter keeps.
func (w *shellWork) solve(keep func(b int, o pair) bool) (answer, error) {
	if w.rules.Aim == Target {
		return w.finish(keep, nil)
	}
	first, err := w.finish(keep, nil)
	if err != nil {
		return answer{}, err
	}
	// What is bought comes before the aim, so first buys as little as can be.
	limit := int64(first.bought)*piece + 1
	if w.rules.Aim == Worst {
		return w.worst(keep, limit, first)
	}
	return w.spread(keep, limit, first)
}

// finish chooses by what is bought, then squares, then halves of one class, all
// in one sum; start is a selection that is known, or nil.
func (w *shellWork) finish(keep func(b int, o pair) bool, start []int) (answer, error) {
	n, most := int64(len(w.bearings)), int64(0)
	for i := range w.pairs {
		for _, o := range w.pairs[i] {
			most = max(most, square(w.off(o)))
		}
	}
	bought := n*(most*(n+1)+1) + 1
	t, back := w.task(keep, func(o pair) int64 { return o.bought*bought + square(w.off(o))*(n+1) + o.mixed })
	for i, k := range start {
		t.Start = append(t.Start, slices.Index(back[i], k))
	}
	s, err := assign.Select(t, nodes)
	if err != nil {
		return answer{}, err
	}
	a := w.figures(s.Option, back)
	a.proof = Proof{Method: "search", Nodes: s.Nodes}
	switch {
	case s.Gap() > 0:
		a.proof.Method = "open"
		least := max(0, s.Bound-int64(a.bought)*bought) / (n + 1)
		a.proof.Gap = a.mean - mean(min(least, a.squares), len(w.bearings))
	case s.Root == s.Cost:
		a.proof.Method = "dual"
	}
	return a, nil
}

// possible asks whether a filter leaves a selection that buys no more than it
// must, and gives one.
func (w *shellWork) possible(keep func(b int, o pair) bool, limit int64) (at []int, settled bool) {
	t, back := w.task(keep, func(o pair) int64 { return piece * o.bought })
	s, settled, err := assign.Below(t, limit, nodes)
	if err != nil {
		panic("allocate: " + err.Error())
	}
	if s.Option == nil {
		return nil, settled
	}
	return w.figures(s.Option, back).at, settled
}

// both joins two filters.
func both(a, b func(int, pair) bool) func(int, pair) bool {
	return func(i int, o pair) bool { return (a == nil || a(i, o)) && b(i, o) }
}

// levels lists a figure of the pairs kept, each once, in order.
func (w *shellWork) levels(keep func(b int, o pair) bool, figure func(o pair) int64) []int64 {
	var out []int64
	for i := range w.pairs {
		for _, o := range w.pairs[i] {
			if keep == nil || keep(i, o) {
				out = append(out, figure(o))
			}
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// worst halves the range of deviations until the least is found at which all can
// be served; then it chooses among what is no worse.
func (w *shellWork) worst(keep func(b int, o pair) bool, limit int64, first answer) (answer, error) {
	levels := w.levels(both(keep, func(_ int, o pair) bool { return w.off(o) <= first.worst }), w.off)
	within := func(top int64) func(int, pair) bool {
		return both(keep, func(_ int, o pair) bool { return w.off(o) <= top })
	}
	known := first.at
	lo, hi, open := 0, len(levels)-1, -1 // the answer lies from lo to hi, or from open if a question was left so
	for lo < hi {
		mid := (lo + hi) / 2
		at, settled := w.possible(within(levels[mid]), limit)
		switch {
		case at != nil:
			hi, known = mid, at
		default:
			if !settled && open < 0 {
				open = lo
			}
			lo = mid + 1
		}
	}
	a, err := w.finish(within(levels[hi]), known)
	if err != nil {
		return answer{}, err
	}
	a.lowerWorst = a.worst
	if open >= 0 {
		a.lowerWorst = levels[open]
		a.proof.Method, a.proof.Gap = "open", max(a.proof.Gap, float64(a.worst-a.lowerWorst))
	}
	return a, nil
}

// spread moves a band over the clearances and keeps the narrowest in which all
// can be served; of several it takes the one with the least sum of squares.
func (w *shellWork) spread(keep func(b int, o pair) bool, limit int64, first answer) (answer, error) {
	levels := w.levels(keep, func(o pair) int64 { return o.c })
	band := func(low, high int64) func(int, pair) bool {
		return both(keep, func(_ int, o pair) bool { return low <= o.c && o.c <= high })
	}
	known := map[int64][]int{}
	width, lows, sure := sweep(levels, first.spread, func(low, high int64) (bool, bool) {
		at, settled := w.possible(band(low, high), limit)
		if at != nil {
			known[low] = at // of the narrowest band from here on, the last that is asked about
		}
		return at != nil, settled
	})
	var best answer
	for k, low := range lows {
		a, err := w.finish(band(low, low+width), known[low])
		if err != nil {
			return answer{}, err
		}
		if k == 0 || a.squares < best.squares {
			best = a
		}
	}
	best.narrower = best.spread
	if best.proof.Gap == 0 {
		best.proof.Method = "sweep"
	}
	if !sure {
		best.narrower, best.proof = 0, Proof{Method: "open", Nodes: best.proof.Nodes, Gap: float64(best.spread)}
	}
	return best, nil
}
