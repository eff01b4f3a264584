package draw

import (
	"math"

	"fettle/internal/show/plot"
)

// gerotor draws an oil pump of two rotors, six lobes in seven. Their outlines
// are the cycloids of one rolling circle of half the eccentricity e, on pitch
// circles of 6e and 7e: so the rotors touch at every lobe and cross nowhere.
func (s *sheet) gerotor() view {
	const r, inner, ecc = 92.0, 6, 9.0
	return view{2*r + 60, 2*r + 30, func(at plot.Point) {
		o := at.Add(r+30, r+15)
		cut(s.c, ring(o, r+12, r), -45)
		s.c.Circle(o, r-1.5, edge())
		s.c.Path(cycloids(o, ecc, inner+1), solid())
		c := o.Add(0, ecc)
		s.c.Path(cycloids(c, ecc, inner), plot.Style{Fill: plot.InkTint, Stroke: plot.InkPen, Line: plot.Wide})
		s.c.Circle(c, 16, solid())
		plot.CentreMark(s.c, o, r+12)
		plot.CentreMark(s.c, c, 16)
	}}
}

// cycloids is the outline of a rotor of n lobes about a point, one of them
// straight down: arcs of the epicycloid and of the hypocycloid of a circle of
// radius ρ = e/2 on a pitch circle of radius P = n·e, in turn.
//
//	r = (P ± ρ)(cos t, sin t) ∓ ρ(cos (P ± ρ)t/ρ, ±sin (P ± ρ)t/ρ)
func cycloids(o plot.Point, e float64, n int) *plot.Path {
	p := &plot.Path{}
	pitch, roll := float64(n)*e, e/2
	const steps = 14
	for arch := range 2 * n {
		from := math.Pi/float64(n)*float64(arch) + math.Pi/2 - math.Pi/2/float64(n)
		sign := 1.0 // outward first
		if arch%2 == 1 {
			sign = -1
		}
		for i := range steps {
			t := math.Pi / float64(n) * float64(i) / steps
			k := (pitch + sign*roll) / roll * t
			x := (pitch+sign*roll)*math.Cos(t) - sign*roll*math.Cos(k)
			y := (pitch+sign*roll)*math.Sin(t) - roll*math.Sin(k)
			sin, cos := math.Sincos(from)
			q := o.Add(x*cos-y*sin, x*sin+y*cos)
			if arch == 0 && i == 0 {
				p.Move(q)
			} else {
				p.Line(q)
			}
		}
	}
	return p.Close()
}
