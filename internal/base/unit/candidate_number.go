package unit

import (
	"strconv"
	"strings"
)

// numbers lists the plain numbers, with a point, that the number part of a text
// may stand for, the likeliest first.
func numbers(s string, mark byte) []string {
	s = strings.TrimSpace(s)
	body := strings.TrimLeft(s, "+- ")
	signs := strings.ReplaceAll(s[:len(s)-len(body)], " ", "")
	body, ok := digitsFor(body)
	if !ok {
		return nil
	}
	tens := 0
	if k := strings.IndexAny(body, "eE"); k >= 0 {
		n, err := strconv.Atoi(strings.TrimPrefix(body[k+1:], "+"))
		if err != nil {
			return nil
		}
		body, tens = body[:k], n
	}
	if bare(body) == "" {
		return nil
	}
	var out []string
	for _, n := range marks(body, mark) {
		n, ok := shifted(n, tens)
		if !ok {
			continue
		}
		switch {
		case signs == "" || signs == "+":
			out = append(out, n)
		case signs == "-":
			out = append(out, "-"+n)
		default: // said twice: meant once, or taken back
			out = append(out, "-"+n, n)
		}
	}
	return out
}

// alikes are letters that a hurried hand or a label reader takes for digits.
var alikes = strings.NewReplacer("O", "0", "o", "0", "l", "1", "I", "1", "|", "1", "S", "5", "B", "8")

// digitsFor replaces letters that look like digits; ok is false where anything
// else stands between the digits, or no digit at all.
func digitsFor(s string) (string, bool) {
	if !strings.ContainsAny(s, "0123456789") {
		return "", false
	}
	s = alikes.Replace(s)
	e := 0
	for i := 0; i < len(s); i++ {
		switch c := s[i]; {
		case c >= '0' && c <= '9', c == '.', c == ',', c == ' ', c == '\'':
		case (c == 'e' || c == 'E') && i > 0 && i+1 < len(s) && e == 0:
			e = i
		case (c == '-' || c == '+') && e > 0 && i == e+1:
		default:
			return "", false
		}
	}
	return s, true
}

// marks lists the numbers that a run of digits, points, commas, apostrophes and
// spaces may be: any of its marks may be the decimal one, or all may part
// thousands. Spaces count as marks only where there is no other.
func marks(s string, mark byte) []string {
	set := ".,"
	if !strings.ContainsAny(s, set) {
		set = " "
	}
	var parts []string // digits between the marks
	var kinds []byte   // of the marks
	from := 0
	for i := 0; i < len(s); i++ {
		if strings.IndexByte(set, s[i]) >= 0 {
			parts, kinds = append(parts, bare(s[from:i])), append(kinds, s[i])
			from = i + 1
		}
	}
	parts = append(parts, bare(s[from:]))
	joined := strings.Join(parts, "")
	switch {
	case len(kinds) == 0:
		return []string{joined}
	case len(kinds) == 1 && kinds[0] == mark:
		return []string{decimal(parts, 0)}
	}
	var out []string
	same := strings.Count(string(kinds), string(kinds[:1])) == len(kinds)
	thousands := same && byThree(parts)
	if thousands && len(kinds) > 1 {
		out = append(out, joined)
	}
	for i := len(kinds) - 1; i >= 0; i-- {
		out = append(out, decimal(parts, i))
	}
	if thousands || set == " " {
		out = append(out, joined)
	}
	return out
}

// decimal takes mark i for the decimal one and drops the others.
func decimal(parts []string, i int) string {
	whole, part := strings.Join(parts[:i+1], ""), strings.Join(parts[i+1:], "")
	if whole == "" {
		whole = "0"
	}
	if part == "" {
		return whole
	}
	return whole + "." + part
}

// byThree reports digits parted the way thousands are.
func byThree(parts []string) bool {
	for _, p := range parts[1:] {
		if len(p) != 3 {
			return false
		}
	}
	first := parts[0]
	return len(first) >= 1 && len(first) <= 3 && first[0] != '0'
}

func bare(s string) string {
	return strings.Map(func(r rune) rune {
		if r >= '0' && r <= '9' {
			return r
		}
		return -1
	}, s)
}
