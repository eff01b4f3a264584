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
