package draw

import (
	"sort"
	"strconv"
	"strings"

	"fettle/internal/know/family"
	"fettle/internal/show/plot"
)

// boltRow is how far the rows of head bolts lie from the bores' line.
func (s *sheet) boltRow() float64 {
	return max(s.g.bore/2+8, min(s.g.face/2-11, s.g.bore*0.62))
}

// headBolts is the group of fasteners that holds the head, nil if the file
// names none: the first whose id speaks of the head.
func (s *sheet) headBolts() *family.Fastener {
	for i := range s.e.Fasteners {
		if strings.Contains(s.e.Fasteners[i].ID, "head") {
			return &s.e.Fasteners[i]
		}
	}
	return nil
}

// pattern is where the bolts of one bank lie on its face, in millimetres: two
// rows evenly from end to end, numbered by pairs from the free end.
func (s *sheet) pattern(n int) [][2]float64 {
	g, y := s.g, s.boltRow()
	var out [][2]float64
	upper := (n + 1) / 2
	for k := range n {
		i, side, in := k/2, -1.0, upper
		if k%2 == 1 {
			side, in = 1, n/2
		}
		x := (float64(g.rows) - 1) / 2 * g.spacing
		if in > 1 {
			x = (float64(i)/float64(in-1)*float64(g.rows) - 0.5) * g.spacing
		}
		out = append(out, [2]float64{x, side * y})
	}
	return out
}

// holes draws the bolt holes of one bank and claims their seats.
func (s *sheet) holes(f field) {
	n, first, group := 2*(s.g.rows+1), 0, s.headBolts()
	r := 5.0
	if group != nil {
		first = f.bank * ((group.Count + 1) / len(s.g.banks))
		n = min(group.Count-first, (group.Count+1)/len(s.g.banks))
		r = thread(group.Thread) / 2
	}
	for k, at := range s.pattern(max(0, n)) {
		p := f.at(at[0], at[1])
		s.c.Circle(p, r*f.scale, fine())
		plot.CentreMark(s.c, p, r*f.scale-2)
		if group != nil {
			s.seat(p, group.ID, strconv.Itoa(first+k+1))
		}
	}
}

// thread is the nominal diameter of a thread in millimetres.
func thread(name string) float64 {
	d, _, _ := strings.Cut(strings.TrimPrefix(name, "M"), "x")
	v, err := strconv.ParseFloat(d, 64)
	if err != nil || v <= 0 {
		return 10
	}
	return v
}

func dimNames(l *family.Layout) []string {
	out := make([]string, 0, len(l.Dims))
	for k := range l.Dims {
		out = append(out, k)
	}
	sort.Strings(out)
	return out
}
