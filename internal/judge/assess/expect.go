package assess

import (
	"math"
	"sort"

	"fettle/internal/base/unit"
	"fettle/internal/know/family"
)

// expectation is what a reading of a place may plausibly be.
type expectation struct {
	mid, lo, hi float64 // middle and plausible band, formula units
	median, mad float64 // of the places of its characteristic
	n           int     // how many those are; 0 where too few were measured
	width       float64 // tolerance, 0 where nothing tells
	pad         float64 // by how much the band is wider than the limits
	limited     bool    // the band comes from limits, not from the nominal alone
}

// fewest is how many places a characteristic must have for their median to say
// anything: with four, one wrong reading moves neither median nor its spread
// much.
const fewest = 4

func (x *expectation) centre() float64 {
	if x.n > 0 {
		return x.median
	}
	return x.mid
}

func (x *expectation) holds(si float64) bool { return si >= x.lo && si <= x.hi }

// closed reports a band with two ends, or neighbours that stand in for one.
func (x *expectation) closed() bool { return !math.IsInf(x.hi-x.lo, 1) || x.n > 0 }

// reach is how far from the median of its neighbours a value lies before it is
// asked about: four scaled median deviations, but not less than a third of the
// tolerance and six standard uncertainties, or tight groups ask for nothing.
//
// Source: common practice, no source, for the four deviations; the third was
// tuned on seeds 1 to 100 of the slip mix, doc/model/questions.md.
func (x *expectation) reach(u float64) float64 {
	return math.Max(math.Max(4*1.4826*x.mad, x.width/3), 6*u)
}

// stray reports a value that would not be asked about for itself, but lies far
// enough off for one whose digits look odd: outside its limits, or half as far
// from its neighbours.
func (x *expectation) stray(si, u float64) bool {
	if x.n == 0 {
		return x.limited && (si < x.lo+x.pad || si > x.hi-x.pad)
	}
	return math.Abs(si-x.median) > math.Max(math.Max(2*1.4826*x.mad, x.width/8), 3*u)
}

// far reports a value that neither wear nor damage is likely to bring about: more
// than three tolerances beyond its limits, or outside the band where it has none.
// There a slip of the hand is the likelier cause, and what was meant is looked
// for.
func (x *expectation) far(si float64) bool {
	more := 0.0
	if x.limited {
		more = 2 * x.pad
	}
	return si < x.lo-more || si > x.hi+more
}

// near reports what a far reading v may have been meant to be.
func (x *expectation) near(v, si float64) bool {
	return x.holds(si) && math.Abs(si-x.centre()) < math.Abs(v-x.centre())
}

// span is the width between the bounds of one limit; a bound on one side is
// taken from nought, or from the nominal.
func span(l *family.Limit, nominal unit.Quantity) float64 {
	switch {
	case l == nil:
		return 0
	case !l.Min.IsZero() && !l.Max.IsZero():
		return l.Max.SI() - l.Min.SI()
	case !l.Max.IsZero() && l.Max.SI() > 0:
		return l.Max.SI()
	case !l.Min.IsZero() && !nominal.IsZero():
		return math.Abs(nominal.SI() - l.Min.SI())
	}
	return 0
}

// widths gives every place its tolerance: the width of its limit for reuse, else
// for new; where it has none, the narrowest of what leans on it and is of its
// kind.
func (e *evaluation) widths() {
	e.width = make([]float64, len(e.Layout.Places))
	for k := len(e.Layout.Order) - 1; k >= 0; k-- {
		at := e.Layout.Order[k]
		p := &e.Layout.Places[at]
		own := span(p.Used, p.Char.Nominal)
		if own == 0 {
			own = span(p.New, p.Char.Nominal)
		}
		if own > 0 {
			e.width[at] = own
		}
		if e.width[at] == 0 {
			continue
		}
		for _, in := range p.In {
			for _, q := range in.Places {
				if c := e.Layout.Places[q].Char; c.Quantity == p.Char.Quantity && (e.width[q] == 0 || e.width[at] < e.width[q]) {
					e.width[q] = e.width[at]
				}
			}
		}
	}
}

// group is those that are neighbours: the places of one characteristic under the
// same limits in one state. An inlet stem has only inlet stems for neighbours.
type group struct {
	char      *family.Characteristic
	used, new *family.Limit
	state     int
}

func groupOf(p *family.Place, state int) group { return group{p.Char, p.Used, p.New, state} }

// neighbours is the median and the median absolute deviation of every group with
// enough measured places.
func (e *evaluation) neighbours() map[group]expectation {
	groups := map[group][]float64{}
	for sp, id := range e.nodes {
		p := &e.Layout.Places[sp.place]
		if p.Char.Relation == "" {
			k := groupOf(p, sp.state)
			groups[k] = append(groups[k], e.g.Value(id))
		}
	}
	out := make(map[group]expectation, len(groups))
	for k, x := range groups {
		if len(x) < fewest {
			continue
		}
		m, mad := spread(x)
		out[k] = expectation{median: m, mad: mad, n: len(x)}
	}
	return out
}

// spread is the median of x and the median absolute deviation from it; x is
// sorted on the way.
func spread(x []float64) (median, mad float64) {
	sort.Float64s(x)
	median = middle(x)
	d := make([]float64, len(x))
	for i, v := range x {
		d[i] = math.Abs(v - median)
	}
	sort.Float64s(d)
	return median, middle(d)
}

func middle(sorted []float64) float64 {
	n := len(sorted)
	if n%2 == 1 {
		return sorted[n/2]
	}
	return (sorted[n/2-1] + sorted[n/2]) / 2
}

// expect is the plausible band of a place: all its limits, widened on both sides
// by its tolerance, or by what margin says where it has no limit. Without a nominal, a
// limit on one side alone leaves the other open, save that what has a most above
// nought is not expected below it.
func (e *evaluation) expect(at int, state int, medians map[group]expectation) expectation {
	p := &e.Layout.Places[at]
	x := medians[groupOf(p, state)]
	x.width, x.limited = e.width[at], p.New != nil || p.Used != nil
	low, high := math.Inf(1), math.Inf(-1) // of all least and of all most values
	shift := e.shift(p, state)
	if !p.Char.Nominal.IsZero() {
		low = p.Char.Nominal.SI() + shift
		high = low
	}
	for _, l := range [...]*family.Limit{p.New, p.Used} {
		if l != nil && !l.Min.IsZero() {
			low = math.Min(low, l.Min.SI()+shift)
		}
		if l != nil && !l.Max.IsZero() {
			high = math.Max(high, l.Max.SI()+shift)
		}
	}
	if math.IsInf(low, 1) && high > 0 {
		low = 0
	}
	x.lo, x.hi = math.Inf(-1), math.Inf(1)
	switch {
	case math.IsInf(low, 1) && math.IsInf(high, -1):
		return x
	case math.IsInf(low, 1):
		x.pad = x.margin(p, high, high)
		x.mid, x.hi = high, high+x.pad
	case math.IsInf(high, -1):
		x.pad = x.margin(p, low, low)
		x.mid, x.lo = low, low-x.pad
	default:
		x.pad = x.margin(p, low, high)
		x.mid, x.lo, x.hi = (low+high)/2, low-x.pad, high+x.pad
	}
	if !p.Char.Nominal.IsZero() {
		x.mid = p.Char.Nominal.SI() + shift
	}
	return x
}

// margin is by how much the band is wider than the limits.
// Source: common practice, no source; tuned on seeds 1 to 100 of the slip mix.
func (x *expectation) margin(p *family.Place, lo, hi float64) float64 {
	if x.width > 0 && x.limited {
		return x.width
	}
	if p.Char.Dim() == unit.Length {
		return math.Max(3*(hi-lo), 0.1e-3)
	}
	return math.Max(3*(hi-lo), math.Max(math.Abs(lo), math.Abs(hi))/20)
}

// Plausible is the band in which a reading of a position is not asked about for
// its size alone: its limits, widened by its tolerance. An end is nil where
// nothing bounds it.
//
// Shapes: a position and a state -> two ends.
// Units:  -> formula units.
// Errors: none; ok is false where there is no such position.
// Source: common practice, no source; see expectation.
func (a *Assessment) Plausible(position, state string) (lo, hi *float64, ok bool) {
	at, ok := a.e.Layout.Find(position)
	if !ok {
		return nil, nil, false
	}
	x := a.e.expect(at, a.e.rankOf(state), a.e.medians)
	if !math.IsInf(x.lo, 0) {
		lo = &x.lo
	}
	if !math.IsInf(x.hi, 0) {
		hi = &x.hi
	}
	return lo, hi, true
}
