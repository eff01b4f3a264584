package allocate

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// Law: springs and shims are those of trying every permutation and every shim; no
// coil comes nearer to its neighbour than is allowed.
func TestLawSprings(t *testing.T) {
	r := rand.New(rand.NewPCG(61, 62))
	none := 0
	for range 300 {
		rules := SpringRules{Target: 300_000, Limits: Limits{at(280_000), at(320_000)}, Shims: []int64{mm(0.25), mm(0.5)}, Lift: mm(10), Spare: mm(1.2)}
		var seats []Seat
		var springs []Spring
		for i := range 1 + r.IntN(4) {
			seats = append(seats, Seat{fmt.Sprint("v", i), Size{N: mm(35.65) + um(float64(r.IntN(900))), U: 20_000}})
		}
		for i := range len(seats) + r.IntN(2) {
			springs = append(springs, Spring{ID: fmt.Sprint("s", i), Load: Size{N: 280_000 + r.Int64N(40_000), U: 3000}, At: mm(36.2), Rate: 0.042, Bind: mm(24.6)})
		}
		best := int64(math.MaxInt64)
		used := make([]bool, len(springs))
		var next func(i int, cost int64)
		next = func(i int, cost int64) {
			if i == len(seats) {
				best = min(best, cost)
				return
			}
			for j, s := range springs {
				for _, shim := range []int64{0, mm(0.25), mm(0.5)} {
					h := seats[i].Height.N - shim
					f := int64(math.Round(float64(s.Load.N) + 0.042*float64(s.At-h)))
					if used[j] || f < 280_000 || f > 320_000 || h-mm(10)-s.Bind < mm(1.2) {
						continue
					}
					used[j] = true
					next(i+1, cost+(f-300_000)*(f-300_000))
					used[j] = false
				}
			}
		}
		next(0, 0)
		p, err := Springs(seats, springs, rules)
		if best == math.MaxInt64 {
			none++
			if k := refusedWith(err); k != "fits.short" && k != "fits.none" {
				t.Fatalf("%v, and there is no choice", err)
			}
			continue
		}
		if want := math.Sqrt(float64(best) / float64(len(seats))); err != nil || math.Abs(p.Mean-want) > 1e-6 {
			t.Fatalf("%v %v: %+v, %v, by trying all %v", seats, springs, p, err, want)
		}
		for _, c := range p.Choices {
			if c.Left < rules.Spare {
				t.Fatalf("%+v", c)
			}
		}
	}
	if none < 10 || none > 250 {
		t.Errorf("%d of 300 without a choice", none)
	}
}
