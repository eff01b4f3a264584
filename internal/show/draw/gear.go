package draw

import (
	"math"

	"fettle/internal/show/plot"
)

// gears draws the train from the crank to each cam; idlers fill the way.
func (s *sheet) gears(ws []wheel, k float64) {
	crank := ws[0]
	mesh := s.values("mesh")
	for i, w := range ws[1:] {
		from := crank
		if i > 0 { // the second cam is driven by the first
			from = ws[i]
		}
		dx, dy := w.at.X-from.at.X, w.at.Y-from.at.Y
		far := math.Hypot(dx, dy)
		room := far - from.r - w.r
		if room > 4 {
			n := max(1, int(math.Round(room/(2*w.r*0.75))))
			r := room / 2 / float64(n)
			for j := range n {
				t := (from.r + r*float64(2*j+1)) / far
				at := plot.Pt(from.at.X+dx*t, from.at.Y+dy*t)
				s.idler(at, r)
				if j < len(mesh) && i == 0 {
					s.seat(at, "mesh", mesh[j])
				}
			}
			if i == 0 && n < len(mesh) {
				s.seat(plot.Pt(from.at.X+dx*(far-w.r)/far, from.at.Y+dy*(far-w.r)/far), "mesh", mesh[n])
			}
		}
	}
	for j := range mesh { // meshes that found no wheel of their own
		s.seat(crank.at.Add(touch*float64(j)-touch, -crank.r-14), "mesh", mesh[j])
	}
}

func (s *sheet) idler(at plot.Point, r float64) {
	s.c.Circle(at, max(1, r-2), solid())
	s.c.Circle(at, r, plot.Style{Stroke: plot.InkThin, Line: plot.Chain})
	teeth, n := &plot.Path{}, max(10, int(r*0.9))
	for i := range n {
		a := 360 * float64(i) / float64(n)
		teeth.Move(away(at, max(0, r-3), a)).Line(away(at, r+2, a))
	}
	s.c.Path(teeth, fine())
	plot.CentreMark(s.c, at, r)
	s.c.Circle(at, r*0.3, edge())
}
