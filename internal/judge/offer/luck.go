package offer

import (
	"hash/fnv"
	"math"
	"math/rand/v2"
)

// luck holds the draws of every thing that is uncertain, by its name.
type luck struct {
	n      int
	common float64
	pace   []float64 // standard normal, shared by all work
	known  map[string][]float64
}

func newLuck(n int, common float64) *luck {
	l := &luck{n: n, common: common, known: map[string][]float64{}}
	l.pace = make([]float64, n)
	for i, u := range l.even("pace") {
		l.pace[i] = math.Sqrt2 * math.Erfinv(2*u-1)
	}
	return l
}

// even gives the draws of a name, above 0 and below 1, each equally likely.
func (l *luck) even(name string) []float64 {
	if u, ok := l.known[name]; ok {
		return u
	}
	h := fnv.New64a()
	h.Write([]byte(name))
	r := rand.New(rand.NewPCG(seed, h.Sum64()))
	u := make([]float64, l.n)
	for i := range u {
		u[i] = (float64(r.Uint64()>>11) + 0.5) / (1 << 53)
	}
	l.known[name] = u
	return u
}

// paced gives the draws of the hours of one operation. A slow day, a rusty engine
// or a careful hand makes all work longer: that part is shared.
//
//	u = Φ(√c z₀ + √(1 - c) z),  z₀, z standard normal
//
// Shapes: name -> as many draws as there are.
// Units:  pure, above 0 and below 1.
// Errors: none.
// Source: the Gaussian copula, which leaves each u even; common practice, no source.
func (l *luck) paced(name string) []float64 {
	key := "paced " + name
	if u, ok := l.known[key]; ok {
		return u
	}
	a, b := math.Sqrt(l.common), math.Sqrt(1-l.common)
	u := make([]float64, l.n)
	for i, own := range l.even("hours " + name) {
		z := a*l.pace[i] + b*math.Sqrt2*math.Erfinv(2*own-1)
		u[i] = math.Erfc(-z/math.Sqrt2) / 2
	}
	l.known[key] = u
	return u
}
