package bench

import (
	"context"
	"encoding/json"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"sync"

	"fettle/internal/base/fault"
	"fettle/internal/base/unit"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/shop"
	"fettle/internal/facts/stock"
	"fettle/internal/facts/stocklist"
	"fettle/internal/judge/goods"
)

// Use is where a piece of a lot is used.
type Use struct{ Job, Part, Key string }

// held is a piece.
type held struct {
	lot   string
	piece int
}

// given is what each job's log says of pieces, by the head it was read at. It is
// a cache and nothing else: dropped, it is read again.
type given struct {
	mu   sync.Mutex
	jobs map[string]jobGiven
}

type jobGiven struct {
	head entry.Hash
	list map[held]Use
}

// uses lists every piece that is allocated in any job.
func (b *Bench) uses(ctx context.Context) (map[held]Use, error) {
	heads, err := b.store.Streams(ctx)
	if err != nil {
		return nil, err
	}
	b.given.mu.Lock()
	defer b.given.mu.Unlock()
	out := map[held]Use{}
	next := make(map[string]jobGiven, len(heads))
	for _, h := range heads {
		id, ok := strings.CutPrefix(h.Stream, entry.JobStream(""))
		if !ok {
			continue
		}
		g, ok := b.given.jobs[id]
		if !ok || g.head != h.Hash {
			st, err := b.states.Job(ctx, id)
			if err != nil {
				return nil, err
			}
			g = jobGiven{head: h.Hash, list: map[held]Use{}}
			for _, a := range st.Given() {
				g.list[held{a.Lot, a.Piece}] = Use{id, a.Part, a.Key}
			}
		}
		next[id] = g
		for k, u := range g.list {
			out[k] = u
		}
	}
	b.given.jobs = next
	return out, nil
}

// Shelved is a lot with its pieces and where those in use are.
type Shelved struct {
	*shop.Lot
	Pieces []goods.Piece
	Used   map[int]Use
}

// Free counts the pieces that may be used and are not.
func (l *Shelved) Free() int {
	n := 0
	for i := range l.Pieces {
		if l.IsFree(&l.Pieces[i]) {
			n++
		}
	}
	return n
}

// IsFree reports whether a piece may be used and is not.
func (l *Shelved) IsFree(p *goods.Piece) bool {
	_, used := l.Used[p.N]
	return p.Standing == goods.Sound && !used
}

// Shelf is every lot, by id, with what is free of it: computed from the lots and
// the allocations of all jobs.
func (b *Bench) Shelf(ctx context.Context) ([]Shelved, error) {
	sh, err := b.Shop(ctx)
	if err != nil {
		return nil, err
	}
	used, err := b.uses(ctx)
	if err != nil {
		return nil, err
	}
	var out []Shelved
	for _, id := range sh.LotIDs() {
		out = append(out, b.shelved(sh, sh.Lots[id], used))
	}
	return out, nil
}

func (b *Bench) shelved(sh *shop.State, l *shop.Lot, used map[held]Use) Shelved {
	out := Shelved{Lot: l, Used: map[int]Use{}}
	for n := 1; n <= l.Count; n++ {
		out.Pieces = append(out.Pieces, goods.Judge(sh, b.Library(), l, n))
		if u, ok := used[held{l.LotV1.Lot, n}]; ok {
			out.Used[n] = u
		}
	}
	return out
}

// Lot is one lot of the shelf.
//
// Errors: missing where there is none of this id.
func (b *Bench) Lot(ctx context.Context, id string) (Shelved, error) {
	sh, err := b.Shop(ctx)
	if err != nil {
		return Shelved{}, err
	}
	l := sh.Lots[id]
	if l == nil {
		return Shelved{}, fault.New(fault.Missing, "stock.no-lot", "found", cut(id))
	}
	used, err := b.uses(ctx)
	return b.shelved(sh, l, used), err
}

// Stocking is rows of a shelf as a file or a form has them.
type Stocking struct {
	Name           string // of the file; "" of a form
	Rows           []stocklist.Row
	Mark           byte
	Person, Device string
	Time           int64 // writer's clock, µs; 0 takes the bench's
}

// Stocked is what became of it, or would.
type Stocked struct {
	Said    []stocklist.Said
	Fresh   int // entries that the shop does not have like this
	Receipt entry.Receipt
}

// OfferShelf checks rows against the shop and stores nothing.
//
// Errors: every problem at once; of a file with line, of a form with its column.
func (b *Bench) OfferShelf(ctx context.Context, in Stocking) (Stocked, error) {
	sh, err := b.Shop(ctx)
	if err != nil {
		return Stocked{}, err
	}
	out, _, err := b.stocking(ctx, sh, &in)
	return out, err
}

// TakeShelf stores rows of a shelf, all or nothing. What the shop has like this
// already is not stored again, so the same file taken twice adds nothing.
//
// Errors: as of OfferShelf.
func (b *Bench) TakeShelf(ctx context.Context, in Stocking) (Stocked, error) {
	b.shopWrite.Lock()
	defer b.shopWrite.Unlock()
	sh, err := b.Shop(ctx)
	if err != nil {
		return Stocked{}, err
	}
	out, fresh, err := b.stocking(ctx, sh, &in)
	if err != nil {
		return out, err
	}
	var list []entry.Entry
	for i, s := range fresh {
		text, err := json.Marshal(s.Payload)
		if err != nil {
			return out, err
		}
		e, err := entry.New(entry.ShopStream, contentKey(string(s.Kind), string(text), sh.Head.String(), strconv.Itoa(i)), s.Kind, in.Person, in.Device, b.when(in.Time), s.Payload)
		if err != nil {
			return out, err
		}
		list = append(list, e)
	}
	if err := b.AppendShop(ctx, list); err != nil {
		return out, err
	}
	if sh, err = b.Shop(ctx); err == nil {
		out.Receipt = entry.Receipt{Stream: entry.ShopStream, Seq: sh.Seq, Head: sh.Head.String()}
	}
	return out, err
}

// stocking reads rows and holds them against the shop.
func (b *Bench) stocking(ctx context.Context, sh *shop.State, in *Stocking) (out Stocked, fresh []stocklist.Said, err error) {
	if in.Mark == 0 {
		in.Mark = '.'
	}
	said, faults := stocklist.Read(in.Name, in.Rows, in.Mark)
	faults = append(faults, personFaults(sh, in.Person)...)
	if len(faults) > 0 {
		return out, nil, faults
	}
	c := stockCheck{b: b, sh: sh, in: in, lots: map[string]shop.LotV1{}, suppliers: map[string]bool{}}
	for i := range said {
		c.line = said[i].Line
		if c.check(ctx, &said[i]) {
			fresh = append(fresh, said[i])
		}
	}
	if len(c.faults) > 0 {
		return out, nil, c.faults
	}
	return Stocked{Said: said, Fresh: len(fresh)}, fresh, nil
}

// stockCheck holds what a sheet says against the shop.
type stockCheck struct {
	b         *Bench
	sh        *shop.State
	in        *Stocking
	line      int
	lots      map[string]shop.LotV1 // of the sheet so far
	suppliers map[string]bool       // of the sheet so far
	faults    fault.List
}

func (c *stockCheck) say(column string, code fault.Code, key string, pairs ...string) {
	f := fault.New(code, key, pairs...)
	if c.line > 0 {
		f = f.At(c.in.Name, c.line, 1)
	}
	c.faults = append(c.faults, f.In(column))
}

// check holds one entry against the shop and reports whether it is news.
func (c *stockCheck) check(ctx context.Context, s *stocklist.Said) bool {
	switch p := s.Payload.(type) {
	case shop.SupplierV1:
		c.suppliers[p.Supplier] = true
		return c.sh.Suppliers[p.Supplier] != p
	case shop.CarriageV1:
		c.supplier(p.Supplier)
		was, ok := c.sh.CarriageAt(p.Supplier, c.b.now())
		return !ok || was.Price != p.Price
	case shop.PriceV1:
		c.supplier(p.Supplier)
		c.sort(p.Sort)
		was, ok := c.sh.PriceAt(p.Supplier, p.Sort.Item(), c.b.now())
		was.From = p.From
		return !ok || !reflect.DeepEqual(was.PriceV1, p)
	case shop.LotV1:
		c.lot(ctx, &p)
		s.Payload = p
		was := c.sh.Lots[p.Lot]
		if c.lots[p.Lot] = p; was == nil {
			return true
		}
		if !reflect.DeepEqual(was.LotV1, p) {
			c.say("lot", fault.Conflict, "stock.lot-exists", "lot", p.Lot)
		}
		return false
	case shop.GoodsInV1:
		return c.goodsIn(p)
	}
	return false
}

func (c *stockCheck) supplier(id string) {
	if _, ok := c.sh.Suppliers[id]; !ok && !c.suppliers[id] {
		c.say("supplier", fault.Missing, "stock.no-supplier", "found", cut(id))
	}
}

func (c *stockCheck) sort(s stock.SortV1) {
	if s.Family != "" && c.b.Library().Families[s.Family] == nil {
		c.say("family", fault.Missing, "bench.no-family", "family", cut(s.Family))
	}
}

// lot checks a lot; a class of shell brings the criterion that its family has.
func (c *stockCheck) lot(ctx context.Context, l *shop.LotV1) {
	c.sort(l.Sort)
	if l.Supplier != "" {
		c.supplier(l.Supplier)
	}
	if l.Job != "" {
		if _, err := c.b.states.Job(ctx, l.Job); err != nil {
			c.say("job", fault.Missing, "bench.no-job", "found", cut(l.Job))
		}
	}
	if w, known := c.b.window(l.Sort); known {
		if w.Min == "" {
			c.say("class", fault.Invalid, "stock.no-class", "found", cut(l.Sort.Class), "family", l.Sort.Family)
		} else if !slices.ContainsFunc(l.Accept, func(a stock.CriterionV1) bool { return a.Measure == w.Measure }) {
			l.Accept = append(slices.Clip(l.Accept), w)
		}
	}
}

// window is what the wall of a shell of a class must be after its family; known
// is false where the family has no classes for it, and the limits are empty
// where it has others. A shell for an undersize is thicker by half of it.
func (b *Bench) window(s stock.SortV1) (w stock.CriterionV1, known bool) {
	l := b.Library().Families[s.Family]
	if l == nil || s.Class == "" {
		return w, false
	}
	classes := l.Family.Engine.Shells.Main
	switch s.Kind {
	case "shell-main":
	case "shell-pin":
		classes = l.Family.Engine.Shells.Pin
	default:
		return w, false
	}
	step, _ := stock.LengthOf(s.Step)
	for _, k := range classes {
		if k.Class == s.Class {
			thick := func(q unit.Quantity) string { return unit.Format(q.SI()+step.SI()/2, "mm", 3) }
			return stock.CriterionV1{Measure: stock.Wall, Min: thick(k.Min), Max: thick(k.Max), Unit: "mm"}, true
		}
	}
	return w, len(classes) > 0
}

// goodsIn checks what was measured of pieces.
func (c *stockCheck) goodsIn(p shop.GoodsInV1) bool {
	count := c.lots[p.Lot].Count
	was := c.sh.Lots[p.Lot]
	if was != nil {
		count = was.Count
	}
	if count == 0 {
		c.say("lot", fault.Missing, "stock.no-lot", "found", cut(p.Lot))
		return false
	}
	news := was == nil
	for _, v := range p.Pieces {
		if v.Piece > count {
			c.say("piece", fault.Invalid, "stock.no-piece", "found", strconv.Itoa(v.Piece), "lot", p.Lot, "most", strconv.Itoa(count))
			continue
		}
		if was != nil {
			z, ok := was.Size(v.Piece, v.Measure)
			news = news || !ok || z.Value != v.Value || z.Unit != v.Unit || z.Gauge != p.Gauge || z.Master != p.Master || z.PartTemp != p.PartTemp
		}
		d, sized := stock.Dim(v.Measure)
		if !sized {
			continue
		}
		if p.Gauge == "" {
			c.say("gauge", fault.Invalid, "stock.no-gauge")
			return false
		}
		_, kind, faults := c.b.known(c.sh, p.Gauge, "gauge")
		for _, f := range faults {
			c.say("gauge", f.Code, f.Key, "found", cut(p.Gauge))
		}
		if len(faults) > 0 {
			return false
		}
		if kind.Resolution.Dim != d {
			c.say("gauge", fault.Invalid, "stock.wrong-gauge", "found", p.Gauge, "measure", v.Measure)
		}
	}
	if p.Master != "" && c.sh.Gauges[p.Master] == nil {
		c.say("master", fault.Missing, "bench.unknown-master", "found", cut(p.Master))
	}
	return news
}
