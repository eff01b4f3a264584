package offer

import (
	"strconv"

	"fettle/internal/base/money"
)

// HoursText writes minutes in hours with one decimal.
//
// Shapes: count -> text.
// Units:  min -> h.
// Errors: none; a half is rounded up.
func HoursText(minutes int) string {
	tenths := (minutes + 3) / 6
	return strconv.Itoa(tenths/10) + "." + strconv.Itoa(tenths%10)
}

// Minutes is the labour of an option, least and most.
func (o *Option) Minutes() (sum [2]int) {
	for i := range o.Labour {
		sum[0] += o.Labour[i].Minutes[0]
		sum[1] += o.Labour[i].Minutes[1]
	}
	return sum
}

// Bought is what the parts of an option cost without tax.
func (o *Option) Bought() Range {
	r := Range{money.Zero(o.Net.Low.Currency()), money.Zero(o.Net.Low.Currency())}
	for i := range o.Lines {
		if o.Lines[i].Kind == Parts {
			if r.add(o.Lines[i].Net) != nil {
				break // the sum of all lines was within bounds, so this one is
			}
		}
	}
	return r
}
