package gum

import (
	"math"
	"runtime"
	"sync"
	"sync/atomic"
)

// run is one going of Draw. Draws come in batches of whole blocks; a batch is
// the work of one worker and the unit of the adaptive procedure.
type run struct {
	Sampling
	*plan
	about  []float64 // the nodes' values at the estimates
	rulers []ruler
	size   int // draws in a full batch
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
