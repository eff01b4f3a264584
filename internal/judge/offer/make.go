package offer

import (
	"math/big"
	"slices"
	"strconv"
	"time"

	"fettle/internal/base/fault"
	"fettle/internal/base/money"
	"fettle/internal/facts/shop"
)

// draws is how often hours, lead times and prices are drawn. The share of draws
// below a fifth or a half is then within 2 in 100 of its limit (three standard
// errors of a share, √(p(1-p)/4096) < 0.8 %).
const draws = 4096

// seed starts the draws; together with the name of a thing it fixes them, so
// that the same work meets the same luck in every option.
const seed = 20250

// Bounds of one route.
const (
	mostWork    = 400
	mostParts   = 1000
	mostMinutes = 100_000
	mostDays    = 1000
)

// Make prices the routes of a job and dates them.
//
// Shapes: one to four routes -> as many options.
// Units:  minutes, days, the currency of the terms.
// Errors: offer.* where work waits for something that is not there or for
// itself, where a price has another currency, where bounds are crossed.
// Source: doc/model/offer.md.
func Make(in Input) (*Offer, error) { return quote(in, draws) }

func quote(in Input, n int) (*Offer, error) {
	from, err := time.Parse(time.DateOnly, in.From)
	if err != nil {
		return nil, fault.New(fault.Invalid, "offer.from", "found", in.From)
	}
	if len(in.Routes) < 1 || len(in.Routes) > 4 {
		return nil, fault.New(fault.Invalid, "offer.routes", "found", strconv.Itoa(len(in.Routes)))
	}
	t := &in.Terms
	o := &Offer{Format: "offer/1", Currency: t.Money, Rounding: t.Rule, TaxName: t.TaxName, TaxRate: t.Percent, From: in.From, Draws: n}
	days, err := calendarFrom(t, from)
	if err != nil {
		return nil, err
	}
	luck := newLuck(n, t.Common)
	for i := range in.Routes {
		opt, err := price(t, &in.Routes[i])
		if err != nil {
			return nil, err
		}
		net, err := schedule(t, &in.Routes[i], days, luck, &opt)
		if err != nil {
			return nil, err
		}
		if err := opt.likely(t, net); err != nil {
			return nil, err
		}
		o.Options = append(o.Options, opt)
	}
	mark(o.Options)
	return o, nil
}

// price makes the lines of a route and adds them up.
func price(t *shop.Terms, r *Route) (Option, error) {
	opt := Option{ID: r.ID, Name: r.Name, What: r.What, Declined: slices.Clone(r.Declined), Open: slices.Clone(r.Open)}
	if len(r.Work) > mostWork || len(r.Parts) > mostParts {
		return opt, fault.New(fault.TooLarge, "offer.too-many", "route", r.ID)
	}
	for i := range r.Work {
		w := &r.Work[i]
		if w.Low < 0 || w.Low > w.High || w.High > mostMinutes || w.AloneLow < 0 || w.AloneLow > w.AloneHigh || w.AloneHigh > mostMinutes || w.DaysLow < 0 || w.DaysLow > w.DaysHigh || w.DaysHigh > mostDays {
			return opt, fault.New(fault.Invalid, "offer.work", "route", r.ID, "work", w.ID)
		}
		if w.High > 0 {
			if err := opt.labour(t, w); err != nil {
				return opt, err
			}
		}
		if !w.PriceHigh.IsZero() {
			l := Line{ID: w.ID, Kind: Outside, Name: w.Name, Days: [2]int{w.DaysLow, w.DaysHigh}, Why: w.Why}
			if err := opt.line(t, l, w.PriceLow, w.PriceHigh); err != nil {
				return opt, err
			}
		}
	}
	for i := range r.Parts {
		p := &r.Parts[i]
		if p.Count < 1 || p.Count > 10_000 || p.DaysLow < 0 || p.DaysLow > p.DaysHigh || p.DaysHigh > mostDays {
			return opt, fault.New(fault.Invalid, "offer.part", "route", r.ID, "part", p.ID)
		}
		l := Line{ID: p.ID, Kind: Parts, Name: p.Name, Count: p.Count, Supplier: p.Supplier, Days: [2]int{p.DaysLow, p.DaysHigh}, Why: p.Why}
		low, err := p.EachLow.Times(big.NewRat(int64(p.Count), 1), t.Rule)
		if err != nil {
			return opt, err
		}
		high, err := p.EachHigh.Times(big.NewRat(int64(p.Count), 1), t.Rule)
		if err != nil {
			return opt, err
		}
		if err := opt.line(t, l, low, high); err != nil {
			return opt, err
		}
	}
	for _, l := range r.Limits {
		if !(l.Chance >= 0 && l.Chance <= 1) {
			opt.Unknown++
			continue
		}
		opt.Limits = append(opt.Limits, Chance{l.Position, int(l.Chance * 1000)})
	}
	slices.SortStableFunc(opt.Limits, func(a, b Chance) int { return a.Thousand - b.Thousand })
	return opt, opt.sums(t)
}

// labour is a line of hours at a machine.
func (o *Option) labour(t *shop.Terms, w *Work) error {
	rate := t.Rate(w.Machine)
	low, err := rate.Times(big.NewRat(int64(w.Low), 60), t.Rule)
	if err != nil {
		return err
	}
	high, err := rate.Times(big.NewRat(int64(w.High), 60), t.Rule)
	if err != nil {
		return err
	}
	return o.line(t, Line{ID: w.ID, Kind: Labour, Name: w.Name, Machine: w.Machine, Minutes: [2]int{w.Low, w.High}, Why: w.Why}, low, high)
}

// line adds a line with its tax.
func (o *Option) line(t *shop.Terms, l Line, low, high money.Amount) error {
	for _, a := range []money.Amount{low, high} {
		if a.Currency() != t.Money || a.Sign() < 0 {
			return fault.New(fault.Invalid, "offer.price", "route", o.ID, "line", l.ID, "found", a.String(), "currency", string(t.Money))
		}
	}
	if n, err := low.Compare(high); err != nil || n > 0 {
		return fault.New(fault.Invalid, "offer.price", "route", o.ID, "line", l.ID, "found", low.String()+" – "+high.String(), "currency", string(t.Money))
	}
	l.Net = Range{low, high}
	var err error
	if l.Tax.Low, err = t.Percent.Of(low, t.Rule); err != nil {
		return err
	}
	if l.Tax.High, err = t.Percent.Of(high, t.Rule); err != nil {
		return err
	}
	l.floatLow, l.floatHigh = low.Float(), high.Float()
	o.Lines = append(o.Lines, l)
	return nil
}

// sums adds the lines and takes the deposit.
func (o *Option) sums(t *shop.Terms) error {
	if err := o.total(t.Money); err != nil {
		return err
	}
	var err error
	o.Deposit, err = t.Share.Of(o.Gross.Low, t.Rule)
	return err
}

// total adds the lines, exactly.
func (o *Option) total(c money.Currency) error {
	zero := Range{money.Zero(c), money.Zero(c)}
	o.Net, o.Tax, o.Labour = zero, zero, nil
	for i := range o.Lines {
		l := &o.Lines[i]
		if err := o.Net.add(l.Net); err != nil {
			return err
		}
		if err := o.Tax.add(l.Tax); err != nil {
			return err
		}
		if l.Kind != Labour {
			continue
		}
		at := slices.IndexFunc(o.Labour, func(h Hours) bool { return h.Machine == l.Machine })
		if at < 0 {
			at = len(o.Labour)
			o.Labour = append(o.Labour, Hours{Machine: l.Machine, Net: zero})
		}
		h := &o.Labour[at]
		h.Minutes[0] += l.Minutes[0]
		h.Minutes[1] += l.Minutes[1]
		if err := h.Net.add(l.Net); err != nil {
			return err
		}
	}
	o.Gross = o.Net
	return o.Gross.add(o.Tax)
}

// add adds another range to r.
func (r *Range) add(b Range) (err error) {
	if r.Low, err = r.Low.Plus(b.Low); err != nil {
		return err
	}
	r.High, err = r.High.Plus(b.High)
	return err
}

// mark says of each line whether it is the same in all options.
func mark(options []Option) {
	for i := range options {
		for j := range options[i].Lines {
			l := &options[i].Lines[j]
			for k := range options {
				l.Differs = l.Differs || !options[k].has(l)
			}
		}
	}
}

// has says whether an option has the same line.
func (o *Option) has(l *Line) bool {
	return slices.ContainsFunc(o.Lines, func(m Line) bool {
		return m.ID == l.ID && m.Kind == l.Kind && m.Machine == l.Machine && m.Minutes == l.Minutes && m.Count == l.Count && m.Supplier == l.Supplier &&
			m.Days == l.Days && m.Net.Low.String() == l.Net.Low.String() && m.Net.High.String() == l.Net.High.String()
	})
}
