package shop

import (
	"maps"
	"slices"
	"strings"

	"fettle/internal/base/money"
	"fettle/internal/base/unit"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/stock"
)

// SupplierV1 is somebody parts or outside work come from.
type SupplierV1 struct {
	Supplier string `json:"supplier"` // id
	Name     string `json:"name"`
	Currency string `json:"currency,omitempty"` // in which it usually asks
	Note     string `json:"note,omitempty"`
	Gone     bool   `json:"gone,omitempty"` // nothing is ordered there any more
}

// CarriageV1 is what a supplier asks for a delivery.
type CarriageV1 struct {
	Supplier string `json:"supplier"`
	Price    string `json:"price"`          // 12.50 EUR
	From     int64  `json:"from,omitempty"` // µs since 1970 UTC; 0 from the entry on
}

// PriceV1 is what a supplier asks for one piece of a sort.
type PriceV1 struct {
	Supplier string       `json:"supplier"`
	Sort     stock.SortV1 `json:"sort"`
	Price    string       `json:"price"`            // 12.50 EUR
	DaysLow  int          `json:"days_low"`         // from order to the shelf
	DaysHigh int          `json:"days_high"`        // at the latest
	Have     *int         `json:"have,omitempty"`   // pieces it has; none where nobody asked
	Number   string       `json:"number,omitempty"` // the supplier's own number for it
	From     int64        `json:"from,omitempty"`   // µs since 1970 UTC; 0 from the entry on
}

// LotV1 is a number of pieces of one sort that came together.
type LotV1 struct {
	Lot      string              `json:"lot"`
	Sort     stock.SortV1        `json:"sort"`
	Count    int                 `json:"count"` // pieces, numbered from 1
	Accept   []stock.CriterionV1 `json:"accept,omitempty"`
	Supplier string              `json:"supplier,omitempty"`
	Job      string              `json:"job,omitempty"`       // the one job it was bought or brought for
	Customer bool                `json:"customers,omitempty"` // the customer's own; then job stands
	Place    string              `json:"place,omitempty"`     // where it lies
	Note     string              `json:"note,omitempty"`
}

// GoodsInV1 is what was measured of the pieces of a lot with one gauge.
type GoodsInV1 struct {
	Lot      string           `json:"lot"`
	Gauge    string           `json:"gauge,omitempty"`
	Master   string           `json:"master,omitempty"`
	PartTemp string           `json:"part_temp,omitempty"` // °C, decimal
	Pieces   []PieceReadingV1 `json:"pieces"`
	Note     string           `json:"note,omitempty"`
}

// PieceReadingV1 is one measure of one piece. Of two of the same the later holds.
type PieceReadingV1 struct {
	Piece   int    `json:"piece"`
	Measure string `json:"measure"`
	Typed   string `json:"typed"`
	Value   string `json:"value"` // decimal, or pass / fail for what was seen
	Unit    string `json:"unit,omitempty"`
}

// LeftV1 says that pieces left the shelf for another reason than a job: they
// were sent back, scrapped, lost, sold.
type LeftV1 struct {
	Lot    string `json:"lot"`
	Pieces []int  `json:"pieces"`
	Why    string `json:"why"` // a word of Leavings
	Reason string `json:"reason,omitempty"`
}

// Leavings are the ways in which a piece leaves the shelf without a job.
func Leavings() []string { return []string{"sent-back", "scrapped", "lost", "sold"} }

// Sized is a measure of a piece with who took it and how.
type Sized struct {
	PieceReadingV1
	Gauge, Master, PartTemp string
	Quantity                unit.Quantity // zero for what was seen
	Person                  string
	Time                    int64
	Key                     string
}

// Lot is a lot as its entries have it. It is never changed once it stands in a
// state.
type Lot struct {
	LotV1
	Sizes []Sized        // by piece, then measure; the last of each
	Left  map[int]LeftV1 // pieces that left the shelf without a job
	Key   string         // of the entry that made it
	Time  int64
}

// Size is the last measure of a piece.
func (l *Lot) Size(piece int, measure string) (Sized, bool) {
	i, ok := slices.BinarySearchFunc(l.Sizes, Sized{PieceReadingV1: PieceReadingV1{Piece: piece, Measure: measure}}, bySize)
	if !ok {
		return Sized{}, false
	}
	return l.Sizes[i], true
}

func bySize(a, b Sized) int {
	if a.Piece != b.Piece {
		return a.Piece - b.Piece
	}
	return strings.Compare(a.Measure, b.Measure)
}

// Price is a price in exact money.
type Price struct {
	PriceV1
	Amount money.Amount
	Since  int64 // when it began to hold
	Key    string
}

// Carriage is a carriage in exact money.
type Carriage struct {
	CarriageV1
	Amount money.Amount
	Since  int64
	Key    string
}

// Stock is what the shop holds and what can be bought. The maps belong to one
// state, what they point at to all.
type Stock struct {
	Suppliers map[string]SupplierV1
	Lots      map[string]*Lot
	Prices    []Price // in the order of the log
	Carriages []Carriage
}

// MostPieces bounds a lot.
const MostPieces = 10_000

// copied is a stock that may be added to; what s points at is never changed.
func (s *Stock) copied() Stock {
	return Stock{Suppliers: maps.Clone(s.Suppliers), Lots: maps.Clone(s.Lots), Prices: slices.Clip(s.Prices), Carriages: slices.Clip(s.Carriages)}
}

// LotIDs lists the lots in order.
func (s *Stock) LotIDs() []string { return slices.Sorted(maps.Keys(s.Lots)) }

// SupplierIDs lists the suppliers in order.
func (s *Stock) SupplierIDs() []string { return slices.Sorted(maps.Keys(s.Suppliers)) }

// PriceAt is what a supplier asks for a sort at a time, µs: the price that began
// to hold last; of two from one moment the later entry.
func (s *Stock) PriceAt(supplier, item string, time int64) (p Price, ok bool) {
	for i := range s.Prices {
		if q := &s.Prices[i]; q.Supplier == supplier && q.Sort.Item() == item && q.Since <= time && (!ok || q.Since >= p.Since) {
			p, ok = *q, true
		}
	}
	return p, ok
}

// PricesAt lists every price that holds at a time, by item and supplier.
func (s *Stock) PricesAt(time int64) []Price {
	type at struct{ item, supplier string }
	found := map[at]*Price{}
	for i := range s.Prices {
		q := &s.Prices[i]
		k := at{q.Sort.Item(), q.Supplier}
		if was := found[k]; q.Since <= time && (was == nil || q.Since >= was.Since) {
			found[k] = q
		}
	}
	out := make([]Price, 0, len(found))
	for _, p := range found {
		out = append(out, *p)
	}
	slices.SortFunc(out, func(a, b Price) int {
		if c := strings.Compare(a.Sort.Item(), b.Sort.Item()); c != 0 {
			return c
		}
		return strings.Compare(a.Supplier, b.Supplier)
	})
	return out
}

// CarriageAt is what a supplier asks for a delivery at a time.
func (s *Stock) CarriageAt(supplier string, time int64) (c Carriage, ok bool) {
	for i := range s.Carriages {
		if q := &s.Carriages[i]; q.Supplier == supplier && q.Since <= time && (!ok || q.Since >= c.Since) {
			c, ok = *q, true
		}
	}
	return c, ok
}

// stocked folds the entries of the shelf; false is an entry not understood.
func (s *State) stocked(r *entry.Row) bool {
	switch r.Kind {
	case entry.Supplier:
		var p SupplierV1
		if !decode(r.Payload, &p) || p.Supplier == "" || p.Name == "" {
			return false
		}
		if s.Suppliers == nil {
			s.Suppliers = map[string]SupplierV1{}
		}
		s.Suppliers[p.Supplier] = p
	case entry.Price:
		return s.price(r)
	case entry.Carriage:
		var p CarriageV1
		if !decode(r.Payload, &p) {
			return false
		}
		amount, err := money.Parse(p.Price)
		if _, ok := s.Suppliers[p.Supplier]; !ok || err != nil || amount.Sign() < 0 {
			return false
		}
		s.Carriages = append(s.Carriages, Carriage{p, amount, since(p.From, r.Time), r.Key.String()})
	case entry.Lot:
		return s.lot(r)
	case entry.GoodsIn:
		return s.goodsIn(r)
	case entry.LotLeft:
		return s.leave(r)
	default:
		return false
	}
	return true
}

func since(from, time int64) int64 {
	if from != 0 {
		return from
	}
	return time
}

func (s *State) price(r *entry.Row) bool {
	var p PriceV1
	if !decode(r.Payload, &p) {
		return false
	}
	amount, err := money.Parse(p.Price)
	if _, ok := s.Suppliers[p.Supplier]; !ok || err != nil || amount.Sign() < 0 || !p.Sort.Sound() ||
		p.DaysLow < 0 || p.DaysHigh < p.DaysLow || p.Have != nil && *p.Have < 0 {
		return false
	}
	s.Prices = append(s.Prices, Price{p, amount, since(p.From, r.Time), r.Key.String()})
	return true
}

// lot puts a new lot on the shelf; a lot is not made twice.
func (s *State) lot(r *entry.Row) bool {
	var p LotV1
	if !decode(r.Payload, &p) || p.Lot == "" || !p.Sort.Sound() || p.Count < 1 || p.Count > MostPieces || p.Customer && p.Job == "" || s.Lots[p.Lot] != nil {
		return false
	}
	for _, c := range p.Accept {
		if _, _, ok := c.Limits(); !ok {
			return false
		}
	}
	if s.Lots == nil {
		s.Lots = map[string]*Lot{}
	}
	s.Lots[p.Lot] = &Lot{LotV1: p, Key: r.Key.String(), Time: r.Time}
	return true
}

// goodsIn keeps what was measured of pieces, all of it or nothing.
func (s *State) goodsIn(r *entry.Row) bool {
	var p GoodsInV1
	if !decode(r.Payload, &p) {
		return false
	}
	l := s.Lots[p.Lot]
	if l == nil || len(p.Pieces) == 0 {
		return false
	}
	n := *l
	n.Sizes = slices.Clone(l.Sizes)
	for _, v := range p.Pieces {
		z := Sized{PieceReadingV1: v, Gauge: p.Gauge, Master: p.Master, PartTemp: p.PartTemp, Person: r.Person, Time: r.Time, Key: r.Key.String()}
		if v.Piece < 1 || v.Piece > l.Count || !z.read() {
			return false
		}
		i, ok := slices.BinarySearchFunc(n.Sizes, z, bySize)
		if ok {
			n.Sizes[i] = z
		} else {
			n.Sizes = slices.Insert(n.Sizes, i, z)
		}
	}
	s.Lots[p.Lot] = &n
	return true
}

// read understands the value of a measure; a size of nought is none.
func (z *Sized) read() bool {
	d, sized := stock.Dim(z.Measure)
	if !sized {
		return z.Measure == stock.Seen && z.Unit == "" && (z.Value == "pass" || z.Value == "fail")
	}
	q, err := unit.Parse(z.Value, z.Unit, '.')
	z.Quantity = q
	return err == nil && q.Dim == d && q.N > 0
}

// leave takes pieces off the shelf; one that left does not leave again.
func (s *State) leave(r *entry.Row) bool {
	var p LeftV1
	if !decode(r.Payload, &p) {
		return false
	}
	l := s.Lots[p.Lot]
	if l == nil || len(p.Pieces) == 0 || !slices.Contains(Leavings(), p.Why) {
		return false
	}
	n := *l
	if n.Left = maps.Clone(l.Left); n.Left == nil {
		n.Left = map[int]LeftV1{}
	}
	for _, k := range p.Pieces {
		if _, gone := n.Left[k]; k < 1 || k > l.Count || gone {
			return false
		}
		n.Left[k] = p
	}
	s.Lots[p.Lot] = &n
	return true
}
