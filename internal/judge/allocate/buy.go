package allocate

import (
	"cmp"
	"errors"
	"math/bits"
	"slices"

	"fettle/internal/base/fault"
)

// Need is a part with the number of pieces that are to be bought.
type Need struct {
	Item  string
	Count int
}

// Offer is what a supplier asks for one piece of a part. Prices are whole
// thousandths of one currency.
type Offer struct {
	Supplier, Item string
	Price          int64
	Have           int // pieces to be had
	Days           int // until they are here
}

// Carriage is what a supplier asks for a delivery, once.
type Carriage struct {
	Supplier string
	Price    int64
}

// BuyLine is one line of an order.
type BuyLine struct {
	Supplier, Item string
	Count          int
	Price          int64 // of all its pieces
	Days           int
}

// BuyPlan is the cheapest purchase.
type BuyPlan struct {
	Lines     []BuyLine
	Total     int64
	Carriage  int64 // of it
	Days      int
	Suppliers []string
	// Without is the total if a supplier were left out, −1 where it cannot be.
	Without []int64
	Tried   int // sets of suppliers
}

const (
	mostSuppliers = 12
	mostPrice     = int64(1e12)
)

// Buy finds the cheapest way to buy what is needed, carriage counted, within a
// number of days.
//
//	min Σ count·price + Σ carriage of the suppliers used
//
// Of equal totals it takes the one that is here first, then fewer suppliers, then
// names. Every set of suppliers is tried; within one, each part is taken where it
// is cheapest.
//
// Shapes: n needs, o offers -> lines of orders.
// Units:  thousandths of one currency; days.
// Errors: names that are missing; counts, prices or days that are none; more than
// 12 suppliers; parts that cannot be had in time, with how many can.
// Source: none needed, all are tried.
func Buy(needs []Need, offers []Offer, carriage []Carriage, mostDays int) (BuyPlan, error) {
	w, err := newBuyWork(needs, offers, carriage, mostDays)
	if err != nil {
		return BuyPlan{}, err
	}
	best := w.best(0)
	if best == nil {
		return BuyPlan{}, w.blame()
	}
	best.Tried = 1<<len(w.suppliers) - 1
	for _, s := range best.Suppliers {
		without := int64(-1)
		if p := w.best(1 << slices.Index(w.suppliers, s)); p != nil {
			without = p.Total
		}
		best.Without = append(best.Without, without)
	}
	return *best, nil
}

type buyWork struct {
	needs     []Need
	offers    []Offer // in time, cheapest first
	suppliers []string
	carriage  []int64
}

func newBuyWork(needs []Need, offers []Offer, carriage []Carriage, mostDays int) (*buyWork, error) {
	w := &buyWork{}
	var names []string
	for _, n := range needs {
		names = append(names, n.Item)
		if n.Count < 1 || n.Count > 100_000 {
			return nil, held(n.Item, -1)
		}
	}
	if err := named("part", names); err != nil {
		return nil, err
	}
	seen := map[[2]string]bool{}
	for _, o := range offers {
		key := [2]string{o.Supplier, o.Item}
		if o.Supplier == "" || o.Item == "" || seen[key] || o.Price < 0 || o.Price > mostPrice || o.Have < 0 || o.Days < 0 || o.Days > 10_000 {
			return nil, errors.Join(refuse("fits.offer", "name", o.Supplier, "part", o.Item))
		}
		seen[key] = true
		if o.Days > mostDays {
			continue
		}
		w.offers = append(w.offers, o)
		if !slices.Contains(w.suppliers, o.Supplier) {
			w.suppliers = append(w.suppliers, o.Supplier)
		}
	}
	if len(needs) == 0 || len(w.suppliers) > mostSuppliers {
		return nil, refuse("fits.count", "kind", "suppliers", "least", "1", "most", digits(mostSuppliers))
	}
	w.needs = slices.Clone(needs)
	slices.SortFunc(w.needs, func(a, b Need) int { return cmp.Compare(a.Item, b.Item) })
	slices.SortFunc(w.offers, func(a, b Offer) int {
		return cmp.Or(cmp.Compare(a.Price, b.Price), cmp.Compare(a.Days, b.Days), cmp.Compare(a.Supplier, b.Supplier), cmp.Compare(a.Item, b.Item))
	})
	slices.Sort(w.suppliers)
	w.carriage = make([]int64, len(w.suppliers))
	for _, c := range carriage {
		if c.Price < 0 || c.Price > mostPrice {
			return nil, refuse("fits.offer", "name", c.Supplier, "part", "")
		}
		if k := slices.Index(w.suppliers, c.Supplier); k >= 0 {
			w.carriage[k] += c.Price
		}
	}
	return w, nil
}

// best is the cheapest plan without some suppliers, given as bits; nil if none.
func (w *buyWork) best(without uint) *BuyPlan {
	var best *BuyPlan
	for set := uint(1); set < 1<<len(w.suppliers); set++ {
		if set&without != 0 {
			continue
		}
		p := w.from(set)
		if p == nil || best != nil && cmp.Or(cmp.Compare(p.Total, best.Total), cmp.Compare(p.Days, best.Days), len(p.Suppliers)-len(best.Suppliers), slices.Compare(p.Suppliers, best.Suppliers)) >= 0 {
			continue
		}
		best = p
	}
	return best
}

// from is the cheapest plan with a set of suppliers, each of which is used; nil if
// they have not got it all, or not all are used.
func (w *buyWork) from(set uint) *BuyPlan {
	p, used := &BuyPlan{}, uint(0)
	for _, n := range w.needs {
		left := n.Count
		for _, o := range w.offers {
			k := uint(slices.Index(w.suppliers, o.Supplier))
			if take := min(left, o.Have); o.Item == n.Item && set>>k&1 == 1 && take > 0 {
				left -= take
				used |= 1 << k
				p.Lines = append(p.Lines, BuyLine{o.Supplier, o.Item, take, int64(take) * o.Price, o.Days})
				p.Total += int64(take) * o.Price
				p.Days = max(p.Days, o.Days)
			}
		}
		if left > 0 {
			return nil
		}
	}
	if used != set {
		return nil
	}
	for k := set; k != 0; k &= k - 1 {
		i := bits.TrailingZeros(k)
		p.Suppliers = append(p.Suppliers, w.suppliers[i])
		p.Carriage += w.carriage[i]
	}
	p.Total += p.Carriage
	return p
}

func (w *buyWork) blame() error {
	var short []string
	for _, n := range w.needs {
		have := 0
		for _, o := range w.offers {
			if o.Item == n.Item {
				have += min(o.Have, n.Count)
			}
		}
		if have < n.Count {
			short = append(short, n.Item+" "+digits(have)+"/"+digits(n.Count))
		}
	}
	return fault.New(fault.Refused, "fits.supply", "parts", list(short))
}
