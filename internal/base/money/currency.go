package money

import (
	"strings"

	"fettle/internal/base/fault"
)

// Currency is the three-letter code of ISO 4217.
type Currency string

// Decimals says how many decimals amounts of a currency have.
//
// Shapes: code -> count.
// Units:  none.
// Errors: none; ok is false for a code that is not in the list.
// Source: the minor units of ISO 4217, list one; from memory.
func (c Currency) Decimals() (n int, ok bool) {
	switch c {
	case "EUR", "GBP", "USD", "CHF", "SEK", "NOK", "DKK", "PLN", "CZK", "HUF", "RON", "BGN", "TRY",
		"AUD", "CAD", "NZD", "ZAR", "MXN", "BRL", "INR", "CNY", "HKD", "SGD", "ILS", "AED", "THB":
		return 2, true
	case "JPY", "KRW", "ISK", "CLP":
		return 0, true
	case "KWD", "BHD", "OMR", "JOD", "TND":
		return 3, true
	}
	return 0, false
}

// ParseCurrency reads a code; capitals are not asked for.
//
// Shapes: text -> code.
// Units:  none.
// Errors: money.no-currency where nothing stands, money.unknown-currency for any other text.
func ParseCurrency(text string) (Currency, error) {
	text = strings.TrimSpace(text)
	if text == "" {
		return "", fault.New(fault.Invalid, "money.no-currency")
	}
	c := Currency(strings.ToUpper(text))
	if _, ok := c.Decimals(); !ok {
		return "", fault.New(fault.Invalid, "money.unknown-currency", "found", text)
	}
	return c, nil
}
