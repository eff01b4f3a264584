// Package view turns an assessment into finished text: structs of strings and
// finished drawings that a page or a sheet only has to place. It never computes
// a value; floats are touched only to say where on a drawing a mark stands.
package view

import (
	"strings"
	"time"

	"fettle/internal/know/words"
)

// Reader is how one person reads: language, decimal mark and ground are three
// settings of their own.
type Reader struct {
	Lang  string // language tag of the page
	Mark  byte   // decimal mark, '.' or ','
	Theme string // paper, blueprint, or "" to follow the machine
	Book  *words.Book
	// Person is who is signed in and Signed how that person is shown; "" where
	// nobody signs in, and forms ask who.
	Person, Signed string
	Zone           *time.Location // of the shop; nil means UTC
}

// narrow is the space between a number and its unit; it never breaks a line.
const narrow = "\u202f"

// Num writes a canonical decimal for this reader: the digits as they are, a
// real minus, the reader's mark. Anything else is given back as it came.
func (r Reader) Num(s string) string {
	if !decimal(s) {
		return s
	}
	if r.Mark == ',' {
		s = strings.Replace(s, ".", ",", 1)
	}
	if s[0] == '-' {
		return "−" + s[1:]
	}
	return s
}

// decimal says whether a text is a canonical decimal: an optional sign, digits,
// at most one point between digits.
func decimal(s string) bool {
	s = strings.TrimLeft(s, "+-")
	digits, point := 0, false
	for i, c := range s {
		switch {
		case c >= '0' && c <= '9':
			digits++
		case c == '.' && !point && i > 0 && i < len(s)-1:
			point = true
		default:
			return false
		}
	}
	return digits > 0
}

// With writes a number with its unit.
func (r Reader) With(number, unit string) string {
	if number == "" || unit == "" || unit == "1" {
		return r.Num(number)
	}
	if unit == "1e-6/K" {
		return r.Num(number) + "·10⁻⁶/K"
	}
	if unit == "°" || strings.HasPrefix(unit, "°c") {
		return r.Num(number) + unit
	}
	return r.Num(number) + narrow + unit
}

// Text writes the numbers of a finished argument such as "0.25 mm" for this
// reader and leaves its words alone.
func (r Reader) Text(s string) string {
	parts := strings.Split(s, " ")
	var b strings.Builder
	for i, p := range parts {
		if i > 0 {
			if decimal(parts[i-1]) && unitLike(p) {
				b.WriteString(narrow)
			} else {
				b.WriteByte(' ')
			}
		}
		b.WriteString(r.Num(p))
	}
	return b.String()
}

func unitLike(s string) bool {
	switch s {
	case "mm", "µm", "in", "thou", "nm", "cm", "m", "mm²", "mm³", "cm³", "ml", "l", "%", "‰", "°C", "g", "mg", "kg",
		"N", "kN", "N·m", "Pa", "kPa", "MPa", "GPa", "bar", "ms", "s", "min", "h", "m/s", "rpm", "N/mm", "ml/min",
		"l/min", "Ω", "mT", "HV", "HB", "HRC", "g/cm³", "mPa·s", "Pa·s", "mm²/s":
		return true
	}
	return false
}

// Day writes a day and the time of day; day alone is Date.
func (r Reader) Day(micro int64) string { return r.time(micro, "2006-01-02 15:04") }

// Date writes a day as 2026-11-24, which no reader can mistake.
func (r Reader) Date(micro int64) string { return r.time(micro, "2006-01-02") }

func (r Reader) time(micro int64, form string) string {
	if micro == 0 {
		return "–"
	}
	zone := r.Zone
	if zone == nil {
		zone = time.UTC
	}
	return time.UnixMicro(micro).In(zone).Format(form)
}

// Int writes a whole number with its thousands apart.
func (r Reader) Int(n int) string {
	s := []byte{}
	if n == 0 {
		return "0"
	}
	minus := n < 0
	if minus {
		n = -n
	}
	for d := 0; n > 0; d++ {
		if d > 0 && d%3 == 0 {
			s = append([]byte(narrow), s...)
		}
		s = append([]byte{byte('0' + n%10)}, s...)
		n /= 10
	}
	if minus {
		return "−" + string(s)
	}
	return string(s)
}

// T says a key.
func (r Reader) T(key string, pairs ...string) string { return r.Book.Say(key, pairs...) }

// N says key.one or key.other.
func (r Reader) N(key string, n int, pairs ...string) string {
	return r.Book.Count(key, n, r.Int(n), pairs...)
}

// or says a key, or the fallback where no language knows it: names that may
// come from a file, such as a dimension's or a unit's.
func (r Reader) or(key, fallback string) string {
	if r.Book.Has(key) {
		return r.Book.Say(key)
	}
	return fallback
}
