package draw

import (
	"math"
	"strconv"
	"strings"

	"fettle/internal/show/plot"
)

// field is the lie of one bank's face on the sheet: x along the crank from
// the first cylinder, y across it, in millimetres.
type field struct {
	o     plot.Point // middle of the first cylinder
	scale float64
	bank  int
}

func (f field) at(x, y float64) plot.Point { return f.o.Add(x*f.scale, y*f.scale) }

// ends is how far a face reaches past the middle of its first and last row.
const ends = 11.0

// fields lays out the faces of both banks one below the other, the second
// set back along the crank, and returns the size of the view. head, left and
// foot are the margins for dimensions, between the room between the banks.
func (s *sheet) fields(high, head, between, foot float64) (fs []field, w, h float64) {
	g := s.g
	const left, right = 40.0, 58.0
	long := float64(g.rows)*g.spacing + 2*ends + g.stagger
	sc := min(1.7, (full-left-right)/long)
	sc = max(sc, 92/g.spacing)
	for b := range g.banks {
		x := left + (ends+g.spacing/2)*sc
		if b == 1 {
			x += g.stagger * sc
		}
		y := head + high*sc/2 + float64(b)*(high*sc+between)
		fs = append(fs, field{plot.Pt(x, y), sc, b})
	}
	n := float64(len(g.banks))
	return fs, left + long*sc + right, head + n*high*sc + (n-1)*between + foot
}

// moved is the field with the view's corner at a point.
func (f field) moved(at plot.Point) field { f.o = f.o.Add(at.X, at.Y); return f }

// plan draws the block from above, each deck seen square on: bores, bridges,
// bolt holes, the dowels and other places whose coordinates the file gives.
func (s *sheet) plan() view {
	g := s.g
	fs, w, h := s.fields(g.face, 34, 46, 34)
	return view{w, h, func(at plot.Point) {
		for _, f := range fs {
			f = f.moved(at)
			s.outline(f, g.face)
			for i, cyl := range g.banks[f.bank] {
				s.boreAbove(f, i, cyl)
			}
			s.bridges(f)
			s.holes(f)
			s.faceSeats(f)
			s.givenSeats(f)
			s.namedSeats(f)
		}
		s.planDimensions(at, fs)
		if len(fs) == 2 {
			y := (fs[0].o.Y+fs[1].o.Y)/2 + at.Y
			plot.CentreLine(s.c, plot.Pt(at.X+20, y), plot.Pt(at.X+w-20, y), 0)
			for b, f := range fs {
				number(s.c, s.bankName(f.moved(at)), g.names[b])
			}
		}
	}}
}

// outline draws the edge of a face with its long axis.
func (s *sheet) outline(f field, high float64) {
	g := s.g
	p := f.at(-g.spacing/2-ends, -high/2)
	s.c.Path(round(p.X, p.Y, (float64(g.rows)*g.spacing+2*ends)*f.scale, high*f.scale, 9*f.scale), solid())
	plot.CentreLine(s.c, f.at(-g.spacing/2-ends, 0), f.at((float64(g.rows)-0.5)*g.spacing+ends, 0), 8)
}

func (s *sheet) boreAbove(f field, i, cyl int) {
	g := s.g
	o, r := f.at(float64(i)*g.spacing, 0), g.bore/2*f.scale
	for _, side := range []float64{-90, 90} { // water round the bore, open to the head
		jacket := (&plot.Path{}).Arc(o, r+6.5*f.scale, side-38, side+38).Arc(o, r+10.5*f.scale, side+38, side-38).Close()
		s.c.Path(jacket, faint())
	}
	if s.e.Block.Liner != "none" {
		wall := min(4, (g.spacing-g.bore)/2*0.8) * f.scale
		liner := ring(o, r+wall, r)
		plot.Hatch(s.c, liner, plot.Hatching{Spacing: 3.2})
		s.c.Circle(o, r+wall, fine())
	}
	s.c.Circle(o, r, edge())
	plot.CentreLine(s.c, o.Add(0, -r), o.Add(0, r), 8)
	name := strconv.Itoa(cyl)
	number(s.c, away(o, r*0.68, -135), name)
	s.seat(o, "cyl", name)
	for k, v := range s.values("side") {
		s.seat(o.Add(0, []float64{-1, 1}[k%2]*max(touch, r*0.62)), "cyl", name, "side", v)
	}
}

func (s *sheet) bridges(f field) {
	bank := s.g.banks[f.bank]
	off := max(touch/f.scale, s.boltRow()/2)
	for i := 1; i < len(bank); i++ {
		s.seat(f.at((float64(i)-0.5)*s.g.spacing, -off), "bridge", strconv.Itoa(bank[i-1])+"-"+strconv.Itoa(bank[i]))
	}
}

// faceSeats claims the grid of heights: rows between the cylinders, left,
// centre and right.
func (s *sheet) faceSeats(f field) {
	d := s.l.Dims["face"]
	for _, v := range d.Values {
		at, ok := d.At[v]
		if !ok {
			continue
		}
		p := f.at(at[0]*1000, at[1]*1000)
		if len(s.g.banks) == 2 {
			s.seat(p, "bank", s.g.names[f.bank], "face", v)
		} else {
			s.seat(p, "face", v)
		}
	}
	if len(s.g.banks) == 2 {
		s.seat(s.bankName(f).Add(0, touch), "bank", s.g.names[f.bank])
	}
}

// bankName is where the name of a bank stands, beside its face.
func (s *sheet) bankName(f field) plot.Point {
	return f.at((float64(s.g.rows)-0.5)*s.g.spacing+ends, 0).Add(30, 0)
}

// givenSeats claims the places of the file's own dimensions that carry
// coordinates, on the first bank.
func (s *sheet) givenSeats(f field) {
	if f.bank != 0 {
		return
	}
	for _, name := range dimNames(s.l) {
		if _, own := s.l.Family.Dimensions[name]; !own || name == "face" || name == "height" || name == "cam-journal" {
			continue
		}
		d := s.l.Dims[name]
		for _, v := range d.Values {
			if at, ok := d.At[v]; ok {
				s.seat(f.at(at[0]*1000, at[1]*1000), name, v)
			}
		}
	}
}

// namedSeats claims the places on a face that are known by their names: its
// corners, the spots where its finish is taken, the dowels.
func (s *sheet) namedSeats(f field) {
	g := s.g
	end := func(rear bool) float64 {
		if rear {
			return (float64(g.rows) - 0.5) * g.spacing
		}
		return -g.spacing / 2
	}
	seat := func(p plot.Point, dim, v string) {
		if len(g.banks) == 2 {
			s.seat(p, "bank", g.names[f.bank], dim, v)
		}
		if f.bank == 0 {
			s.seat(p, dim, v)
		}
	}
	for _, v := range s.values("corner") {
		y, x := 0.0, (float64(g.rows)-1)/2*g.spacing
		if strings.Contains(v, "left") || strings.Contains(v, "right") {
			y, x = -g.face*0.42, end(strings.Contains(v, "rear"))
		}
		if strings.Contains(v, "right") {
			y = -y
		}
		seat(f.at(x, y), "corner", v)
	}
	off := max(touch/f.scale, s.boltRow()/2)
	spots := s.values("spot")
	for i, v := range spots {
		row := math.Floor((float64(i) + 0.5) / float64(len(spots)) * float64(g.rows+1))
		seat(f.at((row-0.5)*g.spacing, off), "spot", v)
	}
	for i, v := range s.values("dowel") {
		if i/2%len(g.banks) != f.bank {
			continue
		}
		p := f.at(end(i%2 == 1)+[]float64{0.2, -0.2}[i%2]*g.spacing, -s.boltRow())
		s.c.Circle(p, 4.5*f.scale, edge())
		s.seat(p, "dowel", v)
	}
}

// planDimensions writes spacing, bore and width.
func (s *sheet) planDimensions(at plot.Point, fs []field) {
	g, f := s.g, fs[0].moved(at)
	top := -g.face / 2
	if len(g.banks[0]) > 1 {
		plot.Dimension(s.c, f.at(0, top), f.at(g.spacing, top), 14, s.figure(s.e.BoreSpacing))
	}
	last := fs[len(fs)-1].moved(at)
	i := float64(len(g.banks[len(fs)-1]) - 1)
	o := last.at(i*g.spacing, 0)
	knee := plot.Pt(o.X+g.spacing*0.42*f.scale, last.at(0, g.face/2).Y+22)
	plot.Leader(s.c, away(o, g.bore/2*f.scale, 62), knee, false, diameter(s.figure(s.e.Bore)))
	plot.Dimension(s.c, f.at(-g.spacing/2-ends, g.face/2), f.at(-g.spacing/2-ends, -g.face/2), 18, s.figure(s.e.FaceWidth))
}
