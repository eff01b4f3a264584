package allocate

import (
	"math"
	"slices"
)

// Shell is a half shell, or several alike: of one class and role, or one piece
// whose wall was measured.
type Shell struct {
	ID        string
	Class     string
	Role      string // "upper", "lower", or "" for either
	Undersize int64  // of the journal it is made for, nought for standard
	Wall      Size
	Count     int
	Buy       bool // not on the shelf: Count may be bought
}

// Bearing is a place for two half shells.
type Bearing struct {
	ID               string
	Undersize        int64
	Housing, Journal Size
	Limits           Limits // of the clearance
}

// ShellRules say which halves go together and what is wanted.
type ShellRules struct {
	Target int64
	Aim    Aim
	Ladder []string // classes from thin to thick; none where classes do not count
	Steps  int      // most classes apart in one housing
	Guard  float64  // standard uncertainties that a clearance keeps off its limits
}

// ShellChoice is what one bearing gets.
type ShellChoice struct {
	ID           string
	Upper, Lower string
	Clearance    Standing
	Off          int64 // clearance less the target
	Binds        string
	Next         *ShellNext // nil where there is nothing else
}

// ShellNext is the best that could be done without this choice, over the whole
// engine.
type ShellNext struct {
	Upper, Lower string
	Clearance    int64
	More         int     // to buy
	Worst        int64   // how much farther off the worst place would be
	Mean         float64 // how much the root mean square deviation would grow
}

// ShellPlan is the choice for all bearings.
type ShellPlan struct {
	Choices        []ShellChoice
	Buy            []Purchase
	Worst          int64   // largest deviation from the target
	Mean           float64 // root mean square deviation
	Squares        int64   // sum of squared deviations
	Spread         int64   // largest less smallest clearance
	Within         float64 // least chance that all lie within
	Left           []Purchase
	Proof          Proof
	LowerWorst     int64 // no selection has a worst place nearer than this; aim worst only
	NarrowerSpread int64 // no selection has less; aim spread only
}

// Purchase is a kind with a number of pieces.
type Purchase struct {
	ID    string
	Count int
}

// Shells chooses two halves for each bearing.
//
//	c = H − w_u − w_l − J
//
// Two halves go together if their undersize is the bearing's, their roles are
// theirs, and their classes are no more than Steps apart on the ladder. What is
// bought counts first, then the aim, then the sum of squares, then that the two
// halves are of one class.
//
// Shapes: b bearings, s kinds of shell -> b choices of two.
// Units:  nm.
// Errors: names that are missing or stand twice; sizes that are none; stock below
// nought; a class that is not on the ladder; bearings that cannot all be served,
// with a smallest set of them and what is on the shelf for these.
// Source: common practice, no source, for the rules; assign.Select for the proof.
func Shells(bearings []Bearing, shells []Shell, rules ShellRules) (ShellPlan, error) {
	w, err := newShellWork(bearings, shells, rules)
	if err != nil {
		return ShellPlan{}, err
	}
	best, err := w.solve(nil)
	if err != nil {
		return ShellPlan{}, w.blame(err)
	}
	return w.plan(best), nil
}

func (w *shellWork) plan(best answer) ShellPlan {
	p := ShellPlan{Choices: make([]ShellChoice, len(w.bearings)), Proof: best.proof, Worst: best.worst, Mean: best.mean,
		Squares: best.squares, Spread: best.spread, LowerWorst: best.lowerWorst, NarrowerSpread: best.narrower}
	left := make([]int, len(w.shells))
	for k, s := range w.shells {
		left[k] = s.Count
	}
	for i := range w.bearings {
		o := w.pairs[i][best.at[i]]
		left[o.upper]--
		left[o.lower]--
	}
	var chances []float64
	used, given := map[string]int{}, make([]int, len(w.shells))
	give := func(k int) string {
		id := w.names[k][given[k]]
		given[k]++
		used[id]++
		return id
	}
	for i, b := range w.bearings {
		o := w.pairs[i][best.at[i]]
		c := ShellChoice{ID: b.ID, Upper: give(o.upper), Lower: give(o.lower), Clearance: b.Limits.standing(o.c, o.u), Off: o.c - w.rules.Target}
		c.Binds = w.binds(i, o, left)
		c.Next = w.next(i, best)
		chances = append(chances, c.Clearance.Chance)
		p.Choices[w.order[i]] = c
	}
	p.Within = together(chances)
	for _, s := range w.shelf {
		if n := used[s.ID]; n > 0 && s.Buy {
			p.Buy = append(p.Buy, Purchase{s.ID, n})
		} else if !s.Buy {
			p.Left = append(p.Left, Purchase{s.ID, s.Count - n})
		}
	}
	return p
}

// next is the best selection in which a bearing has not what it has.
func (w *shellWork) next(i int, best answer) *ShellNext {
	was := w.pairs[i][best.at[i]]
	other, err := w.solve(func(b int, o pair) bool {
		return b != i || o.upper != was.upper || o.lower != was.lower
	})
	if err != nil {
		return nil
	}
	o := w.pairs[i][other.at[i]]
	return &ShellNext{Upper: w.shells[o.upper].ID, Lower: w.shells[o.lower].ID, Clearance: o.c, More: other.bought - best.bought,
		Worst: other.worst - best.worst, Mean: other.mean - best.mean}
}

// binds names what keeps a bearing from a clearance nearer to its target:
// "stock", if a nearer pair that the rules allow is spoken for; "aim", if it is
// there and the aim would suffer; "classes" or "role", if a rule forbids a nearer
// pair; "none", if nothing on the shelf comes nearer.
func (w *shellWork) binds(i int, o pair, left []int) string {
	off := func(c int64) int64 { return max(c-w.rules.Target, w.rules.Target-c) }
	for _, q := range w.pairs[i] {
		if off(q.c) < off(o.c) {
			need := slices.Clone(left)
			need[o.upper]++
			need[o.lower]++
			need[q.upper]--
			need[q.lower]--
			if need[q.upper] < 0 || need[q.lower] < 0 {
				return "stock"
			}
			return "aim"
		}
	}
	b := w.bearings[i]
	for _, why := range []string{"classes", "role"} {
		for a, u := range w.shells {
			for z, l := range w.shells {
				if u.Count < 1 || l.Count < 1 || a == z && u.Count < 2 {
					continue
				}
				if got := w.forbids(b, u, l); got == why && off(b.clearance(u, l)) < off(o.c) {
					return why
				}
			}
		}
	}
	return "none"
}

func (b Bearing) clearance(u, l Shell) int64 {
	return b.Housing.N - u.Wall.N - l.Wall.N - b.Journal.N
}

func (b Bearing) doubt(u, l Shell) float64 {
	return doubt(term{1, b.Housing}, term{-1, u.Wall}, term{-1, l.Wall}, term{-1, b.Journal})
}

// mean is the root of a mean square.
func mean(squares int64, n int) float64 { return math.Sqrt(float64(squares) / float64(n)) }
