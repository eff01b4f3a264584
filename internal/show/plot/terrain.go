package plot

import "math"

// Terrain shows a value over two others by lines of equal height: Heights[j][i]
// stands at Xs[i], Ys[j], both rising. A height that is not a number is ground
// that is not known: no line crosses it.
type Terrain struct {
	X, Y    Axis
	Xs, Ys  []float64
	Heights [][]float64
	Levels  []Height
	Forbid  *float64 // ground below this height is hatched
	Here    []Standing
}

// Height is one height with its finished figure; Main is drawn wide.
type Height struct {
	At    float64
	Label string
	Main  bool
}

// Standing is a place on the ground with its doubt in both directions.
type Standing struct {
	X, Y   float64
	UX, UY float64
	Role   Role
	Label  string
}

// Frame returns where the axes stand in a box of the sheet.
func (t Terrain) Frame(at Point, w, h float64) Frame {
	return Frame{Left: at.X + t.Y.labelRoom() + 12, Top: at.Y + 24, Right: at.X + w - 12, Bottom: at.Y + h - 36, X: t.X, Y: t.Y}
}

// Draw draws the ground in a box w by h with its corner at a point.
func (t Terrain) Draw(c Canvas, at Point, w, h float64) {
	f := t.Frame(at, w, h)
	f.drawAxes(c)
	if t.Forbid != nil {
		for j := range max(0, len(t.Ys)-1) {
			for i := range max(0, len(t.Xs)-1) {
				if area := t.below(f, i, j, *t.Forbid); len(area) > 2 {
					Hatch(c, Polygon(area...), Hatching{Spacing: 5})
				}
			}
		}
	}
	var taken []Point
	for _, l := range t.Levels {
		line := Style{Stroke: InkAccent, Line: Narrow}
		if l.Main {
			line.Line = Wide
		}
		p := &Path{}
		best, far := Point{}, -1.0
		for j := range max(0, len(t.Ys)-1) {
			for i := range max(0, len(t.Xs)-1) {
				for _, s := range t.cut(f, i, j, l.At) {
					a, b, ok := f.clipLine(s[0], s[1])
					if !ok {
						continue
					}
					p.Move(a).Line(b)
					if room := clear(a, taken, f); room > far {
						best, far = a, room
					}
				}
			}
		}
		if len(p.segs) > 0 {
			c.Path(p, line)
		}
		if far > 30 && l.Label != "" {
			taken = append(taken, best)
			plateText(c, best, Text{S: l.Label, Anchor: Middle, Base: CapMiddle, Ink: InkAccent})
		}
	}
	for _, s := range t.Here {
		t.stand(c, f, s)
	}
}

// clear is how far a label is from others and from the edges of the frame.
func clear(p Point, taken []Point, f Frame) float64 {
	room := min(p.X-f.Left, f.Right-p.X, 4*(p.Y-f.Top), 4*(f.Bottom-p.Y))
	for _, q := range taken {
		room = min(room, math.Hypot(p.X-q.X, 2*(p.Y-q.Y)))
	}
	return room
}

// stand draws where an engine is: a cross the size of its doubt.
func (t Terrain) stand(c Canvas, f Frame, s Standing) {
	p := f.Place(s.X, s.Y)
	if _, _, seen := f.clipLine(p, p); !seen {
		return
	}
	st, _ := s.Role.style()
	for _, arm := range [][2]Point{{f.Place(s.X-s.UX, s.Y), f.Place(s.X+s.UX, s.Y)}, {f.Place(s.X, s.Y-s.UY), f.Place(s.X, s.Y+s.UY)}} {
		if a, b, ok := f.clipLine(arm[0], arm[1]); ok && a != b {
			c.Line(a, b, st)
		}
	}
	c.Circle(p, 4, Style{Fill: InkGround, Stroke: st.Stroke, Line: Wide})
	a, dx := Start, 8.0
	if p.X > (f.Left+f.Right)/2 {
		a, dx = End, -8
	}
	c.Text(p.Add(dx, -9), Text{S: s.Label, Anchor: a, Base: CapMiddle, Weight: Bold, Halo: true})
}

// corners gives the four corners of a cell in turn, with their heights.
func (t Terrain) corners(f Frame, i, j int) (at [4]Point, z [4]float64, known bool) {
	for k, d := range [4][2]int{{0, 0}, {1, 0}, {1, 1}, {0, 1}} {
		z[k] = t.Heights[j+d[1]][i+d[0]]
		if math.IsNaN(z[k]) {
			return at, z, false
		}
		at[k] = f.Place(t.Xs[i+d[0]], t.Ys[j+d[1]])
	}
	return at, z, true
}

// cut gives the pieces of a line of equal height in one cell. Each edge whose
// ends lie on both sides is cut by proportion; of a saddle the middle decides
// which ends belong together.
func (t Terrain) cut(f Frame, i, j int, level float64) [][2]Point {
	at, z, known := t.corners(f, i, j)
	if !known {
		return nil
	}
	var on []Point
	for k := range 4 {
		n := (k + 1) % 4
		if (z[k] >= level) != (z[n] >= level) {
			s := (level - z[k]) / (z[n] - z[k])
			on = append(on, at[k].Add(s*(at[n].X-at[k].X), s*(at[n].Y-at[k].Y)))
		}
	}
	switch len(on) {
	case 2:
		return [][2]Point{{on[0], on[1]}}
	case 4: // edges 0 to 3 in turn; the first corner is cut off where the middle is not like it
		if ((z[0]+z[1]+z[2]+z[3])/4 >= level) != (z[0] >= level) {
			return [][2]Point{{on[3], on[0]}, {on[1], on[2]}}
		}
		return [][2]Point{{on[0], on[1]}, {on[2], on[3]}}
	}
	return nil
}

// below gives the part of a cell that lies under a height, cut by proportion
// along its edges.
func (t Terrain) below(f Frame, i, j int, level float64) []Point {
	at, z, known := t.corners(f, i, j)
	if !known {
		return nil
	}
	var out []Point
	for k := range 4 {
		n := (k + 1) % 4
		if z[k] < level {
			out = append(out, at[k])
		}
		if (z[k] < level) != (z[n] < level) {
			s := (level - z[k]) / (z[n] - z[k])
			out = append(out, at[k].Add(s*(at[n].X-at[k].X), s*(at[n].Y-at[k].Y)))
		}
	}
	return f.clipArea(out)
}
