// Package money is sums of money: a decimal number with its currency, never a
// binary fraction. What is multiplied is rounded at once, by a rule with a name;
// what is added stays exact.
package money

import (
	"strings"

	"github.com/shopspring/decimal"

	"fettle/internal/base/fault"
)

// Most is the bound of every amount, in whole units of its currency.
const Most = 1_000_000_000_000

// Amount is money. The zero value is no amount of no currency: see IsZero.
type Amount struct {
	number   decimal.Decimal
	currency Currency
}

// Parse reads an amount as fettle writes it: digits, at most one decimal point,
// one space, the currency.
//
// Shapes: text -> one amount.
// Units:  the currency that stands in the text.
// Errors: those of New.
func Parse(text string) (Amount, error) {
	number, currency, _ := strings.Cut(strings.TrimSpace(text), " ")
	return New(number, currency, '.')
}

// New reads a number as a person types it, with the decimal mark of that person.
//
// Shapes: two texts -> one amount.
// Units:  the currency.
// Errors: money.no-number and money.not-a-number for what is no plain decimal,
// money.no-currency and money.unknown-currency, money.too-fine for more decimals
// than the currency has, money.too-large beyond Most.
func New(number, currency string, mark byte) (Amount, error) {
	c, err := ParseCurrency(currency)
	if err != nil {
		return Amount{}, err
	}
	d, err := plain(number, mark)
	if err != nil {
		return Amount{}, err
	}
	places, _ := c.Decimals()
	if int(-d.Exponent()) > places {
		return Amount{}, fault.New(fault.Invalid, "money.too-fine", "text", number, "currency", string(c))
	}
	return held(d, c)
}

// held refuses what is beyond the bound.
func held(d decimal.Decimal, c Currency) (Amount, error) {
	if d.Abs().GreaterThanOrEqual(decimal.NewFromInt(Most)) {
		return Amount{}, fault.New(fault.TooLarge, "money.too-large", "currency", string(c))
	}
	return Amount{d, c}, nil
}

// Zero is no money of a currency.
func Zero(c Currency) Amount { return Amount{decimal.Zero, c} }

// Currency is the currency.
func (a Amount) Currency() Currency { return a.currency }

// IsZero says that nothing was given: no currency stands here.
func (a Amount) IsZero() bool { return a.currency == "" }

// Sign is -1, 0 or 1.
func (a Amount) Sign() int { return a.number.Sign() }

// Number writes the number alone, with all the decimals of its currency.
func (a Amount) Number() string {
	places, _ := a.currency.Decimals()
	return a.number.StringFixed(int32(places))
}

// String writes an amount so that Parse reads it again: 1234.50 EUR.
func (a Amount) String() string {
	if a.IsZero() {
		return ""
	}
	return a.Number() + " " + string(a.currency)
}

// Float is the number for a plot or a search, never for a sum.
func (a Amount) Float() float64 { return a.number.InexactFloat64() }

// MarshalText is String.
func (a Amount) MarshalText() ([]byte, error) { return []byte(a.String()), nil }

// UnmarshalText is Parse; an empty text is the zero value.
func (a *Amount) UnmarshalText(text []byte) error {
	if len(text) == 0 {
		*a = Amount{}
		return nil
	}
	b, err := Parse(string(text))
	if err == nil {
		*a = b
	}
	return err
}
