package gum

import (
	"math"
	"sort"
)

// slots is how many equal steps the middle of a distribution is counted in: 1024
// to a standard deviation of a normal, so that a step is a fortieth of what
// chance leaves at an end of a 95 % interval after a million draws.
const slots = 1 << 14

// reach is how far the steps go to each side, in deviations of the pilot; what
// lies beyond is kept as it is.
const reach = 8

// tally counts draws of one node. Tallies of one ruler add up in any order to
// the same counts.
type tally struct {
	ruler
	count     [slots]uint32
	low, high []float64 // draws beyond the ruler
	undefined int
}

// ruler says where the steps lie.
type ruler struct{ from, step, inverse float64 }

// rule lays the ruler over a pilot of draws, which it sorts.
func rule(pilot []float64) ruler {
	sort.Float64s(pilot) // NaN first
	for len(pilot) > 0 && math.IsNaN(pilot[0]) {
		pilot = pilot[1:]
	}
	if len(pilot) == 0 {
		return ruler{0, 1, 1}
	}
	at := func(p float64) float64 { return pilot[int(p*float64(len(pilot)-1))] }
	mid, sd := at(0.5), (at(0.84134)-at(0.15866))/2
	if sd == 0 {
		sd = (at(1) - at(0)) / 4
	}
	if least := math.Max(math.Abs(mid)*1e-12, 1e-300); sd < least {
		sd = least
	}
	step := 2 * reach * sd / slots
	return ruler{mid - reach*sd, step, 1 / step}
}

// add counts draws and returns their sum and sum of squares about a value.
func (t *tally) add(y []float64, about float64) (sum, squares float64) {
	from, inverse := t.from, t.inverse
	for _, v := range y {
		d := v - about
		sum += d
		squares += d * d
		k := (v - from) * inverse
		if k >= 0 && k < slots {
			t.count[int(k)]++
			continue
		}
		switch {
		case v-v != 0: // NaN or beyond all numbers
			t.undefined++
		case k < 0:
			t.low = append(t.low, v)
		default:
			t.high = append(t.high, v)
		}
	}
	if sum-sum != 0 { // a draw without a value spoils the sums: once more without it
		sum, squares = 0, 0
		for _, v := range y {
			if d := v - about; d-d == 0 {
				sum += d
				squares += d * d
			}
		}
	}
	return sum, squares
}

// join adds the counts of another tally with the same ruler.
func (t *tally) join(o *tally) {
	for i, n := range o.count {
		t.count[i] += n
	}
	t.low, t.high = append(t.low, o.low...), append(t.high, o.high...)
	t.undefined += o.undefined
}

// ladder is a distribution function through points: below x[i] lie n[i] of all
// draws, and between two points they lie evenly.
type ladder struct{ x, n []float64 }

// ladder of what was counted.
//
// Source: JCGM 101:2008, 7.5 and annex D (a distribution function that is
// continuous and piecewise straight).
func (t *tally) ladder() ladder {
	var l ladder
	sort.Float64s(t.low)
	sort.Float64s(t.high)
	n := 0.0
	for _, v := range t.low {
		l.x, l.n = append(l.x, v), append(l.n, n+0.5)
		n++
	}
	for i, c := range t.count {
		if c == 0 {
			continue
		}
		if x := t.from + float64(i)*t.step; len(l.x) == 0 || l.x[len(l.x)-1] < x {
			l.x, l.n = append(l.x, x), append(l.n, n)
		}
		n += float64(c)
		l.x, l.n = append(l.x, t.from+float64(i+1)*t.step), append(l.n, n)
	}
	for _, v := range t.high {
		l.x, l.n = append(l.x, v), append(l.n, n+0.5)
		n++
	}
	return l
}

// at is the value below which n draws lie.
func (l ladder) at(n float64) float64 {
	i := sort.SearchFloat64s(l.n, n)
	if i == 0 {
		return l.x[0]
	}
	if i == len(l.n) {
		return l.x[i-1]
	}
	return l.x[i-1] + (l.x[i]-l.x[i-1])*(n-l.n[i-1])/(l.n[i]-l.n[i-1])
}

// below is how many draws lie below x.
func (l ladder) below(x float64) float64 {
	i := sort.SearchFloat64s(l.x, x)
	if i == 0 {
		return 0
	}
	if i == len(l.x) {
		return math.Ceil(l.n[i-1])
	}
	return l.n[i-1] + (l.n[i]-l.n[i-1])*(x-l.x[i-1])/(l.x[i]-l.x[i-1])
}

// shortest is the narrowest stretch that holds n draws.
//
// Source: JCGM 101:2008, 7.7.4.
func (l ladder) shortest(n float64) (lo, hi float64) {
	last := l.n[len(l.n)-1]
	lo, hi = l.at(0), l.at(last)
	k := 0
	for i := range l.x {
		up := l.n[i] + n
		if up > last {
			break
		}
		for l.n[k] < up {
			k++
		}
		h := l.x[k]
		if k > 0 {
			h = l.x[k-1] + (l.x[k]-l.x[k-1])*(up-l.n[k-1])/(l.n[k]-l.n[k-1])
		}
		if h-l.x[i] < hi-lo {
			lo, hi = l.x[i], h
		}
	}
	return lo, hi
}
