package gauge

import (
	"math/big"
	"sort"

	"fettle/internal/base/fault"
	"fettle/internal/base/unit"
	"fettle/internal/facts/certificate"
	"fettle/internal/facts/shop"
	"fettle/internal/know/instrument"
)

// Curve fills a calibration with the points of a certificate's result, all in
// one unit and with the coverage factor of the first, and the one number for the
// whole range: the middle of the biases, with the largest uncertainty and half
// their range added. Nothing is rounded but an uncertainty, up to the next base
// unit.
//
//	b = (b_min + b_max)/2,  U = U_max + (b_max − b_min)/2
//
// Shapes: one result of 1 point or more -> points by rising size.
// Units:  those of the certificate; biases of lengths in µm.
// Errors: units that cannot be brought to one exactly; two points at one size.
// Source: one number for a range is common practice, no source; it errs on the
// wide side.
func Curve(cal *shop.CalibratedV2, r *certificate.Result, kind instrument.Instrument) *fault.Fault {
	first := &r.Points[0]
	at, _ := first.Row(kind.Master)
	cal.AtUnit, cal.Unit, cal.Coverage = at.Unit, first.Expanded.Unit, first.Coverage.Text
	if at.Dim == unit.Length {
		cal.Unit = "µm"
	}
	type row struct{ at, bias, expanded unit.Quantity }
	var rows []row
	var lo, hi, widest int64
	for i := range r.Points {
		p := &r.Points[i]
		at, bias := p.Row(kind.Master)
		expanded, ok := unit.Exactly(p.Expanded.Dim, scaled(p.Expanded.N, first.Coverage.N, p.Coverage.N), cal.Unit)
		if p.Coverage.N == first.Coverage.N {
			expanded, ok = p.Expanded.In(cal.Unit)
		}
		a, ok1 := at.In(cal.AtUnit)
		v, ok2 := bias.In(cal.Unit)
		if !ok || !ok1 || !ok2 {
			return fault.New(fault.Invalid, "gauge.curve-unit", "found", at.String(), "expected", cal.AtUnit)
		}
		if i == 0 {
			lo, hi = v.N, v.N
		}
		lo, hi, widest = min(lo, v.N), max(hi, v.N), max(widest, expanded.N)
		rows = append(rows, row{a, v, expanded})
	}
	sort.SliceStable(rows, func(i, j int) bool { return rows[i].at.N < rows[j].at.N })
	for i, q := range rows {
		if i > 0 && q.at.N == rows[i-1].at.N {
			return fault.New(fault.Invalid, "gauge.two-points", "found", q.at.String())
		}
		cal.Points = append(cal.Points, shop.PointV2{At: q.at.Text, Bias: q.bias.Text, Expanded: q.expanded.Text})
	}
	half := (hi - lo + 1) / 2 // rounded up, by less than the smallest unit kept
	mid, ok1 := unit.Exactly(rows[0].bias.Dim, lo+half, cal.Unit)
	all, ok2 := unit.Exactly(rows[0].bias.Dim, widest+half, cal.Unit)
	if !ok1 || !ok2 {
		return fault.New(fault.Invalid, "gauge.curve-unit", "found", at.String(), "expected", cal.AtUnit)
	}
	cal.Bias, cal.Expanded = mid.Text, all.Text
	return nil
}

// scaled brings an expanded uncertainty from one coverage factor to another,
// rounded up to the next base unit.
func scaled(n, to, from int64) int64 {
	v := new(big.Int).Mul(big.NewInt(n), big.NewInt(to))
	v.Add(v, big.NewInt(from-1))
	if v.Div(v, big.NewInt(from)); !v.IsInt64() {
		return n
	}
	return v.Int64()
}
