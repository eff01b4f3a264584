package assign

import (
	"fmt"
	"math/rand/v2"
	"testing"
)

func BenchmarkMin(b *testing.B) {
	for _, n := range []int{24, 200, 1000} {
		r := rand.New(rand.NewPCG(1, uint64(n)))
		rows := make([][]int64, n)
		for i := range rows {
			for range n {
				rows[i] = append(rows[i], r.Int64N(1_000_000))
			}
		}
		m, err := NewMatrix(rows)
		if err != nil {
			b.Fatal(err)
		}
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				if _, err := Min(m); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
