package money_test

import (
	"errors"
	"fmt"
	"math/big"
	"math/rand/v2"
	"strings"
	"testing"

	"fettle/internal/base/fault"
	"fettle/internal/base/money"
)

func must(t *testing.T, text string) money.Amount {
	t.Helper()
	a, err := money.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func key(err error) string {
	var f *fault.Fault
	if !errors.As(err, &f) {
		return ""
	}
	return f.Key
}

// Law: what cannot be an amount says which of its two halves is wrong.
func TestWhatIsNoAmount(t *testing.T) {
	for text, want := range map[string]string{
		"12.50":                          "money.no-currency",
		"12.50 ":                         "money.no-currency",
		" EUR":                           "money.no-currency",
		"12.50 XYZ":                      "money.unknown-currency",
		"12,50 EUR":                      "money.not-a-number",
		"1e9 EUR":                        "money.not-a-number",
		"1e999999999 EUR":                "money.not-a-number",
		"+5 EUR":                         "money.not-a-number",
		".5 EUR":                         "money.not-a-number",
		"5. EUR":                         "money.not-a-number",
		"1.234.567 EUR":                  "money.not-a-number",
		"--5 EUR":                        "money.not-a-number",
		"NaN EUR":                        "money.not-a-number",
		"12.505 EUR":                     "money.too-fine",
		"12.5 JPY":                       "money.too-fine",
		"1.2345 KWD":                     "money.too-fine",
		"1000000000000 EUR":              "money.too-large",
		strings.Repeat("9", 90) + " EUR": "money.not-a-number",
	} {
		if _, err := money.Parse(text); key(err) != want {
			t.Errorf("%q: %v, expected %s", text, err, want)
		}
	}
	if _, err := money.New("", "EUR", '.'); key(err) != "money.no-number" {
		t.Error(err)
	}
	if _, err := money.New("1.5", "EUR", ','); key(err) != "money.not-a-number" {
		t.Error(err)
	}
}

// Law: an amount survives writing and reading, with the decimals of its currency.
func TestAmountIsWrittenAndRead(t *testing.T) {
	for text, want := range map[string]string{
		"12.5 EUR": "12.50 EUR", "0 eur": "0.00 EUR", "-3 EUR": "-3.00 EUR", "−3 EUR": "-3.00 EUR",
		"1200 JPY": "1200 JPY", "1.5 KWD": "1.500 KWD", "-0 EUR": "0.00 EUR", "007 EUR": "7.00 EUR",
	} {
		a := must(t, text)
		if a.String() != want || must(t, a.String()).String() != want {
			t.Errorf("%s: %s, expected %s", text, a, want)
		}
	}
	a, err := money.New("12,5", "EUR", ',')
	if err != nil || a.String() != "12.50 EUR" {
		t.Error(a, err)
	}
}

// Published: Council Regulation (EC) No 1103/97, article 5 (from memory): to the
// nearest cent, and up where the result lies exactly half-way. Half-even is
// roundTiesToEven of IEEE 754-2019, 4.3.1, on decimals.
func TestHalves(t *testing.T) {
	for _, c := range []struct {
		rule        money.Rule
		factor, out string
	}{
		{money.HalfAway, "1/8", "0.13 EUR"}, {money.HalfAway, "-1/8", "-0.13 EUR"},
		{money.HalfAway, "1249999/10000000", "0.12 EUR"}, {money.HalfAway, "3/8", "0.38 EUR"},
		{money.HalfEven, "1/8", "0.12 EUR"}, {money.HalfEven, "3/8", "0.38 EUR"},
		{money.HalfEven, "27/200", "0.14 EUR"}, {money.HalfEven, "-1/8", "-0.12 EUR"},
		{money.HalfEven, "1250001/10000000", "0.13 EUR"},
		{money.HalfAway5, "1/8", "0.15 EUR"}, {money.HalfAway5, "12/100", "0.10 EUR"}, {money.HalfAway5, "1249/10000", "0.10 EUR"},
		{money.HalfAway, "1/3", "0.33 EUR"}, {money.HalfAway, "2/3", "0.67 EUR"},
	} {
		f, _ := new(big.Rat).SetString(c.factor)
		got, err := must(t, "1 EUR").Times(f, c.rule)
		if err != nil || got.String() != c.out {
			t.Errorf("%s by %s: %s %v, expected %s", c.factor, c.rule, got, err, c.out)
		}
	}
	if _, err := must(t, "1 EUR").Times(big.NewRat(1, 2), "nearest"); key(err) != "money.unknown-rule" {
		t.Error(err)
	}
	// Twenty minutes at 75 an hour: a third as a decimal would give 24.98 or worse.
	if got, _ := must(t, "75 EUR").Times(big.NewRat(20, 60), money.HalfAway); got.String() != "25.00 EUR" {
		t.Error(got)
	}
}

// Law: a sum is exact to the last digit against whole numbers of cents, in any order.
func TestSumsAreExact(t *testing.T) {
	chance := rand.New(rand.NewPCG(5, 1))
	for range 50 {
		var all []money.Amount
		cents := int64(0)
		for range 200 {
			n := chance.Int64N(2_000_001) - 1_000_000
			cents += n
			sign := ""
			if n < 0 {
				sign, n = "-", -n
			}
			all = append(all, must(t, fmt.Sprintf("%s%d.%02d EUR", sign, n/100, n%100)))
		}
		chance.Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
		sum, err := money.Sum("EUR", all...)
		if err != nil {
			t.Fatal(err)
		}
		want := new(big.Rat).SetFrac64(cents, 100).FloatString(2)
		if sum.Number() != want {
			t.Errorf("%s, expected %s", sum, want)
		}
	}
}

// Law: rounding is never further off than half a step, and is its own result again.
func TestRoundingIsNear(t *testing.T) {
	chance := rand.New(rand.NewPCG(5, 2))
	for range 2000 {
		a := must(t, fmt.Sprintf("%d.%02d EUR", chance.IntN(1000), chance.IntN(100)))
		f := big.NewRat(chance.Int64N(2001)-1000, 1+chance.Int64N(97))
		for _, rule := range money.Rules() {
			got, err := a.Times(f, rule)
			if err != nil {
				t.Fatal(err)
			}
			exact, _ := new(big.Rat).SetString(a.Number())
			exact.Mul(exact, f)
			back, _ := new(big.Rat).SetString(got.Number())
			half := big.NewRat(1, 200)
			if rule == money.HalfAway5 {
				half = big.NewRat(5, 200)
			}
			if off := new(big.Rat).Sub(back, exact); off.Abs(off).Cmp(half) > 0 {
				t.Errorf("%s × %s by %s: %s", a, f, rule, got)
			}
			if again, _ := got.Times(big.NewRat(1, 1), rule); again.String() != got.String() {
				t.Errorf("%s by %s: %s", got, rule, again)
			}
		}
	}
}

// Law: currencies do not mix.
func TestTwoCurrencies(t *testing.T) {
	if _, err := must(t, "1 EUR").Plus(must(t, "1 CHF")); key(err) != "money.two-currencies" {
		t.Error(err)
	}
	if _, err := must(t, "1 EUR").Compare(must(t, "1 CHF")); key(err) != "money.two-currencies" {
		t.Error(err)
	}
	if n, err := must(t, "1 EUR").Compare(must(t, "1.01 EUR")); n != -1 || err != nil {
		t.Error(n, err)
	}
	if _, err := money.Sum("EUR", must(t, "999999999999 EUR"), must(t, "1 EUR")); key(err) != "money.too-large" {
		t.Error(err)
	}
}

// Law: a rate is a part of a hundred.
func TestPercent(t *testing.T) {
	for text, want := range map[string]string{"-1": "money.percent", "100.01": "money.percent", "7.12345": "money.percent", "": "money.no-number", "x": "money.not-a-number"} {
		if _, err := money.ParsePercent(text, '.'); key(err) != want {
			t.Errorf("%q: %v", text, err)
		}
	}
	p, err := money.ParsePercent("7,7", ',')
	if err != nil {
		t.Fatal(err)
	}
	if got, _ := p.Of(must(t, "1234.55 CHF"), money.HalfAway5); got.String() != "95.05 CHF" { // 95.06035
		t.Error(got)
	}
}
