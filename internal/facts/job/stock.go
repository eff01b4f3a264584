package job

import (
	"slices"
	"strconv"
	"strings"

	"fettle/internal/base/money"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/stock"
)

// OrderV1 is an order to one supplier for this job.
type OrderV1 struct {
	Order    string        `json:"order"` // number of the shop
	Supplier string        `json:"supplier"`
	Lines    []OrderLineV1 `json:"lines"`
	Due      int64         `json:"due,omitempty"` // promised, µs since 1970 UTC
	Note     string        `json:"note,omitempty"`
}

// OrderLineV1 is one line of an order, with what a piece must measure.
type OrderLineV1 struct {
	Sort   stock.SortV1        `json:"sort"`
	Count  int                 `json:"count"`
	Price  string              `json:"price,omitempty"` // of one piece, as agreed: 12.50 EUR
	Accept []stock.CriterionV1 `json:"accept,omitempty"`
	For    string              `json:"for,omitempty"` // finding or operation that asks for it
	Note   string              `json:"note,omitempty"`
}

// ReceivedV1 is one delivery on one line of an order: so many were taken and lie
// in a lot, so many went back.
type ReceivedV1 struct {
	Order    string `json:"order"`
	Line     int    `json:"line"` // from 1
	Taken    int    `json:"taken"`
	Lot      string `json:"lot,omitempty"` // where the taken ones lie
	Returned int    `json:"returned,omitempty"`
	Reason   string `json:"reason,omitempty"` // why some went back
	Paper    string `json:"paper,omitempty"`  // delivery note
}

// AllocatedV1 gives one piece of a lot to a place of the engine.
type AllocatedV1 struct {
	Lot   string `json:"lot"`
	Piece int    `json:"piece"`
	Part  string `json:"part"` // component with its indices, as many as the piece covers
	Note  string `json:"note,omitempty"`
}

// SentOutV1 says that a part went out of the house for work.
type SentOutV1 struct {
	Part      string `json:"part"` // component with its indices
	Operation string `json:"operation"`
	To        string `json:"to"` // supplier
	Due       int64  `json:"due,omitempty"`
	Price     string `json:"price,omitempty"`  // as agreed
	Wanted    string `json:"wanted,omitempty"` // sizes and tolerances on the ticket
}

// CameBackV1 says that it came back, and which readings closed it.
type CameBackV1 struct {
	Target   string   `json:"target"`             // key of the entry that sent it out
	Readings []string `json:"readings,omitempty"` // keys of readings taken on it since
	Reason   string   `json:"reason,omitempty"`   // why without
	Note     string   `json:"note,omitempty"`
}

// Ordered is an order with what came of it.
type Ordered struct {
	OrderV1
	Prices []money.Amount // by line; zero where none was agreed
	Taken  []int          // by line
	Back   []int          // by line: sent back
	Key    string
	Person string
	Time   int64
	Void   string // why it no longer counts
}

// Open is how many pieces of a line are still to come.
func (o *Ordered) Open(line int) int {
	if o.Void != "" {
		return 0
	}
	return max(0, o.Lines[line-1].Count-o.Taken[line-1])
}

// Delivered is a delivery with its author.
type Delivered struct {
	ReceivedV1
	Key    string
	Person string
	Time   int64
}

// Allocated is a piece at its place.
type Allocated struct {
	AllocatedV1
	Key    string
	Person string
	Time   int64
	Void   string // why it no longer counts: the reason of its withdrawal
}

// Outside is a part out of the house.
type Outside struct {
	SentOutV1
	Key    string
	Person string
	Time   int64
	Back   *CameBackV1 // nil while it is out
	BackAt int64
}

// Parts is what a job orders, gets and fits.
type Parts struct {
	Orders      []Ordered
	Deliveries  []Delivered
	Allocations []Allocated
	Outside     []Outside
}

// copied is a copy whose entries may be changed.
func (p *Parts) copied() Parts {
	c := Parts{Orders: slices.Clone(p.Orders), Deliveries: slices.Clip(p.Deliveries), Allocations: slices.Clone(p.Allocations), Outside: slices.Clone(p.Outside)}
	for i := range c.Orders {
		o := &c.Orders[i]
		o.Taken, o.Back = slices.Clone(o.Taken), slices.Clone(o.Back)
	}
	return c
}

// Given lists the allocations that count.
func (p *Parts) Given() []Allocated {
	var out []Allocated
	for _, a := range p.Allocations {
		if a.Void == "" {
			out = append(out, a)
		}
	}
	return out
}

// At finds the piece that is given to a place, or to a place that holds it or
// lies in it.
func (p *Parts) At(part string) (Allocated, bool) {
	for _, a := range p.Allocations {
		_, in := under(a.Part, part)
		_, around := under(part, a.Part)
		if a.Void == "" && (in || around) {
			return a, true
		}
	}
	return Allocated{}, false
}

// Order finds an order that counts by its number.
func (p *Parts) Order(number string) *Ordered {
	for i := range p.Orders {
		if o := &p.Orders[i]; o.Order == number && o.Void == "" {
			return o
		}
	}
	return nil
}

// stocked folds the entries about parts; false is an entry not understood.
func (s *State) stocked(r *entry.Row, l *Line) bool {
	switch r.Kind {
	case entry.Order:
		return s.order(r, l)
	case entry.Received:
		return s.receive(r, l)
	case entry.Allocated:
		var p AllocatedV1
		if !decode(r.Payload, &p) {
			return false
		}
		l.About, l.Text, l.Reason = p.Part, pieceText(p.Lot, p.Piece), p.Note
		if p.Lot == "" || p.Piece < 1 || p.Part == "" {
			return false
		}
		for _, a := range s.Allocations {
			if a.Void == "" && a.Lot == p.Lot && a.Piece == p.Piece {
				return false // one piece is in one place
			}
		}
		s.Allocations = append(s.Allocations, Allocated{AllocatedV1: p, Key: r.Key.String(), Person: r.Person, Time: r.Time})
	case entry.OutsideOut:
		var p SentOutV1
		if !decode(r.Payload, &p) {
			return false
		}
		l.About, l.Text, l.Reason = p.Part, p.Operation+" · "+p.To, p.Wanted
		if p.Part == "" || p.Operation == "" || p.To == "" || !moneyOrNone(p.Price) {
			return false
		}
		s.Outside = append(s.Outside, Outside{SentOutV1: p, Key: r.Key.String(), Person: r.Person, Time: r.Time})
	case entry.OutsideIn:
		return s.comeBack(r, l)
	default:
		return false
	}
	return true
}

func moneyOrNone(text string) bool {
	if text == "" {
		return true
	}
	a, err := money.Parse(text)
	return err == nil && a.Sign() >= 0
}

func (s *State) order(r *entry.Row, l *Line) bool {
	var p OrderV1
	if !decode(r.Payload, &p) {
		return false
	}
	l.About, l.Text, l.Reason = p.Order, p.Supplier, p.Note
	if p.Order == "" || p.Supplier == "" || len(p.Lines) == 0 || s.Order(p.Order) != nil {
		return false
	}
	o := Ordered{OrderV1: p, Prices: make([]money.Amount, len(p.Lines)), Taken: make([]int, len(p.Lines)), Back: make([]int, len(p.Lines)),
		Key: r.Key.String(), Person: r.Person, Time: r.Time}
	for i, n := range p.Lines {
		if !n.Sort.Sound() || n.Count < 1 || !moneyOrNone(n.Price) {
			return false
		}
		for _, c := range n.Accept {
			if _, _, ok := c.Limits(); !ok {
				return false
			}
		}
		if n.Price != "" {
			o.Prices[i], _ = money.Parse(n.Price)
		}
	}
	s.Orders = append(s.Orders, o)
	return true
}

// receive notes a delivery; more than was ordered is not taken on an order.
func (s *State) receive(r *entry.Row, l *Line) bool {
	var p ReceivedV1
	if !decode(r.Payload, &p) {
		return false
	}
	l.About, l.Text, l.Reason = p.Order, p.Lot, p.Reason
	o := s.Order(p.Order)
	if o == nil || p.Line < 1 || p.Line > len(o.Lines) || p.Taken < 0 || p.Returned < 0 || p.Taken+p.Returned == 0 ||
		(p.Taken > 0) != (p.Lot != "") || p.Taken > o.Open(p.Line) || p.Returned > 0 && strings.TrimSpace(p.Reason) == "" {
		return false
	}
	o.Taken[p.Line-1] += p.Taken
	o.Back[p.Line-1] += p.Returned
	s.Deliveries = append(s.Deliveries, Delivered{p, r.Key.String(), r.Person, r.Time})
	return true
}

// comeBack closes work out of the house: with readings, or with a reason why
// without.
func (s *State) comeBack(r *entry.Row, l *Line) bool {
	var p CameBackV1
	if !decode(r.Payload, &p) {
		return false
	}
	l.Reason = p.Reason
	for i := range s.Outside {
		o := &s.Outside[i]
		if o.Key != p.Target || o.Back != nil {
			continue
		}
		l.About, l.Text = o.Part, o.Operation
		if len(p.Readings) == 0 && strings.TrimSpace(p.Reason) == "" {
			return false
		}
		o.Back, o.BackAt = &p, r.Time
		return true
	}
	return false
}

// unstock takes an allocation or an order out, by the key of its entry. An order
// of which something came stays.
func (s *State) unstock(p WithdrawalV1, l *Line) bool {
	reason := strings.TrimSpace(p.Reason)
	if reason == "" {
		return false
	}
	for i := range s.Allocations {
		if a := &s.Allocations[i]; a.Key == p.Target && a.Void == "" {
			a.Void = reason
			l.About, l.Text = a.Part, pieceText(a.Lot, a.Piece)
			return true
		}
	}
	for i := range s.Orders {
		o := &s.Orders[i]
		if o.Key != p.Target || o.Void != "" {
			continue
		}
		for _, n := range o.Taken {
			if n > 0 {
				return false
			}
		}
		o.Void = reason
		l.About, l.Text = o.Order, o.Supplier
		return true
	}
	return false
}

func pieceText(lot string, piece int) string { return lot + " · " + strconv.Itoa(piece) }
