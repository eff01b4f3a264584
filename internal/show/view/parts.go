package view

import (
	"sort"
	"strconv"

	"fettle/internal/facts/job"
	"fettle/internal/judge/goods"
)

// PartsPage is the page of what a job orders, gets and fits.
type PartsPage struct {
	Frame
	Step      Step
	Short     []Fact // what is still missing, and why
	Orders    []OrderView
	Lots      []LotRow // kept for this job
	Given     []GivenRow
	Outside   []OutsideRow
	Kinds     []Choice // of pieces to give
	Kind      string
	Pieces    []Choice // free ones of that kind, LOT:PIECE
	Places    []Choice
	Suppliers []Choice
	Forms     ShelfForms
	Parts     []Choice
	Empty     bool
	Today     string
}

// OrderView is one order.
type OrderView struct {
	Number, Supplier, When, Due string
	Late                        bool
	Void                        string
	Key                         string
	Lines                       []OrderLineView
	Frees                       bool // nothing came yet
}

// OrderLineView is one line of an order.
type OrderLineView struct {
	Act, Line          string
	What, Small        string
	Count, Taken, Back string
	Open               int
	Price              string
	Accept             []string
	Lot                string // proposed name of what comes next
}

// GivenRow is a piece at its place.
type GivenRow struct{ Place, Lot, Href, What, Size, Who, When, Key string }

// OutsideRow is a part out of the house.
type OutsideRow struct {
	Part, Operation, To, Wanted, Price, Since, Due, Back, Key string
	Out                                                       bool
}

// PartsPage makes the page. kind narrows the pieces to give, places are those
// that take it.
func (c *Case) PartsPage(r Reader, list []OnShelf, step Step, kind string, places []string, now int64) PartsPage {
	v := PartsPage{Frame: c.frame(r, r.T("page.parts.title"), "parts", "", job.Found), Step: step, Kind: kind, Today: r.Date(now)}
	v.Under = r.T("page.parts.under")
	v.Forms = r.shelfForms(c.Shop, nil)
	v.Kinds, v.Suppliers = pick(v.Forms.Kinds, kind), v.Forms.Suppliers
	c.orders(r, &v, now)
	by := map[string]*OnShelf{}
	for i := range list {
		l := &list[i]
		by[l.LotV1.Lot] = l
		if l.Job == c.Assessment.Job {
			v.Lots = append(v.Lots, r.lotRow(l))
			for k := range l.Pieces {
				if l.Pieces[k].Standing == goods.Unread {
					v.Short = append(v.Short, Fact{l.LotV1.Lot + " · " + r.PartKind(l.Sort.Kind), r.T("page.parts.unread")})
					break
				}
			}
		}
		c.offer(r, &v, l)
	}
	for _, a := range c.Job.Given() {
		row := GivenRow{Place: c.Part(r, a.Part), Lot: a.Lot + " · " + strconv.Itoa(a.Piece), Href: ShelfHref(a.Lot), Who: c.person(a.Person), When: r.Day(a.Time), Key: a.Key}
		if l := by[a.Lot]; l != nil {
			row.What = r.PartKind(l.Sort.Kind)
			if w := r.SortWords(l.Sort); w != "" {
				row.What += ", " + w
			}
			row.Size = r.sizes(l, a.Piece)
		}
		v.Given = append(v.Given, row)
	}
	sort.SliceStable(v.Given, func(i, k int) bool { return v.Given[i].Place < v.Given[k].Place })
	for i := range c.Job.Outside {
		c.out(r, &v, &c.Job.Outside[i], now)
	}
	for _, p := range places {
		v.Places = append(v.Places, Choice{Value: p, Text: c.Part(r, p)})
	}
	for _, x := range c.Layout.Family.Components {
		v.Parts = append(v.Parts, Choice{Value: x.ID, Text: x.Name.In(r.Lang)})
	}
	v.Empty = len(v.Orders)+len(v.Given)+len(v.Outside)+len(v.Lots) == 0
	return v
}

// sizes are the sizes of one piece.
func (r Reader) sizes(l *OnShelf, n int) string {
	out := ""
	for i := range l.Pieces {
		if l.Pieces[i].N != n {
			continue
		}
		for _, s := range l.Pieces[i].Sizes {
			if out != "" {
				out += "; "
			}
			out += r.pieceSize(s)
		}
	}
	return out
}

// offer lists the free pieces of a lot that may go into this job.
func (c *Case) offer(r Reader, v *PartsPage, l *OnShelf) {
	if v.Kind == "" || l.Sort.Kind != v.Kind || l.Job != "" && l.Job != c.Assessment.Job || l.Sort.Family != "" && l.Sort.Family != c.Job.Family {
		return
	}
	for i := range l.Pieces {
		p := &l.Pieces[i]
		if _, used := l.Used[p.N]; used || p.Standing != goods.Sound {
			continue
		}
		n := strconv.Itoa(p.N)
		text := l.LotV1.Lot + " · " + n
		if w := r.SortWords(l.Sort); w != "" {
			text += ", " + w
		}
		v.Pieces = append(v.Pieces, Choice{Value: l.LotV1.Lot + ":" + n, Text: text + ": " + r.sizes(l, p.N)})
	}
}

func (c *Case) orders(r Reader, v *PartsPage, now int64) {
	for i := range c.Job.Orders {
		o := &c.Job.Orders[i]
		w := OrderView{Number: o.Order, Supplier: c.Shop.Suppliers[o.Supplier].Name, When: r.Day(o.Time), Void: o.Void, Key: o.Key, Frees: o.Void == ""}
		if o.Due != 0 {
			w.Due = r.Date(o.Due)
		}
		for k := range o.Lines {
			n := &o.Lines[k]
			line := strconv.Itoa(k + 1)
			lv := OrderLineView{Act: "receive-" + o.Order + "-" + line, Line: line, What: r.PartKind(n.Sort.Kind), Small: r.SortWords(n.Sort), Count: r.Int(n.Count), Taken: r.Int(o.Taken[k]), Back: r.Int(o.Back[k]),
				Open: o.Open(k + 1), Lot: o.Order + "-" + line + string(rune('a'+min(25, len(c.Job.Deliveries))))}
			if !o.Prices[k].IsZero() {
				lv.Price = r.With(o.Prices[k].Number(), string(o.Prices[k].Currency()))
			}
			for _, a := range n.Accept {
				lv.Accept = append(lv.Accept, r.Criterion(a))
			}
			w.Frees = w.Frees && o.Taken[k] == 0
			if lv.Open > 0 {
				say := r.N("page.parts.to-come", lv.Open, "order", o.Order, "supplier", w.Supplier)
				if o.Due != 0 && o.Due < now {
					w.Late = true
					say += " " + r.T("page.parts.late", "due", w.Due)
				}
				v.Short = append(v.Short, Fact{lv.What + ", " + lv.Small, say})
			}
			w.Lines = append(w.Lines, lv)
		}
		v.Orders = append(v.Orders, w)
	}
}

func (c *Case) out(r Reader, v *PartsPage, o *job.Outside, now int64) {
	row := OutsideRow{Part: c.Part(r, o.Part), Operation: o.Operation, To: c.Shop.Suppliers[o.To].Name, Wanted: o.Wanted, Since: r.Date(o.Time), Key: o.Key, Out: o.Back == nil}
	if o.Due != 0 {
		row.Due = r.Date(o.Due)
	}
	if o.Price != "" {
		row.Price = r.length(o.Price)
	}
	if b := o.Back; b != nil {
		row.Back = r.N("page.parts.back", len(b.Readings), "when", r.Date(o.BackAt))
		if len(b.Readings) == 0 {
			row.Back = r.T("page.parts.back.without", "when", r.Date(o.BackAt), "reason", b.Reason)
		}
	} else {
		say := r.T("page.parts.out", "to", row.To, "since", row.Since)
		if o.Due != 0 && o.Due < now {
			say += " " + r.T("page.parts.late", "due", row.Due)
		}
		v.Short = append(v.Short, Fact{row.Part, say})
	}
	v.Outside = append(v.Outside, row)
}
