package plot

// Sizes of a share bar.
const (
	ShareWidth  = 150.0
	ShareHeight = 18.0
)

// Share draws a probability on a line from none to all: a tick where it was
// before the evidence, a thick line to where it is now.
func Share(c Canvas, at Point, before, now float64) {
	const edge = 5.0
	w, y := ShareWidth-2*edge, at.Y+ShareHeight/2
	x := func(p float64) float64 { return at.X + edge + w*min(1, max(0, p)) }
	c.Line(Pt(x(0), y), Pt(x(1), y), Style{Stroke: InkThin, Line: Hair})
	for _, end := range []float64{0, 1} {
		c.Line(Pt(x(end), y-3), Pt(x(end), y+3), Style{Stroke: InkThin, Line: Narrow})
	}
	c.Line(Pt(x(0), y), Pt(x(now), y), Style{Stroke: InkAccent, Line: Heavy})
	c.Circle(Pt(x(now), y), 3, Style{Fill: InkAccent})
	c.Line(Pt(x(before), y-6), Pt(x(before), y+6), Style{Stroke: InkPen, Line: Narrow})
}
