package allocate

import (
	"fmt"
	"math/rand/v2"
	"testing"
)

// Law: a purchase costs what trying every way to share out the pieces finds, and
// so does one without a supplier; more time is never dearer.
func TestLawBuy(t *testing.T) {
	r := rand.New(rand.NewPCG(71, 72))
	none := 0
	for range 500 {
		var needs []Need
		var offers []Offer
		var carriage []Carriage
		for i := range 1 + r.IntN(3) {
			needs = append(needs, Need{fmt.Sprint("part", i), 1 + r.IntN(3)})
		}
		suppliers := 1 + r.IntN(3)
		for s := range suppliers {
			carriage = append(carriage, Carriage{fmt.Sprint("s", s), r.Int64N(6)})
			for _, n := range needs {
				if r.IntN(4) > 0 {
					offers = append(offers, Offer{fmt.Sprint("s", s), n.Item, r.Int64N(8), r.IntN(4), r.IntN(20)})
				}
			}
		}
		days := 5 + r.IntN(20)
		try := func(days int, without string) int64 {
			best := int64(-1)
			left := make([]int, len(offers))
			for k, o := range offers {
				if left[k] = o.Have; o.Days > days || o.Supplier == without {
					left[k] = 0
				}
			}
			used := map[string]int{}
			var next func(i, count int, cost int64)
			next = func(i, count int, cost int64) {
				if i == len(needs) {
					for _, c := range carriage {
						if used[c.Supplier] > 0 {
							cost += c.Price
						}
					}
					if best < 0 || cost < best {
						best = cost
					}
					return
				}
				if count == needs[i].Count {
					next(i+1, 0, cost)
					return
				}
				for k, o := range offers {
					if o.Item == needs[i].Item && left[k] > 0 {
						left[k]--
						used[o.Supplier]++
						next(i, count+1, cost+o.Price)
						used[o.Supplier]--
						left[k]++
					}
				}
			}
			next(0, 0, 0)
			return best
		}
		want := try(days, "")
		p, err := Buy(needs, offers, carriage, days)
		if want < 0 {
			none++
			if k := refusedWith(err); k != "fits.supply" {
				t.Fatalf("%v, and it cannot be had", err)
			}
			continue
		}
		if err != nil || p.Total != want {
			t.Fatalf("%v %v %v: %+v, %v, by trying all %d", needs, offers, carriage, p, err, want)
		}
		for k, s := range p.Suppliers {
			if got := try(days, s); got != p.Without[k] {
				t.Fatalf("without %s %d, by trying all %d", s, p.Without[k], got)
			}
		}
		if q, err := Buy(needs, offers, carriage, days+5); err != nil || q.Total > p.Total {
			t.Fatalf("with more time %+v, before %+v", q, p)
		}
	}
	if none < 50 || none > 450 {
		t.Errorf("%d of 500 cannot be had", none)
	}
}
