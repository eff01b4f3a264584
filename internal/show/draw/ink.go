package draw

import (
	"math"

	"fettle/internal/show/plot"
)

func edge() plot.Style   { return plot.Style{Stroke: plot.InkPen, Line: plot.Wide} }
func fine() plot.Style   { return plot.Style{Stroke: plot.InkPen, Line: plot.Narrow} }
func faint() plot.Style  { return plot.Style{Stroke: plot.InkThin, Line: plot.Hair} }
func hidden() plot.Style { return plot.Style{Stroke: plot.InkThin, Line: plot.Dashed} }
func solid() plot.Style {
	return plot.Style{Fill: plot.InkGround, Stroke: plot.InkPen, Line: plot.Wide}
}

// cut draws a face of cut metal.
func cut(c plot.Canvas, p *plot.Path, angle float64) {
	c.Path(p, plot.Style{Fill: plot.InkGround})
	plot.Hatch(c, p, plot.Hatching{Angle: angle, Spacing: 5})
	c.Path(p, edge())
}

// round is a rectangle with rounded corners.
func round(x, y, w, h, r float64) *plot.Path {
	r = min(r, w/2, h/2)
	p := &plot.Path{}
	p.Arc(plot.Pt(x+w-r, y+r), r, -90, 0)
	p.Arc(plot.Pt(x+w-r, y+h-r), r, 0, 90)
	p.Arc(plot.Pt(x+r, y+h-r), r, 90, 180)
	return p.Arc(plot.Pt(x+r, y+r), r, 180, 270).Close()
}

// small is an index in thin letters.
func small(c plot.Canvas, at plot.Point, text string) {
	c.Text(at, plot.Text{S: text, Anchor: plot.Middle, Base: plot.CapMiddle, Ink: plot.InkThin, Halo: true})
}

// number is the index of a cylinder or journal.
func number(c plot.Canvas, at plot.Point, text string) {
	c.Text(at, plot.Text{S: text, Size: plot.SizeText, Weight: plot.Bold, Anchor: plot.Middle, Base: plot.CapMiddle, Halo: true})
}

// away is the point at a distance from another, at an angle clockwise from
// +x in degrees.
func away(c plot.Point, r, deg float64) plot.Point {
	sin, cos := math.Sincos(deg * math.Pi / 180)
	return c.Add(r*cos, r*sin)
}

// diameter writes the sign of a diameter before a figure; an empty figure
// stays empty.
func diameter(figure string) string {
	if figure == "" {
		return ""
	}
	return "Ø " + figure
}

// ring is the outline of a circle with a hole.
func ring(c plot.Point, outer, inner float64) *plot.Path {
	return plot.Disc(c, outer).Append(plot.Disc(c, inner))
}
