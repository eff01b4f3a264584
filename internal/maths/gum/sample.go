package gum

import "math"

// fill puts draws of a distribution into y. pool, if given, holds √(ν/χ²) of an
// estimate that several leaves share.
//
// Source: JCGM 101:2008, 6.4.2.4 to 6.4.11.4, one recipe a distribution; the
// arcsine from sin 2πr, the t from a normal over the root of its own χ².
func (s Shape) fill(y []float64, r *stream, pool []float64) {
	x, w := s.at, s.width
	switch s.dist {
	case Normal:
		r.normals(y, x, w)
	case Student:
		r.normals(y, 0, w)
		for i := range y {
			f := 0.0
			if pool != nil {
				f = pool[i]
			} else {
				f = r.tilt(s.form)
			}
			y[i] = x + y[i]*f
		}
	case Rectangular:
		for i := range y {
			y[i] = x + w*(2*r.uniform()-1)
		}
	case Curvilinear:
		for i := range y {
			y[i] = x + (w+s.form*(2*r.uniform()-1))*(2*r.uniform()-1)
		}
	case Trapezoidal, Triangular: // two rectangles, (1 ± β)/2 of the base each
		for i := range y {
			y[i] = x + w*((1+s.form)*(r.uniform()-0.5)+(1-s.form)*(r.uniform()-0.5))
		}
	case Arcsine:
		for i := range y {
			y[i] = x + w*math.Sin(2*math.Pi*r.uniform())
		}
	case Exponential:
		for i := range y {
			y[i] = -w * math.Log(r.uniform())
		}
	case Gamma:
		for i := range y {
			y[i] = r.gamma(w)
		}
	}
}

// tilt is √(ν/χ²_ν), what makes a t of a normal.
func (r *stream) tilt(dof float64) float64 { return math.Sqrt(dof / (2 * r.gamma(dof/2))) }
