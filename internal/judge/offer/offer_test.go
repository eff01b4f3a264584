package offer

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"slices"
	"strconv"
	"testing"
	"time"

	"fettle/internal/base/fault"
	"fettle/internal/base/money"
	"fettle/internal/facts/shop"
	"fettle/internal/know/words"
)

// terms of a shop that never was: 8 h a day, Monday to Friday.
func terms(t *testing.T, change func(*shop.TermsV1)) shop.Terms {
	t.Helper()
	v := shop.TermsV1{Currency: "EUR", Rounding: "half-away", Tax: "19", TaxName: "VAT", Hours: "8", Hands: 1, Week: []int{1, 2, 3, 4, 5}, Pace: "0.5", Deposit: "30", Valid: 30,
		Rates: []shop.RateV1{{Hour: "66.50 EUR"}, {Machine: "boring mill", Hour: "91.35 EUR"}}}
	if change != nil {
		change(&v)
	}
	out, err := shop.ReadTerms(v)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func amount(t *testing.T, text string) money.Amount {
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

// reliable is the project of the Reliable Construction Co.: activity, what comes
// before it, weeks.
func reliable() []Work {
	return []Work{
		{ID: "A", Low: 2}, {ID: "B", Low: 4, After: []string{"A"}}, {ID: "C", Low: 10, After: []string{"B"}},
		{ID: "D", Low: 6, After: []string{"C"}}, {ID: "E", Low: 4, After: []string{"C"}}, {ID: "F", Low: 5, After: []string{"E"}},
		{ID: "G", Low: 7, After: []string{"D"}}, {ID: "H", Low: 9, After: []string{"E", "G"}}, {ID: "I", Low: 7, After: []string{"C"}},
		{ID: "J", Low: 8, After: []string{"F", "I"}}, {ID: "K", Low: 4, After: []string{"J"}}, {ID: "L", Low: 5, After: []string{"J"}},
		{ID: "M", Low: 2, After: []string{"H"}}, {ID: "N", Low: 6, After: []string{"K", "L"}},
	}
}

// Published: F. S. Hillier and G. J. Lieberman, Introduction to Operations
// Research, 7th edition, chapter 10, Reliable Construction Co.: the critical path
// A B C E F J L N takes 44 weeks (from memory; the mean durations are recomputed
// from its optimistic, likely and pessimistic ones). A week is one hour of a day
// of one hour here, so it is done on the 44th day; alone, one hand needs the sum
// of all, 79.
func TestCriticalPath(t *testing.T) {
	for _, c := range []struct {
		hands, days int
		path        []string
	}{{20, 44, []string{"A", "B", "C", "E", "F", "J", "L", "N"}}, {1, 79, nil}} {
		w := terms(t, func(v *shop.TermsV1) { v.Hours, v.Hands, v.Week = "1", c.hands, []int{1, 2, 3, 4, 5, 6, 7} })
		r := Route{ID: "x", Work: reliable()}
		for i := range r.Work {
			r.Work[i].Low *= 60
			r.Work[i].High = r.Work[i].Low
		}
		o, err := quote(Input{Terms: w, From: "2025-01-01", Routes: []Route{r}}, 100)
		if err != nil {
			t.Fatal(err)
		}
		want := time.Date(2025, 1, c.days, 0, 0, 0, 0, time.UTC).Format(time.DateOnly)
		if p := o.Options[0].Date; p.Half != want || p.Four != want || p.First != want || p.Last != want {
			t.Errorf("%d hands: %+v, expected %s", c.hands, p, want)
		}
		var path []string
		for _, s := range o.Options[0].Date.Waits {
			if s.Hundred == 100 {
				path = append(path, s.ID)
			}
		}
		if c.path != nil && !slices.Equal(path, c.path) {
			t.Errorf("path %v", path)
		}
	}
}

// Published: JCGM 101:2008, 9.2.3, table 3: the sum of four rectangular
// quantities of unit standard deviation has u = 2.00 and its shortest 95 %
// coverage interval ends at ±2√3(2 - (3/5)^¼) = ±3.88. A quarter of a million
// draws leave the quantile 0.02 of doubt (three standard errors).
func TestSumOfRectangles(t *testing.T) {
	w := terms(t, func(v *shop.TermsV1) { v.Tax = "0" })
	r := Route{ID: "x"}
	const half = 1000.0 // of each rectangle; √3 standard deviations
	for i := range 4 {
		r.Parts = append(r.Parts, Part{ID: strconv.Itoa(i), Count: 1, EachLow: amount(t, "0 EUR"), EachHigh: amount(t, "2000 EUR")})
	}
	opt, err := price(&w, &r)
	if err != nil {
		t.Fatal(err)
	}
	days, _ := calendarFrom(&w, time.Date(2025, 1, 1, 0, 0, 0, 0, time.UTC))
	net, err := schedule(&w, &r, days, newLuck(250_000, 0), &opt)
	if err != nil {
		t.Fatal(err)
	}
	slices.Sort(net)
	unit, square := half/math.Sqrt(3), 0.0
	for _, x := range net {
		square += (x - 4*half) * (x - 4*half) / float64(len(net))
	}
	edge := 2 * math.Sqrt(3) * (2 - math.Pow(0.6, 0.25))
	for _, c := range []struct{ got, want float64 }{
		{(at(net, 0.975) - 4*half) / unit, edge}, {(at(net, 0.025) - 4*half) / unit, -edge}, {(at(net, 0.5) - 4*half) / unit, 0},
		{math.Sqrt(square) / unit, 2},
	} {
		if math.Abs(c.got-c.want) > 0.02 {
			t.Errorf("%.4f, expected %.4f", c.got, c.want)
		}
	}
}

// routes makes two routes by chance that share most of their lines.
func routes(t *testing.T, chance *rand.Rand) []Route {
	t.Helper()
	var out []Route
	for _, id := range []string{"refresh", "restore"} {
		r := Route{ID: id}
		for i := range 30 {
			w := Work{ID: fmt.Sprintf("w%02d", i), Low: chance.IntN(300), Machine: []string{"", "boring mill", "lathe"}[chance.IntN(3)]}
			w.High = w.Low + chance.IntN(200)
			if i > 0 {
				w.After = []string{fmt.Sprintf("w%02d", chance.IntN(i))}
			}
			if chance.IntN(3) == 0 {
				w.Needs = []string{fmt.Sprintf("p%02d", chance.IntN(20))}
			}
			if chance.IntN(9) == 0 {
				w.DaysLow = 5 + chance.IntN(5)
				w.DaysHigh = w.DaysLow + chance.IntN(15)
				w.PriceLow, w.PriceHigh = amount(t, fmt.Sprintf("%d.%02d EUR", 50+chance.IntN(50), chance.IntN(100))), amount(t, "111.11 EUR")
			}
			r.Work = append(r.Work, w)
		}
		for i := range 20 {
			low := chance.IntN(10_000)
			p := Part{ID: fmt.Sprintf("p%02d", i), Count: 1 + chance.IntN(24), Supplier: fmt.Sprint(chance.IntN(3)), DaysLow: chance.IntN(8)}
			p.DaysHigh = p.DaysLow + chance.IntN(30)
			p.EachLow = amount(t, fmt.Sprintf("%d.%02d EUR", low/100, low%100))
			low += chance.IntN(500)
			p.EachHigh = amount(t, fmt.Sprintf("%d.%02d EUR", low/100, low%100))
			r.Parts = append(r.Parts, p)
		}
		out = append(out, r)
	}
	return out
}

// rounded is the nearest cent, a half away from zero, by whole numbers alone.
func rounded(x *big.Rat) int64 {
	c := new(big.Rat).Mul(x, big.NewRat(100, 1))
	c.Add(c, big.NewRat(1, 2))
	return new(big.Int).Div(c.Num(), c.Denom()).Int64()
}

// Law: every sum is, to the cent, the sum of its lines worked out anew in whole
// numbers; the prices that are drawn lie between the bounds, in order; so do the
// dates; and the same input gives the same bytes.
func TestSumsAndOrder(t *testing.T) {
	chance := rand.New(rand.NewPCG(5, 3))
	w := terms(t, nil)
	for range 6 {
		in := Input{Terms: w, From: "2025-03-03", Routes: routes(t, chance)}
		o, err := quote(in, 500)
		if err != nil {
			t.Fatal(err)
		}
		for i, opt := range o.Options {
			var net, tax [2]int64
			add := func(k int, exact *big.Rat) {
				c := rounded(exact)
				net[k] += c
				tax[k] += rounded(new(big.Rat).Mul(big.NewRat(c, 100), big.NewRat(19, 100)))
			}
			for _, x := range in.Routes[i].Work {
				rate := big.NewRat(6650, 100)
				if x.Machine == "boring mill" {
					rate = big.NewRat(9135, 100)
				}
				add(0, new(big.Rat).Mul(rate, big.NewRat(int64(x.Low), 60)))
				add(1, new(big.Rat).Mul(rate, big.NewRat(int64(x.High), 60)))
				if !x.PriceHigh.IsZero() {
					low, _ := new(big.Rat).SetString(x.PriceLow.Number())
					high, _ := new(big.Rat).SetString(x.PriceHigh.Number())
					add(0, low)
					add(1, high)
				}
			}
			for _, p := range in.Routes[i].Parts {
				low, _ := new(big.Rat).SetString(p.EachLow.Number())
				high, _ := new(big.Rat).SetString(p.EachHigh.Number())
				add(0, low.Mul(low, big.NewRat(int64(p.Count), 1)))
				add(1, high.Mul(high, big.NewRat(int64(p.Count), 1)))
			}
			for k, got := range [][3]money.Amount{{opt.Net.Low, opt.Tax.Low, opt.Gross.Low}, {opt.Net.High, opt.Tax.High, opt.Gross.High}} {
				for j, cents := range []int64{net[k], tax[k], net[k] + tax[k]} {
					if want := big.NewRat(cents, 100).FloatString(2); got[j].Number() != want {
						t.Errorf("%s: %s, expected %s", opt.ID, got[j], want)
					}
				}
			}
			for _, pair := range [][2]money.Amount{{opt.Gross.Low, opt.Likely}, {opt.Likely, opt.Safe}, {opt.Safe, opt.Gross.High}} {
				if n, err := pair[0].Compare(pair[1]); err != nil || n > 0 {
					t.Errorf("%s: %s above %s", opt.ID, pair[0], pair[1])
				}
			}
			if d := opt.Date; d.First > d.Half || d.Half > d.Four || d.Four > d.Last {
				t.Errorf("%s: %+v", opt.ID, d)
			}
			for _, day := range []string{opt.Date.Half, opt.Date.Four} {
				if at, _ := time.Parse(time.DateOnly, day); !w.Works(at) && !slices.ContainsFunc(in.Routes[i].Work, func(x Work) bool { return x.DaysHigh > 0 }) {
					t.Errorf("%s is no working day", day)
				}
			}
		}
		again, err := quote(in, 500)
		if err != nil {
			t.Fatal(err)
		}
		a, _ := json.Marshal(o)
		b, _ := json.Marshal(again)
		if string(a) != string(b) {
			t.Error("not the same twice")
		}
	}
}

// Law: what is sure has one price and one date, and the calendar is kept: 20 h
// from Friday 2025-02-28 at 8 h a day end on Tuesday; a day off moves it by one;
// a part of ten days from Friday comes on Monday and is used from Tuesday on; work
// away for a week from Friday is back the next Friday, and goes on on Monday.
func TestDates(t *testing.T) {
	long := Work{ID: "a", Low: 1200, High: 1200}
	for _, c := range []struct {
		name  string
		route Route
		off   []string
		want  string
	}{
		{"hours", Route{Work: []Work{long}}, nil, "2025-03-04"},
		{"a day off", Route{Work: []Work{long}}, []string{"2025-03-03"}, "2025-03-05"},
		{"a whole day", Route{Work: []Work{{ID: "a", Low: 480, High: 480}}}, nil, "2025-02-28"},
		{"a part", Route{Work: []Work{{ID: "a", Low: 60, High: 60, Needs: []string{"p"}}}, Parts: []Part{{ID: "p", Count: 1, Supplier: "s", DaysLow: 10, DaysHigh: 10}}}, nil, "2025-03-11"},
		{"away", Route{Work: []Work{{ID: "a", Low: 60, High: 60, DaysLow: 7, DaysHigh: 7}, {ID: "b", Low: 60, High: 60, After: []string{"a"}}}}, nil, "2025-03-10"},
		{"from the shelf", Route{Work: []Work{{ID: "a", Low: 60, High: 60, Needs: []string{"p"}}}, Parts: []Part{{ID: "p", Count: 1}}}, nil, "2025-02-28"},
	} {
		for i := range c.route.Parts {
			c.route.Parts[i].EachLow, c.route.Parts[i].EachHigh = amount(t, "5 EUR"), amount(t, "5 EUR")
		}
		o, err := quote(Input{Terms: terms(t, func(v *shop.TermsV1) { v.Closed = c.off }), From: "2025-02-28", Routes: []Route{c.route}}, 20)
		if err != nil {
			t.Fatal(c.name, err)
		}
		if d := o.Options[0].Date; d.Half != c.want || d.Four != c.want {
			t.Errorf("%s: %s and %s, expected %s", c.name, d.Half, d.Four, c.want)
		}
	}
}

// Law: hours that share all their doubt are further apart than hours that share
// none; the middle stays where it is. With n equal rectangles the standard
// deviation is n or √n times that of one.
func TestSharedPace(t *testing.T) {
	var spread [2]float64
	for k, pace := range []string{"0", "1"} {
		w := terms(t, func(v *shop.TermsV1) { v.Pace, v.Tax = pace, "0" })
		r := Route{}
		for i := range 16 {
			r.Work = append(r.Work, Work{ID: strconv.Itoa(i), Low: 60, High: 180})
		}
		opt, err := price(&w, &r)
		if err != nil {
			t.Fatal(err)
		}
		days, _ := calendarFrom(&w, time.Date(2025, 1, 1, 0, 0, 0, 0, time.UTC))
		net, err := schedule(&w, &r, days, newLuck(20_000, w.Common), &opt)
		if err != nil {
			t.Fatal(err)
		}
		mean := 16 * 2 * 66.5
		for _, x := range net {
			spread[k] += (x - mean) * (x - mean)
		}
		spread[k] = math.Sqrt(spread[k] / float64(len(net)))
		one := 2 * 66.5 / math.Sqrt(12)
		want := one * map[string]float64{"0": 4, "1": 16}[pace]
		if math.Abs(spread[k]/want-1) > 0.03 { // a standard deviation of 20 000 draws is known to 0.5 %
			t.Errorf("pace %s: %.1f, expected %.1f", pace, spread[k], want)
		}
	}
}

// Law: a line is marked where another option has not the very same.
func TestDifferencesAreMarked(t *testing.T) {
	p := Part{ID: "rings", Name: words.Text{"en": "Rings"}, Count: 5, EachLow: amount(t, "40 EUR"), EachHigh: amount(t, "42 EUR")}
	q := p
	q.EachHigh = amount(t, "43 EUR")
	o, err := quote(Input{Terms: terms(t, nil), From: "2025-02-28", Routes: []Route{
		{ID: "a", Work: []Work{{ID: "hone", Low: 60, High: 90}}, Parts: []Part{p}},
		{ID: "b", Work: []Work{{ID: "hone", Low: 60, High: 90}, {ID: "bore", Low: 60, High: 90}}, Parts: []Part{q}},
	}}, 20)
	if err != nil {
		t.Fatal(err)
	}
	got := ""
	for _, opt := range o.Options {
		for _, l := range opt.Lines {
			got += fmt.Sprint(opt.ID, " ", l.ID, " ", l.Differs, "; ")
		}
	}
	if want := "a hone false; a rings true; b hone false; b bore true; b rings true; "; got != want {
		t.Error(got)
	}
}

// Law: what cannot be priced or done says so.
func TestWhatCannotBeOffered(t *testing.T) {
	good := amount(t, "5 EUR")
	for name, c := range map[string]struct {
		route Route
		want  string
	}{
		"before itself":   {Route{Work: []Work{{ID: "a", After: []string{"a"}}}}, "offer.after"},
		"before nothing":  {Route{Work: []Work{{ID: "a", After: []string{"b"}}}}, "offer.after"},
		"no part":         {Route{Work: []Work{{ID: "a", Needs: []string{"p"}}}}, "offer.needs"},
		"twice":           {Route{Work: []Work{{ID: "a"}, {ID: "a"}}}, "offer.twice"},
		"hours backwards": {Route{Work: []Work{{ID: "a", Low: 5, High: 4}}}, "offer.work"},
		"none of it":      {Route{Parts: []Part{{ID: "p", EachLow: good, EachHigh: good}}}, "offer.part"},
		"no price":        {Route{Parts: []Part{{ID: "p", Count: 1}}}, "offer.price"},
		"other money":     {Route{Parts: []Part{{ID: "p", Count: 1, EachLow: amount(t, "5 CHF"), EachHigh: amount(t, "5 CHF")}}}, "offer.price"},
		"price backwards": {Route{Parts: []Part{{ID: "p", Count: 1, EachLow: amount(t, "6 EUR"), EachHigh: good}}}, "offer.price"},
		"below nothing":   {Route{Parts: []Part{{ID: "p", Count: 1, EachLow: amount(t, "-6 EUR"), EachHigh: good}}}, "offer.price"},
	} {
		if _, err := quote(Input{Terms: terms(t, nil), From: "2025-02-28", Routes: []Route{c.route}}, 20); key(err) != c.want {
			t.Errorf("%s: %v, expected %s", name, err, c.want)
		}
	}
	if _, err := Make(Input{Terms: terms(t, nil), From: "soon", Routes: []Route{{}}}); key(err) != "offer.from" {
		t.Error(err)
	}
	if _, err := Make(Input{Terms: terms(t, nil), From: "2025-02-28"}); key(err) != "offer.routes" {
		t.Error(err)
	}
}

func BenchmarkOffer(b *testing.B) {
	t := &testing.T{}
	in := Input{Terms: terms(t, nil), From: "2025-03-03", Routes: routes(t, rand.New(rand.NewPCG(5, 3)))}
	for b.Loop() {
		if _, err := Make(in); err != nil {
			b.Fatal(err)
		}
	}
}
