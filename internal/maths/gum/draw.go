package gum

import "fmt"

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
