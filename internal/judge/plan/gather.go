package plan

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"fettle/internal/base/unit"
	"fettle/internal/facts/shop"
	"fettle/internal/facts/stock"
	"fettle/internal/judge/allocate"
	"fettle/internal/judge/goods"
	"fettle/internal/know/family"
	"fettle/internal/know/library"
)

// Piece names one piece of a lot.
type Piece struct {
	Lot   string
	Piece int
}

// mostAsked is how many pieces a supplier is taken to have where nobody asked.
const mostAsked = 50

// Gather makes the shelf for one job of what the shop holds and what suppliers
// ask, at a time in µs: pieces that passed their goods-in readings (goods.Judge),
// that no other job has, and that fit this family or any.
//
// Prices of another currency than the first are left out: a purchase is one sum.
//
// Shapes: state -> shelf.
// Units:  nm, mg, mN; whole thousandths of the currency.
// Errors: none; what cannot be used is left out.
// Source: common practice, no source, for what may be used.
func Gather(sh *shop.State, lib *library.Library, lay *family.Layout, job string, taken func(Piece) bool, at int64) Shelf {
	g := &gatherer{sh: sh, lib: lib, lay: lay}
	for _, id := range sh.LotIDs() {
		if l := sh.Lots[id]; l.Job == "" || l.Job == job {
			g.lot(l, taken)
		}
	}
	g.prices(sh.PricesAt(at))
	for _, s := range sh.SupplierIDs() {
		if c, ok := sh.CarriageAt(s, at); ok && string(c.Amount.Currency()) == g.out.Currency {
			g.out.Carriage = append(g.out.Carriage, allocate.Carriage{Supplier: s, Price: thousandths(c.Amount.Number())})
		}
	}
	return g.out
}

type gatherer struct {
	sh  *shop.State
	lib *library.Library
	lay *family.Layout
	out Shelf
}

// kindOf is the kind as the plan asks for it: a sort of no kind of its own names
// its component as its class.
func kindOf(s stock.SortV1) string {
	if s.Kind == "other" {
		return s.Class
	}
	return s.Kind
}

func (g *gatherer) fits(s stock.SortV1) (step int64, ok bool) {
	if s.Family != "" && s.Family != g.lay.Family.ID {
		return 0, false
	}
	if s.Step == "" {
		return 0, true
	}
	q, ok := stock.LengthOf(s.Step)
	return nano(q.SI()), ok
}

func (g *gatherer) lot(l *shop.Lot, taken func(Piece) bool) {
	step, ok := g.fits(l.Sort)
	if !ok {
		return
	}
	for k := 1; k <= l.Count; k++ {
		if taken != nil && taken(Piece{l.Lot, k}) {
			continue
		}
		x := goods.Judge(g.sh, g.lib, l, k)
		if x.Standing != goods.Sound {
			continue
		}
		p := Part{ID: l.Lot + "/" + strconv.Itoa(k), Kind: kindOf(l.Sort), Item: l.Sort.Item(), Class: g.class(l.Sort), Role: l.Sort.Role, Step: step, Count: 1, Sizes: map[string]allocate.Size{}}
		for _, z := range x.Sizes {
			if z.Measure != stock.Seen {
				p.Sizes[z.Measure] = g.size(z)
			}
		}
		g.out.Parts = append(g.out.Parts, p)
	}
}

// class is the class of a sort; of a gasket that is sold by its thickness the one
// of the family's menu.
func (g *gatherer) class(s stock.SortV1) string {
	if s.Kind != "gasket" || s.Class != "" {
		return s.Class
	}
	q, ok := stock.LengthOf(s.Size)
	for _, x := range g.lay.Family.Engine.Gaskets {
		if ok && x.Thickness.N == q.N {
			return x.ID
		}
	}
	return ""
}

// bases of whole units, by measure.
func baseOf(measure string) float64 {
	switch measure {
	case Mass:
		return 1e6
	case Load, Opened:
		return 1e3
	}
	return nm
}

// size is a measure in whole units; the bias of its gauge goes by the name that it
// has in the doubt of readings, so that a wall and a journal read with one gauge
// move together.
func (g *gatherer) size(z goods.Size) allocate.Size {
	base := baseOf(z.Measure)
	out := allocate.Size{N: int64(math.Round(z.Value * base)), U: z.Own * base}
	if t := g.sh.Gauges[z.Gauge]; z.Bias > 0 && t != nil {
		cause := "gauge:" + z.Gauge + "|" + t.Type
		if c, ok := t.At(z.Reading.Time); ok {
			cause += "@" + strconv.FormatInt(c.Date, 10)
		}
		out.Shared = []allocate.Share{{Cause: cause, U: z.Bias * base}}
	} else {
		out.U = math.Hypot(z.Own, z.Bias) * base
	}
	return out
}

// prices makes offers, and of each sort that can be bought a part as it would
// come: by its class, or at the middle of what new ones are.
func (g *gatherer) prices(all []shop.Price) {
	seen := map[string]int{}
	for _, p := range all {
		step, ok := g.fits(p.Sort)
		if !ok || g.sh.Suppliers[p.Supplier].Gone {
			continue
		}
		if g.out.Currency == "" {
			g.out.Currency = string(p.Amount.Currency())
		}
		if string(p.Amount.Currency()) != g.out.Currency {
			continue
		}
		have := mostAsked
		if p.Have != nil {
			have = *p.Have
		}
		item := p.Sort.Item()
		g.out.Offers = append(g.out.Offers, Offer{Supplier: p.Supplier, Item: item, Price: thousandths(p.Amount.Number()), Have: have, DaysLow: p.DaysLow, DaysHigh: p.DaysHigh})
		if k, ok := seen[item]; ok {
			g.out.Parts[k].Count += have
			continue
		}
		seen[item] = len(g.out.Parts)
		g.out.Parts = append(g.out.Parts, Part{ID: item, Kind: kindOf(p.Sort), Item: item, Class: g.class(p.Sort), Role: p.Sort.Role, Step: step, Count: have, Buy: true, Sizes: g.asNew(p.Sort, step)})
	}
}

// asNew are the sizes of a sort as far as they are known before it is here.
func (g *gatherer) asNew(s stock.SortV1, step int64) map[string]allocate.Size {
	out := map[string]allocate.Size{}
	e := &g.lay.Family.Engine
	switch s.Kind {
	case "shell-main", "shell-pin":
		classes := e.Shells.Main
		if s.Kind == "shell-pin" {
			classes = e.Shells.Pin
		}
		if i := slices.IndexFunc(classes, func(c family.ShellClass) bool { return c.Class == s.Class }); i >= 0 {
			out[Wall] = allocate.Graded(nano(classes[i].Min.SI())+step/2, nano(classes[i].Max.SI())+step/2)
		}
	case "piston":
		out[Diameter], out[Mass] = g.made("piston/skirt", step), g.made("piston/mass", 0)
	case "pin":
		out[Diameter] = g.made("pin/diameter", 0)
	case "spring":
		out[Load], out[Opened] = g.made("spring/load-seat", 0), g.made("spring/load-open", 0)
	default:
		if q, ok := stock.LengthOf(s.Size); ok {
			out[Thickness] = allocate.Size{N: nano(q.SI()), U: 2_000} // from memory: within ±3.5 µm of its marking
		}
	}
	for k, x := range out {
		if x.N <= 0 {
			delete(out, k)
		}
	}
	return out
}

// made is a new part anywhere within the limits for new ones.
func (g *gatherer) made(char string, step int64) allocate.Size {
	at := g.lay.Of(char)
	if len(at) == 0 {
		return noSize
	}
	p := &g.lay.Places[at[0]]
	base := float64(nm)
	switch p.Char.Dim() {
	case unit.Mass:
		base = 1e6
	case unit.Force:
		base = 1e3
	}
	l := limits(p, base)
	if l.Low == nil || l.High == nil {
		return noSize
	}
	return allocate.Graded(*l.Low+step, *l.High+step)
}

// thousandths are those of a decimal number; further places are cut, since no
// currency here has them.
func thousandths(number string) int64 {
	whole, part, _ := strings.Cut(number, ".")
	part = (part + "000")[:3]
	n, err := strconv.ParseInt(whole+part, 10, 64)
	if err != nil {
		return 0
	}
	return n
}
