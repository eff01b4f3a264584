package entry

import (
	"bytes"
	"encoding/json"
	"errors"
	"slices"
	"strconv"
	"unicode/utf16"
	"unicode/utf8"

	"fettle/internal/base/fault"
)

// mostWhole is 2⁵³−1, the largest whole number that every reader of JSON keeps.
const mostWhole = 1<<53 - 1

// mostDepth bounds how far values may be nested.
const mostDepth = 64

// Canonical writes a payload as RFC 8785 does for values without fractions:
// names sorted by UTF-16 code units, no spaces, no escaping beyond what JSON
// asks. A fraction or an exponent is refused, for a measured value is a decimal
// string; so is a whole number beyond ±(2⁵³−1), a text that is not UTF-8 and a
// name that stands twice.
func Canonical(payload any) ([]byte, error) {
	raw, err := json.Marshal(payload)
	if err != nil {
		return nil, fault.New(fault.Invalid, "entry.not-json", "error", err.Error())
	}
	return canonicalText(raw)
}

// canonicalText brings JSON text into its canonical form.
func canonicalText(raw []byte) ([]byte, error) {
	if !utf8.Valid(raw) || lossy(raw) {
		return nil, fault.New(fault.Invalid, "entry.not-unicode")
	}
	if !json.Valid(raw) {
		return nil, fault.New(fault.Invalid, "entry.not-json", "error", wrong(raw))
	}
	w := writer{raw: raw, b: make([]byte, 0, len(raw))}
	if err := w.value(0); err != nil {
		return nil, err
	}
	return w.b, nil
}

// wrong is what package json says of a text that is not JSON.
func wrong(raw []byte) string {
	var v any
	if err := json.Unmarshal(raw, &v); err != nil {
		return err.Error()
	}
	return "more than one value"
}

// lossy reports an escape that stands for no character: half of a surrogate
// pair, or the \ufffd that package json writes in place of a broken byte.
func lossy(raw []byte) bool {
	for i := 0; i < len(raw); i++ {
		if raw[i] != '\\' {
			continue
		}
		i++
		r := escaped(raw, i)
		switch {
		case r == utf8.RuneError:
			return true
		case utf16.IsSurrogate(r):
			if i+5 >= len(raw) || raw[i+5] != '\\' || utf16.DecodeRune(r, escaped(raw, i+6)) == utf8.RuneError {
				return true
			}
			i += 10
		}
	}
	return false
}

// escaped reads uXXXX at i, or returns -1.
func escaped(raw []byte, i int) rune {
	if i+5 > len(raw) || raw[i] != 'u' {
		return -1
	}
	n, err := strconv.ParseUint(string(raw[i+1:i+5]), 16, 16)
	if err != nil {
		return -1
	}
	return rune(n)
}

// writer turns one JSON value, known to be valid, into canonical bytes.
type writer struct {
	raw []byte
	at  int
	b   []byte
}

// next is the first byte of the next token.
func (w *writer) next() byte {
	for {
		switch c := w.raw[w.at]; c {
		case ' ', '\t', '\n', '\r':
			w.at++
		default:
			return c
		}
	}
}

func (w *writer) value(depth int) error {
	c := w.next()
	if depth > mostDepth {
		return fault.New(fault.TooLarge, "entry.too-deep", "most", strconv.Itoa(mostDepth))
	}
	switch c {
	case '{':
		return w.object(depth)
	case '[':
		return w.list(depth)
	case '"':
		w.text()
		return nil
	case 't', 'n':
		w.b = append(w.b, w.raw[w.at:w.at+4]...)
		w.at += 4
		return nil
	case 'f':
		w.b = append(w.b, "false"...)
		w.at += 5
		return nil
	}
	return w.number()
}

func (w *writer) number() error {
	from := w.at
	for w.at < len(w.raw) && (w.raw[w.at] == '-' || w.raw[w.at] == '+' || w.raw[w.at] == '.' || w.raw[w.at]|0x20 == 'e' || w.raw[w.at] >= '0' && w.raw[w.at] <= '9') {
		w.at++
	}
	text := string(w.raw[from:w.at])
	n, err := strconv.ParseInt(text, 10, 64)
	switch {
	case err != nil && errors.Is(err, strconv.ErrSyntax):
		return fault.New(fault.Invalid, "entry.float", "found", text)
	case err != nil || n > mostWhole || n < -mostWhole:
		return fault.New(fault.Invalid, "entry.too-big", "found", text, "most", strconv.Itoa(mostWhole))
	}
	w.b = strconv.AppendInt(w.b, n, 10)
	return nil
}

// text copies a string that has no escape as it stands and writes any other
// anew.
func (w *writer) text() {
	from, plain := w.at, true
	for w.at++; w.raw[w.at] != '"'; w.at++ {
		if w.raw[w.at] == '\\' {
			plain = false
			w.at++
		}
	}
	w.at++
	if plain {
		w.b = append(w.b, w.raw[from:w.at]...)
		return
	}
	var s string
	if err := json.Unmarshal(w.raw[from:w.at], &s); err != nil {
		panic("entry: a valid string could not be read: " + err.Error())
	}
	w.b = appendText(w.b, s)
}

func (w *writer) list(depth int) error {
	w.b = append(w.b, '[')
	w.at++
	for w.next() != ']' {
		if w.raw[w.at] == ',' {
			w.at++
			w.b = append(w.b, ',')
		}
		if err := w.value(depth + 1); err != nil {
			return err
		}
	}
	w.at++
	w.b = append(w.b, ']')
	return nil
}

// member is one name of an object with its value, in canonical bytes.
type member struct{ name, text []byte }

// object writes each member behind the others, then puts them in order.
func (w *writer) object(depth int) error {
	var near [16]member
	members, start := near[:0], len(w.b)
	w.at++
	for w.next() != '}' {
		if w.raw[w.at] == ',' {
			w.at++
			w.next()
		}
		from := len(w.b)
		w.text()
		name := len(w.b)
		w.next()
		w.at++ // the colon
		w.b = append(w.b, ':')
		if err := w.value(depth + 1); err != nil {
			return err
		}
		members = append(members, member{w.b[from:name], w.b[from:]})
	}
	w.at++
	slices.SortFunc(members, func(a, b member) int { return byUTF16(a.name, b.name) })
	ordered := make([]byte, 0, len(w.b)-start+len(members)+1)
	for i, m := range members {
		if i > 0 {
			if bytes.Equal(m.name, members[i-1].name) {
				return fault.New(fault.Invalid, "entry.name-twice", "name", saying(m.name))
			}
			ordered = append(ordered, ',')
		}
		ordered = append(ordered, m.text...)
	}
	w.b = append(append(append(w.b[:start], '{'), ordered...), '}')
	return nil
}

// byUTF16 orders two quoted names by the code units of what they say.
func byUTF16(a, b []byte) int {
	if ascii(a) && ascii(b) {
		return bytes.Compare(a[:len(a)-1], b[:len(b)-1])
	}
	return slices.Compare(utf16.Encode([]rune(saying(a))), utf16.Encode([]rune(saying(b))))
}

// ascii reports a quoted name of plain letters, without an escape.
func ascii(name []byte) bool {
	for _, c := range name {
		if c >= utf8.RuneSelf || c == '\\' {
			return false
		}
	}
	return true
}

// saying is what a quoted name says.
func saying(name []byte) string {
	var s string
	if err := json.Unmarshal(name, &s); err != nil {
		panic("entry: a canonical name could not be read: " + err.Error())
	}
	return s
}

// appendText writes a string as RFC 8785 section 3.2.2.2 asks: the two-character
// escapes where JSON has one, \u00xx for the other control characters, and every
// other character as itself.
func appendText(b []byte, s string) []byte {
	const digits = "0123456789abcdef"
	b = append(b, '"')
	for i := 0; i < len(s); i++ {
		switch c := s[i]; c {
		case '"', '\\':
			b = append(b, '\\', c)
		case '\b':
			b = append(b, `\b`...)
		case '\t':
			b = append(b, `\t`...)
		case '\n':
			b = append(b, `\n`...)
		case '\f':
			b = append(b, `\f`...)
		case '\r':
			b = append(b, `\r`...)
		default:
			if c < ' ' {
				b = append(b, '\\', 'u', '0', '0', digits[c>>4], digits[c&15])
			} else {
				b = append(b, c)
			}
		}
	}
	return append(b, '"')
}
