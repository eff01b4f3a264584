package offer

import (
	"math"
	"math/big"
	"slices"
	"strconv"
	"strings"

	"fettle/internal/base/fault"
	"fettle/internal/base/money"
	"fettle/internal/facts/shop"
	"fettle/internal/judge/assess"
	"fettle/internal/judge/plan"
	"fettle/internal/know/family"
	"fettle/internal/know/finding"
	"fettle/internal/know/library"
	"fettle/internal/know/words"
)

// Basis is what the plan of a job is priced by.
type Basis struct {
	Library  *library.Library
	Layout   *family.Layout
	Terms    shop.Terms
	Machines func(id string) bool // whether the shop has a machine; nil: it has all
	Shelf    plan.Shelf           // that the plan was made from
}

// FromPlan makes a route of a plan: its work with what each operation comes after
// and which parts it waits for, the parts that it buys, how sure each fit is, and
// what it leaves undone.
//
// Shapes: plan -> route.
// Units:  as Input.
// Errors: money.two-currencies where parts are bought in another currency than
// that of the terms, and those of money.
func (b *Basis) FromPlan(p *plan.Plan) (Route, error) {
	r := Route{ID: p.Route}
	if k, ok := b.Library.Routes().Route(p.Route); ok {
		r.Name, r.What = k.Name, k.What
	}
	of, err := b.parts(p, &r)
	if err != nil {
		return r, err
	}
	if err := b.work(p, of, &r); err != nil {
		return r, err
	}
	for i := range p.Fits {
		f := &p.Fits[i]
		for k := range f.Choices {
			c := &f.Choices[k]
			if c.Chance == "" && c.Low == "" && c.High == "" {
				continue // nothing bounds it
			}
			chance, err := strconv.ParseFloat(c.Chance, 64)
			if err != nil {
				chance = -1
			}
			r.Limits = append(r.Limits, Limit{c.Position, chance})
		}
	}
	b.left(p, &r)
	return r, nil
}

// work makes operations of the work of a plan; of gives the parts of each
// component that it waits for. What the shop has no machine for goes out for some
// weeks; until somebody names a price it is reckoned by its hours at our rate.
func (b *Basis) work(p *plan.Plan, of map[string][]string, r *Route) error {
	cat := b.Library.Operations()
	in := map[string]bool{}
	for i := range p.Work {
		s := &p.Work[i]
		w := Work{ID: s.Operation, Name: words.Text{"en": s.Operation}, Machine: s.Machine, Low: minutes(s.Hours.Low), High: minutes(s.Hours.High),
			AloneLow: minutes(s.Hours.AloneLow), AloneHigh: minutes(s.Hours.AloneHigh)}
		if s.Weeks[1] > 0 && b.Machines != nil && !b.Machines(s.Machine) {
			var err error
			if w, err = b.away(w); err != nil {
				return err
			}
			w.DaysLow, w.DaysHigh = 7*s.Weeks[0], 7*s.Weeks[1]
			r.Open = append(r.Open, assess.Say{Key: "offer.open.outside", Args: map[string]string{"operation": s.Operation}})
		}
		if o := cat.Operation(s.Operation); o != nil {
			w.Name = o.Name
			for _, id := range append(slices.Clone(o.Needs), o.After...) {
				if in[id] && !slices.Contains(w.After, id) {
					w.After = append(w.After, id)
				}
			}
			for _, k := range o.Brings {
				if g, ok := cat.Part(k.Goods); ok {
					w.Needs = append(w.Needs, of[g.Component]...)
				}
			}
		}
		in[s.Operation] = true
		r.Work = append(r.Work, w)
	}
	return nil
}

// away prices work that goes out by its hours; no hand of ours is on it.
func (b *Basis) away(w Work) (Work, error) {
	rate := b.Terms.Rate(w.Machine)
	var err error
	if w.PriceLow, err = rate.Times(big.NewRat(int64(w.Low), 60), b.Terms.Rule); err != nil {
		return w, err
	}
	w.PriceHigh, err = rate.Times(big.NewRat(int64(w.High), 60), b.Terms.Rule)
	w.Low, w.High, w.AloneLow, w.AloneHigh = 0, 0, 0, 0
	return w, err
}

// minutes reads hours of a plan; what is none is none.
func minutes(hours string) int {
	h, err := strconv.ParseFloat(hours, 64)
	if err != nil {
		return 0
	}
	return int(math.Round(h * 60))
}

// parts are what the plan buys and takes. It returns the parts by the component
// that they are of, and by the article where that names its kind.
func (b *Basis) parts(p *plan.Plan, r *Route) (map[string][]string, error) {
	of := map[string][]string{}
	fits := b.Library.Routes().Fits
	name, comp := map[string]words.Text{}, map[string]string{}
	for i := range fits {
		name[fits[i].ID], comp[fits[i].ID] = fits[i].Name, fits[i].Part
	}
	for _, l := range p.Purchase.Lines {
		each, err := thousandths(b.Terms.Money, l.Thousandths, l.Count, b.Terms.Rule)
		if err != nil {
			return nil, err
		}
		if p.Purchase.Currency != string(b.Terms.Money) {
			return nil, fault.New(fault.Invalid, "money.two-currencies", "a", p.Purchase.Currency, "b", string(b.Terms.Money))
		}
		q := Part{ID: l.Supplier + " " + l.Item, Name: b.named(name, l.For, l.Item), Count: l.Count, EachLow: each, EachHigh: each, Supplier: l.Supplier, DaysLow: l.DaysLow, DaysHigh: l.DaysHigh}
		if slices.ContainsFunc(r.Parts, func(x Part) bool { return x.ID == q.ID }) {
			q.ID += " " + strconv.Itoa(len(r.Parts))
		}
		r.Parts = append(r.Parts, q)
		kind, _, _ := strings.Cut(l.Item, ":")
		of[kind] = append(of[kind], q.ID)
		for _, f := range l.For {
			if c := comp[f]; c != "" && c != kind {
				of[c] = append(of[c], q.ID)
			}
		}
	}
	for _, m := range p.Purchase.Missing {
		r.Open = append(r.Open, assess.Say{Key: NoPrice, Args: map[string]string{"what": m.Item, "n": strconv.Itoa(m.Count)}})
	}
	return of, b.shelved(p, name, r)
}

// shelved prices what comes from the shelf at what it would cost to buy it again
// today: the least and the most that a supplier asks for that article.
func (b *Basis) shelved(p *plan.Plan, name map[string]words.Text, r *Route) error {
	item := map[string]string{}
	for i := range b.Shelf.Parts {
		item[b.Shelf.Parts[i].ID] = b.Shelf.Parts[i].Item
	}
	at, free := map[string]int{}, 0
	for _, t := range p.Purchase.Shelf {
		article := item[t.Part]
		if i, ok := at[article]; ok && article != "" {
			r.Parts[i].Count += t.Count
			continue
		}
		low, high := int64(-1), int64(0)
		for _, o := range b.Shelf.Offers {
			if o.Item == article && article != "" {
				if low < 0 || o.Price < low {
					low = o.Price
				}
				high = max(high, o.Price)
			}
		}
		if low < 0 || b.Shelf.Currency != string(b.Terms.Money) {
			free += t.Count
			continue
		}
		q := Part{ID: "shelf " + article, Name: b.named(name, []string{t.For}, article), Count: t.Count}
		var err error
		if q.EachLow, err = thousandths(b.Terms.Money, low, 1, b.Terms.Rule); err != nil {
			return err
		}
		if q.EachHigh, err = thousandths(b.Terms.Money, high, 1, b.Terms.Rule); err != nil {
			return err
		}
		at[article] = len(r.Parts)
		r.Parts = append(r.Parts, q)
	}
	if free > 0 {
		r.Open = append(r.Open, assess.Say{Key: "offer.open.shelf", Args: map[string]string{"n": strconv.Itoa(free)}})
	}
	return nil
}

// thousandths is the price of one of so many, from the price of all.
func thousandths(c money.Currency, all int64, count int, r money.Rule) (money.Amount, error) {
	one, err := money.New("1", string(c), '.')
	if err != nil {
		return one, err
	}
	return one.Times(big.NewRat(all, 1000*int64(max(count, 1))), r)
}

// named names an article by the choice it is for.
func (b *Basis) named(names map[string]words.Text, fits []string, item string) words.Text {
	out := words.Text{}
	kind, _, _ := strings.Cut(item, ":")
	for _, g := range b.Library.Operations().Goods {
		if g.Component == kind {
			for lang, s := range g.Name {
				out[lang] = s
			}
			break
		}
	}
	for _, f := range fits {
		for lang, s := range names[f] {
			if out[lang] == "" {
				out[lang] = s
			}
		}
	}
	for lang := range out {
		if which := which(item); which != "" {
			out[lang] += " · " + which
		}
	}
	if len(out) == 0 {
		out["en"] = item
	}
	return out
}

// left says what the plan leaves as it is and what it does not know.
func (b *Basis) left(p *plan.Plan, r *Route) {
	for i := range p.Findings {
		d := &p.Findings[i]
		if !d.Leaves || len(d.Declined) == 0 || p.Assessment == nil || i >= len(p.Assessment.Findings) {
			continue
		}
		f := &p.Assessment.Findings[i]
		r.Declined = append(r.Declined, Risk{Finding: d.Finding + "@" + d.Part, Act: d.Severity == finding.Act, Taken: d.Outcome, Instead: d.Declined, By: d.By,
			Title: filled(f.Entry.Title, f), Says: filled(f.Entry.Leaving, f)})
	}
	for i := range p.Conflicts {
		r.Open = append(r.Open, p.Conflicts[i].Say)
	}
	if a := p.Assessment; a != nil && a.Tally.Unmeasured > 0 {
		r.Open = append(r.Open, assess.Say{Key: "offer.open.unmeasured", Args: map[string]string{"n": strconv.Itoa(a.Tally.Unmeasured)}})
	}
}

// filled puts the worst evidence into a text of the catalogue, with positions as
// they are named in the log.
func filled(t words.Text, f *assess.Finding) words.Text {
	if f.Worst < 0 || f.Worst >= len(f.Evidence) {
		return t
	}
	e := &f.Evidence[f.Worst]
	with := strings.NewReplacer("{place}", e.Position, "{value}", strings.TrimSpace(e.Value+" "+e.Unit), "{limit}", strings.TrimSpace(e.Limit+" "+e.Unit),
		"{amount}", strings.TrimSpace(strings.TrimLeft(e.Amount, "+-")+" "+e.Unit))
	out := words.Text{}
	for lang, s := range t {
		out[lang] = with.Replace(s)
	}
	return out
}

// which is what tells an article from others of its kind: class, half, step and
// size, without kind and family.
func which(item string) string {
	parts := strings.Split(item, ":")
	if len(parts) == 1 {
		return item
	}
	var out []string
	for _, p := range parts[min(2, len(parts)):] {
		if p != "" {
			out = append(out, p)
		}
	}
	return strings.Join(out, " ")
}
