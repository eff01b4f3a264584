package assign

import (
	"math"
	"slices"
	"sort"
)

// rounds of the search for dual values; each costs one look at every option.
const rounds = 120

// far is more than any option costs, and still leaves room for a difference.
const far = int64(1) << 62

// picker searches one task.
type picker struct {
	t       Task
	most    int
	dual    []int64
	root    int64 // bound of the dual values
	worth   int64 // Σ λ S
	order   [][]choice
	best    []int
	upper   int64
	nodes   int
	stopped bool
	open    int64 // least bound of what was left unsearched
	left    []int
	chosen  []int
}

// choice is an option with its cost by the dual values.
type choice struct {
	at   int
	cost int64
}

func newPicker(t Task, most int) *picker {
	// More than all positions could take of a kind is as good as no limit.
	stock, takes := slices.Clone(t.Stock), 0
	for _, list := range t.Options {
		need := 0
		for _, o := range list {
			need = max(need, len(o.Takes))
		}
		takes += need
	}
	for k := range stock {
		stock[k] = min(stock[k], takes)
	}
	t.Stock = stock
	return &picker{t: Task{Stock: stock, Options: slices.Clone(t.Options)}, most: most, dual: make([]int64, len(t.Stock)),
		upper: math.MaxInt64, open: math.MaxInt64, root: math.MinInt64, left: slices.Clone(t.Stock), chosen: make([]int, len(t.Options))}
}

func (s *picker) run() {
	for i := range s.t.Options {
		if !slices.ContainsFunc(s.t.Options[i], func(o Option) bool { return s.fits(o) }) {
			return
		}
	}
	s.price()
	if s.root < s.upper && s.plain() {
		// Nothing costs anything: worths that rule nothing out would only blur
		// which position has the fewest ways left.
		clear(s.dual)
		s.worth, s.root = 0, 0
	}
	s.sort()
	if s.root >= s.upper {
		return
	}
	free := make([]int, len(s.t.Options))
	for i := range free {
		free[i] = i
	}
	s.visit(free, 0)
}

// begin takes a selection that is known as the best so far, and reports whether it
// is one.
func (s *picker) begin(option []int) bool {
	if len(option) != len(s.t.Options) {
		return false
	}
	var cost int64
	ok := true
	for i, k := range option {
		if k < 0 || k >= len(s.t.Options[i]) || !s.fits(s.t.Options[i][k]) {
			ok = false
			break
		}
		s.take(s.t.Options[i][k], 1)
		cost += s.t.Options[i][k].Cost
	}
	copy(s.left, s.t.Stock)
	if ok {
		s.upper, s.best = cost, slices.Clone(option)
	}
	return ok
}

// plain reports whether every option costs nothing.
func (s *picker) plain() bool {
	for _, list := range s.t.Options {
		for _, o := range list {
			if o.Cost != 0 {
				return false
			}
		}
	}
	return true
}

// fits reports whether what is left on the shelf allows an option.
func (s *picker) fits(o Option) bool {
	for a, k := range o.Takes {
		n := 1
		for _, other := range o.Takes[:a] {
			if other == k {
				n++
			}
		}
		if s.left[k] < n {
			return false
		}
	}
	return true
}

func (s *picker) take(o Option, sign int) {
	for _, k := range o.Takes {
		s.left[k] -= sign
	}
}

// price finds dual values by steps along the subgradient, and selections on the
// way.
func (s *picker) price() {
	lambda := make([]float64, len(s.dual))
	whole := make([]int64, len(s.dual))
	used := make([]int, len(s.dual))
	theta, since := 1.5, 0
	// Worths are bounded so that no sum of them runs over.
	pieces := 2*len(s.t.Options) + 1
	for _, n := range s.t.Stock {
		pieces += n
	}
	top := float64(int64(1) << 58 / int64(pieces))
	for round := range rounds {
		clear(used)
		bound := int64(0)
		for k, v := range lambda {
			whole[k] = int64(math.Round(v))
			bound -= whole[k] * int64(s.t.Stock[k])
		}
		for _, list := range s.t.Options {
			at, low := -1, int64(math.MaxInt64)
			for k, o := range list {
				if c := o.at(whole); c < low && fitsStock(o, s.t.Stock) {
					at, low = k, c
				}
			}
			bound += low
			for _, k := range list[at].Takes {
				used[k]++
			}
		}
		if bound > s.root {
			s.root, since = bound, 0
			copy(s.dual, whole)
		} else if since++; since == 8 {
			theta, since = theta/2, 0
		}
		if round%8 == 0 || round == rounds-1 {
			s.dive(whole)
		}
		if s.root >= s.upper {
			break
		}
		var length float64
		for k, n := range used {
			if g := n - s.t.Stock[k]; g > 0 || lambda[k] > 0 {
				length += float64(g) * float64(g)
			}
		}
		if length == 0 {
			break
		}
		aim := float64(s.upper)
		if s.upper == math.MaxInt64 {
			aim = float64(bound) + math.Abs(float64(bound))*0.1 + 1000
		}
		step := theta * (aim - float64(bound)) / length
		for k, n := range used {
			lambda[k] = math.Min(math.Max(0, lambda[k]+step*float64(n-s.t.Stock[k])), top)
		}
	}
	s.worth = 0
	for k, v := range s.dual {
		s.worth += v * int64(s.t.Stock[k])
	}
}

func fitsStock(o Option, stock []int) bool {
	switch len(o.Takes) {
	case 1:
		return stock[o.Takes[0]] > 0
	case 2:
		a, b := o.Takes[0], o.Takes[1]
		return stock[a] > 0 && stock[b] > 0 && (a != b || stock[a] > 1)
	}
	s := picker{left: stock}
	return s.fits(o)
}

// at is the cost of an option with its pieces paid for.
func (o Option) at(dual []int64) int64 {
	c := o.Cost
	for _, k := range o.Takes {
		c += dual[k]
	}
	return c
}

// dive serves the positions in the order in which they can least wait.
func (s *picker) dive(dual []int64) {
	n := len(s.t.Options)
	done := make([]bool, n)
	picks := make([]int, n)
	var cost int64
	for range n {
		pos, pick, most := -1, -1, int64(-1)
		for i, list := range s.t.Options {
			if done[i] {
				continue
			}
			at, low, next := -1, far, far
			for k, o := range list {
				c := o.at(dual)
				if c >= next || !s.fits(o) {
					continue
				}
				if c < low {
					at, low, next = k, c, low
				} else {
					next = c
				}
			}
			if at < 0 {
				pos = -1
				most = math.MaxInt64
				break
			}
			if regret := next - low; regret > most {
				pos, pick, most = i, at, regret
			}
		}
		if pos < 0 {
			cost = math.MaxInt64
			break
		}
		done[pos], picks[pos] = true, pick
		s.take(s.t.Options[pos][pick], 1)
		cost += s.t.Options[pos][pick].Cost
	}
	copy(s.left, s.t.Stock)
	if cost < s.upper {
		s.upper, s.best = cost, picks
	}
}

// sort lists the options that may still be in a cheaper selection, by what they
// cost with their pieces paid for.
func (s *picker) sort() {
	s.order = make([][]choice, len(s.t.Options))
	for i, list := range s.t.Options {
		for k, o := range list {
			if fitsStock(o, s.t.Stock) {
				s.order[i] = append(s.order[i], choice{k, o.at(s.dual)})
			}
		}
		sort.SliceStable(s.order[i], func(a, b int) bool { return s.order[i][a].cost < s.order[i][b].cost })
		if s.upper == math.MaxInt64 {
			continue
		}
		room := s.upper - 1 - s.root
		for k, c := range s.order[i] {
			if c.cost-s.order[i][0].cost > room {
				s.order[i] = s.order[i][:k]
				break
			}
		}
	}
}

// visit searches below a node: spent is the cost, pieces paid for, of what is
// chosen.
func (s *picker) visit(free []int, spent int64) {
	if len(free) == 0 {
		var cost int64
		for i, k := range s.chosen {
			cost += s.t.Options[i][k].Cost
		}
		if cost < s.upper {
			s.upper, s.best = cost, slices.Clone(s.chosen)
		}
		return
	}
	// What is free costs at least its cheapest option that still fits.
	sum, pos, most, lowest, fewest := spent-s.worth, -1, int64(-1), int64(0), 0
	for a, i := range free {
		low, next, count := far, far, 0
		for _, c := range s.order[i] {
			if !s.fits(s.t.Options[i][c.at]) {
				continue
			}
			if count++; count == 1 {
				low = c.cost
			} else if count == 2 {
				next = c.cost
			}
			if count > 1 && (next > low || pos >= 0 && count >= fewest) {
				break // it stands out by its cost, or not by its number
			}
		}
		if low == far {
			return
		}
		sum += low
		if next-low > most || next-low == most && count < fewest {
			pos, most, lowest, fewest = a, next-low, low, count
		}
	}
	if sum >= s.upper {
		return
	}
	if s.nodes++; s.nodes > s.most {
		s.stopped = true
		s.open = min(s.open, sum)
		return
	}
	i := free[pos]
	rest := slices.Delete(slices.Clone(free), pos, pos+1)
	for _, c := range s.order[i] {
		o := s.t.Options[i][c.at]
		if sum-lowest+c.cost >= s.upper {
			return
		}
		if !s.fits(o) {
			continue
		}
		s.take(o, 1)
		s.chosen[i] = c.at
		s.visit(rest, spent+c.cost)
		s.take(o, -1)
	}
}
