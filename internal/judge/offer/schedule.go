package offer

import (
	"math"
	"math/big"
	"slices"
	"sort"

	"fettle/internal/base/money"
	"fettle/internal/facts/shop"
)

// schedule draws hours, lead times and prices, dates the route, and returns the
// drawn prices without tax.
func schedule(t *shop.Terms, r *Route, days *calendar, l *luck, opt *Option) ([]float64, error) {
	n, err := r.network(t.Hands, days)
	if err != nil {
		return nil, err
	}
	net, done, counts := make([]float64, l.n), make([]int, l.n), map[string]int{}
	lines := drawn(opt.Lines, l)
	for d := range l.n {
		for i := range r.Work {
			w, s := &r.Work[i], &n.work[i]
			s.touch = between(w.Low, w.High, l.paced(w.ID)[d])
			s.alone, s.days = between(w.AloneLow, w.AloneHigh, l.even("alone " + w.ID)[d]), 0
			if w.DaysHigh > 0 {
				s.days = int(math.Ceil(between(w.DaysLow, w.DaysHigh, l.even("away " + w.ID)[d])))
			}
		}
		for i := range r.Parts {
			p := &r.Parts[i]
			n.arrive[i] = 0
			if p.DaysHigh > 0 { // usable on the working day after it came
				n.arrive[i] = days.starts(int(math.Ceil(between(p.DaysLow, p.DaysHigh, l.even("lead " + p.Supplier)[d]))) + 1)
			}
		}
		end, last := n.run()
		done[d] = days.ends(end)
		n.hung(r, last, counts)
		for i := range opt.Lines {
			net[d] += opt.Lines[i].floatLow + (opt.Lines[i].floatHigh-opt.Lines[i].floatLow)*lines[i][d]
		}
	}
	slices.Sort(done)
	opt.Date = Promise{Half: days.date(at(done, 0.5)), Four: days.date(at(done, 0.8)), First: days.date(done[0]), Last: days.date(done[len(done)-1])}
	for id, c := range counts {
		opt.Date.Waits = append(opt.Date.Waits, Share{id, c * 100 / l.n})
	}
	sort.Slice(opt.Date.Waits, func(i, j int) bool {
		a, b := opt.Date.Waits[i], opt.Date.Waits[j]
		return a.Hundred > b.Hundred || a.Hundred == b.Hundred && a.ID < b.ID
	})
	return net, nil
}

// drawn gives each line its draws: hours by their work, prices each for itself.
func drawn(lines []Line, l *luck) [][]float64 {
	out := make([][]float64, len(lines))
	for i := range lines {
		if lines[i].Kind == Labour {
			out[i] = l.paced(lines[i].ID)
		} else {
			out[i] = l.even("price " + lines[i].Kind + " " + lines[i].ID)
		}
	}
	return out
}

func between(low, high int, u float64) float64 { return float64(low) + float64(high-low)*u }

// at is the least value of a sorted list that the share p does not pass.
func at[T any](sorted []T, p float64) T {
	return sorted[max(int(math.Ceil(p*float64(len(sorted))))-1, 0)]
}

// hung counts what lay on the chain that led to the end.
func (n *network) hung(r *Route, last int, counts map[string]int) {
	for last != nobody {
		if last < 0 {
			counts[r.Parts[-1-last].ID]++
			return
		}
		counts[r.Work[last].ID]++
		last = n.work[last].hung
	}
}

// likely takes the two prices from the draws: to three digits, upwards, for more
// would be digits of nothing, and never beyond the bounds.
func (o *Option) likely(t *shop.Terms, net []float64) error {
	slices.Sort(net)
	rate := 1.0
	if o.Net.High.Float() > 0 {
		rate = o.Gross.High.Float() / o.Net.High.Float()
	}
	var err error
	if o.Likely, err = o.rounded(t, at(net, 0.5)*rate); err != nil {
		return err
	}
	o.Safe, err = o.rounded(t, at(net, 0.8)*rate)
	return err
}

func (o *Option) rounded(t *shop.Terms, x float64) (money.Amount, error) {
	tens := int64(1)
	for float64(tens)*1000 <= x {
		tens *= 10
	}
	whole := int64(math.Ceil(x/float64(tens)-1e-9)) * tens
	one, err := money.New("1", string(t.Money), '.')
	if err != nil {
		return one, err
	}
	a, err := one.Times(new(big.Rat).SetInt64(whole), t.Rule)
	if err != nil {
		return a, err
	}
	if n, err := a.Compare(o.Gross.High); err != nil || n > 0 {
		return o.Gross.High, err
	}
	if n, err := a.Compare(o.Gross.Low); err != nil || n < 0 {
		return o.Gross.Low, err
	}
	return a, nil
}
