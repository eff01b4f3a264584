package demo

import (
	"hash/fnv"
	"math"
	"math/rand/v2"
)

// chance gives every thing that is drawn a stream of its own, named by what it
// is for: moving a fault or adding a gauge leaves all other draws as they were.
type chance struct {
	seed uint64
	name string // of what is drawn: the shop, or a job
}

func (c chance) stream(what ...string) *rand.Rand {
	h := fnv.New64a()
	for _, w := range append([]string{c.name}, what...) {
		h.Write([]byte(w))
		h.Write([]byte{0})
	}
	return rand.New(rand.NewPCG(c.seed, h.Sum64()))
}

// normal is one standard normal draw of a stream of its own.
func (c chance) normal(what ...string) float64 { return c.stream(what...).NormFloat64() }

// natural is a standard normal draw that stays within two standard deviations:
// a part outside would have been planted, not found by chance.
func (c chance) natural(what ...string) float64 {
	r := c.stream(what...)
	for {
		if x := r.NormFloat64(); math.Abs(x) <= 2 {
			return x
		}
	}
}

// even is a draw from -1 to 1.
func (c chance) even(what ...string) float64 { return 2*c.stream(what...).Float64() - 1 }
