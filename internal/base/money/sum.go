package money

import (
	"math/big"

	"github.com/shopspring/decimal"

	"fettle/internal/base/fault"
)

// Plus adds, exactly.
//
// Shapes: two amounts -> one.
// Units:  one currency.
// Errors: money.two-currencies, for fettle knows no exchange rates; money.too-large.
func (a Amount) Plus(b Amount) (Amount, error) {
	if a.currency != b.currency {
		return Amount{}, fault.New(fault.Invalid, "money.two-currencies", "a", string(a.currency), "b", string(b.currency))
	}
	return held(a.number.Add(b.number), a.currency)
}

// Minus takes away, exactly. Shapes, units and errors as for Plus.
func (a Amount) Minus(b Amount) (Amount, error) { return a.Plus(b.Negative()) }

// Negative is the amount with the other sign.
func (a Amount) Negative() Amount { return Amount{a.number.Neg(), a.currency} }

// Compare orders two amounts: -1, 0 or 1.
//
// Shapes: two amounts -> one number.
// Units:  one currency.
// Errors: money.two-currencies.
func (a Amount) Compare(b Amount) (int, error) {
	if _, err := a.Minus(b); err != nil {
		return 0, err
	}
	return a.number.Cmp(b.number), nil
}

// Sum adds amounts of one currency, exactly; of none it is zero.
//
// Shapes: any number of amounts -> one.
// Units:  c.
// Errors: money.two-currencies, money.too-large.
func Sum(c Currency, amounts ...Amount) (Amount, error) {
	sum := Zero(c)
	for _, a := range amounts {
		var err error
		if sum, err = sum.Plus(a); err != nil {
			return Amount{}, err
		}
	}
	return sum, nil
}

// Times multiplies by an exact factor and rounds to what the currency has, once.
// Twenty minutes of an hour are big.NewRat(20, 60), and nothing is lost.
//
// Shapes: amount, factor -> one amount.
// Units:  factor pure (hours where the amount is the price of one hour).
// Errors: money.unknown-rule, money.too-large.
func (a Amount) Times(factor *big.Rat, r Rule) (Amount, error) {
	places, _ := a.currency.Decimals()
	step, err := r.step(places)
	if err != nil {
		return Amount{}, err
	}
	exact := new(big.Rat).Mul(a.number.Rat(), factor)
	whole := r.whole(exact.Quo(exact, step))
	back := new(big.Rat).Mul(new(big.Rat).SetInt(whole), step)
	d, err := decimal.NewFromString(back.FloatString(places))
	if err != nil {
		panic("money: " + err.Error())
	}
	return held(d, a.currency)
}
