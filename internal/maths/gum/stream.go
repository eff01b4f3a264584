package gum

import (
	"math"
	"math/bits"
)

// stream is one row of pseudo-random numbers. It is known by where it starts
// alone, so that any block of draws can be made without those before it.
//
// Source: S. Vigna and D. Blackman, xoshiro256++ 1.0 (2019), seeded by
// SplitMix64 (G. Steele, D. Lea, C. Flood, Fast splittable pseudorandom number
// generators, 2014); both from memory, held by the first numbers their authors
// print.
type stream struct{ a, b, c, d uint64 }

// golden is the odd number nearest 2⁶⁴ over the golden ratio.
const golden = 0x9e3779b97f4a7c15

// mix64 is the finaliser of SplitMix64.
func mix64(z uint64) uint64 {
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// streamAt is the row of one cause in one block of draws under one seed.
func streamAt(seed, cause, block uint64) stream {
	z := mix64(mix64(mix64(seed+golden)^cause) + block*golden)
	var s [4]uint64
	for i := range s {
		z += golden
		s[i] = mix64(z)
	}
	return stream{s[0], s[1], s[2], s[3]}
}

func (s *stream) next() uint64 {
	r := bits.RotateLeft64(s.a+s.d, 23) + s.a
	t := s.b << 17
	s.c ^= s.a
	s.d ^= s.b
	s.b ^= s.c
	s.a ^= s.d
	s.c ^= t
	s.d = bits.RotateLeft64(s.d, 45)
	return r
}

// uniform is a number above 0 and below 1.
func (s *stream) uniform() float64 { return (float64(s.next()>>11) + 0.5) * (1.0 / (1 << 53)) }

// normals fills y with a + b·z, z standard normal.
//
// Source: G. Marsaglia and W. W. Tsang, The ziggurat method for generating
// random variables, J. Stat. Softw. 5 (2000) 8; here with 256 layers, 53 bits
// and a sign that no layer shares (from memory).
func (s *stream) normals(y []float64, a, b float64) {
	p, q, r, v := s.a, s.b, s.c, s.d // in registers
	for i := range y {
		n := bits.RotateLeft64(p+v, 23) + p
		t := q << 17
		r ^= p
		v ^= q
		q ^= r
		p ^= v
		r ^= t
		v = bits.RotateLeft64(v, 45)
		l := n & 255
		z := float64(int64(n)>>11) * ziggurat.step[l]
		if math.Abs(z) >= ziggurat.edge[l+1] {
			s.a, s.b, s.c, s.d = p, q, r, v
			z = s.rare(l, z)
			p, q, r, v = s.a, s.b, s.c, s.d
		}
		y[i] = a + b*z
	}
	s.a, s.b, s.c, s.d = p, q, r, v
}

// normal is one standard normal number.
func (s *stream) normal() float64 {
	n := s.next()
	l := n & 255
	z := float64(int64(n)>>11) * ziggurat.step[l]
	if math.Abs(z) < ziggurat.edge[l+1] {
		return z
	}
	return s.rare(l, z)
}

// rare decides a point of layer l that lies beyond its box: in one of a hundred
// draws.
func (s *stream) rare(l uint64, z float64) float64 {
	for {
		if l == 0 {
			return math.Copysign(s.tail(), z)
		}
		f := ziggurat.height[l] + s.uniform()*(ziggurat.height[l+1]-ziggurat.height[l])
		if f < math.Exp(-z*z/2) {
			return z
		}
		n := s.next()
		l = n & 255
		z = float64(int64(n)>>11) * ziggurat.step[l]
		if math.Abs(z) < ziggurat.edge[l+1] {
			return z
		}
	}
}

// tail is a normal number beyond the lowest layer.
func (s *stream) tail() float64 {
	for {
		x := -math.Log(s.uniform()) / zigguratTail
		if y := -math.Log(s.uniform()); 2*y > x*x {
			return zigguratTail + x
		}
	}
}

// gamma is a number of the gamma distribution G(k, 1).
//
// Source: G. Marsaglia and W. W. Tsang, A simple method for generating gamma
// variables, ACM Trans. Math. Softw. 26 (2000) 363 (from memory).
func (s *stream) gamma(k float64) float64 {
	boost := 1.0
	if k < 1 {
		boost = math.Pow(s.uniform(), 1/k)
		k++
	}
	d := k - 1.0/3
	c := 1 / math.Sqrt(9*d)
	for {
		z := s.normal()
		v := 1 + c*z
		if v <= 0 {
			continue
		}
		v = v * v * v
		if math.Log(s.uniform()) < z*z/2+d-d*v+d*math.Log(v) {
			return boost * d * v
		}
	}
}
