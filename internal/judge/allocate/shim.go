package allocate

import (
	"errors"
	"math"
	"slices"

	"fettle/internal/base/fault"
)

// Valve is a place for a shim, with the shim that was in it.
type Valve struct {
	ID         string
	Shim, Lash Size // as measured
	Ratio      float64
	RatioU     float64 // standard uncertainty of the ratio
	Target     int64   // lash wanted
	Limits     Limits  // of the lash; both sides
}

// Spare is a shim on the shelf, or several alike.
type Spare struct {
	ID    string
	Size  Size
	Count int
	Buy   bool // not on the shelf: Count may be bought
}

// Rungs are the sizes of shim that can be bought in any number.
type Rungs struct {
	From, To, Step int64
	U              float64 // standard uncertainty of one as delivered
}

// ShimRules say what is wanted.
type ShimRules struct {
	Ladder Rungs   // none where Step is nought
	Guard  float64 // standard uncertainties that a lash keeps off its limits
}

// Where a shim comes from.
const (
	FromBench = "bench" // taken out of a valve of this engine
	FromShelf = "shelf"
	FromShop  = "buy"
	FromNone  = "none" // nothing fits within the limits
)

// ShimChoice is what one valve gets.
type ShimChoice struct {
	ID        string
	Wanted    int64 // thickness that would give the target
	Low, High int64 // window of thickness
	From      string
	Part      string // valve it came out of, spare, or size to buy
	Shim      int64
	Lash      Standing
	Off       int64 // lash less the target
	Binds     string
	Next      *ShimNext
}

// ShimNext is the best that could be done without this choice, over the whole
// engine: how many fewer of the engine's own shims would be used, how many more
// bought, how many more valves left without, and how much the root mean square
// deviation would grow.
type ShimNext struct {
	From, Part string
	Shim, Lash int64
	Fewer      int
	More       int
	Without    int
	Mean       float64
}

// ShimPlan is the choice for all valves.
type ShimPlan struct {
	Choices               []ShimChoice
	Bench, Shelf, Bought  int
	Without               []string // valves for which nothing fits
	Buy                   []Purchase
	Spare                 []string // valves whose shim is left over
	Mean                  float64  // root mean square deviation of the lash, valves with a shim
	Squares               int64
	Within                float64
	Proof                 Proof
	InSpec, InSpecBySwaps int // lash within limits as found, and with the engine's own shims only
}

const (
	mostValves = 64
	mostSpares = 5000
	mostWindow = int64(300_000) // of lash; beyond it squares could not be weighed
)

// Shims chooses a shim for each valve.
//
//	N = T + R·(g − g_target)
//	g′ = g + (T − N)/R
//
// R is the movement at the shim for one of the feeler. First as many valves as
// can be get a shim; then as many as can be a shim that was in this engine; then
// as few as can be are bought; then the sum of squared deviations from the target
// is least, and between equals the looser lash.
//
// Shapes: v valves, s spares -> v choices.
// Units:  nm; R none.
// Errors: names that are missing or stand twice; sizes and ratios that are none;
// limits that are missing, or 0.3 mm apart or more; stock below nought; a ladder
// without a step. A valve for which nothing fits is no error but a finding.
// Source: common practice, no source, for equation and order; assign.Min for the
// proof.
func Shims(valves []Valve, spares []Spare, rules ShimRules) (ShimPlan, error) {
	w, err := newShimWork(valves, spares, rules)
	if err != nil {
		return ShimPlan{}, err
	}
	return w.plan()
}

// After is the lash that a shim would give.
//
//	g′ = g + (T − N)/R
//
// Shapes: scalars -> scalar.
// Units:  nm; R none.
// Errors: none.
// Source: common practice, no source.
func (v Valve) After(n int64) int64 {
	return int64(math.Round(float64(v.Lash.N) + float64(v.Shim.N-n)/v.Ratio))
}

// thickness is the shim that would give a lash.
func (v Valve) thickness(lash int64) int64 {
	return int64(math.Round(float64(v.Shim.N) + v.Ratio*float64(v.Lash.N-lash)))
}

// doubtAfter is the standard uncertainty of the lash that a shim would give. What
// its own shim is matters to no lash, for the shim does not change.
//
//	∂g′/∂g = 1,  ∂g′/∂T = −∂g′/∂N = 1/R,  ∂g′/∂R = −(T − N)/R²
func (v Valve) doubtAfter(n Size, own bool) float64 {
	if own {
		return doubt(term{1, v.Lash})
	}
	moved := float64(v.Shim.N-n.N) / (v.Ratio * v.Ratio)
	return math.Hypot(doubt(term{1, v.Lash}, term{1 / v.Ratio, v.Shim}, term{-1 / v.Ratio, n}), moved*v.RatioU)
}

func (v Valve) check() error {
	switch {
	case !(v.Ratio >= 0.2 && v.Ratio <= 10) || !(v.RatioU >= 0 && v.RatioU < 1):
		return refuse("fits.ratio", "name", v.ID)
	case v.Limits.Low == nil || v.Limits.High == nil || !(*v.Limits.Low < *v.Limits.High) || *v.Limits.High-*v.Limits.Low > mostWindow:
		return refuse("fits.lash-limits", "name", v.ID)
	case v.Lash.N < 0 || v.Lash.N > mostOff*10 || !(v.Lash.U >= 0):
		return refuse("fits.lash", "name", v.ID)
	}
	return sound(v.ID, v.Shim)
}

// sizes lists the rungs, thin to thick.
func (r Rungs) sizes() ([]int64, error) {
	if r.Step == 0 {
		return nil, nil
	}
	if r.Step < 0 || r.From <= 0 || r.To < r.From || r.To > mostOff*100 || (r.To-r.From)/r.Step > 2000 || !(r.U >= 0) {
		return nil, fault.New(fault.Invalid, "fits.ladder")
	}
	var out []int64
	for n := r.From; n <= r.To; n += r.Step {
		out = append(out, n)
	}
	return out, nil
}

func newShimWork(valves []Valve, spares []Spare, rules ShimRules) (*shimWork, error) {
	w := &shimWork{rules: rules, order: ordered(valves, func(v Valve) string { return v.ID })}
	var names, kinds []string
	for _, i := range w.order {
		w.valves = append(w.valves, valves[i])
		names = append(names, valves[i].ID)
		if err := valves[i].check(); err != nil {
			return nil, err
		}
	}
	for _, i := range ordered(spares, func(s Spare) string { return s.ID }) {
		s := spares[i]
		w.spares = append(w.spares, s)
		kinds = append(kinds, s.ID)
		if err := errors.Join(sound(s.ID, s.Size), held(s.ID, s.Count)); err != nil {
			return nil, err
		}
	}
	if err := errors.Join(named("valve", names), named("shim", kinds)); err != nil {
		return nil, err
	}
	if len(valves) == 0 || len(valves) > mostValves || len(spares) > mostSpares {
		return nil, refuse("fits.count", "kind", "valves", "least", "1", "most", "64")
	}
	if !(rules.Guard >= 0) {
		return nil, refuse("fits.rules")
	}
	rungs, err := rules.Ladder.sizes()
	w.rungs = rungs
	w.columns()
	return w, err
}

// inSpec counts the valves whose lash is within its limits as found.
func (w *shimWork) inSpec() int {
	n := 0
	for _, v := range w.valves {
		if v.Limits.inside(v.Lash.N, 0) {
			n++
		}
	}
	return n
}

func (w *shimWork) purchases(bought map[string]int) []Purchase {
	var out []Purchase
	for id, n := range bought {
		out = append(out, Purchase{id, n})
	}
	slices.SortFunc(out, func(a, b Purchase) int {
		if a.ID < b.ID {
			return -1
		}
		return 1
	})
	return out
}
