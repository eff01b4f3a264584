package gum

import (
	"math"
	"testing"
)

func BenchmarkNormals(b *testing.B) {
	y := make([]float64, 512)
	s := streamAt(1, 2, 3)
	for b.Loop() {
		s.normals(y, 1, 2)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/512, "ns/draw")
}

// Published: the first numbers of SplitMix64 from seed 1234567 and of
// xoshiro256++ from state 1, 2, 3, 4, as the reference programs give them (from
// memory). Tolerance: none.
func TestPublishedStream(t *testing.T) {
	z := uint64(1234567)
	for i, want := range []uint64{6457827717110365317, 3203168211198807973, 9817491932198370423} {
		z += golden
		if got := mix64(z); got != want {
			t.Errorf("SplitMix64 %d: %d, want %d", i, got, want)
		}
	}
	s := stream{1, 2, 3, 4}
	for i, want := range []uint64{41943041, 58720359, 3588806011781223, 3591011842654386} {
		if got := s.next(); got != want {
			t.Errorf("xoshiro256++ %d: %d, want %d", i, got, want)
		}
	}
}

// Law: the layers close at the top, and the numbers have the moments and tails
// of the normal law. Tolerance: five standard deviations of each statistic for
// n = 4·10⁶; a right generator fails once in 10⁶ seeds, and the seed is fixed.
func TestLawNormals(t *testing.T) {
	if got := ziggurat.height[255] + (ziggurat.edge[1]*ziggurat.height[1]+math.Sqrt(math.Pi/2)*math.Erfc(zigguratTail/math.Sqrt2))/ziggurat.edge[255]; math.Abs(got-1) > 1e-9 {
		t.Errorf("the layers reach %v, want 1", got)
	}
	const n = 4_000_000
	y := make([]float64, n)
	s := streamAt(7, 1, 1)
	s.normals(y, 0, 1)
	var m [4]float64
	beyond := map[float64]int{1: 0, 2: 0, 3: 0, 3.6541528853610088: 0, 4: 0}
	for _, v := range y {
		m[0] += v / n
		m[1] += v * v / n
		m[2] += v * v * v / n
		m[3] += v * v * v * v / n
		for k := range beyond {
			if v > k {
				beyond[k]++
			}
		}
	}
	for i, c := range []struct{ want, variance float64 }{{0, 1}, {1, 2}, {0, 15}, {3, 96}} {
		if d := math.Abs(m[i] - c.want); d > 5*math.Sqrt(c.variance/n) {
			t.Errorf("moment %d is %v, want %v", i+1, m[i], c.want)
		}
	}
	for k, got := range beyond {
		p := math.Erfc(k/math.Sqrt2) / 2
		if d := math.Abs(float64(got) - n*p); d > 5*math.Sqrt(n*p*(1-p)) {
			t.Errorf("%d of %d beyond %v, want %.0f", got, n, k, n*p)
		}
	}
}
