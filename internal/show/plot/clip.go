package plot

// clipLine cuts a straight line to the box of a frame (Liang and Barsky 1984:
// the line is a + t(b−a), each side of the box narrows the span of t).
func (f Frame) clipLine(a, b Point) (p, q Point, ok bool) {
	dx, dy := b.X-a.X, b.Y-a.Y
	t0, t1 := 0.0, 1.0
	for _, s := range [][2]float64{{-dx, a.X - f.Left}, {dx, f.Right - a.X}, {-dy, a.Y - f.Top}, {dy, f.Bottom - a.Y}} {
		d, room := s[0], s[1]
		switch {
		case d == 0 && room < 0:
			return p, q, false
		case d < 0:
			t0 = max(t0, room/d)
		case d > 0:
			t1 = min(t1, room/d)
		}
	}
	if t0 > t1 {
		return p, q, false
	}
	return a.Add(t0*dx, t0*dy), a.Add(t1*dx, t1*dy), true
}

// clipRun cuts a run of points to the box and returns it as a figure; the
// pen is lifted where the run leaves the box.
func (f Frame) clipRun(pts []Point) *Path {
	out := &Path{}
	var at Point
	for i := 1; i < len(pts); i++ {
		p, q, ok := f.clipLine(pts[i-1], pts[i])
		if !ok {
			continue
		}
		if len(out.segs) == 0 || p != at {
			out.Move(p)
		}
		out.Line(q)
		at = q
	}
	return out
}

// clipArea cuts a closed figure of corners to the box, one side after another
// (Sutherland and Hodgman 1974).
func (f Frame) clipArea(pts []Point) []Point {
	sides := []func(Point) float64{
		func(p Point) float64 { return p.X - f.Left },
		func(p Point) float64 { return f.Right - p.X },
		func(p Point) float64 { return p.Y - f.Top },
		func(p Point) float64 { return f.Bottom - p.Y },
	}
	for _, room := range sides {
		var next []Point
		for i, p := range pts {
			q := pts[(i+len(pts)-1)%len(pts)]
			rp, rq := room(p), room(q)
			if (rp >= 0) != (rq >= 0) {
				t := rq / (rq - rp)
				next = append(next, q.Add(t*(p.X-q.X), t*(p.Y-q.Y)))
			}
			if rp >= 0 {
				next = append(next, p)
			}
		}
		pts = next
	}
	return pts
}
