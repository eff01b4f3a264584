package allocate

import (
	"fmt"
	"math"
	"slices"

	"fettle/internal/maths/assign"
)

// shimWork is the task with valves and spares by name, and a column for each
// piece that some valve could get.
type shimWork struct {
	valves []Valve
	spares []Spare
	rules  ShimRules
	order  []int
	rungs  []int64
	cols   []shimColumn
}

// shimColumn is one piece.
type shimColumn struct {
	from, part string
	size       Size
	own        int // valve whose shim it was, −1
	only       int // the one valve that may have it, −1 for any
}

func (w *shimWork) columns() {
	for i, v := range w.valves {
		w.cols = append(w.cols, shimColumn{FromBench, v.ID, v.Shim, i, -1})
	}
	for _, s := range w.spares {
		from := FromShelf
		if s.Buy {
			from = FromShop
		}
		for range min(s.Count, len(w.valves)) {
			w.cols = append(w.cols, shimColumn{from, s.ID, s.Size, -1, -1})
		}
	}
	for i, v := range w.valves {
		for _, n := range w.rungs {
			if v.Limits.inside(v.After(n), 0) {
				w.cols = append(w.cols, shimColumn{FromShop, fmt.Sprintf("%.3f mm", float64(n)/1e6), Size{N: n, U: w.rules.Ladder.U}, -1, i})
			}
		}
	}
	for i := range w.valves {
		w.cols = append(w.cols, shimColumn{from: FromNone, own: -1, only: i})
	}
}

// tiers weigh what counts first so that it outweighs all that counts after.
type tiers struct{ without, new, bought int64 }

// off is what a deviation costs: its square, and a little for the tight side.
func (v Valve) off(lash int64) int64 {
	c := 2 * square(lash-v.Target)
	if lash < v.Target {
		c++
	}
	return c
}

func (w *shimWork) lash(i int, c shimColumn) (int64, float64) {
	v := w.valves[i]
	if c.own == i {
		return v.Lash.N, v.doubtAfter(c.size, true)
	}
	return v.After(c.size.N), v.doubtAfter(c.size, false)
}

func (w *shimWork) matrix(from ...string) (assign.Matrix, tiers) {
	n, most := int64(len(w.valves)), int64(1)
	for _, v := range w.valves {
		most = max(most, v.off(*v.Limits.Low), v.off(*v.Limits.High))
	}
	t := tiers{bought: n*most + 1}
	t.new = (n + 1) * t.bought
	t.without = (n + 1) * t.new
	rows := make([][]int64, n)
	for i, v := range w.valves {
		rows[i] = make([]int64, len(w.cols))
		for j, c := range w.cols {
			rows[i][j] = assign.Never
			if c.only >= 0 && c.only != i || len(from) > 0 && !slices.Contains(from, c.from) {
				continue
			}
			if c.from == FromNone {
				rows[i][j] = t.without
				continue
			}
			g, u := w.lash(i, c)
			if !v.Limits.inside(g, w.rules.Guard*u) {
				continue
			}
			rows[i][j] = v.off(g)
			if c.from != FromBench {
				rows[i][j] += t.new
			}
			if c.from == FromShop {
				rows[i][j] += t.bought
			}
		}
	}
	m, err := assign.NewMatrix(rows)
	if err != nil {
		panic("allocate: " + err.Error())
	}
	return m, t
}

// counts of one assignment.
type shimCounts struct {
	bench, shelf, bought, without int
	squares                       int64
}

func (w *shimWork) count(l assign.Least) shimCounts {
	var c shimCounts
	for i, j := range l.Col {
		switch w.cols[j].from {
		case FromBench:
			c.bench++
		case FromShelf:
			c.shelf++
		case FromShop:
			c.bought++
		default:
			c.without++
			continue
		}
		g, _ := w.lash(i, w.cols[j])
		c.squares += square(g - w.valves[i].Target)
	}
	return c
}

func (c shimCounts) mean() float64 {
	return mean(c.squares, max(1, c.bench+c.shelf+c.bought))
}

func (w *shimWork) plan() (ShimPlan, error) {
	m, _ := w.matrix()
	best, err := assign.Min(m)
	if err == nil {
		err = best.Certify(m)
	}
	if err != nil {
		panic("allocate: " + err.Error()) // each valve has a column of its own
	}
	c := w.count(best)
	p := ShimPlan{Choices: make([]ShimChoice, len(w.valves)), Bench: c.bench, Shelf: c.shelf, Bought: c.bought, Squares: c.squares,
		Mean: c.mean(), Proof: Proof{Method: "dual"}, InSpec: w.inSpec()}
	bought, taken := map[string]int{}, make([]bool, len(w.valves))
	var chances []float64
	for i, j := range best.Col {
		v, col := w.valves[i], w.cols[j]
		choice := ShimChoice{ID: v.ID, Wanted: v.thickness(v.Target), Low: v.thickness(*v.Limits.High), High: v.thickness(*v.Limits.Low), From: col.from, Part: col.part, Shim: col.size.N}
		switch {
		case col.from == FromNone:
			p.Without = append(p.Without, v.ID)
		default:
			g, u := w.lash(i, col)
			choice.Lash, choice.Off = v.Limits.standing(g, u), g-v.Target
			chances = append(chances, choice.Lash.Chance)
		}
		if col.from == FromShop {
			bought[col.part]++
		}
		if col.own >= 0 {
			taken[col.own] = true
		}
		choice.Binds = w.binds(i, best)
		choice.Next = w.next(m, best, c, i)
		p.Choices[w.order[i]] = choice
	}
	p.Within, p.Buy = together(chances), w.purchases(bought)
	for i, v := range w.valves {
		if !taken[i] {
			p.Spare = append(p.Spare, v.ID)
		}
	}
	own, _ := w.matrix(FromBench, FromNone)
	swaps, err := assign.Min(own)
	if err != nil {
		panic("allocate: " + err.Error())
	}
	p.InSpecBySwaps = len(w.valves) - w.count(swaps).without
	return p, nil
}

// next is the best assignment in which a valve does not get what it got.
func (w *shimWork) next(m assign.Matrix, best assign.Least, was shimCounts, i int) *ShimNext {
	got := w.cols[best.Col[i]]
	if got.from == FromNone {
		return nil
	}
	var cols []int
	for j, c := range w.cols {
		if c.from == got.from && c.part == got.part {
			cols = append(cols, j)
		}
	}
	other, err := best.Without(m, i, cols)
	if err != nil {
		return nil
	}
	c, col := w.count(other), w.cols[other.Col[i]]
	next := &ShimNext{From: col.from, Part: col.part, Shim: col.size.N, Fewer: was.bench - c.bench, More: c.bought - was.bought,
		Without: c.without - was.without, Mean: c.mean() - was.mean()}
	if col.from != FromNone {
		next.Lash, _ = w.lash(i, col)
	}
	return next
}

// binds names what keeps a valve from a lash nearer to its target: "reuse", if a
// nearer shim would have to be new; "engine", if a nearer one of the same standing
// serves another valve; "window", if nothing fits within the limits; "none".
func (w *shimWork) binds(i int, best assign.Least) string {
	v, got := w.valves[i], w.cols[best.Col[i]]
	if got.from == FromNone {
		return "window"
	}
	g, _ := w.lash(i, got)
	why := "none"
	for _, c := range w.cols {
		if c.from == FromNone || c.only >= 0 && c.only != i {
			continue
		}
		if h, _ := w.lash(i, c); math.Abs(float64(h-v.Target)) < math.Abs(float64(g-v.Target)) {
			if c.from == got.from {
				return "engine"
			}
			why = "reuse"
		}
	}
	return why
}
