package mains

import "testing"

func bench(b *testing.B, n int, law func(int) Law) {
	angles, forces := cycle(n)
	s, bearings := six(b, law)
	for b.Loop() {
		if _, err := s.Turn(angles, forces, bearings); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkFilm720(b *testing.B)  { bench(b, 720, film(b)) }
func BenchmarkFilm2880(b *testing.B) { bench(b, 2880, film(b)) }
func BenchmarkSprings2880(b *testing.B) {
	bench(b, 2880, func(int) Law { return must[Law](b)(Spring(3e8)) })
}
func BenchmarkGap720(b *testing.B) {
	bench(b, 720, func(int) Law { return must[Law](b)(Gap(22e-6, 8e8)) })
}
func BenchmarkShaft(b *testing.B) {
	for b.Loop() {
		six(b, film(b))
	}
}
