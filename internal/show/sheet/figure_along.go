package sheet

import (
	"math"
	"strings"

	"fettle/internal/know/family"
	"fettle/internal/show/plot"
)

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
