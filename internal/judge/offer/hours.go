package offer

import (
	"strconv"

	"fettle/internal/base/money"
)

// HoursText writes minutes in hours with one decimal, below an hour with two.
//
// Shapes: count -> text.
// Units:  min -> h.
// Errors: none; a half is rounded up.
func HoursText(minutes int) string {
	if minutes < 60 {
		hundredths := (minutes*100 + 30) / 60
		return "0." + strconv.Itoa(hundredths/10) + strconv.Itoa(hundredths%10)
	}
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

// Unpriced is how many kinds of part the price does not hold, because nobody
// names one.
func (o *Option) Unpriced() int {
	n := 0
	for i := range o.Open {
		if o.Open[i].Key == NoPrice {
			n++
		}
	}
	return n
}

// NoPrice is what an option says of a part that nobody names a price for.
const NoPrice = "offer.open.price"
