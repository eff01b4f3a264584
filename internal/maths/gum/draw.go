package gum

import (
	"fmt"
	"math"
	"runtime"
	"sync"
	"sync/atomic"
)

// Sampling says how many draws are made and from which seed.
type Sampling struct {
	// Seed of all chance: the same seed gives the same draws on any number of
	// cores.
	Seed uint64
	// Draws to make; where Digits is set, the most that may be made.
	Draws int
	// Cover is the part of the distribution that intervals cover; 0 means 0.95.
	Cover float64
	// Digits, 1 to 6, asks for the adaptive procedure: draws go on until mean,
	// deviation and ends of the interval of every node are stable within half a
	// unit of that significant digit of its deviation.
	Digits int
	// Correlate asks for the correlation matrix.
	Correlate bool
}

// Limits of Sampling.
const (
	LeastDraws = 1000
	MostDraws  = 1_000_000_000
)

// Cloud is what draws of a set of nodes gave.
type Cloud struct {
	Draws       int
	Cover       float64
	Stable      bool // adaptive: every node became stable; else true
	Of          []Spread
	Correlation [][]float64 // nil unless asked for; 0 where a node does not vary
}

// Spread is the distribution of one node.
type Spread struct {
	Mean      float64
	Deviation float64
	Low, High float64 // probabilistically symmetric interval
	// Shortest interval. Its place wanders from seed to seed by far more than its
	// width where the distribution is symmetric.
	ShortLow, ShortHigh float64
	// Undefined draws are those at which a relation has no value; they count for
	// nothing else.
	Undefined int
	// Heavy: a cause is a t with no more than two degrees of freedom, which has no
	// deviation. That of the draws grows with their number and means nothing; the
	// intervals hold.
	Heavy bool
	// Tolerance within which the adaptive procedure held this node; 0 without it.
	Tolerance float64

	ladder
}

// Quantile is the value below which a part p of the draws lies.
//
// Errors: p outside 0..1 is taken to the end it passes.
func (s *Spread) Quantile(p float64) float64 { return s.at(p * s.n[len(s.n)-1]) }

// Within is the part of the draws that lies between two limits, which may be
// infinite: the probability of conformance.
//
// Source: JCGM 106:2012, 7.1 (from memory).
func (s *Spread) Within(lo, hi float64) float64 {
	n := s.n[len(s.n)-1]
	return math.Max(0, (s.below(hi)-s.below(lo))/n)
}

// Bars counts the draws in n equal classes from lo to hi, each as a density, so
// that the bars cover an area of 1 where all draws lie in them.
func (s *Spread) Bars(lo, hi float64, n int) []float64 {
	out := make([]float64, n)
	all := s.n[len(s.n)-1]
	w := (hi - lo) / float64(n)
	for i := range out {
		out[i] = (s.below(lo+w*float64(i+1)) - s.below(lo+w*float64(i))) / (all * w)
	}
	return out
}

// Draw propagates the distributions of all causes behind the nodes ids, together,
// so that what they share moves them together. It only reads the graph: any
// number may draw at once.
//
// Shapes: n nodes -> n distributions.
// Units:  those of each node.
// Errors: a Sampling out of its range; a node of which most draws have no value.
// Source: JCGM 101:2008, clause 7, with 7.9 for the adaptive procedure; JCGM
// 102:2011, clause 7, for several outputs (from memory).
func (g *Graph) Draw(ids []ID, s Sampling) (*Cloud, error) {
	if s.Cover == 0 {
		s.Cover = 0.95
	}
	switch {
	case len(ids) == 0:
		return nil, fmt.Errorf("nothing to draw: no node is named")
	case s.Draws < LeastDraws || s.Draws > MostDraws:
		return nil, fmt.Errorf("%d draws; it takes %d to %d", s.Draws, LeastDraws, MostDraws)
	case !(s.Cover >= 0.5 && s.Cover <= 0.9999):
		return nil, fmt.Errorf("an interval that covers %v; it takes 0.5 to 0.9999", s.Cover)
	case s.Digits < 0 || s.Digits > 6:
		return nil, fmt.Errorf("%d significant digits; it takes 1 to 6, or 0 for a fixed number of draws", s.Digits)
	}
	r := g.run(ids, s)
	return r.cloud()
}

// run is one going of Draw. Draws come in batches of whole blocks; a batch is
// the work of one worker and the unit of the adaptive procedure.
type run struct {
	Sampling
	*plan
	about  []float64 // the nodes' values at the estimates
	rulers []ruler
	size   int // draws in a full batch
	from   int // first batch of this wave
	made   []batch
	total  []tally
	stable bool
	delta  []float64
}

// batch is what is kept of one batch of draws.
type batch struct {
	n       int
	sums    []float64 // of each node about its value at the estimates
	squares []float64
	defined []int
	cross   []float64   // of each pair, upper triangle by rows
	ends    [][]float64 // adaptive: of each node mean, deviation, low, high
}

// wave is how many batches are made before the adaptive procedure looks whether
// to stop. It is no matter of the number of cores.
const wave = 8

func (g *Graph) run(ids []ID, s Sampling) *run {
	r := &run{Sampling: s, plan: g.plan(ids), stable: true}
	for _, id := range ids {
		r.about = append(r.about, g.nodes[id].value)
	}
	// JCGM 101:2008, 7.9.4 b): at least 10⁴ draws and 100/(1 − p) in each batch.
	least := math.Max(1e4, math.Ceil(100/(1-s.Cover)))
	r.size = block * int(math.Ceil(least/block))
	r.pilot()
	r.total = make([]tally, len(ids))
	for i := range r.total {
		r.total[i].ruler = r.rulers[i]
	}
	if s.Digits == 0 {
		r.work(0, (s.Draws+r.size-1)/r.size)
		return r
	}
	r.stable = false
	for at := 0; !r.stable && at*r.size < s.Draws; at += wave {
		r.work(at, min(at+wave, (s.Draws+r.size-1)/r.size))
		r.stable = r.settled()
	}
	return r
}

// pilot lays the rulers from draws that come again in the first batch.
func (r *run) pilot() {
	d := r.desk()
	n := min(4*block, r.Draws)
	seen := make([][]float64, len(r.out))
	for b := 0; b*block < n; b++ {
		d.draw(r.Seed, b, block)
		for i, c := range r.out {
			seen[i] = append(seen[i], d.column[c]...)
		}
	}
	for i := range seen {
		r.rulers = append(r.rulers, rule(seen[i]))
	}
}

// work makes the batches from a to b. Counts are whole numbers and add up in any
// order; sums stay apart by batch until they are added in its order.
func (r *run) work(a, b int) {
	r.made = append(r.made, make([]batch, b-a)...)
	var next atomic.Int64
	var lock sync.Mutex
	var all sync.WaitGroup
	next.Store(int64(a))
	for range min(runtime.GOMAXPROCS(0), b-a) {
		all.Go(func() {
			d, counts := r.desk(), make([]tally, len(r.out))
			for i := range counts {
				counts[i].ruler = r.rulers[i]
			}
			for k := int(next.Add(1)) - 1; k < b; k = int(next.Add(1)) - 1 {
				r.made[k] = r.batch(d, counts, k)
			}
			lock.Lock()
			defer lock.Unlock()
			for i := range counts {
				r.total[i].join(&counts[i])
			}
		})
	}
	all.Wait()
}

// batch makes batch number k.
func (r *run) batch(d *desk, counts []tally, k int) batch {
	n := len(r.out)
	m := batch{n: min(r.size, r.Draws-k*r.size), sums: make([]float64, n), squares: make([]float64, n), defined: make([]int, n)}
	if r.Correlate {
		m.cross = make([]float64, n*(n-1)/2)
	}
	var kept [][]float64
	if r.Digits > 0 {
		kept = make([][]float64, n)
	}
	perBatch := r.size / block
	for at := 0; at < m.n; at += block {
		w := min(block, m.n-at)
		d.draw(r.Seed, k*perBatch+at/block, w)
		for i, c := range r.out {
			y := d.column[c][:w]
			was := counts[i].undefined
			sum, squares := counts[i].add(y, r.about[i])
			m.sums[i] += sum
			m.squares[i] += squares
			m.defined[i] += w - (counts[i].undefined - was)
			if kept != nil {
				kept[i] = append(kept[i], y...)
			}
		}
		if r.Correlate {
			r.cross(d, m.cross, w)
		}
	}
	for i := range kept {
		m.ends = append(m.ends, r.ends(kept[i], &m, i))
	}
	return m
}

// cross adds the products of all pairs of nodes in one block.
func (r *run) cross(d *desk, into []float64, w int) {
	at := 0
	for i, ci := range r.out {
		a, am := d.column[ci][:w], r.about[i]
		for j := i + 1; j < len(r.out); j++ {
			b, bm := d.column[r.out[j]][:w], r.about[j]
			var s float64
			for k := range a {
				s += (a[k] - am) * (b[k] - bm)
			}
			into[at] += s
			at++
		}
	}
}

// cloud adds up what was made.
func (r *run) cloud() (*Cloud, error) {
	c := &Cloud{Cover: r.Cover, Stable: r.stable, Of: make([]Spread, len(r.out))}
	n := len(r.out)
	sums, squares, cross := make([]float64, n), make([]float64, n), make([]float64, n*(n-1)/2)
	defined := make([]int, n)
	for _, m := range r.made {
		c.Draws += m.n
		for i := range sums {
			sums[i] += m.sums[i]
			squares[i] += m.squares[i]
			defined[i] += m.defined[i]
		}
		for i := range m.cross {
			cross[i] += m.cross[i]
		}
	}
	for i := range c.Of {
		if 2*defined[i] < c.Draws {
			return nil, fmt.Errorf("node %d of those asked for has no value at %d of %d draws", i+1, c.Draws-defined[i], c.Draws)
		}
		s := Spread{Undefined: c.Draws - defined[i], Heavy: r.plan.heavy[i], ladder: r.total[i].ladder()}
		k := float64(defined[i])
		s.Mean = r.about[i] + sums[i]/k
		s.Deviation = math.Sqrt(math.Max(0, squares[i]-sums[i]*sums[i]/k) / (k - 1))
		s.Low, s.High = s.Quantile((1-r.Cover)/2), s.Quantile((1+r.Cover)/2)
		s.ShortLow, s.ShortHigh = s.shortest(r.Cover * s.n[len(s.n)-1])
		if r.delta != nil {
			s.Tolerance = r.delta[i]
		}
		c.Of[i] = s
	}
	if r.Correlate {
		c.Correlation = correlation(c, sums, cross)
	}
	return c, nil
}

// correlation of all pairs; products of draws without a value are none, so a
// pair with such draws has 0.
func correlation(c *Cloud, sums, cross []float64) [][]float64 {
	n, draws := len(c.Of), float64(c.Draws)
	m := make([][]float64, n)
	for i := range m {
		m[i] = make([]float64, n)
		m[i][i] = 1
	}
	at := 0
	for i := range m {
		for j := i + 1; j < n; j++ {
			v := (cross[at] - sums[i]*sums[j]/draws) / (draws - 1) / (c.Of[i].Deviation * c.Of[j].Deviation)
			if v-v != 0 {
				v = 0
			}
			m[i][j], m[j][i] = v, v
			at++
		}
	}
	return m
}
