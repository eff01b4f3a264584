package sheet

import (
	"fettle/internal/know/family"
	"fettle/internal/show/plot"
)

// over makes a map of a face: its heights about the minimum-zone plane, lines of
// equal height, the high spot and the low one.
func (d drawer) over(ch *family.Characteristic) []figure {
	var out []figure
	for _, i := range d.c.Layout.Of(ch.ID) {
		v := d.latest(i)
		if v == nil {
			continue
		}
		m, ok := d.c.Assessment.FaceMap(v)
		if !ok {
			continue
		}
		plan := d.c.FacePlan(d.r, &m)
		for k := range plan.Spots {
			plan.Spots[k].Figure = clean(plan.Spots[k].Figure)
		}
		for k := range plan.Contours {
			plan.Contours[k].Label = clean(plan.Contours[k].Label)
		}
		pl := &d.c.Layout.Places[i]
		out = append(out, figure{name: fileName("face", pl.ID), title: d.titled(pl) + ", " + m.Unit, component: ch.Component(), high: 150,
			draw: func(c plot.Canvas, at plot.Point, w, h float64) { plan.Draw(c, at, w, h) }})
	}
	return out
}
