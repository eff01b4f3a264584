package unit

import (
	"math"
	"math/big"
	"strconv"
	"strings"

	"fettle/internal/base/fault"
)

// Quantity is an exact value: a whole number of base units, and beside it what
// was typed, so that trailing zeros and the unit of the person survive.
type Quantity struct {
	Dim  Dim
	N    int64  // base units
	Text string // digits as typed, decimal mark turned to a point
	Unit string // unit as written on sheets
}

// maxDigits is the longest number a person can mean.
const maxDigits = 15

// Parse reads a number and, where it is not inside the text, takes its unit
// from the second argument. mark is the decimal mark of the whole file or form,
// '.' or ','; the other one is refused, never guessed.
//
//	[+|-|−] digits [mark digits] [space] [unit]
//
// Shapes: text -> one quantity.
// Units:  the closed list of this package.
// Errors: a fault naming what was found and what would have been right.
func Parse(text, unitName string, mark byte) (Quantity, error) {
	s := strings.TrimSpace(text)
	number, own := split(s)
	if own != "" {
		unitName = own
	}
	if number == "" {
		return Quantity{}, fault.New(fault.Invalid, "unit.no-number", "text", clip(text))
	}
	m, ok := find(unitName)
	if !ok {
		if unitName == "" {
			return Quantity{}, fault.New(fault.Invalid, "unit.no-unit", "text", clip(text))
		}
		return Quantity{}, fault.New(fault.Invalid, "unit.unknown", "text", clip(text), "unit", clip(unitName))
	}
	digits, decimals, negative, err := digitsOf(number, mark)
	if err != nil {
		return Quantity{}, err
	}
	n, exact := scale(digits, decimals, m.base)
	if !exact {
		return Quantity{}, fault.New(fault.Invalid, "unit.too-fine", "text", clip(text), "unit", m.name)
	}
	if n < 0 {
		return Quantity{}, fault.New(fault.Invalid, "unit.too-large", "text", clip(text), "unit", m.name)
	}
	q := Quantity{Dim: m.dim, N: n, Text: plain(digits, decimals), Unit: m.name}
	if negative {
		q.N, q.Text = -q.N, "-"+q.Text
	}
	return q, nil
}

// split cuts a trailing unit off a number.
func split(s string) (number, unitName string) {
	i := 0
	for i < len(s) && strings.IndexByte("+-.,0123456789", s[i]) >= 0 {
		i++
	}
	if i == 0 && strings.HasPrefix(s, "−") {
		n, u := split(s[len("−"):])
		if n == "" || n[0] == '-' || n[0] == '+' {
			return "", ""
		}
		return "-" + n, u
	}
	rest := strings.TrimSpace(s[i:])
	if rest != "" && !startsUnit(rest) {
		// Not a number with a unit: let digitsOf say what is wrong with it.
		if k := strings.LastIndexByte(s, ' '); k > 0 {
			if _, ok := find(s[k+1:]); ok {
				return s[:k], s[k+1:]
			}
		}
		return s, ""
	}
	return s[:i], rest
}

// startsUnit keeps "1e3", "12x" or "0x1F" from being read as a number and a unit.
func startsUnit(rest string) bool {
	_, ok := find(rest)
	return ok || !strings.ContainsAny(rest, "0123456789") && rest != "e" && rest != "E" && rest != "x"
}

func digitsOf(s string, mark byte) (digits string, decimals int, negative bool, err error) {
	if mark != '.' && mark != ',' {
		panic("unit: decimal mark must be . or ,")
	}
	t := s
	if t != "" && (t[0] == '-' || t[0] == '+') {
		negative, t = t[0] == '-', t[1:]
	}
	seen := false
	var b strings.Builder
	for i := 0; i < len(t); i++ {
		c := t[i]
		switch {
		case c >= '0' && c <= '9':
			b.WriteByte(c)
			if seen {
				decimals++
			}
		case c == mark && !seen:
			seen = true
		case c == mark:
			return "", 0, false, fault.New(fault.Invalid, "unit.two-marks", "text", clip(s), "mark", string(mark))
		case c == '.' || c == ',':
			return "", 0, false, fault.New(fault.Invalid, "unit.other-mark", "text", clip(s), "mark", string(mark), "found", string(c))
		default:
			return "", 0, false, fault.New(fault.Invalid, "unit.not-a-number", "text", clip(s), "mark", string(mark))
		}
	}
	digits = b.String()
	if digits == "" || (seen && (decimals == 0 || t[0] == mark)) {
		return "", 0, false, fault.New(fault.Invalid, "unit.not-a-number", "text", clip(s), "mark", string(mark))
	}
	if len(strings.TrimLeft(digits, "0")) > maxDigits {
		return "", 0, false, fault.New(fault.Invalid, "unit.too-many-digits", "text", clip(s), "most", strconv.Itoa(maxDigits))
	}
	return digits, decimals, negative, nil
}

// scale returns digits·10^-decimals·base if that is a whole number.
func scale(digits string, decimals int, base int64) (n int64, exact bool) {
	v, _ := new(big.Int).SetString(digits, 10)
	v.Mul(v, big.NewInt(base))
	d := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(decimals)), nil)
	q, r := new(big.Int).QuoRem(v, d, new(big.Int))
	if r.Sign() != 0 {
		return 0, false
	}
	if !q.IsInt64() {
		return -1, true
	}
	return q.Int64(), true
}

func plain(digits string, decimals int) string {
	if decimals == 0 {
		return digits
	}
	return digits[:len(digits)-decimals] + "." + digits[len(digits)-decimals:]
}

func clip(s string) string {
	r := []rune(s)
	if len(r) > 40 {
		return string(r[:40]) + "…"
	}
	return s
}

// SI is the value in the formula unit of its kind.
func (q Quantity) SI() float64 {
	for _, m := range measures {
		if m.dim == q.Dim {
			return float64(q.N) / float64(m.base) * m.si
		}
	}
	return float64(q.N)
}

// Decimals is the number of digits typed behind the mark.
func (q Quantity) Decimals() int {
	if i := strings.IndexByte(q.Text, '.'); i >= 0 {
		return len(q.Text) - i - 1
	}
	return 0
}

// Resolution is one unit of the last digit typed, in the formula unit.
func (q Quantity) Resolution() float64 {
	return ToSI(math.Pow(10, -float64(q.Decimals())), q.Unit)
}

// String is the canonical text: digits, point, space, unit.
func (q Quantity) String() string {
	if q.Unit == "" {
		return ""
	}
	return q.Text + " " + q.Unit
}

// IsZero reports whether no quantity was given at all.
func (q Quantity) IsZero() bool { return q.Dim == None }

// Format writes a formula value in a unit with a fixed number of decimals, a
// point as mark and a hyphen as minus; pages turn both into the reader's own.
func Format(si float64, unitName string, decimals int) string {
	s := strconv.FormatFloat(FromSI(si, unitName), 'f', decimals, 64)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	return s
}
