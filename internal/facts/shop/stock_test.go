package shop

import (
	"reflect"
	"testing"

	"github.com/google/go-cmp/cmp"

	"fettle/internal/facts/entry"
	"fettle/internal/facts/stock"
)

// shelfKinds are the kinds of the payloads of the shelf.
var shelfKinds = map[reflect.Type]entry.Kind{
	reflect.TypeFor[SupplierV1](): entry.Supplier,
	reflect.TypeFor[CarriageV1](): entry.Carriage,
	reflect.TypeFor[PriceV1]():    entry.Price,
	reflect.TypeFor[LotV1]():      entry.Lot,
	reflect.TypeFor[GoodsInV1]():  entry.GoodsIn,
	reflect.TypeFor[LeftV1]():     entry.LotLeft,
}

func shelfRows(t *testing.T, payloads ...any) []entry.Row {
	t.Helper()
	var out []entry.Row
	var prev entry.Hash
	for i, p := range payloads {
		e, err := entry.New(entry.ShopStream, entry.Key{14: byte(i >> 8), 15: byte(i + 1)}, shelfKinds[reflect.TypeOf(p)], "p-1", "office", int64(i+1), p)
		if err != nil {
			t.Fatal(err)
		}
		r := entry.Row{Entry: e, Seq: int64(i + 1), Received: int64(i + 1), Prev: prev}
		r.Hash = r.Digest()
		prev = r.Hash
		out = append(out, r)
	}
	return out
}

func shelf() []any {
	have := 12
	sort := stock.SortV1{Kind: "shell-main", Family: "f", Class: "blue", Role: "upper", Step: "0.25 mm", Size: "2.1 mm"}
	return []any{
		SupplierV1{Supplier: "s-1", Name: "Invented", Currency: "EUR", Note: "n", Gone: true},
		CarriageV1{Supplier: "s-1", Price: "9.50 EUR", From: 5},
		PriceV1{Supplier: "s-1", Sort: sort, Price: "12.50 EUR", DaysLow: 2, DaysHigh: 5, Have: &have, Number: "77", From: 6},
		LotV1{Lot: "l-1", Sort: sort, Count: 3, Accept: []stock.CriterionV1{{Measure: "wall", Min: "1.982", Max: "1.986", Unit: "mm"}}, Supplier: "s-1", Job: "j", Customer: true, Place: "drawer 3", Note: "n"},
		GoodsInV1{Lot: "l-1", Gauge: "g-1", Master: "g-2", PartTemp: "20.1", Note: "n", Pieces: []PieceReadingV1{
			{2, "wall", "1,985", "1.985", "mm"}, {1, "wall", "1.984", "1.984", "mm"}, {2, "seen", "pass", "pass", ""}}},
		LeftV1{Lot: "l-1", Pieces: []int{3}, Why: "scrapped", Reason: "dropped"},
	}
}

// Law: the payloads of the shelf come back from their canonical bytes. Synthetic.
func TestShelfRoundTrip(t *testing.T) {
	for _, p := range shelf() {
		v := reflect.ValueOf(p)
		for i := range v.NumField() {
			if v.Field(i).IsZero() {
				t.Errorf("%T: the test leaves %s empty", p, v.Type().Field(i).Name)
			}
		}
	}
	s := Replay(shelfRows(t, shelf()...))
	l := s.Lots["l-1"]
	if s.Odd != 0 || l == nil {
		t.Fatalf("odd %d, %+v", s.Odd, s.Stock)
	}
	want := shelf()
	got := []any{s.Suppliers["s-1"], s.Carriages[0].CarriageV1, s.Prices[0].PriceV1, l.LotV1, want[4], l.Left[3]}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
	var sizes []string
	for _, z := range l.Sizes {
		sizes = append(sizes, z.Measure+" "+z.Value+" "+z.Gauge+" "+z.Person)
	}
	if d := cmp.Diff([]string{"wall 1.984 g-1 p-1", "seen pass g-1 p-1", "wall 1.985 g-1 p-1"}, sizes); d != "" {
		t.Error(d)
	}
	if z, ok := l.Size(2, "wall"); !ok || z.Quantity.N != 1_985_000_000 {
		t.Errorf("%+v", z)
	}
	if _, ok := l.Size(3, "wall"); ok {
		t.Error("a size nobody took")
	}
}

// Law: what cannot be of a shelf is counted and changes nothing else.
func TestShelfNotUnderstood(t *testing.T) {
	edit := func(i int, f func(any) any) any { return f(shelf()[i]) }
	minus := -1
	piece := func(v PieceReadingV1) any {
		return edit(4, func(p any) any { g := p.(GoodsInV1); g.Pieces = []PieceReadingV1{g.Pieces[0], v}; return g })
	}
	price := func(f func(*PriceV1)) any { return edit(2, func(p any) any { v := p.(PriceV1); f(&v); return v }) }
	lot := func(f func(*LotV1)) any {
		return edit(3, func(p any) any { v := p.(LotV1); v.Lot = "l-2"; f(&v); return v })
	}
	for name, p := range map[string]any{
		"price without currency":  price(func(p *PriceV1) { p.Price = "12.50" }),
		"price below nought":      price(func(p *PriceV1) { p.Price = "-1.00 EUR" }),
		"stock below nought":      price(func(p *PriceV1) { p.Have = &minus }),
		"lead times turned round": price(func(p *PriceV1) { p.DaysHigh = 1 }),
		"price of nobody":         price(func(p *PriceV1) { p.Supplier = "s-9" }),
		"shim of nought":          lot(func(l *LotV1) { l.Sort = stock.SortV1{Kind: "shim", Size: "0.00 mm"} }),
		"lot of none":             lot(func(l *LotV1) { l.Count = 0 }),
		"lot below nought":        lot(func(l *LotV1) { l.Count = -2 }),
		"lot twice":               lot(func(l *LotV1) { l.Lot = "l-1" }),
		"customer's of no job":    lot(func(l *LotV1) { l.Job = "" }),
		"criterion of nothing":    lot(func(l *LotV1) { l.Accept = []stock.CriterionV1{{Measure: "wall", Unit: "mm"}} }),
		"fourth of three":         piece(PieceReadingV1{4, "wall", "1.985", "1.985", "mm"}),
		"wall of nought":          piece(PieceReadingV1{1, "wall", "0.000", "0.000", "mm"}),
		"wall in grams":           piece(PieceReadingV1{1, "wall", "1.985", "1.985", "g"}),
		"look with a size":        piece(PieceReadingV1{1, "seen", "1.985", "1.985", "mm"}),
		"goods in of no lot":      GoodsInV1{Lot: "l-9", Pieces: []PieceReadingV1{{1, "seen", "pass", "pass", ""}}},
		"left twice":              LeftV1{Lot: "l-1", Pieces: []int{2, 3}, Why: "lost"},
		"left for no reason":      LeftV1{Lot: "l-1", Pieces: []int{2}, Why: "gone"},
		"carriage of nobody":      CarriageV1{Supplier: "s-9", Price: "1.00 EUR"},
	} {
		all := shelfRows(t, append(shelf(), p)...)
		before, after := Replay(all[:6]), Replay(all)
		if after.Odd != 1 {
			t.Errorf("%s: odd %d", name, after.Odd)
		}
		if d := cmp.Diff(before.Stock, after.Stock, cmp.Comparer(func(a, b Price) bool { return a.Key == b.Key }), cmp.Comparer(func(a, b Carriage) bool { return a.Key == b.Key })); d != "" {
			t.Errorf("%s: %s", name, d)
		}
	}
}

// Law: With gives what Replay of the whole gives, and leaves the state before as
// it was.
func TestShelfWithIsReplay(t *testing.T) {
	all := shelfRows(t, shelf()...)
	same := []cmp.Option{cmp.Comparer(func(a, b Price) bool { return a.Key == b.Key }), cmp.Comparer(func(a, b Carriage) bool { return a.Key == b.Key })}
	states := []*State{Replay(nil)}
	for i := range all {
		states = append(states, states[i].With(all[i:i+1]))
	}
	for i, s := range states {
		if d := cmp.Diff(Replay(all[:i]), s, same...); d != "" {
			t.Errorf("after %d rows: %s", i, d)
		}
	}
}

// Law: of two prices the one that began to hold last counts, at the time that is
// asked of.
func TestPriceAt(t *testing.T) {
	sort := stock.SortV1{Kind: "chain", Family: "f"}
	p := func(text string, from int64) PriceV1 {
		return PriceV1{Supplier: "s-1", Sort: sort, Price: text, DaysHigh: 1, From: from}
	}
	s := Replay(shelfRows(t, SupplierV1{Supplier: "s-1", Name: "n"}, p("3.00 EUR", 30), p("1.00 EUR", 10), p("2.00 EUR", 20), p("2.50 EUR", 20)))
	for time, want := range map[int64]string{9: "", 10: "1.00 EUR", 20: "2.50 EUR", 29: "2.50 EUR", 30: "3.00 EUR"} {
		got, ok := s.PriceAt("s-1", sort.Item(), time)
		if ok != (want != "") || got.Amount.String() != want {
			t.Errorf("at %d: %q", time, got.Amount)
		}
	}
	if list := s.PricesAt(25); len(list) != 1 || list[0].Amount.String() != "2.50 EUR" {
		t.Errorf("%+v", list)
	}
}

// Replaying a shelf of 400 lots is no part of what an evaluation costs.
func BenchmarkReplayShelf(b *testing.B) {
	payloads := []any{}
	for i := range 400 {
		id := "l-" + string(rune('a'+i/100)) + string(rune('a'+i/10%10)) + string(rune('a'+i%10))
		payloads = append(payloads, LotV1{Lot: id, Sort: stock.SortV1{Kind: "shim", Size: "2.48 mm"}, Count: 1},
			GoodsInV1{Lot: id, Gauge: "g", Pieces: []PieceReadingV1{{1, "thickness", "2.481", "2.481", "mm"}}})
	}
	var rows []entry.Row
	for i, p := range payloads {
		e, err := entry.New(entry.ShopStream, entry.Key{14: byte(i >> 8), 15: byte(i)}, shelfKinds[reflect.TypeOf(p)], "p-1", "office", 1, p)
		if err != nil {
			b.Fatal(err)
		}
		rows = append(rows, entry.Row{Entry: e, Seq: int64(i + 1)})
	}
	for b.Loop() {
		if s := Replay(rows); len(s.Lots) != 400 || s.Odd != 0 {
			b.Fatal(len(s.Lots), s.Odd)
		}
	}
}
