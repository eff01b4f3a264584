package draw

import (
	"math"
	"strconv"

	"fettle/internal/show/plot"
)

// body draws the engine along its crank, cut through its first bank.
func (v *overview) body() {
	g, k := v.g, v.k
	first, last := -g.spacing/2-ends, (float64(g.rows)-0.5)*g.spacing+ends
	box := func(x0, y0, x1, y1, r float64) *plot.Path {
		p := v.at(x0, y0)
		return round(p.X, p.Y, (x1-x0)*k, (y1-y0)*k, r)
	}
	v.link("lubrication", "oil-pump")
	v.c.Path(plot.Polygon(v.at(first, g.main*0.55), v.at(last, g.main*0.55), v.at(last, v.foot-34), v.at(first+g.spacing*0.9, v.foot-34), v.at(first+g.spacing*0.8, v.foot-4), v.at(first+8, v.foot-4), v.at(first, v.foot-20)), plot.Style{Fill: plot.InkGround, Stroke: plot.InkPen, Line: plot.Narrow})
	v.c.Close()
	v.link("block")
	v.c.Path(box(first, -g.deck, last, g.main*0.55, 2), solid())
	bank := g.banks[0]
	for i := -1; i < g.rows; i++ { // walls between the bores
		x := (float64(i) + 0.5) * g.spacing
		half := (g.spacing - g.bore) / 2
		x0, x1 := x-half, x+half
		if i == -1 {
			x0 = first
		}
		if i == g.rows-1 {
			x1 = last
		}
		cut(v.c, box(x0, -g.deck, x1, -g.deck+g.depth, 0), -45)
	}
	v.c.Close()
	v.shaftLong()
	angle := g.throws(v.e)
	for i, cyl := range bank {
		a := angle[min(v.e.PinOf(cyl)-1, len(angle)-1)] * math.Pi / 180
		x := float64(i) * g.spacing
		sin, cos := math.Sincos(a)
		throw := g.stroke / 2
		pin := -throw*cos - math.Sqrt(max(1, g.rod*g.rod-throw*throw*sin*sin))
		v.link("rod", "rods")
		v.c.Path(plot.Polygon(v.at(x-4, pin), v.at(x+4, pin), v.at(x+6, -throw*cos), v.at(x-6, -throw*cos)), plot.Style{Fill: plot.InkGround, Stroke: plot.InkPen, Line: plot.Narrow})
		v.c.Path(box(x-9, -throw*cos-g.pin*0.62, x+9, -throw*cos+g.pin*0.62, 2), plot.Style{Fill: plot.InkGround, Stroke: plot.InkPen, Line: plot.Narrow})
		v.c.Close()
		v.link("piston", "pistons")
		v.pistonLong(x, pin)
		v.c.Close()
		number(v.c, v.at(x-g.bore*0.3, -g.deck+g.depth+12), strconv.Itoa(cyl))
		v.link("head")
		v.headLong(x)
		v.c.Close()
		plot.CentreLine(v.c, v.at(x, -g.deck-g.headHigh()), v.at(x, g.stroke/2), 4)
	}
	v.endsLong(first, last)
}

func (v *overview) pistonLong(x, pin float64) {
	g, k := v.g, v.k
	r := g.bore/2 - 0.6
	p := v.at(x-r, pin-g.crown)
	v.c.Path(round(p.X, p.Y, 2*r*k, (g.crown+g.bore*0.26)*k, 2), solid())
	for _, y := range g.grooves() {
		v.c.Line(v.at(x-r, pin-g.crown+y+1), v.at(x+r, pin-g.crown+y+1), fine())
	}
	q := v.at(x-g.bore*0.36, pin-g.bore*0.11)
	v.c.Path(round(q.X, q.Y, g.bore*0.72*k, g.bore*0.22*k, 1), fine())
}

// headLong draws the head over one cylinder: chamber roof, valves, springs.
func (v *overview) headLong(x float64) {
	g := v.g
	top := -g.deck - g.headHigh()
	v.c.Path(plot.Polygon(v.at(x-g.spacing/2, -g.deck-3), v.at(x-g.bore/2, -g.deck-3), v.at(x-g.bore*0.42, -g.deck-8), v.at(x+g.bore*0.42, -g.deck-8), v.at(x+g.bore/2, -g.deck-3), v.at(x+g.spacing/2, -g.deck-3), v.at(x+g.spacing/2, top), v.at(x-g.spacing/2, top)), plot.Style{Fill: plot.InkGround, Stroke: plot.InkPen, Line: plot.Narrow})
	n := max(1, min(3, v.e.Valves.Inlet))
	for i := range n {
		c := x + (float64(i)-float64(n-1)/2)*g.bore*0.44
		if n == 1 {
			c = x - g.bore*0.23
		}
		r := min(g.inlet/2, g.bore*0.2)
		v.c.Path(plot.Polyline(v.at(c-r, -g.deck-8), v.at(c+r, -g.deck-8), v.at(c+2, -g.deck-18), v.at(c+2, top-6), v.at(c-2, top-6), v.at(c-2, -g.deck-18)).Close(), plot.Style{Fill: plot.InkGround, Stroke: plot.InkPen, Line: plot.Narrow})
		low := top + g.headHigh()*0.42
		for j := range 4 {
			y := low + (top-low)*(float64(j)+0.4)/4
			v.c.Line(v.at(c-9, y+3), v.at(c+9, y-3), fine())
		}
	}
}

// shaftLong draws the crank in the overview.
func (v *overview) shaftLong() {
	g := v.g
	v.link("crank")
	a := axis{v.o.X, v.o.Y, v.k, nil, nil}
	a.mains, a.pins = g.stations()
	if len(a.mains) > 1 { // stretched or shortened to the length of the bank
		long := a.mains[len(a.mains)-1] - a.mains[0]
		f := float64(g.rows) * g.spacing / long
		lo := a.mains[0]
		for i := range a.mains {
			a.mains[i] = -g.spacing/2 + (a.mains[i]-lo)*f
		}
		for i := range a.pins {
			a.pins[i] = -g.spacing/2 + (a.pins[i]-lo)*f
		}
	}
	angle := g.throws(v.e)
	half := g.pitch * 0.15 * v.k
	for i, p := range a.pins {
		up := -g.stroke / 2 * math.Cos(angle[i]*math.Pi/180)
		top, foot := min(up-g.pin*0.55, -g.main*0.5), max(up+g.pin*0.55, g.main*0.5)
		for _, d := range []float64{-1, 1} {
			x := a.x(p) + d*(half*1.9)
			v.c.Path(round(x-half*0.8, v.o.Y+top*v.k, half*1.6, (foot-top)*v.k, 2), plot.Style{Fill: plot.InkGround, Stroke: plot.InkPen, Line: plot.Narrow})
		}
		v.c.Path(round(a.x(p)-half*1.1, v.o.Y+(up-g.pin/2)*v.k, half*2.2, g.pin*v.k, 1), plot.Style{Fill: plot.InkGround, Stroke: plot.InkPen, Line: plot.Narrow})
	}
	for _, m := range a.mains {
		v.c.Path(round(a.x(m)-half*1.2, v.o.Y-g.main/2*v.k, half*2.4, g.main*v.k, 1), solid())
	}
	v.c.Close()
}

// endsLong draws what lies at the ends: gasket, cams, drive, damper,
// flywheel.
func (v *overview) endsLong(first, last float64) {
	g, k := v.g, v.k
	box := func(a area, r float64) *plot.Path {
		p := v.at(a.x-a.dx, a.y-a.dy)
		return round(p.X, p.Y, 2*a.dx*k, 2*a.dy*k, r)
	}
	mid := (first + last) / 2
	v.link("gasket")
	v.c.Path(box(area{mid, -g.deck - 1.5, (last - first) / 2, 1.5}, 0), plot.Style{Fill: plot.InkPen})
	v.c.Close()
	v.link("cam", "valvetrain")
	cam := v.camHeight()
	if v.e.Valvetrain.Kind == "pushrod" {
		v.c.Path(box(area{mid, v.top + 40, (last - first) / 2, 8}, 3), plot.Style{Fill: plot.InkGround, Stroke: plot.InkPen, Line: plot.Narrow})
		v.c.Path(box(area{mid, cam, (last - first) / 2, 9}, 2), hidden())
	} else {
		v.c.Path(box(area{(first - 12 + last) / 2, cam, (last - first + 12) / 2, 8}, 2), solid())
		for i := range g.rows {
			for _, d := range []float64{-0.22, 0.22} {
				v.c.Path(box(area{(float64(i) + d) * g.spacing, cam + 4*d/math.Abs(d), 6, 15}, 2), solid())
			}
		}
	}
	v.c.Close()
	v.link("chain", "drive", "cam-drive")
	x := v.front + 40
	rc, rk := v.camWheel(), v.pitchRadius(v.e.Drive.CrankTeeth)
	v.c.Path(box(area{x, (cam - rc + rk) / 2, 7, (rk - cam + rc) / 2}, 3), plot.Style{Fill: plot.InkTint, Stroke: plot.InkPen, Line: plot.Narrow})
	v.c.Path(box(area{x, cam, 9, rc}, 2), solid())
	v.c.Path(box(area{x, 0, 9, min(rk, 40)}, 2), solid())
	v.c.Close()
	v.link("damper", "crank")
	v.c.Path(box(area{v.front + 26, 0, 24, g.main * 0.3}, 1), fine())
	v.c.Path(box(area{v.front + 16, 0, 10, g.stroke * 0.72}, 3), solid())
	v.c.Close()
	v.link("flywheel", "crank")
	v.c.Path(box(area{v.rear - 32, 0, 10, g.main * 0.5}, 1), solid())
	v.c.Path(box(area{v.rear - 18, 0, 8, g.stroke * 1.15}, 3), solid())
	v.c.Close()
	plot.CentreLine(v.c, v.at(v.front, 0), v.at(v.rear, 0), 8)
}
