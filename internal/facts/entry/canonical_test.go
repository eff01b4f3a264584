package entry

import (
	"bytes"
	"encoding/json"
	"errors"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"fettle/internal/base/fault"
)

// Published: RFC 8785 (JSON Canonicalization Scheme, 2020), section 3.2.3: the
// seven names of its sorting example, quoted from memory; the order is worked by
// hand from the UTF-16 code units noted at each. By UTF-8 bytes the smiling face
// would come last.
func TestPublishedSorting(t *testing.T) {
	got, err := Canonical(json.RawMessage(`{
		"\u20ac": "Euro Sign",
		"\r": "Carriage Return",
		"\ufb33": "Hebrew Letter Dalet With Dagesh",
		"1": "One",
		"\ud83d\ude00": "Emoji: Grinning Face",
		"\u0080": "Control",
		"\u00f6": "Latin Small Letter O With Diaeresis"
	}`))
	if err != nil {
		t.Fatal(err)
	}
	want := `{"\r":"Carriage Return",` + // 000D
		`"1":"One",` + // 0031
		"\"\u0080\":\"Control\"," + // 0080
		`"ö":"Latin Small Letter O With Diaeresis",` + // 00F6
		`"€":"Euro Sign",` + // 20AC
		`"😀":"Emoji: Grinning Face",` + // D83D DE00
		"\"\ufb33\":\"Hebrew Letter Dalet With Dagesh\"}" // FB33
	if d := cmp.Diff(want, string(got)); d != "" {
		t.Error(d)
	}
}

// Published: RFC 8785, sections 3.2.1 to 3.2.2.2: the string and the literals of
// its example, quoted from memory and worked by hand. Its numbers have fractions,
// which this format refuses.
func TestPublishedText(t *testing.T) {
	for _, c := range []struct{ in, want string }{
		{`{"string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/"}`, `{"string":"€$\u000f\nA'B\"\\\\\"/"}`},
		{`{"literals": [null, true, false]}`, `{"literals":[null,true,false]}`},
	} {
		got, err := Canonical(json.RawMessage(c.in))
		if err != nil || string(got) != c.want {
			t.Errorf("%s: got %s, %v; want %s", c.in, got, err, c.want)
		}
	}
}

// Law: what package json would escape or keep otherwise is written as RFC 8785
// asks. Worked by hand.
func TestCanonicalBytes(t *testing.T) {
	for _, c := range []struct {
		in   any
		want string
	}{
		{map[string]any{"b": 1, "a": []any{"x", map[string]any{"d": true, "c": nil}}}, `{"a":["x",{"c":null,"d":true}],"b":1}`},
		{map[string]string{"t": "<&>\u2028\u2029\u007f\b\f\v"}, "{\"t\":\"<&>\u2028\u2029\u007f\\b\\f\\u000b\"}"},
		{json.RawMessage(`{"n":-0}`), `{"n":0}`},
		{json.RawMessage("{ }"), `{}`},
		{json.RawMessage(`{"n":[9007199254740991,-9007199254740991]}`), `{"n":[9007199254740991,-9007199254740991]}`},
		{map[string]string{"shown": "\ufffd"}, "{\"shown\":\"\ufffd\"}"},
	} {
		got, err := Canonical(c.in)
		if err != nil || string(got) != c.want {
			t.Errorf("%v: got %s, %v; want %s", c.in, got, err, c.want)
		}
	}
}

func TestCanonicalRefuses(t *testing.T) {
	for _, c := range []struct {
		in  any
		key string
	}{
		{map[string]any{"v": 83.012}, "entry.float"},
		{json.RawMessage(`{"v":1.0}`), "entry.float"},
		{json.RawMessage(`{"v":1e2}`), "entry.float"},
		{json.RawMessage(`{"v":9007199254740992}`), "entry.too-big"},
		{json.RawMessage(`{"v":99999999999999999999}`), "entry.too-big"},
		{json.RawMessage(`{"a":1,"a":1}`), "entry.name-twice"},
		{json.RawMessage(`{"a":1,"\u0061":2}`), "entry.name-twice"},
		{map[string]string{"s": "broken \xff"}, "entry.not-unicode"},
		{map[string]string{"broken \xff": "s"}, "entry.not-unicode"},
		{json.RawMessage(`{"half":"\ud83d"}`), "entry.not-unicode"},
		{json.RawMessage(`{"half":"\ud83d\u0041"}`), "entry.not-unicode"},
		{json.RawMessage(`{"half":"\ude00\ud83d"}`), "entry.not-unicode"},
		{json.RawMessage(`{"open":`), "entry.not-json"},
		{func() {}, "entry.not-json"},
		{json.RawMessage(strings.Repeat("[", 100) + strings.Repeat("]", 100)), "entry.too-deep"},
	} {
		_, err := Canonical(c.in)
		if key(err) != c.key {
			t.Errorf("%v: got %v, want %s", c.in, err, c.key)
		}
	}
}

// Law: the canonical form keeps the meaning and is its own canonical form.
func TestCanonicalLaws(t *testing.T) {
	var value func(depth int) *rapid.Generator[any]
	value = func(depth int) *rapid.Generator[any] {
		plain := []*rapid.Generator[any]{
			rapid.String().AsAny(), rapid.Bool().AsAny(), rapid.Just[any](nil),
			rapid.Int64Range(-mostWhole, mostWhole).AsAny(),
		}
		if depth == 0 {
			return rapid.OneOf(plain...)
		}
		inner := value(depth - 1)
		return rapid.OneOf(append(plain, rapid.SliceOfN(inner, 0, 4).AsAny(), rapid.MapOfN(rapid.String(), inner, 0, 6).AsAny())...)
	}
	rapid.Check(t, func(t *rapid.T) {
		in := rapid.MapOfN(rapid.String(), value(2), 0, 6).Draw(t, "payload")
		once, err := Canonical(in)
		if err != nil {
			t.Fatal(err)
		}
		twice, err := Canonical(json.RawMessage(once))
		if err != nil || !bytes.Equal(once, twice) {
			t.Fatalf("%s became %s, %v", once, twice, err)
		}
		raw, err := json.Marshal(in)
		if err != nil {
			t.Fatal(err)
		}
		var before, after any
		if json.Unmarshal(raw, &before) != nil || json.Unmarshal(once, &after) != nil {
			t.Fatalf("not JSON: %s", once)
		}
		if d := cmp.Diff(before, after); d != "" {
			t.Fatal(d)
		}
	})
}

func key(err error) string {
	var f *fault.Fault
	if errors.As(err, &f) {
		return f.Key
	}
	return ""
}
