package money

import (
	"math/big"

	"fettle/internal/base/fault"
)

// Rule names how a product is rounded. It is printed with the quote.
type Rule string

// The rules. A half is a product that lies exactly between two amounts.
const (
	HalfAway  Rule = "half-away"   // to the nearest, a half away from zero: 0.125 is 0.13
	HalfEven  Rule = "half-even"   // to the nearest, a half to the even digit: 0.125 is 0.12
	HalfAway5 Rule = "half-away-5" // to the nearest five of the last digit, a half away from zero: 0.125 is 0.15
)

// Rules are the names that can be chosen.
func Rules() []Rule { return []Rule{HalfAway, HalfEven, HalfAway5} }

// ParseRule reads the name of a rule.
//
// Shapes: text -> rule.
// Units:  none.
// Errors: money.unknown-rule.
func ParseRule(text string) (Rule, error) {
	r := Rule(text)
	_, err := r.step(0)
	return r, err
}

// step is the distance of the amounts a rule rounds to.
func (r Rule) step(places int) (*big.Rat, error) {
	n := int64(1)
	switch r {
	case HalfAway, HalfEven:
	case HalfAway5:
		n = 5
	default:
		return nil, fault.New(fault.Invalid, "money.unknown-rule", "found", string(r))
	}
	tens := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(places)), nil)
	return new(big.Rat).SetFrac(big.NewInt(n), tens), nil
}

// whole rounds to a whole number by the rule.
func (r Rule) whole(x *big.Rat) *big.Int {
	n, rest := new(big.Int).QuoRem(x.Num(), x.Denom(), new(big.Int)) // towards zero
	twice := new(big.Int).Abs(rest)
	half := twice.Lsh(twice, 1).Cmp(x.Denom())
	if half > 0 || half == 0 && (r != HalfEven || n.Bit(0) == 1) {
		n.Add(n, big.NewInt(int64(x.Sign())))
	}
	return n
}
