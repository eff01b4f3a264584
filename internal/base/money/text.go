package money

import (
	"strings"

	"github.com/shopspring/decimal"

	"fettle/internal/base/fault"
)

// mostLetters bounds a number before it is read.
const mostLetters = 24

// plain reads digits with at most one mark between digits and a minus before
// them. It takes no exponent: 1e999999999 is seven letters and no price.
func plain(text string, mark byte) (decimal.Decimal, error) {
	if mark != ',' {
		mark = '.'
	}
	s := strings.TrimSpace(text)
	if s == "" {
		return decimal.Zero, fault.New(fault.Invalid, "money.no-number")
	}
	bad := fault.New(fault.Invalid, "money.not-a-number", "text", text, "mark", string(mark))
	if len(s) > mostLetters {
		return decimal.Zero, bad
	}
	whole, part, marked := strings.Cut(strings.TrimPrefix(strings.Replace(s, "−", "-", 1), "-"), string(mark))
	if !digits(whole) || marked && !digits(part) {
		return decimal.Zero, bad
	}
	number := whole
	if marked {
		number += "." + part
	}
	d, err := decimal.NewFromString(number)
	if err != nil {
		return decimal.Zero, bad
	}
	if strings.HasPrefix(s, "-") || strings.HasPrefix(s, "−") {
		d = d.Neg()
	}
	return d, nil
}

// digits says that a text is one or more digits and nothing else.
func digits(s string) bool {
	return s != "" && strings.Trim(s, "0123456789") == ""
}
