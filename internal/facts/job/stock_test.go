package job

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"fettle/internal/base/money"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/stock"
)

// said is a kind with its payload.
type said struct {
	kind entry.Kind
	p    any
}

// told makes a job's stream; everything here is synthetic.
func told(t *testing.T, list ...said) []entry.Row {
	t.Helper()
	var out []entry.Row
	var prev entry.Hash
	for i, s := range list {
		e, err := entry.New("job/1", entry.Key{15: byte(i + 1)}, s.kind, "p-1", "bench", int64(i+1), s.p)
		if err != nil {
			t.Fatal(err)
		}
		r := entry.Row{Entry: e, Seq: int64(i + 1), Prev: prev}
		r.Hash = r.Digest()
		prev = r.Hash
		out = append(out, r)
	}
	return out
}

func number(i int) string { return entry.Key{15: byte(i)}.String() }

func parts() []said {
	sort := stock.SortV1{Kind: "shim", Size: "2.48 mm"}
	return []said{
		{entry.Order, OrderV1{Order: "o-1", Supplier: "s-1", Due: 9, Note: "n", Lines: []OrderLineV1{
			{Sort: sort, Count: 5, Price: "3.20 EUR", For: "f", Note: "n", Accept: []stock.CriterionV1{{Measure: "thickness", Min: "2.475", Max: "2.485", Unit: "mm"}}}}}},
		{entry.Received, ReceivedV1{Order: "o-1", Line: 1, Taken: 3, Lot: "l-1", Returned: 1, Reason: "2.43 in the bag", Paper: "dn 7"}},
		{entry.Allocated, AllocatedV1{Lot: "l-1", Piece: 2, Part: "valvetrain/1/I1", Note: "n"}},
		{entry.OutsideOut, SentOutV1{Part: "crank", Operation: "grind", To: "s-2", Due: 12, Price: "240.00 EUR", Wanted: "0.25 under"}},
		{entry.OutsideIn, CameBackV1{Target: number(4), Readings: []string{"k"}, Note: "n"}},
	}
}

// Law: what is ordered, delivered, fitted and sent out stands in the state, and
// With gives what Replay gives.
func TestPartsReplay(t *testing.T) {
	all := told(t, parts()...)
	s := Replay(all)
	for _, l := range s.Lines {
		if !l.Known {
			t.Errorf("%s at %d not understood", l.Kind, l.Seq)
		}
	}
	o := s.Order("o-1")
	if o == nil || o.Open(1) != 2 || o.Taken[0] != 3 || o.Back[0] != 1 || o.Prices[0].String() != "3.20 EUR" {
		t.Fatalf("%+v", o)
	}
	if a, ok := s.At("valvetrain/1/I1"); !ok || a.Lot != "l-1" || a.Piece != 2 {
		t.Errorf("%+v", a)
	}
	if len(s.Outside) != 1 || s.Outside[0].Back == nil || s.Outside[0].BackAt != 5 {
		t.Errorf("%+v", s.Outside)
	}
	same := cmp.Comparer(func(a, b money.Amount) bool { return a.String() == b.String() })
	step := Replay(nil)
	for i := range all {
		before := Replay(all[:i])
		next := step.With(all[i : i+1])
		if d := cmp.Diff(before.Parts, step.Parts, same); d != "" {
			t.Errorf("the state before row %d was changed: %s", i+1, d)
		}
		step = next
	}
	if d := cmp.Diff(s.Parts, step.Parts, same); d != "" {
		t.Error(d)
	}
}

// Law: a withdrawal takes an allocation back, once and with a reason; then the
// piece can be given again. An order of which nothing came can be withdrawn.
func TestPartsWithdrawn(t *testing.T) {
	p := parts()
	back := said{entry.Withdrawal, WithdrawalV1{Target: number(3), Reason: "two too thick"}}
	again := said{entry.Allocated, AllocatedV1{Lot: "l-1", Piece: 2, Part: "valvetrain/2/I1"}}
	s := Replay(told(t, p[0], p[1], p[2], back, again, back))
	if got := s.Given(); len(got) != 1 || got[0].Part != "valvetrain/2/I1" || s.Allocations[0].Void != "two too thick" {
		t.Errorf("%+v", s.Allocations)
	}
	if s.Lines[5].Known || !s.Lines[3].Known {
		t.Error("withdrawn twice, or not at all")
	}
	s = Replay(told(t, p[0], said{entry.Withdrawal, WithdrawalV1{Target: number(1), Reason: "dearer than said"}}, p[0]))
	if len(s.Orders) != 2 || s.Orders[0].Void == "" || s.Order("o-1") == nil {
		t.Errorf("%+v", s.Orders)
	}
	if s = Replay(told(t, p[0], p[1], said{entry.Withdrawal, WithdrawalV1{Target: number(1), Reason: "r"}})); s.Lines[2].Known {
		t.Error("an order of which something came was withdrawn")
	}
}

// Law: what cannot be is a line and nothing else.
func TestPartsNotUnderstood(t *testing.T) {
	p := parts()
	order := func(f func(*OrderV1)) said {
		o := p[0].p.(OrderV1)
		o.Order, o.Lines = "o-2", append([]OrderLineV1(nil), o.Lines...)
		f(&o)
		return said{entry.Order, o}
	}
	for name, s := range map[string]said{
		"order twice":              {entry.Order, p[0].p},
		"order of nothing":         order(func(o *OrderV1) { o.Lines = nil }),
		"order of minus one":       order(func(o *OrderV1) { o.Lines[0].Count = -1 }),
		"price without currency":   order(func(o *OrderV1) { o.Lines[0].Price = "3.20" }),
		"shim of nought":           order(func(o *OrderV1) { o.Lines[0].Sort.Size = "0.00 mm" }),
		"more than was ordered":    {entry.Received, ReceivedV1{Order: "o-1", Line: 1, Taken: 3, Lot: "l-2"}},
		"taken into no lot":        {entry.Received, ReceivedV1{Order: "o-1", Line: 1, Taken: 1}},
		"sent back for no reason":  {entry.Received, ReceivedV1{Order: "o-1", Line: 1, Returned: 1}},
		"on a line that is none":   {entry.Received, ReceivedV1{Order: "o-1", Line: 2, Taken: 1, Lot: "l-2"}},
		"piece in two places":      {entry.Allocated, AllocatedV1{Lot: "l-1", Piece: 2, Part: "valvetrain/2/I1"}},
		"piece nought":             {entry.Allocated, AllocatedV1{Lot: "l-1", Part: "valvetrain/2/I1"}},
		"back twice":               {entry.OutsideIn, CameBackV1{Target: number(4), Reason: "r"}},
		"back without a reading":   {entry.OutsideIn, CameBackV1{Target: number(6)}},
		"withdrawal for no reason": {entry.Withdrawal, WithdrawalV1{Target: number(3)}},
	} {
		before := Replay(told(t, p...))
		after := Replay(told(t, append(append([]said{}, p...), s)...))
		if after.Lines[5].Known {
			t.Errorf("%s was understood", name)
		}
		if d := cmp.Diff(before.Parts, after.Parts, cmp.Comparer(func(a, b money.Amount) bool { return a.String() == b.String() })); d != "" {
			t.Errorf("%s: %s", name, d)
		}
	}
}
