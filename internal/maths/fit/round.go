package fit

import (
	"fmt"
	"math/big"
	"strings"
)

// Rule says where a tie goes, a number halfway between two multiples of the
// rounding range.
type Rule int

const (
	// EvenMultiple sends a tie to the even multiple: 12.25 to 12.2. It is rule
	// A of ISO 80000-1, generally preferable for series of measurements.
	EvenMultiple Rule = iota
	// LargerMultiple sends a tie to the multiple larger in magnitude: 12.25 to
	// 12.3, −12.25 to −12.3. It is rule B of ISO 80000-1; the sign is put back
	// after rounding the magnitude.
	LargerMultiple
)

// maxDigits bounds a decimal so that a hostile text cannot cost time.
const maxDigits = 400

// Round rounds a decimal text to a multiple of another, exactly.
//
// Both are plain decimals: sign, digits, at most one point. The result has the
// decimals of the range, so Round("12", "0.10", rule) is "12.00"; nought has no
// sign. Round once: 12.251 to 0.1 is 12.3, but by way of 12.25 it is 12.2.
//
// Shapes: text, text -> text.
// Units:  any, the same for both.
// Errors: a text that is not a plain decimal; a range not above nought; more
// than 400 digits.
// Source: ISO 80000-1:2009 Annex B (ISO 80000-1:2022 Annex B), rules A and B.
func Round(value, multiple string, rule Rule) (string, error) {
	v, vDecimals, err := decimal(value)
	if err != nil {
		return "", err
	}
	m, mDecimals, err := decimal(multiple)
	if err != nil {
		return "", err
	}
	if m.Sign() <= 0 {
		return "", fmt.Errorf("fit: rounding range %q: a number above nought is needed", multiple)
	}
	// Both in units of the finer last place.
	step := new(big.Int).Set(m)
	if d := vDecimals - mDecimals; d > 0 {
		step.Mul(step, power(d))
	} else {
		v.Mul(v, power(-d))
	}
	count, err := multiples(v, step, rule)
	if err != nil {
		return "", err
	}
	return written(count.Mul(count, m), mDecimals), nil
}

// RoundTo rounds a whole number of units to a multiple of another, as Round.
//
// Shapes: n, multiple -> n.
// Units:  any base unit.
// Errors: a multiple below 1; a result beyond 64 bits.
// Source: as Round.
func RoundTo(n, multiple int64, rule Rule) (int64, error) {
	if multiple < 1 {
		return 0, fmt.Errorf("fit: rounding range %d: a number above nought is needed", multiple)
	}
	m := big.NewInt(multiple)
	count, err := multiples(big.NewInt(n), m, rule)
	if err != nil {
		return 0, err
	}
	if count.Mul(count, m); !count.IsInt64() {
		return 0, fmt.Errorf("fit: %d rounded to a multiple of %d does not fit in 64 bits", n, multiple)
	}
	return count.Int64(), nil
}

// multiples returns the whole number nearest to v/step.
func multiples(v, step *big.Int, rule Rule) (*big.Int, error) {
	if rule != EvenMultiple && rule != LargerMultiple {
		return nil, fmt.Errorf("fit: rounding rule %d: EvenMultiple or LargerMultiple is needed", rule)
	}
	count, rest := new(big.Int).QuoRem(new(big.Int).Abs(v), step, new(big.Int))
	side := rest.Lsh(rest, 1).Cmp(step)
	if side > 0 || side == 0 && (rule == LargerMultiple || count.Bit(0) == 1) {
		count.Add(count, big.NewInt(1))
	}
	if v.Sign() < 0 {
		count.Neg(count)
	}
	return count, nil
}

// decimal reads a plain decimal as an integer and its number of decimals.
func decimal(text string) (*big.Int, int, error) {
	digits := strings.TrimPrefix(strings.TrimPrefix(text, "-"), "+")
	whole, part, point := strings.Cut(digits, ".")
	plain := len(text)-len(digits) <= 1 && len(digits) <= maxDigits && whole+part != "" && (!point || part != "")
	for _, r := range whole + part {
		plain = plain && r >= '0' && r <= '9'
	}
	n, ok := new(big.Int).SetString(whole+part, 10)
	if !plain || !ok {
		if len(text) > 40 {
			text = text[:40] + "…"
		}
		return nil, 0, fmt.Errorf("fit: %q is not a plain decimal: sign, up to %d digits and one point are allowed", text, maxDigits)
	}
	if text[0] == '-' {
		n.Neg(n)
	}
	return n, len(part), nil
}

func power(d int) *big.Int { return new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(d)), nil) }

// written returns n with its last places as decimals.
func written(n *big.Int, decimals int) string {
	s := new(big.Int).Abs(n).String()
	if decimals > 0 {
		if short := decimals + 1 - len(s); short > 0 {
			s = strings.Repeat("0", short) + s
		}
		s = s[:len(s)-decimals] + "." + s[len(s)-decimals:]
	}
	if n.Sign() < 0 {
		s = "-" + s
	}
	return s
}
