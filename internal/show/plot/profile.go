package plot

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
	if z := p.Across; z.Min < 0 && z.Max > 0 {
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

// station draws the whisker and the mark; what was not measured stands on
// the axis.
func (p Profile) station(c Canvas, f Frame, s Station) {
	if s.Value == nil {
		Sign(c, p.place(f, s.At, max(p.Across.Min, min(0, p.Across.Max))), 4.6, Unmeasured)
		return
	}
	v := max(p.Across.Min, min(*s.Value, p.Across.Max)) // held at the edge when beyond
	if a, b, ok := f.clipLine(p.place(f, s.At, *s.Value-s.U), p.place(f, s.At, *s.Value+s.U)); ok && s.U > 0 {
		c.Line(a, b, Style{Stroke: InkPen, Line: Narrow})
		dx, dy := 3.5, 0.0
		if p.Upright {
			dx, dy = 0, 3.5
		}
		for _, q := range []Point{a, b} {
			c.Line(q.Add(-dx, -dy), q.Add(dx, dy), Style{Stroke: InkPen, Line: Narrow})
		}
	}
	Sign(c, p.place(f, s.At, v), 4.6, s.Verdict)
	if s.Label != "" {
		at, t := p.place(f, s.At, v).Add(0, -9), Text{S: s.Label, Anchor: Middle, Halo: true}
		if p.Upright {
			at, t = p.place(f, s.At, v).Add(9, 0), Text{S: s.Label, Base: CapMiddle, Halo: true}
		}
		c.Text(at, t)
	}
}

// names sets the trace labels: beside the last station of a level profile,
// under the foot of an upright one.
func (p Profile) names(c Canvas, f Frame, ends []Point) {
	for i, t := range p.Traces {
		ink, weight := InkPen, Bold
		if i > 0 {
			ink, weight = InkThin, Regular
		}
		at, anchor := ends[i].Add(9, 0), Start
		if p.Upright {
			at, anchor = ends[i].Add(0, 14), Middle
		}
		c.Text(at, Text{S: t.Label, Weight: weight, Anchor: anchor, Base: CapMiddle, Ink: ink, Halo: true})
	}
}
