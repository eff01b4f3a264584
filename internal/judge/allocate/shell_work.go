package allocate

import (
	"errors"
	"math"
	"slices"

	"fettle/internal/maths/assign"
)

// mostBearings bounds what squares and pieces can be weighed against one another
// in whole numbers.
const mostBearings = 40

// pair is two halves that go into one housing.
type pair struct {
	upper, lower int
	c            int64
	u            float64
	bought       int64
	mixed        int64
}

// shellWork is the task with places and kinds by name.
type shellWork struct {
	bearings []Bearing
	shells   []Shell    // pieces that do not differ are one kind
	names    [][]string // of each kind, its pieces as far as they can be needed
	shelf    []Shell    // as handed over, by name
	rules    ShellRules
	order    []int    // where each bearing stood
	pairs    [][]pair // that the rules allow within the limits
}

// answer is one selection with its figures.
type answer struct {
	at                   []int
	worst, squares       int64
	spread               int64
	mean                 float64
	bought               int
	lowerWorst, narrower int64
	proof                Proof
}

func newShellWork(bearings []Bearing, shells []Shell, rules ShellRules) (*shellWork, error) {
	w := &shellWork{rules: rules, order: ordered(bearings, func(b Bearing) string { return b.ID })}
	var names, kinds []string
	for _, i := range w.order {
		w.bearings = append(w.bearings, bearings[i])
		names = append(names, bearings[i].ID)
	}
	for _, i := range ordered(shells, func(s Shell) string { return s.ID }) {
		w.shelf = append(w.shelf, shells[i])
		kinds = append(kinds, shells[i].ID)
	}
	if err := errors.Join(named("bearing", names), named("shell", kinds)); err != nil {
		return nil, err
	}
	if len(bearings) == 0 || len(bearings) > mostBearings || len(shells) == 0 {
		return nil, refuse("fits.count", "kind", "bearings", "least", "1", "most", "40")
	}
	if rules.Steps < 0 || !(rules.Guard >= 0) || !slices.Contains(Aims(), string(rules.Aim)) {
		return nil, refuse("fits.rules")
	}
	for _, b := range w.bearings {
		if err := errors.Join(sound(b.ID, b.Housing), sound(b.ID, b.Journal)); err != nil {
			return nil, err
		}
	}
	for _, s := range w.shelf {
		if err := errors.Join(sound(s.ID, s.Wall), held(s.ID, s.Count)); err != nil {
			return nil, err
		}
		if s.Role != "" && s.Role != "upper" && s.Role != "lower" {
			return nil, refuse("fits.role", "name", s.ID, "found", s.Role)
		}
		if len(rules.Ladder) > 0 && !slices.Contains(rules.Ladder, s.Class) {
			return nil, refuse("fits.class", "name", s.ID, "found", s.Class, "expected", list(rules.Ladder))
		}
	}
	w.merge()
	w.pairs = make([][]pair, len(w.bearings))
	for i, b := range w.bearings {
		w.pairs[i] = w.pairsOf(b)
	}
	return w, nil
}

// merge makes one kind of pieces that differ in name alone.
func (w *shellWork) merge() {
	for _, s := range w.shelf {
		k := slices.IndexFunc(w.shells, func(o Shell) bool {
			return o.Class == s.Class && o.Role == s.Role && o.Undersize == s.Undersize && o.Buy == s.Buy && o.Wall.N == s.Wall.N && o.Wall.U == s.Wall.U && slices.Equal(o.Wall.Shared, s.Wall.Shared)
		})
		if k < 0 {
			k, w.shells, w.names = len(w.shells), append(w.shells, s), append(w.names, nil)
		} else {
			w.shells[k].Count += s.Count
		}
		for range min(s.Count, 2*len(w.bearings)) {
			w.names[k] = append(w.names[k], s.ID)
		}
	}
}

func (w *shellWork) pairsOf(b Bearing) []pair {
	var out []pair
	for a, u := range w.shells {
		for z, l := range w.shells {
			if u.Count < 1 || l.Count < 1 || a == z && u.Count < 2 || w.forbids(b, u, l) != "" || z < a && u.Role == l.Role {
				continue // two halves for either role are one pair, not two
			}
			p := pair{upper: a, lower: z, c: b.clearance(u, l), u: b.doubt(u, l)}
			for _, s := range []Shell{u, l} {
				if s.Buy {
					p.bought++
				}
			}
			if u.Class != l.Class {
				p.mixed = 1
			}
			if b.Limits.inside(p.c, w.rules.Guard*p.u) {
				out = append(out, p)
			}
		}
	}
	return out
}

// forbids names the rule by which two halves do not go together.
func (w *shellWork) forbids(b Bearing, u, l Shell) string {
	apart := slices.Index(w.rules.Ladder, u.Class) - slices.Index(w.rules.Ladder, l.Class)
	switch {
	case u.Undersize != b.Undersize || l.Undersize != b.Undersize:
		return "undersize"
	case u.Role == "lower" || l.Role == "upper":
		return "role"
	case len(w.rules.Ladder) > 0 && max(apart, -apart) > w.rules.Steps:
		return "classes"
	}
	return ""
}

func (w *shellWork) off(o pair) int64 { return max(o.c-w.rules.Target, w.rules.Target-o.c) }

// task makes the task of the pairs that a filter keeps, with a cost of each; the
// index of an option in it leads back by the second result.
func (w *shellWork) task(keep func(b int, o pair) bool, cost func(o pair) int64) (assign.Task, [][]int) {
	t := assign.Task{Options: make([][]assign.Option, len(w.bearings))}
	back := make([][]int, len(w.bearings))
	for _, s := range w.shells {
		t.Stock = append(t.Stock, s.Count)
	}
	for i := range w.bearings {
		for k, o := range w.pairs[i] {
			if keep == nil || keep(i, o) {
				t.Options[i] = append(t.Options[i], assign.Option{Cost: cost(o), Takes: []int{o.upper, o.lower}})
				back[i] = append(back[i], k)
			}
		}
	}
	return t, back
}

// figures works out what a selection comes to.
func (w *shellWork) figures(option []int, back [][]int) answer {
	a := answer{at: make([]int, len(option))}
	low, high := int64(math.MaxInt64), int64(math.MinInt64)
	for i, k := range option {
		a.at[i] = back[i][k]
		o := w.pairs[i][a.at[i]]
		a.worst = max(a.worst, w.off(o))
		a.squares += square(w.off(o))
		a.bought += int(o.bought)
		low, high = min(low, o.c), max(high, o.c)
	}
	a.spread, a.mean = high-low, mean(a.squares, len(option))
	return a
}

// pieces lists those of a kind by name, with what is there of each.
func (w *shellWork) pieces(k int) []string {
	var out []string
	for _, s := range w.shelf {
		if slices.Contains(w.names[k], s.ID) {
			out = append(out, pieces(s.ID, s.Count))
		}
	}
	return out
}

// blame says which bearings cannot all be served, and from what.
func (w *shellWork) blame(err error) error {
	var s assign.Scarce
	if !errors.As(err, &s) {
		return err
	}
	var who, what []string
	for _, i := range s.Positions {
		who = append(who, w.bearings[i].ID)
	}
	for k := range w.shells {
		if slices.ContainsFunc(s.Positions, func(i int) bool {
			return slices.ContainsFunc(w.pairs[i], func(o pair) bool { return o.upper == k || o.lower == k })
		}) {
			what = append(what, w.pieces(k)...)
		}
	}
	return short(who, what)
}
