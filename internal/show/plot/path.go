package plot

import "math"

// Path is a figure of straight lines and cubic curves.
type Path struct{ segs []segment }

type segment struct {
	op byte // M, L, C or Z
	p  [3]Point
}

// points returns how many points the segment carries.
func (s segment) points() int {
	switch s.op {
	case 'C':
		return 3
	case 'Z':
		return 0
	}
	return 1
}

// Move starts a new part of the figure.
func (p *Path) Move(to Point) *Path { return p.add('M', to) }

// Line draws a straight line.
func (p *Path) Line(to Point) *Path { return p.add('L', to) }

// Curve draws a cubic curve with two control points.
func (p *Path) Curve(c1, c2, to Point) *Path { return p.add('C', c1, c2, to) }

// Close draws back to the start of this part.
func (p *Path) Close() *Path { return p.add('Z') }

func (p *Path) add(op byte, pts ...Point) *Path {
	s := segment{op: op}
	copy(s.p[:], pts)
	p.segs = append(p.segs, s)
	return p
}

// Arc draws along a circle from angle a0 to a1 in degrees, joined to the
// figure by a straight line, or starting it. Pieces of at most 45° are cubic
// curves with handle k = 4/3 tan(δ/4); the error is below 1e-5 of the radius.
func (p *Path) Arc(c Point, r, a0, a1 float64) *Path {
	start := onCircle(c, r, a0)
	if len(p.segs) == 0 || p.segs[len(p.segs)-1].op == 'Z' {
		p.Move(start)
	} else {
		p.Line(start)
	}
	n := int(math.Ceil(math.Abs(a1-a0) / 45))
	for i := range n {
		b0 := a0 + (a1-a0)*float64(i)/float64(n)
		b1 := a0 + (a1-a0)*float64(i+1)/float64(n)
		k := r * 4 / 3 * math.Tan((b1-b0)*math.Pi/180/4)
		s0, c0 := math.Sincos(b0 * math.Pi / 180)
		s1, c1 := math.Sincos(b1 * math.Pi / 180)
		q0, q1 := onCircle(c, r, b0), onCircle(c, r, b1)
		p.Curve(q0.Add(-k*s0, k*c0), q1.Add(k*s1, -k*c1), q1)
	}
	return p
}

func onCircle(c Point, r, deg float64) Point {
	s, co := math.Sincos(deg * math.Pi / 180)
	return c.Add(r*co, r*s)
}

// Polygon returns the closed figure through pts, Polyline the open one.
func Polygon(pts ...Point) *Path { return Polyline(pts...).Close() }

// Polyline returns the open figure through pts.
func Polyline(pts ...Point) *Path {
	p := &Path{segs: make([]segment, 0, len(pts)+1)}
	for i, q := range pts {
		if i == 0 {
			p.Move(q)
		} else {
			p.Line(q)
		}
	}
	return p
}

// Box returns a rectangle as a figure.
func Box(x, y, w, h float64) *Path {
	return Polygon(Pt(x, y), Pt(x+w, y), Pt(x+w, y+h), Pt(x, y+h))
}

// Disc returns a circle as a figure.
func Disc(c Point, r float64) *Path { return (&Path{}).Arc(c, r, 0, 360).Close() }

// Append adds the parts of q, for a figure with holes.
func (p *Path) Append(q *Path) *Path {
	p.segs = append(p.segs, q.segs...)
	return p
}

// edges returns the figure as straight edges, every part closed; curves are
// cut into twelve.
func (p *Path) edges() [][2]Point {
	out := make([][2]Point, 0, len(p.segs)+1)
	var start, at Point
	to := func(q Point) {
		if q != at {
			out = append(out, [2]Point{at, q})
		}
		at = q
	}
	for _, s := range p.segs {
		switch s.op {
		case 'M':
			to(start)
			start, at = s.p[0], s.p[0]
		case 'L':
			to(s.p[0])
		case 'C':
			p0 := at
			for i := 1; i <= 12; i++ {
				to(cubic(p0, s.p, float64(i)/12))
			}
		case 'Z':
			to(start)
		}
	}
	to(start)
	return out
}

func cubic(p0 Point, p [3]Point, t float64) Point {
	u := 1 - t
	a, b, c, d := u*u*u, 3*u*u*t, 3*u*t*t, t*t*t
	return Pt(a*p0.X+b*p[0].X+c*p[1].X+d*p[2].X, a*p0.Y+b*p[0].Y+c*p[1].Y+d*p[2].Y)
}
