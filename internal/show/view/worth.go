package view

import (
	"fmt"
	"strings"

	"fettle/internal/judge/assess"
	"fettle/internal/show/plot"
)

// Worth is what a value is worth: how far it reaches, what its causes do to it
// together, how it is spread, what would help.
type Worth struct {
	Between  string // from … to …, in words
	Standard string // the standard's words for it
	Acts     []Helps
	Shared   []Common
	More     string // shared causes that are not listed
	Picture  Drawing
	Drawn    string // what the picture says
	Curved   string // why the picture is not the plain bell
}

// Helps is one act with its chance of deciding.
type Helps struct{ Text, Chance string }

// Common is a cause that comes in by more than one input.
type Common struct {
	Cause   string
	Through string
	Effect  string // cancels, partly, adds
	Word    string
	Net     string
}

// mostShared is how many shared causes a page names; faint is the weight below
// which they are only counted.
const (
	mostShared = 6
	faintest   = 0.05
)

func (c *Case) worth(r Reader, v *assess.Value) Worth {
	var w Worth
	if low, high, ok := c.Assessment.Interval(v); ok {
		w.Between = r.T("page.at.between", "low", r.Num(low), "high", r.With(high, v.Unit))
		w.Standard = r.T("page.at.between.standard", "k", r.Num(v.K), "dof", r.Num(v.Dof))
	}
	for i := range v.Acts {
		a := &v.Acts[i]
		w.Acts = append(w.Acts, Helps{c.Say(r, &a.Say), r.T("page.at.acts.chance", "p", r.With(percent(a.Chance), "%"))})
	}
	c.shared(r, v, &w)
	c.picture(r, v, &w)
	return w
}

// percent writes a decimal of 0 to 1 with the point moved two places.
func percent(s string) string {
	whole, part, _ := strings.Cut(s, ".")
	part += "00"
	out := strings.TrimLeft(whole+part[:2], "0")
	if rest := strings.TrimRight(part[2:], "0"); rest != "" {
		if out == "" {
			out = "0"
		}
		return out + "." + rest
	}
	if out == "" {
		return "0"
	}
	return out
}

func (c *Case) shared(r Reader, v *assess.Value, w *Worth) {
	more := 0
	for _, s := range c.Assessment.Shared(v) {
		if s.Weight < faintest || len(w.Shared) == mostShared {
			more++
			continue
		}
		net := r.With(plus(s.Net), v.UUnit)
		if s.Effect == assess.Cancels {
			net = "" // what is left is next to nothing
		}
		w.Shared = append(w.Shared, Common{Cause: c.cause(r, s.Cause, s.Ref), Through: c.through(r, s.Through, v.UUnit), Effect: string(s.Effect),
			Word: r.T("page.at.shared." + string(s.Effect)), Net: net})
	}
	if more > 0 && len(w.Shared) > 0 {
		w.More = r.N("page.at.shared.more", more)
	}
}

func plus(s string) string {
	if strings.Trim(s, "0.") == "" || s[0] == '-' {
		return s // nothing, nought, below it
	}
	return "+" + s
}

// mostRoutes is how many ways in are named one by one.
const mostRoutes = 4

// through says by which inputs a cause comes in; inputs of one characteristic
// that bring in the same stand together.
func (c *Case) through(r Reader, routes []assess.Route, unit string) string {
	type way struct {
		by, name, one string
		n             int
	}
	var ways []way
	at := map[string]int{}
	for _, x := range routes {
		name := c.Place(r, x.Position)
		if p := c.place(x.Position); p != nil {
			name = p.Char.Name.In(r.Lang)
		}
		key := x.By + "\x00" + name
		if i, ok := at[key]; ok {
			ways[i].n++
			continue
		}
		at[key] = len(ways)
		ways = append(ways, way{r.With(plus(x.By), unit), name, c.Place(r, x.Position), 1})
	}
	var out []string
	for i, k := range ways {
		if i == mostRoutes {
			out = append(out, r.N("page.at.shared.ways", len(ways)-i))
			break
		}
		if k.n > 1 {
			out = append(out, r.T("page.at.shared.each", "n", r.Int(k.n), "by", k.by, "name", k.name))
		} else {
			out = append(out, r.T("page.at.shared.one", "by", k.by, "place", k.one))
		}
	}
	return strings.Join(out, "; ")
}

func (c *Case) picture(r Reader, v *assess.Value, w *Worth) {
	s, ok := c.Assessment.Spread(v)
	if !ok {
		return
	}
	p := plot.Spread{From: s.From, To: s.To, Bars: s.Bars, Low: s.Lo, High: s.Hi, Value: s.Y}
	lo, hi := s.From, s.To
	reach := hi - lo
	if s.Lo != nil && *s.Lo < lo && lo-*s.Lo < reach {
		lo = *s.Lo
	}
	if s.Hi != nil && *s.Hi > hi && *s.Hi-hi < reach {
		hi = *s.Hi
	}
	lo, hi = lo-0.06*(hi-lo), hi+0.06*(hi-lo)
	u := s.Unit
	if u == "1" {
		u = ""
	}
	p.Across = plot.Axis{Min: lo, Max: hi, Title: u, Ticks: plot.Ticks(lo, hi, 6, func(x float64, decimals int) string {
		return plain(r.Num(fmt.Sprintf("%.*f", decimals, x)))
	})}
	p.Ends = [2]float64{s.LowAt, s.HighAt}
	p.Labels.Ends = plain(r.T("page.at.spread.ends", "low", r.Num(s.Low), "high", r.With(s.High, s.Unit)))
	if v.Limit != nil {
		p.Labels.Low, p.Labels.High = plain(r.bound(v.Limit.Min, "")), plain(r.bound(v.Limit.Max, ""))
	}
	w.Drawn = r.T("page.at.spread.drawn", "n", r.Int(s.Draws), "low", r.Num(s.Low), "high", r.With(s.High, s.Unit))
	if s.Within != "" {
		w.Drawn += " " + r.T("page.at.spread.within", "p", r.Num(s.Within))
	}
	if s.Curved {
		w.Curved = r.T("page.at.spread.curved")
	}
	w.Picture = Drawing(plot.Inline(plot.LargeWidth, plot.SpreadHeight, w.Drawn, func(cv plot.Canvas) { p.Draw(cv, plot.Point{}, plot.LargeWidth) }))
}
