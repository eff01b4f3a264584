package draw

import (
	"math"
	"strconv"
	"strings"

	"fettle/internal/know/family"
	"fettle/internal/show/plot"
)

// bolts draws the fasteners a component is about: one from the side with its
// length, and their pattern, each at its number.
func (s *sheet) bolts() []view {
	var out []view
	for i := range s.e.Fasteners {
		f := &s.e.Fasteners[i]
		if s.uses(f.ID) || f.ID == s.comp.ID {
			out = append(out, s.bolt(f), s.boltPattern(f))
		}
	}
	if len(out) == 0 && len(s.e.Fasteners) > 0 {
		out = append(out, s.bolt(&s.e.Fasteners[0]))
	}
	for _, dim := range []string{"cyl", "cam", "main"} {
		if s.uses(dim) {
			out = append(out, s.tally(dim))
		}
	}
	if len(out) == 0 {
		out = append(out, s.section())
	}
	return out
}

// boltPattern draws where the fasteners of a group sit.
func (s *sheet) boltPattern(f *family.Fastener) view {
	switch {
	case f == s.headBolts():
		return s.headPattern()
	case strings.Contains(f.ID, "flywheel") || strings.Contains(f.ID, "phaser") || strings.Contains(f.ID, "damper"):
		return s.boltCircle(f)
	}
	return s.boltRows(f)
}

func (s *sheet) headPattern() view {
	margin := 2 * max(16, 25/max(92/s.g.spacing, min(1.7, 640/(float64(s.g.rows)*s.g.spacing+2*ends+s.g.stagger))))
	fs, w, h := s.fields(s.boltRow()*2+margin, 12, 30, 12)
	return view{w, h, func(at plot.Point) {
		for _, f := range fs {
			f = f.moved(at)
			s.outline(f, s.boltRow()*2+margin)
			for i, cyl := range s.g.banks[f.bank] {
				o := f.at(float64(i)*s.g.spacing, 0)
				s.c.Circle(o, s.g.bore/2*f.scale, fine())
				small(s.c, o, strconv.Itoa(cyl))
			}
			s.holes(f)
			s.holeNumbers(f)
		}
	}}
}

// holeNumbers writes the number of each head bolt beyond it.
func (s *sheet) holeNumbers(f field) {
	group := s.headBolts()
	if group == nil {
		return
	}
	per := (group.Count + 1) / len(s.g.banks)
	for k, at := range s.pattern(min(group.Count-f.bank*per, per)) {
		small(s.c, f.at(at[0], at[1]).Add(0, []float64{-16, 16}[k%2]), strconv.Itoa(f.bank*per+k+1))
	}
}

// boltCircle draws fasteners evenly on a circle, from the top clockwise.
func (s *sheet) boltCircle(f *family.Fastener) view {
	r := max(62, touch*1.25*float64(f.Count)/(2*math.Pi))
	return view{2*r + 70, 2*r + 70, func(at plot.Point) {
		o := at.Add(r+35, r+35)
		s.c.Circle(o, r+26, solid())
		s.c.Circle(o, r, plot.Style{Stroke: plot.InkThin, Line: plot.Chain})
		s.c.Circle(o, r*0.42, edge())
		plot.CentreMark(s.c, o, r+26)
		for i := range f.Count {
			p := away(o, r, 360*float64(i)/float64(f.Count)-90)
			s.c.Circle(p, 8, edge())
			small(s.c, away(o, r-19, 360*float64(i)/float64(f.Count)-90), strconv.Itoa(i+1))
			s.seat(p, f.ID, strconv.Itoa(i+1))
		}
	}}
}

// boltRows draws fasteners in pairs along the engine.
func (s *sheet) boltRows(f *family.Fastener) view {
	cols := max(1, (f.Count+1)/2)
	wrap := (cols + 13) / 14
	per := (cols + wrap - 1) / wrap
	step := max(40, min(90, (full-80)/float64(per)))
	return view{step*float64(per) + 20, float64(wrap) * 110, func(at plot.Point) {
		for i := range f.Count {
			col, row := i/2%per, i/2/per
			p := at.Add(10+step*(float64(col)+0.5), 26+110*float64(row)+46*float64(i%2))
			if i%2 == 0 {
				s.c.Path(round(p.X-14, p.Y-16, 28, 78, 6), fine())
			}
			s.c.Circle(p, 9, edge())
			plot.CentreMark(s.c, p, 9)
			small(s.c, p.Add(19, -9), strconv.Itoa(i+1))
			s.seat(p, f.ID, strconv.Itoa(i+1))
		}
	}}
}
