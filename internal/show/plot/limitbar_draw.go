package plot

import "math"

// barSize holds the measures in which the two sizes differ.
type barSize struct {
	limit, guard, nominal, cap, mark, repeat float64 // half heights, radius
	hatch                                    float64
}

func rowSize() barSize {
	return barSize{limit: 7, guard: 3.5, nominal: 3.5, cap: 6, mark: 4.6, repeat: 8, hatch: 2.6}
}

func largeSize() barSize {
	return barSize{limit: 14, guard: 8, nominal: 8, cap: 10, mark: 9, repeat: 16, hatch: 4}
}

// Row draws the bar one table line high, w wide, from a point at its upper
// left corner.
func (b LimitBar) Row(c Canvas, at Point, w float64) {
	b.draw(c, b.scale(at.X, w), at.Y+RowHeight/2, rowSize())
}

// Large draws the bar with its texts, w wide and LargeHeight high.
func (b LimitBar) Large(c Canvas, at Point, w float64) {
	s, y := b.scale(at.X, w), at.Y+46
	b.draw(c, s, y, largeSize())
	b.valueLabel(c, s, at, w)
	b.limitLabels(c, s, at, w)
}

func (b LimitBar) draw(c Canvas, s barScale, y float64, z barSize) {
	for _, g := range b.guards(s) {
		box := Box(g[0], y-z.guard, g[1]-g[0], 2*z.guard)
		Hatch(c, box, Hatching{Spacing: z.hatch})
		for _, x := range g {
			if math.Abs(x-s.x0) > 0.01 && math.Abs(x-s.x1) > 0.01 { // a limit has its own line
				c.Line(Pt(x, y-z.guard), Pt(x, y+z.guard), Style{Stroke: InkThin, Line: Hair})
			}
		}
	}
	b.track(c, s, y, z)
	if b.Nominal != nil {
		if x, beyond := s.inside(*b.Nominal); beyond == 0 {
			c.Line(Pt(x, y-z.nominal), Pt(x, y+z.nominal), Style{Stroke: InkPen, Line: Narrow})
		}
	}
	if b.Value == nil {
		Sign(c, Pt((s.x0+s.x1)/2, y), z.mark, Unmeasured)
		return
	}
	var ticks Path
	for _, v := range b.Repeats {
		if x, beyond := s.inside(v); beyond == 0 {
			ticks.Move(Pt(x, y+z.mark)).Line(Pt(x, y+z.repeat))
		}
	}
	if len(ticks.segs) > 0 {
		c.Path(&ticks, Style{Stroke: InkAccent, Line: Narrow})
	}
	b.value(c, s, y, z)
}

// track draws the scale, its limits, and open ends that fade into a chevron.
func (b LimitBar) track(c Canvas, s barScale, y float64, z barSize) {
	pen, fade := Style{Stroke: InkPen, Line: Narrow}, Style{Stroke: InkThin, Line: Dotted}
	if b.Value == nil {
		pen = Style{Stroke: InkUnmeasured, Line: Dashed}
	}
	c.Line(Pt(s.x0, y), Pt(s.x1, y), pen)
	for _, e := range []struct {
		limit  *float64
		x, end float64
	}{{b.Min, s.x0, s.left}, {b.Max, s.x1, s.right}} {
		if e.limit != nil {
			x := s.at(*e.limit)
			c.Line(Pt(x, y-z.limit), Pt(x, y+z.limit), Style{Stroke: InkPen, Line: Wide})
			continue
		}
		out := math.Copysign(1, e.end-e.x)
		c.Line(Pt(e.x, y), Pt(e.end, y), fade)
		if b.Value != nil && out*(s.at(*b.Value)-e.end) > 0 {
			continue // the value's own arrow stands there
		}
		c.Path(Polyline(Pt(e.end-out*3, y-3), Pt(e.end, y), Pt(e.end-out*3, y+3)), Style{Stroke: InkThin, Line: Narrow})
	}
}

// value draws the whisker and the mark. A value beyond the window is held at
// its end with an arrow that points on.
func (b LimitBar) value(c Canvas, s barScale, y float64, z barSize) {
	x, beyond := s.inside(*b.Value)
	ink := markInk(b.Verdict)
	if beyond != 0 {
		out := float64(beyond)
		tip := x + out*5
		arrowhead(c, Pt(tip, y), 90-90*out, z.mark*1.5, z.mark, ink)
		x = tip - out*(z.mark*2.5+1)
	} else if b.U > 0 {
		low, offLow := s.inside(*b.Value - b.U)
		high, offHigh := s.inside(*b.Value + b.U)
		c.Line(Pt(low, y), Pt(high, y), Style{Stroke: InkPen, Line: Wide})
		if offLow == 0 {
			c.Line(Pt(low, y-z.cap), Pt(low, y+z.cap), Style{Stroke: InkPen, Line: Narrow})
		}
		if offHigh == 0 {
			c.Line(Pt(high, y-z.cap), Pt(high, y+z.cap), Style{Stroke: InkPen, Line: Narrow})
		}
	}
	Sign(c, Pt(x, y), z.mark, b.Verdict)
}

func markInk(v Verdict) Ink {
	if v == Undecided {
		return InkUndecidedEdge
	}
	return wordInk(v)
}

// valueLabel stands over the mark: value bold, doubt after it, then how far
// outside; it is kept within the bar.
func (b LimitBar) valueLabel(c Canvas, s barScale, at Point, w float64) {
	type piece struct {
		Text
		before float64
	}
	pieces := []piece{{Text{S: b.Labels.Value, Size: SizeText, Weight: Bold}, 0}, {Text{S: b.Labels.Doubt, Size: SizeText}, 5},
		{Text{S: b.Labels.Amount, Size: SizeText, Weight: Bold, Ink: wordInk(b.Verdict)}, 10}}
	total := 0.0
	for _, p := range pieces {
		if p.S != "" {
			total += p.before + Width(p.S, p.Size, p.Weight)
		}
	}
	x := (s.x0 + s.x1) / 2
	if b.Value != nil {
		x, _ = s.inside(*b.Value)
	}
	x = max(at.X, min(x-total/2, at.X+w-total))
	for _, p := range pieces {
		if p.S == "" {
			continue
		}
		p.Base = CapTop
		c.Text(Pt(x+p.before, at.Y+10), p.Text)
		x += p.before + Width(p.S, p.Size, p.Weight)
	}
}

// limitLabels stand under their ticks; the nominal goes to a second line when
// it would touch a limit's, the guard band stands at the other end of the foot.
func (b LimitBar) limitLabels(c Canvas, s barScale, at Point, w float64) {
	const size = SizeSmall
	y := at.Y + 66
	half := func(t string) float64 { return Width(t, size, Regular)/2 + 4 }
	put := func(x, y float64, t string, ink Ink) float64 {
		x = max(at.X+half(t)-4, min(x, at.X+w-half(t)+4))
		c.Text(Pt(x, y), Text{S: t, Size: size, Anchor: Middle, Base: CapTop, Ink: ink})
		return x
	}
	lo, hi := at.X-1e6, at.X+1e6
	if b.Min != nil && b.Labels.Min != "" {
		lo = put(s.at(*b.Min), y, b.Labels.Min, InkPen) + half(b.Labels.Min)
	}
	if b.Max != nil && b.Labels.Max != "" {
		hi = put(s.at(*b.Max), y, b.Labels.Max, InkPen) - half(b.Labels.Max)
	}
	guard := Text{S: b.Labels.Guard, Size: size, Anchor: End, Base: CapTop, Ink: InkThin}
	foot := Pt(at.X+w, y+15)
	if b.Nominal != nil && b.Labels.Nominal != "" {
		if x, beyond := s.inside(*b.Nominal); beyond == 0 {
			second := 0.0
			if x-half(b.Labels.Nominal) < lo || x+half(b.Labels.Nominal) > hi {
				second = 15
				if x > at.X+w/2 { // the foot's right end is taken
					guard.Anchor, foot.X = Start, at.X
				}
			}
			put(x, y+second, b.Labels.Nominal, InkThin)
		}
	}
	if guard.S != "" {
		c.Text(foot, guard)
	}
}
