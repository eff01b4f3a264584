package draw

import (
	"math"
	"strings"

	"fettle/internal/know/family"
	"fettle/internal/show/plot"
)

// The overview of an engine with two banks is a section across the crank, as
// seen from its free end, each bank at its angle.

// bankAt is a point of a bank: u along its cylinders from the crank, w across
// them away from the other bank, both in millimetres.
func (v *overview) bankAt(bank int, u, w float64) (x, y float64) {
	lean := bankLean(v.e, 2)[bank] * math.Pi / 180
	if bank == 0 {
		w = -w
	}
	sin, cos := math.Sincos(lean)
	return u*sin + w*cos, -u*cos + w*sin
}

// reach is how far a bank goes from the crank.
func (v *overview) reach() float64 {
	if v.e.Valvetrain.Kind == "pushrod" {
		return v.g.deck + v.g.headHigh() + 22
	}
	return v.g.deck + v.g.headHigh() + 40
}

// across sets the bounds of the section.
func (v *overview) across() {
	g := v.g
	wide := g.bore/2 + 26
	v.front, v.rear, v.top, v.foot = -g.stroke*1.2, g.stroke*1.2, -g.stroke*1.2, g.stroke/2+g.main*0.5+70
	for b := range 2 {
		for _, w := range []float64{-wide, wide} {
			x, y := v.bankAt(b, v.reach(), w)
			v.front, v.rear = min(v.front, x-4), max(v.rear, x+4)
			v.top, v.foot = min(v.top, y-4), max(v.foot, y+4)
		}
	}
	v.mid = 0
}

// whereAcross places a component in the section; what both banks have stands
// on the one named.
func (v *overview) whereAcross(c *family.Component, bank int) area {
	g := v.g
	on := func(u, w float64) area { x, y := v.bankAt(bank, u, w); return area{x, y, 0, 0} }
	side := float64(2*bank - 1)
	has := func(words ...string) bool {
		for _, w := range words {
			if strings.Contains(c.ID, w) {
				return true
			}
		}
		return false
	}
	head := g.deck + g.headHigh()
	switch {
	case has("flywheel", "clutch"):
		return area{g.stroke * 1.15 * math.Cos(math.Pi/5), g.stroke * 1.15 * math.Sin(math.Pi/5), 0, 0}
	case has("damper", "pulley"):
		return area{-g.stroke * 0.75 * math.Cos(math.Pi/4), g.stroke * 0.75 * math.Sin(math.Pi/4), 0, 0}
	case has("gasket"):
		return on(g.deck+1.5, g.bore/2+12)
	case has("seal"):
		return area{side * g.main * 0.5, g.main * 0.1, 0, 0}
	case has("throttle", "injector", "intake"):
		return on(head-16, -g.bore*0.45)
	case has("guide") && c.System == "head":
		return on(g.deck+g.headHigh()*0.45, -g.bore*0.23)
	}
	switch c.System {
	case "block":
		return on(g.deck-g.depth*0.6, g.bore/2+14)
	case "pistons":
		return on(v.pinAcross(bank)+6, 0)
	case "rods":
		return on(v.pinAcross(bank)-g.rod*0.45, 0)
	case "bearings":
		return area{side * g.main * 0.3, g.main * 0.3, 0, g.main * 0.15}
	case "crank":
		return area{side * 4, -4, 0, 0}
	case "head":
		return on(g.deck+g.headHigh()*0.4, g.bore*0.42)
	case "valvetrain":
		if has("cam") && v.e.Valvetrain.Kind == "pushrod" {
			return area{side * 3, -(g.stroke*0.5 + g.main*0.5 + 18), 0, 0}
		}
		if has("cam") {
			return on(head+14, g.bore*0.23)
		}
		return on(head-14, -g.bore*0.23)
	case "cam-drive":
		return area{side * v.pitchRadius(v.e.Drive.CrankTeeth) * 0.7, -v.pitchRadius(v.e.Drive.CrankTeeth) * 0.7, 0, 0}
	case "lubrication":
		return area{side * g.bore * 0.4, g.stroke/2 + g.main*0.5 + 40, 0, 14}
	case "fasteners":
		return on(g.deck+8, g.bore/2+8)
	}
	return area{side * g.stroke, g.stroke * 0.3, 0, 6}
}

// pinAcross is how far the piston's pin of a bank stands from the crank: the
// first cylinders are shown, at the angle of their pins.
func (v *overview) pinAcross(bank int) float64 {
	t := v.throwAcross(bank)
	throw := v.g.stroke / 2
	sin, cos := math.Sincos(t)
	return throw*cos + math.Sqrt(max(1, v.g.rod*v.g.rod-throw*throw*sin*sin))
}

// throwAcross is the angle of a bank's first crankpin from that bank's axis.
func (v *overview) throwAcross(bank int) float64 {
	angle := v.g.throws(v.e)
	pin := v.e.PinOf(v.g.banks[bank][0]) - 1
	lean := bankLean(v.e, 2)
	return (angle[min(pin, len(angle)-1)] + lean[0] - lean[bank]) * math.Pi / 180
}

func (v *overview) bodyAcross() {
	g := v.g
	v.link("lubrication", "oil-pump")
	low := g.stroke/2 + g.main*0.5 + 64
	half := g.bore*0.8 + 10
	sump := plot.Polygon(v.at(-half, g.main*0.5), v.at(half, g.main*0.5), v.at(half*0.72, low-10), v.at(half*0.6, low), v.at(-half*0.6, low), v.at(-half*0.72, low-10))
	v.c.Path(sump, plot.Style{Fill: plot.InkGround, Stroke: plot.InkPen, Line: plot.Narrow})
	v.c.Close()
	v.link("flywheel", "crank")
	v.c.Circle(v.at(0, 0), g.stroke*1.15*v.k, hidden())
	v.c.Close()
	v.link("damper", "crank")
	v.c.Circle(v.at(0, 0), g.stroke*0.75*v.k, hidden())
	v.c.Close()
	for b := range 2 {
		v.bankAcross(b)
	}
	v.link("cam", "valvetrain")
	if v.e.Valvetrain.Kind == "pushrod" {
		v.c.Circle(v.at(0, -(g.stroke*0.5+g.main*0.5+18)), 16*v.k, solid())
		plot.CentreMark(v.c, v.at(0, -(g.stroke*0.5+g.main*0.5+18)), 16*v.k)
	}
	v.c.Close()
	v.link("crank")
	for b := range 2 {
		lean := bankLean(v.e, 2)[b] + v.throwAcross(b)*180/math.Pi
		p := away(v.at(0, 0), g.stroke/2*v.k, lean-90)
		web := (&plot.Path{}).Arc(p, g.pin*0.6*v.k, lean-180, lean).Arc(v.at(0, 0), g.main*0.72*v.k, lean+20, lean+160).Close()
		v.c.Path(web, plot.Style{Stroke: plot.InkPen, Line: plot.Narrow})
		v.c.Circle(p, g.pin/2*v.k, solid())
	}
	v.c.Circle(v.at(0, 0), g.main/2*v.k, solid())
	plot.CentreMark(v.c, v.at(0, 0), g.stroke*0.75*v.k)
	v.c.Close()
	v.link("chain", "drive", "cam-drive")
	v.c.Circle(v.at(0, 0), v.pitchRadius(v.e.Drive.CrankTeeth)*v.k, plot.Style{Stroke: plot.InkThin, Line: plot.Chain})
	v.c.Close()
}

// bankAcross draws one bank: block, piston, rod, head and its valves.
func (v *overview) bankAcross(b int) {
	g := v.g
	at := func(u, w float64) plot.Point { return v.at(v.bankAt(b, u, w)) }
	r, wall, head := g.bore/2, 20.0, g.deck+g.headHigh()
	quad := func(u0, w0, u1, w1 float64) *plot.Path {
		return plot.Polygon(at(u0, w0), at(u0, w1), at(u1, w1), at(u1, w0))
	}
	v.link("block")
	v.c.Path(quad(g.main*0.3, -r-wall*0.2, g.deck, r+wall), plot.Style{Fill: plot.InkGround})
	for _, d := range []float64{-1, 1} {
		cut(v.c, quad(g.deck-g.depth, d*r, g.deck, d*(r+wall)), []float64{-45, 45}[b]*d)
	}
	v.c.Line(at(g.deck-g.depth, r+wall), at(g.main*0.2, g.bore*0.75), edge())
	v.c.Close()
	v.link("head")
	v.c.Path(plot.Polygon(at(g.deck+3, -r-wall), at(g.deck+3, -r), at(g.deck+10, -r*0.8), at(g.deck+10, r*0.8), at(g.deck+3, r), at(g.deck+3, r+wall), at(head, r+wall), at(head, -r-wall)), solid())
	v.c.Close()
	v.link("gasket")
	v.c.Path(quad(g.deck, r, g.deck+3, r+wall).Append(quad(g.deck, -r, g.deck+3, -r-wall)), plot.Style{Fill: plot.InkPen})
	v.c.Close()
	v.link("valve", "valvetrain")
	for _, w := range []float64{-0.23, 0.23} {
		c, n := w*g.bore, min(g.inlet/2, g.bore*0.2)
		v.c.Path(plot.Polygon(at(g.deck+10, c-n), at(g.deck+10, c+n), at(g.deck+20, c+2), at(head-2, c+2), at(head-2, c-2), at(g.deck+20, c-2)), plot.Style{Fill: plot.InkGround, Stroke: plot.InkPen, Line: plot.Narrow})
		for j := range 4 {
			u := head - 6 - g.headHigh()*0.45*(float64(j)+0.2)/4
			v.c.Line(at(u-3, c-9), at(u+3, c+9), fine())
		}
		if v.e.Valvetrain.Kind != "pushrod" {
			v.c.Circle(at(head+16, c), 15*v.k, solid())
			plot.CentreMark(v.c, at(head+16, c), 13*v.k)
		}
	}
	if v.e.Valvetrain.Kind == "pushrod" { // rocker, and its rod to the cam between the banks
		v.c.Path(quad(head+4, -g.bore*0.4, head+14, g.bore*0.3), solid())
		v.c.Line(at(head+4, -g.bore*0.4), v.at(float64(2*b-1)*9, -(g.stroke*0.5+g.main*0.5+30)), hidden())
	}
	v.c.Close()
	pin := v.pinAcross(b)
	v.link("rod", "rods")
	p, t := at(pin, 0), bankLean(v.e, 2)[b]+v.throwAcross(b)*180/math.Pi
	q := away(v.at(0, 0), g.stroke/2*v.k, t-90)
	dx, dy := q.X-p.X, q.Y-p.Y
	long := math.Hypot(dx, dy)
	nx, ny := -dy/long*6*v.k, dx/long*6*v.k
	v.c.Path(plot.Polygon(p.Add(-nx, -ny), p.Add(nx, ny), q.Add(1.6*nx, 1.6*ny), q.Add(-1.6*nx, -1.6*ny)), solid())
	v.c.Circle(q, (g.pin/2+7)*v.k, solid())
	v.c.Close()
	v.link("piston", "pistons")
	v.c.Path(quad(pin-g.bore*0.27, -r+1, pin+g.crown, r-1), solid())
	for _, y := range g.grooves() {
		v.c.Line(at(pin+g.crown-y-1, -r+1), at(pin+g.crown-y-1, r-1), fine())
	}
	v.c.Circle(p, g.bore*0.13*v.k, fine())
	v.c.Close()
	plot.CentreLine(v.c, v.at(0, 0), at(head+6, 0), 8)
	number(v.c, at(g.deck-g.depth*0.82, -r*0.62), v.g.names[b])
}
