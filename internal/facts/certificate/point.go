package certificate

import (
	"fettle/internal/base/fault"
	"fettle/internal/base/unit"
)

// agree remarks a stated deviation that is not what the sizes beside it give,
// beyond two of their last digits: then somebody took another sign.
func (r *reader) agree(points []Point) {
	for _, p := range points {
		from := p.Reference
		if from.IsZero() {
			from = p.Nominal
		}
		if from.IsZero() || p.Indication.IsZero() || p.Deviation.IsZero() {
			continue
		}
		slack := 2 * max(last(from), last(p.Indication), last(p.Deviation))
		if d := p.Indication.N - from.N - p.Deviation.N; d > slack || d < -slack {
			r.remark("certificate.disagrees", "indication", p.Indication.String(), "reference", from.String(), "deviation", p.Deviation.String())
			return
		}
	}
}

// last is one of the last digit that was written, in base units.
func last(q unit.Quantity) int64 {
	one, err := unit.Parse("1", q.Unit, '.')
	if err != nil {
		return 0
	}
	for range q.Decimals() {
		one.N /= 10
	}
	return one.N
}

// Row is the point as a correction: where on the scale it stands, and what is
// to be taken off a reading there. Of an indicating gauge the deviation is what
// it shows less the true size. Of a master, such as a ring or a rod, what is
// read is the size written on it, so that the sign is the other way round:
// the written size less the size found.
func (p *Point) Row(master bool) (at, bias unit.Quantity) {
	from, instead := p.Reference, p.Nominal
	if master {
		from, instead = instead, from
	}
	if from.IsZero() {
		from = instead
	}
	n := p.Deviation.N
	if p.Deviation.IsZero() {
		n = p.Indication.N - from.N
	}
	at = p.Indication
	if master || at.IsZero() {
		at = from
	}
	if at.IsZero() {
		at = p.Indication
	}
	if master {
		n = -n
	}
	if !p.Deviation.IsZero() && !master {
		return at, p.Deviation
	}
	bias, _ = unit.Exactly(p.Expanded.Dim, n, p.Expanded.Unit)
	return at, bias
}

// most keeps the difference of two sizes from running over: 1000 km.
const most = 1 << 60

// sound checks one point by itself: kinds that agree, an uncertainty that can
// be one.
func (r *reader) sound(at *node, p *Point) bool {
	for _, q := range []unit.Quantity{p.Nominal, p.Reference, p.Indication, p.Deviation} {
		if !q.IsZero() && q.Dim != p.Expanded.Dim {
			r.bad(at, fault.New(fault.Invalid, "certificate.kinds", "found", q.String(), "expected", p.Expanded.String()))
			return false
		}
		if q.N > most || q.N < -most {
			r.bad(at, fault.New(fault.Invalid, "unit.too-large", "text", q.Text, "unit", q.Unit))
			return false
		}
	}
	switch one := int64(1e9); {
	case p.Expanded.N < 0:
		r.bad(at, fault.New(fault.Invalid, "certificate.negative", "found", p.Expanded.String()))
	case p.Coverage.N < one/2 || p.Coverage.N > 20*one:
		r.bad(at, fault.New(fault.Invalid, "certificate.coverage", "found", p.Coverage.Text))
	case !p.Probability.IsZero() && (p.Probability.N <= 0 || p.Probability.N > one):
		r.bad(at, fault.New(fault.Invalid, "certificate.probability", "found", p.Probability.Text))
	default:
		return true
	}
	return false
}
