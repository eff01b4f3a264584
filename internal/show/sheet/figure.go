package sheet

import (
	"fmt"
	"math"
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

func alongAxis(dim *family.Dim, only []string) plot.Axis {
	a := plot.Axis{Min: math.Inf(1), Max: math.Inf(-1)}
	for _, v := range dim.Values {
		z := dim.At[v][2]
		a.Min, a.Max = min(a.Min, z), max(a.Max, z)
		a.Ticks = append(a.Ticks, plot.Tick{At: z, Label: v})
	}
	room := (a.Max - a.Min) * 0.12
	a.Min, a.Max = a.Min-room, a.Max+room
	return a
}

// along makes a level profile of heights along a part: a tunnel, a shaft.
func (d drawer) along(ch *family.Characteristic) []figure {
	var out []figure
	for _, i := range d.c.Layout.Of(ch.ID) {
		pl := &d.c.Layout.Places[i]
		z, x := pl.In[0].Places, given(pl, 1)
		if len(z) == 0 || len(x) != len(z) {
			continue
		}
		span := newSpan()
		axis := plot.Axis{Min: math.Inf(1), Max: math.Inf(-1)}
		var t plot.Trace
		for k, at := range z {
			q := &d.c.Layout.Places[at]
			label := strings.Join(q.At, "/")
			if len(q.At) > 0 {
				label = q.At[len(q.At)-1]
				for j, dim := range q.Char.Per {
					if strings.HasPrefix(x[k].Ref, dim+"/") {
						label = q.At[j]
					}
				}
			}
			axis.Min, axis.Max = min(axis.Min, x[k].Value), max(axis.Max, x[k].Value)
			axis.Ticks = append(axis.Ticks, plot.Tick{At: x[k].Value, Label: label})
			s := plot.Station{At: x[k].Value, Verdict: plot.Unmeasured}
			if v := d.latest(at); v != nil {
				y := micro(v.SI)
				s.Value, s.U, s.Verdict = &y, expanded(v), verdictOf(v)
				span.add(y-s.U, y+s.U)
			}
			t.Stations = append(t.Stations, s)
		}
		if !span.some() {
			continue
		}
		room := (axis.Max - axis.Min) * 0.06
		axis.Min, axis.Max = axis.Min-room, axis.Max+room
		p := plot.Profile{Along: axis, Across: d.micrometres(span, d.r.T("sheet.plot.height"), 4), Traces: []plot.Trace{t}}
		out = append(out, figure{name: fileName("alignment", pl.ID), title: d.titled(pl), component: ch.Component(), draw: p.Draw})
	}
	return out
}

// given is the figures that a symbol is bound to, by coordinates.
func given(p *family.Place, k int) []family.Given {
	if k < len(p.In) {
		return p.In[k].Given
	}
	return nil
}

// over makes a map of the heights of a face.
func (d drawer) over(ch *family.Characteristic) []figure {
	var out []figure
	for _, i := range d.c.Layout.Of(ch.ID) {
		pl := &d.c.Layout.Places[i]
		z, x, y := pl.In[0].Places, given(pl, 1), given(pl, 2)
		if len(z) == 0 || len(x) != len(z) || len(y) != len(z) {
			continue
		}
		m := plot.FlatMap{}
		x0, x1, y0, y1 := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
		for k, at := range z {
			x0, x1, y0, y1 = min(x0, x[k].Value), max(x1, x[k].Value), min(y0, y[k].Value), max(y1, y[k].Value)
			if v := d.latest(at); v != nil {
				m.Full = max(m.Full, math.Abs(v.SI))
				m.Spots = append(m.Spots, plot.Spot{X: x[k].Value, Y: y[k].Value, Height: v.SI, Figure: clean(d.r.Num(v.Y)), Verdict: verdictOf(v)})
			}
		}
		if len(m.Spots) == 0 || !(x1 > x0) || !(y1 > y0) {
			continue
		}
		edge := (y1 - y0) * 0.12
		m.Outline = []plot.Point{plot.Pt(x0-edge, y0-edge), plot.Pt(x1+edge, y0-edge), plot.Pt(x1+edge, y1+edge), plot.Pt(x0-edge, y1+edge)}
		m.Holes = d.holes(pl, x[0].Ref)
		out = append(out, figure{name: fileName("face", pl.ID), title: d.titled(pl) + ", " + z0unit(d.c.Layout, z), component: ch.Component(), draw: m.Draw})
	}
	return out
}

func z0unit(l *family.Layout, z []int) string { return l.Places[z[0]].Char.Unit }

// holes are the bores that open into a face whose places are those of the
// dimension face.
func (d drawer) holes(pl *family.Place, ref string) []plot.Hole {
	if !strings.HasPrefix(ref, "face/") {
		return nil
	}
	cyl := d.c.Layout.Dims["cyl"]
	var out []plot.Hole
	for _, v := range cyl.Values {
		mine := true
		for k, dim := range pl.Char.Per {
			if dim == "bank" {
				mine = contains(cyl.Touch["bank"][v], pl.At[k])
			}
		}
		if mine {
			out = append(out, plot.Hole{At: plot.Pt(cyl.At[v][0], 0), Radius: d.c.Layout.Family.Engine.Bore.SI() / 2})
		}
	}
	return out
}

// each sets one value a cylinder side by side.
func (d drawer) each(ch *family.Characteristic) []figure {
	places := d.c.Layout.Of(ch.ID)
	span := newSpan()
	p := plot.Profile{Along: plot.Axis{Min: 0.5, Max: float64(len(places)) + 0.5}}
	var t plot.Trace
	for k, i := range places {
		x := float64(k + 1)
		p.Along.Ticks = append(p.Along.Ticks, plot.Tick{At: x, Label: strings.Join(d.c.Layout.Places[i].At, "/")})
		s := plot.Station{At: x, Verdict: plot.Unmeasured}
		if v := d.latest(i); v != nil {
			y, u := v.SI, factor(v)*v.SU
			s.Value, s.U, s.Verdict, s.Label = &y, u, verdictOf(v), clean(d.r.Num(v.Y))
			span.add(y-u, y+u)
			if v.Limit != nil {
				p.Low, p.High = v.Limit.Lo, v.Limit.Hi
				for _, b := range []*float64{p.Low, p.High} {
					if b != nil {
						span.add(*b, *b)
					}
				}
			}
		}
		t.Stations = append(t.Stations, s)
	}
	if !span.some() {
		return nil
	}
	p.Traces = []plot.Trace{t}
	p.Across = d.axis(span, ch.Name.In(d.r.Lang), 4)
	return []figure{{name: fileName("each", ch.ID), title: ch.Name.In(d.r.Lang), component: ch.Component(), draw: p.Draw}}
}

func (d drawer) titled(pl *family.Place) string {
	s := d.c.Layout.Component(pl.Char.Component()).Name.In(d.r.Lang) + ", " + pl.Char.Name.In(d.r.Lang)
	if w := d.c.Where(d.r, pl); w != "" {
		s += ", " + w
	}
	return s
}

// micrometres is an axis over a span with its title.
func (d drawer) micrometres(s *span, title string, ticks int) plot.Axis {
	return d.axis(s, title+" µm", ticks)
}

func (d drawer) axis(s *span, title string, ticks int) plot.Axis {
	lo, hi := s.padded()
	return plot.Axis{Min: lo, Max: hi, Title: title, Ticks: plot.Ticks(lo, hi, ticks, func(v float64, decimals int) string {
		return clean(d.r.Num(fmt.Sprintf("%.*f", decimals, v)))
	})}
}

// span gathers how far an axis must reach.
type span struct{ lo, hi float64 }

func newSpan() *span { return &span{math.Inf(1), math.Inf(-1)} }

func (s *span) add(lo, hi float64) { s.lo, s.hi = min(s.lo, lo), max(s.hi, hi) }

func (s *span) some() bool { return s.hi >= s.lo }

func (s *span) padded() (lo, hi float64) {
	if !s.some() {
		return -1, 1
	}
	room := max((s.hi-s.lo)*0.08, 1e-9, math.Abs(s.hi)*1e-6)
	return s.lo - room, s.hi + room
}

// limits are a value's bounds as deviations from the nominal; they widen the
// span so that they can be seen.
func (s *span) limits(v *assess.Value, nominal float64) (lo, hi *float64) {
	if v.Limit == nil {
		return nil, nil
	}
	for _, b := range []struct {
		from *float64
		to   **float64
	}{{v.Limit.Lo, &lo}, {v.Limit.Hi, &hi}} {
		if b.from != nil {
			y := micro(*b.from - nominal)
			*b.to = &y
			s.add(y, y)
		}
	}
	return lo, hi
}

// micro places a length in metres on an axis in micrometres.
func micro(m float64) float64 { return unit.FromSI(m, "µm") }

// factor is the coverage factor of a value's whisker.
func factor(v *assess.Value) float64 {
	var k float64
	if _, err := fmt.Sscan(v.K, &k); err != nil {
		return 0
	}
	return k
}

func expanded(v *assess.Value) float64 { return micro(factor(v) * v.SU) }

// verdictOf is the mark of a value; one without limits has a plain mark.
func verdictOf(v *assess.Value) plot.Verdict {
	if v.Verdict == "" {
		return plot.Accept
	}
	return plot.Verdict(v.Verdict)
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
