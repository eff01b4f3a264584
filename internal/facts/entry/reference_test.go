package entry

import (
	"bytes"
	"encoding/json"
	"slices"
	"testing"
	"unicode/utf16"
)

// reference writes the canonical form the long way: through the decoder's own
// values.
func reference(v any) []byte {
	var b []byte
	switch v := v.(type) {
	case map[string]any:
		var names []string
		for n := range v {
			names = append(names, n)
		}
		slices.SortFunc(names, func(x, y string) int {
			return slices.Compare(utf16.Encode([]rune(x)), utf16.Encode([]rune(y)))
		})
		b = append(b, '{')
		for i, n := range names {
			if i > 0 {
				b = append(b, ',')
			}
			b = append(append(appendText(b, n), ':'), reference(v[n])...)
		}
		return append(b, '}')
	case []any:
		b = append(b, '[')
		for i, e := range v {
			if i > 0 {
				b = append(b, ',')
			}
			b = append(b, reference(e)...)
		}
		return append(b, ']')
	case string:
		return appendText(nil, v)
	case json.Number:
		if v == "-0" {
			return []byte("0")
		}
		return []byte(v)
	case bool:
		if v {
			return []byte("true")
		}
		return []byte("false")
	}
	return []byte("null")
}

// Law: whatever JSON comes, the canonical form is that of the long way, and
// canonical already.
func FuzzCanonicalText(f *testing.F) {
	for _, s := range []string{`{"b":1,"a":[true,false,null," \u20ac\u000a<"]}`, `{"a":{"z":"é","\ud83d\ude00":1,"\ufb33":2}}`, `"\/"`, `[-0, 12, {"x":""}]`, `{"ab":1,"a":2,"a\u0000":3}`, " [ ] ", "{ }", `{"a":1.5}`, `{"a":1,"a":2}`} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		got, err := canonicalText(raw)
		if err != nil {
			return
		}
		d := json.NewDecoder(bytes.NewReader(raw))
		d.UseNumber()
		var v any
		if d.Decode(&v) != nil {
			t.Fatalf("%q was taken", raw)
		}
		if want := reference(v); !bytes.Equal(got, want) {
			t.Fatalf("%q became %q, the long way %q", raw, got, want)
		}
		if again, err := canonicalText(got); err != nil || !bytes.Equal(again, got) {
			t.Fatalf("%q is not canonical: %q, %v", got, again, err)
		}
	})
}
