package bench

import (
	"context"
	"errors"
	"strconv"
	"strings"
	"sync"
	"testing"

	"fettle/internal/base/fault"
	"fettle/internal/facts/job"
	"fettle/internal/facts/shop"
	"fettle/internal/facts/stock"
	"fettle/internal/facts/stocklist"
	"fettle/internal/judge/goods"
)

// Everything here is synthetic.
const shelfText = `# fettle shelf 1
row,lot,kind,family,class,role,step,size,count,piece,measure,value,unit,gauge,part_temp,min,max,supplier,name,price,days_low,days_high,have
supplier,,,,,,,,,,,,,,,,,s-1,Invented parts,,,,
carriage,,,,,,,,,,,,,,,,,s-1,,9.50 EUR,,,
price,,gasket,brae-05-1,,,,,,,,,,,,,,s-1,,48.00 EUR,2,5,4
lot,l-1,shim,,,,,2.48 mm,2,,,,,,,,,s-1,,,,,
accept,l-1,,,,,,,,,thickness,,mm,,,2.47,2.49,,,,,,
piece,l-1,,,,,,,,1,thickness,2.481,mm,mic,20.0,,,,,,,,
piece,l-1,,,,,,,,2,thickness,2.43,mm,mic,20.0,,,,,,,,
lot,l-2,gasket,brae-05-1,,,,,1,,,,,,,,,,,,,,
piece,l-2,,,,,,,,1,thickness,0.90,mm,mic,20.0,,,,,,,,
lot,l-3,spring,,,,,,2,,,,,,,,,,,,,,
`

func taking(t testing.TB, b *Bench, text string) (Stocked, error) {
	t.Helper()
	rows, mark, faults := stocklist.CSV("shelf.csv", []byte(text))
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	return b.TakeShelf(context.Background(), Stocking{Name: "shelf.csv", Rows: rows, Mark: mark, Person: "p-1", Device: "test"})
}

// stocked opens a bench with a shelf and two jobs of one family.
func stocked(t testing.TB) *Bench {
	t.Helper()
	b, _ := open(t)
	if got, err := taking(t, b, shelfText); err != nil || got.Fresh != 8 {
		t.Fatal(got.Fresh, err)
	}
	if _, err := b.Open(context.Background(), job.OpenedV1{Job: "j-2", Title: "Another", Family: "brae-05-1", Invented: true}, "p-1", "test", key(101)); err != nil {
		t.Fatal(err)
	}
	return b
}

func wrongAt(err error) string {
	var out []string
	for _, f := range fault.All(err) {
		out = append(out, f.Path+" "+f.Key)
	}
	return strings.Join(out, "; ")
}

func at(jobID string, n int, reason string) Step {
	s := step(n, reason)
	s.Job = jobID
	return s
}

// free is what of a lot may be used and is not.
func free(t testing.TB, b *Bench, lot string) int {
	t.Helper()
	l, err := b.Lot(context.Background(), lot)
	if err != nil {
		t.Fatal(err)
	}
	return l.Free()
}

// Law: a shelf that is read twice is the shelf read once.
func TestShelfTwice(t *testing.T) {
	b := stocked(t)
	ctx := context.Background()
	before, _ := b.Shop(ctx)
	got, err := taking(t, b, shelfText)
	after, _ := b.Shop(ctx)
	if err != nil || got.Fresh != 0 || before.Seq != after.Seq {
		t.Errorf("%v, %d new, %d then %d", err, got.Fresh, before.Seq, after.Seq)
	}
	if got, err := taking(t, b, strings.Replace(shelfText, "48.00 EUR", "49.00 EUR", 1)); err != nil || got.Fresh != 1 {
		t.Errorf("a price that changed: %d new, %v", got.Fresh, err)
	}
	sh, _ := b.Shop(ctx)
	item := stock.SortV1{Kind: "gasket", Family: "brae-05-1"}.Item()
	if p, ok := sh.PriceAt("s-1", item, b.Now()); !ok || p.Amount.String() != "49.00 EUR" || sh.Odd != 0 {
		t.Errorf("%+v, odd %d", p, sh.Odd)
	}
}

// Law: everything wrong with a shelf is said at its line, and nothing stored.
func TestShelfRefused(t *testing.T) {
	b := stocked(t)
	ctx := context.Background()
	before, _ := b.Shop(ctx)
	head := strings.Join(strings.SplitAfter(shelfText, "\n")[:2], "")
	_, err := taking(t, b, head+`lot,l-9,shim,,,,,0.00 mm,2,,,,,,,,,,,,,,
lot,l-8,shim,,,,,2.40 mm,-1,,,,,,,,,,,,,,
price,,gasket,,,,,,,,,,,,,,,s-1,,48.00,2,5,-3
price,,gasket,,,,,,,,,,,,,,,s-1,,-4.00 EUR,5,2,
piece,l-1,,,,,,,,1,thickness,0.000,mm,mic,,,,,,,,,
nothing,,,,,,,,,,,,,,,,,,,,,,
`)
	want := "size stock.nought; count stock.below-nought; price money.no-currency; have stock.below-nought; price stock.price-below-nought; days_high stock.days; value stock.nought; row shelf.row"
	if got := wrongAt(err); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	_, err = taking(t, b, head+`lot,l-1,shim,,,,,2.50 mm,2,,,,,,,,,,,,,,
lot,l-7,shell-main,brae-05-1,mauve,,,,2,,,,,,,,,s-9,,,,,
lot,l-6,gasket,nowhere,,,,,2,,,,,,,,,,,,,,
piece,l-3,,,,,,,,3,thickness,2.48,mm,mic,,,,,,,,,
piece,l-1,,,,,,,,1,thickness,2.48,mm,,,,,,,,,,
piece,l-1,,,,,,,,1,thickness,2.48,mm,scale,,,,,,,,,
piece,l-5,,,,,,,,1,thickness,2.48,mm,mic,,,,,,,,,
price,,gasket,,,,,,,,,,,,,,,s-9,,48.00 EUR,2,5,
`)
	want = "lot stock.lot-exists; supplier stock.no-supplier; class stock.no-class; family bench.no-family; piece stock.no-piece; gauge stock.no-gauge; gauge stock.wrong-gauge; lot stock.no-lot; supplier stock.no-supplier"
	if got := wrongAt(err); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	for _, f := range fault.All(err) {
		if f.Line < 3 {
			t.Errorf("%s at line %d", f.Key, f.Line)
		}
	}
	if after, _ := b.Shop(ctx); after.Seq != before.Seq {
		t.Error("something was stored")
	}
}

// Law: a piece that was not measured, or did not pass, is in no job; one that
// passed is free until it is used, and again when it was taken back.
func TestAllocate(t *testing.T) {
	b := stocked(t)
	ctx := context.Background()
	if n := free(t, b, "l-1"); n != 1 {
		t.Fatalf("%d free of l-1", n)
	}
	give := func(jobID string, n int, lot string, piece int, part string) error {
		_, err := b.Allocate(ctx, at(jobID, n, ""), job.AllocatedV1{Lot: lot, Piece: piece, Part: part})
		return err
	}
	for _, c := range []struct {
		what, want string
		err        error
	}{
		{"too thin", "piece stock.refused", give("j-1", 1, "l-1", 2, "valvetrain/1/I")},
		{"not measured", "piece stock.unread", give("j-1", 1, "l-3", 1, "spring/1/I")},
		{"no such lot", "lot stock.no-lot", give("j-1", 1, "l-9", 1, "gasket")},
		{"no such piece", "piece stock.no-piece", give("j-1", 1, "l-2", 2, "gasket")},
		{"not its place", "part stock.no-place", give("j-1", 1, "l-2", 1, "piston/1")},
	} {
		if got := wrongAt(c.err); got != c.want && !strings.HasPrefix(got, c.want+";") {
			t.Errorf("%s: %s, want %s", c.what, got, c.want)
		}
	}
	if err := give("j-1", 2, "l-2", 1, "gasket"); err != nil {
		t.Fatal(err)
	}
	if err := give("j-1", 2, "l-2", 1, "gasket"); err != nil {
		t.Errorf("sent again: %v", err)
	}
	if got := wrongAt(give("j-2", 3, "l-2", 1, "gasket")); got != "piece stock.in-use" {
		t.Errorf("in two jobs: %s", got)
	}
	if _, err := b.Leave(ctx, at("", 4, ""), shop.LeftV1{Lot: "l-2", Pieces: []int{1}, Why: "sold"}); wrongAt(err) != "pieces stock.in-use" {
		t.Errorf("sold out of a job: %v", err)
	}
	j, _ := b.Judge(ctx, "j-1")
	if _, err := b.Free(ctx, at("j-1", 5, ""), j.Job.Given()[0].Key); wrongAt(err) != "reason bench.no-reason" {
		t.Errorf("taken back for no reason: %v", err)
	}
	if _, err := b.Free(ctx, at("j-1", 5, "the other bore"), j.Job.Given()[0].Key); err != nil {
		t.Fatal(err)
	}
	if n := free(t, b, "l-2"); n != 1 {
		t.Errorf("%d free after it was taken back", n)
	}
	if err := give("j-2", 6, "l-2", 1, "gasket"); err != nil {
		t.Error(err)
	}
}

// Law: of many who want the last piece at once, one gets it; each of the others
// is told in one sentence where it is, and nothing is lost.
func TestLastPiece(t *testing.T) {
	b := stocked(t)
	ctx := context.Background()
	const many = 8
	for i := range many {
		id := "r-" + strconv.Itoa(i)
		if _, err := b.Open(ctx, job.OpenedV1{Job: id, Title: id, Family: "brae-05-1", Invented: true}, "p-1", "test", key(300+i)); err != nil {
			t.Fatal(err)
		}
	}
	errs := make([]error, many)
	var all sync.WaitGroup
	for i := range many {
		all.Go(func() {
			_, errs[i] = b.Allocate(ctx, at("r-"+strconv.Itoa(i), 20+i, ""), job.AllocatedV1{Lot: "l-2", Piece: 1, Part: "gasket"})
		})
	}
	all.Wait()
	won := 0
	for i, err := range errs {
		var l fault.List
		switch {
		case err == nil:
			won++
		case !errors.As(err, &l) || len(l) != 1 || l[0].Key != "stock.in-use" || l[0].Code != fault.Conflict || !strings.HasPrefix(l[0].Args["job"], "r-"):
			t.Errorf("r-%d: %v", i, err)
		}
	}
	if won != 1 {
		t.Errorf("%d got the last one", won)
	}
	count := 0
	for i := range many {
		j, err := b.Judge(ctx, "r-"+strconv.Itoa(i))
		if err != nil {
			t.Fatal(err)
		}
		count += len(j.Job.Given())
	}
	if count != 1 {
		t.Errorf("%d allocations stand", count)
	}
}

// Law: what is ordered comes in parts, wrong pieces go back and are still to
// come, and a delivery is a lot of the job with what the order asked of it.
func TestOrderAndReceive(t *testing.T) {
	b := stocked(t)
	ctx := context.Background()
	sort := stock.SortV1{Kind: "gasket", Family: "brae-05-1"}
	bad := []struct {
		want string
		o    job.OrderV1
	}{
		{"count stock.below-nought", job.OrderV1{Order: "o-1", Supplier: "s-1", Lines: []job.OrderLineV1{{Sort: sort, Count: -1}}}},
		{"price money.no-currency", job.OrderV1{Order: "o-1", Supplier: "s-1", Lines: []job.OrderLineV1{{Sort: sort, Count: 1, Price: "12.00"}}}},
		{"size stock.nought", job.OrderV1{Order: "o-1", Supplier: "s-1", Lines: []job.OrderLineV1{{Sort: stock.SortV1{Kind: "shim", Size: "0.00 mm"}, Count: 1}}}},
		{"supplier stock.no-supplier", job.OrderV1{Order: "o-1", Supplier: "s-7", Lines: []job.OrderLineV1{{Sort: sort, Count: 1, Price: "1.00 EUR"}}}},
	}
	for _, c := range bad {
		if _, err := b.Order(ctx, at("j-1", 1, ""), c.o); wrongAt(err) != c.want {
			t.Errorf("%s, want %s", wrongAt(err), c.want)
		}
	}
	o := job.OrderV1{Order: "o-1", Supplier: "s-1", Lines: []job.OrderLineV1{{Sort: sort, Count: 3, Accept: []stock.CriterionV1{{Measure: "thickness", Min: "0.89", Max: "0.91", Unit: "mm"}}}}}
	got, err := b.Order(ctx, at("j-1", 2, ""), o)
	if err != nil || got.Judged.Job.Order("o-1").Lines[0].Price != "48.00 EUR" {
		t.Fatalf("%v, %+v", err, got.Judged)
	}
	if _, err := b.Receive(ctx, at("j-1", 3, ""), job.ReceivedV1{Order: "o-1", Line: 1, Taken: 2, Returned: 1, Lot: "in-1"}, "rack"); wrongAt(err) != "reason bench.no-reason" {
		t.Errorf("%v", err)
	}
	in := job.ReceivedV1{Order: "o-1", Line: 1, Taken: 2, Returned: 1, Lot: "in-1"}
	for range 2 { // the second time it is the same delivery sent again
		if _, err := b.Receive(ctx, at("j-1", 4, "1.15 in the box"), in, "rack"); err != nil {
			t.Fatal(err)
		}
	}
	sh, _ := b.Shop(ctx)
	l := sh.Lots["in-1"]
	if l == nil || l.Job != "j-1" || l.Count != 2 || len(l.Accept) != 1 || sh.Odd != 0 {
		t.Fatalf("%+v", l)
	}
	if _, err := b.Receive(ctx, at("j-1", 5, ""), job.ReceivedV1{Order: "o-1", Line: 1, Taken: 2, Lot: "in-2"}, ""); wrongAt(err) != "taken stock.more-than-ordered" {
		t.Errorf("%v", err)
	}
	if _, err := b.Allocate(ctx, at("j-1", 6, ""), job.AllocatedV1{Lot: "in-1", Piece: 1, Part: "gasket"}); wrongAt(err) != "piece stock.unread" {
		t.Errorf("%v", err)
	}
	if _, err := b.Allocate(ctx, at("j-2", 7, ""), job.AllocatedV1{Lot: "in-1", Piece: 1, Part: "gasket"}); !strings.HasPrefix(wrongAt(err), "lot stock.other-job") {
		t.Errorf("%v", err)
	}
	j, _ := b.Judge(ctx, "j-1")
	if _, err := b.Free(ctx, at("j-1", 8, "r"), j.Job.Orders[0].Key); wrongAt(err) != " stock.order-begun" {
		t.Errorf("%v", err)
	}
}

// Law: a part that is out is not sent out again, and comes back with readings or
// a reason why without.
func TestOutside(t *testing.T) {
	b := stocked(t)
	ctx := context.Background()
	out := job.SentOutV1{Part: "crank", Operation: "crank-grind", To: "s-1", Price: "240.00 EUR", Wanted: "0.25 under"}
	got, err := b.SendOut(ctx, at("j-1", 1, ""), out)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := b.SendOut(ctx, at("j-1", 2, ""), out); wrongAt(err) != "part stock.out" {
		t.Errorf("%v", err)
	}
	key := got.Judged.Job.Outside[0].Key
	if _, err := b.ComeBack(ctx, at("j-1", 3, ""), key, ""); wrongAt(err) != "reason stock.no-closing" {
		t.Errorf("%v", err)
	}
	if _, err := b.ComeBack(ctx, at("j-1", 4, "goes out again, size missed"), key, ""); err != nil {
		t.Error(err)
	}
	if _, err := b.ComeBack(ctx, at("j-1", 5, "again"), key, ""); wrongAt(err) != " stock.not-out" {
		t.Errorf("%v", err)
	}
}

// Law: a piece a little outside what was asked for, by less than its doubt, is
// not refused; one outside by more is.
func TestGoodsWithinDoubt(t *testing.T) {
	b := stocked(t)
	ctx := context.Background()
	head := strings.Join(strings.SplitAfter(shelfText, "\n")[:2], "")
	if _, err := taking(t, b, head+`lot,d-1,shim,,,,,2.48 mm,2,,,,,,,,,,,,,,
accept,d-1,,,,,,,,,thickness,,mm,,,2.475,2.485,,,,,,
piece,d-1,,,,,,,,1,thickness,2.486,mm,mic,20.0,,,,,,,,
piece,d-1,,,,,,,,2,thickness,2.52,mm,mic,20.0,,,,,,,,
`); err != nil {
		t.Fatal(err)
	}
	l, err := b.Lot(ctx, "d-1")
	if err != nil || l.Pieces[0].Standing != goods.Sound || l.Pieces[1].Standing != goods.Refused {
		t.Fatalf("%v %+v", err, l.Pieces)
	}
	// The doubt is that of the gauge: step, repeat and what stays.
	kind := b.Library().Instruments["micrometer"]
	z, _ := l.Pieces[0].Size("thickness")
	if z.U() < kind.Bias.SI() || z.U() > 10*kind.Bias.SI() || z.Own <= 0 {
		t.Errorf("u %v, own %v", z.U(), z.Own)
	}
}
