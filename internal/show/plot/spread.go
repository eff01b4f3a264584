package plot

import "math"

// Spread shows how a value is spread: columns of draws, what lies outside a
// limit hatched, the stretch that holds most of them under the columns. Only one
// axis has figures; how high a column is means nothing by itself.
type Spread struct {
	Across    Axis
	From, To  float64   // from the first to the last column
	Bars      []float64 // finished heights, any scale
	Low, High *float64  // limits; nil where open
	Ends      [2]float64
	Value     float64
	Labels    struct{ Low, High, Ends string }
}

// SpreadHeight is how high a spread is drawn.
const SpreadHeight = 190.0

// Draw draws the spread in a box w wide with its corner at a point.
func (s Spread) Draw(c Canvas, at Point, w float64) {
	x := s.Across
	f := Frame{Left: at.X + 14, Top: at.Y + 24, Right: at.X + w - 14, Bottom: at.Y + 118, X: x, Y: Axis{Min: 0, Max: 1}}
	most := 0.0
	for _, b := range s.Bars {
		most = math.Max(most, b)
	}
	if most > 0 {
		s.columns(c, f, most)
	}
	axis := Style{Stroke: InkPen, Line: Narrow}
	c.Line(Pt(f.Left, f.Bottom), Pt(f.Right, f.Bottom), axis)
	for _, l := range []struct {
		at    *float64
		side  Direction
		label string
	}{{s.Low, Under, s.Labels.Low}, {s.High, Over, s.Labels.High}} {
		if l.at != nil && *l.at >= x.Min && *l.at <= x.Max {
			f.drawLimit(c, Limit{At: *l.at, Forbidden: l.side, Across: true})
			p := f.Place(*l.at, 1)
			half := Width(l.label, SizeSmall, Regular) / 2
			c.Text(Pt(math.Max(at.X+half, math.Min(p.X, at.X+w-half)), p.Y-7), Text{S: l.label, Anchor: Middle})
		}
	}
	y := f.Bottom + 10
	a, b := f.Place(s.Ends[0], 0), f.Place(s.Ends[1], 0)
	a.X, b.X = math.Max(a.X, f.Left), math.Min(b.X, f.Right)
	c.Line(Pt(a.X, y), Pt(b.X, y), Style{Stroke: InkPen, Line: Wide})
	for _, e := range []Point{a, b} {
		c.Line(Pt(e.X, y-4), Pt(e.X, y+4), axis)
	}
	if s.Value >= x.Min && s.Value <= x.Max {
		v := f.Place(s.Value, 0)
		c.Line(Pt(v.X, f.Top), Pt(v.X, y+4), Style{Stroke: InkAccent, Line: Narrow})
	}
	half := Width(s.Labels.Ends, SizeSmall, Regular) / 2
	mid := math.Max(at.X+half, math.Min((a.X+b.X)/2, at.X+w-half))
	c.Text(Pt(mid, y+8), Text{S: s.Labels.Ends, Anchor: Middle, Base: CapTop, Ink: InkThin})
	foot := y + 26
	c.Line(Pt(f.Left, foot), Pt(f.Right, foot), Style{Stroke: InkFaint, Line: Hair})
	for _, t := range x.Ticks {
		p := Pt(f.Place(t.At, 0).X, foot)
		c.Line(p, p.Add(0, 4), axis)
		c.Text(p.Add(0, 7), Text{S: t.Label, Anchor: Middle, Base: CapTop})
	}
	c.Text(Pt(f.Right, foot+20), Text{S: x.Title, Anchor: End, Base: CapTop, Ink: InkThin})
}

// columns draws the outline of all columns over their ground, and hatches what
// lies outside a limit.
func (s Spread) columns(c Canvas, f Frame, most float64) {
	step := (s.To - s.From) / float64(len(s.Bars))
	area := func(from, to float64) []Point {
		pts := []Point{f.Place(from, 0)}
		for i, b := range s.Bars {
			l, r := s.From+step*float64(i), s.From+step*float64(i+1)
			if r <= from || l >= to {
				continue
			}
			h := 0.96 * b / most
			pts = append(pts, f.Place(math.Max(l, from), h), f.Place(math.Min(r, to), h))
		}
		return append(pts, f.Place(to, 0))
	}
	all := Polygon(area(s.From, s.To)...)
	c.Path(all, Style{Fill: InkTint})
	if s.Low != nil && *s.Low > s.From {
		Hatch(c, Polygon(area(s.From, math.Min(*s.Low, s.To))...), Hatching{Spacing: 4, Ink: InkOut, Line: Narrow})
	}
	if s.High != nil && *s.High < s.To {
		Hatch(c, Polygon(area(math.Max(*s.High, s.From), s.To)...), Hatching{Spacing: 4, Ink: InkOut, Line: Narrow})
	}
	c.Path(all, Style{Stroke: InkPen, Line: Narrow})
}
