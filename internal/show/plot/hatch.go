package plot

import (
	"math"
	"slices"
)

// Hatching is a set of parallel lines. Zero values mean 45° rising to the
// right, 6 apart, in narrow thin ink (ISO 128-3 sections).
type Hatching struct {
	Angle   float64
	Spacing float64
	Ink     Ink
	Line    Line
}

// Hatch fills a figure with parallel lines by the even-odd rule, so holes
// stay clear. The lines lie on one grid of the whole sheet: neighbouring
// figures with one hatching meet. It is geometry, not a pattern: no ids, and
// the same in SVG and PDF.
func Hatch(c Canvas, figure *Path, h Hatching) {
	if h.Angle == 0 {
		h.Angle = -45
	}
	if h.Spacing == 0 {
		h.Spacing = 6
	}
	if h.Ink == NoInk {
		h.Ink = InkThin
	}
	if h.Line == NoLine {
		h.Line = Hair
	}
	p := hatchLines(figure.edges(), h.Angle, h.Spacing)
	if len(p.segs) > 0 {
		c.Path(p, Style{Stroke: h.Ink, Line: h.Line})
	}
}

// hatchLines cuts the edges with lines v = n·spacing, where u runs along the
// hatching and v across it.
func hatchLines(edges [][2]Point, angle, spacing float64) *Path {
	s, c := math.Sincos(angle * math.Pi / 180)
	uv := func(p Point) (u, v float64) { return p.X*c + p.Y*s, -p.X*s + p.Y*c }
	xy := func(u, v float64) Point { return Pt(u*c-v*s, u*s+v*c) }
	p := &Path{segs: make([]segment, 0, 16)}
	if len(edges) == 0 {
		return p
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, e := range edges {
		_, v := uv(e[0])
		lo, hi = min(lo, v), max(hi, v)
	}
	cuts := make([]float64, 0, 8)
	for n := math.Ceil(lo / spacing); n*spacing <= hi; n++ {
		v := n * spacing
		cuts = cuts[:0]
		for _, e := range edges {
			u0, v0 := uv(e[0])
			u1, v1 := uv(e[1])
			if (v0 <= v) != (v1 <= v) {
				cuts = append(cuts, u0+(u1-u0)*(v-v0)/(v1-v0))
			}
		}
		slices.Sort(cuts)
		for i := 0; i+1 < len(cuts); i += 2 {
			p.Move(xy(cuts[i], v)).Line(xy(cuts[i+1], v))
		}
	}
	return p
}
