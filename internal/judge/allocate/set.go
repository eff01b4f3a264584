package allocate

import (
	"errors"
	"math"
	"slices"

	"fettle/internal/maths/assign"
)

// Piece is one part of a set, with its mass.
type Piece struct {
	Kind, ID string
	Mass     Size
}

// Set is one part of each kind.
type Set struct {
	Parts []string // by the order of the kinds
	Mass  int64
	U     float64
	Above int64 // more than the lightest set: what balancing has to take off
	// Next is the least spread of all sets if these parts did not go together, and
	// −1 if there is no other way.
	Next int64
}

// SetPlan is the choice for all sets.
type SetPlan struct {
	Kinds        []string
	Sets         []Set
	Spread       int64
	Dealt        int64 // spread of the parts put together by name
	Off          int64 // what balancing has to take off all sets together
	Left         []string
	Proof        Proof
	LowestSpread int64 // no choice has less
}

const (
	mostSets   = 16
	mostPieces = 24
	mostKinds  = 4
)

// Sets puts one part of each kind together so that the masses of the sets differ
// least. The first kind named gives the sets: each of its parts is used.
//
//	min [maxᵢ mᵢ − minᵢ mᵢ],  mᵢ = Σₖ m(k, πₖ(i))
//
// Shapes: p pieces of 2 to 4 kinds -> n sets.
// Units:  mg.
// Errors: names that are missing or stand twice; masses that are none; fewer parts
// of a kind than of the first; more than 16 sets or 24 parts of a kind.
// Source: common practice, no source; a band moved over the masses, each question
// settled by assign.Below.
func Sets(pieces []Piece) (SetPlan, error) {
	w, err := newSetWork(pieces)
	if err != nil {
		return SetPlan{}, err
	}
	start := w.alternate()
	width, combo, sure := w.narrowest(w.spreadOf(start), start, nil)
	p := SetPlan{Kinds: w.kinds, Spread: width, LowestSpread: width, Proof: Proof{Method: "sweep"}, Dealt: w.spreadOf(w.dealt())}
	if !sure {
		p.LowestSpread, p.Proof = 0, Proof{Method: "open", Gap: float64(width)}
	}
	least := int64(math.MaxInt64)
	for _, c := range combo {
		least = min(least, w.mass(c))
	}
	for i, c := range combo {
		s := Set{Mass: w.mass(c), Above: w.mass(c) - least, Next: w.without(i, c, width)}
		var terms []term
		for k, j := range c {
			s.Parts = append(s.Parts, w.pieces[k][j].ID)
			terms = append(terms, term{1, w.pieces[k][j].Mass})
		}
		s.U = doubt(terms...)
		p.Off += s.Above
		p.Sets = append(p.Sets, s)
	}
	for k := range w.pieces {
		for j, x := range w.pieces[k] {
			if !slices.ContainsFunc(combo, func(c []int) bool { return c[k] == j }) {
				p.Left = append(p.Left, x.ID)
			}
		}
	}
	return p, nil
}

type setWork struct {
	kinds  []string
	pieces [][]Piece // of each kind, by name
	combos [][][]int // of each set, the parts that may make it
	from   []int     // first stock place of each kind
	stock  []int
}

func newSetWork(pieces []Piece) (*setWork, error) {
	w := &setWork{}
	var names []string
	for _, i := range ordered(pieces, func(p Piece) string { return p.ID }) {
		names = append(names, pieces[i].ID)
		if err := sound(pieces[i].ID, pieces[i].Mass); err != nil {
			return nil, err
		}
	}
	if err := named("piece", names); err != nil {
		return nil, err
	}
	for _, p := range pieces {
		if !slices.Contains(w.kinds, p.Kind) {
			w.kinds, w.pieces = append(w.kinds, p.Kind), append(w.pieces, nil)
		}
	}
	for _, i := range ordered(pieces, func(p Piece) string { return p.ID }) {
		k := slices.Index(w.kinds, pieces[i].Kind)
		w.pieces[k] = append(w.pieces[k], pieces[i])
	}
	n := 0
	if len(w.pieces) > 0 {
		n = len(w.pieces[0])
	}
	if len(w.kinds) < 2 || len(w.kinds) > mostKinds || n < 2 || n > mostSets {
		return nil, errors.Join(refuse("fits.sets"))
	}
	for k, list := range w.pieces {
		if len(list) < n || len(list) > mostPieces {
			return nil, refuse("fits.kind", "kind", w.kinds[k], "found", digits(len(list)), "least", digits(n))
		}
		w.from = append(w.from, len(w.stock))
		for range list {
			w.stock = append(w.stock, 1)
		}
	}
	for i := range n {
		list := [][]int{{i}}
		for _, more := range w.pieces[1:] {
			var longer [][]int
			for _, c := range list {
				for j := range more {
					longer = append(longer, append(slices.Clone(c), j))
				}
			}
			list = longer
		}
		w.combos = append(w.combos, list)
	}
	return w, nil
}

func (w *setWork) mass(c []int) int64 {
	var m int64
	for k, j := range c {
		m += w.pieces[k][j].Mass.N
	}
	return m
}

func (w *setWork) spreadOf(combo [][]int) int64 {
	low, high := int64(math.MaxInt64), int64(math.MinInt64)
	for _, c := range combo {
		low, high = min(low, w.mass(c)), max(high, w.mass(c))
	}
	return high - low
}

func (w *setWork) dealt() [][]int {
	out := make([][]int, len(w.combos))
	for i := range out {
		out[i] = slices.Repeat([]int{i}, len(w.kinds))
	}
	return out
}

// alternate improves one kind at a time, the others held together, until nothing
// more is gained: a good start, no proof.
func (w *setWork) alternate() [][]int {
	best := w.dealt()
	for gained := true; gained; {
		gained = false
		for k := 1; k < len(w.kinds); k++ {
			rows := make([][]int64, len(best))
			for i, c := range best {
				for _, x := range w.pieces[k] {
					rows[i] = append(rows[i], w.mass(c)-w.pieces[k][c[k]].Mass.N+x.Mass.N)
				}
			}
			m, err := assign.NewMatrix(rows)
			if err != nil {
				panic("allocate: " + err.Error())
			}
			b, err := assign.Closest(m)
			if err != nil || b.Width >= w.spreadOf(best) {
				continue
			}
			gained = true
			for i := range best {
				best[i][k] = b.Col[i]
			}
		}
	}
	return best
}

// narrowest finds the least spread, no wider than one that is known; keep leaves
// combinations out.
func (w *setWork) narrowest(width int64, known [][]int, keep func(i int, c []int) bool) (int64, [][]int, bool) {
	levels := w.levels(width)
	combo := known
	best, lows, sure := sweep(levels, width, func(low, high int64) (bool, bool) {
		got, settled := w.within(low, high, keep)
		if got != nil && (combo == nil || high-low < w.spreadOf(combo)) {
			combo = got
		}
		return got != nil, settled
	})
	if len(lows) > 0 && (combo == nil || w.spreadOf(combo) > best) {
		combo, _ = w.within(lows[0], lows[0]+best, keep)
	}
	return best, combo, sure
}

// levels lists the masses that a set in a band of some width may have: where every
// part is used their mean is known, and lies in the band.
func (w *setWork) levels(width int64) []int64 {
	low, high := int64(math.MinInt64), int64(math.MaxInt64)
	var total int64
	all := true
	for k := range w.pieces {
		all = all && len(w.pieces[k]) == len(w.combos)
		for _, x := range w.pieces[k] {
			total += x.Mass.N
		}
	}
	if all {
		mean := total / int64(len(w.combos))
		low, high = mean-width-1, mean+width+1
	}
	var out []int64
	for _, list := range w.combos {
		for _, c := range list {
			if m := w.mass(c); low <= m && m <= high {
				out = append(out, m)
			}
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// within asks for sets that all lie in a band.
func (w *setWork) within(low, high int64, keep func(i int, c []int) bool) ([][]int, bool) {
	t := assign.Task{Stock: w.stock, Options: make([][]assign.Option, len(w.combos))}
	back := make([][]int, len(w.combos))
	for i, list := range w.combos {
		for at, c := range list {
			if m := w.mass(c); m < low || m > high || keep != nil && !keep(i, c) {
				continue
			}
			o := assign.Option{}
			for k, j := range c {
				o.Takes = append(o.Takes, w.from[k]+j)
			}
			t.Options[i], back[i] = append(t.Options[i], o), append(back[i], at)
		}
		if len(back[i]) == 0 {
			return nil, true
		}
	}
	s, settled, err := assign.Below(t, 1, nodes)
	if err != nil {
		panic("allocate: " + err.Error())
	}
	if s.Option == nil {
		return nil, settled
	}
	out := make([][]int, len(w.combos))
	for i, k := range s.Option {
		out[i] = w.combos[i][back[i][k]]
	}
	return out, true
}

// without is the least spread if some parts did not go together; −1 if they must.
func (w *setWork) without(set int, parts []int, width int64) int64 {
	keep := func(i int, c []int) bool { return i != set || !slices.Equal(c, parts) }
	all := int64(0)
	for k := range w.pieces {
		low, high := int64(math.MaxInt64), int64(0)
		for _, x := range w.pieces[k] {
			low, high = min(low, x.Mass.N), max(high, x.Mass.N)
		}
		all += high - low
	}
	for try := max(width, 1); ; try = min(2*try, all) {
		best, combo, _ := w.narrowest(try, nil, keep)
		if combo != nil {
			return best
		}
		if try == all || all == 0 {
			return -1
		}
	}
}
