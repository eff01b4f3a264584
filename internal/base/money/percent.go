package money

import (
	"math/big"

	"github.com/shopspring/decimal"

	"fettle/internal/base/fault"
)

// Percent is a rate of tax or of a deposit, 0 to 100 with at most four decimals.
type Percent struct{ number decimal.Decimal }

// ParsePercent reads a rate.
//
// Shapes: text -> rate.
// Units:  %.
// Errors: money.no-number, money.not-a-number, money.percent outside 0 to 100 or
// with more than four decimals.
func ParsePercent(text string, mark byte) (Percent, error) {
	d, err := plain(text, mark)
	if err != nil {
		return Percent{}, err
	}
	if d.Sign() < 0 || d.GreaterThan(decimal.NewFromInt(100)) || d.Exponent() < -4 {
		return Percent{}, fault.New(fault.Invalid, "money.percent", "text", text)
	}
	return Percent{d}, nil
}

// Of is that part of an amount, rounded by a rule.
//
// Shapes: amount -> amount.
// Units:  the currency.
// Errors: money.unknown-rule.
func (p Percent) Of(a Amount, r Rule) (Amount, error) {
	return a.Times(new(big.Rat).Mul(p.number.Rat(), big.NewRat(1, 100)), r)
}

// Sign is 0 or 1.
func (p Percent) Sign() int { return p.number.Sign() }

// String writes the rate as typed, without a sign.
func (p Percent) String() string { return p.number.String() }

// MarshalText is String.
func (p Percent) MarshalText() ([]byte, error) { return []byte(p.String()), nil }

// UnmarshalText is ParsePercent with a point.
func (p *Percent) UnmarshalText(text []byte) error {
	q, err := ParsePercent(string(text), '.')
	if err == nil {
		*p = q
	}
	return err
}
