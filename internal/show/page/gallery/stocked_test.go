package gallery

import (
	"io"
	"strings"

	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/facts/shop"
	"fettle/internal/facts/stock"
	"fettle/internal/facts/stocklist"
	"fettle/internal/judge/goods"
	"fettle/internal/show/view"
)

// stockedShop is the shop of the demonstration with its shelf.
func (g *gallery) stockedShop(sh *shop.State) *shop.State {
	rows, mark, faults := stocklist.CSV("shelf.csv", read(g.t, "demo/shelf.csv"))
	if len(faults) > 0 {
		g.t.Fatal(faults)
	}
	said, faults := stocklist.Read("shelf.csv", rows, mark)
	if len(faults) > 0 {
		g.t.Fatal(faults)
	}
	var list []entry.Row
	for i, s := range said {
		e, err := entry.New(entry.ShopStream, entry.Key{7, 14: byte(i >> 8), 15: byte(i)}, s.Kind, "p-5c1e", "test", today, s.Payload)
		if err != nil {
			g.t.Fatal(err)
		}
		list = append(list, entry.Row{Entry: e, Seq: sh.Seq + int64(i+1)})
	}
	return sh.With(list)
}

func (g *gallery) lots(sh *shop.State, c *view.Case) []view.OnShelf {
	var out []view.OnShelf
	for _, id := range sh.LotIDs() {
		l := view.OnShelf{Lot: sh.Lots[id], Used: map[int]view.InUse{}}
		for n := 1; n <= l.Count; n++ {
			p := goods.Judge(sh, g.s.lib, l.Lot, n)
			l.Pieces = append(l.Pieces, p)
			for _, a := range c.Job.Given() {
				if a.Lot == id && a.Piece == n {
					l.Used[n] = view.InUse{Job: c.Job.Job, Part: a.Part}
				}
			}
			if _, used := l.Used[n]; !used && p.Standing == goods.Sound {
				l.Free++
			}
		}
		out = append(out, l)
	}
	return out
}

// stocks are the shelf, a lot and the parts of a job: with nothing, with the
// shelf of the demonstration, and with everything late, refused and sent back.
// What is added to the demonstration is synthetic.
func (g *gallery) stocks(en, de view.Reader) {
	key := strings.Repeat("0", 31) + "7"
	none := shop.Replay(nil)
	nothing := en.ShelfPage(none, nil, nil, en.ShelfStep(none, key, "", "/shelf"), "", "")
	g.add("shelf-empty", "en", func(w io.Writer) error { return g.p.Shelf(w, nothing) })
	bare := g.empty("brae-05-1")
	bareParts := bare.PartsPage(en, nil, bare.StepOf(en, key, "", "parts"), "", nil, today)
	g.add("empty-parts", "en", func(w io.Writer) error { return g.p.Parts(w, bareParts) })

	_, sh := g.s.demo(g.t, "2026-014")
	sh = g.stockedShop(sh)
	l := g.s.lib.Families["corran-24-5"]
	log := newLog(g.t, l, "stocked-1", "An engine for which everything is late, and whose title is long as well")
	sort := stock.SortV1{Kind: "shell-main", Family: "corran-24-5", Class: "yellow", Role: "upper", Step: "0.25 mm"}
	log.add(entry.Order, job.OrderV1{Order: "B-1", Supplier: "s-north", Due: 1_700_000_000_000_000, Note: "n", Lines: []job.OrderLineV1{
		{Sort: sort, Count: 8, Price: "13.00 EUR", Accept: []stock.CriterionV1{{Measure: "wall", Min: "2.119", Max: "2.123", Unit: "mm"}}, For: "main-undersize"},
		{Sort: stock.SortV1{Kind: "seal"}, Count: 1, Accept: []stock.CriterionV1{{Measure: "seen"}}}}})
	log.add(entry.Received, job.ReceivedV1{Order: "B-1", Line: 1, Taken: 3, Lot: "B-1-1a", Returned: 2, Reason: "white ones in the box"})
	log.add(entry.Order, job.OrderV1{Order: "B-2", Supplier: "s-works", Lines: []job.OrderLineV1{{Sort: stock.SortV1{Kind: "chain"}, Count: 1}}})
	log.add(entry.Allocated, job.AllocatedV1{Lot: sh.LotIDs()[0], Piece: 1, Part: "shell-main/1/upper"})
	log.add(entry.OutsideOut, job.SentOutV1{Part: "crank", Operation: "grind-crank", To: "s-works", Due: 1_700_000_000_000_000, Price: "240.00 EUR", Wanted: "mains 57.740 -0.012, pins 47.735 -0.012, radii as they are, oil holes chamfered, polished"})
	c := g.s.judge(g.t, l, log.state(), sh)
	list := g.lots(sh, c)
	var families []string
	for id := range g.s.lib.Families {
		families = append(families, id)
	}
	for _, r := range []view.Reader{en, de} {
		all := r.ShelfPage(sh, list, families, r.ShelfStep(sh, key, "p-5c1e", "/shelf"), "", "")
		g.add("shelf-"+r.Lang, r.Lang, func(w io.Writer) error { return g.p.Shelf(w, all) })
		for i := range list {
			if bad := list[i].Pieces[len(list[i].Pieces)-1].Standing; i != 0 && bad != goods.Refused && bad != goods.Unread {
				continue
			}
			v := r.LotPage(sh, list[i], r.ShelfStep(sh, key, "", view.ShelfHref(list[i].LotV1.Lot)), today)
			g.add("lot-"+list[i].LotV1.Lot+"-"+r.Lang, r.Lang, func(w io.Writer) error { return g.p.Lot(w, v) })
		}
		step := c.StepOf(r, key, "", "parts")
		v := c.PartsPage(r, list, step, "shim", l.Parts(), today)
		g.add("stocked-parts-"+r.Lang, r.Lang, func(w io.Writer) error { return g.p.Parts(w, v) })
	}
	wrong := map[string][]string{"": {de.T("bench.other-content")}, "kind": {de.T("stock.no-kind", "found", "x")}, "count": {de.T("stock.below-nought", "found", "-4")}, "price": {de.T("money.no-currency")},
		"size": {de.T("stock.nought", "found", "0.00 mm")}, "supplier": {de.T("stock.no-supplier", "found", "x")}, "person": {de.T("bench.no-person")}, "reason": {de.T("bench.no-reason")}}
	back := c.PartsPage(de, list, c.StepOf(de, key, "", "parts").Back("order", map[string]string{"size": "0.00 mm", "count": "-4"}, wrong), "", nil, today)
	g.add("parts-refused-de", "de", func(w io.Writer) error { return g.p.Parts(w, back) })
	shelf := de.ShelfPage(sh, list[:1], families, de.ShelfStep(sh, key, "", "/shelf").Back("price", map[string]string{"price": "12,50"}, wrong), "", "")
	shelf.Faults = []view.ImportFault{{Place: "shelf.csv:7", Sentence: de.T("stock.nought", "found", "0.00 mm")}, {Place: "shelf.csv:9", Sentence: de.T("money.no-currency")}}
	g.add("shelf-refused-de", "de", func(w io.Writer) error { return g.p.Shelf(w, shelf) })
	offer := en.ShelfPage(sh, nil, families, en.ShelfStep(sh, key, "", "/shelf"), "chain", "")
	offer.Offer = &view.ShelfOffer{Name: "shelf.xlsx", Text: "UEsDBA==", Summary: []view.Fact{{Name: en.T("page.shelf.rows"), Value: "872"}}}
	g.add("shelf-offer", "en", func(w io.Writer) error { return g.p.Shelf(w, offer) })
}
