package sheet

import (
	"strings"

	"fettle/internal/base/unit"
	"fettle/internal/judge/assess"
	"fettle/internal/know/family"
	"fettle/internal/show/plot"
	"fettle/internal/show/view"
)

// figure is one plot of an assessment: it is printed on the sheet of its
// component and written as a file of its own.
type figure struct {
	name      string // of its file, without the ending
	title     string
	short     string // beside others of its kind, under their common name
	kind      string
	component string
	narrow    bool // stands beside others of its kind
	draw      func(c plot.Canvas, at plot.Point, w, h float64)
	high      float64 // in a column; 0 takes the usual height
}

// drawer finds what can be plotted in a family's own words: it knows relations
// and dimensions, never an engine.
type drawer struct {
	c *view.Case
	r view.Reader
}

// figures lists the plots of one component, "" of all.
func (d drawer) figures(component string) []figure {
	var out []figure
	l := d.c.Layout
	for i := range l.Family.Characteristics {
		ch := &l.Family.Characteristics[i]
		if component != "" && ch.Component() != component {
			continue
		}
		switch ch.Relation {
		case "":
			out = append(out, d.down(ch)...)
		case "straightness":
			out = append(out, d.along(ch)...)
		case "flatness":
			out = append(out, d.over(ch)...)
		}
		if component == "" {
			out = append(out, d.settings(ch)...)
		}
	}
	return out
}

// settings lists the plots of a characteristic that is a setting.
func (d drawer) settings(ch *family.Characteristic) []figure {
	if ch.Relation == "compression-ratio" {
		return d.each(ch)
	}
	return nil
}

// latest is the value of a place in its last state that has one.
func (d drawer) latest(place int) *assess.Value {
	var out *assess.Value
	p := &d.c.Layout.Places[place]
	if v, ok := d.c.Assessment.Find(p.ID, "found"); ok && v.Has {
		out = v
	}
	if s := d.c.LastState(p.Char.Component()); out == nil || s != "found" {
		if v, ok := d.c.Assessment.Find(p.ID, s); ok && v.Has {
			out = v
		}
	}
	return out
}

// down makes one upright profile a part where a machining size follows from a
// diameter at several heights: its deviation from the nominal in micrometres.
func (d drawer) down(ch *family.Characteristic) []figure {
	k := d.heights(ch)
	if k < 1 || ch.Target == "" || ch.Dim() != unit.Length || ch.Nominal.IsZero() {
		return nil
	}
	dim, nominal := d.c.Layout.Dims[ch.Per[k]], ch.Nominal.SI()
	byPart := map[string][]int{}
	var order []string
	for _, i := range d.c.Layout.Of(ch.ID) {
		at := d.c.Layout.Places[i].At[0]
		if byPart[at] == nil {
			order = append(order, at)
		}
		byPart[at] = append(byPart[at], i)
	}
	span := newSpan()
	var out []figure
	for _, at := range order {
		p := plot.Profile{Upright: true}
		p.Along = alongAxis(dim, ch.Only[ch.Per[k]])
		traces := map[string]int{}
		some := false
		for _, i := range byPart[at] {
			pl := &d.c.Layout.Places[i]
			rest := strings.Join(append(append([]string(nil), pl.At[1:k]...), pl.At[k+1:]...), "/")
			t, ok := traces[rest]
			if !ok {
				t = len(p.Traces)
				traces[rest] = t
				p.Traces = append(p.Traces, plot.Trace{Label: rest})
			}
			s := plot.Station{At: dim.At[pl.At[k]][2], Verdict: plot.Unmeasured}
			if v := d.latest(i); v != nil {
				y := micro(v.SI - nominal)
				s.Value, s.U, s.Verdict = &y, expanded(v), verdictOf(v)
				span.add(y-s.U, y+s.U)
				some = true
				p.Low, p.High = span.limits(v, nominal)
			}
			p.Traces[t].Stations = append(p.Traces[t].Stations, s)
		}
		if some {
			title := ch.Name.In(d.r.Lang) + ", " + d.c.Index(d.r, ch.Per[0], at)
			out = append(out, figure{name: fileName("profile", ch.ID, at), title: title, short: d.c.Index(d.r, ch.Per[0], at), kind: ch.Name.In(d.r.Lang), component: ch.Component(), narrow: true, draw: p.Draw})
		}
		if n := len(out); some {
			q := p
			out[n-1].draw = func(c plot.Canvas, at plot.Point, w, h float64) {
				q.Across = d.micrometres(span, d.r.T("sheet.plot.deviation"), 3)
				q.Draw(c, at, w, h)
			}
		}
	}
	return out
}

// heights finds the dimension of a pattern whose places differ in height.
func (d drawer) heights(ch *family.Characteristic) int {
	for k, name := range ch.Per {
		seen := map[float64]bool{}
		dim := d.c.Layout.Dims[name]
		for _, v := range dim.Values {
			if at, ok := dim.At[v]; ok {
				seen[at[2]] = true
			}
		}
		if len(seen) > 1 && len(seen) == len(dim.Values) {
			return k
		}
	}
	return -1
}

func (d drawer) titled(pl *family.Place) string {
	s := d.c.Layout.Component(pl.Char.Component()).Name.In(d.r.Lang) + ", " + pl.Char.Name.In(d.r.Lang)
	if w := d.c.Where(d.r, pl); w != "" {
		s += ", " + w
	}
	return s
}

// fileName joins parts into a name that every file system takes.
func fileName(parts ...string) string {
	s := strings.Join(parts, "-")
	return strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z', r >= 'A' && r <= 'Z', r >= '0' && r <= '9', r == '-', r == '_', r == '.':
			return r
		}
		return '-'
	}, s)
}
