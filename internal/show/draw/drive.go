package draw

import (
	"math"

	"fettle/internal/show/plot"
)

// wheel is one wheel of the cam drive on the sheet.
type wheel struct {
	at    plot.Point
	r     float64
	teeth int
	cam   string // "" for the crank
}

// pitchRadius is the radius of a wheel's pitch circle in millimetres:
// p/(2 sin(π/z)) for a chain, z·p/2π for a belt or a gear, whose pitch stands
// in for a file that gives none.
func (s *sheet) pitchRadius(teeth int) float64 {
	d := s.e.Drive
	z := float64(max(teeth, 6))
	pitch := mm(d.Pitch, 0)
	if pitch == 0 {
		pitch = 9.5
		if d.Kind == "gear" {
			pitch = 2.5 * math.Pi
		}
	}
	if d.Kind == "chain" {
		return pitch / (2 * math.Sin(math.Pi/z))
	}
	return z * pitch / (2 * math.Pi)
}

// camPlaces lists where the cams lie, in millimetres from the crank, x to the
// right and y up, bank by bank.
func (s *sheet) camPlaces() [][]plot.Point {
	g, r := s.g, s.pitchRadius(s.e.Drive.CamTeeth)
	lean := bankLean(s.e, len(g.banks))
	n := s.e.Valvetrain.Camshafts
	if s.e.Valvetrain.Kind == "pushrod" || n == 1 && len(g.banks) == 2 {
		far := (r + s.pitchRadius(s.e.Drive.CrankTeeth)) * 1.18
		if n == 1 {
			return [][]plot.Point{{plot.Pt(0, far)}}
		}
		return [][]plot.Point{{plot.Pt(-far*0.75, far*0.75)}, {plot.Pt(far*0.75, far*0.75)}}
	}
	far := g.deck + 0.95*g.bore
	var out [][]plot.Point
	for b := range lean {
		sin, cos := math.Sincos(lean[b] * math.Pi / 180)
		side := r + 5
		if s.e.Drive.Kind == "gear" { // the cams' wheels mesh
			side = r
		}
		var here []plot.Point
		switch max(1, n/len(lean)) {
		case 1:
			here = []plot.Point{plot.Pt(far*sin, far*cos)}
		default:
			here = []plot.Point{plot.Pt(far*sin-side*cos, far*cos+side*sin), plot.Pt(far*sin+side*cos, far*cos-side*sin)}
		}
		out = append(out, here)
	}
	return out
}

// drive draws the cam drive from the front: wheels at their pitch circles,
// chain, belt or gears, guides and tensioner, timing units on their cams.
func (s *sheet) drive() view {
	banks := s.camPlaces()
	rCam, rCrank := s.pitchRadius(s.e.Drive.CamTeeth), s.pitchRadius(s.e.Drive.CrankTeeth)
	left, right, top, foot := -rCrank, rCrank, rCrank, -rCrank
	for _, bank := range banks {
		for _, p := range bank {
			left, right = min(left, p.X-rCam), max(right, p.X+rCam)
			top, foot = max(top, p.Y+rCam), min(foot, p.Y-rCam)
		}
	}
	const margin = 56.0
	k := min(1.35, (full-2*margin-40)/(right-left), 430/(top-foot))
	k = max(k, 26/rCam)
	w, h := (right-left)*k+2*margin+60, (top-foot)*k+2*margin
	return view{w, h, func(at plot.Point) {
		o := plot.Pt(at.X+margin+30-left*k, at.Y+margin+top*k)
		crank := wheel{o, rCrank * k, s.e.Drive.CrankTeeth, ""}
		names, i := s.e.CamNames(), 0
		rails := 0
		for _, bank := range banks {
			ws := []wheel{crank}
			for _, p := range bank {
				name := ""
				if i < len(names) {
					name = names[i]
				}
				ws = append(ws, wheel{o.Add(p.X*k, -p.Y*k), rCam * k, s.e.Drive.CamTeeth, name})
				i++
			}
			if s.e.Drive.Kind == "gear" {
				s.gears(ws, k)
			} else {
				rails = s.loop(ws, rails)
			}
			for _, w := range ws[1:] {
				s.wheel(w, crank.at)
			}
		}
		s.wheel(crank, crank.at)
		s.seat(crank.at, "sprocket", "crank")
	}}
}

// wheel draws a toothed wheel, with the timing unit if its cam has one, and
// claims its seats. The name of its cam stands on the side away from the crank.
func (s *sheet) wheel(w wheel, crank plot.Point) {
	s.c.Circle(w.at, w.r-2, solid())
	s.c.Circle(w.at, w.r, plot.Style{Stroke: plot.InkThin, Line: plot.Chain})
	teeth := &plot.Path{}
	for i := range w.teeth {
		a := 360 * float64(i) / float64(w.teeth)
		teeth.Move(away(w.at, w.r-3, a)).Line(away(w.at, w.r+2, a))
	}
	s.c.Path(teeth, fine())
	plot.CentreMark(s.c, w.at, w.r)
	if w.cam == "" {
		s.c.Circle(w.at, w.r*0.45, edge())
		return
	}
	out := math.Atan2(w.at.Y-crank.Y, w.at.X-crank.X) * 180 / math.Pi
	number(s.c, away(w.at, w.r+14+8*math.Abs(math.Cos(out*math.Pi/180)), out), w.cam)
	seat := w.at
	if d := s.l.Dims["phaser"]; d != nil && contains(d.Values, w.cam) {
		s.phaser(w)
		s.seat(w.at, "phaser", w.cam)
		seat = w.at.Add(0, min(w.r-2, 28))
	} else {
		for i := range 5 {
			s.c.Circle(away(w.at, w.r*0.62, 72*float64(i)-90), w.r*0.12, fine())
		}
		s.c.Circle(w.at, w.r*0.28, edge())
	}
	s.seat(seat, "cam", w.cam)
}

// phaser draws the rotor, its vanes and the chambers of a timing unit.
func (s *sheet) phaser(w wheel) {
	r := w.r * 0.8
	s.c.Circle(w.at, r, edge())
	rotor := &plot.Path{}
	for i := range 4 {
		a := 90*float64(i) + 20
		rotor.Arc(w.at, r*0.93, a-9, a+9)
		rotor.Arc(w.at, r*0.5, a+22, a+68)
	}
	s.c.Path(rotor.Close(), plot.Style{Fill: plot.InkTint, Stroke: plot.InkPen, Line: plot.Narrow})
	s.c.Circle(w.at, r*0.26, solid())
}

// touching returns where the outer straight run from one wheel to the next
// leaves and arrives, and the angle of the radius there, for a loop that runs
// clockwise on the sheet.
func touching(a, b wheel) (p, q plot.Point, angle float64) {
	dx, dy := b.at.X-a.at.X, b.at.Y-a.at.Y
	far := math.Hypot(dx, dy)
	ratio := max(-1, min(1, (a.r-b.r)/far))
	along := math.Atan2(dy, dx)
	angle = (along - math.Acos(ratio)) * 180 / math.Pi
	return away(a.at, a.r, angle), away(b.at, b.r, angle), angle
}

// loop draws a chain or belt round the wheels, with guides outside its runs,
// and claims the seats of guides and tensioner. It returns how many guides
// have been drawn so far.
func (s *sheet) loop(ws []wheel, rails int) int {
	order := clockwise(ws)
	n := len(order)
	band := &plot.Path{}
	type run struct {
		p, q  plot.Point
		angle float64
	}
	runs := make([]run, n)
	for i := range order {
		p, q, a := touching(order[i], order[(i+1)%n])
		runs[i] = run{p, q, a}
	}
	for i := range order {
		from, to := runs[(i+n-1)%n].angle, runs[i].angle
		for to < from {
			to += 360
		}
		band.Arc(order[i].at, order[i].r, from, to)
	}
	band.Close()
	if s.e.Drive.Kind == "belt" {
		s.c.Path(band, plot.Style{Stroke: plot.InkPen, Line: plot.Heavy})
	} else {
		for range max(1, min(s.e.Drive.Rows, 1)) {
			s.c.Path(band, plot.Style{Stroke: plot.InkPen, Line: plot.Heavy})
		}
	}
	dim := "rail"
	values := s.values(dim)
	if values == nil {
		dim = "guide"
		values = s.values(dim)
	}
	for i, r := range runs {
		mid := plot.Pt((r.p.X+r.q.X)/2, (r.p.Y+r.q.Y)/2)
		if math.Hypot(r.q.X-r.p.X, r.q.Y-r.p.Y) < 50 {
			continue
		}
		name := "upper"
		switch {
		case order[i].cam == "": // the chain leaves the crank here
			name = "slack"
		case order[(i+1)%n].cam == "":
			name = "taut"
		}
		s.rail(r.p, r.q, r.angle, name == "slack")
		if !contains(values, name) && rails < len(values) {
			name = values[rails]
		}
		spot := away(mid, 26, r.angle+180)
		if contains(values, name) {
			s.c.Line(mid, spot, faint())
			s.seat(spot, dim, name)
		}
		rails++
	}
	return rails
}

// rail draws a guide outside a straight run; the slack side, which
// leaves the crank, has the bowed one with the tensioner behind it.
func (s *sheet) rail(p, q plot.Point, angle float64, slack bool) {
	at := func(t, out float64) plot.Point {
		return away(plot.Pt(p.X+(q.X-p.X)*t, p.Y+(q.Y-p.Y)*t), out, angle)
	}
	if s.e.Drive.Kind == "belt" {
		if slack {
			s.c.Circle(at(0.5, 13), 11, solid())
			s.c.Circle(at(0.5, 13), 4, fine())
		}
		return
	}
	bow := 3.0
	if slack {
		bow = 9
	}
	shoe := plot.Polyline(at(0.16, 3.5)).Curve(at(0.38, 3.5), at(0.62, 3.5), at(0.84, 3.5)).Line(at(0.84, 7)).Curve(at(0.62, 6+bow), at(0.38, 6+bow), at(0.16, 7)).Close()
	s.c.Path(shoe, plot.Style{Fill: plot.InkTint, Stroke: plot.InkPen, Line: plot.Narrow})
	if !slack {
		return
	}
	body := plot.Polygon(at(0.42, 17), at(0.58, 17), at(0.58, 38), at(0.42, 38))
	s.c.Path(plot.Polygon(at(0.47, 7+bow/2), at(0.53, 7+bow/2), at(0.53, 17), at(0.47, 17)), solid())
	s.c.Path(body, solid())
	plot.CentreLine(s.c, at(0.5, 6), at(0.5, 38), 5)
}

// clockwise orders wheels round their middle as seen on the sheet.
func clockwise(ws []wheel) []wheel {
	var mid plot.Point
	for _, w := range ws {
		mid = mid.Add(w.at.X/float64(len(ws)), w.at.Y/float64(len(ws)))
	}
	out := append([]wheel(nil), ws...)
	for i := 1; i < len(out); i++ {
		for j := i; j > 0; j-- {
			a := math.Atan2(out[j].at.Y-mid.Y, out[j].at.X-mid.X)
			b := math.Atan2(out[j-1].at.Y-mid.Y, out[j-1].at.X-mid.X)
			if a >= b {
				break
			}
			out[j], out[j-1] = out[j-1], out[j]
		}
	}
	return out
}

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
