package plot

import "math"

// Dimensions after ISO 129-1: thin lines, filled arrows, the figure above the
// line, read from the foot or the right of the sheet.

const (
	arrowLong  = 7.0
	arrowHalf  = 1.3
	dimGap     = 2.0 // between the edge and its extension line
	dimOverrun = 4.0 // of the extension line past the dimension line
)

var thinLine = Style{Stroke: InkThin, Line: Narrow}

// Arrowhead draws a filled arrow with its tip at a point, pointing along an
// angle.
func Arrowhead(c Canvas, tip Point, angle float64, ink Ink) {
	arrowhead(c, tip, angle, arrowLong, arrowHalf, ink)
}

func arrowhead(c Canvas, tip Point, angle, long, half float64, ink Ink) {
	s, co := math.Sincos(angle * math.Pi / 180)
	back := tip.Add(-long*co, -long*s)
	c.Path(Polygon(tip, back.Add(-half*s, half*co), back.Add(half*s, -half*co)), Style{Fill: ink})
}

// Dimension draws the distance from a to b with its dimension line off to the
// left of that direction by offset (negative: to the right), as seen on the
// sheet. Where the text and arrows do not fit between the extension lines the
// arrows come from outside and the text follows the second one.
func Dimension(c Canvas, a, b Point, offset float64, text string) {
	long := math.Hypot(b.X-a.X, b.Y-a.Y)
	if long == 0 {
		return
	}
	ux, uy := (b.X-a.X)/long, (b.Y-a.Y)/long
	nx, ny := uy, -ux // to the left, seen on a sheet whose y runs down
	side := math.Copysign(1, offset)
	for _, p := range []Point{a, b} {
		c.Line(p.Add(nx*side*dimGap, ny*side*dimGap), p.Add(nx*(offset+side*dimOverrun), ny*(offset+side*dimOverrun)), thinLine)
	}
	p, q := a.Add(nx*offset, ny*offset), b.Add(nx*offset, ny*offset)
	along := math.Atan2(uy, ux) * 180 / math.Pi
	w := Width(text, SizeSmall, Regular)
	if w+2 <= long && long >= 2*arrowLong+4 {
		c.Line(p, q, thinLine)
		Arrowhead(c, p, along+180, InkThin)
		Arrowhead(c, q, along, InkThin)
		dimensionText(c, Pt((p.X+q.X)/2, (p.Y+q.Y)/2), along, text)
		return
	}
	tail := 2*arrowLong + w
	c.Line(p.Add(-ux*2*arrowLong, -uy*2*arrowLong), q.Add(ux*tail, uy*tail), thinLine)
	Arrowhead(c, p, along, InkThin)
	Arrowhead(c, q, along+180, InkThin)
	dimensionText(c, q.Add(ux*(arrowLong*1.5+w/2), uy*(arrowLong*1.5+w/2)), along, text)
}

// dimensionText sets a figure above a line at its middle.
func dimensionText(c Canvas, at Point, along float64, text string) {
	turn := readable(along)
	s, co := math.Sincos(turn * math.Pi / 180)
	c.Text(at.Add(3*s, -3*co), Text{S: text, Anchor: Middle, Rotate: turn, Halo: true})
}

// readable turns a direction so that text along it reads from the foot or the
// right of the sheet: within (−90°, 90°], where straight up is read from the
// right, that is at −90°.
func readable(along float64) float64 {
	a := math.Mod(along, 180)
	if a < -90 {
		a += 180
	}
	if a >= 90 {
		a -= 180
	}
	return a
}

// DiameterLine draws a diameter through a circle along an angle, the text on
// a shelf that begins out beyond the circle.
func DiameterLine(c Canvas, centre Point, r, angle, out float64, text string) {
	p, q := onCircle(centre, r, angle+180), onCircle(centre, r, angle)
	knee := onCircle(centre, r+out, angle)
	c.Line(p, knee, thinLine)
	Arrowhead(c, p, angle+180, InkThin)
	Arrowhead(c, q, angle, InkThin)
	shelf(c, knee, q.X >= centre.X, text)
}

// Leader draws a line from a text to what it names: a dot when the tip lies
// on a face, an arrow when it touches an edge.
func Leader(c Canvas, tip, knee Point, dot bool, text string) {
	c.Line(tip, knee, thinLine)
	if dot {
		c.Circle(tip, 1.6, Style{Fill: InkThin})
	} else {
		Arrowhead(c, tip, math.Atan2(tip.Y-knee.Y, tip.X-knee.X)*180/math.Pi, InkThin)
	}
	shelf(c, knee, knee.X >= tip.X, text)
}

// shelf draws the short horizontal line a text stands on.
func shelf(c Canvas, knee Point, right bool, text string) {
	w := Width(text, SizeSmall, Regular) + 4
	anchor, end := Start, knee.Add(w, 0)
	at := knee.Add(2, -3)
	if !right {
		anchor, end, at = End, knee.Add(-w, 0), knee.Add(-2, -3)
	}
	c.Line(knee, end, thinLine)
	c.Text(at, Text{S: text, Anchor: anchor, Halo: true})
}

// CentreLine draws an axis, past both ends by over.
func CentreLine(c Canvas, a, b Point, over float64) {
	long := math.Hypot(b.X-a.X, b.Y-a.Y)
	if long == 0 {
		return
	}
	dx, dy := (b.X-a.X)/long*over, (b.Y-a.Y)/long*over
	c.Line(a.Add(-dx, -dy), b.Add(dx, dy), Style{Stroke: InkThin, Line: Chain})
}

// CentreMark draws the crossed axes of a circle.
func CentreMark(c Canvas, centre Point, r float64) {
	CentreLine(c, centre.Add(-r, 0), centre.Add(r, 0), 4)
	CentreLine(c, centre.Add(0, -r), centre.Add(0, r), 4)
}

// Break draws the free-hand line that ends a part shown in pieces (ISO 128).
func Break(c Canvas, a, b Point) {
	long := math.Hypot(b.X-a.X, b.Y-a.Y)
	n := max(1, int(long/12))
	dx, dy := (b.X-a.X)/float64(n), (b.Y-a.Y)/float64(n)
	nx, ny := dy*0.35, -dx*0.35
	p := (&Path{}).Move(a)
	for i := range n {
		q, side := a.Add(dx*float64(i), dy*float64(i)), 1-2*float64(i%2)
		p.Curve(q.Add(dx/3+nx*side, dy/3+ny*side), q.Add(2*dx/3+nx*side, 2*dy/3+ny*side), q.Add(dx, dy))
	}
	c.Path(p, Style{Stroke: InkThin, Line: Narrow})
}
