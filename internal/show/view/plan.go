package view

import (
	"slices"
	"strings"

	"fettle/internal/facts/stock"
	"fettle/internal/judge/assess"
	"fettle/internal/judge/plan"
	"fettle/internal/know/finding"
	"fettle/internal/know/operation"
	"fettle/internal/show/plot"
)

// Plan is the page of what is to be done with an engine.
type Plan struct {
	Frame
	Routes    []PlanRoute
	Post      string // address of the form of wishes
	Uses      []Choice
	Route     string
	Ratio     string // as it was asked for
	Days      string
	Bad       string // what was wrong with the wish
	JSON      string
	State     string // whole, or what is missing
	Whole     bool
	Conflicts []PlanConflict
	Findings  []PlanFinding
	Cuts      []PlanCut
	Aims      []PlanAim
	Work      []PlanWork
	Hours     string
	Fits      []PlanFit
	Purchase  PlanPurchase
	Open      []PlanOpen
}

// PlanRoute is one of the routes.
type PlanRoute struct {
	Link
	What string
}

// PlanConflict is demands that contradict one another.
type PlanConflict struct {
	About, Says string
	Demands     []string
	Ways        []string
}

// PlanFinding is what becomes of one finding.
type PlanFinding struct {
	Title         Link
	Outcome, Text string
	Why           string
	Person        bool
	Declined      string
	Leaving       string // what follows from leaving it, where it is left
}

// PlanCut is a group that goes to a machine.
type PlanCut struct{ Group, Step, Size, Why string }

// PlanAim is a size to cut to.
type PlanAim struct{ Part, From, To, Doubt string }

// PlanWork is one operation.
type PlanWork struct {
	Name, Machine, Places string
	Hours, Weeks          string
	Why                   []string
	Cautions              []Link
}

// PlanFit is one choice over the engine.
type PlanFit struct {
	ID, Name, Sum string
	Notes         []string
	Rows          []PlanRow
	Bars          bool
}

// PlanRow is what one place gets.
type PlanRow struct {
	Place   Link
	Parts   []string
	Value   Number
	Bar     Drawing
	Plate   Plate
	Chance  string
	Why     string
	Instead string
	Waits   string
}

// PlanPurchase is what is to be bought, and what comes from the shelf.
type PlanPurchase struct {
	Lines   []PlanLine
	Sum     string
	Days    string
	Without []string
	Missing []string
	Shelf   []string
}

// PlanLine is one line of an order.
type PlanLine struct{ Supplier, Item, Count, Price, Days, For string }

// PlanOpen is what a plan does not settle.
type PlanOpen struct {
	Place Link
	Says  string
}

// Asked is what was typed into the form of wishes.
type Asked struct{ Route, Ratio, Use, Days string }

// PlanPage makes the page of a plan; bad is what was wrong with the wish, and then
// p is the plan without it.
func (c *Case) PlanPage(r Reader, p *plan.Plan, asked Asked, bad string) Plan {
	v := Plan{Frame: c.frame(r, r.T("page.plan.title"), "plan", "", c.lastState("")), Route: p.Route, Post: JobHref(c.id(), "plan"), Whole: p.Complete, Bad: bad, Ratio: asked.Ratio, Days: asked.Days,
		JSON: JobHref(c.id(), "plan.json") + "?route=" + query(p.Route)}
	cat := c.Library.Routes()
	for _, x := range cat.Routes {
		v.Routes = append(v.Routes, PlanRoute{Link{JobHref(c.id(), "plan") + "?route=" + query(x.ID), x.Name.In(r.Lang), x.ID == p.Route}, x.What.In(r.Lang)})
	}
	for _, u := range cat.Uses {
		v.Uses = append(v.Uses, Choice{Value: u.ID, Text: u.Name.In(r.Lang), Chosen: u.ID == p.Wish.Use})
	}
	v.State = r.T("page.plan.short")
	if p.Complete {
		v.State = r.T("page.plan.whole")
	}
	for _, x := range p.Conflicts {
		n := PlanConflict{About: c.aboutFit(r, x.ID), Says: c.planSay(r, x.Say)}
		for _, m := range x.Members {
			n.Demands = append(n.Demands, c.planSay(r, m.Say))
		}
		for _, w := range x.Ways {
			n.Ways = append(n.Ways, c.planSay(r, w))
		}
		v.Conflicts = append(v.Conflicts, n)
	}
	c.planFindings(r, p, &v)
	for _, x := range p.Cuts {
		v.Cuts = append(v.Cuts, PlanCut{r.or("page.group."+x.Group, x.Group), r.bound(x.Step, x.Unit), r.bound(x.Size, x.Unit), c.Say(r, &x.Why)})
	}
	for _, a := range p.Aims {
		v.Aims = append(v.Aims, PlanAim{c.aimed(r, a.Part), r.With(a.From, a.Unit), r.With(a.To, a.Unit), r.With(a.U, a.Unit)})
	}
	c.planWork(r, p, &v)
	for _, f := range p.Fits {
		v.Fits = append(v.Fits, c.planFit(r, f))
	}
	c.planPurchase(r, p, &v)
	for _, o := range p.Open {
		n := PlanOpen{Says: c.planSay(r, o.Say)}
		if o.Position != "" {
			n.Place = Link{Href: AtHref(c.id(), o.Position, ""), Text: c.Place(r, o.Position)}
		}
		v.Open = append(v.Open, n)
	}
	v.Under = r.T("page.plan.under", "findings", r.Int(len(p.Findings)), "work", r.Int(len(p.Work)), "hours", v.Hours, "total", v.Purchase.Sum)
	return v
}

// aimed names the bore or journal that is cut to a size.
func (c *Case) aimed(r Reader, part string) string {
	for i := range c.Layout.Places {
		if p := &c.Layout.Places[i]; strings.HasPrefix(p.ID, part+"/") && len(p.At) > 0 {
			return p.Char.Name.In(r.Lang) + ", " + c.where(r, p.Char.Per[:1], p.At[:1])
		}
	}
	return part
}

func (c *Case) aboutFit(r Reader, id string) string {
	for _, f := range c.Library.Routes().Fits {
		if f.ID == id {
			return f.Name.In(r.Lang)
		}
	}
	return r.or("page.plan.about."+id, r.or("page.group."+id, id))
}

func (c *Case) planFindings(r Reader, p *plan.Plan, v *Plan) {
	for i := range p.Findings {
		d := &p.Findings[i]
		f := &p.Assessment.Findings[i]
		n := PlanFinding{Title: Link{Href: JobHref(c.id(), "findings") + "#" + anchor(f), Text: c.findingTitle(r, f)}, Outcome: r.or("page.outcome."+d.Outcome, d.Outcome),
			Why: c.planSay(r, d.Why), Person: d.By == plan.ByPerson}
		if d.Option >= 0 {
			n.Text = c.fill(r, f.Entry.Options[d.Option].Text.In(r.Lang), f)
		}
		if d.Reason != "" {
			n.Why += " " + d.Reason
		}
		var no []string
		for _, o := range d.Declined {
			no = append(no, r.or("page.outcome."+o, o))
		}
		n.Declined = strings.Join(no, ", ")
		if d.Leaves && f.Severity != finding.Note {
			n.Leaving = c.fill(r, f.Entry.Leaving.In(r.Lang), f)
		}
		v.Findings = append(v.Findings, n)
	}
}

func (c *Case) planWork(r Reader, p *plan.Plan, v *Plan) {
	cat := c.Library.Operations()
	name := func(id string) string {
		if o := cat.Operation(id); o != nil {
			return o.Name.In(r.Lang)
		}
		return id
	}
	for _, w := range p.Work {
		n := PlanWork{Name: name(w.Operation), Places: strings.Join(w.Places, " · "), Hours: c.hours(r, w.Hours)}
		if m, ok := cat.Machine(w.Machine); ok {
			n.Machine = m.Name.In(r.Lang)
		}
		if w.Weeks[1] > 0 {
			n.Weeks = r.T("page.plan.weeks", "low", r.Int(w.Weeks[0]), "high", r.Int(w.Weeks[1]))
		}
		for _, x := range w.Reasons {
			said := ""
			switch {
			case x.Why == operation.Chosen && x.By == "":
				said = r.T("page.plan.why.always")
			case x.Why == operation.Chosen:
				said = r.T("page.plan.why.chosen", "for", c.forWhat(r, p, x.By))
			default:
				said = r.T("page.plan.why."+string(x.Why), "by", name(x.By))
			}
			if s := x.Say.In(r.Lang); s != "" {
				said += " " + s
			}
			if !slices.Contains(n.Why, said) {
				n.Why = append(n.Why, said)
			}
		}
		for _, k := range w.Cautions {
			n.Cautions = append(n.Cautions, Link{Href: "/cautions#" + k, Text: c.caution(r, k)})
		}
		v.Work = append(v.Work, n)
	}
	v.Hours = c.hours(r, p.Hours)
}

// forWhat names the finding or the group that asked for an operation.
func (c *Case) forWhat(r Reader, p *plan.Plan, ref string) string {
	for i := range p.Assessment.Findings {
		if f := &p.Assessment.Findings[i]; plan.Ref(f) == ref {
			return c.findingTitle(r, f)
		}
	}
	return r.or("page.group."+ref, ref)
}

func (c *Case) hours(r Reader, h plan.Hours) string {
	if h.Low == "" {
		return ""
	}
	if h.Low == h.High {
		return r.With(h.Low, "h")
	}
	return r.T("page.range", "from", r.Num(h.Low), "to", r.With(h.High, "h"))
}

func (c *Case) planFit(r Reader, f plan.Fit) PlanFit {
	v := PlanFit{ID: f.ID, Name: c.aboutFit(r, f.ID)}
	var sum []string
	add := func(key, text string) {
		if text != "" {
			sum = append(sum, r.T(key, "amount", r.Text(text)))
		}
	}
	if f.Target != "" {
		sum = append(sum, r.T("page.plan.target", "amount", r.With(f.Target, f.Unit)))
	}
	add("page.plan.spread", f.Spread)
	add("page.plan.mean", f.Mean)
	add("page.plan.within", f.Within)
	sum = append(sum, r.or("page.plan.proof."+strings.ReplaceAll(f.Proof, " ", "-"), f.Proof))
	add("page.plan.gap", f.Gap)
	v.Sum = strings.Join(sum, " · ")
	for _, n := range f.Notes {
		v.Notes = append(v.Notes, c.planSay(r, n))
	}
	for _, x := range f.Choices {
		n := PlanRow{Place: Link{Href: AtHref(c.id(), x.Position, ""), Text: c.Place(r, x.Position)}, Why: c.planSay(r, x.Why)}
		for _, q := range x.Parts {
			n.Parts = append(n.Parts, c.chosenPart(r, q))
		}
		if x.Value != "" {
			n.Value = r.number(x.Value, f.Unit)
		}
		if x.Verdict != "" {
			n.Plate, n.Chance = r.plate(plot.Verdict(x.Verdict)), r.Num(x.Chance)
		}
		if x.Lo != nil || x.Hi != nil {
			y := x.SI
			b := plot.LimitBar{Verdict: plot.Verdict(x.Verdict), Min: x.Lo, Max: x.Hi, Value: &y, U: x.Whisker, Guard: x.Guard}
			b.Labels.Title = n.Place.Text + ": " + r.With(x.Value, f.Unit)
			n.Bar, v.Bars = Drawing(b.RowSVG()), true
		}
		if x.Instead != nil {
			n.Instead = c.planSay(r, *x.Instead)
		}
		if len(x.Waits) > 0 {
			n.Waits = r.T("page.plan.waits", "readings", c.names(r, strings.Join(x.Waits, ", ")))
		}
		v.Rows = append(v.Rows, n)
	}
	return v
}

// chosenPart names one part with its size and where it comes from.
func (c *Case) chosenPart(r Reader, q plan.Chosen) string {
	name := q.ID
	if q.From == plan.FromEngine {
		if _, ok := c.Layout.Find(q.ID); ok {
			name = c.Place(r, q.ID)
		} else {
			name = c.Part(r, q.ID)
		}
	}
	out := r.T("page.plan.part", "role", r.or("page.plan.role."+q.Role, q.Role), "name", name, "from", r.T("page.plan.from."+q.From))
	if q.Size != "" {
		out += ", " + r.Text(q.Size)
	}
	return out
}

func (c *Case) planPurchase(r Reader, p *plan.Plan, v *Plan) {
	b := &p.Purchase
	of := func(fits []string) string {
		var out []string
		for _, f := range fits {
			out = append(out, c.aboutFit(r, f))
		}
		return strings.Join(out, ", ")
	}
	days := func(low, high int) string {
		if low == high {
			return r.Int(high)
		}
		return r.T("page.range", "from", r.Int(low), "to", r.Int(high))
	}
	for _, l := range b.Lines {
		v.Purchase.Lines = append(v.Purchase.Lines, PlanLine{c.supplier(l.Supplier), c.article(r, l.Item), r.Int(l.Count), r.With(l.Price, b.Currency), days(l.DaysLow, l.DaysHigh), of(l.For)})
	}
	v.Purchase.Sum = r.T("page.plan.nothing-bought")
	if b.Total != "" {
		v.Purchase.Sum = r.With(b.Total, b.Currency)
		v.Purchase.Days = r.T("page.plan.days", "days", days(b.DaysLow, b.DaysHigh), "carriage", r.With(b.Carriage, b.Currency))
	}
	if n := len(b.Missing); n > 0 {
		v.Purchase.Sum = r.T("page.plan.and-missing", "total", v.Purchase.Sum, "n", r.Int(n))
	}
	for _, s := range b.Suppliers {
		key := "page.plan.without"
		if s.Without == "" {
			key = "page.plan.without.none"
		}
		v.Purchase.Without = append(v.Purchase.Without, r.T(key, "supplier", c.supplier(s.Supplier), "total", r.With(s.Without, b.Currency)))
	}
	for _, m := range b.Missing {
		v.Purchase.Missing = append(v.Purchase.Missing, r.T("page.plan.missing", "n", r.Int(m.Count), "item", c.article(r, m.Item), "for", of(m.For)))
	}
	for _, t := range b.Shelf {
		v.Purchase.Shelf = append(v.Purchase.Shelf, r.T("page.plan.taken", "n", r.Int(t.Count), "part", t.Part, "for", of([]string{t.For})))
	}
}

func (c *Case) supplier(id string) string {
	if c.Shop != nil {
		if s, ok := c.Shop.Suppliers[id]; ok {
			return s.Name
		}
	}
	return id
}

// article is an article in words: its part, class, half, step and size.
func (c *Case) article(r Reader, item string) string {
	words := strings.Split(item, ":")
	if len(words) < 2 {
		return c.nameOf(r, item)
	}
	kind, rest := words[0], words[2:]
	if kind == "other" && len(rest) > 0 {
		kind, rest = rest[0], rest[1:]
	}
	if k, ok := stock.KindOf(kind); ok && k.Goes != "" {
		kind = k.Goes
	}
	out := []string{c.nameOf(r, kind)}
	for _, w := range rest {
		if w != "" {
			out = append(out, r.or("page.plan.role."+w, r.Text(strings.Replace(w, "mm", " mm", 1))))
		}
	}
	return strings.Join(out, " ")
}

// names is a list of ids in words.
func (c *Case) names(r Reader, ids string) string {
	list := strings.Split(ids, ", ")
	for i, id := range list {
		list[i] = c.nameOf(r, id)
	}
	return strings.Join(list, ", ")
}

// nameOf is an id in words: a position, a characteristic, a part.
func (c *Case) nameOf(r Reader, id string) string {
	if _, ok := c.Layout.Find(id); ok {
		return c.Place(r, id)
	}
	if rest, ok := strings.CutPrefix(id, "cyl/"); ok {
		return c.where(r, []string{"cyl"}, []string{rest})
	}
	for i := range c.Layout.Family.Characteristics {
		if ch := &c.Layout.Family.Characteristics[i]; ch.ID == id {
			return ch.Name.In(r.Lang)
		}
	}
	if c.has(id) {
		return c.Part(r, id)
	}
	return id
}

// planSay is a sentence of a plan: ids in it become words.
func (c *Case) planSay(r Reader, s assess.Say) string {
	var pairs []string
	cat := c.Library.Routes()
	for k, v := range s.Args {
		switch k {
		case "place", "places", "reading", "readings", "governs", "part":
			v = c.names(r, v)
		case "fit":
			v = c.aboutFit(r, v)
		case "group":
			v = r.or("page.group."+v, v)
		case "from":
			v = r.or("page.plan.shim."+v, v)
		case "severity":
			v = r.or("page.severity."+v, v)
		case "breaks":
			words := strings.Split(v, ", ")
			for i, w := range words {
				words[i] = r.or("page.plan.breaks."+w, w)
			}
			v = strings.Join(words, ", ")
		case "route":
			if x, ok := cat.Route(v); ok {
				v = x.Name.In(r.Lang)
			}
		case "use":
			if x, ok := cat.Use(v); ok {
				v = x.Name.In(r.Lang)
			}
		case "item":
			v = c.article(r, v)
		case "upper", "lower", "gasket", "what":
		default:
			v = r.Text(v)
		}
		pairs = append(pairs, k, v)
	}
	return r.T(s.Key, pairs...)
}
