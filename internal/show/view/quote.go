package view

import (
	"strconv"
	"strings"

	"fettle/internal/base/money"
	"fettle/internal/judge/offer"
)

// Quote is the options of a job in words, for the page and for the sheet.
type Quote struct {
	Number string // "" while it is a draft
	Code   string
	Digest string
	On     string
	Until  string
	From   string
	File   string // address of its file, "" for a draft
	Names  []QuoteName
	Rows   []QuoteRow   // what the customer compares, a cell an option
	Groups []QuoteGroup // every line
	Undone []QuoteUndone
	Notes  []string // how all this is meant
}

// QuoteName is the head of a column.
type QuoteName struct{ ID, Name, What string }

// QuoteRow is one thing that is compared.
type QuoteRow struct {
	Head  string
	Main  bool // stands out
	Cells []QuoteCell
}

// QuoteCell is one option's word on it, with its doubt.
type QuoteCell struct{ Text, Small string }

// QuoteGroup is the lines of one kind.
type QuoteGroup struct {
	Name string
	Rows []QuoteLine
	Sum  bool
}

// QuoteLine is one line with its price in each option.
type QuoteLine struct {
	Name, Small string
	Differs     bool
	Cells       []string
}

// QuoteUndone is what an option leaves, and what follows from it.
type QuoteUndone struct {
	Name  string
	Items []QuoteRisk
	Open  []string
}

// QuoteRisk is one recommendation that is not taken.
type QuoteRisk struct {
	Title, Says, Taken string
	Act                bool
}

// money writes an amount with its thousands apart.
func (r Reader) money(a money.Amount) string {
	if a.IsZero() {
		return "–"
	}
	return r.apart(a.Number()) + narrow + string(a.Currency())
}

// about writes an amount without the decimals it does not have.
func (r Reader) about(a money.Amount) string {
	whole, part, _ := strings.Cut(a.Number(), ".")
	if strings.Trim(part, "0") != "" {
		return r.money(a)
	}
	return r.apart(whole) + narrow + string(a.Currency())
}

// apart sets the thousands of a decimal apart.
func (r Reader) apart(number string) string {
	whole, part, _ := strings.Cut(strings.TrimPrefix(number, "-"), ".")
	n, err := strconv.Atoi(whole)
	if err != nil {
		return r.Num(number)
	}
	s := r.Int(n)
	if part != "" {
		s += string(r.mark()) + part
	}
	if strings.HasPrefix(number, "-") {
		return "−" + s
	}
	return s
}

func (r Reader) mark() byte {
	if r.Mark == ',' {
		return ','
	}
	return '.'
}

// span writes a range of amounts, one amount where they are the same.
func (r Reader) span(a offer.Range) string {
	if a.Low.String() == a.High.String() {
		return r.money(a.Low)
	}
	return r.T("page.range", "from", r.apart(a.Low.Number()), "to", r.money(a.High))
}

// spanOfHours writes a range of minutes in hours.
func (r Reader) spanOfHours(m [2]int) string {
	low, high := offer.HoursText(m[0]), offer.HoursText(m[1])
	if low == high {
		return r.With(high, "h")
	}
	return r.T("page.range", "from", r.Num(low), "to", r.With(high, "h"))
}

// days writes a range of days.
func (r Reader) days(d [2]int) string {
	if d[0] == d[1] {
		return r.N("page.quote.days", d[1])
	}
	return r.N("page.quote.days.range", d[1], "from", r.Int(d[0]))
}

// Quote says an offer in words.
func (c *Case) Quote(r Reader, o *offer.Offer) Quote {
	q := Quote{From: o.From}
	for i := range o.Options {
		opt := &o.Options[i]
		q.Names = append(q.Names, QuoteName{opt.ID, opt.Name.In(r.Lang), opt.What.In(r.Lang)})
	}
	row := func(key string, main bool, say func(*offer.Option) QuoteCell) {
		v := QuoteRow{Head: r.T("page.quote." + key), Main: main}
		for i := range o.Options {
			v.Cells = append(v.Cells, say(&o.Options[i]))
		}
		q.Rows = append(q.Rows, v)
	}
	row("price", true, func(p *offer.Option) QuoteCell {
		return QuoteCell{r.T("page.quote.about", "amount", r.about(p.Likely)), r.T("page.quote.price.small", "p80", r.about(p.Safe))}
	})
	row("bounds", false, func(p *offer.Option) QuoteCell {
		return QuoteCell{r.span(p.Gross), r.T("page.quote.bounds.small", "tax", o.TaxName, "rate", r.With(o.TaxRate.String(), "%"))}
	})
	row("date", true, func(p *offer.Option) QuoteCell {
		return QuoteCell{r.T("page.quote.about", "amount", p.Date.Half), r.T("page.quote.date.small", "p80", p.Date.Four, "last", p.Date.Last)}
	})
	row("hangs", false, func(p *offer.Option) QuoteCell { return c.hangs(r, p) })
	row("labour", false, func(p *offer.Option) QuoteCell { return c.labour(r, p) })
	row("parts", false, func(p *offer.Option) QuoteCell { return c.bought(r, p) })
	row("limits", false, func(p *offer.Option) QuoteCell { return c.sure(r, p) })
	row("undone", false, func(p *offer.Option) QuoteCell {
		act := 0
		for i := range p.Declined {
			if p.Declined[i].Act {
				act++
			}
		}
		cell := QuoteCell{Text: r.N("page.quote.undone", len(p.Declined))}
		if act > 0 {
			cell.Small = r.N("page.quote.undone.act", act)
		}
		return cell
	})
	row("deposit", false, func(p *offer.Option) QuoteCell { return QuoteCell{r.money(p.Deposit), ""} })
	q.Groups = c.groups(r, o)
	for i := range o.Options {
		q.Undone = append(q.Undone, c.undone(r, &o.Options[i]))
	}
	for _, k := range []string{"price", "date", "sure", "tax", "rounding", "agree"} {
		q.Notes = append(q.Notes, r.T("page.quote.note."+k, "from", o.From, "draws", r.Int(o.Draws), "tax", o.TaxName, "rule", r.T("page.quote.rule."+string(o.Rounding))))
	}
	return q
}

// hangs names what has to be waited for and held the date up most often.
func (c *Case) hangs(r Reader, p *offer.Option) QuoteCell {
	var said []string
	for _, w := range p.Date.Waits {
		for i := range p.Lines {
			l := &p.Lines[i]
			if l.ID == w.ID && len(said) < 2 && w.Hundred > 0 && l.Kind != offer.Labour {
				said = append(said, r.T("page.quote.hangs.one", "name", l.Name.In(r.Lang), "n", r.Int(w.Hundred)))
				break
			}
		}
	}
	if len(said) == 0 {
		return QuoteCell{r.T("page.quote.hangs.none"), ""}
	}
	return QuoteCell{said[0], strings.Join(said[1:], "; ")}
}

// labour says the hours, all and by machine.
func (c *Case) labour(r Reader, p *offer.Option) QuoteCell {
	all := p.Minutes()
	var by []string
	for i := range p.Labour {
		h := &p.Labour[i]
		by = append(by, r.T("page.quote.by", "machine", c.machineWord(r, h.Machine), "hours", r.spanOfHours(h.Minutes)))
	}
	return QuoteCell{r.spanOfHours(all), strings.Join(by, "; ")}
}

// machineWord names a machine of the catalogue of operations.
func (c *Case) machineWord(r Reader, id string) string {
	if id == "" {
		return r.T("page.quote.by-hand")
	}
	return c.machine(r, id)
}

// bought says what parts cost and which comes last.
func (c *Case) bought(r Reader, p *offer.Option) QuoteCell {
	n, slow := 0, -1
	for i := range p.Lines {
		if l := &p.Lines[i]; l.Kind == offer.Parts {
			n++
			if l.Days[1] > 0 && (slow < 0 || l.Days[1] > p.Lines[slow].Days[1]) {
				slow = i
			}
		}
	}
	cell := QuoteCell{Text: r.N("page.quote.parts", n, "net", r.span(p.Bought()))}
	if slow >= 0 {
		l := &p.Lines[slow]
		cell.Small = r.T("page.quote.parts.slow", "name", l.Name.In(r.Lang), "days", r.days(l.Days))
	}
	if n := p.Unpriced(); n > 0 {
		cell.Small = strings.TrimSpace(r.N("page.quote.parts.unpriced", n) + " " + cell.Small)
	}
	return cell
}

// sure says how sure the limits are.
func (c *Case) sure(r Reader, p *offer.Option) QuoteCell {
	if len(p.Limits) == 0 {
		return QuoteCell{r.T("page.quote.limits.none"), ""}
	}
	good := 0
	for _, l := range p.Limits {
		if l.Thousand >= 950 {
			good++
		}
	}
	cell := QuoteCell{Text: r.T("page.quote.limits.good", "n", r.Int(good), "of", r.Int(len(p.Limits)))}
	if l := p.Limits[0]; l.Thousand < 950 {
		cell.Small = r.T("page.quote.limits.least", "place", c.Place(r, l.Position), "sure", r.sure(l.Thousand))
	}
	if p.Unknown > 0 {
		cell.Small = strings.TrimSpace(cell.Small + " " + r.N("page.quote.limits.unknown", p.Unknown))
	}
	return cell
}

// sure says a chance in words with its frequency.
func (r Reader) sure(thousand int) string {
	key := "doubtful"
	switch {
	case thousand >= 990:
		key = "almost"
	case thousand >= 950:
		key = "very"
	case thousand >= 800:
		key = "likely"
	case thousand >= 500:
		key = "rather"
	}
	return r.T("page.quote.sure."+key, "n", r.Int(thousand/10))
}

// groups lays the lines of all options beside one another.
func (c *Case) groups(r Reader, o *offer.Offer) []QuoteGroup {
	var out []QuoteGroup
	for _, kind := range []string{offer.Labour, offer.Parts, offer.Outside} {
		g := QuoteGroup{Name: r.T("page.quote.kind." + kind)}
		at := map[string]int{}
		for i := range o.Options {
			for j := range o.Options[i].Lines {
				l := &o.Options[i].Lines[j]
				if l.Kind != kind {
					continue
				}
				k, ok := at[l.ID]
				if !ok {
					k = len(g.Rows)
					at[l.ID] = k
					cells := make([]string, len(o.Options))
					for n := range cells {
						cells[n] = "–"
					}
					g.Rows = append(g.Rows, QuoteLine{Name: l.Name.In(r.Lang), Small: c.lineSmall(r, l), Cells: cells})
				}
				g.Rows[k].Cells[i] = r.span(l.Net)
				g.Rows[k].Differs = g.Rows[k].Differs || l.Differs
			}
		}
		if len(g.Rows) > 0 {
			out = append(out, g)
		}
	}
	sums := QuoteGroup{Name: r.T("page.quote.sums"), Sum: true}
	for _, s := range []struct {
		key string
		of  func(*offer.Option) offer.Range
	}{{"net", func(p *offer.Option) offer.Range { return p.Net }}, {"tax", func(p *offer.Option) offer.Range { return p.Tax }}, {"gross", func(p *offer.Option) offer.Range { return p.Gross }}} {
		l := QuoteLine{Name: r.T("page.quote."+s.key, "tax", o.TaxName, "rate", r.With(o.TaxRate.String(), "%"))}
		for i := range o.Options {
			l.Cells = append(l.Cells, r.span(s.of(&o.Options[i])))
		}
		sums.Rows = append(sums.Rows, l)
	}
	return append(out, sums)
}

func (c *Case) lineSmall(r Reader, l *offer.Line) string {
	switch l.Kind {
	case offer.Labour:
		return joined(r.spanOfHours(l.Minutes), c.machineWord(r, l.Machine))
	case offer.Outside:
		return r.T("page.quote.away", "days", r.days(l.Days))
	}
	text := r.N("page.quote.pieces", l.Count)
	if l.Supplier == "" {
		return joined(text, r.T("page.quote.shelf"))
	}
	return joined(text, r.T("page.quote.comes", "supplier", l.Supplier, "days", r.days(l.Days)))
}

// undone says what an option leaves and what follows from it.
func (c *Case) undone(r Reader, p *offer.Option) QuoteUndone {
	u := QuoteUndone{Name: p.Name.In(r.Lang)}
	for i := range p.Declined {
		d := &p.Declined[i]
		k := QuoteRisk{Title: d.Title.In(r.Lang), Says: d.Says.In(r.Lang), Act: d.Act}
		for n := range c.Assessment.Findings {
			if f := &c.Assessment.Findings[n]; FindingRef(f) == d.Finding {
				k.Title, k.Says = c.findingTitle(r, f), c.fill(r, f.Entry.Leaving.In(r.Lang), f)
			}
		}
		var instead []string
		for _, w := range d.Instead {
			instead = append(instead, r.or("page.outcome."+w, w))
		}
		k.Taken = r.T("page.quote.taken", "taken", r.or("page.outcome."+d.Taken, d.Taken), "instead", strings.Join(instead, ", "))
		u.Items = append(u.Items, k)
	}
	for i := range p.Open {
		say := p.Open[i]
		if id := say.Args["operation"]; id != "" {
			say.Args = map[string]string{"operation": c.operationName(r, id)}
		}
		u.Open = append(u.Open, c.Say(r, &say))
	}
	return u
}

// Span is how many columns a table of the options has.
func (q Quote) Span() int { return len(q.Names) + 1 }

// operationName names an operation of the catalogue.
func (c *Case) operationName(r Reader, id string) string {
	if o := c.Library.Operations().Operation(id); o != nil {
		return o.Name.In(r.Lang)
	}
	return id
}
