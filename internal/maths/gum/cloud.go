package gum

import (
	"fmt"
	"math"
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
