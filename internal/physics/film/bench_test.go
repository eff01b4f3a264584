package film

import (
	"math"
	"testing"
)

// The state that scripts/peers/film.py solves with a sparse matrix: L/D 0.5,
// ε 0.8, 120 by 24 over the whole land.
func BenchmarkReynolds(b *testing.B) {
	var v Solver
	for b.Loop() {
		if _, err := v.Steady(0.5, 0.8, Mesh{Around: 120, Across: 12, Even: true}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkReynoldsFine(b *testing.B) {
	var v Solver
	for b.Loop() {
		if _, err := v.Solve(State{Ratio: 0.4, Eps: 0.9, Beta: 0.3 * math.Pi}, Fine()); err != nil {
			b.Fatal(err)
		}
	}
}
