package draw

import (
	"math"
	"sort"
	"strconv"
	"strings"

	"fettle/internal/know/family"
	"fettle/internal/show/plot"
)

// Engine draws the whole engine as the way into its parts, one bank along its
// crank, two banks across it:
// each component with a mark stands in the margin with its finished title,
// tied to its place, and what is drawn of it leads there too. marks are by
// component id; the corner is at the origin.
//
// Units: sheet units (1/96 inch); the drawing fills EngineSize.
func Engine(c plot.Canvas, l *family.Layout, marks Marks, opt Options) {
	newOverview(c, l, marks, opt).draw()
}

// EngineSize returns how large the whole engine is drawn.
func EngineSize(l *family.Layout, marks Marks, opt Options) (w, h float64) {
	o := newOverview(blank{}, l, marks, opt)
	return o.w, o.h
}

// area is a piece of the engine in the overview: its middle, and half its
// size, in millimetres from the first cylinder and the crank's axis, y down.
type area struct{ x, y, dx, dy float64 }

// overview is the drawing of a whole engine in the making.
type overview struct {
	*sheet
	marks       Marks
	k           float64
	o           plot.Point // first cylinder on the crank's axis
	left, right []item
	margin      float64
	top, foot   float64 // of the engine, millimetres
	front, rear float64
	mid         float64
}

// item is a component in the margin.
type item struct {
	id   string
	to   area
	tipY float64 // where its line ends, millimetres
}

const itemStep = touch + 2

func newOverview(c plot.Canvas, l *family.Layout, marks Marks, opt Options) *overview {
	v := &overview{marks: marks}
	v.sheet = &sheet{c: c, l: l, e: &l.Family.Engine, g: measure(l), opt: opt}
	g := v.g
	v.front, v.rear = -g.spacing/2-64, (float64(g.rows)-0.5)*g.spacing+58
	v.mid = (float64(g.rows) - 1) / 2 * g.spacing
	v.top, v.foot = -g.deck-g.headHigh()-62, g.stroke/2+g.main*0.5+62
	if v.e.Valvetrain.Kind != "pushrod" { // room for the cam wheels
		v.top = v.camHeight() - v.camWheel() - 4
	}
	wide := 420.0
	if len(g.banks) == 2 {
		v.across()
		wide = 500
	}
	v.k = max(0.42, min(0.95, wide/(v.rear-v.front)))
	v.items()
	v.margin = 30
	for _, it := range append(append([]item(nil), v.left...), v.right...) {
		v.margin = max(v.margin, min(190, plot.Width(marks[it.id].margin(), plot.SizeSmall, plot.Regular)+touch+34))
	}
	v.w = 2*v.margin + (v.rear-v.front)*v.k
	inner := (v.foot - v.top) * v.k
	v.h = max(inner, itemStep*float64(max(len(v.left), len(v.right)))) + 16
	v.w = max(v.w, full)
	v.margin = (v.w - (v.rear-v.front)*v.k) / 2
	v.o = plot.Pt(v.margin-v.front*v.k, (v.h-inner)/2-v.top*v.k)
	return v
}

// headHigh is the height of the head as drawn.
func (g geometry) headHigh() float64 { return g.bore*0.6 + 62 }

func (v *overview) at(x, y float64) plot.Point { return v.o.Add(x*v.k, y*v.k) }

// camHeight is the height of the camshafts as drawn.
func (v *overview) camHeight() float64 {
	if v.e.Valvetrain.Kind == "pushrod" {
		return -v.g.stroke*0.5 - v.g.main*0.35
	}
	return -v.g.deck - v.g.headHigh() - 34
}

// camWheel is the radius of a cam's wheel as drawn.
func (v *overview) camWheel() float64 { return min(60, v.pitchRadius(v.e.Drive.CamTeeth)) }

// where places a component in the engine by its system and its name.
func (v *overview) where(c *family.Component) area {
	g := v.g
	mid := (float64(g.rows) - 1) / 2 * g.spacing
	half := float64(g.rows) * g.spacing / 2
	head, pin := -g.deck-g.headHigh()/2, -(g.stroke/2+g.rod)*0.97
	has := func(words ...string) bool {
		for _, w := range words {
			if strings.Contains(c.ID, w) {
				return true
			}
		}
		return false
	}
	switch {
	case has("flywheel", "clutch"):
		return area{v.rear - 22, 0, 6, g.stroke * 0.9}
	case has("damper", "pulley"):
		return area{v.front + 16, 0, 8, g.stroke * 0.7}
	case has("gasket"):
		return area{mid, -g.deck, half + 4, 2}
	case has("seal"):
		return area{v.rear - 34, 10, 4, 8}
	case has("throttle", "injector", "intake"):
		return area{mid, -g.deck - g.headHigh()*0.72, half, 8}
	}
	switch c.System {
	case "block":
		return area{mid, -g.deck + g.depth*0.55, half, g.depth / 2}
	case "pistons":
		return area{mid, pin + 4, half, g.bore * 0.3}
	case "rods":
		return area{mid, -g.stroke/2 - g.rod*0.35, half, g.rod * 0.35}
	case "bearings":
		return area{mid, g.main * 0.3, half, g.main * 0.3}
	case "crank":
		return area{mid, -2, half + 20, g.main / 2}
	case "head":
		return area{mid, head + 12, half, g.headHigh() * 0.4}
	case "valvetrain":
		if has("cam") {
			return area{mid, v.camHeight(), half, 12}
		}
		return area{mid, head - g.headHigh()*0.28, half, 20}
	case "cam-drive":
		return area{v.front + 40, v.camHeight() / 2, 5, -v.camHeight() / 2}
	case "lubrication":
		return area{mid, v.foot - 28, half, 20}
	case "fasteners":
		return area{mid + half - g.spacing/2, -g.deck - 10, 20, 20}
	}
	return area{mid + half, -g.deck * 0.35, 10, 10}
}

// items sorts the marked components from top to foot and shares them out to
// both margins: what lies at an end of the engine goes to that side.
func (v *overview) items() {
	var all []item
	for i := range v.l.Family.Components {
		c := &v.l.Family.Components[i]
		if _, ok := v.marks[c.ID]; ok {
			to := v.where(c)
			if len(v.g.banks) == 2 {
				to = v.whereAcross(c, len(all)%2)
			}
			all = append(all, item{id: c.ID, to: to})
		}
	}
	sort.SliceStable(all, func(i, j int) bool { return all[i].to.y < all[j].to.y })
	mid := v.mid
	most := (len(all) + 1) / 2
	for _, it := range all {
		switch {
		case it.to.x < mid-1 && len(v.left) < most:
			v.left = append(v.left, it)
		case it.to.x > mid+1 && len(v.right) < most:
			v.right = append(v.right, it)
		}
	}
	for _, it := range all {
		if math.Abs(it.to.x-mid) > 1 && (v.holds(v.left, it.id) || v.holds(v.right, it.id)) {
			continue
		}
		if len(v.left) <= len(v.right) {
			v.left = append(v.left, it)
		} else {
			v.right = append(v.right, it)
		}
	}
	for _, side := range [][]item{v.left, v.right} {
		sort.SliceStable(side, func(i, j int) bool { return side[i].to.y < side[j].to.y })
		for i := range side {
			side[i].tipY = side[i].to.y + side[i].to.dy*0.7*spreadOf(side, i)
		}
		sort.SliceStable(side, func(i, j int) bool { return side[i].tipY < side[j].tipY })
	}
}

func (v *overview) holds(side []item, id string) bool {
	for _, it := range side {
		if it.id == id {
			return true
		}
	}
	return false
}

func (v *overview) draw() {
	if len(v.g.banks) == 2 {
		v.bodyAcross()
	} else {
		v.body()
	}
	v.list(v.left, -1)
	v.list(v.right, 1)
}

// link opens a group that leads to the first marked component whose id or
// system is named.
func (v *overview) link(names ...string) {
	for _, n := range names {
		for i := range v.l.Family.Components {
			c := &v.l.Family.Components[i]
			if m, ok := v.marks[c.ID]; ok && (c.ID == n || c.System == n) {
				v.c.Open(plot.Group{Class: "piece", Title: m.Title, Href: m.Href, Label: m.Title})
				return
			}
		}
	}
	v.c.Open(plot.Group{Class: "piece"})
}

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

// list draws one margin: a mark and the finished title for each component,
// with a line to its place that leaves the words first.
func (v *overview) list(items []item, side float64) {
	n, longest := len(items), 0.0
	room := v.margin - touch - 26
	for _, it := range items {
		longest = max(longest, plot.Width(plot.Fit(v.marks[it.id].margin(), plot.SizeSmall, plot.Regular, room), plot.SizeSmall, plot.Regular))
	}
	for i, it := range items {
		m := v.marks[it.id]
		y := v.h/2 + itemStep*(float64(i)-float64(n-1)/2)
		edgeX, anchor := touch/2+2, plot.Start
		if side > 0 {
			edgeX, anchor = v.w-touch/2-2, plot.End
		}
		text := plot.Fit(m.margin(), plot.SizeSmall, plot.Regular, room)
		wide := plot.Width(text, plot.SizeSmall, plot.Regular)
		p := plot.Pt(edgeX, y)
		// the tip lies inside the area, on the side the line comes from
		tip := v.at(it.to.x+side*it.to.dx*0.8, it.tipY)
		start := plot.Pt(edgeX-side*(touch/2+wide+8), y)
		v.c.Path(plot.Polyline(start, plot.Pt(edgeX-side*(touch/2+longest+14), y), tip), plot.Style{Stroke: plot.InkThin, Line: plot.Hair})
		v.c.Circle(tip, 1.6, plot.Style{Fill: plot.InkThin})
		v.c.Open(plot.Group{Class: "spot", Title: m.Title, Label: m.Title, Href: m.Href, Data: []plot.Datum{{Key: "component", Value: it.id}}})
		v.c.Rect(min(edgeX-touch/2, start.X), y-touch/2, touch+wide+8, touch, plot.Style{})
		if m.Armed {
			v.c.Circle(p, sign+3.2, plot.Style{Fill: plot.InkGround, Stroke: plot.InkAccent, Line: plot.Heavy})
		}
		plot.Sign(v.c, p, sign-0.4, m.Verdict)
		v.c.Text(plot.Pt(edgeX-side*(touch/2+3), y), plot.Text{S: text, Anchor: anchor, Base: plot.CapMiddle, Ink: plot.InkAccent})
		v.c.Close()
	}
}

// spreadOf sets the tips of items with one area apart, from −1 to 1.
func spreadOf(items []item, i int) float64 {
	lo, hi := i, i
	for lo > 0 && items[lo-1].to == items[i].to {
		lo--
	}
	for hi+1 < len(items) && items[hi+1].to == items[i].to {
		hi++
	}
	if hi == lo {
		return 0
	}
	return 2*float64(i-lo)/float64(hi-lo) - 1
}
