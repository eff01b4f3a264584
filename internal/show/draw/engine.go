package draw

import (
	"strings"

	"fettle/internal/know/family"
	"fettle/internal/show/plot"
)

// Engine draws the whole engine as the way into its parts, one bank along its
// crank, two banks across it: each component with a mark stands in the margin
// with its finished title, tied to its place, and what is drawn of it leads
// there too. marks are by component id; the corner is at the origin.
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
				v.c.Open(plot.Group{Class: "piece", Title: m.Title, Href: m.Href})
				return
			}
		}
	}
	v.c.Open(plot.Group{Class: "piece"})
}
