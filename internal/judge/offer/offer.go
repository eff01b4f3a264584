// Package offer is what a customer chooses between: the same engine by two to
// four routes, each with its price and the doubt of it, the hours by machine,
// the parts with their lead times, the date, how sure each limit is, and what
// follows from all that is left.
//
// Sums are decimal and exact. Each line is rounded once by the rule of the
// terms, its tax likewise; a sum is the sum of its lines. What is only known
// between two bounds is taken as equally likely between them (JCGM 100:2008,
// 4.3.7), and both the price and the date come from the same seeded draws: one
// input gives one answer. How it is drawn stands in doc/model/offer.md.
package offer

import (
	"fettle/internal/base/money"
	"fettle/internal/facts/shop"
	"fettle/internal/judge/assess"
	"fettle/internal/know/words"
)

// Input is all that an offer leans on.
type Input struct {
	Terms  shop.Terms
	From   string // first day of work, YYYY-MM-DD: the day after approval and deposit
	Routes []Route
}

// Route is one way to do the job, before any price.
type Route struct {
	ID       string
	Name     words.Text
	What     words.Text
	Work     []Work // in an order in which it can be done
	Parts    []Part
	Limits   []Limit
	Declined []Risk
	Open     []assess.Say // what this price does not know yet
}

// Work is one operation.
type Work struct {
	ID      string
	Name    words.Text
	Machine string // "" by hand
	// Least and most minutes of touch labour, then of what runs on its own within
	// the hours of the shop.
	Low, High           int
	AloneLow, AloneHigh int
	// Days away, least and most, and what the other shop asks for it.
	DaysLow, DaysHigh   int
	PriceLow, PriceHigh money.Amount
	After               []string // work that comes before
	Needs               []string // parts that must be here
	Why                 assess.Say
}

// Part is something bought, or taken from the shelf.
type Part struct {
	ID                string
	Name              words.Text
	Count             int
	EachLow, EachHigh money.Amount
	Supplier          string // "" from the shelf
	DaysLow, DaysHigh int
	Why               assess.Say
}

// Limit is how sure one limit is.
type Limit struct {
	Position string
	Chance   float64 // of lying within; below 0 where nothing says so
}

// Risk is a recommendation that this route does not take.
type Risk struct {
	Finding string     `json:"finding"`       // id@part
	Act     bool       `json:"act,omitempty"` // to be dealt with before the engine may run
	Taken   string     `json:"taken"`         // outcome of this route
	Instead []string   `json:"instead"`       // outcomes that were not taken
	By      string     `json:"by"`            // route or person
	Title   words.Text `json:"title"`
	Says    words.Text `json:"says"` // what follows from leaving it
}

// The kinds of line.
const (
	Labour  = "labour"
	Parts   = "parts"
	Outside = "outside"
)

// Line is one line of a quote. Prices are without tax; tax stands beside them.
type Line struct {
	ID        string     `json:"id"`
	Kind      string     `json:"kind"`
	Name      words.Text `json:"name"`
	Machine   string     `json:"machine,omitempty"`
	Minutes   [2]int     `json:"minutes,omitzero"`
	Count     int        `json:"count,omitempty"`
	Supplier  string     `json:"supplier,omitempty"`
	Days      [2]int     `json:"days,omitzero"`
	Net       Range      `json:"net"`
	Tax       Range      `json:"tax"`
	Differs   bool       `json:"differs,omitempty"` // not the same in every route
	Why       assess.Say `json:"why,omitzero"`
	floatLow  float64
	floatHigh float64
}

// Range is from the least to the most.
type Range struct {
	Low  money.Amount `json:"low"`
	High money.Amount `json:"high"`
}

// Hours is the labour at one machine.
type Hours struct {
	Machine string `json:"machine"` // "" by hand
	Minutes [2]int `json:"minutes"`
	Net     Range  `json:"net"`
}

// Option is a route with its price and its date.
type Option struct {
	ID       string       `json:"id"`
	Name     words.Text   `json:"name"`
	What     words.Text   `json:"what,omitempty"`
	Lines    []Line       `json:"lines"`
	Labour   []Hours      `json:"labour"`
	Net      Range        `json:"net"`
	Tax      Range        `json:"tax"`
	Gross    Range        `json:"gross"`
	Likely   money.Amount `json:"price_p50"` // gross: as likely dearer as cheaper
	Safe     money.Amount `json:"price_p80"` // gross: dearer in one of five
	Deposit  money.Amount `json:"deposit"`
	Date     Promise      `json:"date"`
	Limits   []Chance     `json:"limits"` // the least sure first
	Unknown  int          `json:"limits_unknown"`
	Declined []Risk       `json:"declined"`
	Open     []assess.Say `json:"open"`
}

// Chance is how sure one limit is, in thousandths, rounded down.
type Chance struct {
	Position string `json:"position"`
	Thousand int    `json:"thousandths"`
}

// Promise is when the work is done.
type Promise struct {
	Half  string  `json:"p50"` // YYYY-MM-DD: done by then in half of the draws
	Four  string  `json:"p80"` // in four of five
	First string  `json:"earliest"`
	Last  string  `json:"latest"`
	Waits []Share `json:"waits_for"` // what the end hung on, the most often first
}

// Share is how often the end hung on one thing, in hundredths of the draws.
type Share struct {
	ID      string `json:"id"`
	Hundred int    `json:"hundredths"`
}

// Offer is the options of one job, side by side. Its JSON is offer/1.
type Offer struct {
	Format   string         `json:"fettle"`
	Currency money.Currency `json:"currency"`
	Rounding money.Rule     `json:"rounding"`
	TaxName  string         `json:"tax_name"`
	TaxRate  money.Percent  `json:"tax_rate"`
	From     string         `json:"from"`
	Draws    int            `json:"draws"`
	Options  []Option       `json:"options"`
}
