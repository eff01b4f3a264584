package film

import "math"

// lanes are orbits followed side by side. A step of one waits for its own
// numbers; a processor works on the others meanwhile.
const lanes = 4

// lane is one orbit: a journal in its clearance at one viscosity.
type lane struct {
	shell  *Shell
	chart  *Chart
	line   *line // of a bearing with a part groove
	load   *Load
	k      float64 // (c/R)²/(μ L D) of a land, over the number of lands
	per    float64 // 1/(area of the lands), 1/m²
	ex, ey float64
	path   []float64 // ex, ey at each step of the last cycle
	i      int       // step at which it is
	cuts   int       // steps cut in two
	passed int       // steps gone
	warm   bool      // path holds an orbit of the same bearing
	closed bool
	beyond bool // the journal was held at mostOrbit
	fails  bool // more than a whole orbit could not follow
}

// mostOrbit is how far out a journal may go in an orbit, so that a load beyond
// all bounds ends in an answer that is not resolved and not in no answer.
const mostOrbit = 0.9995

// set prepares a lane for a radial clearance and a viscosity.
func (l *lane) set(s *Shell, load *Load, c, mu float64) {
	l.shell, l.load, l.chart = s, load, s.chart
	q := 2 * c / s.spec.Diameter
	l.k = q * q / (mu * s.land * s.spec.Diameter * s.lands)
	l.per = 1 / (s.lands * s.land * s.spec.Diameter)
	if s.columns != nil {
		l.k = 2 * q * q / (mu * s.spec.Diameter * s.spec.Length)
		if l.line == nil || &l.line.m1[0] != &s.columns.m1[0] {
			l.line = newLine(*s.columns)
		}
	}
	if n := 2 * load.Steps; cap(l.path) < n {
		l.path = make([]float64, n)
	} else {
		l.path = l.path[:n]
	}
}

// rate is the journal's velocity over c at one moment, 1/s.
func (l *lane) rate(p *moment, ex, ey float64) (dx, dy float64) {
	if l.line != nil {
		f := l.k * p.f
		vx, vy := l.line.under(ex, ey, f*p.fx, f*p.fy)
		return vx - p.w*ey, vy + p.w*ex
	}
	return l.chart.velocity(p, l.k, ex, ey)
}

// step follows an orbit through one step of size h from moment a by b to c,
// with the classical method of Runge and Kutta. Where its stages disagree by
// more than a part of the gap the step is cut in two, loads in between taken
// from a parabola.
func (l *lane) step(a, b, c *moment, h float64, depth int) {
	ex, ey := l.ex, l.ey
	x1, y1 := l.rate(a, ex, ey)
	x2, y2 := l.rate(b, ex+h/2*x1, ey+h/2*y1)
	x3, y3 := l.rate(b, ex+h/2*x2, ey+h/2*y2)
	x4, y4 := l.rate(c, ex+h*x3, ey+h*y3)
	nx, ny := ex+h/6*(x1+2*(x2+x3)+x4), ey+h/6*(y1+2*(y2+y3)+y4)
	l.finish(a, b, c, h, depth, nx, ny, math.Abs(x3-x2)+math.Abs(y3-y2))
}

// finish takes a step if its stages agree.
func (l *lane) finish(a, b, c *moment, h float64, depth int, nx, ny, apart float64) {
	r2 := nx*nx + ny*ny
	room := 1 - math.Sqrt(r2)
	if depth < 7 && l.cuts < mostCuts*l.load.Steps && !(h*apart <= roughest*math.Max(room, 1-Beyond)) {
		l.halve(a, b, c, h, depth+1)
		return
	}
	if !(room >= 1-mostOrbit) {
		l.beyond = true
		if !finite(nx, ny) {
			l.fails = true
			nx, ny = l.ex, l.ey
			r2 = nx*nx + ny*ny
		}
		if s := mostOrbit / math.Sqrt(math.Max(r2, 1e-12)); s < 1 {
			nx, ny = nx*s, ny*s
		}
	}
	l.ex, l.ey = nx, ny
}

// roughest is the disagreement of two stages over the gap at which a step is
// cut in two.
const roughest = 0.04

// halve takes a step in two.
func (l *lane) halve(a, b, c *moment, h float64, depth int) {
	l.cuts++
	q1, q3 := middle(a, b, c, 0.25), middle(a, b, c, 0.75)
	l.step(a, &q1, b, h/2, depth)
	l.step(b, &q3, c, h/2, depth)
}

// middle is a moment on the parabola through three.
func middle(a, b, c *moment, x float64) moment {
	wa, wb, wc := (1-x)*(1-2*x), 4*x*(1-x), x*(2*x-1)
	fx := wa*a.f*a.fx + wb*b.f*b.fx + wc*c.f*c.fx
	fy := wa*a.f*a.fy + wb*b.f*b.fy + wc*c.f*c.fy
	m := moment{fx: 1, f: math.Hypot(fx, fy), w: wa*a.w + wb*b.w + wc*c.w}
	if m.f > 0 {
		m.fx, m.fy = fx/m.f, fy/m.f
	}
	return m
}

// mostCycles caps the cycles until an orbit closes.
const mostCycles = 40

// mostCuts caps the steps cut in two, over the steps of a cycle: a load that asks
// for more moves the journal by less than can be followed.
const mostCuts = 8

// follow runs lanes until each orbit has closed: until it comes
// back, at any step, to where it was a cycle before, within tol of its gap.
// They begin where the load is greatest, since there a journal soonest forgets
// where it came from.
// From there on it would repeat, so what is stored is one closed orbit. With
// stride 2 every other step is taken.
func follow(ls []*lane, stride int, tol float64) {
	for _, l := range ls {
		l.closed, l.passed, l.cuts, l.beyond, l.fails = false, 0, 0, false, false
	}
	lead(ls, stride)
	for open := len(ls); open > 0; {
		for _, l := range ls {
			if !l.closed {
				l.note(stride, tol)
				if l.closed {
					open--
				}
			}
		}
		if open > 0 {
			advance(ls, stride)
		}
	}
}

// lead takes lanes from the heaviest load on through a part of a cycle in steps
// twice as wide, so that the cycle proper begins where little is left of how it
// was begun, and is soon seen to have closed.
func lead(ls []*lane, stride int) {
	wide := 2 * stride
	for _, l := range ls {
		l.i = l.load.heavy
		if l.warm {
			l.ex, l.ey = l.path[2*l.i], l.path[2*l.i+1]
		} else { // most of the way out, a little ahead of the load
			p := &l.load.at[2*l.i]
			s, c := math.Sincos(math.Copysign(0.3, p.w))
			l.ex, l.ey = 0.8*(p.fx*c-p.fy*s), 0.8*(p.fx*s+p.fy*c)
		}
		l.warm = true
	}
	var some [lanes]*lane
	for more := true; more; {
		n := 0
		for _, l := range ls {
			gone := (l.i - l.load.heavy + l.load.Steps) % l.load.Steps
			if l.load.Steps%wide == 0 && gone < l.load.Steps*2/5 {
				some[n] = l
				n++
			}
		}
		advance(some[:n], wide)
		more = n > 0
	}
}

// note stores where a lane is, and closes it where it has been before.
func (l *lane) note(stride int, tol float64) {
	steps := l.load.Steps
	at := l.path[2*l.i : 2*l.i+2]
	if l.passed >= steps {
		dx, dy := l.ex-at[0], l.ey-at[1]
		room := math.Max(1-math.Sqrt(l.ex*l.ex+l.ey*l.ey), 1-Beyond)
		if math.Abs(dx)+math.Abs(dy) <= tol*room {
			l.closed = true
			return
		}
		if l.passed >= mostCycles*steps || l.cuts >= mostCuts*steps {
			l.closed, l.fails = true, true
			return
		}
	}
	at[0], at[1] = l.ex, l.ey
	l.passed += stride
}

// advance takes one step in each open lane, stage by stage.
func advance(ls []*lane, stride int) {
	var x [4][lanes]float64
	var y [4][lanes]float64
	for j, l := range ls {
		if !l.closed {
			x[0][j], y[0][j] = l.rate(&l.load.at[2*l.i], l.ex, l.ey)
		}
	}
	for stage := 1; stage < 4; stage++ {
		part, off := 0.5, stride
		if stage == 3 {
			part, off = 1, 2*stride
		}
		for j, l := range ls {
			if !l.closed {
				t := part * l.load.step() * float64(stride)
				x[stage][j], y[stage][j] = l.rate(&l.load.at[2*l.i+off], l.ex+t*x[stage-1][j], l.ey+t*y[stage-1][j])
			}
		}
	}
	for j, l := range ls {
		if l.closed {
			continue
		}
		h := l.load.step() * float64(stride)
		nx := l.ex + h/6*(x[0][j]+2*(x[1][j]+x[2][j])+x[3][j])
		ny := l.ey + h/6*(y[0][j]+2*(y[1][j]+y[2][j])+y[3][j])
		a := l.load.at[2*l.i : 2*(l.i+stride)+1]
		l.finish(&a[0], &a[stride], &a[2*stride], h, 0, nx, ny, math.Abs(x[2][j]-x[1][j])+math.Abs(y[2][j]-y[1][j]))
		if l.i += stride; l.i >= l.load.Steps {
			l.i = 0
		}
	}
}
