package draw

import (
	"strconv"

	"fettle/internal/show/plot"
)

// tunnel draws the main housings along the crank in section: webs of the
// block above, caps below, and under each what is measured there.
func (s *sheet) tunnel() view {
	mains := s.grid("main")
	a := s.crankAxis(full-90, mains, grid{})
	const left = 40.0
	long := (a.mains[len(a.mains)-1] - a.mains[0] + 0.6*s.g.spacing) * a.scale
	web, capHigh := 26.0, 22.0
	hole := min(52, s.g.main*a.scale*0.9)
	low := 0.0
	if mains.down() > 0 {
		low = mains.h() + 20
	}
	v := view{w: left + long + 50, h: web + hole + capHigh + low + 6}
	v.draw = func(at plot.Point) {
		a := a
		a.x0 = at.X + left + (0.3*s.g.spacing-a.mains[0])*a.scale
		a.y = at.Y + web + hole/2
		half := s.g.pitch * 0.15 * a.scale
		s.c.Line(plot.Pt(at.X+left, at.Y), plot.Pt(at.X+left+long, at.Y), edge())
		for i, m := range a.mains {
			x := a.x(m)
			cut(s.c, plot.Polygon(plot.Pt(x-half*1.5, at.Y), plot.Pt(x+half*1.5, at.Y), plot.Pt(x+half, a.y-hole/2), plot.Pt(x-half, a.y-hole/2)), 45)
			cut(s.c, plot.Box(x-half, a.y+hole/2, 2*half, capHigh), -45)
			s.c.Line(plot.Pt(x-half, a.y-hole/2), plot.Pt(x-half, a.y+hole/2), fine())
			s.c.Line(plot.Pt(x+half, a.y-hole/2), plot.Pt(x+half, a.y+hole/2), fine())
			s.c.Line(plot.Pt(x-half, a.y), plot.Pt(x+half, a.y), faint())
			number(s.c, plot.Pt(x, a.y), strconv.Itoa(i+1))
			s.band(mains, plot.Pt(x, a.y+hole/2+capHigh), plot.Pt(x, a.y+hole/2+capHigh), false, strconv.Itoa(i+1))
		}
		plot.CentreLine(s.c, plot.Pt(at.X+left-6, a.y), plot.Pt(at.X+left+long+6, a.y), 0)
	}
	return v
}
