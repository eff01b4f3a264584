package shop

import (
	"math/big"
	"slices"
	"strconv"
	"strings"
	"time"

	"fettle/internal/base/fault"
	"fettle/internal/base/money"
)

// TermsV1 is what the shop asks and when it works. The last terms hold; a quote
// that was issued keeps those it was made with.
type TermsV1 struct {
	Currency string   `json:"currency"`
	Rounding string   `json:"rounding"`         // name of a rule
	Tax      string   `json:"tax"`              // %, decimal; 0 where none is charged
	TaxName  string   `json:"tax_name"`         // as it stands on a quote
	Rates    []RateV1 `json:"rates"`            // the first is for work without a machine
	Hours    string   `json:"hours"`            // that one hand gives this job on a working day
	Hands    int      `json:"hands"`            // who work on one job at a time
	Week     []int    `json:"week"`             // working days, 1 Monday to 7 Sunday
	Closed   []string `json:"closed,omitempty"` // further days without work, YYYY-MM-DD
	Pace     string   `json:"pace"`             // how much of the doubt of hours is shared by all work, 0 to 1
	Deposit  string   `json:"deposit"`          // % of the lowest price, decimal
	Valid    int      `json:"valid"`            // days that a quote holds
	Gate     bool     `json:"gate,omitempty"`   // an engine leaves only when it is approved and paid
	Address  string   `json:"address,omitempty"`
}

// RateV1 is the price of an hour at a machine.
type RateV1 struct {
	Machine string `json:"machine,omitempty"` // "" for work by hand
	Hour    string `json:"hour"`              // amount with its currency
}

// Terms are terms that were understood.
type Terms struct {
	TermsV1
	Money   money.Currency
	Rule    money.Rule
	Percent money.Percent // of tax
	Share   money.Percent // of a deposit
	PerHour map[string]money.Amount
	Day     *big.Rat // hours
	Common  float64  // shared part of the doubt of hours
	Off     map[string]bool
}

// ReadTerms understands terms.
//
// Shapes: payload -> terms.
// Units:  hours h, rates in the currency of the terms.
// Errors: those of money, and terms.* for what no shop can mean.
func ReadTerms(v TermsV1) (Terms, error) {
	t := Terms{TermsV1: v, PerHour: map[string]money.Amount{}, Off: map[string]bool{}}
	var err error
	if t.Money, err = money.ParseCurrency(v.Currency); err != nil {
		return t, err
	}
	if t.Rule, err = money.ParseRule(v.Rounding); err != nil {
		return t, err
	}
	if t.Percent, err = money.ParsePercent(v.Tax, '.'); err != nil {
		return t, err
	}
	if t.Share, err = money.ParsePercent(v.Deposit, '.'); err != nil {
		return t, err
	}
	for _, r := range v.Rates {
		a, err := money.Parse(r.Hour)
		switch {
		case err != nil:
			return t, err
		case a.Currency() != t.Money || a.Sign() <= 0:
			return t, fault.New(fault.Invalid, "terms.rate", "found", r.Hour, "currency", string(t.Money))
		}
		t.PerHour[r.Machine] = a
	}
	if _, ok := t.PerHour[""]; !ok {
		return t, fault.New(fault.Invalid, "terms.no-rate")
	}
	return t, t.calendar()
}

// calendar understands hours and days.
func (t *Terms) calendar() error {
	day, ok := new(big.Rat).SetString(t.Hours)
	if !ok || strings.Trim(t.Hours, "0123456789.") != "" || len(t.Hours) > 8 || day.Sign() <= 0 || day.Cmp(big.NewRat(24, 1)) > 0 {
		return fault.New(fault.Invalid, "terms.hours", "found", t.Hours)
	}
	t.Day = day
	pace, err := strconv.ParseFloat(t.Pace, 64)
	if err != nil || !(pace >= 0 && pace <= 1) {
		return fault.New(fault.Invalid, "terms.pace", "found", t.Pace)
	}
	t.Common = pace
	if t.Hands < 1 || t.Hands > 20 {
		return fault.New(fault.Invalid, "terms.hands", "found", strconv.Itoa(t.Hands))
	}
	if t.Valid < 1 || t.Valid > 366 {
		return fault.New(fault.Invalid, "terms.valid", "found", strconv.Itoa(t.Valid))
	}
	if len(t.Week) == 0 || slices.Min(t.Week) < 1 || slices.Max(t.Week) > 7 {
		return fault.New(fault.Invalid, "terms.week")
	}
	for _, d := range t.Closed {
		if _, err := time.Parse(time.DateOnly, d); err != nil {
			return fault.New(fault.Invalid, "terms.closed", "found", d)
		}
		t.Off[d] = true
	}
	return nil
}

// Rate is the price of an hour at a machine; one without a rate of its own costs
// what work by hand costs.
func (t *Terms) Rate(machine string) money.Amount {
	if a, ok := t.PerHour[machine]; ok {
		return a
	}
	return t.PerHour[""]
}

// Works says whether the shop works on a day.
func (t *Terms) Works(day time.Time) bool {
	n := int(day.Weekday())
	if n == 0 {
		n = 7
	}
	return slices.Contains(t.Week, n) && !t.Off[day.Format(time.DateOnly)]
}
