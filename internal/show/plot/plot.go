// Package plot draws the house's graphics once, for the page and for the
// record: the same calls go to an SVG sheet or to a PDF page, with the same
// type, the same line classes and the same inks.
//
// Coordinates are in units of 1/96 inch (one CSS pixel at natural size), x to
// the right and y downward. Angles are in degrees, clockwise as seen on the
// sheet, zero along +x. The package places finished text and finished values;
// it never judges and never converts a unit.
//
// A coordinate that is not finite is a mistake of the caller and panics: a
// drawing with a hole in it would be worse than none.
package plot

// Point is a place on the sheet.
type Point struct{ X, Y float64 }

// Pt is short for Point{x, y}.
func Pt(x, y float64) Point { return Point{x, y} }

// Add returns p moved by dx and dy.
func (p Point) Add(dx, dy float64) Point { return Point{p.X + dx, p.Y + dy} }

// Style says how a shape is drawn. A zero ink leaves that part out.
type Style struct {
	Stroke Ink
	Line   Line
	Fill   Ink
}

// Anchor says which end of a text stands at its point.
type Anchor int

// The three anchors.
const (
	Start Anchor = iota
	Middle
	End
)

// Base says which height of a text stands at its point.
type Base int

// The heights: the baseline, the middle of the capitals, their top.
const (
	Baseline Base = iota
	CapMiddle
	CapTop
)

// Text is a line of finished text. A zero Size means SizeSmall, a zero Ink
// means InkPen. Halo clears the ground around the letters, for text that
// stands on lines.
type Text struct {
	S      string
	Size   float64
	Weight Weight
	Anchor Anchor
	Base   Base
	Rotate float64
	Ink    Ink
	Halo   bool
}

// The three sizes of a sheet.
const (
	SizeSmall = 11.0
	SizeText  = 14.0
	SizeHead  = 20.0
)

func (t Text) size() float64 {
	if t.Size == 0 {
		return SizeSmall
	}
	return t.Size
}

func (t Text) ink() Ink {
	if t.Ink == NoInk {
		return InkPen
	}
	return t.Ink
}

// Drop returns how far below its point the baseline lies.
func (t Text) Drop() float64 { return t.drop() }

func (t Text) drop() float64 {
	switch t.Base {
	case CapMiddle:
		return capHeight * t.size() / 2
	case CapTop:
		return capHeight * t.size()
	}
	return 0
}

// plateText draws level text on a plate of ground, where lines on both sides
// could be read as minus signs.
func plateText(c Canvas, at Point, t Text) {
	w, h := Width(t.S, t.size(), t.Weight), capHeight*t.size()
	c.Rect(at.X-w*float64(t.Anchor)/2-2, at.Y+t.drop()-h-2, w+4, h+4, Style{Fill: InkGround})
	c.Text(at, t)
}

// Group binds shapes together: on a page a link when Href is set, with a
// title, an id, a class and data attributes; in a PDF only the shapes. The title
// is its name, for those who point at it and those who hear it: a label beside
// it would be a second name. Only links within the site are written: an Href
// with a scheme or a host is left out.
type Group struct {
	ID, Class, Title, Href string
	Data                   []Datum
}

// Datum is one data-* attribute; the key is lower-case letters and dashes.
type Datum struct{ Key, Value string }

// Canvas is what every drawing in the house is drawn on.
type Canvas interface {
	Line(a, b Point, s Style)
	Rect(x, y, w, h float64, s Style)
	Circle(c Point, r float64, s Style)
	Path(p *Path, s Style)
	Text(at Point, t Text)
	Open(g Group)
	Close()
}
