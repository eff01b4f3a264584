package entry

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
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
	d := json.NewDecoder(bytes.NewReader(raw))
	d.UseNumber()
	w := writer{from: d, b: make([]byte, 0, len(raw))}
	if err := w.value(0); err != nil {
		return nil, err
	}
	if _, err := d.Token(); err != io.EOF {
		return nil, fault.New(fault.Invalid, "entry.not-json", "error", "more than one value")
	}
	return w.b, nil
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

// writer turns the tokens of one JSON value into canonical bytes.
type writer struct {
	from *json.Decoder
	b    []byte
}

func (w *writer) value(depth int) error {
	t, err := w.from.Token()
	if err != nil {
		return fault.New(fault.Invalid, "entry.not-json", "error", err.Error())
	}
	if depth > mostDepth {
		return fault.New(fault.TooLarge, "entry.too-deep", "most", strconv.Itoa(mostDepth))
	}
	switch t := t.(type) {
	case json.Delim:
		if t == '{' {
			return w.object(depth)
		}
		return w.list(depth)
	case string:
		w.b = appendText(w.b, t)
	case json.Number:
		n, err := strconv.ParseInt(t.String(), 10, 64)
		switch {
		case err != nil && errors.Is(err, strconv.ErrSyntax):
			return fault.New(fault.Invalid, "entry.float", "found", t.String())
		case err != nil || n > mostWhole || n < -mostWhole:
			return fault.New(fault.Invalid, "entry.too-big", "found", t.String(), "most", strconv.Itoa(mostWhole))
		}
		w.b = strconv.AppendInt(w.b, n, 10)
	case bool:
		w.b = strconv.AppendBool(w.b, t)
	case nil:
		w.b = append(w.b, "null"...)
	}
	return nil
}

func (w *writer) list(depth int) error {
	w.b = append(w.b, '[')
	for first := true; w.from.More(); first = false {
		if !first {
			w.b = append(w.b, ',')
		}
		if err := w.value(depth + 1); err != nil {
			return err
		}
	}
	w.b = append(w.b, ']')
	return w.end()
}

// object writes each member behind the others, then puts them in order.
func (w *writer) object(depth int) error {
	type member struct {
		name []uint16
		text []byte
	}
	var members []member
	start := len(w.b)
	for w.from.More() {
		t, err := w.from.Token()
		if err != nil {
			return fault.New(fault.Invalid, "entry.not-json", "error", err.Error())
		}
		at := len(w.b)
		w.b = append(appendText(w.b, t.(string)), ':') // a name is always a string
		if err := w.value(depth + 1); err != nil {
			return err
		}
		members = append(members, member{utf16.Encode([]rune(t.(string))), bytes.Clone(w.b[at:])})
	}
	slices.SortFunc(members, func(a, b member) int { return slices.Compare(a.name, b.name) })
	w.b = append(w.b[:start], '{')
	for i, m := range members {
		if i > 0 {
			if slices.Equal(m.name, members[i-1].name) {
				return fault.New(fault.Invalid, "entry.name-twice", "name", string(utf16.Decode(m.name)))
			}
			w.b = append(w.b, ',')
		}
		w.b = append(w.b, m.text...)
	}
	w.b = append(w.b, '}')
	return w.end()
}

// end takes the closing bracket.
func (w *writer) end() error {
	if _, err := w.from.Token(); err != nil {
		return fault.New(fault.Invalid, "entry.not-json", "error", err.Error())
	}
	return nil
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
