package draw

import (
	"fmt"
	"math"
	"strconv"

	"fettle/internal/show/plot"
)

// face draws the head from the gasket side: chambers with their valves and,
// for the face itself, the grid of heights, bridges and bolt holes.
func (s *sheet) face(grid bool) view {
	g := s.g
	high := g.face
	head, between, foot := 14.0, 30.0, 16.0
	if grid {
		head, foot = 34, 34
	} else {
		high = g.bore * 1.24
	}
	fs, w, h := s.fields(high, head, between, foot)
	return view{w, h, func(at plot.Point) {
		for _, f := range fs {
			f = f.moved(at)
			s.outline(f, high)
			for i, cyl := range g.banks[f.bank] {
				s.chamber(f, i, cyl)
			}
			if grid {
				s.bridges(f)
				s.holes(f)
				s.faceSeats(f)
				s.givenSeats(f)
				s.namedSeats(f)
			}
			if len(fs) == 2 {
				number(s.c, s.bankName(f), g.names[f.bank])
			}
		}
		if grid {
			s.faceDimensions(at, fs)
		}
	}}
}

// disc is a circle in a chamber, in millimetres from its middle.
type disc struct {
	name    string
	x, y, r float64
}

// valves lays the valves of one cylinder out in its chamber: inlets on the
// upper side, exhausts on the lower; two alone stand along the engine.
func (s *sheet) valves() []disc {
	g, v := s.g, s.e.Valves
	b := g.bore
	var out []disc
	put := func(name string, x, y, d float64) { out = append(out, disc{name, x * b, y * b, d / 2}) }
	if v.Inlet == 1 && v.Exhaust == 1 {
		put("I1", -0.235, -0.02, g.inlet)
		put("E1", 0.255, -0.02, g.exhaust)
	} else {
		row := func(kind string, n int, side, d float64) {
			spots := map[int][][2]float64{1: {{0, 0.245}}, 2: {{-0.225, 0.19}, {0.225, 0.19}}, 3: {{-0.32, 0.06}, {0, 0.27}, {0.32, 0.06}}}[n]
			if n == 2 && v.Inlet == 3 {
				spots = [][2]float64{{-0.19, 0.265}, {0.19, 0.265}}
			}
			for i, p := range spots {
				put(fmt.Sprintf("%s%d", kind, i+1), p[0], side*p[1], d)
			}
		}
		row("I", v.Inlet, -1, g.inlet)
		row("E", v.Exhaust, 1, g.exhaust)
	}
	for i := range out { // never larger than the room between neighbours
		for j := range out {
			if i != j {
				most := 0.96 * math.Hypot(out[i].x-out[j].x, out[i].y-out[j].y) * out[i].r / (out[i].r + out[j].r)
				out[i].r = min(out[i].r, most)
			}
		}
		out[i].r = min(out[i].r, b/2*1.03-math.Hypot(out[i].x, out[i].y))
	}
	return out
}

func (s *sheet) chamber(f field, i, cyl int) {
	g := s.g
	x := float64(i) * g.spacing
	o, name := f.at(x, 0), strconv.Itoa(cyl)
	s.c.Circle(o, g.bore/2*f.scale, edge())
	s.c.Circle(o, g.bore*0.47*f.scale, faint())
	plot.CentreLine(s.c, o.Add(0, -g.bore/2*f.scale), o.Add(0, g.bore/2*f.scale), 6)
	plug := 0.0
	if s.e.Valves.Inlet+s.e.Valves.Exhaust == 2 {
		plug = 0.32 * g.bore
	} else if s.e.Valves.Exhaust == 1 {
		plug = -0.06 * g.bore
	}
	for _, v := range s.valves() {
		p := f.at(x+v.x, v.y)
		s.c.Circle(p, v.r*f.scale, edge())
		s.c.Circle(p, (v.r-2)*f.scale, fine())
		s.seat(p, "cyl", name, "valve", v.name)
	}
	p := f.at(x, plug)
	s.c.Circle(p, min(6, g.bore*0.07)*f.scale, fine())
	s.seat(p, "cyl", name)
	number(s.c, away(o, g.bore/2*f.scale+9, -128), name)
}

func (s *sheet) faceDimensions(at plot.Point, fs []field) {
	g, f := s.g, fs[0].moved(at)
	if len(g.banks[0]) > 1 {
		plot.Dimension(s.c, f.at(0, -g.face/2), f.at(g.spacing, -g.face/2), 14, s.figure(s.e.BoreSpacing))
	}
	plot.Dimension(s.c, f.at(-g.spacing/2-ends, g.face/2), f.at(-g.spacing/2-ends, -g.face/2), 18, s.figure(s.e.FaceWidth))
	last := fs[len(fs)-1].moved(at)
	x := float64(len(g.banks[len(fs)-1])-1) * g.spacing
	low := last.at(0, g.face/2).Y + 22
	q := map[string]string{"I1": s.figure(s.e.Valves.InletHead), "E1": s.figure(s.e.Valves.ExhaustHead)}
	for _, v := range s.valves() {
		if q[v.name] == "" {
			continue
		}
		tip := away(last.at(x+v.x, v.y), v.r*f.scale, 72)
		knee := plot.Pt(last.at(x+g.spacing*0.38, 0).X, low)
		if v.name == "I1" {
			tip = away(last.at(x+v.x, v.y), v.r*f.scale, 110)
			knee = plot.Pt(last.at(x-g.spacing*0.32, 0).X, low)
		}
		plot.Leader(s.c, tip, knee, false, diameter(q[v.name]))
	}
}
