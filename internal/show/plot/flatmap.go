package plot

import "math"

// Spot is a place on a face with its height and the finished figure of it.
type Spot struct {
	X, Y    float64
	Height  float64
	Figure  string
	Verdict Verdict
	Marked  bool // the high spot, the low spot
}

// Contour is a run of places of one height, made by the caller. A line below
// the middle is dashed, that of the middle itself heavy.
type Contour struct {
	Label  string
	Points []Point
	Closed bool
	Level  float64
}

// FlatMap shows the heights of a face. Outline, holes, spots and contours are
// in one unit of the face, y upward as the part lies. A circle's area grows
// with the height; filled is high, open is low, Full is the height of the
// largest circle. A spot that is not accepted carries its verdict's shape.
// Contours end at holes: nothing is there to be high or low.
type FlatMap struct {
	Outline  []Point
	Holes    []Hole
	Spots    []Spot
	Contours []Contour
	Full     float64
}

// Hole is a round opening of a face.
type Hole struct {
	At     Point
	Radius float64
}

const (
	spotRadius = 11.0
	mapMargin  = 14.0
)

// Draw fits the face into a box w by h with its corner at a point.
func (m FlatMap) Draw(c Canvas, at Point, w, h float64) {
	place, scale := m.fit(at, w, h)
	for _, k := range m.Contours {
		line := Style{Stroke: InkAccent, Line: Narrow}
		switch {
		case k.Level == 0:
			line.Line = Wide
		case k.Level < 0:
			line.Line = Dashed
		}
		p := Polyline(placed(k.Points, place)...)
		if k.Closed {
			p.Close()
		}
		c.Path(p, line)
	}
	for _, o := range m.Holes { // the ground over a hole takes the lines away
		c.Circle(place(o.At), o.Radius*scale, Style{Fill: InkGround, Stroke: InkThin, Line: Narrow})
	}
	c.Path(Polygon(placed(m.Outline, place)...), Style{Stroke: InkPen, Line: Wide})
	var taken []Point
	for _, s := range m.Spots {
		p, side := place(Pt(s.X, s.Y)), spotRadius+8
		if p.Y > at.Y+h/2+1 {
			side = -side
		}
		taken = append(taken, p, p.Add(0, side)) // the spot and its figure
	}
	for _, k := range m.Contours {
		if p, ok := m.labelPlace(k, place, scale, taken); ok && k.Label != "" {
			taken = append(taken, p)
			plateText(c, p, Text{S: k.Label, Anchor: Middle, Base: CapMiddle, Ink: InkAccent})
		}
	}
	most := m.radius(place)
	for _, s := range m.Spots {
		p := place(Pt(s.X, s.Y))
		m.spot(c, p, s, most, p.Y > at.Y+h/2+1)
	}
}

// radius is that of the largest circle: smaller where spots stand close.
func (m FlatMap) radius(place func(Point) Point) float64 {
	near := math.Inf(1)
	for i, a := range m.Spots {
		for _, b := range m.Spots[:i] {
			p, q := place(Pt(a.X, a.Y)), place(Pt(b.X, b.Y))
			near = min(near, math.Hypot(p.X-q.X, p.Y-q.Y))
		}
	}
	return min(spotRadius, 0.16*near)
}

// labelPlace is the place of a line that is farthest from holes' insides, spots
// and labels that stand already; ok is false where none is clear.
func (m FlatMap) labelPlace(k Contour, place func(Point) Point, scale float64, taken []Point) (best Point, ok bool) {
	const clear = 19.0
	far := clear
	for _, q := range k.Points {
		p, room := place(q), math.Inf(1)
		for _, o := range m.Holes {
			if d := math.Hypot(q.X-o.At.X, q.Y-o.At.Y) - o.Radius; d*scale < 8 {
				room = 0
			}
		}
		for _, t := range taken {
			room = min(room, math.Hypot(p.X-t.X, p.Y-t.Y))
		}
		if room > far {
			best, far, ok = p, room, true
		}
	}
	return best, ok
}

// spot draws the circle with its figure on the side of the face's middle, so
// that no outline strikes through a minus sign.
func (m FlatMap) spot(c Canvas, at Point, s Spot, most float64, low bool) {
	ink := markInk(s.Verdict)
	r := 0.0
	if m.Full > 0 {
		r = most * math.Sqrt(min(1, math.Abs(s.Height)/m.Full))
	}
	if s.Height > 0 {
		c.Circle(at, max(r, 1.5), Style{Fill: ink})
	} else {
		c.Circle(at, max(r, 1.5), Style{Fill: InkGround, Stroke: ink, Line: Wide})
	}
	if s.Marked {
		c.Circle(at, max(r, 1.5)+3, Style{Stroke: InkAccent, Line: Wide})
		r += 3
	}
	if s.Verdict != Accept && s.Verdict != NoLimit { // shape, not colour alone
		Sign(c, at.Add(r+7, 0), 4.6, s.Verdict)
	}
	t, dy := Text{S: s.Figure, Anchor: Middle, Base: CapTop}, max(r, 1.5)+4
	if s.Marked {
		t.Weight = Bold
	}
	if low {
		t.Base, dy = Baseline, -dy
	}
	plateText(c, at.Add(0, dy), t)
}

// fit returns how a place of the face comes onto the sheet, true to shape and
// in the middle of the box.
func (m FlatMap) fit(at Point, w, h float64) (func(Point) Point, float64) {
	x0, x1 := math.Inf(1), math.Inf(-1)
	y0, y1 := x0, x1
	for _, p := range m.Outline {
		x0, x1, y0, y1 = min(x0, p.X), max(x1, p.X), min(y0, p.Y), max(y1, p.Y)
	}
	if !(x1 > x0) || !(y1 > y0) {
		return func(Point) Point { return at.Add(w/2, h/2) }, 0
	}
	scale := min((w-2*mapMargin)/(x1-x0), (h-2*mapMargin)/(y1-y0))
	cx, cy := (x0+x1)/2, (y0+y1)/2
	return func(p Point) Point {
		return at.Add(w/2+(p.X-cx)*scale, h/2-(p.Y-cy)*scale)
	}, scale
}

// Height is how high the face is drawn in a width.
func (m FlatMap) Height(w float64) float64 {
	x0, x1 := math.Inf(1), math.Inf(-1)
	y0, y1 := x0, x1
	for _, p := range m.Outline {
		x0, x1, y0, y1 = min(x0, p.X), max(x1, p.X), min(y0, p.Y), max(y1, p.Y)
	}
	if !(x1 > x0) || !(y1 > y0) {
		return 2 * mapMargin
	}
	return 2*mapMargin + (w-2*mapMargin)*(y1-y0)/(x1-x0)
}

func placed(pts []Point, place func(Point) Point) []Point {
	out := make([]Point, len(pts))
	for i, p := range pts {
		out[i] = place(p)
	}
	return out
}
