package offer

import (
	"math"
	"math/big"
	"slices"
	"strconv"
	"strings"
	"time"

	"fettle/internal/base/fault"
	"fettle/internal/base/money"
	"fettle/internal/facts/shop"
	"fettle/internal/judge/assess"
	"fettle/internal/judge/plan"
	"fettle/internal/know/family"
	"fettle/internal/know/finding"
	"fettle/internal/know/library"
	"fettle/internal/know/operation"
	"fettle/internal/know/words"
)

// Basis is what the plan of a job is priced by.
type Basis struct {
	Library  *library.Library
	Layout   *family.Layout
	Terms    shop.Terms
	Machines func(id string) bool // whether the shop has a machine; nil: it has all
	Goods    func(goods operation.Goods, count int) (Price, bool)
}

// Price is what goods that no fit chooses cost, and when they come.
type Price struct {
	Each, EachHigh    money.Amount
	Supplier          string
	DaysLow, DaysHigh int
}

// build is the work of every build, whatever was found: what was apart is put
// together, checked and run.
// Source: common practice, no source.
func build() []string {
	return []string{"wash-block", "clean-crank", "choose-shells", "gap-rings", "check-gasket", "check-compression", "trial-build", "fit-crank", "fit-pump", "assemble-head",
		"fit-head", "time-cams", "set-lash", "close-engine", "leak-check", "audit-build", "mount-on-bed", "first-fire", "cut-filter", "hand-over"}
}

// FromPlan makes a route of a plan: the operations that carry out what becomes of
// each finding with all that they bring, the parts that the plan buys or takes,
// how sure each fit is, and what is left undone.
//
// Shapes: plan -> route.
// Units:  as Input.
// Errors: those of operation.Close, and of money.
func (b *Basis) FromPlan(p *plan.Plan) (Route, error) {
	r := Route{ID: p.Route}
	if k, ok := b.Library.Routes().Route(p.Route); ok {
		r.Name, r.What = k.Name, k.What
	}
	cat := b.Library.Operations()
	done, err := cat.Close(b.Layout, b.chosen(cat, p))
	if err != nil {
		return r, err
	}
	of, err := b.parts(p, &done, &r)
	if err != nil {
		return r, err
	}
	b.work(&done, of, &r)
	for i := range p.Fits {
		f := &p.Fits[i]
		for k := range f.Choices {
			c := &f.Choices[k]
			chance, err := strconv.ParseFloat(c.Chance, 64)
			if c.Chance == "" && c.Low == "" && c.High == "" {
				continue // nothing bounds it
			}
			if err != nil {
				chance = -1
			}
			r.Limits = append(r.Limits, Limit{c.Position, chance})
		}
	}
	b.left(p, &r)
	return r, nil
}

// chosen are the operations that the plan asks for, and the work of every build.
func (b *Basis) chosen(cat *operation.Catalogue, p *plan.Plan) []operation.Choice {
	var out []operation.Choice
	for i := range p.Findings {
		d := &p.Findings[i]
		if d.Leaves || p.Assessment == nil || i >= len(p.Assessment.Findings) {
			continue
		}
		if o := b.answer(cat, &p.Assessment.Findings[i], d.Outcome); o != nil {
			c := operation.Choice{Operation: o.ID, For: d.Finding + "@" + d.Part}
			if at := place(o.Places(b.Layout), d.Part); at != "" {
				c.Places = []string{at}
			}
			out = append(out, c)
		}
	}
	for _, id := range build() {
		if o := cat.Operation(id); o != nil && o.On(b.Layout) {
			out = append(out, operation.Choice{Operation: id})
		}
	}
	return out
}

// answer is the operation that carries out an outcome: of several the one that
// ends with a reading of what the finding rests on, else the one that works on
// that component, else the first.
func (b *Basis) answer(cat *operation.Catalogue, f *assess.Finding, outcome string) *operation.Operation {
	var best *operation.Operation
	most := -1
	for _, o := range cat.Answering(f.ID, outcome) {
		if !o.On(b.Layout) {
			continue
		}
		score := 0
		for _, e := range f.Evidence {
			i, ok := b.Layout.Find(e.Position)
			if !ok {
				continue
			}
			c := b.Layout.Places[i].Char
			if slices.Contains(o.Closing, c.ID) || slices.ContainsFunc(o.Sets, func(s operation.Set) bool { return s.Characteristic == c.ID }) || c.Target != "" && slices.Contains(o.Targets, c.Target) {
				score = max(score, 2)
			}
			if o.Component == c.Component() {
				score = max(score, 1)
			}
		}
		if score > most {
			best, most = o, score
		}
	}
	return best
}

// place is the place of an operation that a part stands for; "" for all of them.
func place(places []string, part string) string {
	_, at, ok := strings.Cut(part, "/")
	for ok && at != "" {
		if slices.Contains(places, at) {
			return at
		}
		i := strings.LastIndexByte(at, '/')
		at = at[:max(i, 0)]
	}
	return ""
}

// work makes operations of steps; of gives the parts that one waits for.
func (b *Basis) work(done *operation.Route, of map[string][]string, r *Route) {
	in := map[string]bool{}
	for i := range done.Steps {
		s := &done.Steps[i]
		w := Work{ID: s.ID, Name: s.Name, Machine: s.Machine, Low: minutes(s.Hours.Low), High: minutes(s.Hours.High), AloneLow: minutes(s.Hours.AloneLow),
			AloneHigh: minutes(s.Hours.AloneHigh), Needs: of[s.ID]}
		if s.Outside.High > 0 && b.Machines != nil && !b.Machines(s.Machine) {
			w.DaysLow, w.DaysHigh = 7*s.Outside.Low, 7*s.Outside.High
		}
		for _, id := range append(slices.Clone(s.Needs), s.After...) {
			if in[id] && !slices.Contains(w.After, id) {
				w.After = append(w.After, id)
			}
		}
		in[s.ID] = true
		r.Work = append(r.Work, w)
	}
}

func minutes(d time.Duration) int { return int(math.Ceil(d.Minutes() - 1e-9)) }

// parts are what the plan buys and takes, and what the work brings beside that.
// It returns which parts each operation waits for.
func (b *Basis) parts(p *plan.Plan, done *operation.Route, r *Route) (map[string][]string, error) {
	of, served := map[string][]string{}, map[string][]string{} // operation -> parts; component -> parts
	fits := b.Library.Routes().Fits
	name := map[string]words.Text{}
	comp := map[string]string{}
	for i := range fits {
		name[fits[i].ID], comp[fits[i].ID] = fits[i].Name, fits[i].Part
	}
	for i := range p.Fits {
		served[comp[p.Fits[i].ID]] = nil
	}
	add := func(q Part, kinds []string) {
		if !slices.ContainsFunc(r.Parts, func(x Part) bool { return x.ID == q.ID }) {
			r.Parts = append(r.Parts, q)
		}
		for _, k := range kinds {
			served[comp[k]] = append(served[comp[k]], q.ID)
		}
	}
	for _, l := range p.Purchase.Lines {
		each, err := thousandths(b.Terms.Money, l.Thousandths, l.Count, b.Terms.Rule)
		if err != nil {
			return nil, err
		}
		if p.Purchase.Currency != string(b.Terms.Money) {
			return nil, fault.New(fault.Invalid, "money.two-currencies", "a", p.Purchase.Currency, "b", string(b.Terms.Money))
		}
		q := Part{ID: l.Supplier + " " + l.Item, Name: named(name, l.For, l.Item), Count: l.Count, EachLow: each, EachHigh: each, Supplier: l.Supplier, DaysLow: l.DaysLow, DaysHigh: l.DaysHigh}
		add(q, l.For)
	}
	for _, m := range p.Purchase.Missing {
		r.Open = append(r.Open, assess.Say{Key: "offer.open.price", Args: map[string]string{"what": m.Item, "n": strconv.Itoa(m.Count)}})
	}
	taken := 0
	for _, t := range p.Purchase.Shelf {
		taken += t.Count
	}
	if taken > 0 {
		r.Open = append(r.Open, assess.Say{Key: "offer.open.shelf", Args: map[string]string{"n": strconv.Itoa(taken)}})
	}
	cat := b.Library.Operations()
	for i := range done.Needs {
		n := &done.Needs[i]
		g, _ := cat.Part(n.Goods)
		ids, chosen := served[g.Component]
		if !chosen {
			count := len(n.Parts)
			if g.Set {
				count = 1
			}
			price, ok := Price{}, false
			if b.Goods != nil {
				price, ok = b.Goods(g, count)
			}
			if !ok {
				r.Open = append(r.Open, assess.Say{Key: "offer.open.goods", Args: map[string]string{"goods": g.ID, "n": strconv.Itoa(count)}})
				continue
			}
			q := Part{ID: g.ID, Name: g.Name, Count: count, EachLow: price.Each, EachHigh: price.EachHigh, Supplier: price.Supplier, DaysLow: price.DaysLow, DaysHigh: price.DaysHigh}
			add(q, nil)
			ids = []string{q.ID}
		}
		for _, why := range n.Reasons {
			of[why.By] = append(of[why.By], ids...)
		}
	}
	return of, nil
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
func named(names map[string]words.Text, fits []string, item string) words.Text {
	out := words.Text{}
	for _, f := range fits {
		for lang, s := range names[f] {
			if out[lang] == "" {
				out[lang] = s
			}
		}
	}
	for lang := range out {
		out[lang] += " · " + item
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
