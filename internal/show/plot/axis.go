package plot

import "math"

// Axis is one direction of a plot: what it spans, its few ticks, and its
// finished title with the unit.
type Axis struct {
	Min, Max float64
	Ticks    []Tick
	Title    string
}

// Tick is a place on an axis with its finished figure.
type Tick struct {
	At    float64
	Label string
}

// Ticks returns about n round places from lo to hi (at most 2n, for n of 3 or
// more at least two), 1, 2 or 5 times a power of ten apart, each written by figure with the decimals its step needs.
func Ticks(lo, hi float64, n int, figure func(v float64, decimals int) string) []Tick {
	if !(hi > lo) || n < 1 {
		return nil
	}
	raw := (hi - lo) / float64(n)
	power := math.Floor(math.Log10(raw))
	step := math.Pow(10, power)
	for _, m := range []float64{2, 5, 10} {
		if next := m * math.Pow(10, power); next <= 1.3*raw {
			step = next
		}
	}
	decimals := max(0, int(-math.Floor(math.Log10(step)+1e-9)))
	var out []Tick
	for i := math.Ceil(lo/step - 1e-9); i*step <= hi+step*1e-9; i++ {
		v := i * step
		if i == 0 {
			v = 0
		}
		out = append(out, Tick{v, figure(v, decimals)})
	}
	return out
}

// Frame places values on a rectangle of the sheet: X from left to right, Y
// from foot to head.
type Frame struct {
	Left, Top, Right, Bottom float64
	X, Y                     Axis
}

// Place returns where a pair of values stands.
func (f Frame) Place(x, y float64) Point {
	return Pt(lerp(x, f.X, f.Left, f.Right), lerp(y, f.Y, f.Bottom, f.Top))
}

func lerp(v float64, a Axis, p0, p1 float64) float64 {
	if a.Max == a.Min {
		return (p0 + p1) / 2
	}
	return p0 + (v-a.Min)/(a.Max-a.Min)*(p1-p0)
}

// drawAxes draws the two axes with outward ticks and faint lines across.
func (f Frame) drawAxes(c Canvas) {
	axis, tick, grid := Style{Stroke: InkPen, Line: Narrow}, Style{Stroke: InkPen, Line: Narrow}, Style{Stroke: InkFaint, Line: Hair}
	for _, t := range f.X.Ticks {
		p := f.Place(t.At, f.Y.Min)
		c.Line(p, Pt(p.X, f.Top), grid)
		c.Line(p, p.Add(0, 4), tick)
		c.Text(p.Add(0, 7), Text{S: t.Label, Anchor: Middle, Base: CapTop})
	}
	for _, t := range f.Y.Ticks {
		p := f.Place(f.X.Min, t.At)
		c.Line(p, Pt(f.Right, p.Y), grid)
		c.Line(p, p.Add(-4, 0), tick)
		c.Text(p.Add(-7, 0), Text{S: t.Label, Anchor: End, Base: CapMiddle})
	}
	c.Path(Polyline(Pt(f.Left, f.Top), Pt(f.Left, f.Bottom), Pt(f.Right, f.Bottom)), axis)
	c.Text(Pt(f.Right, f.Bottom+22), Text{S: f.X.Title, Anchor: End, Base: CapTop, Ink: InkThin})
	c.Text(Pt(f.Left, f.Top-10), Text{S: f.Y.Title, Anchor: Start, Ink: InkThin})
}

// labelRoom returns the widest tick figure of an axis.
func (a Axis) labelRoom() float64 {
	w := 0.0
	for _, t := range a.Ticks {
		w = max(w, Width(t.Label, SizeSmall, Regular))
	}
	return w
}
