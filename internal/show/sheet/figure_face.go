package sheet

import (
	"math"
	"strings"

	"fettle/internal/know/family"
	"fettle/internal/show/plot"
)

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
