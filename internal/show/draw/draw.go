// Package draw makes the drawings of an engine from its family file: the
// block from above, a bore in section, the crank along its axis, and so on,
// to scale, in the language of ISO 128 and ISO 129, on the canvas of plot.
// One call draws for a page (SVG) and for a record (PDF) alike.
//
//	w, h := draw.Size(layout, "block", opt)
//	page := plot.NewSVG(w, h, label)
//	draw.Part(page, layout, "block", marks, opt)
//
// A drawing has seats: places where something is measured, such as cylinder
// 3, height H2, axis T. Every position of the component that has a mark sits
// in exactly one seat; where several share one, the gravest verdict is shown,
// its link is followed, and the titles of all are listed, gravest first. A
// position that belongs to no place of its own sits in the parentheses at the
// upper right, which stand for the whole part.
//
// Words are the caller's: a drawing carries only figures, indices of the
// family's own dimensions and finished titles.
package draw

import (
	"fettle/internal/know/family"
	"fettle/internal/show/plot"
)

// Mark is what is known of one position: its verdict, where it leads, and its
// finished text. Armed is the position that waits for a reading.
type Mark struct {
	Verdict plot.Verdict
	Href    string
	Title   string
	Short   string // what stands in the margin of a whole engine; "" is the title
	Armed   bool
}

// margin is the text that stands in the margin.
func (m Mark) margin() string {
	if m.Short != "" {
		return m.Short
	}
	return m.Title
}

// Marks are the marks by position id; for Engine, by component id.
type Marks map[string]Mark

// Options say what of a component is drawn. The zero value draws all.
type Options struct {
	Only   []string                   // characteristics whose positions are marked; empty for all
	Figure func(figure string) string // turns a figure with a point into the reader's own
}

// Spot is a seat as drawn: where, and which positions sit there, gravest
// first where there are marks, else in pattern order.
type Spot struct {
	At        plot.Point
	Positions []string
}

// Part draws one component with its marks, the corner at the origin. A
// component the family does not have draws nothing.
//
// Units: sheet units (1/96 inch); the drawing fills Size.
func Part(c plot.Canvas, l *family.Layout, component string, marks Marks, opt Options) {
	comp := l.Component(component)
	if comp == nil {
		return
	}
	s := newSheet(c, l, component, opt)
	s.lay()
	s.spots(marks)
}

// Size returns how large a component is drawn.
func Size(l *family.Layout, component string, opt Options) (w, h float64) {
	if l.Component(component) == nil {
		return 0, 0
	}
	s := newSheet(blank{}, l, component, opt)
	s.lay()
	return s.w, s.h
}

// Spots returns the seats of a component that hold positions of those marked,
// in reading order.
func Spots(l *family.Layout, component string, marks Marks, opt Options) []Spot {
	if l.Component(component) == nil {
		return nil
	}
	s := newSheet(blank{}, l, component, opt)
	s.lay()
	return s.place(marks)
}

// Describe lists the positions of a component in the order in which a person
// would read the drawing: the drawing's text alternative, for the caller to
// put into words.
func Describe(l *family.Layout, component string) []string {
	marks := Marks{}
	for i := range l.Places {
		if l.Places[i].Char.Component() == component {
			marks[l.Places[i].ID] = Mark{}
		}
	}
	var out []string
	for _, s := range Spots(l, component, marks, Options{}) {
		out = append(out, s.Positions...)
	}
	return out
}

// kind is the drawing of a component; one that names none is drawn as its
// system usually is.
func kind(c *family.Component) string {
	if c.Drawing != "" {
		return c.Drawing
	}
	switch c.System {
	case "block":
		return "block"
	case "crank", "bearings":
		return "crank"
	case "rods":
		return "rod"
	case "pistons":
		return "piston"
	case "head":
		return "face"
	case "valvetrain":
		return "cam"
	case "cam-drive":
		return "chain"
	case "fasteners":
		return "bolts"
	}
	return "section"
}

// blank is a canvas that draws nothing, for asking where things would be.
type blank struct{}

func (blank) Line(plot.Point, plot.Point, plot.Style)             {}
func (blank) Rect(float64, float64, float64, float64, plot.Style) {}
func (blank) Circle(plot.Point, float64, plot.Style)              {}
func (blank) Path(*plot.Path, plot.Style)                         {}
func (blank) Text(plot.Point, plot.Text)                          {}
func (blank) Open(plot.Group)                                     {}
func (blank) Close()                                              {}
