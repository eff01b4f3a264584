package gum

import (
	"math"
	"slices"
)

// ends are mean, deviation and both ends of the symmetric interval of one node
// in one batch.
//
// Source: JCGM 101:2008, 7.9.4 d) and e); the ends as 7.7.2 counts them.
func (r *run) ends(y []float64, m *batch, i int) []float64 {
	n := float64(m.defined[i])
	if n < 2 {
		return []float64{0, 0, 0, 0}
	}
	y = slices.DeleteFunc(y, func(v float64) bool { return v-v != 0 })
	slices.Sort(y)
	q := int(r.Cover*n + 0.5)
	low := int((n-float64(q))/2+0.5) - 1
	low = max(low, 0)
	mean := m.sums[i] / n
	return []float64{r.about[i] + mean, math.Sqrt(math.Max(0, m.squares[i]-n*mean*mean) / (n - 1)), y[low], y[min(low+q, len(y)-1)]}
}

// settled says whether twice the standard deviation of the average of each of
// the four figures is below the numerical tolerance, for every node. A node that
// does not vary is settled; the deviation of a heavy one is not asked for.
//
// Source: JCGM 101:2008, 7.9.4 f) to j); 7.9.2 for the tolerance: with u =
// c × 10^l, c of as many digits as asked for, δ = ½ × 10^l.
func (r *run) settled() bool {
	h := 0
	for h < len(r.made) && r.made[h].n == r.size {
		h++
	}
	if h < 2 {
		return false
	}
	r.delta = make([]float64, len(r.out))
	all := true
	for i := range r.out {
		mean, spread := averages(r.made[:h], i)
		u := mean[1]
		if r.plan.heavy[i] {
			u = (mean[3] - mean[2]) / 4
		}
		if u <= 0 || u-u != 0 {
			continue
		}
		r.delta[i] = tolerance(u, r.Digits)
		for z, s := range spread {
			if z <= 1 && r.plan.heavy[i] {
				continue
			}
			all = all && 2*s < r.delta[i]
		}
	}
	return all
}

// tolerance is half a unit of the last of so many significant digits of u.
func tolerance(u float64, digits int) float64 {
	l := int(math.Floor(math.Log10(u))) - digits + 1
	if math.Round(u/math.Pow10(l)) >= math.Pow10(digits) {
		l++ // rounded up to one digit more
	}
	return math.Pow10(l) / 2
}

// averages of the four figures of node i over batches, and their standard
// deviations.
func averages(made []batch, i int) (mean, spread [4]float64) {
	h := float64(len(made))
	for z := range mean {
		for _, m := range made {
			mean[z] += m.ends[i][z] / h
		}
		for _, m := range made {
			d := m.ends[i][z] - mean[z]
			spread[z] += d * d
		}
		spread[z] = math.Sqrt(spread[z] / (h * (h - 1)))
	}
	return mean, spread
}
