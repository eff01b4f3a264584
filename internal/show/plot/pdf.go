package plot

import (
	"math"
	"strconv"

	"codeberg.org/go-pdf/fpdf"
)

// PDF is a Canvas on the current page of a document. It leaves the document's
// colours, line width, dashes and font as it found them: graphics are written
// between save and restore marks, in sheet units under one matrix.
type PDF struct {
	doc   *fpdf.Fpdf
	x, y  float64 // of the sheet's origin, in the document's unit
	scale float64 // document units a sheet unit
}

// AddFonts makes both weights known to a document; once a document.
func AddFonts(doc *fpdf.Fpdf) {
	for _, f := range Fonts() {
		doc.AddUTF8FontFromBytes(FontFamily, pdfStyle(f.Weight), f.TTF)
	}
}

// NewPDF returns a canvas whose origin stands at x, y of the current page.
//
// Units:  x, y in the document's unit; scale in document units a sheet unit
// (25.4/96 for natural size in a document that counts millimetres).
// Errors: the document's own error is set when it has no page yet.
func NewPDF(doc *fpdf.Fpdf, x, y, scale float64) *PDF {
	if doc.PageNo() == 0 {
		doc.SetErrorf("plot: a drawing needs a page, and the document has none yet")
	}
	return &PDF{doc: doc, x: finite(x), y: finite(y), scale: finite(scale)}
}

// NaturalMM is the scale of a drawing at natural size in a document that
// counts millimetres.
const NaturalMM = 25.4 / 96

// Line draws a straight line.
func (p *PDF) Line(a, b Point, s Style) { p.Path(Polyline(a, b), s) }

// Rect draws a rectangle.
func (p *PDF) Rect(x, y, w, h float64, s Style) { p.Path(Box(x, y, w, h), s) }

// Circle draws a circle.
func (p *PDF) Circle(c Point, r float64, s Style) { p.Path(Disc(c, r), s) }

// Path draws a figure.
func (p *PDF) Path(f *Path, s Style) {
	paint := paintOperator(s)
	if paint == "" {
		return
	}
	b := append([]byte("q "), p.matrix()...)
	b = append(b, "0 J 1 j "...)
	if s.Fill != NoInk {
		b = append(colour(b, s.Fill), "rg "...)
	}
	if s.Stroke != NoInk {
		b = append(colour(b, s.Stroke), "RG "...)
		b = append(stroke(b, s.Line), ' ')
	}
	for _, g := range f.segs {
		for i := range g.points() {
			b = append(dot(append(dot(b, g.p[i].X), ' '), g.p[i].Y), ' ')
		}
		b = append(b, operator(g.op), ' ')
	}
	p.doc.RawWriteStr(string(append(append(b, paint...), " Q"...)))
}

// Text draws a line of text as text: it can be searched and copied.
func (p *PDF) Text(at Point, t Text) {
	if t.S == "" {
		return
	}
	dx, dy := -Width(t.S, t.size(), t.Weight)*float64(t.Anchor)/2, t.drop()
	sin, cos := math.Sincos(t.Rotate * math.Pi / 180)
	defer p.restore(p.save())
	p.doc.RawWriteStr("q")
	defer p.doc.RawWriteStr("Q")
	p.doc.SetFont(FontFamily, pdfStyle(t.Weight), t.size()*p.scale*p.doc.GetConversionRatio())
	x, y := p.place(at.Add(dx, dy))
	if t.Rotate != 0 {
		x, y = 0, 0
		p.turn(at.Add(dx*cos-dy*sin, dx*sin+dy*cos), sin, cos)
		_, page := p.doc.GetPageSize()
		y = page
	}
	if t.Halo {
		b := append(colour([]byte("q 1 Tr 1 j "), InkGround), "RG "...)
		b = append(pnum(b, 3*p.scale*p.doc.GetConversionRatio()), " w"...)
		p.doc.RawWriteStr(string(b))
		p.doc.Text(x, y, t.S)
		p.doc.RawWriteStr("Q")
	}
	r, g, bl := t.ink().RGB(Print)
	p.doc.SetTextColor(int(r), int(g), int(bl))
	p.doc.RawWriteStr(string(append(colour(nil, t.ink()), "rg"...)))
	p.doc.Text(x, y, t.S)
}

// turn writes the matrix that stands at a point and is turned clockwise.
func (p *PDF) turn(at Point, sin, cos float64) {
	x, y := p.place(at)
	k := p.doc.GetConversionRatio()
	_, page := p.doc.GetPageSize()
	b := append(pnum(nil, cos), ' ')
	b = append(pnum(b, -sin), ' ')
	b = append(pnum(b, sin), ' ')
	b = append(pnum(b, cos), ' ')
	b = append(pnum(b, x*k), ' ')
	p.doc.RawWriteStr(string(append(pnum(b, (page-y)*k), " cm"...)))
}

// Open and Close are for pages; a PDF draws only the shapes between them.
func (p *PDF) Open(Group) {}

// Close ends a group.
func (p *PDF) Close() {}

// place turns sheet units into the document's.
func (p *PDF) place(at Point) (x, y float64) {
	return p.x + finite(at.X)*p.scale, p.y + finite(at.Y)*p.scale
}

// matrix maps sheet units, y downward, to points, y upward.
func (p *PDF) matrix() []byte {
	k := p.doc.GetConversionRatio()
	_, page := p.doc.GetPageSize()
	b := append(pnum(nil, p.scale*k), " 0 0 "...)
	b = append(pnum(b, -p.scale*k), ' ')
	b = append(pnum(b, p.x*k), ' ')
	return append(pnum(b, (page-p.y)*k), " cm "...)
}

type pdfState struct {
	family, style string
	size          float64
	r, g, b       int
}

func (p *PDF) save() pdfState {
	s := pdfState{family: p.doc.GetFontFamily(), style: p.doc.GetFontStyle()}
	s.size, _ = p.doc.GetFontSize()
	s.r, s.g, s.b = p.doc.GetTextColor()
	return s
}

func (p *PDF) restore(s pdfState) {
	if s.family != "" {
		p.doc.SetFont(s.family, s.style, s.size)
	}
	p.doc.SetTextColor(s.r, s.g, s.b)
}

func pdfStyle(w Weight) string {
	if w == Bold {
		return "B"
	}
	return ""
}

func paintOperator(s Style) string {
	switch {
	case s.Fill != NoInk && s.Stroke != NoInk:
		return "B*"
	case s.Fill != NoInk:
		return "f*"
	case s.Stroke != NoInk:
		return "S"
	}
	return ""
}

func operator(op byte) byte {
	if op == 'Z' {
		return 'h'
	}
	return op + 'a' - 'A'
}

func colour(b []byte, i Ink) []byte {
	r, g, bl := i.RGB(Print)
	for _, v := range []uint8{r, g, bl} {
		b = append(pnum(b, float64(v)/255), ' ')
	}
	return b
}

func stroke(b []byte, l Line) []byte {
	r := l.row()
	b = append(pnum(b, r.width), " w ["...)
	for _, v := range r.dash {
		b = append(pnum(b, v), ' ')
	}
	return append(b, "] 0 d"...)
}

// pnum writes a number with at most four decimals.
func pnum(b []byte, v float64) []byte { return decimal(b, int64(math.Round(finite(v)*1e4)), 4) }

// dot writes a coordinate with at most two decimals: a hundredth of a sheet unit
// is three thousandths of a millimetre on paper.
func dot(b []byte, v float64) []byte { return decimal(b, int64(math.Round(finite(v)*1e2)), 2) }

// decimal writes n·10^-decimals without trailing zeros.
func decimal(b []byte, n int64, decimals int) []byte {
	if n < 0 {
		b, n = append(b, '-'), -n
	}
	for decimals > 0 && n%10 == 0 {
		n, decimals = n/10, decimals-1
	}
	if decimals == 0 {
		return strconv.AppendInt(b, n, 10)
	}
	unit := int64(1)
	for range decimals {
		unit *= 10
	}
	b = append(strconv.AppendInt(b, n/unit, 10), '.')
	for unit /= 10; unit > 0; unit /= 10 {
		b = append(b, byte('0'+n/unit%10))
	}
	return b
}
