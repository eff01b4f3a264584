package plot

import (
	"cmp"
	"math"
	"slices"
)

// Role says what a series is, and so how it is drawn.
type Role int

// The measured engine is heavy, a what-if thin in the accent, a reference
// thin and dashed; points are single readings.
const (
	Measured Role = iota
	WhatIf
	Reference
	Points
)

// Sample is a pair of values; Gap lifts the pen before it.
type Sample struct {
	X, Y float64
	Gap  bool
}

// Series is a run of samples with its finished label, which stands at its
// last visible point. Verdicts may mark the points one by one.
type Series struct {
	Role     Role
	Label    string
	Samples  []Sample
	Verdicts []Verdict
}

// Band is the doubt about a series: the stretch from Low to High at each X.
type Band struct{ X, Low, High []float64 }

// Limit is a line no value should pass: the side that is forbidden is
// hatched. Across is true for a limit on X, drawn upright.
type Limit struct {
	At        float64
	Forbidden Direction
	Across    bool
	Label     string
}

// Chart is a plot of lines and points against two axes.
type Chart struct {
	X, Y   Axis
	Series []Series
	Bands  []Band
	Limits []Limit
}

// Frame returns where the chart's axes stand in a box of the sheet; labels at
// the right edge get the room the longest needs.
func (ch Chart) Frame(at Point, w, h float64) Frame {
	room := 12.0
	for _, s := range ch.Series {
		room = max(room, Width(s.Label, SizeSmall, Bold)+12)
	}
	return Frame{Left: at.X + ch.Y.labelRoom() + 12, Top: at.Y + 24, Right: at.X + w - min(room, w/3), Bottom: at.Y + h - 36, X: ch.X, Y: ch.Y}
}

// Draw draws the chart in a box w by h with its corner at a point.
func (ch Chart) Draw(c Canvas, at Point, w, h float64) {
	f := ch.Frame(at, w, h)
	for _, b := range ch.Bands {
		f.drawBand(c, b)
	}
	f.drawAxes(c)
	for _, l := range ch.Limits {
		f.drawLimit(c, l)
	}
	order := []Role{Reference, WhatIf, Measured, Points}
	for _, r := range order {
		for _, s := range ch.Series {
			if s.Role == r {
				f.drawSeries(c, s)
			}
		}
	}
	ch.directLabels(c, f, at.X+w)
}

func (f Frame) drawBand(c Canvas, b Band) {
	n := min(len(b.X), len(b.Low), len(b.High))
	var pts []Point
	for i := range n {
		pts = append(pts, f.Place(b.X[i], b.High[i]))
	}
	for i := n - 1; i >= 0; i-- {
		pts = append(pts, f.Place(b.X[i], b.Low[i]))
	}
	if pts = f.clipArea(pts); len(pts) > 2 {
		c.Path(Polygon(pts...), Style{Fill: InkTint})
	}
}

// limitDepth is how far the hatching of a forbidden side reaches.
const limitDepth = 10.0

func (f Frame) drawLimit(c Canvas, l Limit) {
	p, q := f.Place(f.X.Min, l.At), f.Place(f.X.Max, l.At)
	out := -limitDepth
	if l.Across {
		p, q = f.Place(l.At, f.Y.Min), f.Place(l.At, f.Y.Max)
		out = -out
	}
	if l.Forbidden == Under {
		out = -out
	}
	dx, dy := 0.0, out
	if l.Across {
		dx, dy = out, 0
	}
	if p, q, ok := f.clipLine(p, q); ok {
		if l.Forbidden != NoDirection {
			if area := f.clipArea([]Point{p, q, q.Add(dx, dy), p.Add(dx, dy)}); len(area) > 2 {
				Hatch(c, Polygon(area...), Hatching{Spacing: 5})
			}
		}
		c.Line(p, q, Style{Stroke: InkPen, Line: Wide})
		if l.Across {
			c.Text(q.Add(math.Copysign(5, -out), 12), Text{S: l.Label, Anchor: limitAnchor(out), Halo: true})
		} else {
			c.Text(p.Add(5, limitTextDrop(out)), Text{S: l.Label, Halo: true})
		}
	}
}

// limitAnchor puts the text of an upright limit on its allowed side.
func limitAnchor(out float64) Anchor {
	if out > 0 {
		return End
	}
	return Start
}

// limitTextDrop puts a limit's text on its allowed side.
func limitTextDrop(out float64) float64 {
	if out < 0 {
		return 13
	}
	return -5
}

func (f Frame) drawSeries(c Canvas, s Series) {
	st, ok := s.Role.style()
	var run []Point
	flush := func() {
		if p := f.clipRun(run); ok && len(p.segs) > 0 {
			c.Path(p, st)
		}
		run = nil
	}
	for _, v := range s.Samples {
		if v.Gap {
			flush()
		}
		run = append(run, f.Place(v.X, v.Y))
	}
	flush()
	for i, v := range s.Samples {
		p := f.Place(v.X, v.Y)
		if _, _, seen := f.clipLine(p, p); !seen {
			continue
		}
		switch {
		case i < len(s.Verdicts):
			Sign(c, p, 5, s.Verdicts[i])
		case s.Role == Points:
			c.Circle(p, 2.4, Style{Fill: InkGround, Stroke: InkPen, Line: Narrow})
		}
	}
}

// style returns how a role's line is drawn; points have none.
func (r Role) style() (Style, bool) {
	switch r {
	case Measured:
		return Style{Stroke: InkPen, Line: Heavy}, true
	case WhatIf:
		return Style{Stroke: InkAccent, Line: Narrow}, true
	case Reference:
		return Style{Stroke: InkThin, Line: Dashed}, true
	}
	return Style{}, false
}

// directLabels sets each label at the last point of its series that can be
// seen, pushed apart where they would touch.
func (ch Chart) directLabels(c Canvas, f Frame, edge float64) {
	type label struct {
		at Point
		s  Series
	}
	var ls []label
	for _, s := range ch.Series {
		for i := len(s.Samples) - 1; i >= 0 && s.Label != ""; i-- {
			p := f.Place(s.Samples[i].X, s.Samples[i].Y)
			if _, _, seen := f.clipLine(p, p); seen {
				ls = append(ls, label{p, s})
				break
			}
		}
	}
	slices.SortStableFunc(ls, func(a, b label) int { return cmp.Compare(a.at.Y, b.at.Y) })
	ys := make([]float64, len(ls))
	for i, l := range ls {
		ys[i] = l.at.Y
	}
	for i, y := range spread(ys, 13, f.Top+8, f.Bottom) {
		t := Text{S: ls[i].s.Label, Base: CapMiddle, Halo: true}
		switch ls[i].s.Role {
		case Measured:
			t.Weight = Bold
		case WhatIf:
			t.Ink = InkAccent
		case Reference:
			t.Ink = InkThin
		}
		x := ls[i].at.X + 7
		t.S = Fit(t.S, t.size(), t.Weight, edge-x)
		c.Text(Pt(x, y), t)
	}
}

// spread moves sorted places at least gap apart, as little as it can, within
// lo to hi when they fit.
func spread(ys []float64, gap, lo, hi float64) []float64 {
	out := slices.Clone(ys)
	for i := range out {
		floor := lo
		if i > 0 {
			floor = out[i-1] + gap
		}
		out[i] = max(out[i], floor)
	}
	ceil := hi
	for i := len(out) - 1; i >= 0; i-- {
		out[i] = min(out[i], ceil)
		ceil = out[i] - gap
	}
	return out
}
