package assign

import (
	"fmt"
	"slices"
	"sort"
)

// Halves is a set of values split in two.
type Halves struct {
	First      []bool // which are in the first half
	Difference int64
	Bound      int64 // no split is closer than this
	Greedy     int64 // difference that taking the largest first leaves
	Paired     int64 // difference that pairing the two largest leaves
	Nodes      int
}

// Gap is what the difference may be too large by; nought where it is proved.
func (h Halves) Gap() int64 { return h.Difference - h.Bound }

// Split divides values into two halves whose sums differ least.
//
//	min over S of |Σ_{i∈S} xᵢ − Σ_{i∉S} xᵢ|
//
// The largest two values are put apart (their difference goes on in their
// place) or together (their sum), the former first; a branch ends where the
// largest outweighs all else. Sums differ by an even amount if the total is
// even, so 0 or 1 ends the search.
//
// Shapes: n ≥ 1 values, most steps ≥ 1 -> n halves.
// Units:  any, kept.
// Errors: no values; a negative value; a total over 2⁶⁰.
// Source: R. E. Korf, A complete anytime algorithm for number partitioning,
// Artificial Intelligence 106 (1998) 181-203; differencing after N. Karmarkar
// and R. M. Karp, 1982; both from memory.
func Split(x []int64, most int) (Halves, error) {
	var total int64
	for i, v := range x {
		if v < 0 || v > 1<<60-total {
			return Halves{}, fmt.Errorf("assign: value %d is %d: values from 0 and a total up to 2⁶⁰ are needed", i+1, v)
		}
		total += v
	}
	if len(x) == 0 {
		return Halves{}, fmt.Errorf("assign: no values to split")
	}
	s := &splitter{most: most, best: Never, parity: total % 2}
	heap := make([]lump, len(x))
	for i, v := range x {
		heap[i] = lump{v, i}
	}
	slices.SortFunc(heap, heavier)
	out := Halves{Greedy: greedy(heap), First: make([]bool, len(x))}
	s.visit(heap, total)
	out.Difference, out.Paired, out.Nodes, out.Bound = s.best, s.first, s.nodes, s.best
	if s.stopped {
		out.Bound = s.parity
	}
	// The tree of pairs, coloured: apart changes side, together keeps it.
	side := map[int]bool{s.root: true}
	for k := len(s.plan) - 1; k >= 0; k-- {
		side[s.plan[k].b] = side[s.plan[k].a] != s.plan[k].apart
	}
	for i := range x {
		out.First[i] = side[i]
	}
	return out, nil
}

// lump is a value or what became of several, known by one of its members.
type lump struct {
	x  int64
	at int
}

func heavier(a, b lump) int {
	switch {
	case a.x != b.x && a.x > b.x:
		return -1
	case a.x != b.x:
		return 1
	}
	return a.at - b.at
}

// join says that b went to the other side than a, or to the same.
type join struct {
	a, b  int
	apart bool
}

type splitter struct {
	most, nodes int
	best, first int64
	parity      int64
	stopped     bool
	path, plan  []join
	root        int
}

func (s *splitter) visit(heap []lump, total int64) {
	if s.best == s.parity {
		return
	}
	if s.nodes++; s.nodes > s.most && s.best != Never {
		s.stopped = true
		return
	}
	// The rest on the other side of the largest is the best that can be done.
	if rest := total - heap[0].x; len(heap) == 1 || heap[0].x >= rest {
		d := heap[0].x - rest
		if s.best == Never {
			s.first = d
		}
		if d < s.best {
			s.best, s.root = d, heap[0].at
			s.plan = slices.Clone(s.path)
			for _, l := range heap[1:] {
				s.plan = append(s.plan, join{heap[0].at, l.at, true})
			}
		}
		return
	}
	a, b := heap[0], heap[1]
	for _, apart := range []bool{true, false} {
		l, t := lump{a.x + b.x, a.at}, total
		if apart {
			l.x, t = a.x-b.x, total-2*b.x
		}
		next := append(make([]lump, 0, len(heap)-1), heap[2:]...)
		k := sort.Search(len(next), func(k int) bool { return heavier(next[k], l) > 0 })
		s.path = append(s.path, join{a.at, b.at, apart})
		s.visit(slices.Insert(next, k, l), t)
		s.path = s.path[:len(s.path)-1]
	}
}

// greedy is the difference where each value, largest first, goes to the lighter
// half.
func greedy(heap []lump) int64 {
	var d int64
	for _, l := range heap {
		if d > 0 {
			d -= l.x
		} else {
			d += l.x
		}
	}
	return max(d, -d)
}
