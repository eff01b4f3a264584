package plan

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"fettle/internal/judge/allocate"
)

// need is an article with the pieces that a fit asks for.
type need struct {
	item  string
	count int
	fits  []string
}

// Purchase is the cheapest way to buy what the plan needs.
type Purchase struct {
	Currency  string    `json:"currency,omitempty"`
	Lines     []Line    `json:"lines"`
	Carriage  string    `json:"carriage,omitempty"`
	Total     string    `json:"total,omitempty"`
	DaysLow   int       `json:"days_low"`
	DaysHigh  int       `json:"days_high"`
	Suppliers []Without `json:"suppliers"`
	Missing   []Missing `json:"missing"` // what nobody offers
	Shelf     []Taken   `json:"from_shelf"`
	total     int64
}

// Line is one line of an order.
type Line struct {
	Supplier    string   `json:"supplier"`
	Item        string   `json:"item"`
	Count       int      `json:"count"`
	Price       string   `json:"price"` // of all its pieces
	DaysLow     int      `json:"days_low"`
	DaysHigh    int      `json:"days_high"`
	For         []string `json:"for"` // fits
	Thousandths int64    `json:"-"`
}

// Without is what the purchase would cost without a supplier.
type Without struct {
	Supplier string `json:"supplier"`
	Without  string `json:"without,omitempty"` // "" where it cannot be had without
}

// Missing is what nobody offers.
type Missing struct {
	Item  string   `json:"item"`
	Count int      `json:"count"`
	For   []string `json:"for"`
}

// Taken is what the plan takes from the shelf.
type Taken struct {
	Part  string `json:"part"`
	Count int    `json:"count"`
	For   string `json:"for"`
}

// need asks for pieces of an article.
func (m *maker) need(p Part, count int, fit string) {
	item := p.Item
	if item == "" {
		item = p.ID
	}
	for i := range m.needs {
		if n := &m.needs[i]; n.item == item {
			n.count += count
			if !slices.Contains(n.fits, fit) {
				n.fits = append(n.fits, fit)
			}
			return
		}
	}
	m.needs = append(m.needs, need{item, count, []string{fit}})
}

// take takes so many pieces of a kind, of the shelf first.
func (m *maker) take(kind string, step int64, count int, fit string) {
	article := kind
	if step > 0 {
		article += " " + scale{"mm", 2, nm}.write(step) + " mm"
	}
	m.takeFrom(m.Shelf.of(kind, step), article, count, fit)
}

// takeNamed takes one piece of a kind by its name or class.
func (m *maker) takeNamed(kind, name, fit string) {
	var parts []Part
	for _, p := range m.Shelf.of(kind, 0) {
		if p.Class == name || p.ID == name {
			parts = append(parts, p)
		}
	}
	m.takeFrom(parts, kind+" "+name, 1, fit)
}

func (m *maker) takeFrom(parts []Part, article string, count int, fit string) {
	for _, bought := range []bool{false, true} {
		for _, p := range parts {
			n := min(count, p.Count-m.taken[p.ID])
			if p.Buy != bought || n <= 0 {
				continue
			}
			count -= n
			m.taken[p.ID] += n
			if p.Buy {
				m.need(p, n, fit)
			} else {
				m.plan.Purchase.Shelf = append(m.plan.Purchase.Shelf, Taken{p.ID, n, fit})
			}
		}
	}
	if count > 0 {
		m.need(Part{ID: article}, count, fit)
	}
}

// buy finds the cheapest purchase of what the plan needs, in time.
func (m *maker) buy() error {
	p := &m.plan.Purchase
	p.Lines, p.Suppliers, p.Missing, p.Currency = []Line{}, []Without{}, []Missing{}, m.Shelf.Currency
	for _, f := range m.plan.Fits {
		for _, c := range f.Choices {
			for _, x := range c.Parts {
				if x.From == FromShelf && f.Kind != "gasket" && f.ID != "masses" && x.Role != "with" {
					p.Shelf = append(p.Shelf, Taken{x.ID, 1, f.ID})
				}
			}
		}
	}
	p.Shelf = gathered(p.Shelf)
	days := m.plan.Wish.Days
	if days == 0 {
		days = 10_000
	}
	var needs []allocate.Need
	var offers []allocate.Offer
	low := map[[2]string]int{}
	for _, o := range m.Shelf.Offers {
		offers = append(offers, allocate.Offer{Supplier: o.Supplier, Item: o.Item, Price: o.Price, Have: o.Have, Days: o.DaysHigh})
		low[[2]string{o.Supplier, o.Item}] = o.DaysLow
	}
	of := map[string][]string{}
	for _, n := range m.needs {
		have, ever := 0, 0
		for _, o := range m.Shelf.Offers {
			if o.Item == n.item {
				ever += o.Have
				if o.DaysHigh <= days {
					have += o.Have
				}
			}
		}
		of[n.item] = n.fits
		if have < n.count {
			p.Missing = append(p.Missing, Missing{n.item, n.count - have, n.fits})
			if ever >= n.count {
				m.late(n, have, days)
			}
		}
		if k := min(have, n.count); k > 0 {
			needs = append(needs, allocate.Need{Item: n.item, Count: k})
		}
	}
	if len(needs) == 0 {
		return nil
	}
	b, err := allocate.Buy(needs, offers, m.Shelf.Carriage, days)
	if err != nil {
		return err
	}
	for _, l := range b.Lines {
		d := low[[2]string{l.Supplier, l.Item}]
		p.Lines = append(p.Lines, Line{l.Supplier, l.Item, l.Count, amount(l.Price), d, l.Days, of[l.Item], l.Price})
		p.DaysLow = max(p.DaysLow, d)
	}
	p.total, p.Total, p.Carriage, p.DaysHigh = b.Total, amount(b.Total), amount(b.Carriage), b.Days
	for i, s := range b.Suppliers {
		w := Without{Supplier: s}
		if b.Without[i] >= 0 {
			w.Without = amount(b.Without[i])
		}
		p.Suppliers = append(p.Suppliers, w)
	}
	if most := m.plan.Wish.Budget; most > 0 && b.Total > most {
		m.plan.Conflicts = append(m.plan.Conflicts, m.dear(needs, offers, days, most))
	}
	return nil
}

// late is the conflict of an article that comes too late.
func (m *maker) late(n need, have, days int) {
	members := []Member{{DemandArticle, n.item, say("plan.member.article", "item", n.item, "n", strconv.Itoa(n.count))},
		{DemandDays, strconv.Itoa(days), say("plan.member.days", "n", strconv.Itoa(days))}}
	c := conflict("purchase", "plan.conflict.late", members, []int{0, 1}, func(k int) (Say, bool) { return say("plan.way.days"), k == 1 })
	c.Args = map[string]string{"item": n.item, "n": strconv.Itoa(n.count), "have": strconv.Itoa(have), "days": strconv.Itoa(days)}
	m.plan.Conflicts = append(m.plan.Conflicts, c)
}

// dear is the conflict of a budget with a smallest set of articles that cost more.
func (m *maker) dear(needs []allocate.Need, offers []allocate.Offer, days int, most int64) Conflict {
	var members []Member
	for _, n := range needs {
		members = append(members, Member{DemandArticle, n.Item, say("plan.member.article", "item", n.Item, "n", strconv.Itoa(n.Count))})
	}
	members = append(members, Member{DemandBudget, amount(most), say("plan.member.budget", "amount", amount(most), "currency", m.Shelf.Currency)})
	at := smallest(len(members), func(active []bool) bool {
		var some []allocate.Need
		for i, n := range needs {
			if active[i] {
				some = append(some, n)
			}
		}
		if len(some) == 0 || !active[len(needs)] {
			return true
		}
		b, err := allocate.Buy(some, offers, m.Shelf.Carriage, days)
		return err == nil && b.Total <= most
	})
	c := conflict("purchase", "plan.conflict.dear", members, at, func(k int) (Say, bool) { return say("plan.way.budget"), k == len(needs) })
	c.Args = map[string]string{"amount": amount(most), "total": m.plan.Purchase.Total, "currency": m.Shelf.Currency}
	return c
}

// gathered joins takings of one part for one fit.
func gathered(all []Taken) []Taken {
	out := []Taken{}
	for _, t := range all {
		t.Part, _, _ = strings.Cut(t.Part, "#")
		if i := slices.IndexFunc(out, func(o Taken) bool { return o.Part == t.Part && o.For == t.For }); i >= 0 {
			out[i].Count += t.Count
			continue
		}
		out = append(out, t)
	}
	return out
}

// amount writes whole thousandths as a decimal number, with a third place only
// where there is one.
func amount(n int64) string {
	s := fmt.Sprintf("%d.%03d", n/1000, n%1000)
	return strings.TrimSuffix(s, "0")
}
