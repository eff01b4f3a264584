package plot

import (
	"cmp"
	"slices"
)

// Station is one place of a profile: where it is, the deviation measured
// there (nil: not measured) with its expanded uncertainty, and its verdict.
type Station struct {
	At      float64
	Label   string
	Value   *float64
	U       float64
	Verdict Verdict
}

// Trace is one run of stations with its finished label: the thrust side of a
// bore, a main tunnel.
type Trace struct {
	Label    string
	Stations []Station
}

// Profile shows a deviation along a part: down a bore (Upright, heights run
// down the sheet and deviation to the right) or along a tunnel (stations run
// to the right and deviation up). Along spans the stations, Across the
// deviation. The band between Low and High is allowed; a nil one is open.
type Profile struct {
	Upright       bool
	Along, Across Axis
	Low, High     *float64
	Traces        []Trace
}

// Draw draws the profile in a box w by h with its corner at a point.
func (p Profile) Draw(c Canvas, at Point, w, h float64) {
	f := p.frame(at, w, h)
	f.drawAxes(c)
	p.limit(c, f, p.Low, Under)
	p.limit(c, f, p.High, Over)
	if z := p.Across; z.Min < 0 && z.Max > 0 && !is(p.Low, 0) && !is(p.High, 0) {
		c.Line(p.place(f, p.Along.Min, 0), p.place(f, p.Along.Max, 0), Style{Stroke: InkThin, Line: Chain})
	}
	var ends []Point
	for i, t := range p.Traces {
		ends = append(ends, p.trace(c, f, i, t))
	}
	p.names(c, f, ends)
}

func (p Profile) frame(at Point, w, h float64) Frame {
	x, y := p.Along, p.Across
	if p.Upright {
		x, y = p.Across, p.Along
		y.Min, y.Max = y.Max, y.Min // heights are counted downward
	}
	left, room := y.labelRoom()+12, 12.0
	for _, t := range p.Traces {
		room = max(room, Width(t.Label, SizeSmall, Bold)+16)
	}
	if p.Upright {
		room = 12
	}
	return Frame{Left: at.X + left, Top: at.Y + 24, Right: at.X + w - room, Bottom: at.Y + h - 36, X: x, Y: y}
}

func (p Profile) place(f Frame, along, across float64) Point {
	if p.Upright {
		return f.Place(across, along)
	}
	return f.Place(along, across)
}

func (p Profile) limit(c Canvas, f Frame, v *float64, side Direction) {
	if v != nil {
		f.drawLimit(c, Limit{At: *v, Forbidden: side, Across: p.Upright})
	}
}

// trace draws one run and returns its last measured place.
func (p Profile) trace(c Canvas, f Frame, i int, t Trace) Point {
	line := Style{Stroke: InkPen, Line: Heavy}
	if i > 0 {
		line = Style{Stroke: InkThin, Line: Wide}
	}
	var run []Point
	end := Point{f.Right, f.Bottom}
	flush := func() {
		if q := f.clipRun(run); len(q.segs) > 0 {
			c.Path(q, line)
		}
		run = nil
	}
	for _, s := range t.Stations {
		if s.Value == nil {
			flush()
			continue
		}
		end = p.place(f, s.At, *s.Value)
		run = append(run, end)
	}
	flush()
	for _, s := range t.Stations {
		p.station(c, f, s)
	}
	return end
}

// station draws the whisker, the mark and the label; what was not measured
// stands at the axis.
func (p Profile) station(c Canvas, f Frame, s Station) {
	if s.Value == nil {
		at := p.place(f, s.At, p.Across.Min).Add(0, -signRadius-3)
		if p.Upright {
			at = at.Add(signRadius+3, signRadius+3)
		}
		Sign(c, at, signRadius, Unmeasured)
		return
	}
	v := *s.Value
	if v < p.Across.Min || v > p.Across.Max {
		p.beyond(c, f, s)
		return
	}
	if a, b, ok := f.clipLine(p.place(f, s.At, v-s.U), p.place(f, s.At, v+s.U)); ok && s.U > 0 {
		c.Line(a, b, Style{Stroke: InkPen, Line: Narrow})
		dx, dy := 3.5, 0.0
		if p.Upright {
			dx, dy = 0, 3.5
		}
		for _, q := range []Point{a, b} {
			c.Line(q.Add(-dx, -dy), q.Add(dx, dy), Style{Stroke: InkPen, Line: Narrow})
		}
	}
	Sign(c, p.place(f, s.At, v), signRadius, s.Verdict)
	p.label(c, p.place(f, s.At, min(v+s.U, p.Across.Max)), s.Label)
}

// signRadius is the size of a mark on a profile.
const signRadius = 4.8

// beyond holds a mark at the end of the scale with an arrow that points on.
func (p Profile) beyond(c Canvas, f Frame, s Station) {
	edge, side := p.Across.Max, 1.0
	if *s.Value < p.Across.Min {
		edge, side = p.Across.Min, -1
	}
	tip, turn := p.place(f, s.At, edge), -90*side
	dx, dy := 0.0, 12*side
	if p.Upright {
		turn, dx, dy = 90-90*side, -12*side, 0
	}
	arrowhead(c, tip, turn, 7, signRadius, markInk(s.Verdict))
	Sign(c, tip.Add(dx, dy), signRadius, s.Verdict)
	if p.Upright {
		p.label(c, tip.Add(max(dx, 0)+signRadius, 0), s.Label)
	} else {
		p.label(c, tip.Add(0, min(0, dy)), s.Label)
	}
}

// label stands over a station of a level profile, to the right of one of an
// upright profile.
func (p Profile) label(c Canvas, at Point, s string) {
	switch {
	case s == "":
	case p.Upright:
		c.Text(at.Add(8, 0), Text{S: s, Base: CapMiddle, Halo: true})
	default:
		c.Text(at.Add(0, -6), Text{S: s, Anchor: Middle, Halo: true})
	}
}

func is(v *float64, x float64) bool { return v != nil && *v == x }

// names sets the trace labels: beside the last station of a level profile,
// under the foot of an upright one, pushed apart where they would touch.
func (p Profile) names(c Canvas, f Frame, ends []Point) {
	order := make([]int, len(ends))
	for i := range order {
		order[i] = i
	}
	gap := 13.0
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(p.run(ends[i]), p.run(ends[j])) })
	var places []float64
	for _, i := range order {
		places = append(places, p.run(ends[i]))
		if p.Upright {
			gap = max(gap, Width(p.Traces[i].Label, SizeSmall, Bold)+8)
		}
	}
	if p.Upright {
		places = spread(places, gap, f.Left+gap/2, f.Right-gap/2)
	} else {
		places = spread(places, gap, f.Top, f.Bottom)
	}
	for k, i := range order {
		t := Text{S: p.Traces[i].Label, Weight: Bold, Base: CapMiddle}
		if i > 0 {
			t.Ink, t.Weight = InkThin, Regular
		}
		at := Pt(ends[i].X+9, places[k])
		if p.Upright {
			at, t.Anchor = Pt(places[k], ends[i].Y+15), Middle
		}
		plateText(c, at, t)
	}
}

// run is the direction in which the trace labels stand side by side.
func (p Profile) run(q Point) float64 {
	if p.Upright {
		return q.X
	}
	return q.Y
}
