package plot

import "math"

// Polar shows a vector or a place that goes round: a load as it turns, the way
// of a journal inside its clearance. X to the right and Y upward are in one unit;
// Full is the radius that fills the box.
type Polar struct {
	Full   float64
	Rings  []Ring
	Traces []Round
	Spots  []RoundSpot
	Axes   [4]string // finished words at right, top, left, foot
}

// Ring is a circle about the middle. A wall is the heavy edge of a bearing,
// hatched outside; any other ring is a scale line.
type Ring struct {
	Radius float64
	Label  string
	Wall   bool
}

// Round is one way round; it is closed.
type Round struct {
	Role Role
	At   []Point
}

// RoundSpot is a marked place with its finished words.
type RoundSpot struct {
	At    Point
	Label string
}

const polarMargin = 22.0

// Draw fits the figure into a square of side w with its corner at a point.
func (p Polar) Draw(c Canvas, at Point, w float64) {
	mid, most := at.Add(w/2, w/2), w/2-polarMargin
	if !(p.Full > 0) {
		return
	}
	scale := most / p.Full
	place := func(q Point) Point { return mid.Add(q.X*scale, -q.Y*scale) }
	c.Line(mid.Add(-most, 0), mid.Add(most, 0), Style{Stroke: InkThin, Line: Chain})
	c.Line(mid.Add(0, -most), mid.Add(0, most), Style{Stroke: InkThin, Line: Chain})
	for _, r := range p.Rings {
		if !r.Wall {
			c.Circle(mid, r.Radius*scale, Style{Stroke: InkFaint, Line: Narrow})
			continue
		}
		Hatch(c, Disc(mid, r.Radius*scale+9).Append(Disc(mid, r.Radius*scale)), Hatching{Spacing: 5})
		c.Circle(mid, r.Radius*scale, Style{Stroke: InkPen, Line: Wide})
	}
	for _, role := range []Role{Reference, WhatIf, Measured} {
		for _, t := range p.Traces {
			if st, ok := t.Role.style(); ok && t.Role == role && len(t.At) > 1 {
				c.Path(Polygon(placed(t.At, place)...), st)
			}
		}
	}
	for _, r := range p.Rings { // over the traces, on plates of ground
		if r.Label != "" && !r.Wall {
			plateText(c, mid.Add(r.Radius*scale*math.Sqrt2/2, r.Radius*scale*math.Sqrt2/2), Text{S: r.Label, Anchor: Middle, Base: CapMiddle, Ink: InkThin})
		}
	}
	for i, words := range p.Axes {
		if words == "" {
			continue
		}
		edge := [4]Point{{most + 4, 0}, {0, -most - 8}, {-most - 4, 0}, {0, most + 16}}[i]
		anchor := [4]Anchor{End, Middle, Start, Middle}[i]
		q := mid.Add(edge.X, edge.Y)
		if i == 0 || i == 2 {
			q = q.Add(0, -6)
		}
		plateText(c, q, Text{S: words, Anchor: anchor, Ink: InkThin})
	}
	for _, s := range p.Spots {
		q := place(s.At)
		c.Circle(q, 4, Style{Fill: InkGround, Stroke: InkAccent, Line: Wide})
		a, dx := Start, 8.0
		if q.X > mid.X {
			a, dx = End, -8
		}
		c.Text(q.Add(dx, 0), Text{S: s.Label, Anchor: a, Base: CapMiddle, Weight: Bold, Halo: true})
	}
}
