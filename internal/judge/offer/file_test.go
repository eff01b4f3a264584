package offer

import (
	"math/rand/v2"
	"strings"
	"testing"
)

func issued(t *testing.T) Sealed {
	t.Helper()
	o, err := quote(Input{Terms: terms(t, nil), From: "2025-03-03", Routes: routes(t, rand.New(rand.NewPCG(5, 4)))}, 50)
	if err != nil {
		t.Fatal(err)
	}
	s, err := File{Job: "j-1", Title: "An engine", Family: "f", Number: 1, On: "2025-03-01", Until: "2025-03-31", Offer: o}.Seal()
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// Law: a quote comes back as it left, with the same digest and the same code.
func TestQuoteComesBack(t *testing.T) {
	s := issued(t)
	f, again, err := Verify(s.Bytes)
	if err != nil || again.Digest != s.Digest || again.Code != s.Code || f.Job != "j-1" || len(f.Offer.Options) != 2 {
		t.Fatalf("%v %s %s", err, again.Digest, again.Code)
	}
	if len(s.Code) != 9 || strings.Trim(s.Code, letters+"-") != "" {
		t.Error(s.Code)
	}
}

// Law: the code is the beginning of the digest; two worked by hand: forty bits of
// nothing, and 0x0000000001 whose last five bits are 1.
func TestCode(t *testing.T) {
	for digest, want := range map[string]string{
		strings.Repeat("00", 32):                "2222-2222",
		"0000000001" + strings.Repeat("ff", 27): "2222-2223",
		"ffffffffff" + strings.Repeat("00", 27): "ZZZZ-ZZZZ",
		"not a digest":                          "",
		"00":                                    "",
	} {
		if got := Code(digest); got != want {
			t.Errorf("%s: %s, expected %s", digest, got, want)
		}
	}
}

// Law: a changed price, a changed sum, a space, another format: none of them is
// the quote that left.
func TestChangedQuotes(t *testing.T) {
	s := issued(t)
	text := string(s.Bytes)
	low := strings.Index(text, `"net":{"high":"`) + len(`"net":{"high":"`)
	digit := byte('1')
	if text[low] == '1' {
		digit = '2'
	}
	for name, c := range map[string]struct{ text, want string }{
		"a price": {text[:low] + string(digit) + text[low+1:], "quote.sum"},
		"a space": {text + " ", "quote.changed"},
		"a title": {strings.Replace(text, "An engine", "A engine", 1), ""},
		"a field": {strings.Replace(text, `"job":`, `"jobs":`, 1), "quote.not-a-quote"},
		"format":  {strings.Replace(text, "quote/1", "quote/2", 1), "quote.not-a-quote"},
		"no JSON": {"%PDF-1.4", "quote.not-a-quote"},
	} {
		_, again, err := Verify([]byte(c.text))
		if key(err) != c.want {
			t.Errorf("%s: %v, expected %s", name, err, c.want)
		}
		if err == nil && (again.Digest == s.Digest || again.Code == s.Code) {
			t.Errorf("%s: the same digest", name)
		}
	}
}
