package draw

import (
	"strconv"

	"fettle/internal/show/plot"
)

// most cylinders in one row of sections.
const mostInRow = 8

// inRows are the cylinders as sections are set out: a row a bank, long banks
// in several rows of like length.
func (g geometry) inRows() [][]int {
	var out [][]int
	for _, bank := range g.banks {
		rows := (len(bank) + mostInRow - 1) / mostInRow
		per := (len(bank) + rows - 1) / rows
		for i := 0; i < len(bank); i += per {
			out = append(out, bank[i:min(i+per, len(bank))])
		}
	}
	return out
}

// bores draws every bore in section with its gauging heights and axes, and
// the seats measured there at their heights.
func (s *sheet) bores() view {
	g, rows, most := s.g, s.g.inRows(), 0
	for _, r := range rows {
		most = max(most, len(r))
	}
	pat := s.grid("cyl")
	left := 30.0
	col := min(176, (full-left-10)/float64(most))
	col = max(col, pat.w()+16, 84)
	sc := min(1.3, (col-14)/(g.bore+2*s.wall()))
	deep := max(g.depth*sc, touch*float64(pat.down()))
	sc2 := deep / g.depth // heights may be drawn larger so that marks have room
	foot := 16.0
	if pat.foot || pat.corner && len(pat.rows) > 0 {
		foot += touch
	}
	high := 22 + deep + foot
	v := view{w: left + col*float64(most) + 10, h: high*float64(len(rows)) + gap*float64(len(rows)-1)}
	v.draw = func(at plot.Point) {
		for r, cyls := range rows {
			y := at.Y + float64(r)*(high+gap) + 22
			for i, cyl := range cyls {
				x := at.X + left + col*(float64(i)+0.5)
				s.oneBore(plot.Pt(x, y), cyl, sc, sc2, pat)
			}
			s.heightNames(plot.Pt(at.X+left, y), sc2, col, pat)
		}
	}
	return v
}

// wall is the liner's or cylinder's wall as drawn, in millimetres.
func (s *sheet) wall() float64 {
	if s.e.Block.Liner == "dry" {
		return 3
	}
	return max(4, min(6.5, s.g.spacing-s.g.bore))
}

// oneBore draws one bore in section, the middle of its top at a point.
func (s *sheet) oneBore(at plot.Point, cyl int, sc, sc2 float64, pat grid) {
	g := s.g
	r, wall, deep := g.bore/2*sc, s.wall()*sc, g.depth*sc2
	s.cylinderWalls(at, r, wall, deep)
	plot.CentreLine(s.c, at.Add(0, -4), at.Add(0, deep), 4)
	number(s.c, at.Add(-r-wall/2, -12), strconv.Itoa(cyl))
	ln := lines{}
	n := pat.across()
	gapX := touch
	if n > 1 {
		gapX = max(touch, min(34, (2*r-touch)/float64(n-1)))
	}
	order := pat.order()
	for i := range n {
		ln.x = append(ln.x, (float64(order[i])-float64(n-1)/2)*gapX)
	}
	for _, z := range s.levels(pat) {
		ln.y = append(ln.y, z*sc2)
		s.c.Line(at.Add(-r, z*sc2), at.Add(r, z*sc2), faint())
	}
	if pat.down() > len(ln.y) {
		ln.y = append(ln.y, deep+touch/2+4)
	}
	for i, v := range pat.cols {
		small(s.c, at.Add(ln.x[i], -9), v)
	}
	pat.seats(at, ln, strconv.Itoa(cyl))
}

// order says at which place each line of cells stands: the line beside the
// cells goes between the first and the rest, where the axis of a bore is.
func (g grid) order() []int {
	n := g.across()
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	if g.side && n == 3 {
		return []int{0, 2, 1}
	}
	return out
}

// cylinderWalls draws both cut walls of a bore: liner and what holds it.
func (s *sheet) cylinderWalls(at plot.Point, r, wall, deep float64) {
	angle := 45.0
	if s.e.Block.Liner == "dry" {
		angle = -45
	}
	for _, side := range []float64{-1, 1} {
		x0, x1 := at.X+side*r, at.X+side*(r+wall)
		if s.e.Block.Liner == "wet" {
			flange := plot.Polygon(plot.Pt(x0, at.Y-1), plot.Pt(x1+side*3, at.Y-1), plot.Pt(x1+side*3, at.Y+9), plot.Pt(x1, at.Y+9), plot.Pt(x1, at.Y+deep), plot.Pt(x0, at.Y+deep))
			cut(s.c, flange, -45)
			continue
		}
		cut(s.c, plot.Polygon(plot.Pt(x0, at.Y), plot.Pt(x1, at.Y), plot.Pt(x1, at.Y+deep), plot.Pt(x0, at.Y+deep)), angle*side)
	}
	s.c.Line(at.Add(-r, deep), at.Add(r, deep), fine())
	s.c.Line(at.Add(-r-wall, 0), at.Add(r+wall, 0), edge())
}

// levels are the depths of the rows of a pattern in millimetres below the
// deck: those of the file, else spread over the bore.
func (s *sheet) levels(pat grid) []float64 {
	d := s.l.Dims["height"]
	if pat.rowDim != "" && pat.rowDim != "height" {
		d = s.l.Dims[pat.rowDim]
	} else if pat.rowDim == "" {
		if pat.colDim == "" && !pat.corner {
			return nil
		}
		return []float64{s.g.depth / 2}
	}
	var out []float64
	for i, v := range d.Values {
		z := s.g.depth * (float64(i) + 0.5) / float64(len(d.Values))
		if at, ok := d.At[v]; ok && at[2] > 0 && at[2]*1000 < s.g.depth {
			z = at[2] * 1000
		}
		out = append(out, z)
	}
	return out
}

// heightNames writes the names of the heights left of a row of bores.
func (s *sheet) heightNames(at plot.Point, sc2, col float64, pat grid) {
	if pat.rowDim == "" {
		return
	}
	z := s.levels(pat)
	for i, v := range pat.rows {
		y := at.Y + z[i]*sc2
		s.c.Text(plot.Pt(at.X-4, y), plot.Text{S: v, Anchor: plot.End, Base: plot.CapMiddle, Ink: plot.InkThin})
	}
}
